"""What every format module gives: cues, as they stand in the file.

A *cue* is one time and the lines of text under it, markup and all. A format is a name and two functions;
``analyzer.captions.reading`` holds the table of formats.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from analyzer.captions.records import Problem

__all__ = ["Cue", "Dialect", "Format", "accounted", "blocks"]


@dataclass(frozen=True, slots=True)
class Cue:
    """One timed text before any clean-up; ``line`` is the 1-based line of its time.

    ``end_ms`` may lie before ``start_ms``, if it does so in the file. ``numbers`` are the lines of ``lines``.
    """

    line: int
    start_ms: int
    end_ms: int
    lines: tuple[str, ...]
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Format:
    """A kind of caption file: does a text look like it, and which cues and problems are in it?

    ``open_end``: the format says when a cue starts, not when the last one ends.
    """

    name: str
    sniff: Callable[[str], bool]
    parse: Callable[[str], tuple[list[Cue], list[Problem]]]
    open_end: bool = False


@dataclass(frozen=True, slots=True)
class Dialect:
    """Where WebVTT and SubRip differ.

    ``timing`` matches a timing line that keeps to the rules, ``time`` one of its times, and ``shape`` shows
    it to a person. ``comments`` are the words that open a block which is no caption. ``names``: may any line
    above a timing be the cue's id (WebVTT), or only a number (SubRip)? ``spaces_are_empty``: does a line of
    spaces end a block? Not in WebVTT, where rolling captions use one as an empty first line.
    """

    name: str
    timing: re.Pattern[str]
    time: re.Pattern[str]
    shape: str
    comments: tuple[str, ...]
    names: bool
    spaces_are_empty: bool

    def is_comment(self, line: str) -> bool:
        """Whether a block that starts with this line holds no caption."""
        return line.startswith(self.comments) and line.split(maxsplit=1)[0] in self.comments

    def is_empty(self, line: str) -> bool:
        """Whether a line ends a block."""
        return not line or (self.spaces_are_empty and not line.strip())


def blocks(lines: Sequence[str], begin: int, stop: int, dialect: Dialect) -> list[list[int]]:
    """Indexes of the lines in ``range(begin, stop)``, in runs without an empty line."""
    runs: list[list[int]] = [[]]
    for i in range(begin, stop):
        if not dialect.is_empty(lines[i]):
            runs[-1].append(i)
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]


def accounted(
    lines: Sequence[str], first: int, found: Sequence[tuple[int, int, Sequence[str]]], dialect: Dialect
) -> list[Cue] | None:
    """The cues (start, end, text lines) that a library found, with their line numbers.

    None when a line from index ``first`` on is neither the timing, text or id of one of them, nor in a
    comment block, nor empty; or when a timing does not keep to the rules: the library has lost something.
    """
    arrows = [i for i in range(first, len(lines)) if "-->" in lines[i]]
    if len(arrows) != len(found):
        return None
    cues = []
    stop = first
    for i, (start_ms, end_ms, text) in zip(arrows, found, strict=True):
        if not dialect.timing.fullmatch(lines[i]) or not _only_comments(lines, stop, i, dialect):
            return None
        stop = i + 1 + len(text)
        complete = list(text) == list(lines[i + 1 : stop]) and (
            stop == len(lines) or dialect.is_empty(lines[stop])
        )
        if not text or not complete:
            return None
        cues.append(Cue(i + 1, start_ms, end_ms, tuple(text), tuple(range(i + 2, stop + 1))))
    return cues if _only_comments(lines, stop, len(lines), dialect) else None


def _only_comments(lines: Sequence[str], begin: int, stop: int, dialect: Dialect) -> bool:
    """Whether no line in a range is text; the last may be the id of a cue below, if it is one word."""
    runs = blocks(lines, begin, stop, dialect)
    if runs and stop < len(lines) and runs[-1] == [stop - 1] and len(lines[stop - 1].split()) == 1:
        runs.pop()
    return all(dialect.is_comment(lines[run[0]]) for run in runs)
