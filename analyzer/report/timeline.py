"""The class against the clock, drawn: what was told, what was given, what was heard, and where to look.

One axes holds all rows. x is seconds from the start of a row, y pixels downwards; row r covers
``[r * row_s, (r + 1) * row_s)``. Bars carry gids (``interval-7`` for what was given, ``told-7`` for what was
told), with ``-b``, ``-c`` for what goes on in the next rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING

from analyzer.findings.find import rank
from analyzer.findings.material import HEARD
from analyzer.measures.records import Interval
from analyzer.outline.records import CUE_KINDS
from analyzer.report.legend import draw_legend
from analyzer.report.palette import LIGHT, Role
from analyzer.report.phrases import CUES, PHASES, drift, move_name
from analyzer.report.svg import blank, fit, put, width
from analyzer.review import Review
from analyzer.spans import clock

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["Sheet", "draw_timeline"]

FLAGS, NAMES, BARS, CALLS, CUES_TOP = 26, 41, 46, 76, 90
"""Heights in a row, in pixels: number of a finding, name of a move, top of the bars, time calls, cues."""
BAR, LANE = 18, 11
AXIS = CUES_TOP + LANE * len(CUE_KINDS)
ROW = AXIS + 34


@dataclass(frozen=True, slots=True)
class Sheet:
    """The measure of the drawing: width in pixels, seconds a row, pixels kept for labels left and right."""

    width: float = 840
    row_s: int = 300
    gutter: float = 66
    right: float = 10

    @property
    def px_s(self) -> float:
        """Pixels for each second."""
        return (self.width - self.gutter - self.right) / self.row_s

    def pieces(self, start_s: float, stop_s: float) -> Iterator[tuple[int, float, float]]:
        """Row, start in it and stop in it of each part of a stretch; a stretch of no length gives none."""
        row = int(start_s // self.row_s)
        while stop_s - row * self.row_s > 1e-9:
            yield row, max(0.0, start_s - row * self.row_s), min(self.row_s, stop_s - row * self.row_s)
            row += 1

    def place(self, at_ms: int) -> tuple[int, float]:
        """Row and seconds in it."""
        row, at = divmod(at_ms / 1000, self.row_s)
        return int(row), at


def draw_timeline(review: Review, ax: Axes | None = None, *, sheet: Sheet | None = None) -> Axes:
    """Draw on ``ax``, or on axes of a figure of its own in the size that the class needs."""
    sheet = sheet or Sheet()
    length_s = max(1.0, review.measures.totals.length_s)
    rows = ceil(length_s / sheet.row_s)
    axes = ax or blank(sheet.width, 0.0 + rows * ROW + 60)
    top = draw_legend(axes, sheet.width, sheet.px_s, sheet.gutter)
    axes.set_xlim(-sheet.gutter / sheet.px_s, sheet.row_s + sheet.right / sheet.px_s)
    height = top + rows * ROW
    axes.set_ylim(height, 0)
    if ax is None:
        axes.figure.set_size_inches(sheet.width / 72, height / 72)  # type: ignore[union-attr]
    page = _Page(axes, sheet, top)
    _grounds(page, review, length_s)
    _bars(page, review)
    _marks(page, review)
    _flags(page, review)
    return axes


@dataclass(frozen=True, slots=True)
class _Page:
    axes: Axes
    sheet: Sheet
    top: float

    def y(self, row: int, lane: float) -> float:
        return self.top + row * ROW + lane

    def box(
        self, start_s: float, stop_s: float, lane: float, height: float, gid: str | None = None,
        *, fill: Role | None = None, edge: Role | None = None, dashed: bool = False, order: float = 2,
    ) -> None:
        """A rectangle over a stretch of time, cut at row ends."""
        from matplotlib.patches import Rectangle

        for part, (row, start, stop) in enumerate(self.sheet.pieces(start_s, stop_s)):
            self.axes.add_patch(Rectangle(
                (start, self.y(row, lane)), stop - start, height,
                facecolor=LIGHT[fill] if fill else "none", edgecolor=LIGHT[edge] if edge else "none",
                linewidth=1.3 if edge else 0, linestyle=(0, (3, 2)) if dashed else "solid", zorder=order,
                gid=f"{gid}{'' if part == 0 else '-' + 'abcdefgh'[part % 8]}" if gid else None, clip_on=False,
            ))

    def points(self, times_ms: Iterable[int], lane: float, marker: str, role: Role, **more: object) -> None:
        """One mark at each time."""
        placed = [self.sheet.place(t) for t in times_ms]
        if placed:
            self.axes.scatter(
                [x for _, x in placed], [self.y(row, lane) for row, _ in placed], marker=marker,
                **{"color": LIGHT[role], "s": 22, "linewidths": 0, "clip_on": False} | more,  # type: ignore[arg-type]
            )


def _grounds(page: _Page, review: Review, length_s: float) -> None:
    """Phases as bands, the clock, and the names of the lanes."""
    sheet, axes = page.sheet, page.axes
    for number, phase in enumerate(review.outline.phases):
        start, stop = phase.span.start_ms / 1000, phase.span.end_ms / 1000
        if number % 2 == 0:
            page.box(start, stop, 2, AXIS - 2, fill="band", order=0)
        for row, left, right in sheet.pieces(start, stop):
            name = PHASES[phase.phase]
            if (right - left) * sheet.px_s > width(name, 10) + 3:
                put(axes, left + 3 / sheet.px_s, page.y(row, 13), name, "soft", size=10)
    for row, _, stop in sheet.pieces(0, length_s):
        axes.plot([0, stop], [page.y(row, AXIS)] * 2, color=LIGHT["ink"], lw=0.8, clip_on=False)
        first = row * sheet.row_s
        minutes = [0, *(s for s in range(1, int(stop) + 1) if (first + s) % 60 == 0)]
        axes.vlines(minutes, page.y(row, 18), page.y(row, AXIS + 4), colors=LIGHT["rule"], lw=0.8, zorder=1)
        for second in minutes:
            if second == 0 or 26 < second * sheet.px_s < sheet.row_s * sheet.px_s - 12:
                put(axes, second, page.y(row, AXIS + 16), clock((first + second) * 1000), size=11,
                    align="center" if second else "left")
        for lane, text in ((BARS + 13, "intervals"), (CALLS + 4, "time calls")):
            put(axes, -6 / sheet.px_s, page.y(row, lane), text, "soft", size=9.5, align="right")
        for lane, kind in enumerate(CUE_KINDS):
            text = CUES[kind].replace(" option", "")
            put(axes, -6 / sheet.px_s, page.y(row, CUES_TOP + LANE * lane + 8), text, "soft", size=9.5,
                align="right")


def _bars(page: _Page, review: Review) -> None:
    sheet, intervals = page.sheet, review.measures.intervals
    for index, interval in enumerate(intervals):
        segment, work = interval.segment, interval.segment.kind == "work"
        start, stop = segment.start.at_ms / 1000, segment.stop.at_ms / 1000
        lane, height = (BARS, BAR) if work else (BARS + 11, BAR - 11)
        end = start + segment.announced_s if segment.announced_s is not None else None
        over = interval.verdict == "long" and end is not None
        page.box(start, end if over and end is not None else stop, lane, height, f"interval-{index}",
                 fill="work" if work else "rest")
        if over and end is not None:
            page.box(end, stop, lane, height, f"over-{index}", fill="over")
        # a rest as long as told needs no outline, and outlines that touch read as hatching
        if end is not None and (work or interval.verdict != "on time"):
            page.box(start, end, lane - 2, height + 4, f"told-{index}", edge="ink",
                     dashed=interval.verdict == "undecided", order=3)
        _bar_text(page, index, interval)
    _names(page, [i for i in intervals if i.segment.kind == "work"], sheet)


def _bar_text(page: _Page, index: int, interval: Interval) -> None:
    """The drift, where it counts, inside the bar of a work interval and above that of a rest."""
    if interval.drift_s is None or interval.verdict == "on time":
        return
    sheet, work = page.sheet, interval.segment.kind == "work"
    text = "?" if interval.verdict == "undecided" else drift(interval.drift_s, interval.actual_sd_s)
    row, at = sheet.place(interval.segment.start.at_ms)
    room = min(interval.actual_s, sheet.row_s - at) * sheet.px_s
    wide = width(text, 10.5, True)
    inside = work and room > wide + 6
    y = page.y(row, BARS + (13 if work else 7) + (17 if work and not inside else 0))
    x, right = at + (4 if work else 1) / sheet.px_s, sheet.row_s
    ends = x + wide / sheet.px_s > right
    put(page.axes, right if ends else x, y, text, "paper" if inside else "ink", size=10.5,
        bold=True, align="right" if ends else "left", gid=f"drift-{index}")


def _names(page: _Page, work: list[Interval], sheet: Sheet) -> None:
    """Names over the bars, cut where the next one begins."""
    for this, after in pairwise([*work, None]):
        if this is None:
            continue
        row, at = sheet.place(this.segment.start.at_ms)
        end = float(sheet.row_s)
        if after is not None and sheet.place(after.segment.start.at_ms)[0] == row:
            end = sheet.place(after.segment.start.at_ms)[1]
        name = fit(move_name(this.segment, short=True), (end - at) * sheet.px_s - 3, 10.5)
        if name:
            put(page.axes, at, page.y(row, NAMES), name, size=10.5)


def _marks(page: _Page, review: Review) -> None:
    calls = review.measures.calls
    right = [c.call.quote.at_ms for c in calls if c.verdict in ("on time", "undecided")]
    wrong = [c.call.quote.at_ms for c in calls if c.verdict in ("long", "short")]
    unchecked = [c.call.quote.at_ms for c in calls if c.verdict == "untimed"]
    page.points(right, CALLS, "D", "call", s=24, gid="calls-right")
    page.points(wrong, CALLS, "X", "over", s=60, gid="calls-wrong")
    page.points(unchecked, CALLS, "D", "call", s=20, facecolors="none", linewidths=1, gid="calls-unchecked")
    for lane, kind in enumerate(CUE_KINDS):
        cues = [c for c in review.outline.cues if c.kind == kind]
        y = CUES_TOP + LANE * lane + 4.5
        page.points([c.at_ms for c in cues if c.probability >= HEARD], y, "s", "ink", gid=f"cues-{kind}")
        page.points([c.at_ms for c in cues if c.probability < HEARD], y, "s", "ink", facecolors="none",
                    linewidths=0.8, gid=f"perhaps-{kind}")


def _flags(page: _Page, review: Review) -> None:
    """Numbers of findings at their times; numbers that would run into each other share one place."""
    sheet = page.sheet
    placed = sorted(
        (*sheet.place(f.at_ms), n) for n, f in enumerate(rank(review.findings), 1) if f.at_ms is not None
    )
    groups: list[tuple[int, float, list[int]]] = []
    for row, at, number in placed:
        last = groups[-1] if groups and groups[-1][0] == row else None
        if last and (at - last[1]) * sheet.px_s < _flag_px(last[2]) + 6:
            last[2].append(number)
        else:
            groups.append((row, at, [number]))
    for row, at, numbers in groups:
        ends = at + _flag_px(numbers) / sheet.px_s > sheet.row_s
        put(page.axes, sheet.row_s if ends else at, page.y(row, FLAGS), _flag(numbers), size=11.5, bold=True,
            align="right" if ends else "left", gid="findings-" + "-".join(str(n) for n in sorted(numbers)))


def _flag(numbers: Iterable[int]) -> str:
    return "▾" + "·".join(str(n) for n in sorted(numbers))


def _flag_px(numbers: Iterable[int]) -> float:
    return width(_flag(numbers), 11.5, True)
