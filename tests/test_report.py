"""The page as a whole: what stands where, that nothing leaks in or out, and that everybody can read it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import pytest
from oracle import ROOT, SAMPLES, cue, from_script, heard, rest, say, segment
from report_help import STANDARD, Element, Page, joined, review, scripted

from analyzer.captions.records import Captions, Problem
from analyzer.errors import AnalyzerError
from analyzer.findings.find import rank
from analyzer.findings.records import Finding
from analyzer.measures.records import Interval
from analyzer.outline.records import Quote, TimeCall
from analyzer.report import render, write
from analyzer.report.phrases import AREAS, MENDS
from analyzer.report.sure import CAUTIONS
from analyzer.review import Review
from analyzer.spans import clock

FIRST = scripted("first_take")
TEXT = render(FIRST, STANDARD)
PAGE = Page(TEXT).root
BLOCK = scripted("first_take", sd_ms=6000, timing="block")
EVIL = '</li><script>alert(1)</script><img src=x onerror="alert(2)"> {{ 7*7 }}'
XMLNS = {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


def clean(text: str) -> str:
    return " ".join(text.split())


def evil() -> Review:
    """A class in which everything that comes from the file tries to be markup."""
    it = heard(
        [segment(10, 60, EVIL, 40), rest(60, 80, 20)],
        cues=[cue("form", 20, EVIL, EVIL, 0), cue("safety", 5, EVIL)],
        calls=[TimeCall(Quote(30_000, EVIL), 50, "fraction", 0.5, 0)],
        words=say(EVIL, 5), length_s=120,
        captions=Captions(Path(f"{EVIL[:20].replace('/', '')}.vtt"), EVIL, "phrase", (),
                          (Problem(3, EVIL, EVIL),)),
    )
    made = review(it)
    bad = Finding("unknown_rule", "must fix", 10_000, EVIL, 0, EVIL, (Quote(10_000, EVIL),), EVIL, EVIL, EVIL,
                  "either")
    return replace(made, findings=(*made.findings, bad))


# ---- findings


@pytest.mark.parametrize("of", [FIRST, BLOCK, scripted("fifty_ten_no_repeats")], ids=["first", "block", "fifty"])
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
    assert [g.one("h3").text for g in groups] == ["Must fix 5", "Should fix 7", "Notes 2"]
    assert [len(g.all("li", cls="finding")) for g in groups] == [5, 7, 2]


def test_long_lists_of_notes_are_folded_and_short_ones_are_not() -> None:
    notes = Page(render(scripted("fifty_ten_no_repeats"), STANDARD)).root.one("section", cls="note")
    assert len(notes.one("details").all("li", cls="finding")) == 6
    assert notes.one("details").one("summary").text == "6 things to know, none of them pressing"
    assert PAGE.one("section", cls="note").all("details") == []


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
    page = Page(render(scripted("fifty_ten_no_repeats"), STANDARD)).root
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
    assert all(b <= a + 1 for a, b in zip(levels, levels[1:], strict=False))


@pytest.mark.parametrize("of", [FIRST, scripted("studio_talk"), evil()], ids=["class", "talk", "evil"])
def test_ids_are_unique_and_all_references_lead_somewhere(of: Review) -> None:
    page = Page(render(of, STANDARD)).root
    ids = [e.attrs["id"] for e in page.all() if "id" in e.attrs]
    assert len(ids) == len(set(ids))
    for element in page.all():
        for name in ("href", "xlink:href"):
            if name in element.attrs:
                assert element.attrs[name].removeprefix("#") in ids
        for name in ("aria-labelledby", "aria-describedby", "for"):
            assert set(element.attrs.get(name, "").split()) <= set(ids)


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
    rows = [r for r in PAGE.one("table", id="intervals").one("tbody").all("tr") if r.attrs.get("class") != "part"]
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


# ---- nothing in, nothing out


def test_text_of_the_class_is_text() -> None:
    page = Page(render(evil(), STANDARD)).root
    assert len(page.all("script")) == 1
    assert page.all("img") == []
    assert not any(name.startswith("on") for e in page.all() for name in e.attrs)
    shown = clean(EVIL)
    (item,) = [li for li in page.all("li", cls="finding") if li.one("h4").text == shown]
    assert item.one("ul").one("li").text == f"0:10 “{shown}”"
    assert item.attrs["data-move"] == EVIL
    assert page.one("table", id="problems").one("tbody").one("tr").text == f"3{shown}{shown}"
    assert "{{ 7*7 }}" in page.one("section", id="transcript").text
    assert "49" not in page.one("section", id="transcript").text


@pytest.mark.parametrize("of", [FIRST, evil()], ids=["class", "evil"])
def test_the_page_fetches_nothing(of: Review) -> None:
    text = render(of, STANDARD)
    page = Page(text).root
    for element in page.all():
        assert element.tag not in ("link", "iframe", "object", "embed", "audio", "video", "base", "img")
        assert "src" not in element.attrs
        assert "srcset" not in element.attrs
        for name, value in element.attrs.items():
            assert not re.match(r"(https?:|//|data:|javascript:)", value) or value in XMLNS, (name, value)
            if name.endswith("href"):
                assert value.startswith("#")
    style, script = page.one("style").raw, page.one("script").raw
    assert not re.search(r"url\(|@import|@font-face", style)
    assert not re.search(r"fetch|XMLHttp|WebSocket|import\(|http|innerHTML|eval|document\.write", script)


def test_the_policy_allows_this_style_and_this_script_only() -> None:
    policy = PAGE.one("meta", http_equiv="Content-Security-Policy").attrs["content"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))

    def hashed(text: str) -> str:
        return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"

    assert rules == {
        "default-src": "'none'", "base-uri": "'none'", "form-action": "'none'",
        "style-src": hashed(PAGE.one("style").raw), "script-src": hashed(PAGE.one("script").raw),
    }
    # style attributes would need more than a hash
    assert not any("style" in e.attrs for e in PAGE.all())
    assert TEXT.index("Content-Security-Policy") < TEXT.index("<style")


def test_the_same_review_gives_the_same_bytes_in_another_process() -> None:
    code = (
        "import sys; sys.path[:0] = ['tests', '.']\n"
        "from report_help import scripted, STANDARD; from analyzer.report import render\n"
        "sys.stdout.buffer.write(render(scripted('first_take'), STANDARD).encode())"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True,
                          env={**os.environ, "PYTHONHASHSEED": "7"})
    assert done.stdout == TEXT.encode()


def test_an_hour_stays_under_a_megabyte_and_a_half() -> None:
    hour = joined(["first_take", "home_twenty_ten_eights", "fifty_ten_no_repeats", "skipping_rope"])
    assert hour.length_ms > 3_600_000
    text = render(review(hour), STANDARD)
    assert len(text.encode()) < 1_500_000
    assert len(Page(text).root.all("li", cls="finding")) == len(review(hour).findings)


# ---- everybody can read it


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 (https://www.w3.org/TR/WCAG22/#dfn-relative-luminance)."""
    channels = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2 (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)  # WCAG: ratios go from 1 to 21
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # the usual near miss, from memory


