"""The page in a real browser: nothing refused, nothing fetched, filters from the fragment, print to PDF.

Needs Chromium (Debian: ``apt-get install chromium``); skipped where there is none.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from report_help import STANDARD, Element, Page, scripted

from analyzer.report import write

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("page") / "review.html"
    write(scripted("fifty_ten_no_repeats"), out, STANDARD)
    return out


def browse(page: Path, tmp_path: Path, *options: str, fragment: str = "") -> tuple[str, str]:
    """What Chromium prints, and what it logs."""
    done = subprocess.run(
        [CHROMIUM or "", "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
         "--disable-background-networking", "--enable-logging=stderr",
         f"--user-data-dir={tmp_path / 'profile'}", "--virtual-time-budget=2000", *options,
         f"{page.as_uri()}{fragment}"],
        capture_output=True, text=True, timeout=120, check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout, done.stderr


def shown(root: Element, cls: str) -> list[Element]:
    return [li for li in root.all("li", cls=cls) if "hidden" not in li.attrs]


def after_script(page: Path, tmp_path: Path, fragment: str = "") -> Element:
    dom, log = browse(page, tmp_path, "--dump-dom", fragment=fragment)
    # refused styles, refused scripts and exceptions are all console messages
    assert re.findall(r"CONSOLE.*", log) == []
    return Page(dom).root


def test_the_script_runs_and_offers_the_filters(page: Path, tmp_path: Path) -> None:
    root = after_script(page, tmp_path)
    assert all("hidden" not in c.attrs for c in root.all(cls="controls"))
    assert len(shown(root, "finding")) == 13


def test_a_link_carries_the_filters(page: Path, tmp_path: Path) -> None:
    root = after_script(page, tmp_path, "#show:area=lengths;phase=main%20part;lines=breathing")
    left = shown(root, "finding")
    assert left
    assert {(li.attrs["data-area"], li.attrs["data-phase"]) for li in left} == {("lengths", "main part")}
    assert root.one("output").text == f"{len(left)} of 13 shown"
    lines = [li for li in root.one("ol", cls="lines").children if "hidden" not in li.attrs]
    assert lines
    assert all("breathing" in li.attrs["data-kinds"].split() for li in lines)


def test_a_fragment_that_means_nothing_hides_nothing(page: Path, tmp_path: Path) -> None:
    root = after_script(page, tmp_path, "#show:area=%E0%A4%A;move=none;;=")
    assert len(shown(root, "finding")) == 13


def test_a_link_to_a_folded_note_unfolds_it(page: Path, tmp_path: Path) -> None:
    folded = after_script(page, tmp_path).one("section", cls="note").one("details")
    assert "open" not in folded.attrs
    opened = after_script(page, tmp_path, f"#{folded.all('li', cls='finding')[-1].attrs['id']}")
    assert "open" in opened.one("section", cls="note").one("details").attrs


def test_it_prints(page: Path, tmp_path: Path) -> None:
    out = tmp_path / "review.pdf"
    browse(page, tmp_path, f"--print-to-pdf={out}", "--no-pdf-header-footer")
    assert out.read_bytes().startswith(b"%PDF-")
    assert out.stat().st_size > 100_000
