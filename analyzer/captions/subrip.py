"""SubRip: numbered captions with comma decimals. There is no official text; this is the common form."""

from __future__ import annotations

import io
import re

from analyzer.captions.cues import Cue, Dialect, Format, accounted
from analyzer.captions.records import Problem
from analyzer.captions.recovery import scan

__all__ = ["SUBRIP"]

_TIME = "[0-9]{2,10}:[0-5][0-9]:[0-5][0-9],[0-9]{3}"
_DIALECT = Dialect(
    name="SubRip",
    # some tools add the text's corners in the picture: X1:40 X2:600 Y1:20 Y2:50
    timing=re.compile(rf"[ \t]*{_TIME}[ \t]*-->[ \t]*{_TIME}[ \t]*(?:[XY][12]:[0-9]+[ \t]*)*"),
    time=re.compile(_TIME),
    shape="hh:mm:ss,ttt",
    comments=(),
    names=False,
    spaces_are_empty=True,
)
_ANY_TIMING = re.compile(r"^[ \t]*-?[0-9][0-9:., \t]*(?:-->|-- >|[–—-]>)[ \t]*-?[0-9]", re.MULTILINE)


def _sniff(text: str) -> bool:
    """Any line that starts with a time and an arrow."""
    return _ANY_TIMING.search(text) is not None


def _parse(text: str) -> tuple[list[Cue], list[Problem]]:
    """Cues in the order of the file, and what is wrong with it."""
    lines = text.split("\n")
    cues = _by_library(text, lines)
    return (cues, []) if cues is not None else scan(lines, 0, _DIALECT)


def _by_library(text: str, lines: list[str]) -> list[Cue] | None:
    """The cues as webvtt-py reads them; None where it objects, or where it passes over a line of the file."""
    import webvtt
    from webvtt.errors import MalformedCaptionError, MalformedFileError

    try:
        captions = webvtt.from_buffer(io.StringIO(text), format="srt").captions
    except (MalformedCaptionError, MalformedFileError, ValueError):
        return None
    found = [(c.start_time.in_milliseconds(), c.end_time.in_milliseconds(), c.lines) for c in captions]
    return accounted(lines, 0, found, _DIALECT)


SUBRIP = Format("SubRip", _sniff, _parse)
