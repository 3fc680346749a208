"""The command line: what it writes, prints and returns, with the hearing left out.

``test_cli_process`` runs the whole program as a process of its own.
"""

from __future__ import annotations

import csv
import io
import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from document_help import FITS, small
from oracle import heard, say, segment
from report_help import review as reviewed

from analyzer.cli import COMMANDS, INTERRUPTED, PIPE_CLOSED, main, parser
from analyzer.errors import CaptionError
from analyzer.exports.csv_files import FILES
from analyzer.review import Review
from analyzer.standards.standard import Standard, load, profiles

Fake = Callable[..., None]


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def hears(room: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Any], list[Standard]]:
    """Have every caption file heard as one class (or raise); gives the standards that were asked for."""

    def fake(it: Review | BaseException) -> list[Standard]:
        asked: list[Standard] = []

        def review(path: Path, *, standard: Standard) -> Review:
            asked.append(standard)
            if isinstance(it, BaseException):
                raise it
            return it

        monkeypatch.setattr("analyzer.review.review", review)
        return asked

    return fake


def left(room: Path) -> set[str]:
    """All files below a folder, hidden ones too."""
    return {path.relative_to(room).as_posix() for path in room.rglob("*") if path.is_file()}


# ---- review


def test_the_page_goes_to_reports_and_its_path_stands_last(
    room: Path, hears: Fake, capsys: pytest.CaptureFixture[str]
) -> None:
    hears(reviewed(small()))
    assert main(["review", "takes/class.vtt"]) == 0
    out, err = capsys.readouterr()
    totals, first, second, third, more, path = out.splitlines()
    assert totals.startswith("class, 15:00: 6 work intervals")
    assert all(line.startswith("  ") for line in (first, second, third))
    assert more.endswith("more on the page")
    assert (path, err) == ("reports/class.html", "")
    assert (room / path).read_text(encoding="utf-8").startswith("<!")
    assert left(room) == {"reports/class.html"}


def test_every_output_is_written_where_it_was_asked_for(room: Path, hears: Fake) -> None:
    hears(reviewed(small()))
    (room / "pages").mkdir()
    line = ["review", "class.vtt", "--out", "pages/one.html", "--json", "one.json", "--csv", "new/tables"]
    assert main(line) == 0
    assert left(room) == {"pages/one.html", "one.json", *(f"new/tables/{name}" for name in FILES)}
    FITS.validate(json.loads((room / "one.json").read_text(encoding="utf-8")))
    with (room / "new/tables/intervals.csv").open(encoding="utf-8", newline="") as table:
        assert len(list(csv.DictReader(table))) == 7


