"""How to read the timeline: a sample of each mark with its words, in as many lines as the width asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from analyzer.report.palette import LIGHT, Role
from analyzer.report.svg import put
from analyzer.report.svg import width as text_width

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["draw_legend"]

_LINE, _SAMPLE, _SIZE = 18, 22, 10.5
_ITEMS = (
    ("work", "work"),
    ("rest", "rest"),
    ("told", "length told"),
    ("over", "past it"),
    ("call", "time call"),
    ("wrong", "wrong time call"),
    ("cue", "cue"),
    ("flag", "finding, by number"),
)
_MARKS: dict[str, tuple[str, Role, int]] = {
    "call": ("D", "call", 24), "wrong": ("X", "over", 60), "cue": ("s", "ink", 22),
}


def draw_legend(axes: Axes, width: float, px_s: float, gutter: float) -> float:
    """Draw from the top of ``axes``, in the timeline's own x; returns the pixels used."""
    x, line = 0.0, 0
    for kind, words in _ITEMS:
        need = _SAMPLE + text_width(words, _SIZE) + 16
        if x and x + need > width:
            x, line = 0.0, line + 1
        y = line * _LINE + 12
        _sample(axes, kind, (x - gutter) / px_s, y, px_s)
        put(axes, (x + _SAMPLE - gutter) / px_s, y + 1, words, "soft", size=_SIZE)
        x += need
    return (line + 1) * _LINE + 8.0


def _sample(axes: Axes, kind: str, x: float, y: float, px_s: float) -> None:
    from matplotlib.patches import Rectangle

    middle = x + 8 / px_s
    boxes: dict[str, tuple[Role | None, Role | None, float]] = {
        "work": ("work", None, 10), "rest": ("rest", None, 6), "told": (None, "ink", 11),
        "over": ("over", None, 10),
    }
    if kind in boxes:
        fill, edge, height = boxes[kind]
        axes.add_patch(Rectangle(
            (x, y - height / 2 - 3), 16 / px_s, height, facecolor=LIGHT[fill] if fill else "none",
            edgecolor=LIGHT[edge] if edge else "none", linewidth=1.3 if edge else 0, clip_on=False,
        ))
    elif kind == "flag":
        put(axes, x, y + 1, "▾3", size=11.5, bold=True)
    else:
        marker, colour, size = _MARKS[kind]
        axes.scatter([middle], [y - 3], marker=marker, color=LIGHT[colour], s=size, linewidths=0,
                     clip_on=False)
