"""Do the intervals grow longer, or shorter, as the class goes on?

Ordinary least squares with a two-sided t-test of the slope. The t distribution function for a whole number
of degrees of freedom is a finite sum (Abramowitz and Stegun 26.7.3 and 26.7.4, from memory; checked against
SciPy in the tests), so nothing beyond the standard library is needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, fsum, inf, pi, sin, sqrt

from analyzer.measures.records import Trend

__all__ = ["fit_trend", "two_sided_p"]

LEAST = 5
"""Intervals below which no trend is reported: three residual degrees of freedom are the least to trust."""
SIGNIFICANT = 0.05


def two_sided_p(t: float, degrees: int) -> float:
    """Chance of a t statistic at least this far from 0, with ``degrees`` (1 or more) of freedom.

    >>> round(two_sided_p(12.706, 1), 3), round(two_sided_p(2.228, 10), 3)
    (0.05, 0.05)
    """
    if degrees < 1:
        raise ValueError(f"a t-test needs at least one degree of freedom, not {degrees}")
    theta = atan2(abs(t), sqrt(degrees))
    odd = degrees % 2
    # cos + 2/3 cos^3 + ... for odd degrees, 1 + 1/2 cos^2 + ... for even ones
    term, total = (cos(theta), 0.0) if odd else (1.0, 0.0)
    for power in range(odd, degrees - 1, 2):
        total += term
        term *= (power + 1) / (power + 2) * cos(theta) ** 2
    within = 2 / pi * (theta + sin(theta) * total) if odd else sin(theta) * total
    return min(1.0, max(0.0, 1.0 - within))


def fit_trend(minutes: Sequence[float], drifts_s: Sequence[float]) -> Trend | None:
    """Line through drift (seconds) against time of class (minutes); None under LEAST points or no spread."""
    count = len(minutes)
    if count != len(drifts_s):
        raise ValueError(f"{count} times for {len(drifts_s)} drifts")
    if count < LEAST:
        return None
    mean_x, mean_y = fsum(minutes) / count, fsum(drifts_s) / count
    sxx = fsum((x - mean_x) ** 2 for x in minutes)
    if sxx == 0:
        return None
    slope = fsum((x - mean_x) * (y - mean_y) for x, y in zip(minutes, drifts_s, strict=True)) / sxx
    left_over = fsum(
        (y - mean_y - slope * (x - mean_x)) ** 2 for x, y in zip(minutes, drifts_s, strict=True)
    )
    sd = sqrt(left_over / (count - 2) / sxx)
    t = slope / sd if sd else (inf if slope else 0.0)
    p = two_sided_p(t, count - 2)
    if p >= SIGNIFICANT:
        return Trend(slope, sd, p, count, "no trend")
    return Trend(slope, sd, p, count, "growing longer" if slope > 0 else "growing shorter")
