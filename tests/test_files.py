"""Files are whole or not there."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

from analyzer.errors import AnalyzerError
from analyzer.files import write_whole


def test_text_is_written_as_it_is(tmp_path: Path) -> None:
    out = tmp_path / "a.txt"
    write_whole(out, "ä\r\nb\n")
    assert out.read_bytes() == "ä\r\nb\n".encode()
    write_whole(out, "c")
    assert out.read_bytes() == b"c"
    assert list(tmp_path.iterdir()) == [out]


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_leaves_the_old_file_and_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    out = tmp_path / "a.txt"
    out.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os if step == "fsync" else Path, step, full)
    with pytest.raises(AnalyzerError, match=r"a\.txt: cannot be written \(No space left on device\); check"):
        write_whole(out, "new")
    assert out.read_text() == "old"
    assert list(tmp_path.iterdir()) == [out]


def test_text_that_cannot_be_encoded_leaves_the_old_file(tmp_path: Path) -> None:
    out = tmp_path / "a.txt"
    out.write_text("old")
    with pytest.raises(UnicodeEncodeError):
        write_whole(out, "\ud800")
    assert out.read_text() == "old"
    assert list(tmp_path.iterdir()) == [out]


def test_readers_only_ever_see_a_whole_file(tmp_path: Path) -> None:
    out = tmp_path / "a.txt"
    texts = ["a" * 200_000, "b" * 300_000]
    write_whole(out, texts[0])
    done = threading.Event()
    seen: set[str] = set()

    def read() -> None:
        while not done.is_set():
            seen.add(out.read_text())

    reader = threading.Thread(target=read)
    reader.start()
    for n in range(40):
        write_whole(out, texts[n % 2])
    done.set()
    reader.join()
    assert seen <= set(texts)


@pytest.mark.skipif(os.name != "posix", reason="permissions and links as on POSIX systems")
def test_permissions_and_links_are_kept(tmp_path: Path) -> None:
    new, old, link = tmp_path / "new", tmp_path / "old", tmp_path / "link"
    mask = os.umask(0o027)
    try:
        write_whole(new, "x")
    finally:
        os.umask(mask)
    assert new.stat().st_mode & 0o777 == 0o640
    old.write_text("old")
    old.chmod(0o604)
    link.symlink_to(old)
    write_whole(link, "through")
    assert link.is_symlink()
    assert old.read_text() == "through"
    assert old.stat().st_mode & 0o777 == 0o604


@pytest.mark.skipif(not Path("/dev/null").exists(), reason="no /dev/null")
def test_what_is_no_file_is_written_to_directly() -> None:
    before = Path("/dev/null").stat().st_mode
    write_whole(Path("/dev/null"), "gone")
    assert Path("/dev/null").stat().st_mode == before


def test_folders_are_named_in_the_error(tmp_path: Path) -> None:
    with pytest.raises(AnalyzerError, match="is a folder; give the name of a file"):
        write_whole(tmp_path, "x")
    with pytest.raises(AnalyzerError, match=r"nowhere does not exist; make it"):
        write_whole(tmp_path / "nowhere" / "a.txt", "x")
