"""Which move got which cues: a grid of moves and kinds with the counts in it. x and y are pixels."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from analyzer.findings.material import HEARD, Move
from analyzer.outline.records import CUE_KINDS, CueKind
from analyzer.report.palette import LIGHT
from analyzer.report.phrases import CUES
from analyzer.report.svg import blank, fit, put

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["ASKED", "cell_text", "draw_cues"]

ASKED: dict[CueKind, str] = {
    "regression": "no_easier_option", "form": "no_form_cue", "breathing": "no_breathing_cue",
}
"""Kinds that a class standard can ask of every move, with the rule that asks."""
ROW, TOP = 22, 40


def cell_text(move: Move, kind: CueKind, asked: Collection[CueKind] = tuple(ASKED)) -> str:
    """The count; "none" where the kind is asked of every move; "?" where only unclear words were heard."""
    heard = sum(c.kind == kind and c.probability >= HEARD for c in move.cues)
    if heard:
        return str(heard)
    if move.perhaps(kind):
        return "?"
    return "none" if kind in asked else "–"


def draw_cues(
    moves: Sequence[Move], ax: Axes | None = None, *, width: float = 620,
    asked: Collection[CueKind] = tuple(ASKED),
) -> Axes:
    """Draw on ``ax``, or on axes of a figure of its own in the size that the moves need."""
    from matplotlib.patches import Rectangle

    axes = ax or blank(width, TOP + ROW * len(moves) + 6)
    axes.set_xlim(0, width)
    axes.set_ylim(TOP + ROW * len(moves) + 6, 0)
    left = 210.0 if width > 500 else 104.0
    step = (width - left) / len(CUE_KINDS)
    for column, kind in enumerate(CUE_KINDS):
        for line, word in enumerate(reversed(CUES[kind].split())):
            put(axes, left + step * (column + 0.5), TOP - 9 - 12 * line, word, "soft",
                size=10.5 if width > 500 else 9, align="center")
    for row, move in enumerate(moves):
        y = TOP + ROW * row
        put(axes, 0, y + 15, fit(move.name, left - 6, 11), size=11)
        for column, kind in enumerate(CUE_KINDS):
            text = cell_text(move, kind, asked)
            missing, given = text == "none", text.isdigit()
            axes.add_patch(Rectangle(
                (left + step * column + 2, y + 2), step - 4, ROW - 4,
                facecolor=LIGHT["band" if given else "paper"],
                edgecolor=LIGHT["over"] if missing else "none", linewidth=1.4 if missing else 0,
                gid=f"cell-{row}-{kind}",
            ))
            put(axes, left + step * (column + 0.5), y + 15, text, "ink" if given or missing else "soft",
                size=11, align="center", bold=missing)
    return axes
