"""Verdicts and uncertainty against worked values of metrology."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracle import edge

from analyzer.measures.records import Verdict
from analyzer.measures.verdict import COVERAGE, combined_sd_s, judge

HALF_SECOND_MS = 289
"""A reading known to +-0.5 s: 0.5 / sqrt(3) s (JCGM 100:2008, 4.3.7, rectangular)."""


def test_two_readings_to_half_a_second_make_a_length() -> None:
    # JCGM 100: 0.289 s each, 0.408 s together, 0.816 s expanded with k = 2
    assert pytest.approx(1000 * 0.5 / sqrt(3), abs=0.5) == HALF_SECOND_MS
    sd = combined_sd_s([(1, edge(40, sd_ms=HALF_SECOND_MS)), (-1, edge(0, sd_ms=HALF_SECOND_MS))])
    assert sd == pytest.approx(0.408, abs=0.001)
    assert COVERAGE * sd == pytest.approx(0.816, abs=0.002)


@pytest.mark.parametrize(
    ("drift_s", "verdict"),
    [(1.1, "on time"), (1.5, "undecided"), (2.5, "undecided"), (2.9, "long"), (-1.1, "on time"),
     (-2.5, "undecided"), (-2.9, "short"), (0.0, "on time")],
)
def test_guard_band_of_ilac_g8(drift_s: float, verdict: Verdict) -> None:
    # ILAC-G8:09/2019, 4.2, with TL 2 s and guard band U 0.816 s: passes up to 1.184, fails above 2.816
    assert judge(drift_s, 0.408, 2.0) == verdict


def test_the_borders_themselves() -> None:
    # "pass up to TL - w", "fail above TL + w"
    assert judge(1.5, 0.25, 2.0) == "on time"
    assert judge(2.5, 0.25, 2.0) == "undecided"
    assert judge(2.5001, 0.25, 2.0) == "long"


def test_a_file_too_coarse_never_says_on_time() -> None:
    assert {judge(d / 10, 1.5, 2.0) for d in range(-49, 50)} == {"undecided"}
    assert judge(5.1, 1.5, 2.0) == "long"


@pytest.mark.parametrize(("sd_s", "tolerance_s"), [(-0.1, 2.0), (0.1, -2.0)])
def test_negative_limits_are_refused(sd_s: float, tolerance_s: float) -> None:
    with pytest.raises(ValueError, match="cannot be negative"):
        judge(0.0, sd_s, tolerance_s)


@given(st.floats(-60, 60), st.floats(0, 10), st.floats(0, 10))
def test_long_and_short_are_mirror_images(drift: float, sd: float, tolerance: float) -> None:
    mirror: dict[Verdict, Verdict] = {"long": "short", "short": "long"}
    verdict = judge(drift, sd, tolerance)
    assert judge(-drift, sd, tolerance) == mirror.get(verdict, verdict)


@given(st.floats(-60, 60), st.floats(0, 5), st.floats(0, 5), st.floats(0, 10))
def test_more_uncertainty_never_turns_one_verdict_into_another(
    drift: float, sd: float, more: float, tolerance: float
) -> None:
    sure, unsure = judge(drift, sd, tolerance), judge(drift, sd + more, tolerance)
    assert unsure in (sure, "undecided")


def test_inner_moments_cancel_in_a_sum_and_double_in_a_difference() -> None:
    # (b - a) + (c - b) = c - a: two moments; (b - a) - (c - b) = 2 b - a - c: variance 4 + 1 + 1
    a, b, c = edge(0, sd_ms=100), edge(30, sd_ms=100), edge(60, sd_ms=100)
    total = combined_sd_s([(1, b), (-1, a), (1, c), (-1, b)])
    difference = combined_sd_s([(1, b), (-1, a), (-1, c), (1, b)])
    assert total == pytest.approx(0.1 * sqrt(2))
    assert difference == pytest.approx(0.1 * sqrt(6))
