"""Sides, blocks, trend and tables; sums that share moments."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from oracle import SAMPLES, from_script, heard, rest, script, segment
from scipy import stats

from analyzer.measures.groups import measure_blocks, measure_sides
from analyzer.measures.tables import frames
from analyzer.measures.trend import fit_trend, two_sided_p
from analyzer.outline.records import Segment


def pair(left_s: float, right_s: float, at_s: float = 100.0, **more: Any) -> list[Segment]:
    middle = at_s + left_s
    return [
        segment(at_s, middle, "quad stretch", 30, side="left", **more),
        segment(middle + 3, middle + 3 + right_s, "quad stretch", 30, side="right", **more),
    ]


def test_sides_of_one_move() -> None:
    (balance,) = measure_sides(pair(30, 36.5), 2.0)
    assert (balance.left_s, balance.right_s) == (30.0, 36.5)
    assert balance.difference_s == pytest.approx(-6.5)
    assert balance.difference_sd_s == pytest.approx(0.05 * 2)  # four moments
    assert balance.verdict == "right longer"
    assert balance.at_ms == 100_000


def test_sides_within_the_tolerance_are_equal_and_coarse_times_undecided() -> None:
    assert measure_sides(pair(30, 31), 2.0)[0].verdict == "equal"
    assert measure_sides(pair(30, 33, sd_ms=1500), 2.0)[0].verdict == "undecided"


def test_a_spoken_switch_is_one_moment_counted_twice() -> None:
    sides = [segment(0, 30, "lunge", 30, side="left"), segment(30, 60, "lunge", 30, side="right")]
    assert measure_sides(sides, 2.0)[0].difference_sd_s == pytest.approx(0.05 * sqrt(6))


def test_sides_by_round_unless_the_rounds_take_turns() -> None:
    by_round = [*pair(30, 30, 100, round=1), *pair(40, 30, 300, round=2)]
    assert [(b.round, b.verdict) for b in measure_sides(by_round, 2.0)] == [(1, "equal"), (2, "left longer")]
    in_turn = [
        segment(0, 30, "side plank", 30, side="left", round=1),
        segment(50, 80, "side plank", 30, side="right", round=2),
    ]
    (balance,) = measure_sides(in_turn, 2.0)
    assert (balance.round, balance.verdict) == (None, "equal")


def test_one_side_alone_and_sides_of_repetitions() -> None:
    (balance,) = measure_sides(pair(30, 30)[:1], 2.0)
    assert (balance.left_s, balance.right_s) == (30.0, 0.0)
    assert measure_sides(pair(30, 45, counted="reps"), 2.0) == ()


def blocks_of(segments: Sequence[Segment]) -> list[tuple[str, int | None, int]]:
    blocks = measure_blocks(heard(segments).measures().intervals)
    return [(b.phase, b.round, len(b.intervals)) for b in blocks]


def test_blocks_are_runs_of_one_phase_and_round_with_their_rests() -> None:
    segments = [
        segment(0, 30, "march", 30, phase="warm-up"),
        segment(60, 100, "squats", 40, round=1),
        rest(100, 120, 20),
        segment(120, 160, "rows", 40, round=1),
        rest(160, 220, 60),
        segment(220, 260, "squats", 40, round=2),
    ]
    assert blocks_of(segments) == [("warm-up", None, 1), ("main", 1, 4), ("main", 2, 1)]


@given(st.lists(st.floats(5, 90), min_size=1, max_size=12), st.integers(1, 2000))
def test_a_contiguous_block_is_as_uncertain_as_its_two_ends(lengths: list[float], sd_ms: int) -> None:
    segments, at = [], 0.0
    for length in lengths:
        segments.append(segment(at, at + length, "move", 40, sd_ms=sd_ms))
        at += length
    (block,) = measure_blocks(heard(segments).measures().intervals)
    assert block.drift_sd_s == pytest.approx(sd_ms / 1000 * sqrt(2))
    assert block.actual_s == pytest.approx((block.stop_ms - block.start_ms) / 1000, abs=0.02)
    assert block.drift_s == pytest.approx(block.actual_s - 40 * len(lengths))


def test_untimed_intervals_stay_out_of_the_drift_of_a_block() -> None:
    (block,) = measure_blocks(heard([segment(0, 41, announced_s=40), segment(41, 90)]).measures().intervals)
    assert (block.timed, block.announced_s, block.actual_s, block.drift_s) == (1, 40.0, 41.0, 1.0)


@given(st.floats(-50, 50), st.integers(1, 60))
def test_t_distribution_is_the_one_of_scipy(t: float, degrees: int) -> None:
    assert two_sided_p(t, degrees) == pytest.approx(2 * stats.t.sf(abs(t), degrees), abs=1e-9)


def test_t_distribution_needs_a_degree_of_freedom() -> None:
    with pytest.raises(ValueError, match="at least one degree"):
        two_sided_p(1.0, 0)


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(-100, 100)), min_size=5, max_size=30))
def test_line_is_the_one_of_scipy(points: list[tuple[int, int]]) -> None:
    xs, ys = [float(x) for x, _ in points], [y / 10 for _, y in points]
    trend = fit_trend(xs, ys)
    if len(set(xs)) == 1:
        assert trend is None
        return
    assume(len(set(ys)) > 1)  # SciPy gives no standard error to a constant
    expected = stats.linregress(xs, ys)
    assert trend is not None
    assert trend.slope_s == pytest.approx(expected.slope, abs=1e-9)
    assert trend.slope_sd_s == pytest.approx(expected.stderr, abs=1e-6)
    if expected.stderr > 1e-6:
        assert trend.p == pytest.approx(expected.pvalue, abs=1e-6)


def test_trend_needs_five_intervals_and_a_slope_that_chance_does_not_explain() -> None:
    assert fit_trend([0, 1, 2, 3], [0, 1, 2, 3]) is None
    rising = fit_trend([0, 1, 2, 3, 4, 5], [0.1, 0.9, 2.1, 3.0, 3.9, 5.1])
    falling = fit_trend([0, 1, 2, 3, 4, 5], [0.1, -0.9, -2.1, -3.0, -3.9, -5.1])
    flat = fit_trend([0, 1, 2, 3, 4, 5], [1, -1, 1, -1, 1, -1])
    exact = fit_trend([0, 1, 2, 3, 4, 5], [2, 2, 2, 2, 2, 2])
    assert [t and t.verdict for t in (rising, falling, flat, exact)] == [
        "growing longer", "growing shorter", "no trend", "no trend",
    ]
    with pytest.raises(ValueError, match="2 times for 1 drifts"):
        fit_trend([0, 1], [0])


def test_tables_hold_every_row_and_stay_typed_when_empty() -> None:
    measures = from_script(SAMPLES / "first_take.class").measures()
    full, empty = frames(measures), frames(heard([]).measures())
    assert {name: len(table) for name, table in full.items()} == {
        "intervals": len(measures.intervals), "time_calls": len(measures.calls),
        "sides": len(measures.sides), "blocks": len(measures.blocks),
    }
    for name, table in full.items():
        assert len(table)
        assert list(table.dtypes) == list(empty[name].dtypes)
    assert full["intervals"]["drift_s"].sum() == pytest.approx(
        sum(i.drift_s for i in measures.intervals if i.drift_s is not None)
    )


def test_mirrored_stretches_get_one_row_a_move() -> None:
    sides = from_script(script("full_body_stretch_mirrored")).measures().sides
    assert len({(b.exercise, b.round) for b in sides}) == len(sides)
    unequal = {b.exercise for b in sides if b.verdict in ("left longer", "right longer")}
    # the script cuts one neck stretch by 10 s and lets one hamstring stretch run 14 s over
    assert {"neck stretch", "hamstring stretch"} <= unequal
