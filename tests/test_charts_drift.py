"""The charts of drift and of cues, read off their axes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PathCollection
from matplotlib.figure import Figure
from oracle import cue, heard, rest, segment
from report_help import STANDARD, by_gid, moves, patches, review, scripted, texts

from analyzer.measures.measure import measure
from analyzer.outline.records import CUE_KINDS, Cue
from analyzer.report.charts import drift_caption
from analyzer.report.cue_chart import cell_text, draw_cues
from analyzer.report.drift_chart import MARKS, MOST_S, draw_drift, drift_rows, trend_line
from analyzer.report.timeline import draw_timeline

FIRST = scripted("first_take")


def test_charts_draw_on_axes_that_they_are_given() -> None:
    draws: tuple[Callable[[Axes], Axes], ...] = (
        lambda ax: draw_timeline(FIRST, ax),
        lambda ax: draw_drift(FIRST.measures, STANDARD.tolerance, ax),
        lambda ax: draw_cues(moves(FIRST), ax),
    )
    for draw in draws:
        figure = Figure(figsize=(8, 4))
        axes = figure.add_subplot()
        assert draw(axes) is axes
        assert axes.texts
        assert tuple(figure.get_size_inches()) == (8, 4)


# ---- drift


def test_drift_marks_bars_and_words() -> None:
    axes = draw_drift(FIRST.measures, STANDARD.tolerance)
    rows = drift_rows(FIRST.measures)
    assert len(rows) == 21  # 20 work intervals and the one rest that was off: sample README
    for number, interval in enumerate(rows):
        mark = by_gid(axes, f"drift-{number}")
        assert isinstance(mark, PathCollection)
        assert np.asarray(mark.get_offsets())[0, 0] == pytest.approx(interval.drift_s)
        bar = by_gid(axes, f"give-{number}")
        assert isinstance(bar, LineCollection)
        low, high = np.asarray(bar.get_segments()[0])[:, 0]
        assert (low + high) / 2 == pytest.approx(interval.drift_s)
        assert high - low == pytest.approx(4 * interval.actual_sd_s)  # U = 2u to each side
        band = patches(axes, f"allowed-{number}")[f"allowed-{number}"]
        assert (band.get_x(), band.get_width()) == (-2, 4)
    said = texts(axes)
    assert "+8 s ± 0.1 s long" in said
    assert "−8.6 s ± 0.1 s short" in said
    assert "7:30  Goblet squat, round 2" in said


def test_each_verdict_has_a_shape_of_its_own() -> None:
    it = heard([segment(10, 50, announced_s=40), segment(60, 107, announced_s=40),
                segment(110, 145, announced_s=40), segment(160, 202.5, announced_s=40, sd_ms=900)])
    axes = draw_drift(it.measures(), STANDARD.tolerance)
    shapes = [by_gid(axes, f"drift-{n}").get_paths()[0].vertices.round(3).tobytes() for n in range(4)]
    assert len(set(shapes)) == 4
    assert list(MARKS) == ["on time", "long", "short", "undecided"]
    assert any("undecided" in t for t in texts(axes))


def test_rests_on_time_are_left_out_and_the_caption_says_so() -> None:
    it = review(heard([segment(10, 50, announced_s=40), rest(50, 70, 20), segment(70, 110, announced_s=40),
                       rest(110, 140, 20)]))
    assert [i.segment.kind for i in drift_rows(it.measures)] == ["work", "work", "rest"]
    assert "Not drawn: one rest that was on time." in drift_caption(it, STANDARD)


def test_what_lies_beyond_the_scale_stands_at_its_edge_with_its_number() -> None:
    it = heard([segment(10, 50, announced_s=40), segment(60, 400, announced_s=40)])
    axes = draw_drift(it.measures(), STANDARD.tolerance)
    assert by_gid(axes, "drift-1").get_offsets()[0][0] == MOST_S + 0.5
    assert any("+5 min" in t for t in texts(axes))


def test_trend_line_is_the_least_squares_line() -> None:
    """Against numpy.polyfit."""
    it = heard([segment(60 * n, 60 * n + 40 + 0.8 * n + 0.1 * (-1) ** n, announced_s=40)
                for n in range(1, 12)])
    measures = it.measures()
    assert measures.trend is not None
    rows = drift_rows(measures)
    x = [i.segment.start.at_ms / 60_000 for i in rows]
    y = [i.drift_s for i in rows if i.drift_s is not None]
    slope, intercept = np.polyfit(x, y, 1)
    assert trend_line(rows, measures) == pytest.approx([intercept + slope * t for t in x])
    axes = draw_drift(measures, STANDARD.tolerance)
    (line,) = [item for item in axes.lines if item.get_gid() == "trend"]
    assert list(np.asarray(line.get_xdata())) == pytest.approx([intercept + slope * t for t in x])
    assert "dashed line is the trend" in drift_caption(review(it), STANDARD)
    flat = FIRST.measures
    assert trend_line(drift_rows(flat), flat) == []


def test_no_timed_interval_draws_an_empty_scale() -> None:
    it = heard([segment(10, 50)])
    assert drift_rows(it.measures()) == ()
    assert draw_drift(measure(it.outline, it.words, length_ms=60_000), STANDARD.tolerance).texts


# ---- cues


def test_the_grid_counts_the_cues_of_each_move() -> None:
    of = moves(FIRST)
    axes = draw_cues(of)
    said = texts(axes)
    for move in of:
        assert move.name in said
        for kind in CUE_KINDS:
            count = sum(c.kind == kind for c in move.cues)
            expected = str(count) if count else "none" if kind in ("regression", "form", "breathing") else "–"
            assert cell_text(move, kind) == expected
    framed = {gid for gid, p in patches(axes, "cell-").items() if p.get_linewidth() > 0}
    # the faults put into the sample: row without an easier option, taps without breathing, squat without
    # form; march and arm circles have no breathing either (sample README)
    names = [m.name for m in of]
    assert framed == {
        f"cell-{names.index(name)}-{kind}" for name, kind in (
            ("bent-over row", "regression"), ("shoulder taps", "breathing"), ("goblet squat", "form"),
            ("march", "breathing"), ("arm circles", "breathing"))}


def test_unclear_cues_and_rules_that_are_off() -> None:
    maybe = Cue(cue("form", 20, "hm").quote, "form", "squats", 0, 0.3)
    (move,) = moves(review(heard([segment(10, 50)], cues=[maybe])))
    assert cell_text(move, "form") == "?"
    assert cell_text(move, "breathing", ()) == "–"
