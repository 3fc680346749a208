"""What counts as the same thing: worked overlaps, boundary hit rates of mir_eval, names."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

import mir_eval
import numpy as np
import pytest
from bench_documents import NAMES, as_document, facts
from hypothesis import given
from hypothesis import strategies as st

from analyzer.bench.matching import (
    Record,
    boundaries,
    boundary_hits,
    closest,
    match,
    match_times,
    name_tokens,
    overlap,
    same_name,
)
from analyzer.bench.tally import WITHIN_S, Count


def spans(*edges: float) -> list[dict[str, float]]:
    """Intervals end to end."""
    return [{"start_s": a, "stop_s": b} for a, b in pairwise(edges)]


def span(start_s: float, stop_s: float) -> dict[str, float]:
    return {"start_s": start_s, "stop_s": stop_s}


def test_temporal_overlap_worked() -> None:
    # temporal intersection over union by hand: [0,40] and [2,44] share 38 of 44
    assert overlap(span(0, 40), span(2, 44)) == pytest.approx(38 / 44)
    assert round(38 / 44, 3) == 0.864
    assert overlap(span(0, 40), span(40, 44)) == 0.0
    assert overlap(span(5, 5), span(5, 5)) == 0.0


@given(st.tuples(*[st.integers(0, 50)] * 4))
def test_overlap_is_symmetric_and_one_only_for_the_same(edges: tuple[int, int, int, int]) -> None:
    a, b = span(edges[0], edges[0] + edges[1]), span(edges[2], edges[2] + edges[3])
    assert overlap(a, b) == overlap(b, a)
    assert (overlap(a, b) == 1.0) == (a == b and edges[1] > 0)


def test_an_interval_has_one_partner_and_the_best_goes_first() -> None:
    true = [span(0, 40), span(40, 80)]
    found = [span(1, 41), span(0, 40), span(62, 80), span(60, 80)]
    # [62,80] covers 18/40 of the second, [60,80] exactly half: half is enough
    assert match(true, found) == [(true[0], found[1]), (true[1], found[3])]
    assert match(true, []) == match([], found) == []


@pytest.mark.parametrize(("within_s", "precision", "recall", "f1"), [(0.5, 0.8, 0.8, 0.8), (3, 1, 1, 1)])
def test_boundary_rate_worked(within_s: float, precision: float, recall: float, f1: float) -> None:
    # run with mir_eval 0.8.2: reference 0/20/30/50/60, estimate 0/20.4/31.2/50/60
    counted = rate(spans(0, 20, 30, 50, 60), spans(0, 20.4, 31.2, 50, 60), within_s)
    assert (counted.precision, counted.recall, counted.f1) == pytest.approx((precision, recall, f1))


def test_boundary_rate_worked_without_the_ends() -> None:
    # run with mir_eval 0.8.2, trimmed: F 0.667 at 0.5 s; and 0/10/20 against 0/9.8/10.2/20: P 0.5, R 1
    first = Count(3, 3, boundary_hits([20, 30, 50], [20.4, 31.2, 50], 0.5))
    assert first.f1 == pytest.approx(2 / 3)
    second = Count(1, 2, boundary_hits([10], [9.8, 10.2], 0.5))
    assert (second.precision, second.recall) == (0.5, 1.0)
    assert second.f1 == pytest.approx(2 / 3)


def rate(true: Iterable[Record], found: Iterable[Record], within_s: float) -> Count:
    a, b = boundaries(true), boundaries(found)
    return Count(len(a), len(b), boundary_hits(a, b, within_s))


def reference_rate(true: Iterable[Record], found: Iterable[Record], within_s: float) -> Any:
    arrays = [np.array([[i["start_s"], i["stop_s"]] for i in intervals]) for intervals in (true, found)]
    return mir_eval.segment.detection(*arrays, window=within_s)


@pytest.mark.parametrize("within_s", WITHIN_S)
@pytest.mark.parametrize("later_s", [0.0, 0.3, 0.7, 2.6, 3.4, 12.0])
@pytest.mark.parametrize("name", [name for name in NAMES if name != "recipe_show"])
def test_boundary_rate_is_that_of_mir_eval(name: str, later_s: float, within_s: float) -> None:
    true = facts(name)["intervals"]
    found = as_document(facts(name), later_s=later_s)["intervals"]
    # and some of it lost, so that precision and recall differ
    del found[1::3]
    counted = rate(true, found, within_s)
    got = (counted.precision, counted.recall, counted.f1)
    assert got == pytest.approx(reference_rate(true, found, within_s))


EIGHTHS = st.lists(st.integers(0, 400), min_size=2, max_size=12, unique=True).map(
    lambda ticks: spans(*(tick / 8 for tick in sorted(ticks)))
)
"""Eighths of a second are exact in binary: two times just a window apart are so for everybody."""


@given(EIGHTHS, EIGHTHS, st.sampled_from([0.125, *WITHIN_S]))
def test_boundary_matching_is_the_largest(
    true: list[dict[str, float]], found: list[dict[str, float]], within_s: float
) -> None:
    counted = rate(true, found, within_s)
    got = (counted.precision, counted.recall, counted.f1)
    assert got == pytest.approx(reference_rate(true, found, within_s))


def test_times_match_nearest_first() -> None:
    # 10 could have either; 11 is nearer, and 16 is then left without
    assert match_times([10], [11, 16], 8) == 1
    assert match_times([10, 20], [13, 24.5], 4) == 1
    assert match_times([10, 20], [13, 24], 4) == 2
    # the price of nearest first: 12-13 leaves 10 and 16 over, where 10-13 and 12-16 were possible
    assert match_times([10, 12], [13, 16], 4) == 1
    assert boundary_hits([10, 12], [13, 16], 4) == 2


TIMES = st.lists(st.integers(0, 60), max_size=8)


@given(TIMES, TIMES, st.integers(0, 12))
def test_nearest_first_finds_at_least_half_of_the_largest_matching(
    true: list[int], found: list[int], slack: int
) -> None:
    got, largest = match_times(true, found, slack), boundary_hits(sorted(true), sorted(found), slack)
    # a maximal matching is at least half a maximum one (a textbook bound, from memory)
    assert largest <= 2 * got
    assert got <= largest


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [
        ("squats", "Squat", True),
        ("reverse lunges", "lunges", True),
        ("the plank", "plank of the week", True),
        ("side plank with reach", "plank", True),
        ("high knees", "high plank taps", True),
        ("jumping jacks", "jumps and claps", False),
        # the blunt plural rule, as documented
        ("lunges", "lunge", False),
        ("presses", "press", False),
        ("squats", "plank", False),
        ("squats", None, False),
        (None, None, False),
        ("the", "the", False),
    ],
)
def test_names(a: str | None, b: str | None, same: bool) -> None:
    assert same_name(a, b) == same_name(b, a) == same


def test_the_closest_name_shares_most_words() -> None:
    names = [name_tokens(name) for name in ("squats", "squat jumps", "side plank")]
    assert closest("jump squats", names) == frozenset({"squat", "jump"})
    assert closest("squat", names) == frozenset({"squat"})
    assert closest("burpees", names) is None
    assert closest(None, names) is None
    assert closest("squats", []) is None
