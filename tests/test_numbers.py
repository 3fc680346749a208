"""Numbers and lengths as they are spoken."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analyzer.hearing.fractions import fraction_in
from analyzer.hearing.numbers import lengths, number_at
from analyzer.words import normal


def seconds(text: str) -> list[float]:
    return [x.seconds for x in lengths([normal(w) for w in text.split()])]


# --- numbers -----------------------------------------------------------------------------------------------

ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def spelled(n: int, *, hyphen: bool, joined: str) -> str:
    """A number below 1000 in words; ``hyphen`` that of "forty-five", ``joined`` what follows "hundred"."""
    if n < 20:
        return ONES[n]
    if n < 100:
        return TENS[n // 10] + (("-" if hyphen else " ") + ONES[n % 10] if n % 10 else "")
    rest = f"{joined}{spelled(n % 100, hyphen=hyphen, joined=joined)}" if n % 100 else ""
    return f"{ONES[n // 100]} hundred{rest}"


@pytest.mark.parametrize("hyphen", [True, False])
@pytest.mark.parametrize("joined", [" ", " and "])
def test_every_number_below_a_thousand(hyphen: bool, joined: str) -> None:
    for n in range(1000):
        if not hyphen and n % 10 == 1 and n % 100 > 20:
            continue  # see test_where_a_number_ends
        words = spelled(n, hyphen=hyphen, joined=joined).split()
        found = number_at(words, 0)
        assert found is not None, words
        assert (found.first, found.last, found.value) == (0, len(words), n), words
        digits = number_at([str(n)], 0)
        assert digits is not None
        assert digits.value == n


def test_numbers_are_those_of_another_reader() -> None:
    """The text2num library reads the same words."""
    reader = pytest.importorskip("text_to_num")
    for n in range(1000):
        text = spelled(n, hyphen=True, joined=" and ")
        found = number_at(text.split(), 0)
        assert found is not None
        assert found.value == reader.text2num(text, "en"), text


@pytest.mark.parametrize(
    ("text", "value", "count"),
    [
        ("a hundred and twenty more", 120, 4),
        ("hundred", 100, 1),
        ("forty five six", 45, 2),  # a third number is not part of it
        ("forty ten", 40, 1),
        ("thirty one more", 30, 1),  # "one" is a pronoun after tens
        ("two hundred and go", 200, 2),
        ("thirtyish", 30, 1),
        ("2.5", 2.5, 1),
        ("thirties", 30, 1),
    ],
)
def test_where_a_number_ends(text: str, value: float, count: int) -> None:
    found = number_at(text.split(), 0)
    assert found is not None
    assert (found.value, found.last) == (value, count)


@pytest.mark.parametrize(
    "text", ["go", "weight", "won", "to", "for", "twenty-fifth", "second", "hundreds", "a", "and", ""]
)
def test_what_is_no_number(text: str) -> None:
    assert number_at([text], 0) is None


# --- lengths -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # common practice: how lengths are told in classes
        ("forty on twenty off", [40, 20]),
        ("forty on, twenty off, three rounds", [40, 20, 3]),
        ("forty twenty", [40, 20]),
        ("twenty ten", [20, 10]),
        ("40/20", [40, 20]),
        ("0:40 on 0:20 off", [40, 20]),
        ("thirty seconds", [30]),
        ("Thirty seconds!", [30]),
        ("30-second holds", [30]),
        ("a thirty-second plank", [30]),
        ("a two-minute warm up", [120]),
        ("45s", [45]),
        ("45 s", [45]),
        ("90 secs", [90]),
        ("1min", [60]),
        ("1:30", [90]),
        ("ten more seconds", [10]),
        ("a minute", [60]),
        ("the last minute", [60]),
        ("one full minute", [60]),
        ("a minute fifteen", [75]),
        ("a minute and fifteen", [75]),
        ("a minute and fifteen seconds", [75]),
        ("a minute thirty a side", [90]),
        ("a minute forty five", [105]),
        ("two minutes thirty", [150]),
        ("two minutes, three rounds", [120, 3]),
        ("a minute and a half", [90]),
        ("one and a half minutes", [90]),
        ("two and a half minutes", [150]),
        ("2.5 minutes", [150]),
        ("a minute and a quarter", [75]),
        ("three quarters of a minute", [45]),
        ("a quarter of a minute", [15]),
        ("two thirds of a minute", [40]),
        ("a third of a minute", [20]),
        ("half a minute a side", [30]),
        ("half minute holds", [30]),
        ("half an hour", [1800]),
        ("three quarters of an hour", [2700]),
        ("an hour and a half", [5400]),
        ("an hour and ten minutes", [4200]),
        ("3 2 1", [3, 2, 1]),
        ("plank for forty three two one go", [40, 3, 2, 1]),
        ("forty three seconds", [43]),
        ("five, four, three, two, one", [5, 4, 3, 2, 1]),
        # ordinals and other words
        ("the third minute", [60]),
        ("the second round", []),
        ("a second", []),
        ("a few seconds", []),
        ("quarter turn", []),
        ("half way", []),
        ("zero", []),
        ("zero minutes", []),
        ("0:00", []),
        ("9000", []),
        ("", []),
    ],
)
def test_lengths(text: str, said: list[float]) -> None:
    assert seconds(text) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # ISO 8601: PT40S, PT1M30S, PT7M50S; TIMEX3 (TimeML): PT20M, PT40S, and PXS for a number not told
        ("forty seconds", [40]),
        ("one minute and thirty seconds", [90]),
        ("seven minutes and fifty seconds", [470]),
        ("20 minutes", [1200]),
        ("about forty seconds", [40]),
        ("a few seconds", []),
    ],
)
def test_durations_of_the_standards(text: str, said: list[float]) -> None:
    assert seconds(text) == said


@pytest.mark.parametrize(
    ("text", "unit"),
    [("give me forty", False), ("forty seconds", True), ("a minute", True), ("40/20", False), ("1:30", True)],
)
def test_whether_a_unit_was_said(text: str, unit: bool) -> None:
    found = lengths(text.split())
    assert found
    assert {x.unit for x in found} == {unit}


@pytest.mark.parametrize(
    ("digits", "words"), [("45 on 15 off", "forty five on fifteen off"), ("1 minute 30", "one minute thirty")]
)
def test_digits_and_words_say_the_same(digits: str, words: str) -> None:
    assert seconds(digits) == seconds(words) != []


VOCABULARY = [
    "a", "an", "and", "the", "of", "one", "two", "three", "five", "ten", "fifteen", "twenty", "thirty",
    "forty", "hundred", "half", "quarter", "quarters", "third", "thirds", "minute", "minutes", "second",
    "seconds", "hour", "on", "off", "more", "full", "go", "40", "20", "1:30", "45s", "40/20",
    "30-second", "thirty-second", "two-minute", "forty-five", "rounds", "2.5", "zero", "percent",
]  # fmt: skip


@given(st.lists(st.sampled_from(VOCABULARY), max_size=14))
def test_lengths_never_overlap_and_stay_inside(words: list[str]) -> None:
    reached = 0
    for x in lengths(words):
        assert x.first < x.last
        assert x.last <= len(words)
        # two lengths may stand in one word ("40/20")
        assert x.first >= reached or (words[x.first].count("/") == 1 and x.last == reached)
        assert x.seconds > 0
        reached = x.last


@given(st.lists(st.text(max_size=8), max_size=6))
def test_no_text_breaks_it(words: list[str]) -> None:
    norms = [normal(w) for w in words]
    lengths(norms)
    fraction_in(norms)


# --- fractions ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "done"),
    [
        ("halfway", 0.5),
        ("half-way there", 0.5),
        ("almost halfway", 0.5),
        ("half left", 0.5),
        ("three quarters there", 0.75),
        ("three-quarters done", 0.75),
        ("3 quarters done", 0.75),
        ("a quarter done", 0.25),
        ("one quarter to go", 0.75),
        ("last quarter", 0.75),
        ("a third left", 0.667),
        ("two thirds done", 0.666),
        ("seventy five percent", 0.75),
        ("ninety-five percent", 0.95),
        ("75 percent", 0.75),
        ("90% done", 0.9),
        ("nearly there", None),
    ],
)
def test_fractions(text: str, done: float | None) -> None:
    assert fraction_in(text.split()) == done
