"""Numbers and lengths as they are spoken: "forty-five", "a minute fifteen", "three quarters of a minute".

Pure functions over normalised words (lower case, no punctuation at the ends; see ``words.normal``). What is
English stands in ``language/en/numbers.toml``. Lengths are seconds. A bare number ("give me forty") may or
may not be a length: it comes out with ``unit`` False, and the tagger judges what it is.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

__all__ = ["Length", "Number", "fraction_in", "lengths", "number_at"]

LONGEST_S = 7200
CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
WITH_UNIT = re.compile(r"(\d+(?:\.\d+)?)-?(s|sec|secs|seconds?|m|min|mins|minutes?)")
PAIR = re.compile(r"(\d{1,3})[/-](\d{1,3})")


@dataclass(frozen=True, slots=True)
class Number:
    """A number at words ``first`` to before ``last``."""

    first: int
    last: int
    value: float


@dataclass(frozen=True, slots=True)
class Length:
    """A length of time at words ``first`` to before ``last``; ``unit`` says whether a unit was said."""

    first: int
    last: int
    seconds: float
    unit: bool


@lru_cache(maxsize=1)
def _tables() -> dict[str, Any]:
    text = files("analyzer.language.en").joinpath("numbers.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def number_at(norms: Sequence[str], i: int) -> Number | None:
    """The number that starts at word ``i``, if one does: digits, or words up to 999.

    >>> number_at(["one", "hundred", "and", "twenty"], 0)
    Number(first=0, last=4, value=120)
    >>> number_at(["forty", "five"], 0), number_at(["twenty-five"], 0), number_at(["go"], 0)
    (Number(first=0, last=2, value=45), Number(first=0, last=1, value=25), None)
    """
    word = norms[i]
    if word.isascii() and word.isdigit() and len(word) < 6:
        return Number(i, i + 1, int(word))
    if re.fullmatch(r"\d{1,3}\.\d", word):
        return Number(i, i + 1, float(word))
    table = _tables()
    if word in ("hundred",) or (word in ("a", "one") and i + 1 < len(norms) and norms[i + 1] == "hundred"):
        return _after_hundred(norms, i if word == "hundred" else i + 1, i, 1)
    below = _below_hundred(norms, i, table)
    if below and below.last < len(norms) and norms[below.last] == "hundred" and below.value < 10:
        return _after_hundred(norms, below.last, i, int(below.value))
    return below


def _below_hundred(norms: Sequence[str], i: int, table: dict[str, Any]) -> Number | None:
    tens, _, ones = re.sub(r"-?(ish|odd)$", "", norms[i]).partition("-")
    if norms[i] in table["plural"]:
        return Number(i, i + 1, table["plural"][norms[i]])
    if tens in table["tens"]:
        value = table["tens"][tens]
        if ones in table["ones"] and ones != "zero":
            return Number(i, i + 1, value + table["ones"][ones])
        if not ones:
            after = norms[i + 1] if i + 1 < len(norms) else ""
            # "forty five" is one number; "forty, five more" is not seen apart: the pause tells the tagger
            if after in table["ones"] and after not in ("zero", "one"):
                return Number(i, i + 2, value + table["ones"][after])
            return Number(i, i + 1, value)
        return None
    for row in ("ones", "teens"):
        if tens in table[row] and not ones:
            return Number(i, i + 1, table[row][tens])
    return None


def _after_hundred(norms: Sequence[str], at: int, first: int, hundreds: int) -> Number:
    follow = at + 1
    if follow + 1 < len(norms) and norms[follow] == "and":
        follow += 1
    rest = _below_hundred(norms, follow, _tables()) if follow < len(norms) else None
    if rest:
        return Number(first, rest.last, 100 * hundreds + rest.value)
    return Number(first, at + 1, 100 * hundreds)


def lengths(norms: Sequence[str]) -> tuple[Length, ...]:
    """Every length in the words, left to right, without overlaps.

    >>> [x.seconds for x in lengths("forty on twenty off for a minute fifteen".split())]
    [40, 20, 75]
    >>> [x.seconds for x in lengths("three quarters of a minute then half a minute a side".split())]
    [45.0, 30.0]
    >>> [(x.seconds, x.unit) for x in lengths("1:30 then 45s 40/20 and two and a half minutes".split())]
    [(90, True), (45.0, True), (40, False), (20, False), (150.0, True)]
    """
    return tuple(_scan(norms))


def _scan(norms: Sequence[str]) -> Iterator[Length]:
    i = 0
    while i < len(norms):
        found = next((hit for rule in RULES if (hit := rule(norms, i))), None)
        if found:
            yield from found
            i = found[-1].last
        else:
            i += 1


def _written(norms: Sequence[str], i: int) -> list[Length] | None:
    word = norms[i]
    if not word or not any(c.isdigit() for c in word):
        return None
    if m := CLOCK.fullmatch(word):
        return [Length(i, i + 1, int(m[1]) * 60 + int(m[2]), True)]
    if m := WITH_UNIT.fullmatch(word):
        return [Length(i, i + 1, float(m[1]) * _tables()["units"][m[2]], True)]
    if m := PAIR.fullmatch(word):
        return [Length(i, i + 1, int(m[1]), False), Length(i, i + 1, int(m[2]), False)]
    return None


def _unit_at(norms: Sequence[str], i: int) -> float | None:
    return _tables()["units"].get(norms[i]) if i < len(norms) else None


def _part_of_unit(norms: Sequence[str], i: int) -> list[Length] | None:
    """"half a minute", "three quarters of a minute", "a quarter minute"."""
    table = _tables()
    j, count = i, 1.0
    if norms[j] in ("a", "one"):
        j += 1
    elif (
        norms[j] in table["ones"] and j + 1 < len(norms) and norms[j + 1] in ("quarters", "thirds", "halves")
    ):
        count = table["ones"][norms[j]]
        j += 1
    if j >= len(norms) or norms[j] not in table["parts"]:
        return None
    part = table["parts"][norms[j]] * count
    j += 1
    while j < len(norms) and norms[j] in ("of", "a", "the", "one"):
        j += 1
    unit = _unit_at(norms, j)
    if unit is None or unit < 60:
        return None
    return [Length(i, j + 1, round(part * unit, 1), True)]


def _counted_unit(norms: Sequence[str], i: int) -> list[Length] | None:
    """"forty seconds", "a minute and a half", "a minute fifteen", "two and a half minutes"."""
    if (
        norms[i] in ("a", "the", "another", "full", "whole")
        and (unit := _unit_at(norms, i + 1))
        and unit >= 60
    ):
        return [_with_tail(norms, i, i + 2, unit)]
    number = number_at(norms, i)
    if number is None:
        return None
    j, value = number.last, number.value
    if list(norms[j : j + 3]) in (["and", "a", "half"],):
        j, value = j + 3, value + 0.5
    elif list(norms[j : j + 3]) in (["and", "a", "quarter"],):
        j, value = j + 3, value + 0.25
    skipped = j + 1 if j < len(norms) and norms[j] in ("full", "whole", "more", "little", "good") else j
    unit = _unit_at(norms, skipped)
    if unit is None:
        return None
    return [
        _with_tail(norms, i, skipped + 1, value * unit) if unit >= 60 else Length(i, skipped + 1, value, True)
    ]


def _with_tail(norms: Sequence[str], first: int, j: int, seconds: float) -> Length:
    """What may follow "a minute": "and a half", "and a quarter", "fifteen", "and fifteen seconds"."""
    table = _tables()
    k = j + 1 if j < len(norms) and norms[j] == "and" else j
    if (
        k < len(norms)
        and norms[k] == "a"
        and k + 1 < len(norms)
        and norms[k + 1] in ("half", "quarter")
        and k > j
    ):
        unit = 60
        return Length(first, k + 2, seconds + unit * table["parts"][norms[k + 1]], True)
    tail = number_at(norms, k) if k < len(norms) else None
    if tail and 5 <= tail.value < 60:
        follows = _unit_at(norms, tail.last)
        if follows == 1:
            return Length(first, tail.last + 1, seconds + tail.value, True)
        if follows is None and tail.value % 5 == 0:
            return Length(first, tail.last, seconds + tail.value, True)
    return Length(first, j, seconds, True)


def _bare(norms: Sequence[str], i: int) -> list[Length] | None:
    number = number_at(norms, i)
    if number is None or not 1 <= number.value <= LONGEST_S:
        return None
    return [Length(i, number.last, number.value, False)]


def _lone_unit(norms: Sequence[str], i: int) -> list[Length] | None:
    """"last minute", "minute gone", "your minute", "minute and a half"."""
    unit = _unit_at(norms, i)
    return [_with_tail(norms, i, i + 1, unit)] if unit == 60 and norms[i] in ("minute", "min") else None


RULES = (_written, _part_of_unit, _counted_unit, _lone_unit, _bare)


def fraction_in(norms: Sequence[str]) -> float | None:
    """The share done that a time call names, 0..1: "three quarters there" 0.75, "a third left" 0.667.

    >>> fraction_in("we are halfway".split()), fraction_in("one quarter to go".split())
    (0.5, 0.75)
    """
    table = _tables()
    shares: dict[str, float] = table["fractions"]
    norms = [part for word in norms for part in re.sub(r"('s|-ish)$", "", word).split("-") if part]
    text = " ".join(norms)
    for i, word in enumerate(norms):
        if word in ("percent", "%") and i and (number := number_at(norms, i - 1)):
            return round(min(1.0, number.value / 100), 3)
        if word not in shares:
            continue
        count = 1
        if word in ("quarters", "thirds") and i and (number := number_at(norms, i - 1)):
            count = int(number.value)
        share = round(min(1.0, shares[word] * count), 3)
        left = any(f"{word} {after}" in text for after in table["left"]["words"]) or f"last {word}" in text
        return round(1 - share, 3) if left and share != 0.5 else share
    return None
