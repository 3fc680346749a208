"""The class against the clock, drawn: what was told, what was given, what was heard, and where to look.

One axes holds all rows. x is seconds from the start of a row, y pixels downwards; row r covers
``[r * row_s, (r + 1) * row_s)``. Bars carry gids (``interval-7`` for what was given, ``told-7`` for what was
told), with ``-b``, ``-c`` for what goes on in the next rows.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING

from analyzer.findings.find import rank
from analyzer.findings.material import HEARD
from analyzer.measures.records import Interval
from analyzer.outline.records import CUE_KINDS
from analyzer.report.legend import draw_legend
from analyzer.report.palette import LIGHT
from analyzer.report.phrases import CUES, PHASES, drift, move_name
from analyzer.report.sheet import AXIS, BAR, BARS, CALLS, CUES_TOP, FLAGS, LANE, NAMES, ROW, Page, Sheet
from analyzer.report.svg import blank, fit, put, width
from analyzer.review import Review
from analyzer.spans import clock

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["draw_timeline", "timeline_rows"]

def timeline_rows(review: Review, sheet: Sheet) -> int:
    """How many rows the class takes, 1 or more."""
    return max(1, ceil(_length_s(review) / sheet.row_s))


def _length_s(review: Review) -> float:
    """Length of the class, and never less than what is drawn of it."""
    stops = [s.stop.at_ms / 1000 for s in review.outline.segments]
    return max([1.0, review.measures.totals.length_s, *stops])


def draw_timeline(
    review: Review, ax: Axes | None = None, *, sheet: Sheet | None = None, rows: range | None = None
) -> Axes:
    """Draw on ``ax``, or on axes of a figure of its own in the size that the rows need.

    ``rows`` are the rows to draw, all of them if None; the legend stands over the first one.
    """
    sheet = sheet or Sheet()
    rows = rows or range(timeline_rows(review, sheet))
    axes = ax or blank(sheet.width, ROW)
    top = draw_legend(axes, sheet.width, sheet.px_s, sheet.gutter) if rows.start == 0 else 0.0
    axes.set_xlim(-sheet.gutter / sheet.px_s, sheet.row_s + sheet.right / sheet.px_s)
    height = top + len(rows) * ROW
    axes.set_ylim(height, 0)
    if ax is None:
        axes.figure.set_size_inches(sheet.width / 72, height / 72)  # type: ignore[union-attr]
    page = Page(axes, sheet, top, rows)
    _grounds(page, review)
    _bars(page, review)
    _marks(page, review)
    _flags(page, review)
    return axes


def _grounds(page: Page, review: Review) -> None:
    """Phases as bands, the clock, and the names of the lanes."""
    sheet, axes = page.sheet, page.axes
    for number, phase in enumerate(review.outline.phases):
        start, stop = phase.span.start_ms / 1000, phase.span.end_ms / 1000
        if number % 2 == 0:
            page.box(start, stop, 2, AXIS - 2, fill="band", order=0)
        for _, row, left, right in page.pieces(start, stop):
            name = PHASES[phase.phase]
            if (right - left) * sheet.px_s > width(name, 10) + 3:
                put(axes, left + 3 / sheet.px_s, page.y(row, 13), name, "soft", size=10)
    for _, row, _, stop in page.pieces(0, _length_s(review)):
        axes.plot([0, stop], [page.y(row, AXIS)] * 2, color=LIGHT["ink"], lw=0.8, clip_on=False)
        first = row * sheet.row_s
        minutes = [0, *(s for s in range(1, int(stop) + 1) if (first + s) % 60 == 0)]
        axes.vlines(minutes, page.y(row, 18), page.y(row, AXIS + 4), colors=LIGHT["rule"], lw=0.8, zorder=1)
        for second in minutes:
            text, x = clock((first + second) * 1000), second * sheet.px_s
            half = width(text, 11) / 2
            if second == 0 or 3 * half + 6 < x < sheet.row_s * sheet.px_s - half:
                put(axes, second, page.y(row, AXIS + 16), text, size=11, align="center" if second else "left")
        for lane, text in ((BARS + 13, "intervals"), (CALLS + 4, "time calls")):
            put(axes, -6 / sheet.px_s, page.y(row, lane), text, "soft", size=9.5, align="right")
        for lane, kind in enumerate(CUE_KINDS):
            text = CUES[kind].replace(" option", "")
            put(axes, -6 / sheet.px_s, page.y(row, CUES_TOP + LANE * lane + 8), text, "soft", size=9.5,
                align="right")


def _bars(page: Page, review: Review) -> None:
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


def _bar_text(page: Page, index: int, interval: Interval) -> None:
    """The drift, where it counts, inside the bar of a work interval and above that of a rest."""
    if interval.drift_s is None or interval.verdict == "on time":
        return
    sheet, work = page.sheet, interval.segment.kind == "work"
    text = "?" if interval.verdict == "undecided" else drift(interval.drift_s, interval.actual_sd_s)
    row, at = sheet.place(interval.segment.start.at_ms)
    if row not in page.rows:
        return
    # on the blue part only: there the text's contrast holds
    blue = min(interval.actual_s, interval.segment.announced_s or 0.0)
    room = min(blue, sheet.row_s - at) * sheet.px_s
    if work and room <= width(text, 10.5, True) + 6:
        text = text.removesuffix(" s")  # a short bar has room for the number at least
    wide = width(text, 10.5, True)
    inside = work and room > wide + 6
    y = page.y(row, BARS + (13 if work else 7) + (17 if work and not inside else 0))
    x, right = at + (4 if work else 1) / sheet.px_s, sheet.row_s
    ends = x + wide / sheet.px_s > right
    put(page.axes, right if ends else x, y, text, "paper" if inside else "ink", size=10.5,
        bold=True, align="right" if ends else "left", gid=f"drift-{index}")


def _names(page: Page, work: list[Interval], sheet: Sheet) -> None:
    """Names over the bars, cut where the next one begins."""
    for this, after in pairwise([*work, None]):
        row, at = sheet.place(this.segment.start.at_ms) if this else (-1, 0.0)
        if this is None or row not in page.rows:
            continue
        end = float(sheet.row_s)
        if after is not None and sheet.place(after.segment.start.at_ms)[0] == row:
            end = sheet.place(after.segment.start.at_ms)[1]
        name = fit(move_name(this.segment, short=True), (end - at) * sheet.px_s - 3, 10.5)
        if name:
            put(page.axes, at, page.y(row, NAMES), name, size=10.5)


def _marks(page: Page, review: Review) -> None:
    calls = review.measures.calls
    others = [c.call.quote.at_ms for c in calls if c.verdict in ("on time", "undecided")]
    wrong = [c.call.quote.at_ms for c in calls if c.verdict in ("long", "short")]
    unchecked = [c.call.quote.at_ms for c in calls if c.verdict == "untimed"]
    page.points(others, CALLS, "D", "call", s=24, gid="calls")
    page.points(wrong, CALLS, "X", "over", s=60, gid="calls-wrong")
    page.points(unchecked, CALLS, "D", "call", s=20, facecolors="none", linewidths=1, gid="calls-unchecked")
    for lane, kind in enumerate(CUE_KINDS):
        cues = [c for c in review.outline.cues if c.kind == kind]
        y = CUES_TOP + LANE * lane + 4.5
        page.points([c.at_ms for c in cues if c.probability >= HEARD], y, "s", "ink", gid=f"cues-{kind}")
        page.points([c.at_ms for c in cues if c.probability < HEARD], y, "s", "ink", facecolors="none",
                    linewidths=0.8, gid=f"perhaps-{kind}")


def _flags(page: Page, review: Review) -> None:
    """Numbers of findings at their times; numbers that would run into each other share one place."""
    sheet = page.sheet
    placed = sorted(
        (*sheet.place(f.at_ms), n) for n, f in enumerate(rank(review.findings), 1)
        if f.at_ms is not None and sheet.place(f.at_ms)[0] in page.rows
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
