"""Findings on lengths, time calls and sides: each rule fires, stays silent, and says what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from oracle import Heard, edge, from_script, heard, rest, say, script, segment

from analyzer.captions.records import Captions, Timing
from analyzer.findings.find import find, rank
from analyzer.findings.records import Finding
from analyzer.outline.records import CallKind, Quote, Segment, Side, TimeCall
from analyzer.standards.standard import Standard, load

STANDARD = load()


def found(it: Heard, rule: str, standard: Standard = STANDARD) -> list[Finding]:
    measures = it.measures(standard.tolerance)
    return [f for f in find(it.captions, it.words, it.outline, measures, standard) if f.rule == rule]


def test_a_long_interval() -> None:
    (finding,) = found(heard([segment(225, 271.1, "push-ups", 40, round=1)]), "interval_drift")
    assert finding.message == (
        "Push-ups, round 1 (3:45) ran 6.1 s long: 40 s told, 46.1 s given, give or take 0.1 s."
    )
    assert (finding.weight, finding.at_ms, finding.interval) == ("must fix", 225_000, 0)
    assert [q.said for q in finding.evidence] == ["40 seconds", "go", "and rest"]
    assert finding.size == pytest.approx(3.05)


def test_a_short_interval_needs_another_take() -> None:
    (finding,) = found(heard([segment(100, 137, "plank", 40)]), "interval_drift")
    assert finding.message.startswith("Plank (1:40) stopped 3 s early: 40 s told, 37 s given")
    assert (finding.weight, finding.mend) == ("should fix", "retake")


@pytest.mark.parametrize("stop", [138.0, 140.0, 141.8, 142.1])
def test_within_tolerance_or_undecided_is_no_drift(stop: float) -> None:
    assert found(heard([segment(100, stop, "plank", 40)]), "interval_drift") == []


def test_nothing_told_cannot_be_missed() -> None:
    assert found(heard([segment(100, 190, "plank")]), "interval_drift") == []


def test_coarse_times_are_not_given_in_tenths() -> None:
    (finding,) = found(heard([segment(100, 152, "plank", 40, sd_ms=1000)]), "interval_drift")
    assert "ran 12 s long" in finding.message
    assert "give or take 3 s" in finding.message


def test_an_unsure_interval_is_a_question_and_weighs_less() -> None:
    (finding,) = found(heard([segment(100, 150, "plank", 40, probability=0.4)]), "interval_drift")
    assert finding.weight == "should fix"
    assert "I am not sure that this is one interval: check 1:40." in finding.message


def test_silence_can_be_cut_and_talk_cannot() -> None:
    silent = (*say("hold it there", 100), *say("well done and rest", 149))
    talking = say("and one more thing " * 60, 100, 0.25)
    long = [segment(100, 150, "plank", 40)]
    (cut,) = found(heard(long, words=silent), "interval_drift")
    (kept,) = found(heard(long, words=talking), "interval_drift")
    assert cut.mend == "edit"
    assert "In the edit, 10 s can be cut from the 48 s without words from 1:40." in cut.advice
    assert kept.mend == "either"
    assert "In the edit" not in kept.advice


def test_rests_one_by_one_or_together() -> None:
    work_and_rest = [
        item for n in range(5) for item in (
            segment(100 + 70 * n, 140 + 70 * n, "squats", 40), rest(140 + 70 * n, 170 + 70 * n, 20),
        )
    ]
    few = found(heard(work_and_rest[:4]), "rest_drift")
    assert [f.message[:28] for f in few] == ["The rest after squats (2:20)", "The rest after squats (3:30)"]
    assert {f.weight for f in few} == {"should fix"}  # 10 s off weighs one step more than a note
    (many,) = found(heard(work_and_rest), "rest_drift")
    assert many.message.startswith("5 of 5 announced rests were off by more than 2 s")
    assert "2:20 by +10 s" in many.message
    assert len(many.evidence) == 5


def blocks(last_s: float, rests: int = 8) -> list[Segment]:
    """Twenty on, ten off, the rests after the fourth and the last interval of another length."""
    items, at = [], 100.0
    for n in range(rests):
        pause = last_s - n / 10 if n in (3, rests - 1) else 10.0
        items += [segment(at, at + 20, "jacks", 20), rest(at + 20, at + 20 + pause, 10)]
        at += 20 + pause
    return [*items, segment(at, at + 20, "jacks", 20)]


def test_a_few_long_rests_of_one_length_are_breaks_between_blocks() -> None:
    # twenty_ten.class: "half a minute off between the blocks", ten seconds told for every other rest
    (note,) = found(heard(blocks(30)), "rest_drift")
    assert note.message == (
        "2 rests lasted about 30 s each, where I heard 10 s told: 3:30 and 5:49. "
        "Was a longer break announced there? Then nothing is wrong."
    )
    assert note.weight == "note"


def test_long_rests_are_no_breaks_where_they_differ_or_hardly_run_over() -> None:
    for slack in (heard(blocks(14)), heard(blocks(30, rests=4))):
        drifts = found(slack, "rest_drift")
        assert drifts
        assert all(f.message.startswith("The rest after jacks") for f in drifts)


def test_a_rest_cut_short() -> None:
    it = heard([FORTY[0], rest(140, 151, 20), segment(151, 191, "rows", 40)])
    (finding,) = found(it, "rest_drift")
    assert finding.message.startswith("The rest after squats (2:20) was cut 9 s short: 20 s told, 11 s given")


def test_a_verdict_that_hangs_on_which_words_were_heard_says_so_and_weighs_less() -> None:
    # a stamp every 25 s: the likely words are 26 s apart from what was told, others would fit
    start = replace(edge(100, "and hold"), sd_ms=3000, word_sd_ms=2000)
    stop = replace(edge(119, "lower that"), sd_ms=16_000, word_sd_ms=3000)
    likely = ((0, 0.85), (26_000, 0.15))
    it = heard([replace(segment(100, 119, "twist", 45), start=start, stop=stop, lengths=likely)])
    (finding,) = found(it, "interval_drift")
    assert finding.weight == "should fix"
    assert finding.message == (
        "Twist (1:40) stopped 26 s early: 45 s told, 19 s given, give or take 7 s, "
        "if I have the right words for its start and its end."
    )


def test_a_drift_is_serious_only_where_it_surely_is() -> None:
    # 6 s over, give or take 2 s: more than 2 s for sure, not more than 5 s
    (finding,) = found(heard([segment(100, 146, "plank", 40, sd_ms=700)]), "interval_drift")
    assert (finding.weight, "give or take 2 s" in finding.message) == ("should fix", True)


def call(kind: CallKind, value: float, at_s: float, said: str) -> TimeCall:
    return TimeCall(Quote(round(at_s * 1000), said), 50, kind, value, 0)


FORTY = [segment(100, 140, "squats", 40)]


@pytest.mark.parametrize(
    ("spoken", "message"),
    [
        (call("elapsed", 25, 120, "That's 25."), '"That\'s 25" at 2:00 came 5 s early: 20 s had gone.'),
        (call("remaining", 10, 136, "Ten to go"), '"Ten to go" at 2:16 came 6 s late: 4 s were left.'),
        (call("fraction", 0.5, 112, "Halfway!"), '"Halfway" at 1:52 came 8 s early: 30% had gone.'),
    ],
)
def test_wrong_time_calls(spoken: TimeCall, message: str) -> None:
    (finding,) = found(heard(FORTY, calls=[spoken]), "time_call_error")
    assert finding.message == message
    assert (finding.exercise, finding.mend) == ("squats", "edit")


def test_right_and_uncheckable_calls() -> None:
    right = [call("elapsed", 20, 121, "twenty in"), call("remaining", 10, 128, "ten to go")]
    whole = [call("remaining", 600, 120, "ten minutes to go")]
    assert found(heard(FORTY, calls=right), "time_call_error") == []
    assert found(heard(FORTY, calls=whole), "time_call_error") == []


def test_a_call_that_the_drift_explains_is_told_with_the_drift() -> None:
    # at 30 s of a told 40 "ten to go" is right; the interval then ran to 48
    it = heard([segment(100, 148, "squats", 40)], calls=[call("remaining", 10, 130, "Ten to go.")])
    assert found(it, "time_call_error") == []
    (drift,) = found(it, "interval_drift")
    assert drift.message.endswith('So "Ten to go" at 2:10 came 8 s early: 18 s were left.')
    assert drift.evidence[-1].said == "Ten to go."


def test_it_is_told_by_itself_where_the_drift_rule_is_off(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    path.write_text('[rules.interval_drift]\nweight = "off"\n')
    it = heard([segment(100, 148, "squats", 40)], calls=[call("remaining", 10, 130, "Ten to go.")])
    standard = load(house=path)
    assert found(it, "interval_drift", standard) == []
    assert len(found(it, "time_call_error", standard)) == 1


def test_a_second_halfway_of_an_interval_is_none() -> None:
    # retake.class: "Blow out through the top half" eleven seconds before the "Halfway" of that interval
    half, halfway = call("fraction", 0.5, 109, "half"), call("fraction", 0.5, 120, "Halfway.")
    assert found(heard(FORTY, calls=[half, halfway]), "time_call_error") == []
    assert len(found(heard(FORTY, calls=[half]), "time_call_error")) == 1
    ten = call("remaining", 10, 130, "ten to go")
    assert len(found(heard(FORTY, calls=[half, ten]), "time_call_error")) == 1


def test_many_wrong_calls_are_one_finding() -> None:
    calls = [call("elapsed", 30, at, f"thirty at {at}") for at in (105, 110, 115, 120)]
    (finding,) = found(heard(FORTY, calls=calls), "time_call_error")
    assert finding.message.startswith("4 of 4 time calls were off.")
    assert len(finding.evidence) == 4


def pair(left_s: float, right_s: float) -> list[Segment]:
    return [segment(100, 100 + left_s, "figure four", left_s, side="left", phase="cool-down"),
            segment(200, 200 + right_s, "figure four", right_s, side="right", phase="cool-down")]


def test_unequal_sides() -> None:
    (finding,) = found(heard(pair(30, 44)), "sides_unequal")
    assert finding.message == (
        "Figure four (1:40): the left side got 30 s and the right 44 s, 14 s apart, give or take 0.2 s."
    )
    assert finding.weight == "must fix"
    assert found(heard(pair(30, 31)), "sides_unequal") == []


def test_unequal_sides_weigh_less_where_a_drift_says_it_already() -> None:
    sides = [pair(30, 30)[0], segment(200, 244, "figure four", 30, side="right")]
    (finding,) = found(heard(sides), "sides_unequal")
    assert finding.weight == "note"
    assert finding.message.endswith("because one of them was off its time.")


def test_a_side_that_never_came() -> None:
    (finding,) = found(heard(pair(30, 30)[:1]), "side_missing")
    assert finding.message == "Figure four (1:40): I heard the left side and not the right."
    assert finding.weight == "must fix"
    assert found(heard(pair(30, 30)), "side_missing") == []
    assert found(heard(pair(30, 30)[:1]), "sides_unequal") == []
    assert found(heard([segment(100, 140)]), "side_missing") == []


def lunges(*sides: Side | None) -> list[Segment]:
    return [segment(100 + 60 * n, 145 + 60 * n, "lunges", 45, side=side) for n, side in enumerate(sides)]


def test_a_side_that_came_less_often_is_a_question() -> None:
    (finding,) = found(heard(lunges("left", "right", "left")), "side_missing")
    assert finding.message == (
        "Lunges (1:40): I heard the left side 2 times and the right 1. "
        "Is the other one there? Check from 1:40."
    )
    assert finding.weight == "should fix"
    assert found(heard(lunges("left", "right", "right", "left")), "side_missing") == []


def test_a_move_given_by_sides_and_once_without_is_a_note() -> None:
    (finding,) = found(heard(lunges("left", "right", None)), "side_missing")
    assert finding.message == (
        "Lunges (3:40): I heard no side named here, and one the other times. Did both sides get a turn?"
    )
    assert finding.weight == "note"
    assert found(heard(lunges("left", "right", None, None)), "side_missing") == []
    # of another length: another way of doing it, or another move
    other = segment(300, 360, "lunges", 60)
    assert found(heard([*lunges("left", "right"), other]), "side_missing") == []


def test_a_missing_side_outranks_a_drift() -> None:
    long = segment(300, 348, "squats", 40)
    it = heard([*pair(30, 30)[:1], long])
    both = [*found(it, "interval_drift"), *found(it, "side_missing")]
    assert [f.rule for f in rank(both)] == ["side_missing", "interval_drift"]


def test_a_side_that_may_have_come_unnamed_is_a_question() -> None:
    (finding,) = found(heard([*pair(30, 30)[:1], segment(200, 230, None, 30)]), "side_missing")
    assert finding.weight == "should fix"
    assert finding.message.endswith("Is the other one there? Check 1:40.")
    again = [*pair(30, 30)[:1], segment(200, 230, "figure four", 30)]
    assert found(heard(again), "side_missing")[0].weight == "should fix"


def test_a_stretch_held_too_briefly() -> None:
    # ACSM's Guidelines 11th ed., table 5.6: 10 to 30 s
    short = [segment(800, 808, "quad stretch", phase="cool-down")]
    (finding,) = found(heard(short), "short_stretch")
    assert finding.message == "Held for less than 10 s: Quad stretch (13:20) 8 s."
    assert finding.advice == "Hold it for at least 10 s."
    assert found(heard([segment(800, 812, "quad stretch", phase="cool-down")]), "short_stretch") == []
    assert found(heard([segment(800, 808, "squats")]), "short_stretch") == []
    assert len(found(heard([segment(800, 808, "Hamstring Stretch")]), "short_stretch")) == 1


@pytest.mark.parametrize(
    ("timing", "file"), [("block", "WebVTT or SubRip"), ("phrase", "a time for each word")]
)
def test_undecided_intervals_are_one_note_with_the_file_that_would_decide(timing: Timing, file: str) -> None:
    captions = Captions(Path("class.txt"), "timed transcript", timing, ())
    coarse = [segment(100 * n, 100 * n + 41, "squats", 40, sd_ms=4000) for n in (1, 2, 3)]
    (finding,) = found(heard(coarse, captions=captions), "undecided_intervals")
    assert finding.message == "3 of 3 announced lengths cannot be judged from this file: 1:40, 3:20 and 5:00."
    assert file in finding.advice
    fine = [segment(100 * n, 100 * n + 41, "squats", 40) for n in (1, 2, 3)]
    assert found(heard(fine, captions=captions), "undecided_intervals") == []


def test_one_undecided_of_many_is_left_to_the_table() -> None:
    segments = [segment(60 * n, 60 * n + (42 if n == 1 else 40), "squats", 40) for n in range(1, 13)]
    assert heard(segments).measures().totals.undecided == 1
    assert found(heard(segments), "undecided_intervals") == []


def test_a_trend_is_told_when_chance_does_not_explain_it() -> None:
    growing = [segment(120 * n, 120 * n + 40 + n + (n % 2) / 10, "squats", 40) for n in range(1, 8)]
    (finding,) = found(heard(growing), "drift_trend")
    assert finding.message.startswith("Work intervals got longer as the class went on, by about 5 s in ten")
    steady = [segment(120 * n, 160.5 + 120 * n - n % 2, "squats", 40) for n in range(1, 8)]
    assert found(heard(steady), "drift_trend") == []


SCRIPTED = (
    "first_take", "retake", "full_body_four_by_three", "gym_series_core", "hips_and_hamstrings",
    "pyramid_bike", "tabata_three_blocks", "balance_over_seventy", "eight_stations", "descending_reps",
)


@pytest.mark.parametrize("name", SCRIPTED)
def test_scripted_classes_get_exactly_their_true_drifts(name: str) -> None:
    it = from_script(script(name))
    expected = {"work": set[int](), "rest": set[int]()}
    for index, item in enumerate(it.outline.segments):
        # tolerance 2 s, U of two edges of 50 ms 0.141 s
        if item.announced_s is not None and abs(item.span.duration_ms / 1000 - item.announced_s) > 2.1415:
            expected[item.kind].add(index)
    assert _intervals(it, found(it, "interval_drift")) == expected["work"]
    assert _intervals(it, found(it, "rest_drift")) == expected["rest"]


def _intervals(it: Heard, findings: Sequence[Finding]) -> set[int]:
    starts = {s.start.quote: i for i, s in enumerate(it.outline.segments)}
    told = {f.interval for f in findings if f.interval is not None}
    return told | {starts[q] for f in findings if f.interval is None for q in f.evidence}