@pytest.mark.parametrize("out", ["pages", "pages/"])
def test_a_folder_takes_the_page_under_its_usual_name(
    room: Path, hears: Fake, capsys: pytest.CaptureFixture[str], out: str
) -> None:
    hears(reviewed(small()))
    (room / "pages").mkdir()
    assert main(["review", "class.vtt", "--out", out]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "pages/class.html"
    assert left(room) == {"pages/class.html"}


def test_no_page_is_written_where_none_is_wanted(
    room: Path, hears: Fake, capsys: pytest.CaptureFixture[str]
) -> None:
    hears(reviewed(small()))
    assert main(["review", "class.vtt", "--no-page", "--json", "one.json"]) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    assert last.startswith("and ")
    assert last.endswith(" more")
    assert left(room) == {"one.json"}


def test_quiet_prints_nothing_and_writes_all(
    room: Path, hears: Fake, capsys: pytest.CaptureFixture[str]
) -> None:
    hears(reviewed(small()))
    assert main(["review", "class.vtt", "--quiet"]) == 0
    assert tuple(capsys.readouterr()) == ("", "")
    assert left(room) == {"reports/class.html"}


def test_a_second_review_replaces_the_page(room: Path, hears: Fake) -> None:
    hears(reviewed(small()))
    assert main(["review", "class.vtt"]) == 0
    first = (room / "reports/class.html").read_text(encoding="utf-8")
    hears(reviewed(heard([segment(60, 100, "squats", 40)])))
    assert main(["review", "class.srt"]) == 0
    assert (room / "reports/class.html").read_text(encoding="utf-8") != first
    assert left(room) == {"reports/class.html"}


def test_a_recording_that_is_no_class_is_answered(
    hears: Fake, capsys: pytest.CaptureFixture[str]
) -> None:
    hears(reviewed(heard(words=say("welcome to my kitchen"))))
    assert main(["review", "class.vtt"]) == 0
    assert "no announced intervals found" in capsys.readouterr().out


@pytest.mark.parametrize("name", ["older_adults", "older-adults", "Older adults"])
def test_a_standard_that_ships_goes_by_its_name(
    hears: Callable[[Any], list[Standard]], name: str
) -> None:
    asked = hears(reviewed(small()))
    assert main(["review", "class.vtt", "--standard", name]) == 0
    assert asked == [load(profiles()["older_adults"])]


def test_a_standard_of_the_house_is_a_file(room: Path, hears: Callable[[Any], list[Standard]]) -> None:
    (room / "house.toml").write_text('name = "House"\n[rules.no_water_break]\nweight = "off"\n', "utf-8")
    asked = hears(reviewed(small()))
    assert main(["review", "class.vtt", "--standard", "house.toml"]) == 0
    assert main(["review", "class.vtt"]) == 0
    assert [standard.name for standard in asked] == ["House", load().name]
    assert asked[0].rules["no_water_break"].weight == "off"


# ---- what goes wrong


def test_an_error_is_one_line_that_says_where(hears: Fake, capsys: pytest.CaptureFixture[str]) -> None:
    hears(CaptionError(path=Path("class.vtt"), line=12, what="no time\x1b[2J", todo="add one"))
    assert main(["review", "class.vtt"]) == 2
    assert tuple(capsys.readouterr()) == ("", "analyzer: class.vtt:12: no time [2J; add one\n")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["--out", "none/one.html"], "none/one.html: the folder"),
        (["--json", "none/one.json"], "none/one.json: the folder"),
        (["--json", "."], ".: is a folder"),
        (["--csv", "class.vtt"], "class.vtt: cannot be written (File exists)"),
        (["--out", "class.vtt"], "class.vtt: this name is given twice"),
        (["--out", "one", "--json", "./one"], "one: this name is given twice"),
        (["--standard", "house.toml", "--json", "house.toml"], "house.toml: this name is given twice"),
        (["--standard", "olderadults"], "olderadults: no class standard of this name, and no such file"),
        (["--standard", "."], ".: cannot be read (Is a directory)"),
    ],
)
def test_a_place_that_cannot_be_used_is_named(
    room: Path, hears: Fake, capsys: pytest.CaptureFixture[str], line: list[str], said: str
) -> None:
    hears(reviewed(small()))
    for name in ("class.vtt", "house.toml"):
        (room / name).touch()
    assert main(["review", "class.vtt", *line]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"analyzer: {said}")
    assert err.count("\n") == 1
    assert "; " in err
    assert (room / "class.vtt").read_bytes() == (room / "house.toml").read_bytes() == b""


def test_a_link_to_the_captions_does_not_replace_them(room: Path, hears: Fake) -> None:
    hears(reviewed(small()))
    (room / "class.vtt").write_text("WEBVTT\n", "utf-8")
    (room / "page.html").symlink_to("class.vtt")
    assert main(["review", "class.vtt", "--out", "page.html"]) == 2
    assert (room / "class.vtt").read_text("utf-8") == "WEBVTT\n"


