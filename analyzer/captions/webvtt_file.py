"""WebVTT (W3C, www.w3.org/TR/webvtt1): a header, then cues, comments, styles and regions."""

from __future__ import annotations

import re

from analyzer.captions.cues import Cue, Dialect, Format, accounted
from analyzer.captions.records import Problem
from analyzer.captions.recovery import scan

__all__ = ["WEBVTT"]

_TIME = r"(?:[0-9]{2,10}:)?[0-5][0-9]:[0-5][0-9]\.[0-9]{3}"
_DIALECT = Dialect(
    name="WebVTT",
    # between the times: space, tab and form feed, but no vertical tab (web-platform-tests, file-parsing)
    timing=re.compile(
        rf"[ \t\f]*{_TIME}[ \t\f]*-->[ \t\f]*{_TIME}(?:[ \t\f]+(?:[a-z]+:[^ \t\f]*[ \t\f]*)*)?"
    ),
    # browsers take one digit of hours too, so that no viewer loses a caption by it
    time=re.compile(rf"{_TIME}|[0-9]:[0-5][0-9]:[0-5][0-9]\.[0-9]{{3}}"),
    shape="mm:ss.ttt or hh:mm:ss.ttt",
    comments=("NOTE", "STYLE", "REGION"),
    names=True,
    spaces_are_empty=False,
)
_HEADER = re.compile(r"\s*WEBVTT", re.IGNORECASE)
_GOOD_HEADER = re.compile(r"WEBVTT(?:[ \t].*)?")
_BARE_TIMING = re.compile(rf"^[ \t]*{_TIME}[ \t]*-->[ \t]*{_TIME}(?=\s|$)", re.MULTILINE)
_NUMBERED = re.compile(r"^[0-9]+[ \t]*\n[^\n]*-->", re.MULTILINE)


def _sniff(text: str) -> bool:
    """A WebVTT header, or the timings of WebVTT without their header (SubRip numbers its captions)."""
    return _HEADER.match(text) is not None or (
        _BARE_TIMING.search(text) is not None and _NUMBERED.search(text) is None
    )


def _parse(text: str) -> tuple[list[Cue], list[Problem]]:
    """Cues in the order of the file, and what is wrong with it."""
    lines = text.split("\n")
    first, problems = _after_header(lines)
    cues = None if problems else _by_library(text, lines, first)
    if cues is None:
        cues, found = scan(lines, first, _DIALECT)
        problems += found
    return cues, problems


def _after_header(lines: list[str]) -> tuple[int, list[Problem]]:
    """Index of the first line after the header block, and what is wrong with the header."""
    top = next(i for i, line in enumerate(lines) if line.strip())
    if _HEADER.match(lines[top]) is None:
        what = 'the file does not start with "WEBVTT": browsers show none of it'
        return 0, [Problem(1, what, "read as WebVTT all the same")]
    problems = []
    if top > 0 or not _GOOD_HEADER.fullmatch(lines[top]):
        what = (
            f'"{lines[top].strip()}" where the first line should be "WEBVTT": browsers show none of the file'
        )
        problems.append(Problem(top + 1, what, "read as WebVTT all the same"))
    first = top + 1
    while first < len(lines) and lines[first].strip() and "-->" not in lines[first]:
        first += 1  # "Language: en" and the like, and an id if the first cue follows directly
    return first, problems


def _by_library(text: str, lines: list[str], first: int) -> list[Cue] | None:
    """The cues as webvtt-py reads them; None where it objects, or where it passes over a line of the file."""
    import webvtt
    from webvtt.errors import MalformedCaptionError, MalformedFileError

    try:
        captions = webvtt.from_string(text, strict=True).captions
    except (MalformedCaptionError, MalformedFileError, ValueError):
        return None
    found = [(c.start_time.in_milliseconds(), c.end_time.in_milliseconds(), c.lines) for c in captions]
    return accounted(lines, first, found, _DIALECT)


WEBVTT = Format("WebVTT", _sniff, _parse)