def schemes() -> dict[str, dict[str, str]]:
    style = PAGE.one("style").raw
    light, dark = re.findall(r":root\{([^}]*)\}", style)[:2]
    assert style.index("prefers-color-scheme:dark") < style.index(dark)
    return {name: dict(re.findall(r"--([\w-]+):(#[0-9a-f]{6})", text)) for name, text in
            (("light", light), ("dark", dark))}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    ("front", "back", "least"),
    [
        # text 4.5 (WCAG 2.2 SC 1.4.3), marks and frames 3 (SC 1.4.11)
        *((front, back, 4.5) for front in ("ink", "soft", "link") for back in ("paper", "band", "note")),
        ("paper", "work", 4.5),
        *((front, back, 3.0) for front in ("work", "rest", "over", "call") for back in ("paper", "band")),
    ],
)
def test_contrast(scheme: str, front: str, back: str, least: float) -> None:
    colours = schemes()[scheme]
    assert contrast(colours[front], colours[back]) >= least


def test_every_colour_of_the_page_comes_from_the_palette() -> None:
    """So that the test of contrast sees all of them."""
    style = PAGE.one("style").raw
    rest_of_it = re.sub(r":root\{[^}]*\}", "", style)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[;}\s])", rest_of_it) == []
    assert not re.search(r"rgb|hsl|:\s*(black|white|red|green|gr[ae]y)", rest_of_it)


def test_the_keyboard_sees_where_it_is_and_print_leaves_the_controls_out() -> None:
    style = PAGE.one("style").raw
    assert re.search(r"a:focus-visible[^}]*\{\s*outline:3px solid", style)
    assert "outline:none" not in style
    printed = style[style.index("@media print") :]
    assert re.search(r"nav,\.controls,summary\{display:none\}", printed)
    assert "details-content" in printed  # folded lists are printed
    assert "prefers-color-scheme:dark" not in printed


def test_language_width_and_title_are_declared() -> None:
    assert PAGE.one("html").attrs["lang"] == "en"
    assert "width=device-width" in PAGE.one("meta", name="viewport").attrs["content"]
    assert PAGE.one("title").text == "first_take: class review"
    assert PAGE.one("h1").text == "first_take"


def test_filters_offer_what_occurs_and_are_hidden_without_script() -> None:
    controls = PAGE.all(cls="controls")
    assert len(controls) == 2
    assert all("hidden" in c.attrs for c in controls)
    for select in PAGE.all("select"):
        if name := select.attrs.get("data-filter"):
            offered = {o.text for o in select.all("option")} - {"all"}
            occurs = {li.attrs[f"data-{name}"] for li in PAGE.all("li", cls="finding")} - {""}
            assert offered == occurs
    assert set(AREAS) == set(STANDARD.rules)


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
    assert "Nothing is wrong with the file: all 148 captions were read." in PAGE.one("section", id="file").text


def test_an_empty_recording_has_a_page() -> None:
    page = Page(render(review(heard(length_s=0)))).root
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