@pytest.mark.parametrize("step", ["replace", "fsync"])
def test_nothing_half_written_is_left_when_writing_fails(
    room: Path, hears: Fake, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], step: str
) -> None:
    hears(reviewed(small()))
    assert main(["review", "class.vtt", "--json", "one.json", "--csv", "."]) == 0
    before = {name: (room / name).read_bytes() for name in left(room)}
    assert len(before) == 6

    def full(*args: object, **options: object) -> None:
        raise OSError(28, "No space left on device")

    hears(reviewed(heard([segment(60, 100, "squats", 40)])))
    monkeypatch.setattr(os, step, full)
    capsys.readouterr()
    assert main(["review", "class.vtt", "--json", "one.json", "--csv", "."]) == 2
    assert capsys.readouterr().err.startswith(
        "analyzer: reports/class.html: cannot be written (No space left on device); "
    )
    assert {name: (room / name).read_bytes() for name in left(room)} == before


def test_nothing_is_written_when_making_an_output_fails(
    room: Path, hears: Fake, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: object) -> str:
        raise ZeroDivisionError

    hears(reviewed(small()))
    monkeypatch.setattr("analyzer.document.as_json", broken)
    with pytest.raises(ZeroDivisionError):
        main(["review", "class.vtt", "--json", "one.json"])
    assert left(room) == set()


def test_an_interrupt_ends_it_quietly(hears: Fake, capsys: pytest.CaptureFixture[str]) -> None:
    hears(KeyboardInterrupt())
    assert main(["review", "class.vtt"]) == INTERRUPTED == 130
    assert tuple(capsys.readouterr()) == ("", "")


class Closed(io.StringIO):
    """An output that nobody reads any more."""

    def flush(self) -> None:
        raise BrokenPipeError(32, "Broken pipe")


def test_a_closed_pipe_ends_it_quietly(
    room: Path, hears: Fake, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    hears(reviewed(small()))
    monkeypatch.setattr(sys, "stdout", Closed())
    assert main(["review", "class.vtt"]) == PIPE_CLOSED == 141
    assert capsys.readouterr().err == ""
    assert left(room) == {"reports/class.html"}


def test_a_terminal_without_the_letters_still_gets_the_summary(
    hears: Fake, monkeypatch: pytest.MonkeyPatch
) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    hears(reviewed(heard([segment(60, 100, "chaturaṅga", 20)])))
    assert main(["review", "class.vtt"]) == 0
    assert b"hatura?ga" in raw.getvalue()


# ---- the rest of the command line


@pytest.mark.parametrize(
    "line",
    [
        [],
        ["revue"],
        ["review"],
        ["review", "class.vtt", "--jsn", "one.json"],
        ["review", "class.vtt", "--js", "one.json"],
        ["review", "class.vtt", "--out", "one.html", "--no-page"],
        ["review", "class.vtt", "other.vtt"],
    ],
)
def test_a_command_line_that_makes_no_sense_is_refused(
    line: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as end:
        main(line)
    assert end.value.code == 2
    assert capsys.readouterr().err.startswith("usage: analyzer")


@pytest.mark.parametrize("line", [["--help"], *([name, "--help"] for name in COMMANDS)])
def test_help_tells_the_commands_and_the_caution(
    line: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as end:
        main(line)
    assert end.value.code == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "not whether a move is safe" in said


def test_every_command_is_one_of_the_table() -> None:
    shown = parser().format_help()
    assert all(command.about in " ".join(shown.split()) for command in COMMANDS.values())


def test_the_standard_in_force_is_printed_and_reads_back(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["standard", "--profile", "older_adults"]) == 0
    shown = capsys.readouterr().out
    assert "ACSM's Guidelines for Exercise Testing and Prescription" in shown
    (room / "kept.toml").write_text(shown, encoding="utf-8")
    assert load(room / "kept.toml") == load(profiles()["older_adults"])


def test_the_general_standard_is_printed_where_none_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["standard"]) == 0
    assert f'name = "{load().name}"' in capsys.readouterr().out
    assert main(["standard", "--profile", "none"]) == 2
    assert "use one of default, older_adults" in capsys.readouterr().err
