"""The page as a whole: what stands where, and that it claims no more than it can."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from oracle import SAMPLES, from_script, heard, segment
from report_help import STANDARD, Element, Page, clean, review, scripted

from analyzer.captions.records import Problem
from analyzer.errors import AnalyzerError
from analyzer.findings.find import rank
from analyzer.measures.records import Interval
from analyzer.report import render, write
from analyzer.report.phrases import MENDS
from analyzer.report.sure import CAUTIONS
from analyzer.review import Review
from analyzer.spans import clock

FIRST = scripted("first_take")
TEXT = render(FIRST, STANDARD)
PAGE = Page(TEXT).root
FIFTY = scripted("fifty_ten_no_repeats")
BLOCK = scripted("first_take", sd_ms=6000, timing="block")


# ---- findings


@pytest.mark.parametrize("of", [FIRST, BLOCK, FIFTY], ids=["first", "block", "fifty"])
def test_every_finding_is_shown_with_its_time_words_reason_and_remedy(of: Review) -> None:
    page = Page(render(of, STANDARD)).root
    shown = page.all("li", cls="finding")
    assert len(shown) == len(of.findings)
    for number, (item, finding) in enumerate(zip(shown, rank(of.findings), strict=True), 1):
        assert item.attrs["id"] == f"f{number}"
        assert item.one("h4").text == clean(finding.message)
        when = item.one("p", cls="when").text
        assert when == f"{number} " + ("whole class" if finding.at_ms is None else clock(finding.at_ms))
        quotes = [li.text for ul in item.all("ul") for li in ul.all("li")]
        assert quotes == [clean(f"{clock(q.at_ms)} “{q.said}”") for q in finding.evidence]
        do = item.one("div", cls="do")
        assert clean(finding.advice) in do.text
        assert do.one("p", cls="mend").text == MENDS[finding.mend] + "."
        assert do.one("p", cls="why").text == clean(f"{finding.why} Source: {finding.source}.")


def test_findings_stand_in_groups_most_important_first() -> None:
    groups = PAGE.all("section", cls="group")
    assert [g.one("h3").text for g in groups] == ["Must fix 5", "Should fix 6", "Notes 3"]
    assert [len(g.all("li", cls="finding")) for g in groups] == [5, 6, 3]


def test_long_lists_of_notes_are_folded_and_short_ones_are_not() -> None:
    notes = Page(render(FIFTY, STANDARD)).root.one("section", cls="note")
    assert len(notes.one("details").all("li", cls="finding")) == 5
    assert notes.one("details").one("summary").text == "5 things to know, none of them pressing"
    few = [f for f in FIRST.findings if f.weight != "note" or f.rule == "no_water_break"]
    page = Page(render(replace(FIRST, findings=tuple(few)), STANDARD)).root
    assert page.one("section", cls="note").all("details") == []


def test_every_time_leads_to_its_line_of_the_transcript() -> None:
    lines = [li for li in PAGE.all("li") if re.fullmatch(r"t\d+", li.attrs.get("id", ""))]
    starts = {li.attrs["id"]: int(li.attrs["data-ms"]) for li in lines}
    ends = dict(zip(starts, [*list(starts.values())[1:], 10**9], strict=True))
    links = PAGE.all("a", cls="at")
    assert len(links) > 200
    for link in links:
        at, line = int(link.attrs["data-ms"]), link.attrs["href"].removeprefix("#")
        assert link.text == clock(at)
        assert starts[line] <= at < ends[line]


def test_lists_of_places_in_a_message_are_links_too() -> None:
    """The bundle of seven moves without a word on breathing names seven times."""
    page = Page(render(FIFTY, STANDARD)).root
    (item,) = [li for li in page.all("li", cls="finding") if "7 of the 12 moves" in li.text]
    assert [a.text for a in item.one("h4").all("a")] == ["4:18", "5:19", "7:34", "8:34", "9:35", "11:36"]


# ---- order and structure


def test_sections_come_in_the_order_of_use() -> None:
    main = PAGE.one("main")
    assert [s.attrs.get("id", s.attrs.get("class")) for s in main.children if s.tag == "section"] == [
        "lede", "fix", "kept", "charts", "detail", "transcript", "file", "sure", "cautions"]
    assert [e.tag for e in PAGE.one("body").children] == ["header", "nav", "main", "footer", "script"]


def test_headings_never_skip_a_level() -> None:
    levels = [int(e.tag[1]) for e in PAGE.all() if re.fullmatch(r"h[1-6]", e.tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))


def test_tables_have_captions_and_scopes_and_scroll_on_their_own() -> None:
    tables = PAGE.all("table")
    assert {t.attrs["id"] for t in tables} == {"intervals", "blocks", "cues", "general", "calls", "sides"}
    for table in tables:
        assert table.one("caption").text
        heads = table.one("thead").all("th")
        assert all(th.attrs["scope"] == "col" and th.text for th in heads)
        for row in table.one("tbody").all("tr"):
            cells = row.all("td") + row.all("th")
            assert sum(int(c.attrs.get("colspan", "1")) for c in cells) == len(heads)
            assert [th.attrs["scope"] for th in row.all("th")] in (["row"], ["rowgroup"])
        assert table.parent is not None
        assert table.parent.attrs["class"] == "scroll"
        assert table.parent.attrs["tabindex"] == "0"


def test_charts_have_words_a_description_and_a_table() -> None:
    figures = PAGE.all("figure")
    assert [f.attrs["id"] for f in figures] == ["chart-timeline", "chart-drift", "chart-cues"]
    for figure in figures:
        assert len(figure.one("figcaption").text) > 60
        table = figure.one("figcaption").one("span", cls="behind").one("a").attrs["href"]
        assert table in ("#intervals", "#cues")
        for svg in figure.all("svg"):
            assert svg.attrs["role"] == "img"
            assert svg.one("title").text
            assert svg.one("desc").text


def test_every_interval_and_call_is_in_its_table() -> None:
    body = PAGE.one("table", id="intervals").one("tbody")
    rows = [r for r in body.all("tr") if r.attrs.get("class") != "part"]
    assert len(rows) == len(FIRST.measures.intervals)
    for row, interval in zip(rows, FIRST.measures.intervals, strict=True):
        assert_row(row, interval)
    calls = PAGE.one("table", id="calls").one("tbody").all("tr")
    assert [r.all("td")[0].text for r in calls] == [clock(c.call.quote.at_ms) for c in FIRST.measures.calls]
    (late,) = [r for r in calls if "came late" in r.text]
    assert late.text == "6:46“That's halfway.”Dead bug, round 150% gone65% gone5.9 s late ± 0.1 scame late"


def assert_row(row: Element, interval: Interval) -> None:
    cells = [td.text for td in row.all("td")]
    assert cells[0] == clock(interval.segment.start.at_ms)
    assert cells[1] == f"{interval.segment.announced_s:g} s"
    assert float(cells[2].removesuffix(" s")) == pytest.approx(interval.actual_s, abs=0.051)
    signed = cells[3].partition(" ")[0].replace("−", "-")
    assert float(signed) == pytest.approx(interval.drift_s, abs=0.051)
    assert interval.verdict in cells[4]


def test_the_figure_four_of_the_sample_is_in_the_table_of_sides() -> None:
    """30.3 s against 21.4 s: sample README."""
    (row,) = [r for r in PAGE.one("table", id="sides").one("tbody").all("tr") if "Figure four" in r.text]
    assert [td.text for td in row.all("td")][1:] == ["30.3 s", "21.4 s", "+8.8 s ± 0.2 s", "left longer"]


# ---- honest


def test_a_file_with_a_stamp_for_each_block_is_not_judged_beyond_its_means() -> None:
    page = Page(render(BLOCK, STANDARD)).root
    lede = page.one("section", cls="lede").text
    assert "None of the 20 told lengths can be judged from this file." in lede
    assert "Furthest off" not in lede
    sure = page.one("section", id="sure").text
    assert "only a stamp for each block of text" in sure
    assert "good to about 17 s either way" in sure  # 2 * sqrt(2) * 6 s
    assert "30 of 30 told lengths cannot be judged" in sure
    assert "A caption file with a time for each caption (WebVTT or SubRip) would decide most of them" in sure
    verdicts = [td.text for td in page.one("table", id="intervals").all("td", cls="v")]
    assert set(verdicts) == {"undecided"}


@pytest.mark.parametrize("name", ["studio_talk", "archive_talk_hard_and_easy"])
def test_a_recording_without_intervals_gives_a_short_page(name: str) -> None:
    text = render(scripted(name), STANDARD)
    page = Page(text).root
    assert page.one("p", cls="headline").text == (
        "No announced intervals were found in this recording, so there is nothing to measure.")
    assert page.all("svg") == page.all("table") == page.all("figure") == []
    ids = [s.attrs.get("id") for s in page.one("main").children if s.tag == "section"]
    assert ids == [None, "fix", "transcript", "file", "sure", "cautions"]
    assert page.one("section", id="transcript").one("details").all("li")
    assert len(text.encode()) < 80_000


@pytest.mark.parametrize("of", [FIRST, scripted("studio_talk"), BLOCK], ids=["class", "talk", "block"])
def test_the_page_says_what_it_cannot_know(of: Review) -> None:
    page = Page(render(of, STANDARD)).root
    said = page.one("section", id="cautions").text
    for text in CAUTIONS:
        assert clean(text) in said
    assert "licensed" in said
    assert "does not judge whether a move" in said
    assert "not whether a move is safe" in page.one("footer").text


def test_file_problems_are_told_with_their_lines() -> None:
    problems = (Problem(12, "no end time", "taken to last 2 s"), Problem(40, "reversed", "turned round"))
    of = replace(FIRST, captions=replace(FIRST.captions, problems=problems))
    rows = Page(render(of, STANDARD)).root.one("table", id="problems").one("tbody").all("tr")
    assert [r.text for r in rows] == ["12no end timetaken to last 2 s", "40reversedturned round"]
    fine = PAGE.one("section", id="file").text
    assert "Nothing is wrong with the file: all 148 captions were read." in fine


def test_an_empty_recording_has_a_page() -> None:
    page = Page(render(review(heard(length_s=0, phases=())))).root
    assert page.one("p", cls="headline").text.startswith("No announced intervals")
    assert page.all("section", id="transcript") == []


def test_a_class_without_words_has_times_but_no_links() -> None:
    page = Page(render(review(heard([segment(10, 50, announced_s=30)])))).root
    assert page.all("a", cls="at") == []
    assert page.all("span", cls="at")


# ---- files


def test_write_gives_the_page(tmp_path: Path) -> None:
    write(FIRST, tmp_path / "review.html", STANDARD)
    assert (tmp_path / "review.html").read_text(encoding="utf-8") == TEXT
    with pytest.raises(AnalyzerError, match="folder"):
        write(FIRST, tmp_path / "nowhere" / "review.html", STANDARD)


def test_the_standard_is_named() -> None:
    assert "Held against: General class standard." in PAGE.one("p", cls="file").text
    mild = replace(STANDARD, name="Our <studio>")
    assert "Our <studio>" in Page(render(FIRST, mild)).root.one("p", cls="file").text


def test_all_samples_have_a_page() -> None:
    for path in sorted(SAMPLES.glob("*.class")):
        of = review(from_script(path))
        assert len(Page(render(of)).root.all("li", cls="finding")) == len(of.findings), path.stem
