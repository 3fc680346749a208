"""README and DEVELOPERS keep their word: the example runs, commands and options exist, links lead somewhere."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tomllib
from html import escape
from importlib.util import find_spec
from pathlib import Path

import pytest

from analyzer.cli import COMMANDS, main

ROOT = Path(__file__).parents[1]
README, DEVELOPERS = ROOT / "README.md", ROOT / "DEVELOPERS.md"
DOCUMENTS = (
    README,
    DEVELOPERS,
    ROOT / "sample_captions" / "README.md",
    ROOT / "analyzer" / "bench" / "FORMAT.md",
    ROOT / "analyzer" / "language" / "en" / "tagger" / "MODEL_CARD.md",
)
LINK = re.compile(r"\]\(([^)\s]+)\)")


def fenced(document: Path, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", document.read_text(encoding="utf-8"), re.M | re.S)


def anchors(document: Path) -> set[str]:
    """The anchors of a document's headings, as code hosts make them."""
    headings = re.findall(r"^#+ (.*)", document.read_text(encoding="utf-8"), re.M)
    return {re.sub(r"[^\w -]", "", heading).strip().lower().replace(" ", "-") for heading in headings}


def test_the_python_example_prints_findings_and_writes_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (example,) = fenced(README, "python")
    shutil.copytree(ROOT / "sample_captions", tmp_path / "sample_captions")
    (tmp_path / "reports").mkdir()
    monkeypatch.chdir(tmp_path)
    exec(compile(example, str(README), "exec"), {})
    messages = capsys.readouterr().out.splitlines()
    # the pigeon in round 1: sample_captions/README.md says 46.5 s of 40 s
    assert any("row" in message and "long" in message for message in messages)
    page = (tmp_path / "reports" / "first_take.html").read_text(encoding="utf-8")
    kept = (ROOT / "reports" / "first_take.html").read_text(encoding="utf-8")
    for message in messages:
        assert escape(message) in page
        assert escape(message) in kept, "run reports/make.py"


def test_the_first_command_reviews_a_sample() -> None:
    first = fenced(README, "sh")[0]
    command = re.search(r"bin/analyzer review (\S+)$", first.strip())
    assert command
    assert (ROOT / command[1]).is_file()


def test_ci_runs_the_readme_s_test_command() -> None:
    """`.ci/run` takes the line with ``-m pytest`` out of the README: there is one, and it is the second command."""
    second = fenced(README, "sh")[1].strip()
    assert [line for line in README.read_text(encoding="utf-8").splitlines() if "-m pytest" in line] == [second]
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "grep -m 1 -- '-m pytest' README.md" in script
    assert "python3 -m venv .venv-test" in second
    assert "python=.venv-test/bin/python" in script


def test_the_extras_that_the_commands_install_exist() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for document in (README, DEVELOPERS, ROOT / ".ci" / "run"):
        for extra in re.findall(r"'\.\[(\w+)\]'", document.read_text(encoding="utf-8")):
            assert extra in project["optional-dependencies"]
    assert project["readme"] == "README.md"


def test_the_commands_table_has_every_command() -> None:
    named = re.findall(r"^\| `analyzer (\w+)", README.read_text(encoding="utf-8"), re.M)
    assert named == list(COMMANDS)


def test_the_options_named_are_those_of_review(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="0"):
        main(["review", "--help"])
    known = set(re.findall(r"--[a-z-]+", capsys.readouterr().out)) - {"--help"}
    paragraph = next(p for p in README.read_text(encoding="utf-8").split("\n\n") if "Options of `review`" in p)
    assert set(re.findall(r"`(--[a-z-]+)", paragraph)) == known


@pytest.mark.parametrize("document", [README, DEVELOPERS], ids=lambda path: path.name)
def test_modules_that_are_run_can_be_run(document: Path) -> None:
    modules = set(re.findall(r"-m (analyzer[\w.]*)", document.read_text(encoding="utf-8")))
    assert modules
    for module in modules:
        assert find_spec(f"{module}.__main__"), module


def test_the_bench_has_the_options_named() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "analyzer.bench", "--help"], capture_output=True, text=True, check=True, cwd=ROOT
    )
    paragraph = next(
        p for p in DEVELOPERS.read_text(encoding="utf-8").split("\n\n") if p.startswith("`python -m analyzer.bench`")
    )
    options = re.findall(r"`(--[a-z]+)`", paragraph)
    assert options
    for option in options:
        assert option in done.stdout


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_links_lead_somewhere(document: Path) -> None:
    for link in LINK.findall(document.read_text(encoding="utf-8")):
        path, _, anchor = link.partition("#")
        target = document.parent / path if path else document
        assert target.exists(), link
        if anchor:
            assert anchor in anchors(target), link


def test_the_modules_that_developers_names_exist() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    names = {path.name for path in (ROOT / "analyzer").rglob("*") if path.suffix in (".py", ".toml", ".json")}
    table = [line for line in text.splitlines() if line.startswith("| ") and "|" in line[2:]]
    named = {name for line in table[: len(table) - 8] for name in re.findall(r"`(\w+\.(?:py|toml|json))`", line)}
    assert named
    assert named <= names
