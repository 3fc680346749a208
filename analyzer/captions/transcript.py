"""Timed transcripts: lines of talk, each with the time it starts, ``[1:05] text`` and its relatives.

The stamp may stand in square or round brackets or in none, before its text or on a line of its own, after
the speaker's name, and may give an end too, ``[0:00 - 0:05]``. A file keeps to one style, so a time in any
other style is something that was said.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass

from analyzer.captions.cues import Cue, Format
from analyzer.captions.records import Problem
from analyzer.captions.times import milliseconds

__all__ = ["TRANSCRIPT"]

_TIME = r"[0-9]{1,3}:[0-5][0-9](?::[0-5][0-9])?(?:[.,][0-9]{1,3})?"
_STAMP = re.compile(
    rf"[ \t]*(?P<open>[\[(]?)(?P<start>{_TIME})"
    rf"(?:[ \t]*(?:--?>|[-–—]|to)[ \t]*(?P<end>{_TIME}))?"
    r"(?P<close>[\])]|(?![\w:.,%>-]))[ \t]*(?:[-–—|:][ \t]+)?(?P<text>.*)"
)
_NAMED = re.compile(
    r"[ \t]*(?P<name>[A-Z][^\s\[(:<>]*(?:[ \t]+[A-Z0-9][^\s\[(:<>]*){0,2}):?[ \t]+"
    rf"(?P<stamp>[\[(]?{_TIME}[\])]?)[ \t]*"
)
_PAIRS = {"": "", "[": "]", "(": ")"}

_MISTYPED = 0.1
"""Share of stamps that go back and may still be slips; more, and the parts of the file are out of order."""


@dataclass(frozen=True, slots=True)
class _Stamp:
    index: int
    start_ms: int
    end_ms: int | None
    text: str
    style: str
    line: str


def _sniff(text: str) -> bool:
    """The first line that is not empty starts with a stamp, or three lines do."""
    lines = text.split("\n")
    stamps = _stamps(lines)
    top = next((i for i, line in enumerate(lines) if line.strip()), None)
    return len(stamps) >= 3 or (bool(stamps) and stamps[0].index == top)


def _parse(text: str) -> tuple[list[Cue], list[Problem]]:
    """Cues, each ending at the next stamp, and what is wrong with the file."""
    lines = text.split("\n")
    stamps, problems = _in_order(_stamps(lines), lines)
    for i in range(stamps[0].index):
        if lines[i].strip():
            problems.append(Problem(i + 1, f'text before the first stamp: "{lines[i].strip()}"', "left out"))
    cues: list[Cue] = []
    for stamp, after in zip(stamps, [*stamps[1:], None], strict=True):
        stop = after.index if after else len(lines)
        body = [(stamp.index, stamp.text), *((i, lines[i]) for i in range(stamp.index + 1, stop))]
        words = tuple(line for _, line in body if line.strip())
        numbers = tuple(i + 1 for i, line in body if line.strip())
        end_ms = stamp.end_ms
        if end_ms is None:
            end_ms = max(after.start_ms, stamp.start_ms) if after else stamp.start_ms
        if cues and cues[-1].start_ms == stamp.start_ms:  # two speakers within a second share its window
            last = cues.pop()
            end_ms, words, numbers = max(end_ms, last.end_ms), last.lines + words, last.numbers + numbers
            cues.append(Cue(last.line, last.start_ms, end_ms, words, numbers))
        else:
            cues.append(Cue(stamp.index + 1, stamp.start_ms, end_ms, words, numbers))
    return [cue for cue in cues if cue.lines], problems  # a stamp without text only ends the one before


def _stamps(lines: list[str]) -> list[_Stamp]:
    """The stamped lines in the style that the file uses most."""
    found = [stamp for i, line in enumerate(lines) if ":" in line and (stamp := _stamp(i, line))]
    if not found:
        return []
    styles = Counter(stamp.style for stamp in found)
    style = max(styles, key=lambda s: (styles[s], s != ""))
    return [stamp for stamp in found if stamp.style == style]


def _stamp(index: int, line: str) -> _Stamp | None:
    name, rest = "", line
    if named := _NAMED.fullmatch(line):
        name, rest = f"<v {named['name']}>", named["stamp"]  # as WebVTT writes it
    match = _STAMP.fullmatch(rest)
    if match is None or _PAIRS[match["open"]] != match["close"] or (match["end"] and not match["open"]):
        return None
    start_ms = milliseconds(match["start"])
    end_ms = max(start_ms, milliseconds(match["end"])) if match["end"] else None
    style = ("name" if name else "") + match["open"]
    return _Stamp(index, start_ms, end_ms, name + match["text"], style, line)


def _in_order(stamps: list[_Stamp], lines: list[str]) -> tuple[list[_Stamp], list[Problem]]:
    """Stamps without the few that go back: slips of the hand, or times that were said.

    The text of such a line goes to the stamp above it, in ``lines`` too. Where many go back, parts of the
    file are in the wrong order, and all stamps count.
    """
    keep = _longest_run([stamp.start_ms for stamp in stamps])
    if len(stamps) - len(keep) > max(1, _MISTYPED * len(stamps)):
        return stamps, []
    problems = []
    for i, stamp in enumerate(stamps):
        if i not in keep:
            lines[stamp.index] = stamp.text if stamp.style else stamp.line
        if i not in keep and i > min(keep):  # above the first one it is told as text without a stamp
            what = f'the time in "{stamp.line.strip()}" goes back, or ahead of those that follow'
            problems.append(Problem(stamp.index + 1, what, "its words were added to the text above"))
    return [stamp for i, stamp in enumerate(stamps) if i in keep], problems


def _longest_run(times: list[int]) -> set[int]:
    """Indexes of the longest series of times that never goes back (patience sorting)."""
    tails: list[int] = []
    tops: list[int] = []
    back: list[int] = []
    for i, time in enumerate(times):
        at = bisect_right(tails, time)
        back.append(tops[at - 1] if at else -1)
        tails[at : at + 1] = [time]
        tops[at : at + 1] = [i]
    run = set()
    i = tops[-1]
    while i >= 0:
        run.add(i)
        i = back[i]
    return run


TRANSCRIPT = Format("timed transcript", _sniff, _parse, open_end=True)
