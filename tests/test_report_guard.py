"""Nothing gets into the page that is not its own, nothing gets out, and everybody can read it."""

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
from oracle import ROOT, cue, heard, rest, say, segment
from report_help import STANDARD, Page, clean, joined, review, scripted

from analyzer.captions.records import Captions, Problem
from analyzer.findings.records import Finding
from analyzer.outline.records import Quote, TimeCall
from analyzer.report import render
from analyzer.report.phrases import AREAS
from analyzer.review import Review

FIRST = scripted("first_take")
TEXT = render(FIRST, STANDARD)
PAGE = Page(TEXT).root
EVIL = '</li><script>alert(1)</script><img src=x onerror="alert(2)"> {{ 7*7 }}'
XMLNS = {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


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
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # from memory


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
    assert PAGE.one("head").one("title").text == "first_take: class review"
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
