"""What a caption file says, format aside.

Invariants: captions are in order of time then file; text has no markup, no entities, no speaker label and
no sound tag; nothing of the file is lost without a ``Problem``.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from analyzer.spans import Span

__all__ = ["Caption", "Captions", "Problem", "TimedText", "Timing"]

Timing = Literal["word", "phrase", "block"]
"""How finely a file is timed: a time before each word, captions of some words, or a stamp now and then."""


@dataclass(frozen=True, slots=True)
class TimedText:
    """Words of a caption that carry a start time of their own (WebVTT cue timestamps, rolling captions)."""

    start_ms: int
    text: str


@dataclass(frozen=True, slots=True)
class Caption:
    """One timed text.

    ``span`` is when it was on screen; in a block transcript it ends at the next stamp (the last one's end
    is open: it equals its start). ``parts`` is empty unless the file gives times inside the caption; then
    the parts joined by spaces are the text. ``line`` is the 1-based line of its timing in the file.
    ``speaker`` is a voice tag or label, ``sounds`` what stood in brackets ("Music").
    """

    span: Span
    text: str
    line: int
    parts: tuple[TimedText, ...] = ()
    speaker: str | None = None
    sounds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong with the file, at a line, and what was done about it."""

    line: int
    what: str
    done: str


@dataclass(frozen=True, slots=True)
class Captions:
    """A caption file, read."""

    path: Path
    format: str
    """``WebVTT``, ``SubRip`` or ``timed transcript``; "rolling" precedes it where lines repeat."""
    timing: Timing
    captions: tuple[Caption, ...]
    problems: tuple[Problem, ...] = ()

    @property
    def length_ms(self) -> int:
        """Latest time in the file, in milliseconds."""
        return max((c.span.end_ms for c in self.captions), default=0)
