"""Drift of each timed interval with its uncertainty against the tolerance band: one line an interval.

x is seconds of drift, y pixels downwards. Bars of uncertainty are 2u to each side; the shape of the mark and
the word beside it say the verdict. Every timed work interval is there, and the rests that were not on time.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING

from analyzer.measures.records import Interval, Measures, Verdict
from analyzer.measures.verdict import COVERAGE, Tolerance
from analyzer.report.palette import LIGHT, Role
from analyzer.report.phrases import PHASES, drift, give, move_name
from analyzer.report.svg import blank, fit, put
from analyzer.spans import clock

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["MARKS", "draw_drift", "drift_rows", "trend_line"]

MARKS: dict[Verdict, tuple[str, Role]] = {
    "on time": ("o", "work"), "long": (">", "over"), "short": ("<", "over"), "undecided": ("d", "soft"),
}
ROW, TOP = 19, 34
MOST_S = 30.0
"""Seconds of drift that the scale shows at most; what lies beyond stands at the edge, with its number."""
STEPS = (1, 2, 5, 10, 20)


def drift_rows(measures: Measures) -> tuple[Interval, ...]:
    """The intervals that the chart shows, in order of time."""
    return tuple(
        i for i in measures.intervals
        if i.drift_s is not None and (i.segment.kind == "work" or i.verdict != "on time")
    )


def trend_line(rows: Sequence[Interval], measures: Measures) -> list[float]:
    """Drift that the trend gives for each row, in seconds; empty where there is no trend."""
    trend = measures.trend
    if trend is None or trend.verdict == "no trend":
        return []
    work = [i for i in rows if i.segment.kind == "work"]
    # a least-squares line goes through the means
    middle = sum(i.segment.start.at_ms for i in work) / len(work) / 60_000
    mean = sum(i.drift_s or 0.0 for i in work) / len(work)
    return [mean + trend.slope_s * (i.segment.start.at_ms / 60_000 - middle) for i in rows]


def draw_drift(
    measures: Measures, tolerance: Tolerance, ax: Axes | None = None, *, width: float = 840,
    part: range | None = None,
) -> Axes:
    """Draw on ``ax``, or on axes of a figure of its own in the size that the rows need.

    ``part`` are the rows of ``drift_rows`` to draw, all of them if None; the scale is that of all.
    """
    all_rows = drift_rows(measures)
    part = part or range(len(all_rows))
    rows = [all_rows[n] for n in part]
    heads = sum(_new_phase(rows, n) for n in range(len(rows)))
    height = TOP + ROW * (len(rows) + heads) + 30
    axes = ax or blank(width, height)
    left, right = (250.0, 168.0) if width > 600 else (138.0, 92.0)
    edge = _edge(all_rows, tolerance)
    px_s = (width - left - right) / (2 * edge)
    axes.set_xlim(-edge - left / px_s, edge + right / px_s)
    axes.set_ylim(height, 0)
    wide, y, heights = width > 600, float(TOP), []
    _scale(axes, edge, px_s, height)
    for number, interval in enumerate(rows):
        if _new_phase(rows, number):
            put(axes, -edge - left / px_s, y + 14, PHASES[interval.segment.phase], "soft", size=10.5)
            y += ROW
        allowed = tolerance.work_s if interval.segment.kind == "work" else tolerance.rest_s
        pads = left / px_s, 8 / px_s
        _row(axes, part[number], interval, y, allowed, edge, pads, wide)
        heights.append(y + ROW / 2)
        y += ROW
    if line := trend_line(all_rows, measures):
        axes.plot([line[n] for n in part], heights, color=LIGHT["ink"], lw=1.2, ls=(0, (5, 3)), zorder=1.5,
                  gid="trend")
    return axes


def _new_phase(rows: Sequence[Interval], number: int) -> bool:
    return number == 0 or rows[number].segment.phase != rows[number - 1].segment.phase


def _edge(rows: Sequence[Interval], tolerance: Tolerance) -> float:
    """Half the width of the scale in seconds: all of the data up to ``MOST_S``, and twice the tolerance."""
    far = max((abs(i.drift_s or 0.0) + COVERAGE * i.actual_sd_s for i in rows), default=0.0)
    return ceil(max(2 * tolerance.work_s, 2 * tolerance.rest_s, 3.0, min(MOST_S, far))) + 0.5


def _scale(axes: Axes, edge: float, px_s: float, height: float) -> None:
    step = next((s for s in STEPS if s * px_s >= 34), STEPS[-1])
    ticks = [n * step for n in range(-int(edge // step), int(edge // step) + 1)]
    axes.vlines(ticks, TOP - 4, height - 22, colors=LIGHT["rule"], lw=0.8, zorder=0.5)
    axes.vlines([0], TOP - 4, height - 22, colors=LIGHT["ink"], lw=1, zorder=1)
    for tick in ticks:
        text = f"{tick:+d}".replace("-", "−") if tick else "0"
        for y in (TOP - 9, height - 8):
            put(axes, tick, y, text, "soft", size=10, align="center")
    put(axes, -6 / px_s, TOP - 22, "short, seconds", "soft", size=10, align="right")
    put(axes, 6 / px_s, TOP - 22, "long, seconds", "soft", size=10)


def _row(
    axes: Axes, number: int, interval: Interval, y: float, allowed: float, edge: float,
    pads: tuple[float, float], wide: bool,
) -> None:
    from matplotlib.patches import Rectangle

    value, sd, middle = interval.drift_s or 0.0, interval.actual_sd_s, y + ROW / 2
    marker, role = MARKS[interval.verdict]
    axes.add_patch(Rectangle((-allowed, y), 2 * allowed, ROW, facecolor=LIGHT["band"], edgecolor="none",
                             linewidth=0, zorder=0, gid=f"allowed-{number}"))
    low, high = max(-edge, value - COVERAGE * sd), min(edge, value + COVERAGE * sd)
    axes.hlines([middle], low, high, colors=LIGHT["ink"], lw=1.2, gid=f"give-{number}", zorder=2)
    shown = min(edge, max(-edge, value))
    hollow = interval.verdict == "undecided"
    axes.scatter([shown], [middle], marker=marker, s=52, zorder=3, clip_on=False, gid=f"drift-{number}",
                 facecolors=LIGHT["paper"] if hollow else LIGHT[role], edgecolors=LIGHT[role],
                 linewidths=1.4 if hollow else 0)
    strong = interval.verdict in ("long", "short")
    name = move_name(interval.segment, short=not wide)
    text = f"{clock(interval.segment.start.at_ms)}  {name}"
    size = 11 if wide else 10.5
    put(axes, -edge - pads[0] + (pads[1] if wide else 0), y + 14,
        fit(text, 232 if wide else 134, size, bold=strong), size=size, bold=strong)
    said = drift(value, sd) + (f" {give(sd)}" if wide else "")
    # the mark shows the number, so that narrow pages can do with the word
    words = f"{said} {interval.verdict}" if wide or strong else interval.verdict
    put(axes, edge + pads[1], y + 14, words, size=size, bold=strong)
