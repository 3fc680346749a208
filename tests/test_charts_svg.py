"""What the SVG of a chart may hold, and what its caption says."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracle import cue, heard, segment
from report_help import STANDARD, moves, patches, review, scripted, texts

from analyzer.report.charts import NARROW, WIDE, charts, drift_caption, timeline_caption
from analyzer.report.svg import blank, fit, put, svg, width
from analyzer.report.timeline import draw_timeline
from analyzer.review import Review
from analyzer.spans import clock

FIRST = scripted("first_take")


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
        tags = {e.tag.partition("}")[2] for e in root.iter()}
        assert tags <= {"svg", "title", "desc", "defs", "g", "path", "use", "text", "clipPath", "rect"}
        for element in root.iter():
            assert "style" not in element.attrib
            assert element.get("fill", "none").startswith(("none", "url(#"))
            assert element.get("stroke", "none") == "none"
        assert "f-ink" in text


def test_svgs_are_described() -> None:
    for _, root in drawn(FIRST):
        title, desc = root[0], root[1]
        assert [e.tag.partition("}")[2] for e in (title, desc)] == ["title", "desc"]
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
        "20 work intervals and ten rests in 18 min 17 s. A filled bar is what was given, the outline around "
        "it the length told. Four bars leave their outlines for certain, most of all figure four, right "
        "side, at 16:23: −8.6 s."
    )
    said = drift_caption(FIRST, STANDARD)
    assert "16 on time (dot), 2 long (points right) and 2 short (points left)" in said
    assert "(± 2 s)" in said
    assert "No trend over the class can be told." in said


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
