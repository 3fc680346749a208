"""Measured lengths with their uncertainty and verdict. Seconds, because people and tables read them.

``*_sd_s`` are standard uncertainties; the expanded uncertainty is U = 2 sd. Drift is actual minus announced:
positive ran long. Verdicts follow the guard band of ILAC-G8:09/2019, 4.2 (see ``verdict``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from analyzer.outline.records import PhaseName, Segment, TimeCall

__all__ = ["Block", "Interval", "MeasuredCall", "Measures", "SideBalance", "Totals", "Trend", "Verdict"]

Verdict = Literal["on time", "long", "short", "undecided", "untimed"]


@dataclass(frozen=True, slots=True)
class Interval:
    """A segment with its length. ``drift_s`` is None, and the verdict "untimed", where no length was told."""

    segment: Segment
    actual_s: float
    actual_sd_s: float
    drift_s: float | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class MeasuredCall:
    """A time call against the clock of its interval.

    ``actual`` is in the unit of the call (seconds elapsed or remaining; fraction done), None when the call
    stands in no interval. ``error_s`` is said minus true position in seconds: positive means the call said
    that more of the interval had passed than really had (it came early). Remaining calls are measured
    against the actual stop. Verdict: "on time" within tolerance, "long" = late, "short" = early.
    """

    call: TimeCall
    actual: float | None
    error_s: float | None
    error_sd_s: float | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class SideBalance:
    """Left against right of one move in one round (``round`` None where none was told); sums of seconds."""

    exercise: str
    round: int | None
    left_s: float
    right_s: float
    difference_s: float
    """Left minus right."""
    difference_sd_s: float
    verdict: Literal["equal", "left longer", "right longer", "undecided"]
    at_ms: int


@dataclass(frozen=True, slots=True)
class Totals:
    """The class in numbers. Seconds; ``drift_*`` over work intervals with an announced length.

    The counts of verdicts are over the same work intervals. ``words_per_minute`` is words over the whole
    recording, silences included, so a floor of the speaking rate; None for an empty recording.
    ``longest_silence_s`` lies between the likely end of a word and the likely start of the next.
    """

    length_s: float
    work_s: float
    rest_s: float
    work_intervals: int
    rest_intervals: int
    timed_intervals: int
    on_time: int
    long: int
    short: int
    undecided: int
    announced_s: float
    actual_of_announced_s: float
    drift_mean_s: float | None
    drift_mean_sd_s: float | None
    words: int
    words_per_minute: float | None
    longest_silence_s: float
    warm_up_s: float
    cool_down_s: float

    @property
    def work_to_rest(self) -> float | None:
        """Work seconds for each second of rest; None without rests."""
        return self.work_s / self.rest_s if self.rest_s else None


@dataclass(frozen=True, slots=True)
class Block:
    """Consecutive intervals of one phase and one round (None where no round was told), rests included.

    ``start_ms`` to ``stop_ms`` is from its first start to its last stop. Sums of seconds are over its
    ``timed`` intervals, those with an announced length; ``intervals`` are indices of ``Measures.intervals``.
    """

    phase: PhaseName
    round: int | None
    start_ms: int
    stop_ms: int
    intervals: tuple[int, ...]
    timed: int
    announced_s: float
    actual_s: float
    drift_s: float
    drift_sd_s: float


@dataclass(frozen=True, slots=True)
class Trend:
    """Least-squares line of work drift against time of class: do intervals grow as the class goes on?

    ``slope_s`` is seconds of drift for each minute of class, ``slope_sd_s`` its standard error, ``p`` the
    two-sided p-value of no slope, ``count`` the intervals used. "no trend" unless p < 0.05.
    """

    slope_s: float
    slope_sd_s: float
    p: float
    count: int
    verdict: Literal["growing longer", "growing shorter", "no trend"]


@dataclass(frozen=True, slots=True)
class Measures:
    """Everything measured in one class, in order of time. ``trend`` is None with too few timed intervals."""

    intervals: tuple[Interval, ...]
    calls: tuple[MeasuredCall, ...]
    sides: tuple[SideBalance, ...]
    totals: Totals
    blocks: tuple[Block, ...] = ()
    trend: Trend | None = None
