"""Spans and the clock that people read."""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analyzer.spans import Span, clock

TIMES = st.integers(-10_000, 100_000_000)
SPANS = st.tuples(TIMES, TIMES).map(lambda pair: Span(min(pair), max(pair)))


def test_a_reversed_span_is_refused_naming_both_times() -> None:
    with pytest.raises(ValueError, match=r"end \(1000 ms\) before it starts \(2500 ms\)"):
        Span(2_500, 1_000)


def test_a_span_may_have_no_length_and_then_holds_no_time() -> None:
    assert Span(5, 5).duration_ms == 0
    assert 5 not in Span(5, 5)


def test_a_span_cannot_be_changed() -> None:
    span = Span(0, 1)
    with pytest.raises(FrozenInstanceError):
        span.end_ms = 2  # type: ignore[misc]


def test_spans_sort_by_start_then_end() -> None:
    assert sorted([Span(2, 3), Span(1, 9), Span(1, 2)]) == [Span(1, 2), Span(1, 9), Span(2, 3)]


@pytest.mark.parametrize(
    ("a", "b", "overlap", "gap"),
    [
        (Span(0, 10), Span(20, 30), 0, 10),
        (Span(0, 10), Span(10, 30), 0, 0),
        (Span(0, 10), Span(4, 30), 6, -6),
        (Span(0, 30), Span(10, 20), 10, -20),
        (Span(20, 30), Span(0, 10), 0, -30),
    ],
)
def test_overlap_and_gap(a: Span, b: Span, overlap: int, gap: int) -> None:
    assert (a.overlap_ms(b), a.gap_to_ms(b)) == (overlap, gap)


@given(SPANS, TIMES)
def test_a_span_holds_its_start_and_not_its_end(span: Span, at: int) -> None:
    assert (at in span) == (at in range(span.start_ms, span.end_ms))


@given(SPANS, SPANS)
def test_overlap_is_the_length_of_what_two_spans_share(a: Span, b: Span) -> None:
    shared = range(max(a.start_ms, b.start_ms), min(a.end_ms, b.end_ms))
    assert a.overlap_ms(b) == b.overlap_ms(a) == len(shared)
    assert a.overlap_ms(a) == a.duration_ms == len(range(a.start_ms, a.end_ms))


@given(SPANS, SPANS)
def test_spans_with_a_gap_share_nothing(a: Span, b: Span) -> None:
    if a.gap_to_ms(b) >= 0:
        assert a.overlap_ms(b) == 0
        assert a.end_ms <= b.start_ms


@pytest.mark.parametrize(
    ("ms", "shown"),
    [
        (0, "0:00"),
        (999, "0:00"),
        (1_000, "0:01"),
        (59_999, "0:59"),
        (60_000, "1:00"),
        (599_000, "9:59"),
        (3_599_999, "59:59"),
        (3_600_000, "1:00:00"),
        (36_061_000, "10:01:01"),
        (-1, "0:00"),
        (1_999.9, "0:01"),
    ],
)
def test_clock_reads_as_a_player_does(ms: float, shown: str) -> None:
    assert clock(ms) == shown


@given(st.integers(0, 10 * 3_600_000 - 1))
def test_clock_agrees_with_the_standard_library(ms: int) -> None:
    # str(timedelta) is h:mm:ss for whole seconds below a day; a player leaves the hours off under one hour
    whole = str(timedelta(seconds=ms // 1000))
    assert clock(ms) == (whole if ms >= 3_600_000 else whole[3:] if whole[2] == "0" else whole[2:])
