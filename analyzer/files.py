"""Writing files so that nobody ever finds half of one."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from stat import S_IMODE
from tempfile import NamedTemporaryFile

from analyzer.errors import AnalyzerError

__all__ = ["write_whole"]


def write_whole(path: Path, text: str) -> None:
    """Write ``text`` as UTF-8, line ends as they are; the old file goes only once the new one is whole.

    The new file is written beside the old one and takes its place and its permissions; a link stays a link,
    and what it points to is replaced. What is no file (a terminal, a pipe) is written to directly.

    Raises AnalyzerError, naming the path, where that cannot be done; the old file is then as it was.
    """
    try:
        target = path.resolve()
        if target.is_dir():
            raise AnalyzerError(path=path, what="is a folder", todo="give the name of a file to write")
        if not target.parent.is_dir():
            raise AnalyzerError(path=path, what=f"the folder {target.parent} does not exist",
                                todo="make it, or write elsewhere")
        if target.exists() and not target.is_file():
            target.write_text(text, encoding="utf-8", newline="")
            return
        _replace(target, text)
    except OSError as error:
        raise AnalyzerError(path=path, what=f"cannot be written ({error.strerror or error})",
                            todo="check the folder and its space, or write elsewhere") from error


def _replace(target: Path, text: str) -> None:
    mode = S_IMODE(target.stat().st_mode) if target.exists() else 0o666 & ~_umask()
    with NamedTemporaryFile(
        "w", encoding="utf-8", newline="", dir=target.parent, prefix=f".{target.name}.", delete=False
    ) as new:
        try:
            new.write(text)
            new.flush()
            os.fsync(new.fileno())
            new.close()
            Path(new.name).chmod(mode)
            Path(new.name).replace(target)
        except BaseException:
            with suppress(OSError):
                Path(new.name).unlink()
            raise


def _umask() -> int:
    """The process's umask, which can only be read by setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
