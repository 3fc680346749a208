"""Counts of how well analyses agree with the truth, and the figures made of them.

Tallies add up, so a figure over many classes is a figure of the sum, not a mean of figures. ``FIGURES`` is
the table of what is made of a tally: to add one, add a line. ``None`` is no figure: nothing to measure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields
from operator import add
from statistics import median
from typing import Literal

from analyzer.outline.records import CUE_KINDS

__all__ = ["FIGURES", "WITHIN_S", "Count", "EdgeError", "Figure", "Share", "Tally", "count", "figures"]

WITHIN_S = (0.5, 3.0)
"""Windows of the boundary hit rate: the two that mir_eval.segment.detection shows."""


@dataclass(frozen=True, slots=True)
class Count:
    """Things that are true, things that were found, and pairs of the two."""

    true: int = 0
    found: int = 0
    both: int = 0

    def __add__(self, other: Count) -> Count:
        return Count(self.true + other.true, self.found + other.found, self.both + other.both)

    @property
    def precision(self) -> float | None:
        """Share of what was found that is true; None when nothing was found."""
        return self.both / self.found if self.found else None

    @property
    def recall(self) -> float | None:
        """Share of what is true that was found; None when nothing is true."""
        return self.both / self.true if self.true else None

    @property
    def f1(self) -> float:
        """Harmonic mean of the two; 1 when there was nothing to find and nothing was found."""
        return 2 * self.both / (self.true + self.found) if self.true + self.found else 1.0


@dataclass(frozen=True, slots=True)
class Share:
    """``right`` cases of ``of``."""

    right: int = 0
    of: int = 0

    def __add__(self, other: Share) -> Share:
        return Share(self.right + other.right, self.of + other.of)

    @property
    def value(self) -> float | None:
        """0 to 1; None of no cases."""
        return self.right / self.of if self.of else None


def count(flags: Iterable[bool]) -> Share:
    """The share of flags that are true."""
    seen = [bool(flag) for flag in flags]
    return Share(sum(seen), len(seen))


@dataclass(frozen=True, slots=True)
class EdgeError:
    """How far one start or stop is off, and its claimed standard uncertainty (None: none claimed)."""

    edge: Literal["start", "stop"]
    error_s: float
    sd_s: float | None

    @property
    def covered(self) -> bool:
        """The error lies within 2u; a nanosecond of grace for the arithmetic."""
        return self.sd_s is not None and self.error_s <= 2 * self.sd_s + 1e-9


@dataclass(frozen=True, slots=True)
class Tally:
    """Counts of one comparison, or of many: tallies add up, and ``Tally()`` is none.

    ``boundaries`` follow WITHIN_S, ``said`` follows CUE_KINDS.
    """

    works: Count = Count()
    rests: Count = Count()
    calls: Count = Count()
    missing: Count = Count()
    boundaries: tuple[Count, ...] = (Count(),) * len(WITHIN_S)
    said: tuple[Count, ...] = (Count(),) * len(CUE_KINDS)
    lengths: Share = Share()
    names: Share = Share()
    sides: Share = Share()
    phases: Share = Share()
    decided: Share = Share()
    verdicts: Share = Share()
    edges: tuple[EdgeError, ...] = ()

    def __add__(self, other: Tally) -> Tally:
        sums = {f.name: getattr(self, f.name) + getattr(other, f.name) for f in fields(self)}
        for columns in ("boundaries", "said"):
            sums[columns] = tuple(map(add, getattr(self, columns), getattr(other, columns)))
        return Tally(**sums)


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a tally: its key in data, its label, and a heading where it is shown class by class."""

    key: str
    label: str
    value: Callable[[Tally], float | None]
    heading: str | None = None


def _errors(tally: Tally) -> list[float]:
    return [edge.error_s for edge in tally.edges]


def _median(values: Sequence[float]) -> float | None:
    return median(values) if values else None


def _p90(values: Sequence[float]) -> float | None:
    return sorted(values)[int(0.9 * (len(values) - 1))] if values else None


def _covered(tally: Tally, *edges: str) -> float | None:
    return count(e.covered for e in tally.edges if e.sd_s is not None and e.edge in edges).value


def _said_figure(index: int, kind: str) -> Figure:
    return Figure(f"said_{kind}_f1", f"{kind} cues, F1", lambda tally: tally.said[index].f1, kind)


FIGURES: tuple[Figure, ...] = (
    Figure("work_f1", "work intervals, F1", lambda t: t.works.f1, "work"),
    Figure("rest_f1", "rests, F1", lambda t: t.rests.f1),
    Figure("boundary_05_f1", "boundaries within 0.5 s, F1", lambda t: t.boundaries[0].f1),
    Figure("boundary_3_f1", "boundaries within 3 s, F1", lambda t: t.boundaries[1].f1),
    Figure("edge_median_s", "edge error, median (s)", lambda t: _median(_errors(t)), "edges"),
    Figure("edge_p90_s", "edge error, 90 % (s)", lambda t: _p90(_errors(t))),
    Figure("covered_2sd", "edges within 2u", lambda t: _covered(t, "start", "stop"), "in 2u"),
    Figure("covered_start", "starts within 2u", lambda t: _covered(t, "start")),
    Figure("covered_stop", "stops within 2u", lambda t: _covered(t, "stop")),
    Figure("expanded_median_s", "2u, median (s)",
           lambda t: _median([2 * e.sd_s for e in t.edges if e.sd_s is not None])),
    Figure("announced", "announced length right", lambda t: t.lengths.value, "length"),
    Figure("named", "move named right", lambda t: t.names.value, "move"),
    Figure("side", "side right", lambda t: t.sides.value),
    Figure("phase_right", "phase right", lambda t: t.phases.value),
    Figure("decided", "verdict decided", lambda t: t.decided.value, "decided"),
    Figure("verdict_right", "decided verdict right", lambda t: t.verdicts.value, "right"),
    Figure("calls_f1", "time calls, F1", lambda t: t.calls.f1, "calls"),
    *(_said_figure(index, kind) for index, kind in enumerate(CUE_KINDS)),
    Figure("missing_cue_precision", "missing cues, precision", lambda t: t.missing.precision),
    Figure("missing_cue_recall", "missing cues, recall", lambda t: t.missing.recall),
)  # fmt: skip


def figures(tally: Tally) -> dict[str, float | None]:
    """Every figure of a tally by key, to three decimals; None where there was nothing to measure."""
    values = {figure.key: figure.value(tally) for figure in FIGURES}
    return {key: None if value is None else round(value, 3) for key, value in values.items()}
