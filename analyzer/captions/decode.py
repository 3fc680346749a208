"""From bytes to text: encodings, line ends, and the files that are no text at all.

The text that ``normal`` gives has LF line ends only, no byte order mark, and U+FFFD where the file holds a
NUL (W3C WebVTT, parsing) or bytes that mean nothing in its encoding. Lines are numbered as in an editor.
"""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from analyzer.captions.records import Problem
from analyzer.errors import CaptionError

__all__ = ["MAX_BYTES", "decode", "load", "normal", "stranger"]

MAX_BYTES = 50_000_000
"""The largest file read. An hour of captions with a time for each word is about 1 MB (measured)."""

_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16, whose mark it starts with
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_SIGNATURES = (
    (0, b"%PDF", "a PDF document"),
    (0, b"PK\x03\x04", "a zip archive or office document"),
    (0, b"\x89PNG", "a picture"),
    (0, b"\xff\xd8\xff", "a picture"),
    (0, b"\x1f\x8b", "a compressed file"),
    (0, b"\x1aE\xdf\xa3", "a video"),
    (4, b"ftyp", "a video or sound recording"),
    (0, b"RIFF", "a video or sound recording"),
    (0, b"ID3", "a sound recording"),
    (0, b"OggS", "a video or sound recording"),
)
_STRANGERS = (
    (re.compile(r"\s*<\?xml|\s*<tt\b"), "TTML or another XML file"),
    (re.compile(r"\s*<!doctype|\s*<html", re.IGNORECASE), "a web page"),
    (re.compile(r"\s*\[Script Info\]|\s*\[V4", re.IGNORECASE), "a SubStation Alpha file"),
    (re.compile(r"\s*\{[0-9]+\}\{[0-9]+\}"), "captions timed in frames"),
    (re.compile(r"\s*[{\[]\s*[\"{\[]"), "JSON data"),
    (re.compile(r"Scenarist_SCC"), "an SCC file"),
)
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f\ufffd]")
_MARKS = re.compile("[\U000f0000-\U0010ffff]")
"""The planes for private use: captions.markup marks times with one, and nobody writes in them."""
_EXPORT = "give the recording's captions, exported as .vtt or .srt, or a timed transcript"
_MOSTLY_CONTROL = 0.05
"""A larger share of control characters, and it is no text. Of random bytes every ninth is one."""


def load(path: Path) -> bytes:
    """The bytes of ``path``, or a ``CaptionError`` that says why there are none to read."""
    try:
        if path.is_dir():
            raise CaptionError(path=path, what="this is a folder", todo="name one caption file in it")
        if not path.exists():
            raise CaptionError(path=path, what="there is no such file", todo="check the name and the folder")
        if not path.is_file():
            raise CaptionError(path=path, what="this is no ordinary file", todo=_EXPORT)
        size = path.stat().st_size
        if size > MAX_BYTES:
            what = (
                f"{size / 1e6:,.0f} MB is too large for captions; at most {MAX_BYTES / 1e6:.0f} MB are read"
            )
            raise CaptionError(path=path, what=what, todo=_EXPORT)
        data = path.read_bytes()
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        reason = getattr(error, "strerror", None) or str(error)
        todo = "check that you may read it, and that its name is right"
        raise CaptionError(path=path, what=f"cannot be read ({reason})", todo=todo) from error
    if not data.strip(b"\0 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise CaptionError(path=path, what="the file is empty", todo=_EXPORT)
    return data


def decode(data: bytes, path: Path) -> tuple[str, list[Problem]]:
    """Text of a caption file, and what had to be guessed; ``CaptionError`` where it is no text."""
    for offset, signature, kind in _SIGNATURES:
        if data[offset : offset + len(signature)] == signature:
            raise CaptionError(path=path, what=f"this is {kind}, not a caption file", todo=_EXPORT)
    text, problems = _characters(data)
    if len(_CONTROL.findall(text)) > max(3, _MOSTLY_CONTROL * len(text)):
        raise CaptionError(path=path, what="this is a binary file, not text", todo=_EXPORT)
    return text, problems


def normal(text: str) -> str:
    """Text with LF line ends, no byte order mark, and no characters that captions do not hold."""
    if text.count("\r\r\n") == text.count("\n"):  # line ends translated twice
        text = text.replace("\r\r\n", "\n")
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").replace("\0", "\ufffd")
    return text if text.isascii() else _MARKS.sub("\ufffd", text)


def _characters(data: bytes) -> tuple[str, list[Problem]]:
    for mark, encoding in _BOMS:
        if data.startswith(mark):
            return _with_holes(data[len(mark) :], encoding)
    pairs = len(data) // 2
    for encoding, zeros in (("utf-16-le", data[1::2].count(0)), ("utf-16-be", data[::2].count(0))):
        if pairs and zeros > 0.4 * pairs and b"\0\0" not in data[:200]:
            return _with_holes(data, encoding)
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError as error:
        first = data.count(b"\n", 0, error.start) + 1
    good = data.decode("utf-8", errors="ignore")
    bad = len(data) - len(good.encode())
    if len(good.encode()) - len(good) > bad:  # mostly good UTF-8, a few broken characters
        return _with_holes(data, "utf-8")
    text = data.decode("cp1252", errors="replace")
    guess = Problem(first, "the file is not UTF-8 text", "read as Windows-1252; accents may be wrong")
    return text, [guess]


def _with_holes(data: bytes, encoding: str) -> tuple[str, list[Problem]]:
    """Decode, with one problem for all the bytes that stand for no character."""
    try:
        return data.decode(encoding), []
    except UnicodeDecodeError as error:
        before = data[: error.start].decode(encoding, errors="replace")
    what = f"bytes that are no {encoding.upper()} character"
    return data.decode(encoding, errors="replace"), [
        Problem(before.count("\n") + 1, what, "shown as \ufffd, here and in any later place")
    ]


def stranger(text: str) -> str:
    """What a text that is no caption file looks like, as the rest of a sentence; "" if like nothing known."""
    return next((f" (it looks like {kind})" for pattern, kind in _STRANGERS if pattern.match(text)), "")
