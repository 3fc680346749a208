"""The transcript of the page: where lines start, what is marked in them, which finding they bear out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracle import cue, heard, rest, say, segment
from report_help import review, scripted

from analyzer.captions.records import Caption, Captions
from analyzer.findings.find import rank
from analyzer.outline.records import PhaseName, Promise, Quote, TimeCall
from analyzer.report.transcript import Line, Transcript, locate, transcript
from analyzer.review import Review
from analyzer.spans import Span

FIRST = scripted("first_take")


def words_of(line: Line) -> str:
    return " ".join(run.text for run in line.runs)


def marked(lines: Transcript) -> list[tuple[tuple[str, ...], str]]:
    return [(run.kinds, run.text) for line in lines.lines for run in line.runs if run.kinds]


@pytest.mark.parametrize("name", ["first_take", "studio_talk", "fifty_ten_no_repeats"])
def test_every_word_stands_in_it_once_and_in_order(name: str) -> None:
    of = scripted(name)
    lines = transcript(of).lines
    assert " ".join(words_of(line) for line in lines).split() == [w.text for w in of.words]
    assert [line.at_ms for line in lines] == sorted(line.at_ms for line in lines)
    assert len({line.id for line in lines}) == len(lines)


def test_every_cue_and_call_is_marked_with_its_words_and_its_name() -> None:
    lines = transcript(FIRST)
    runs = [run for line in lines.lines for run in line.runs]
    for one in FIRST.outline.cues:
        text = " ".join(r.text for r in runs if one.kind in r.kinds)
        assert one.quote.said in text
    for call in FIRST.outline.calls:
        assert any("call" in r.kinds and "time call" in r.names and r.text == call.quote.said for r in runs)
    names = [name for r in runs for name in r.names]
    assert names.count("time call") == len(FIRST.outline.calls)
    assert names.count("easier option") == sum(c.kind == "regression" for c in FIRST.outline.cues)


def test_intervals_start_and_stop_at_the_head_of_a_line() -> None:
    lines = transcript(FIRST).lines
    events = {event.text: line.at_ms for line in lines for event in line.events if event.kind != "phase"}
    assert events["Goblet squat, round 2 starts, 40 s told"] == 450_720
    assert events["Goblet squat, round 2 stops after 48 s: 8 s long"] == 498_729
    phases = [event.text for line in lines for event in line.events if event.kind == "phase"]
    assert phases == ["opening", "warm-up", "main part", "cool-down", "close"]
    kinds = [event.kind for line in lines for event in line.events]
    assert kinds.count("start") + kinds.count("stop") == 2 * len(FIRST.measures.intervals)


def test_a_stop_comes_before_the_start_at_the_same_word() -> None:
    it = heard([segment(10, 50, announced_s=40), rest(50, 70, 20)], words=say("one two three four five", 49))
    (line,) = [line for line in transcript(review(it)).lines if len(line.events) > 1 and line.at_ms > 49_000]
    assert [e.text for e in line.events] == ["Squats stops after 40 s: on time", "Rest starts, 20 s told"]


def test_what_is_not_spoken_says_so_and_what_ends_after_the_words_is_kept() -> None:
    it = heard([segment(10, 50, "squats", spoken=(False, False))], words=say("go go go", 10))
    lines = transcript(review(it))
    assert "Squats starts (no word says so)" in [e.text for line in lines.lines for e in line.events]
    assert [e.text for e in lines.after] == ["Squats stops after 40 s (no word says so)"]


def test_findings_leave_their_number_at_their_evidence() -> None:
    lines = transcript(FIRST)
    for number, finding in enumerate(rank(FIRST.findings), 1):
        for quote in finding.evidence:
            anchor = lines.anchor(quote.at_ms)
            (line,) = [line for line in lines.lines if line.id == anchor]
            assert any(number in run.refs for run in line.runs), (number, quote)
    shown = {ref for line in lines.lines for run in line.runs for ref in run.refs}
    timed = {n for n, f in enumerate(rank(FIRST.findings), 1) if f.evidence or f.at_ms is not None}
    assert shown == timed


def test_marks_may_overlap() -> None:
    words = say("breathe out twenty seconds left and smile", 20)
    it = heard(
        [segment(10, 50)], words=words,
        cues=[cue("breathing", 20, "breathe out twenty seconds", "squats", 0)],
        calls=[TimeCall(Quote(words[2].span.start_ms, "twenty seconds left"), 50, "remaining", 20, 0)],
        promises=[Promise(Quote(words[5].span.start_ms, "and smile"), "block")],
    )
    assert marked(transcript(review(it))) == [
        (("breathing",), "breathe out"), (("breathing", "call"), "twenty seconds"), (("call",), "left"),
        (("told",), "and smile")]


def test_unclear_cues_carry_a_question_mark() -> None:
    it = heard([segment(10, 50)], words=say("nice and tall", 20),
               cues=[cue("form", 20, "nice and tall", "squats", 0, 0.3)])
    names = [n for line in transcript(review(it)).lines for run in line.runs for n in run.names]
    assert names == ["form?"]


def test_silences_are_said() -> None:
    words = (*say("hold it", 10), *say("and rest", 22))
    lines = transcript(review(heard([segment(5, 40)], words=words))).lines
    assert [(words_of(line), line.silence_s) for line in lines] == [
        ("hold it", None), ("and rest", pytest.approx(11.4))]


def test_long_talk_is_broken_at_sentence_ends() -> None:
    text = "This is a sentence of some eight words. " * 12
    phases: tuple[tuple[PhaseName, float], ...] = (("main", 0.0),)
    lines = transcript(review(heard(words=say(text, 1), phases=phases))).lines
    assert all(words_of(line).endswith(".") for line in lines)
    assert max(len(words_of(line).split()) for line in lines) < 30
    unpunctuated = transcript(review(heard(words=say("word " * 200, 1)))).lines
    assert max(len(words_of(line).split()) for line in unpunctuated) <= 45


def test_speakers_are_named_where_they_change() -> None:
    spoken = [("hello there", "Ilse"), ("hi", "Ilse"), ("who is that", "Edda")]
    captions = tuple(Caption(Span(n * 2000, n * 2000 + 1500), text, n, speaker=name)
                     for n, (text, name) in enumerate(spoken))
    words = tuple(replace(w, caption=n) for n, (text, _) in enumerate(spoken) for w in say(text, 2 * n))
    it = heard(words=words, captions=Captions(Path("a.vtt"), "WebVTT", "phrase", captions))
    lines = transcript(review(it)).lines
    assert [(line.speaker, words_of(line)) for line in lines] == [
        ("Ilse", "hello there hi"), ("Edda", "who is that")]


def test_anchors() -> None:
    lines = transcript(FIRST)
    first, second = lines.lines[:2]
    assert lines.anchor(0) == first.id
    assert lines.anchor(second.at_ms - 1) == first.id
    assert lines.anchor(second.at_ms) == second.id
    assert lines.anchor(10**9) == lines.lines[-1].id
    assert transcript(review(heard())).anchor(5) is None


@given(st.lists(st.sampled_from(["up", "Up,", "down", "and", "hold."]), min_size=1, max_size=30), st.data())
def test_locate_finds_what_was_said_at_its_time(texts: list[str], data: st.DataObject) -> None:
    words = say(" ".join(texts), 3)
    first = data.draw(st.integers(0, len(words) - 1))
    last = data.draw(st.integers(first + 1, len(words)))
    said = " ".join(w.text.upper().strip(".,") for w in words[first:last])
    assert locate(words, Quote(words[first].span.start_ms, said)) == (first, last)


def test_locate_does_not_guess() -> None:
    words = say("keep the knees soft", 3)
    assert locate(words, Quote(3000, "drop the hips")) is None
    assert locate(words, Quote(3000, "...")) is None
    assert locate((), Quote(0, "keep")) is None


def test_a_review_without_words() -> None:
    of: Review = review(heard([segment(10, 50)]))
    assert transcript(of).lines == ()
    assert [e.kind for e in transcript(of).after] == ["phase", "phase", "start", "stop"]
