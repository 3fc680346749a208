"""The caption forms: valid by their standards, nothing lost, and only as exact as such files are."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest
import webvtt
from bench_documents import NAMES
from hypothesis import given
from hypothesis import strategies as st
from oracle import script

from analyzer.bench.forms import (
    FORMS,
    as_digits,
    blocks_txt,
    groups,
    phrases_srt,
    plain_vtt,
    rolling_vtt,
    stamp,
    unpunctuated,
)
from analyzer.bench.render import perform, render
from analyzer.bench.script import Spoken

# W3C WebVTT: hours optional, of two or more digits; mm:ss.ttt with minutes and seconds up to 59
STAMP = r"(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}"
TIMING = re.compile(rf"^({STAMP}) --> ({STAMP})$")


def seconds(text: str) -> float:
    hours, minutes, rest = text.replace(",", ".").split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(rest)


def spoken(name: str) -> tuple[Spoken, ...]:
    return perform(script(name)).words


def said(text: str, *starts: float) -> list[Spoken]:
    """Words of a quarter second; starts default to one every 0.3 s."""
    words = text.split()
    times = starts or [0.3 * i for i in range(len(words))]
    return [Spoken(w, t, t + 0.25, i) for i, (w, t) in enumerate(zip(words, times, strict=True))]


def texts(words: Sequence[Spoken]) -> list[str]:
    return [word.text for word in words]


@pytest.mark.parametrize("form", [plain_vtt, rolling_vtt])
@pytest.mark.parametrize("name", NAMES)
def test_webvtt_is_valid(name: str, form: object, tmp_path: Path) -> None:
    assert callable(form)
    text: str = form(spoken(name))
    assert re.match(r"WEBVTT[ \t\n]", text)
    timings = [line for line in text.splitlines() if "-->" in line]
    # W3C: an end after its start, no start before an earlier one
    spans = []
    for line in timings:
        match = TIMING.match(line)
        assert match, line
        spans.append((seconds(match[1]), seconds(match[2])))
    assert all(start < end for start, end in spans)
    assert all(a[0] <= b[0] for a, b in pairwise(spans))
    # a reader from elsewhere finds every caption
    path = tmp_path / "a.vtt"
    path.write_text(text, encoding="utf-8")
    assert len(webvtt.read(str(path))) == len(timings) > 10


@pytest.mark.parametrize("name", NAMES)
def test_rolling_captions_time_each_word_and_say_each_line_twice(name: str) -> None:
    text = rolling_vtt(spoken(name))
    inline = 0
    found = re.findall(rf"({STAMP}) --> ({STAMP})\n(.*)\n(.*)", text)
    for start, end, _, line in found:
        # W3C: times inside a caption lie after its start, before its end, and strictly increase
        times = [seconds(start), *map(seconds, re.findall(rf"<({STAMP})>", line)), seconds(end)]
        if len(times) > 2:
            inline += len(times) - 2
            assert all(a < b for a, b in pairwise(times)), line
    # each word but the first of a line has a time of its own
    lines = list(groups(as_digits(spoken(name)), 7, 4.0, sentence_ends=False))
    assert inline == sum(len(line) - 1 for line in lines)
    shown = [" ".join(unpunctuated(w.text) for w in line) for line in lines]
    still = re.findall(rf"{STAMP} --> {STAMP}\n(.+)\n $", text, flags=re.MULTILINE)
    assert still == shown


@pytest.mark.parametrize("name", NAMES)
def test_subrip(name: str) -> None:
    blocks = phrases_srt(spoken(name)).strip().split("\n\n")
    for number, block in enumerate(blocks, 1):
        head, timing, *lines = block.splitlines()
        assert head == str(number)
        assert re.fullmatch(r"\d\d:\d\d:\d\d,\d{3} --> \d\d:\d\d:\d\d,\d{3}", timing)
        start, end = map(seconds, timing.split(" --> "))
        assert 0 < end - start < 7.0
        assert 1 <= len(lines) <= 2


@pytest.mark.parametrize("name", NAMES)
def test_block_stamps_are_whole_seconds_rounded_down(name: str) -> None:
    words = spoken(name)
    starts = [word.start for word in as_digits(words)]
    place = 0
    for line in blocks_txt(words).strip().split("\n\n"):
        match = re.match(r"\[(\d+):([0-5]\d)\] (.*)", line)
        assert match
        stamped, first = int(match[1]) * 60 + int(match[2]), starts[place]
        assert stamped <= first < stamped + 1
        block = match[3].split()
        place += len(block)
        # a block ends with a sentence, once it has run for 22 s
        if place < len(starts):
            assert block[-1][-1] in ".!?"
            assert starts[place] - first > 22
    assert place == len(starts)


def bare(words: Sequence[str]) -> list[str]:
    return [w for w in (unpunctuated(word) for word in words) if w]


@pytest.mark.parametrize("name", NAMES)
def test_no_form_loses_a_word(name: str) -> None:
    words = spoken(name)
    digits, plain = bare(texts(as_digits(words))), bare(texts(words))
    captions = {form: make(words) for form, make in FORMS.items()}
    bodies = {
        form: "\n".join(x for x in text.splitlines() if "-->" not in x) for form, text in captions.items()
    }
    assert bare(bodies["plain.vtt"].split()[1:]) == plain
    numbered = [block.splitlines()[2:] for block in captions["phrases.srt"].strip().split("\n\n")]
    assert bare(" ".join(line for lines in numbered for line in lines).split()) == digits
    assert bare(re.sub(r"^\[\d+:\d\d\] ", "", bodies["blocks.txt"], flags=re.MULTILINE).split()) == digits
    new = re.findall(r"-->.*\n.*\n(\S.*)\n", captions["rolling.vtt"])
    assert bare(re.sub(r"<[^>]*>", "", " ".join(new)).split()) == digits


def test_stamps() -> None:
    # SubRip: 146.407 s is 00:02:26,407
    assert stamp(146.407, ",") == "00:02:26,407"
    assert (stamp(0), stamp(40.0), stamp(3661.5)) == ("00:00:00.000", "00:00:40.000", "01:01:01.500")
    # never a field of 60
    assert stamp(59.9996) == "00:01:00.000"


@given(st.integers(0, 99 * 3600 * 1000))
def test_stamps_are_valid_and_say_the_time(ms: int) -> None:
    assert re.fullmatch(STAMP, stamp(ms / 1000))
    assert round(seconds(stamp(ms / 1000)) * 1000) == ms


@pytest.mark.parametrize(
    ("words", "digits"),
    [
        ("forty five seconds", "45 seconds"),
        ("forty-five, go", "45, go"),
        ("twenty in", "20 in"),
        ("three, two, one, go", "3, 2, 1, go"),
        ("this one is hard", "this one is hard"),
        ("ten. Nine.", "10. 9."),
        ("thirty. Five left", "30. 5 left"),
        ("Twelve of these", "12 of these"),
        ("someone often won", "someone often won"),
    ],
)
def test_digits(words: str, digits: str) -> None:
    assert " ".join(texts(as_digits(said(words)))) == digits


def test_a_number_of_two_words_spans_both() -> None:
    (word, _) = as_digits(said("forty five seconds"))
    assert (word.text, word.start, word.first) == ("45", 0.0, 0)
    assert word.end == pytest.approx(0.55)


def test_a_new_caption_when_full_after_a_pause_and_at_a_sentence_end() -> None:
    def split(words: Sequence[Spoken], most: int, long_s: float, *, ends: bool = True) -> list[str]:
        return [" ".join(texts(g)) for g in groups(words, most, long_s, sentence_ends=ends)]

    assert split(said("a b c d e"), 2, 9) == ["a b", "c d", "e"]
    assert split(said("a b c d"), 9, 0.6) == ["a b", "c d"]
    assert split(said("a b c", 0, 1.4, 2.9), 9, 9) == ["a b", "c"]  # pauses of 1.15 and 1.25 s
    assert split(said("a b c. d"), 9, 9) == ["a b c.", "d"]
    assert split(said("b c. d"), 9, 9) == ["b c. d"]
    assert split(said("a b c. d"), 9, 9, ends=False) == ["a b c. d"]
    assert list(groups([], 2, 9)) == []


@given(
    st.lists(st.tuples(st.floats(0, 3), st.sampled_from(("go", "rest.", "ten", "five,"))), max_size=40),
    st.integers(1, 8),
)
def test_captions_share_out_the_words_in_order(made: list[tuple[float, str]], most: int) -> None:
    clock, words = 0.0, []
    for index, (pause, text) in enumerate(made):
        words.append(Spoken(text, clock + pause, clock + pause + 0.3, index))
        clock += pause + 0.3
    shared = list(groups(words, most, 4.0))
    assert [word for group in shared for word in group] == words
    for group in shared:
        assert 1 <= len(group) <= most
        assert group[-1].end - group[0].start <= 4.0 + 1e-9
        assert all(b.start - a.end <= 1.2 + 1e-9 for a, b in pairwise(group))


def test_render_writes_the_forms_and_the_truth(tmp_path: Path) -> None:
    render(script("terse_core"), tmp_path / "new")
    names = {path.name for path in (tmp_path / "new").iterdir()}
    assert names == {f"terse_core.{ending}" for ending in (*FORMS, "truth.json")}
    assert (tmp_path / "new" / "terse_core.plain.vtt").read_text(encoding="utf-8") == plain_vtt(
        spoken("terse_core")
    )
