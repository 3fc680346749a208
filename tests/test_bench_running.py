"""Running analyses over scripted classes, from Python and from the command line."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from bench_documents import as_document, facts
from oracle import script

from analyzer.bench.__main__ import main
from analyzer.bench.forms import FORMS
from analyzer.bench.running import BenchError, Command, cases, find_classes, review_document, score_reviews
from analyzer.bench.script import ScriptError
from analyzer.bench.tally import Count

NAMES = ("tabata_three_blocks", "terse_core")
CLASSES = [script(name) for name in NAMES]
WORKS = sum(interval["kind"] == "work" for interval in facts(NAMES[0])["intervals"])


def perfect(captions: Path) -> dict[str, Any]:
    """Reads nothing and knows everything."""
    assert captions.read_text(encoding="utf-8")
    return as_document(facts(captions.name.split(".")[0]))


def picky(captions: Path) -> dict[str, Any]:
    if captions.suffix == ".txt":
        raise BenchError(path=captions, line=3, what="no time", todo="add one")
    if captions.suffix == ".srt":
        raise ZeroDivisionError("division\nby zero")
    return {"intervals": [{"kind": "work", "start_s": 1.0}]}


def test_every_class_in_every_form() -> None:
    done = list(cases(CLASSES, perfect))
    assert [(case.name, case.form) for case in done] == [(name, form) for name in NAMES for form in FORMS]
    assert all(case.failed is None for case in done)
    scores = score_reviews(CLASSES, perfect, forms=["plain.vtt"])
    assert list(scores.by_form()) == ["plain.vtt"]
    works = sum(i["kind"] == "work" for name in NAMES for i in facts(name)["intervals"])
    assert scores.by_form()["plain.vtt"].works == Count(works, works, works)


def test_workers_give_the_same() -> None:
    alone = score_reviews(CLASSES, perfect, forms=["plain.vtt", "blocks.txt"])
    assert score_reviews(CLASSES, perfect, forms=["plain.vtt", "blocks.txt"], workers=2) == alone


def test_an_analysis_that_fails_counts_as_nothing_found_and_says_why() -> None:
    scores = score_reviews(CLASSES[:1], picky, forms=["blocks.txt", "phrases.srt", "plain.vtt"])
    name = NAMES[0]
    no_time, crash, no_stop = scores.failures()
    assert no_time == f"{name}.blocks.txt: no analysis: {name}.blocks.txt:3: no time; add one"
    assert crash.startswith(f"{name}.phrases.srt: no analysis: ZeroDivisionError: division by zero")
    assert "test_bench_running.py:" in crash
    assert no_stop == f"{name}.plain.vtt: no analysis: intervals[0] has no stop_s; give it in seconds"
    assert {row.tally.works.found for row in scores.rows} == {0}
    assert {row.tally.works.true for row in scores.rows} == {WORKS}


def test_a_class_that_breaks_the_format_stops_before_any_analysis(tmp_path: Path) -> None:
    broken = tmp_path / "broken.class"
    broken.write_text("title: x\n---\n+0 | [[jump]] hi\n", encoding="utf-8")

    def never(captions: Path) -> dict[str, Any]:
        raise AssertionError(captions)

    with pytest.raises(ScriptError, match=r"broken\.class:3: unknown mark \[\[jump\]\]"):
        score_reviews([CLASSES[0], broken], never)


def test_unknown_form() -> None:
    with pytest.raises(BenchError, match=r"unknown caption form a\.srt; use some of rolling\.vtt"):
        score_reviews(CLASSES, perfect, forms=["a.srt"])


def test_the_program_itself_is_its_review_as_a_document(monkeypatch: pytest.MonkeyPatch) -> None:
    review = SimpleNamespace(review=lambda path: ("reviewed", path))
    monkeypatch.setitem(sys.modules, "analyzer.review", review)
    monkeypatch.setitem(sys.modules, "analyzer.document", SimpleNamespace(document=lambda made: {"of": made}))
    assert review_document(Path("a.vtt")) == {"of": ("reviewed", Path("a.vtt"))}


WRITES = """\
import json, sys
captions, out = sys.argv[1:]
if captions.endswith(".srt"):
    sys.exit("first line\\nno captions here")
