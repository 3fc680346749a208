"""What is odd about the captions of a file as a whole: their order, lengths and repetitions."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace

from analyzer.captions.cues import Cue
from analyzer.captions.markup import Lines
from analyzer.captions.records import Caption, Problem
from analyzer.spans import clock

__all__ = ["empty", "grouped", "in_order", "strange_lengths"]

_DAY_MS = 86_400_000

_COVERED = 3
"""A caption that is still up when this many later ones have come and gone has a wrong end."""

_ALIKE, _ALIKE_LOST = 3, 30
"""How many problems of one kind are told one by one: a file may have a thousand. More, if words were lost."""

_QUOTED = re.compile('"[^"]*"')


def in_order(cues: Iterable[Cue]) -> tuple[list[Cue], list[Problem]]:
    """Cues by start, then place in the file: none reversed, none twice."""
    result: list[Cue] = []
    problems: list[Problem] = []
    seen: set[tuple[int, int, tuple[str, ...]]] = set()
    latest = 0
    for cue in cues:
        key = (cue.start_ms, cue.end_ms, cue.lines)
        if key in seen and cue.lines:
            problems.append(Problem(cue.line, "the same caption a second time", "read once"))
            continue
        seen.add(key)
        if cue.end_ms < cue.start_ms:
            done = f"its words were kept at {clock(cue.start_ms)}, with no length"
            problems.append(Problem(cue.line, "the caption ends before it starts", done))
            cue = replace(cue, end_ms=cue.start_ms)
        elif cue.start_ms < latest:
            problems.append(
                Problem(cue.line, "the caption starts before one above it", "put in order of time")
            )
        if cue.start_ms > _DAY_MS:
            problems.append(Problem(cue.line, "the caption starts more than 24 hours in", "kept"))
        latest = max(latest, cue.start_ms)
        result.append(cue)
    return sorted(result, key=lambda cue: (cue.start_ms, cue.line)), problems


def empty(cues: Iterable[Lines]) -> Iterator[Problem]:
    """Cues without any text."""
    for cue in cues:
        if not cue.lines:
            yield Problem(cue.line, "a caption without text", "left out")


def strange_lengths(
    captions: Sequence[Caption], told: Container[int], *, open_end: bool
) -> Iterator[Problem]:
    """Captions that nobody could read, and those that stay up while later ones come and go.

    The last caption of a format with an ``open_end`` has no length to judge, and those at the lines in
    ``told`` were told to be reversed.
    """
    for i, caption in enumerate(captions):
        judged = caption.line not in told and not (open_end and i == len(captions) - 1)
        if judged and caption.span.duration_ms == 0:
            yield Problem(
                caption.line, "the caption has no length", f"kept at {clock(caption.span.start_ms)}"
            )
        if i + _COVERED < len(captions) and captions[i + _COVERED].span.end_ms < caption.span.end_ms:
            what = f"the caption stays until {clock(caption.span.end_ms)}, past several later ones"
            yield Problem(caption.line, what, "kept as it is")


def grouped(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Problems by line; of many alike only the first is told, with how many more there are and where.

    Alike are those that read the same but for what they quote. Where text was left out, more are told.
    """
    kinds: dict[str, list[Problem]] = {}
    for problem in sorted(problems, key=lambda p: p.line):
        kinds.setdefault(_QUOTED.sub("", problem.what), []).append(problem)
    result: list[Problem] = []
    for alike in kinds.values():
        limit = _ALIKE_LOST if alike[0].done == "left out" else _ALIKE
        if len(alike) <= limit:
            result += alike
            continue
        kept, others = alike[: limit - _ALIKE + 1], alike[limit - _ALIKE + 1 :]
        lines = f"so in {len(others)} more lines, down to line {others[-1].line}"
        result += [*kept[:-1], replace(kept[-1], what=f"{kept[-1].what} ({lines})")]
    return tuple(sorted(result, key=lambda p: p.line))
