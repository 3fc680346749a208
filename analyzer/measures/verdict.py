"""On time, long, short, or not to be told from this file.

Decision rule: the guard band of ILAC-G8:09/2019, 4.2 (also JCGM 106). With tolerance T, standard
uncertainty u and expanded uncertainty U = 2u (about 95 %):

- on time   where |drift| <= T - U
- long      where drift > T + U
- short     where drift < -(T + U)
- undecided in between: the file cannot carry a verdict.

A moment that is used twice is one measurement (JCGM 100, 5.2: correlated input quantities). The stop of one
interval and the start of the next are the same spoken word, so in a sum of consecutive intervals the inner
moments cancel and only the outer two count, while in "left minus right" the shared one counts double.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

from analyzer.measures.records import Verdict
from analyzer.outline.records import Edge

__all__ = ["COVERAGE", "Tolerance", "combined_sd_s", "judge", "judge_among"]

COVERAGE = 2.0
"""k of U = k u: about 95 % of a normal distribution (JCGM 100, 6.3.3)."""


SURE = 0.8
"""How likely the words of an interval's edges must be; chosen on classes left out (see DEVELOPERS.md)."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far off is still on time, in seconds: work and rest intervals, time calls, left against right."""

    work_s: float = 2.0
    rest_s: float = 2.0
    call_s: float = 3.0
    sides_s: float = 2.0


def judge(drift_s: float, sd_s: float, tolerance_s: float) -> Verdict:
    """Verdict on a drift (seconds, positive = long) known with standard uncertainty ``sd_s``.

    Raises ValueError for a negative uncertainty or tolerance.

    >>> judge(6.1, 0.1, 2), judge(1.5, 0.408, 2)
    ('long', 'undecided')
    """
    if sd_s < 0 or tolerance_s < 0:
        raise ValueError(f"uncertainty ({sd_s} s) and tolerance ({tolerance_s} s) cannot be negative")
    expanded = COVERAGE * sd_s
    if abs(drift_s) <= tolerance_s - expanded:
        return "on time"
    if abs(drift_s) > tolerance_s + expanded:
        return "long" if drift_s > 0 else "short"
    return "undecided"


def judge_among(
    drift_s: float, others: Iterable[tuple[float, float]], sd_s: float, tolerance_s: float
) -> Verdict:
    """Verdict where the interval may have had another length, because other words may have been its edges.

    ``others`` are (how much longer, probability), summing to 1 or less: the rest is doubt about what was
    told. ``sd_s`` is what is not known of the words' own times. Each possible length is judged by the guard
    band; the verdict stands when lengths with a probability of SURE or more agree on it, else undecided.

    >>> judge_among(1.1, [(0, 1)], 0.408, 2), judge_among(0.1, [(0, 0.7), (9, 0.3)], 0.1, 2)
    ('on time', 'undecided')
    """
    chances: dict[Verdict, float] = defaultdict(float)
    for more, p in others:
        chances[judge(drift_s + more, sd_s, tolerance_s)] += p
    likeliest = max(chances, key=chances.__getitem__)
    return likeliest if chances[likeliest] >= SURE else "undecided"


def combined_sd_s(terms: Iterable[tuple[float, Edge]]) -> float:
    """Standard uncertainty, in seconds, of a sum of ``factor * edge``.

    Edges at one time are one measurement: their factors add up before they are squared. Different edges
    are taken as independent, which overstates the uncertainty of two words of one caption, never the reverse.
    """
    factors: dict[int, float] = defaultdict(float)
    sds: dict[int, int] = {}
    for factor, edge in terms:
        factors[edge.at_ms] += factor
        sds[edge.at_ms] = max(edge.sd_ms, sds.get(edge.at_ms, 0))
    return sqrt(sum((factor * sds[at]) ** 2 for at, factor in factors.items())) / 1000
