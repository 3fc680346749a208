"""The charts of a page: each drawn wide and narrow, with a caption that says in words what it shows.

To add a chart: a ``draw_...`` function that takes the records, an optional ``ax`` and the width, and a line
in ``charts``. Tests look at what is on the axes; the SVG is only its clothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from analyzer.findings.material import HEARD, Move
from analyzer.findings.wording import capital, listing, seconds
from analyzer.outline.records import CUE_KINDS, CueKind
from analyzer.report.cue_chart import ASKED, draw_cues
from analyzer.report.drift_chart import draw_drift, drift_rows
from analyzer.report.phrases import CUES, count, drift, give, in_sentence
from analyzer.report.sheet import Sheet
from analyzer.report.svg import svg
from analyzer.report.timeline import draw_timeline, timeline_rows
from analyzer.review import Review
from analyzer.spans import clock
from analyzer.standards.standard import Standard

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["Chart", "asked_kinds", "charts", "cues_caption", "drift_caption", "timeline_caption"]

WIDE, NARROW = Sheet(), Sheet(width=344, row_s=150, gutter=58, right=6)
"""Five minutes a row for screens and paper, two and a half for phones: a letter is as large on both."""
ROWS, LINES = 5, 42
"""Rows of the timeline and lines of drift that a sheet of paper holds."""


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: its key (prefix of its ids), heading, caption, the id of the table behind it, the SVGs.

    The wide one comes in parts that each fit on a sheet of paper.
    """

    key: str
    title: str
    caption: str
    table: str
    wide: tuple[str, ...]
    narrow: str


def charts(review: Review, standard: Standard, moves: Sequence[Move]) -> tuple[Chart, ...]:
    """The charts that the class has something for."""
    measures, tolerance, asked = review.measures, standard.tolerance, asked_kinds(standard)
    made = []
    if measures.intervals:
        made.append(_chart(
            "timeline", "The class against the clock", timeline_caption(review), "intervals",
            lambda part: draw_timeline(review, sheet=WIDE if part else NARROW, rows=part),
            timeline_rows(review, WIDE), ROWS,
        ))
    if drift_rows(measures):
        made.append(_chart(
            "drift", "How far each interval was off", drift_caption(review, standard), "intervals",
            lambda part: draw_drift(measures, tolerance, width=840 if part else 344, part=part),
            len(drift_rows(measures)), LINES,
        ))
    if moves:
        made.append(_chart(
            "cues", "Which move got which cue", cues_caption(moves, asked), "cues",
            lambda part: draw_cues(moves, width=620 if part else 344, asked=asked),
        ))
    return tuple(made)


def asked_kinds(standard: Standard) -> tuple[CueKind, ...]:
    """Kinds of cue that the standard asks of every move."""
    on = {name for name, rule in standard.rules.items() if rule.weight != "off"}
    return tuple(kind for kind, rule in ASKED.items() if rule in on)


def _chart(
    key: str, title: str, caption: str, table: str, draw: Callable[[range | None], Axes], rows: int = 1,
    most: int = 1,
) -> Chart:
    """``draw`` draws some rows of the wide chart, or the whole narrow one for None."""
    parts = [range(first, min(rows, first + most)) for first in range(0, rows, most)]

    def make(part: range | None, prefix: str) -> str:
        number = f", part {parts.index(part) + 1} of {len(parts)}" if part and len(parts) > 1 else ""
        return svg(draw(part).figure, prefix, title + number, caption)  # type: ignore[arg-type]

    wide = tuple(make(part, f"{key}-wide-{number}") for number, part in enumerate(parts, 1))
    return Chart(key, title, caption, table, wide, make(None, f"{key}-narrow"))


def timeline_caption(review: Review) -> str:
    """What the timeline shows, in words."""
    totals = review.measures.totals
    timed = [i for i in review.measures.intervals if i.segment.kind == "work" and i.drift_s is not None]
    text = (
        f"{capital(count(totals.work_intervals, 'work interval'))} and "
        f"{count(totals.rest_intervals, 'rest')} in {seconds(round(totals.length_s))}. A filled bar "
        "is what was given, the outline around it the length told."
    )
    off = sorted((i for i in timed if i.verdict in ("long", "short")), key=lambda i: -abs(i.drift_s or 0))
    if off:
        worst = off[0]
        text += (
            f" {capital(count(len(off), 'bar leaves its outline', 'bars leave their outlines'))} for "
            f"certain, most of all {in_sentence(worst.segment)}, at {clock(worst.segment.start.at_ms)}: "
            f"{drift(worst.drift_s or 0, worst.actual_sd_s)}."
        )
    elif timed and not totals.undecided:
        text += " Every bar keeps to its outline."
    if totals.undecided:
        text += f" Dashed outlines ({totals.undecided}) cannot be judged from this file."
    return text


def drift_caption(review: Review, standard: Standard) -> str:
    """What the drift chart shows, in words."""
    measures, allowed = review.measures, standard.tolerance
    rows = drift_rows(measures)
    work = [i for i in rows if i.segment.kind == "work"]
    kept = sum(i.segment.kind == "rest" and i.verdict == "on time" for i in measures.intervals)
    typical = sorted(i.actual_sd_s for i in rows)[len(rows) // 2]
    text = (
        f"Given minus told, one line an interval. The grey band is what counts as on time "
        f"(± {seconds(allowed.work_s)}), a bar to each side is how far off the measurement may be "
        f"({give(typical)} as a rule). {_verdicts(review)}"
    )
    if kept:
        text += f" Not drawn: {count(kept, 'rest that was', 'rests that were')} on time."
    trend = measures.trend
    if trend and trend.verdict == "no trend":
        text += " No trend over the class can be told."
    elif trend:
        text += (
            f" The dashed line is the trend: {drift(trend.slope_s * 10, 0)} in ten minutes of class, "
            f"{trend.verdict}."
        )
    elif len(work) > 1:
        text += " Too few intervals to speak of a trend."
    return text


def _verdicts(review: Review) -> str:
    t = review.measures.totals
    parts = [(t.on_time, "on time (dot)"), (t.long, "long (points right)"), (t.short, "short (points left)"),
             (t.undecided, "undecided (hollow)")]
    said = listing([f"{n} {words}" for n, words in parts if n])
    return f"Work intervals: {said}." if said else "No work interval had a length to keep."


def cues_caption(moves: Sequence[Move], asked: Sequence[CueKind]) -> str:
    """What the grid of cues shows, in words."""
    parts = []
    for kind in asked:
        lacking = sum(not any(c.kind == kind and c.probability >= HEARD for c in m.cues) for m in moves)
        parts.append(f"{CUES[kind]} {len(moves) - lacking} of {len(moves)}")
    never = [CUES[k] for k in CUE_KINDS if not any(c.kind == k for m in moves for c in m.cues)]
    text = "How often each move got each kind of cue"
    text += f"; moves with at least one: {', '.join(parts)}." if parts else "."
    if parts:
        text += ' "none" in a frame: asked of every move and not heard.'
    if never:
        text += f" In no move: {listing(never)}."
    return text
