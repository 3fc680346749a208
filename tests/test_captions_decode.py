"""Bytes to text, and the files that are no caption files."""

import os
import re
from pathlib import Path

import pytest

from analyzer.captions import read
from analyzer.captions.decode import MAX_BYTES
from analyzer.errors import CaptionError

TEXT = "WEBVTT\n\n00:01.000 --> 00:02.000\nplié – naïve café\n"


def write(folder: Path, data: bytes, name: str = "class.vtt") -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    "data",
    [
        TEXT.encode("utf-8"),
        TEXT.encode("utf-8-sig"),
        TEXT.encode("utf-16"),
        b"\xfe\xff" + TEXT.encode("utf-16-be"),
        TEXT.encode("utf-16-le"),
        TEXT.encode("utf-16-be"),
        TEXT.encode("utf-32"),
    ],
    ids=["utf-8", "utf-8 mark", "utf-16 mark", "utf-16-be mark", "utf-16-le", "utf-16-be", "utf-32"],
)
def test_encodings(tmp_path: Path, data: bytes) -> None:
    captions = read(str(write(tmp_path, data)))
    assert [c.text for c in captions.captions] == ["plié – naïve café"]
    assert captions.problems == ()


def test_windows_1252_is_a_guess_and_told(tmp_path: Path) -> None:
    captions = read(write(tmp_path, TEXT.encode("cp1252")))
    assert captions.captions[0].text == "plié – naïve café"
    assert [(p.line, p.what) for p in captions.problems] == [(4, "the file is not UTF-8 text")]


def test_broken_characters_in_utf_8(tmp_path: Path) -> None:
    captions = read(write(tmp_path, TEXT.encode().replace(b"na\xc3\xafve", b"na\xc3ve")))
    assert captions.captions[0].text == "plié – na\ufffdve café"
    assert [p.line for p in captions.problems] == [4]
    captions = read(write(tmp_path, b"\xff\xfe" + TEXT.encode("utf-16-le") + b"x"))
    assert captions.captions[0].text.startswith("plié – naïve café")
    assert len(captions.problems) == 1


def complaint(path: Path | str) -> str:
    with pytest.raises(CaptionError) as error:
        read(path)
    message = str(error.value)
    assert "\n" not in message
    assert message.startswith(f"{path}: ")
    assert "; " in message  # what is wrong; what to do
    return message


def test_files_that_are_not_there(tmp_path: Path) -> None:
    assert "no such file" in complaint(tmp_path / "none.vtt")
    assert "folder" in complaint(tmp_path)
    for name in ("a\0b.vtt", "x" * 5_000):  # Python versions differ in which of the two they say
        assert re.search("no such file|cannot be read", complaint(name))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_is_refused_without_waiting(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.vtt")
    assert "ordinary" in complaint(tmp_path / "pipe.vtt")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, TEXT.encode())

    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert "cannot be read (Permission denied)" in complaint(path)


@pytest.mark.parametrize("data", [b"", b"\n \r\n", b"\xef\xbb\xbf", b"\xff\xfe\n\0"])
def test_empty_files(tmp_path: Path, data: bytes) -> None:
    assert "the file is empty" in complaint(write(tmp_path, data))


def test_a_file_too_large_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "class.vtt"
    with path.open("wb") as file:
        file.truncate(MAX_BYTES + 1)
    assert "too large" in complaint(path)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"\0\0\0\x20ftypisom" + bytes(range(256)) * 4, "video"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "picture"),
        (b"PK\x03\x04" + bytes(100), "zip"),
        (b"%PDF-1.7\n", "PDF"),
        (bytes(range(256)) * 20, "binary"),
        (b"\x01\x02\x03\x04\x05\x06" * 50, "binary"),
        (b'<?xml version="1.0"?><tt></tt>', "TTML"),
        (b"[Script Info]\nTitle: class\n", "SubStation"),
        (b'{"segments": []}', "JSON"),
        (b"{25}{75}go\n", "frames"),
        (b"Dear all,\n\nthe class is at 10:30.\n", "neither WebVTT, SubRip nor a timed transcript"),
    ],
)
def test_files_of_another_kind(tmp_path: Path, data: bytes, what: str) -> None:
    assert what in complaint(write(tmp_path, data))


def test_nulls_in_a_caption_file_do_not_make_it_binary(tmp_path: Path) -> None:
    path = write(tmp_path, b"WEBVTT\n\n00:01.000 --> 00:02.000\nke\0ep going\n")
    assert read(path).captions[0].text == "ke\ufffdep going"
