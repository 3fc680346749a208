"""The whole program as a process of its own: what it says of unusable files, and the sample recordings."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from document_help import FITS
from oracle import ROOT
from report_help import Page

from analyzer.cli import main

SAMPLES = sorted(p for p in (ROOT / "sample_captions").iterdir() if p.suffix in (".vtt", ".srt", ".txt"))
# an output without a buffer has nothing left to trip over at the end
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONUNBUFFERED"} | {"PYTHONPATH": str(ROOT)}
CUE = "WEBVTT\n\n00:01.000 --> 00:04.000\n"
HEAVY = {"spacy", "pandas", "matplotlib", "onnxruntime", "numpy", "jinja2", "webvtt"}


def run(*line: str | bytes, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "analyzer", *line],
        cwd=folder, env=ENVIRONMENT | environment, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip


def run_here(capsys: pytest.CaptureFixture[str], *line: str) -> subprocess.CompletedProcess[str]:
    """The same in this process, where the hearing is loaded once for all."""
    code = main(line)
    return subprocess.CompletedProcess(line, code, *capsys.readouterr())


UNUSABLE = [
    ("none.vtt", None, "there is no such file"),
    ("empty.vtt", b"", "the file is empty"),
    ("binary.vtt", bytes(range(256)) * 40, "this is a binary file"),
    ("music.vtt", f"{CUE}[Music]\n".encode(), "no speech"),
    ("blank.srt", b"\xef\xbb\xbf \r\n\r\n", "the file is empty"),
    ("video.vtt", b"\0\0\0\x20ftypisom" + bytes(200), "this is a video"),
    ("header.vtt", b"WEBVTT\n\n", "there is no caption in it"),
    ("letter.txt", b"Dear studio,\nthe class was lovely.\n", "neither WebVTT"),
    ("\x1b[2Jred.vtt", None, "there is no such file"),
]


@pytest.mark.parametrize(("name", "data", "said"), UNUSABLE[:4], ids=lambda value: str(value)[:12])
def test_an_unusable_file_ends_the_program_with_one_line(
    tmp_path: Path, name: str, data: bytes | None, said: str
) -> None:
    check_unusable(tmp_path, name, data, said, lambda *line: run(*line, folder=tmp_path))


@pytest.mark.parametrize(("name", "data", "said"), UNUSABLE[4:], ids=lambda value: str(value)[:12])
def test_an_unusable_file_gets_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    name: str, data: bytes | None, said: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    check_unusable(tmp_path, name, data, said, lambda *line: run_here(capsys, *line))


def check_unusable(
    folder: Path, name: str, data: bytes | None, said: str,
    program: Callable[..., subprocess.CompletedProcess[str]],
) -> None:  # fmt: skip
    if data is not None:
        (folder / name).write_bytes(data)
    done = program("review", name, "--json", "one.json")
    assert (done.returncode, done.stdout) == (2, "")
    shown = name.replace("\x1b", " ")
    assert re.fullmatch(rf"analyzer: {re.escape(shown)}: .*{said}.*; .+\n", done.stderr)
    assert {path.name for path in folder.iterdir()} == ({name} if data is not None else set())


def test_a_folder_ends_the_program_with_one_line(tmp_path: Path) -> None:
    done = run("review", ".", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert re.fullmatch(r"analyzer: \.: this is a folder; .+\n", done.stderr)


@pytest.mark.parametrize("text", ["...", "—", "♪ ♪", "?!", "&nbsp;", "<i></i>"])
def test_captions_without_a_word_hold_no_speech(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    (tmp_path / "class.vtt").write_text(f"{CUE}{text}\n", encoding="utf-8")
    done = run_here(capsys, "review", str(tmp_path / "class.vtt"), "--no-page")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    "line", [["--help"], ["review", "--help"], ["review"], ["review", "a.vtt", "--standard", "none"]]
)
def test_help_and_mistakes_are_answered_before_anything_heavy_is_loaded(
    tmp_path: Path, line: list[str]
) -> None:
    told = "import sys; from analyzer.cli import main\ntry: main(sys.argv[1:])\nexcept SystemExit: pass\n"
    done = subprocess.run(
        [sys.executable, "-c", f"{told}print(*sys.modules, sep=chr(10))", *line],
        cwd=tmp_path, env=ENVIRONMENT, capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert HEAVY.isdisjoint(done.stdout.split())


def test_a_reader_that_goes_away_is_no_error(tmp_path: Path) -> None:
    program = subprocess.Popen(
        [sys.executable, "-m", "analyzer", "standard"],
        cwd=tmp_path, env=ENVIRONMENT, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert program.stdout is not None
    program.stdout.close()
    _, err = program.communicate(timeout=60)
    assert (program.returncode, err) == (141, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
def test_an_output_that_is_full_is_told(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "analyzer", "standard"],
            cwd=tmp_path, env=ENVIRONMENT, stdout=full, stderr=subprocess.PIPE, text=True, timeout=60,
            check=False,
        )  # fmt: skip
    assert done.returncode == 2
    assert re.fullmatch(r"analyzer: No space left on device; .+\n", done.stderr)


# ---- the sample recordings


def test_the_program_reviews_a_sample_from_another_folder(tmp_path: Path) -> None:
    sample = ROOT / "sample_captions" / "first_take.vtt"
    done = run("review", str(sample), folder=tmp_path, PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert re.match(r"first_take, \d+:\d\d: \d+ work intervals \(\d+:\d\d\) and \d+ rests", lines[0])
    assert lines[-1] == "reports/first_take.html"
    assert {path.name for path in (tmp_path / "reports").iterdir()} == {"first_take.html"}


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_a_sample_gives_a_page_and_a_document_that_fits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], sample: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    before = sample.read_bytes()
    assert main(["review", str(sample), "--json", "one.json", "--csv", "tables"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.splitlines()[-1] == f"reports/{sample.stem}.html"
    found = json.loads((tmp_path / "one.json").read_text(encoding="utf-8"))
    FITS.validate(found)
    assert found["source"]["file"] == sample.name
    assert bool(found["intervals"]) == (sample.stem != "studio_talk")
    check_places(found)
    Page((tmp_path / "reports" / f"{sample.stem}.html").read_text(encoding="utf-8"))
    assert sample.read_bytes() == before


def check_places(found: dict[str, Any]) -> None:
    """Intervals follow each other, and what refers to one stands in or before it."""
    intervals = found["intervals"]
    for before, after in pairwise(intervals):
        assert before["start_s"] <= before["stop_s"] <= after["start_s"]
    for call in found["time_calls"]:
        if call["interval"] is not None:
            inside = intervals[call["interval"]]
            assert inside["start_s"] - 1 <= call["at_s"] <= inside["stop_s"] + 1
    for name in ("cues", "findings"):
        places = [record["interval"] for record in found[name] if record["interval"] is not None]
        assert all(place < len(intervals) for place in places)
    for name in ("promises", "intervals", "time_calls", "cues"):
        times = [record["start_s" if name == "intervals" else "at_s"] for record in found[name]]
        assert times == sorted(times), name
