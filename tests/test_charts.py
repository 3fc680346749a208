"""The timeline, read off its axes."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.colors import to_hex
from oracle import cue, heard, segment
from report_help import by_gid, patches, review, scripted, texts

from analyzer.findings.find import rank
from analyzer.outline.records import CUE_KINDS
from analyzer.report.palette import LIGHT
from analyzer.report.sheet import ROW, Sheet
from analyzer.report.timeline import draw_timeline, timeline_rows

FIRST = scripted("first_take")


def test_bars_are_as_long_as_what_was_given_and_told() -> None:
    axes = draw_timeline(FIRST)
    for number, interval in enumerate(FIRST.measures.intervals):
        given = [p for gid, p in patches(axes, "").items()
                 if re.fullmatch(rf"(interval|over)-{number}(-[a-h])?", gid)]
        assert sum(p.get_width() for p in given) == pytest.approx(interval.actual_s)
        told = [p for gid, p in patches(axes, "told-").items()
                if re.fullmatch(rf"told-{number}(-[a-h])?", gid)]
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
    assert len(by_gid(axes, "calls").get_offsets()) == 21
    (wrong,) = by_gid(axes, "calls-wrong").get_offsets()
    assert wrong[0] == pytest.approx(406.935 % 300)  # "That's halfway" of dead bug, round 1: sample README
    assert len(by_gid(axes, "calls-wrong").get_paths()[0].vertices) != len(
        by_gid(axes, "calls").get_paths()[0].vertices)  # told apart by shape


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
    for words in ("opening", "warm-up", "main part", "cool-down", "goblet squat 2", "figure four R", "5:00",
                  "18:00", "easier", "water", "time calls", "length told"):
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


