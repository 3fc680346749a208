"""The tolerant reader of cue files, for all that a library would drop.

webvtt-py reads the files that keep to the rules. Where it would pass over a line, ``scan`` reads the file
instead, line by line: each line ends in a cue, is a comment or an id, or becomes a ``Problem``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from analyzer.captions.cues import Cue, Dialect, blocks
from analyzer.captions.records import Problem
from analyzer.captions.times import Timing, is_number, read_timing
from analyzer.spans import clock

__all__ = ["scan"]

_WORD = re.compile(r"\w")
_Text = list[tuple[int, str]]
_Draft = tuple[Timing, _Text]


def scan(lines: Sequence[str], first: int, dialect: Dialect) -> tuple[list[Cue], list[Problem]]:
    """Every cue from index ``first`` on, and all that is wrong with these lines."""
    timings = [t for i in range(first, len(lines)) if (t := read_timing(i, lines[i], dialect.time))]
    drafts: list[_Draft] = []
    problems: list[Problem] = []
    ids: list[int] = []
    number = 0
    for timing, after in zip([None, *timings], [*timings, None], strict=True):
        begin = timing.index + 1 if timing else first
        runs = blocks(lines, begin, after.index if after else len(lines), dialect)
        own = runs.pop(0) if timing and runs and runs[0][0] == begin else []
        name = _id_line([own, *runs], lines, after, number, dialect)
        if name is not None:
            ids.append(name)
            number = int(lines[name]) if is_number(lines[name]) else number
            if after is None:
                problems.append(
                    _problem(name, f'the file breaks off after "{lines[name].strip()}"', "left out")
                )
        stray = [i for run in runs if run and not dialect.is_comment(lines[run[0]]) for i in run]
        if timing is None:
            problems += (_lost(i, lines[i], "text before the first caption") for i in stray)
        else:
            words = [i for i in stray if _WORD.search(lines[i])]
            drafts.append((timing, _text(lines, timing, [*own, *words])))
            problems += _faults(timing, dialect)
            problems += _parted(timing, words, has_text=bool(own or timing.text))
        problems += _arrows(lines, range(begin, after.index if after else len(lines)))
    problems += _odd_ids(lines, ids, len(timings))
    cues, placed = _place(drafts)
    return cues, problems + placed


def _text(lines: Sequence[str], timing: Timing, indexes: Sequence[int]) -> _Text:
    """The text of a cue with the number of each line; an arrow in it is no speech."""
    own = [(timing.index + 1, timing.text)] if timing.text else []
    return own + [(i + 1, lines[i].replace("-->", " ")) for i in indexes]


def _problem(index: int, what: str, done: str) -> Problem:
    return Problem(index + 1, what, done)


def _lost(index: int, line: str, what: str) -> Problem:
    return _problem(index, f'{what}: "{line.strip()}"', "left out")


def _id_line(
    runs: list[list[int]], lines: Sequence[str], after: Timing | None, number: int, dialect: Dialect
) -> int | None:
    """Take the id of the timing ``after`` out of the runs of lines above it; ``number`` is the last id.

    The first run is the text of the caption above. A line right above a timing and alone is an id. A number
    that goes on from the last one is an id wherever it stands right above a timing, or a forgotten empty line
    would put it into a caption's text, and a class is full of numbers.
    """
    last = runs[-1]
    if not last:
        return None
    i = last[-1]
    numeric = is_number(lines[i])
    goes_on = numeric and int(lines[i]) == number + 1
    adjacent = after is not None and i == after.index - 1
    alone = len(last) == 1 and len(runs) > 1
    if adjacent:
        found = goes_on or (alone and (dialect.names or numeric))
    else:  # SubRip only: an empty line below the number, or the end of a file that breaks off
        found = goes_on and alone and not dialect.names
    if not found:
        return None
    last.pop()
    return i


def _odd_ids(lines: Sequence[str], ids: Sequence[int], cues: int) -> Iterator[Problem]:
    """Ids that look like speech, in a file where most cues have none."""
    if 2 * len(ids) < cues:
        for i in ids:
            if len(lines[i].split()) > 1:
                yield _lost(i, lines[i], "a line right above a time, where a caption's name stands")


def _faults(timing: Timing, dialect: Dialect) -> Iterator[Problem]:
    """What is wrong with a timing line whose times could be read, and what was made of it."""
    if timing.odd_time and timing.start_ms is not None and timing.end_ms is not None:
        what = f'"{timing.odd_time}" is not a {dialect.name} time ({dialect.shape})'
        done = f"read as {clock(timing.start_ms)} to {clock(timing.end_ms)}"
        yield _problem(timing.index, what, done)
    if timing.odd_arrow:
        yield _problem(timing.index, f'"{timing.odd_arrow}" where " --> " belongs', 'read as " --> "')
    if timing.text:
        yield _problem(timing.index, f'text on the timing line: "{timing.text}"', "added to its caption")


def _parted(timing: Timing, words: Sequence[int], *, has_text: bool) -> Iterator[Problem]:
    """Text that an empty line parts from its caption."""
    what = "text after an empty line" if has_text else "an empty line between a time and its text"
    for i in words:
        yield _problem(i, what, f"added to the caption at line {timing.index + 1}")


def _arrows(lines: Sequence[str], span: range) -> Iterator[Problem]:
    """Lines that hold the arrow and are no timing: players drop the text around them."""
    for i in span:
        if "-->" in lines[i]:
            yield _problem(i, f'"-->" in a line that is no time: "{lines[i].strip()}"', "not taken as a time")


def _place(drafts: Sequence[_Draft]) -> tuple[list[Cue], list[Problem]]:
    """Cues; a time that could not be read is put between its neighbours."""
    nexts: list[int | None] = [None]
    for timing, _ in reversed(drafts):
        nexts.append(timing.start_ms if timing.start_ms is not None else nexts[-1])
    cues: list[Cue] = []
    problems: list[Problem] = []
    for (timing, text), after in zip(drafts, reversed(nexts[:-1]), strict=True):
        start, end = timing.start_ms, timing.end_ms
        if start is None or end is None:
            before = max(cues[-1].start_ms, cues[-1].end_ms) if cues else 0
            if start is None:
                start = before if end is None else min(before, end)
            if end is None:
                end = start if after is None else max(start, after)
            done = f"its words were placed between {clock(start)} and {clock(end)}"
            problems.append(_problem(timing.index, f'cannot read the times in "{timing.raw}"', done))
        numbers, texts = tuple(n for n, _ in text), tuple(t for _, t in text)
        cues.append(Cue(timing.index + 1, start, end, texts, numbers))
    return cues, problems
