"""The sheet that the timeline is drawn on: rows of equal length, with lanes of fixed height in each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from analyzer.outline.records import CUE_KINDS
from analyzer.report.palette import LIGHT, Role

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["AXIS", "BAR", "BARS", "CALLS", "CUES_TOP", "FLAGS", "LANE", "NAMES", "ROW", "Page", "Sheet"]

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


@dataclass(frozen=True, slots=True)
class Page:
    """Axes with rows on them: ``rows`` are drawn, from ``top`` pixels downwards."""

    axes: Axes
    sheet: Sheet
    top: float
    rows: range

    def y(self, row: int, lane: float) -> float:
        """Pixels from the top of the axes to a height in a row."""
        return self.top + (row - self.rows.start) * ROW + lane

    def pieces(self, start_s: float, stop_s: float) -> Iterator[tuple[int, int, float, float]]:
        """Number, row, start and stop of each part of a stretch that stands in the rows drawn."""
        for part, (row, start, stop) in enumerate(self.sheet.pieces(start_s, stop_s)):
            if row in self.rows:
                yield part, row, start, stop

    def box(
        self, start_s: float, stop_s: float, lane: float, height: float, gid: str | None = None,
        *, fill: Role | None = None, edge: Role | None = None, dashed: bool = False, order: float = 2,
    ) -> None:
        """A rectangle over a stretch of time, cut at row ends."""
        from matplotlib.patches import Rectangle

        for part, row, start, stop in self.pieces(start_s, stop_s):
            self.axes.add_patch(Rectangle(
                (start, self.y(row, lane)), stop - start, height,
                facecolor=LIGHT[fill] if fill else "none", edgecolor=LIGHT[edge] if edge else "none",
                linewidth=1.3 if edge else 0, linestyle=(0, (3, 2)) if dashed else "solid", zorder=order,
                gid=f"{gid}{'' if part == 0 else '-' + 'abcdefgh'[part % 8]}" if gid else None, clip_on=False,
            ))

    def points(self, times_ms: Iterable[int], lane: float, marker: str, role: Role, **more: object) -> None:
        """One mark at each time."""
        placed = [place for t in times_ms if (place := self.sheet.place(t))[0] in self.rows]
        if placed:
            self.axes.scatter(
                [x for _, x in placed], [self.y(row, lane) for row, _ in placed], marker=marker,
                **{"color": LIGHT[role], "s": 22, "linewidths": 0, "clip_on": False} | more,  # type: ignore[arg-type]
            )
