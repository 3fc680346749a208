"""The rows of the page's tables, and how numbers and moves are said in them."""

from __future__ import annotations

from dataclasses import replace

from oracle import cue, heard, segment
from report_help import STANDARD, review, scripted

from analyzer.findings.material import Material
from analyzer.outline.records import Quote, TimeCall
from analyzer.report.phrases import drift, in_sentence, move_name, told, verdict
from analyzer.report.tables import block_rows, call_rows, cue_rows, general_cues, side_rows
from analyzer.review import Review

FIRST = scripted("first_take")


def material(of: Review) -> Material:
    return Material(of.captions, of.words, of.outline, of.measures, STANDARD)


def test_phrases() -> None:
    left = segment(10, 52, "T-stand", 40, side="left", round=2)
    assert move_name(left) == "T-stand, round 2, left side"
    assert move_name(left, short=True) == "T-stand L 2"
    assert in_sentence(replace(left, exercise=None, round=None)) == "no name heard, left side"
    assert told(segment(10, 50, counted="reps")) == "repetitions"
    assert verdict(review(heard([segment(10, 50)])).measures.intervals[0]) == "no length told"
    assert drift(-185, 0.1) == "−3 min 5 s"


def test_blocks_count_what_was_told() -> None:
    rows = block_rows(FIRST.measures)
    assert [r.name for r in rows] == [
        "Warm-up", "Main part, round 1", "Main part, round 2", "Main part, round 3", "Cool-down"]
    first = [i for i in FIRST.measures.intervals if 195 < i.segment.start.at_ms / 1000 < 450]
    assert rows[1].told == "4 min"  # four times 40 s and four rests of 20 s
    assert rows[1].given == "4 min 16 s"
    assert rows[1].drift == f"+{sum(i.actual_s for i in first) - 240:.1f} s ± 0.1 s"
    (untimed,) = block_rows(review(heard([segment(10, 50)])).measures)
    assert (untimed.told, untimed.given, untimed.drift) == ("no length", "", "")


def test_calls_that_cannot_be_checked_say_so() -> None:
    calls = [TimeCall(Quote(5000, "ten minutes in"), 50, "elapsed", 600, None),
             TimeCall(Quote(30_000, "twenty in"), 50, "elapsed", 20, 0),
             TimeCall(Quote(45_000, "ten to go"), 50, "remaining", 10, 0)]
    rows = call_rows(review(heard([segment(10, 50, announced_s=40)], calls=calls)).measures)
    assert [(r.claim, r.verdict, r.off) for r in rows] == [
        ("10 min gone", "not checked", ""), ("20 s gone", "right", "0 s ± 0.1 s"),
        ("10 s left", "came late", "5 s late ± 0.1 s")]
    assert rows[0].truth == "in no interval that it can be checked against"


def test_a_side_that_never_came() -> None:
    (row,) = side_rows(review(heard([segment(10, 50, side="left")])).measures)
    assert (row.left, row.right, row.verdict) == ("40 s", "not heard", "one side only")


def test_cues_stand_with_their_move_or_with_the_class() -> None:
    cues = [cue("safety", 2, "Mind the table."), cue("form", 20, "Chest up.", "squats", 0),
            cue("form", 25, "hm", "squats", 0, 0.3)]
    of = review(heard([segment(10, 50)], cues=cues))
    (row,) = cue_rows(material(of).moves, ("regression",))
    cells = {c.kind: (c.text, c.times, c.perhaps) for c in row.cells}
    assert cells["form"] == ("1", (20_000,), (25_000,))
    assert cells["regression"] == ("none", (), ())
    assert cells["breathing"] == ("–", (), ())
    assert [(g.kind, g.said) for g in general_cues(material(of))] == [("safety", "Mind the table.")]
