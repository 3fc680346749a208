"""What the charts draw, read off their axes; and what their SVG may hold."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PathCollection
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from oracle import cue, heard, rest, segment
from report_help import STANDARD, review, scripted

from analyzer.findings.find import rank
from analyzer.findings.material import Material, Move
from analyzer.measures.measure import measure
from analyzer.outline.records import CUE_KINDS, Cue
from analyzer.report.charts import NARROW, WIDE, charts, drift_caption, timeline_caption
from analyzer.report.cue_chart import cell_text, draw_cues
from analyzer.report.drift_chart import MARKS, MOST_S, draw_drift, drift_rows, trend_line
from analyzer.report.palette import LIGHT
from analyzer.report.sheet import ROW, Sheet
from analyzer.report.svg import blank, fit, put, svg, width
from analyzer.report.timeline import draw_timeline, timeline_rows
from analyzer.review import Review
from analyzer.spans import clock

FIRST = scripted("first_take")


def patches(axes: Axes, start: str) -> dict[str, Rectangle]:
    """Rectangles by gid."""
    return {str(p.get_gid()): p for p in axes.patches
            if isinstance(p, Rectangle) and str(p.get_gid()).startswith(start)}


def texts(axes: Axes) -> list[str]:
    return [t.get_text() for t in axes.texts]


def by_gid(axes: Axes, gid: str) -> Any:
    return next(c for c in axes.collections if c.get_gid() == gid)


def moves(of: Review) -> tuple[Move, ...]:
    return Material(of.captions, of.words, of.outline, of.measures, STANDARD).moves


# ---- timeline


def test_bars_are_as_long_as_what_was_given_and_told() -> None:
    axes = draw_timeline(FIRST)
    for number, interval in enumerate(FIRST.measures.intervals):
        given = [p for gid, p in patches(axes, "").items()
                 if re.fullmatch(rf"(interval|over)-{number}(-[a-h])?", gid)]
        assert sum(p.get_width() for p in given) == pytest.approx(interval.actual_s)
        told = [p for gid, p in patches(axes, "told-").items() if re.fullmatch(rf"told-{number}(-[a-h])?", gid)]
        if interval.segment.kind == "work" or interval.verdict != "on time":
            assert sum(p.get_width() for p in told) == pytest.approx(interval.segment.announced_s)
        else:
            assert told == []


def test_bars_stand_at_their_time_in_their_row() -> None:
    axes = draw_timeline(FIRST)
    bars = patches(axes, "interval-")
    first = bars["interval-0"].get_y()
    for number, interval in enumerate(FIRST.measures.intervals):
        row, at = divmod(interval.segment.start.at_ms / 1000, 300)
        assert bars[f"interval-{number}"].get_x() == pytest.approx(at)
        lower = 0 if interval.segment.kind == "work" else 11
        assert bars[f"interval-{number}"].get_y() - first == pytest.approx(row * ROW + lower)


def test_only_what_ran_long_for_certain_is_drawn_past_its_length() -> None:
    it = review(heard([segment(10, 51, announced_s=40), segment(60, 107, announced_s=40),
                       segment(110, 145, announced_s=40, sd_ms=50),
                       segment(160, 202.5, announced_s=40, sd_ms=900)], length_s=290))
    assert [i.verdict for i in it.measures.intervals] == ["on time", "long", "short", "undecided"]
    axes = draw_timeline(it)
    (over,) = patches(axes, "over-").values()
    assert (over.get_x(), over.get_width()) == (100, 7)
    assert to_hex(over.get_facecolor()) == LIGHT["over"]
    said = {t.get_gid(): t.get_text() for t in axes.texts if str(t.get_gid()).startswith("drift-")}
    assert said == {"drift-1": "+7 s", "drift-2": "−5 s", "drift-3": "?"}
    dashed = {gid for gid, p in patches(axes, "told-").items() if p.get_linestyle() not in ("solid", "-")}
    assert dashed == {"told-3"}


def test_a_bar_over_a_row_end_goes_on_in_the_next_row() -> None:
    axes = draw_timeline(review(heard([segment(290, 330, announced_s=40)], length_s=600)))
    bars = patches(axes, "interval-0")
    assert {gid: (p.get_x(), p.get_width()) for gid, p in bars.items()} == {
        "interval-0": (290, 10), "interval-0-b": (0, 30)}
    assert bars["interval-0-b"].get_y() > bars["interval-0"].get_y()


def test_every_cue_and_call_has_its_mark() -> None:
    axes = draw_timeline(FIRST)
    for kind in CUE_KINDS:
        times = [c.at_ms / 1000 % 300 for c in FIRST.outline.cues if c.kind == kind]
        marks = [c for c in axes.collections if c.get_gid() == f"cues-{kind}"]
        drawn = [float(x) for m in marks for x, _ in np.asarray(m.get_offsets())]
        assert drawn == pytest.approx(times), kind
    assert len(by_gid(axes, "calls-right").get_offsets()) == 21
    (wrong,) = by_gid(axes, "calls-wrong").get_offsets()
    assert wrong[0] == pytest.approx(406.935 % 300)  # "That's halfway" of dead bug, round 1: sample README
    assert len(by_gid(axes, "calls-wrong").get_paths()[0].vertices) != len(
        by_gid(axes, "calls-right").get_paths()[0].vertices)  # told apart by shape


def test_unclear_cues_are_hollow() -> None:
    cues = [cue("form", 20, "hm", "squats", 0, 0.3), cue("form", 25, "chest up", "squats", 0)]
    axes = draw_timeline(review(heard([segment(10, 50)], cues=cues, length_s=60)))
    assert len(by_gid(axes, "perhaps-form").get_facecolors()) == 0
    assert len(by_gid(axes, "cues-form").get_facecolors()) == 1


def test_findings_leave_their_number_at_their_time() -> None:
    axes = draw_timeline(FIRST)
    flags = [t for t in axes.texts if str(t.get_gid()).startswith("findings-")]
    shown = {int(n): t for t in flags for n in re.findall(r"\d+", t.get_text())}
    timed = {n: f.at_ms for n, f in enumerate(rank(FIRST.findings), 1) if f.at_ms is not None}
    assert shown.keys() == timed.keys()
    for number, text in shown.items():
        # numbers that would run into each other share the place of the first
        assert abs(text.get_position()[0] - timed[number] / 1000 % 300) < 15
        assert f"findings-{number}" in str(text.get_gid()) or f"-{number}" in str(text.get_gid())


def test_phases_moves_and_clock_are_named() -> None:
    said = texts(draw_timeline(FIRST))
    for words in ("opening", "warm-up", "main part", "cool-down", "goblet squat 2", "figure four R", "5:00", "18:00",
                  "easier", "water", "time calls", "length told"):
        assert words in said
    assert "close" not in said  # ten seconds of it have no room for the word


def test_rows_can_be_drawn_in_parts_and_nothing_is_lost() -> None:
    sheet = Sheet(row_s=150)
    rows = timeline_rows(FIRST, sheet)
    whole = draw_timeline(FIRST, sheet=sheet)
    parts = [draw_timeline(FIRST, sheet=sheet, rows=range(r, min(r + 3, rows))) for r in range(0, rows, 3)]
    for start in ("interval-", "told-", "over-"):
        assert sorted(patches(whole, start)) == sorted(g for p in parts for g in patches(p, start))
    legend = len(texts(parts[0])) - len(texts(draw_timeline(FIRST, sheet=sheet, rows=range(3, 6))))
    assert sorted(t for p in parts for t in texts(p)) == sorted(texts(whole))
    assert legend != 0


def test_charts_draw_on_axes_that_they_are_given() -> None:
    for draw in (
        lambda ax: draw_timeline(FIRST, ax),
        lambda ax: draw_drift(FIRST.measures, STANDARD.tolerance, ax),
        lambda ax: draw_cues(moves(FIRST), ax),
    ):
        axes = Figure(figsize=(8, 4)).add_subplot()
        assert draw(axes) is axes
        assert axes.texts
        assert tuple(axes.figure.get_size_inches()) == (8, 4)


@given(st.floats(0, 5000), st.floats(0, 2000), st.sampled_from([60, 150, 300]))
def test_pieces_add_up_and_stay_in_their_rows(start: float, length: float, row_s: int) -> None:
    parts = list(Sheet(row_s=row_s).pieces(start, start + length))
    assert sum(b - a for _, a, b in parts) == pytest.approx(length, abs=1e-6)
    assert all(0 <= a <= b <= row_s for _, a, b in parts)
    rows = [row for row, _, _ in parts]
    assert rows == list(range(rows[0], rows[0] + len(rows))) if rows else length < 1e-6


def test_a_stop_after_the_last_caption_is_still_drawn() -> None:
    it = review(heard([segment(280, 330, announced_s=50)], length_s=299))
    assert sum(p.get_width() for p in patches(draw_timeline(it), "interval-").values()) == pytest.approx(50)


# ---- drift


def test_drift_marks_bars_and_words() -> None:
    axes = draw_drift(FIRST.measures, STANDARD.tolerance)
    rows = drift_rows(FIRST.measures)
    assert len(rows) == 21  # 20 work intervals and the one rest that was off: sample README
    for number, interval in enumerate(rows):
        mark = by_gid(axes, f"drift-{number}")
        assert isinstance(mark, PathCollection)
        assert mark.get_offsets()[0][0] == pytest.approx(interval.drift_s)
        bar = by_gid(axes, f"give-{number}")
        assert isinstance(bar, LineCollection)
        (low, _), (high, _) = bar.get_segments()[0]
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
    assert [v for v in MARKS] == ["on time", "long", "short", "undecided"]
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
    it = heard([segment(60 * n, 60 * n + 40 + 0.8 * n + 0.1 * (-1) ** n, announced_s=40) for n in range(1, 12)])
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
    # the faults put into the sample: row without an easier option, taps without breathing, squat without form;
    # march and arm circles have no breathing either (sample README)
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


# ---- SVG


def drawn(of: Review) -> list[tuple[str, ElementTree.Element]]:
    made = charts(of, STANDARD, moves(of))
    return [(text, ElementTree.fromstring(text)) for c in made for text in (*c.wide, c.narrow)]


def test_svgs_share_a_page_without_clashing() -> None:
    trees = [root for _, root in drawn(FIRST)]
    ids = [e.get("id") for root in trees for e in root.iter() if e.get("id")]
    assert len(trees) == 6
    assert len(ids) == len(set(ids))
    for root in trees:
        own = {e.get("id") for e in root.iter()}
        for element in root.iter():
            for value in element.attrib.values():
                assert all(ref in own for ref in re.findall(r"(?:url\(|^)#([\w.-]+)", value))


def test_svgs_carry_no_style_of_their_own_and_no_fixed_colour() -> None:
    for text, root in drawn(FIRST):
        assert not any(e.tag.endswith(("}style", "}metadata", "}script", "}image", "}a")) for e in root.iter())
        for element in root.iter():
            assert "style" not in element.attrib
            assert element.get("fill", "none").startswith(("none", "url(#"))
            assert element.get("stroke", "none") == "none"
        assert "f-ink" in text


def test_svgs_are_described() -> None:
    for _, root in drawn(FIRST):
        title, desc = root[0], root[1]
        assert (title.tag, desc.tag) == ("{http://www.w3.org/2000/svg}title", "{http://www.w3.org/2000/svg}desc")
        assert root.get("role") == "img"
        assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
        assert title.text
        assert desc.text


def test_bytes_are_the_same_every_time() -> None:
    assert [text for text, _ in drawn(FIRST)] == [text for text, _ in drawn(scripted("first_take"))]


def test_names_are_text_and_nothing_else() -> None:
    of = review(heard([segment(10, 250, "<b>$x$\x07", 240)], length_s=290,
                      cues=[cue("form", 20, "up", "<b>$x$\x07", 0)]))
    for text, root in drawn(of):
        assert "<b>" not in text
        assert any("<b>$x$" in (e.text or "") for e in root.iter() if e.tag.endswith("}text"))


def test_letters_that_the_font_lacks_do_not_warn(recwarn: pytest.WarningsRecorder) -> None:
    axes = blank(100, 20)
    put(axes, 1, 10, "深蹲 🏋")
    assert width("深蹲 🏋", 11) > 0
    assert "深蹲 🏋" in svg(axes.figure, "x", "t", "d")  # type: ignore[arg-type]
    assert [w for w in recwarn if "Glyph" in str(w.message)] == []


@given(st.text(st.characters(codec="ascii", exclude_categories=["C"]), max_size=40), st.floats(0, 300))
def test_fit_keeps_to_its_pixels(text: str, pixels: float) -> None:
    got = fit(text, pixels, 11)
    assert width(got, 11) <= pixels or got == ""
    assert got in ("", text) or (got.endswith("…") and text.startswith(got[:-1]))


# ---- captions


def test_captions_say_what_the_charts_show() -> None:
    assert timeline_caption(FIRST) == (
        "20 work intervals and ten rests in 18 min 17 s. A filled bar is what was given, the outline around it the "
        "length told. Four bars leave their outlines for certain, most of all figure four, right side, at 16:23: "
        "−8.6 s."
    )
    said = drift_caption(FIRST, STANDARD)
    assert "16 on time (dot), 2 long (points right) and 2 short (points left)" in said
    assert "(± 2 s)" in said
    assert "neither longer nor shorter" in said


def test_a_class_on_time_and_one_undecided() -> None:
    good = review(heard([segment(10, 50, announced_s=40)]))
    assert timeline_caption(good).endswith("Every bar keeps to its outline.")
    open_ = review(heard([segment(10, 50, announced_s=40, sd_ms=5000)]))
    assert timeline_caption(open_).endswith("Dashed outlines (1) cannot be judged from this file.")


def test_no_intervals_no_charts() -> None:
    assert charts(review(heard()), STANDARD, ()) == ()


def test_long_classes_come_in_parts_that_fit_on_paper() -> None:
    it = heard([segment(60 * n, 60 * n + 40, announced_s=40) for n in range(1, 60)], length_s=3650)
    timeline, drift, _ = charts(review(it), STANDARD, moves(review(it)))
    assert len(timeline.wide) == 3
    assert len(drift.wide) == 2
    assert "part 2 of 3" in timeline.wide[1]
    assert all(f"{clock(m * 300_000)}<" in "".join(timeline.wide) for m in range(13))
    # A4 less margins of 14 mm: 182 by 269 mm
    for text in (*timeline.wide, *drift.wide):
        _, _, w, h = (float(n) for n in ElementTree.fromstring(text).get("viewBox", "").split())
        assert h / w <= 269 / 182


def test_both_sizes_show_the_same_class() -> None:
    for sheet in (WIDE, NARROW):
        axes = draw_timeline(FIRST, sheet=sheet)
        assert sum(p.get_width() for p in patches(axes, "interval-").values()) + sum(
            p.get_width() for p in patches(axes, "over-").values()
        ) == pytest.approx(sum(i.actual_s for i in FIRST.measures.intervals))


def test_an_interval_without_a_name_says_so() -> None:
    of = review(heard([replace(segment(10, 150, announced_s=140), exercise=None)]))
    assert "no name heard" in texts(draw_timeline(of))