length = len(open(captions).read())
json.dump({"intervals": [{"kind": "work", "start_s": 0, "stop_s": length}]}, open(out, "w"))
"""


@pytest.fixture
def program(tmp_path: Path) -> str:
    (tmp_path / "with space.py").write_text(WRITES, encoding="utf-8")
    return f"'{sys.executable}' '{tmp_path}/with space.py' {{captions}} {{out}}"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one class."""
    (tmp_path / "classes").mkdir()
    shutil.copy(CLASSES[0], tmp_path / "classes")
    return tmp_path / "classes"


def test_any_other_program(tmp_path: Path, program: str) -> None:
    (tmp_path / "a.vtt").write_text("twelve chars", encoding="utf-8")
    (tmp_path / "a.srt").write_text("", encoding="utf-8")
    assert Command(program)(tmp_path / "a.vtt")["intervals"][0]["stop_s"] == 12
    with pytest.raises(BenchError, match="exit 1, no data document; no captions here"):
        Command(program)(tmp_path / "a.srt")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("review --json {out}", r"--command names no \{captions\}; write \{captions\}"),
        ("review {captions}", r"--command names no \{out\}"),
        ("no-such-program-here {captions} {out}", "--command: no program no-such-program-here; check"),
        ("'review {captions} {out}", "No closing quotation; close the quotation"),
    ],
)
def test_commands_that_cannot_work(line: str, says: str) -> None:
    with pytest.raises(BenchError, match=says):
        Command(line)


def test_finding_classes(tmp_path: Path, folder: Path) -> None:
    assert find_classes(folder) == (folder / f"{NAMES[0]}.class",)
    assert find_classes(CLASSES[1]) == (CLASSES[1],)
    with pytest.raises(BenchError, match=r"nowhere: no such folder; name a folder of \.class files"):
        find_classes(tmp_path / "nowhere")
    with pytest.raises(BenchError, match=r"no \.class files in this folder"):
        find_classes(tmp_path)


def test_command_line(folder: Path, program: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, kept = tmp_path / "scores.json", tmp_path / "kept"
    options = [str(folder), "--command", program, "--forms", "plain.vtt, blocks.txt", "--workers", "1"]
    assert main([*options, "--each", "--agreement", "--json", str(out), "--keep", str(kept)]) == 0
    printed = capsys.readouterr()
    each, pooled, pairs = printed.out.split("\n\n")
    assert NAMES[0] in each
    assert "work intervals, F1" in pooled
    assert pairs.splitlines()[2].split("|")[1].strip() == "plain.vtt"
    data = json.loads(out.read_text(encoding="utf-8"))
    assert set(data) == {"forms", "classes", "cases", "failures", "agreement"}
    assert data["forms"]["plain.vtt"]["counts"]["works"] == {"true": WORKS, "found": 1, "both": 0}
    assert {path.name for path in kept.glob("*.vtt")} == {f"{NAMES[0]}.plain.vtt"}


def test_a_failed_analysis_is_told_and_exits_with_1(
    folder: Path, program: str, capsys: pytest.CaptureFixture[str]
) -> None:
    options = [str(folder), "--command", program, "--workers", "1"]
    assert main([*options, "--forms", "plain.vtt,phrases.srt"]) == 1
    printed = capsys.readouterr()
    (line,) = printed.err.splitlines()
    assert line == f"{NAMES[0]}.phrases.srt: no analysis: exit 1, no data document; no captions here"
    assert "phrases.srt" in printed.out
    # with nothing to score there is no table
    assert main([*options, "--forms", "phrases.srt"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("error: every analysis failed, first ")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--forms", "a.srt"], "error: unknown caption form a.srt; "),
        (["--command", "x"], "error: --command names no {captions}; "),
    ],
)
def test_one_line_for_what_cannot_be_scored(
    options: list[str], says: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([str(folder), *options]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(says)


def test_json_to_nowhere(folder: Path, program: str, capsys: pytest.CaptureFixture[str]) -> None:
    nowhere = folder / "no" / "scores.json"
    options = ["--command", program, "--forms", "plain.vtt", "--workers", "1", "--json", str(nowhere)]
    assert main([str(folder), *options]) == 2
    assert capsys.readouterr().err.startswith(f"error: {nowhere}: cannot write: No such file or directory; ")
