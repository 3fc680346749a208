"""The documents keep their word: the example runs, commands and options exist, links lead somewhere."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tomllib
from html import unescape
from importlib.util import find_spec
from pathlib import Path

import pytest

from analyzer.bench.script import parse, perform
from analyzer.bench.truth import truth
from analyzer.cli import COMMANDS, main

ROOT = Path(__file__).parents[1]
README, DEVELOPERS, CI = ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / ".ci" / "run"
DOCUMENTS = (
    README,
    DEVELOPERS,
    ROOT / "sample_captions" / "README.md",
    ROOT / "analyzer" / "bench" / "FORMAT.md",
    ROOT / "analyzer" / "language" / "en" / "tagger" / "MODEL_CARD.md",
)


def text(document: Path) -> str:
    return document.read_text(encoding="utf-8")


def fenced(document: Path, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text(document), re.M | re.S)


def paragraph(document: Path, start: str) -> str:
    return next(p for p in text(document).split("\n\n") if start in p)


def anchors(document: Path) -> set[str]:
    """The anchors of a document's headings, as code hosts make them."""
    headings = re.findall(r"^#+ (.*)", text(document), re.M)
    return {re.sub(r"[^\w -]", "", heading).strip().lower().replace(" ", "-") for heading in headings}


def said_on(page: Path) -> str:
    """The text of a page; a time inside a sentence is a link there."""
    return plain(unescape(re.sub(r"</?a\b[^>]*>", "", text(page))))


def plain(sentence: str) -> str:
    """Without uncertainties, which the tagger's rounding on another processor may move by a tenth."""
    return re.sub(r", give or take [\d.]+ s", "", sentence)


def test_the_python_example_prints_findings_and_writes_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (example,) = fenced(README, "python")
    shutil.copytree(ROOT / "sample_captions", tmp_path / "sample_captions")
    (tmp_path / "reports").mkdir()
    monkeypatch.chdir(tmp_path)
    exec(compile(example, str(README), "exec"), {})
    messages = capsys.readouterr().out.splitlines()
    # the pigeon: sample_captions/README.md says 46.5 s of 40 s at 4:14.8
    (long,) = re.findall(r"^Bent-over row.* \(4:1\d\) ran ([\d.]+) s long", "\n".join(messages), re.M)
    assert float(long) == pytest.approx(6.5, abs=0.5)
    made, kept = (said_on(folder / "reports" / "first_take.html") for folder in (tmp_path, ROOT))
    for message in map(plain, messages):
        assert message in made
        assert message in kept, "the sample pages are old: run reports/make.py"


def test_the_first_command_reviews_a_sample() -> None:
    command = re.search(r"bin/analyzer review (\S+)$", fenced(README, "sh")[0].strip())
    assert command
    assert (ROOT / command[1]).is_file()


def test_ci_runs_the_test_command_of_the_readme() -> None:
    """CI takes the line with ``-m pytest`` out of the README: there is one, and it is the second command."""
    second = fenced(README, "sh")[1].strip()
    assert [line for line in text(README).splitlines() if "-m pytest" in line] == [second]
    assert "$(grep -m 1 -- '-m pytest' README.md)" in text(CI)
    assert "python3 -m venv .venv-test" in second
    assert "python=.venv-test/bin/python" in text(CI)


@pytest.mark.parametrize("document", [README, DEVELOPERS, CI], ids=lambda path: path.name)
def test_the_extras_that_are_installed_exist(document: Path) -> None:
    extras = tomllib.loads(text(ROOT / "pyproject.toml"))["project"]["optional-dependencies"]
    named = re.findall(r"'\.\[(\w+)\]'", text(document))
    assert named
    assert set(named) <= set(extras)


def test_the_table_of_commands_has_every_command() -> None:
    assert re.findall(r"^\| `analyzer (\w+)", text(README), re.M) == list(COMMANDS)


def test_the_options_named_are_those_of_review(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="0"):
        main(["review", "--help"])
    known = set(re.findall(r"--[a-z-]+", capsys.readouterr().out)) - {"--help"}
    assert set(re.findall(r"`(--[a-z-]+)", paragraph(README, "Options of `review`"))) == known


def test_the_options_named_are_those_of_the_bench() -> None:
    command = [sys.executable, "-m", "analyzer.bench", "--help"]
    shown = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT).stdout
    named = re.findall(r"`(--[a-z]+)`", paragraph(DEVELOPERS, "`python -m analyzer.bench` scores"))
    assert named
    assert [option for option in named if option not in shown] == []


@pytest.mark.parametrize("document", [README, DEVELOPERS], ids=lambda path: path.name)
def test_modules_that_are_run_can_be_run(document: Path) -> None:
    modules = set(re.findall(r"-m (analyzer[\w.]*)", text(document)))
    assert modules
    assert [module for module in modules if find_spec(f"{module}.__main__") is None] == []


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_links_lead_somewhere(document: Path) -> None:
    for link in re.findall(r"\]\(([^)\s]+)\)", text(document)):
        path, _, anchor = link.partition("#")
        target = document.parent / path if path else document
        assert target.exists(), link
        assert not anchor or anchor in anchors(target), link


def test_the_example_of_a_scripted_class_is_one(tmp_path: Path) -> None:
    (example,) = fenced(ROOT / "analyzer" / "bench" / "FORMAT.md", "")
    script = tmp_path / "slow_strength.class"
    script.write_text(example, encoding="utf-8")
    true = truth(perform(parse(script)))
    # FORMAT.md: a rest with no later work is none
    (squats,) = true["intervals"]
    assert (squats["exercise"], squats["announced_s"]) == ("squats", 40)
    assert squats["stop_s"] - squats["start_s"] == pytest.approx(40, abs=1)
    assert [cue["kind"] for cue in true["cues"]] == ["safety", "form"]
    assert [(call["kind"], call["value"]) for call in true["calls"]] == [("remaining", 10)]


def test_developers_names_every_module_and_no_other() -> None:
    paths = [path for path in (ROOT / "analyzer").rglob("*.py") if path.name != "__init__.py"]
    named = set(re.findall(r"`(?:\w+/)*(\w+\.py)`", text(DEVELOPERS)))
    assert {path.name for path in paths} - named == set(), "give it a line in DEVELOPERS.md"
    assert named - {path.name for path in paths} == set()
