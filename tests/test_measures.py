"""Measured classes: lengths and calls against hand-computed values, totals against published protocols."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest
from oracle import SAMPLES, edge, from_script, heard, rest, say, script, segment

from analyzer.measures.measure import measure_call
from analyzer.measures.records import Interval, MeasuredCall
from analyzer.measures.verdict import Tolerance
from analyzer.outline.records import CallKind, Quote, Segment, TimeCall


def protocol(count: int, work_s: float, rest_s: float, *, last_rest: bool) -> list[Segment]:
    segments: list[Segment] = []
    at = 60.0
    for number in range(count):
        segments.append(segment(at, at + work_s, "move", work_s))
        at += work_s
        if rest_s and (last_rest or number < count - 1):
            segments.append(rest(at, at + rest_s, rest_s))
            at += rest_s
    return segments


@pytest.mark.parametrize(
    ("count", "work_s", "rest_s", "without_s", "with_s", "ratio"),
    [
        # Tabata et al. 1996, doi:10.1097/00005768-199610000-00018 (quoted): 3:50 / 4:00
        (8, 20, 10, 230, 240, 2.0),
        (7, 20, 10, 200, 210, 2.0),
        # Klika & Jordan 2013, ACSM's Health & Fitness Journal 17(3) (quoted): "a little less than eight
        # minutes"
        (12, 30, 10, 470, 480, 3.0),
        # Sports Science Exchange 139: 19:00 / 20:00
        (10, 60, 60, 1140, 1200, 1.0),
        # Little et al. 2010, J Physiol 588 (memory): 21:15 / 22:30, 4:5
        (10, 60, 75, 1275, 1350, 0.8),
        # PMC5684281: 4 to 6 x 30 s / 4 min, 1:8
        (4, 30, 240, 840, 1080, 0.125),
        (6, 30, 240, 1380, 1620, 0.125),
        # Helgerud 2007 (memory): 25:00 / 28:00, 4:3
        (4, 240, 180, 1500, 1680, 4 / 3),
        # common practice: 40 / 20, four moves, three rounds: 11:40 / 12:00, 2:1
        (12, 40, 20, 700, 720, 2.0),
    ],
)
def test_published_protocols(
    count: int, work_s: float, rest_s: float, without_s: float, with_s: float, ratio: float
) -> None:
    short = heard(protocol(count, work_s, rest_s, last_rest=False)).measures()
    full = heard(protocol(count, work_s, rest_s, last_rest=True)).measures()
    assert short.totals.work_s + short.totals.rest_s == without_s
    assert full.totals.work_s + full.totals.rest_s == with_s
    assert full.totals.work_to_rest == pytest.approx(ratio)
    (block,) = full.blocks
    assert (block.stop_ms - block.start_ms) / 1000 == block.announced_s == with_s
    assert full.totals.on_time == full.totals.timed_intervals == count


def only(segments: list[Segment]) -> Interval:
    (interval,) = heard(segments).measures().intervals
    return interval


def test_an_interval_that_ran_long() -> None:
    interval = only([segment(100, 146.1, announced_s=40, sd_ms=300)])
    assert interval.actual_s == pytest.approx(46.1)
    assert interval.drift_s == pytest.approx(6.1)
    assert interval.actual_sd_s == pytest.approx(hypot(0.3, 0.3))
    assert interval.verdict == "long"


def test_nothing_told_is_untimed_and_has_no_drift() -> None:
    interval = only([segment(100, 146, counted="reps")])
    assert (interval.drift_s, interval.verdict) == (None, "untimed")


def test_work_and_rest_have_tolerances_of_their_own() -> None:
    outline = heard([segment(0, 43, announced_s=40), rest(43, 66, 20)])
    strict = outline.measures(Tolerance(work_s=1, rest_s=1))
    loose = outline.measures(Tolerance(work_s=1, rest_s=5))
    assert [i.verdict for i in strict.intervals] == ["long", "long"]
    assert [i.verdict for i in loose.intervals] == ["long", "on time"]


def call(kind: CallKind, value: float, at_s: float, interval: int | None = 0) -> TimeCall:
    return TimeCall(Quote(round(at_s * 1000), "said"), 100, kind, value, interval)


FORTY = segment(100, 140, announced_s=40, sd_ms=200)


@pytest.mark.parametrize(
    ("kind", "value", "at_s", "actual", "error_s", "verdict"),
    [
        ("elapsed", 20, 120, 20, 0, "on time"),
        ("elapsed", 25, 120, 20, 5, "short"),  # said 25 when 20 were gone: early
        ("elapsed", 20, 126, 26, -6, "long"),  # late
        ("remaining", 10, 130, 10, 0, "on time"),
        ("remaining", 10, 122, 18, 8, "short"),  # 18 still to come: early
        ("remaining", 10, 136, 4, -6, "long"),
        ("fraction", 0.5, 120, 0.5, 0, "on time"),
        ("fraction", 0.5, 110, 0.25, 10, "short"),
        ("fraction", 0.75, 136, 0.9, -6, "long"),
        ("elapsed", 20, 123.0, 23, -3, "undecided"),  # just at the tolerance of 3 s
    ],
)
def test_time_calls(
    kind: CallKind, value: float, at_s: float, actual: float, error_s: float, verdict: str
) -> None:
    measured = measure_call(call(kind, value, at_s), [FORTY], 3.0)
    assert measured.actual == pytest.approx(actual)
    assert measured.error_s == pytest.approx(error_s)
    assert measured.verdict == verdict


def test_uncertainty_of_a_call_comes_from_the_edges_it_uses() -> None:
    blurred = [replace(segment(100, 140, announced_s=40, sd_ms=0), stop=edge(140, sd_ms=2000))]
    expected: dict[CallKind, tuple[float, float]] = {
        "elapsed": (20, 0.1), "remaining": (20, hypot(2, 0.1)),
        "fraction": (0.5, hypot(1, 0.1)),  # d(error)/d(stop) = 0.5
    }
    for kind, (value, sd) in expected.items():
        assert measure_call(call(kind, value, 120), blurred, 3.0).error_sd_s == pytest.approx(sd)


@pytest.mark.parametrize(
    ("spoken", "segments"),
    [
        (call("elapsed", 20, 5, None), [FORTY]),  # in no interval
        (call("remaining", 600, 110), [FORTY]),  # ten minutes to go speaks of the class
        (call("fraction", 0.5, 120), [segment(100, 140, counted="reps")]),  # half of the repetitions
    ],
)
def test_calls_that_no_clock_can_check(spoken: TimeCall, segments: list[Segment]) -> None:
    assert measure_call(spoken, segments, 3.0) == MeasuredCall(spoken, None, None, None, "untimed")


def test_totals_of_words_and_silence() -> None:
    words = (*say("one two three four", 0.0, 0.5), *say("five six", 12.0, 0.5))
    totals = heard([], words=words, length_s=120).measures().totals
    assert totals.words_per_minute == 3.0
    assert totals.longest_silence_s == 10.0
    assert totals.drift_mean_s is None
    assert totals.work_to_rest is None


def test_nothing_at_all() -> None:
    measures = heard([], phases=(), length_s=0).measures()
    assert (measures.intervals, measures.calls, measures.sides, measures.blocks) == ((), (), (), ())
    assert measures.totals.words_per_minute is None
    assert measures.trend is None


def test_phases_add_up() -> None:
    totals = heard(
        [], phases=(("opening", 0), ("warm-up", 30), ("main", 150), ("cool-down", 700), ("close", 880))
    ).measures().totals
    assert (totals.warm_up_s, totals.cool_down_s) == (120.0, 180.0)


def test_the_first_take_has_the_faults_put_into_it() -> None:
    # sample_captions/scripts/first_take.class: row of round one at @46, squats of round two at @47.3 and dead
    # bugs of round two at @32.8 of 40 s, each line said within 0.3 s of its mark
    measures = from_script(SAMPLES / "first_take.class").measures()
    off = {(i.segment.exercise, i.segment.round): i for i in measures.intervals
           if i.segment.kind == "work" and i.verdict in ("long", "short")}
    assert off["bent-over row", 1].drift_s == pytest.approx(6.5, abs=1.5)
    assert off["goblet squat", 2].drift_s == pytest.approx(7.5, abs=1.5)
    assert off["dead bug", 2].verdict == "short"


@pytest.mark.parametrize(
    "name", ["full_body_four_by_three", "tabata_three_blocks", "hips_and_hamstrings", "terse_core"]
)
def test_verdicts_of_scripted_classes_follow_their_true_drift(name: str) -> None:
    for interval in from_script(script(name)).measures().intervals:
        if interval.drift_s is None:
            continue
        clear = abs(abs(interval.drift_s) - 2.0) > 0.15  # U of two edges of 50 ms is 0.14 s
        true = "on time" if abs(interval.drift_s) < 2 else "long" if interval.drift_s > 0 else "short"
        assert interval.verdict == (true if clear else "undecided")
