"""The class as heard, line by line, with what was heard in it marked and named.

A line starts where an interval or a phase does, after a silence, at a new speaker, and where it gets long.
Marks may overlap: each run of words carries every mark that covers it. Findings leave their number where
their evidence stands.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from analyzer.findings.find import rank
from analyzer.findings.material import HEARD
from analyzer.findings.wording import seconds
from analyzer.measures.records import Interval
from analyzer.outline.records import Quote
from analyzer.report.phrases import CUES, PHASES, move_name, told, verdict
from analyzer.review import Review
from analyzer.words import Word

__all__ = ["Event", "Line", "Run", "Transcript", "locate", "transcript"]

SILENCE_S = 5.0
"""Seconds without words that a line says; half of it starts a new one."""
LONG, LONGEST = 14, 45
"""Words after which a sentence end, or any word, ends a line."""
NEAR = 6
"""Words around its time in which a quote is looked for."""


@dataclass(frozen=True, slots=True)
class Run:
    """Words that carry the same marks.

    ``names`` are those of the marks that begin here, ``refs`` the numbers of findings whose evidence does.
    """

    text: str
    kinds: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    refs: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Event:
    """Something that starts or stops before the words of a line. ``kind`` is "phase", "start" or "stop"."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Line:
    """``id`` is its anchor; ``silence_s`` the seconds without words before it, where they are many."""

    id: str
    at_ms: int
    silence_s: float | None
    speaker: str | None
    events: tuple[Event, ...]
    runs: tuple[Run, ...]

    @property
    def kinds(self) -> tuple[str, ...]:
        """Kinds of marks in it, for the filter."""
        found = dict.fromkeys(kind for run in self.runs for kind in run.kinds)
        return (*found, *(["finding"] if any(run.refs for run in self.runs) else []))


@dataclass(frozen=True, slots=True)
class Transcript:
    """All lines, in order of time; ``after`` is what stops after the last word."""

    lines: tuple[Line, ...]
    after: tuple[Event, ...]

    def anchor(self, at_ms: int) -> str | None:
        """Id of the line in which a time stands; None for an empty transcript."""
        index = bisect_right([line.at_ms for line in self.lines], at_ms) - 1
        return self.lines[max(0, index)].id if self.lines else None


def transcript(review: Review) -> Transcript:
    """Lines of ``review.words`` with their marks."""
    words = review.words
    marks, refs = _marks(review), _refs(review)
    events = _events(review)
    starts = _breaks(review, [at for at, _ in events])
    lines, used = [], 0
    for number, (first, last) in enumerate(zip(starts, [*starts[1:], len(words)], strict=False)):
        here = []
        while used < len(events) and events[used][0] <= words[first].span.start_ms:
            here.append(events[used][1])
            used += 1
        gap = words[first - 1].span.gap_to_ms(words[first].span) / 1000 if first else 0.0
        lines.append(Line(
            id=f"t{number + 1}",
            at_ms=words[first].span.start_ms,
            silence_s=gap if gap >= SILENCE_S else None,
            speaker=_new_speaker(review, first),
            events=tuple(here),
            runs=tuple(_runs(words, first, last, marks, refs)),
        ))
    return Transcript(tuple(lines), tuple(event for _, event in events[used:]))


def locate(words: Sequence[Word], quote: Quote) -> tuple[int, int] | None:
    """Index of the first word of a quote and of the one after its last; None where its words do not stand."""
    said = [_norm(w) for w in quote.said.split() if _norm(w)]
    at = bisect_left(words, quote.at_ms, key=lambda w: w.span.start_ms)
    nearby = sorted(range(max(0, at - NEAR), min(len(words), at + NEAR + 1)), key=lambda i: abs(i - at))
    for first in nearby:
        if said and [_norm(w.text) for w in words[first : first + len(said)]] == said:
            return first, first + len(said)
    return None


def _norm(text: str) -> str:
    return re.sub(r"^\W+|\W+$", "", text.lower().replace("’", "'"))


_Mark = tuple[int, int, str, str]
"""First word, word after the last, kind, name."""


def _marks(review: Review) -> dict[int, list[_Mark]]:
    """Marks by each word they cover."""
    quotes = [
        *((c.quote, c.kind, CUES[c.kind] + "?" * (c.probability < HEARD)) for c in review.outline.cues),
        *((c.quote, "call", "time call") for c in review.outline.calls),
        *((p.quote, "told", "promise") for p in review.outline.promises),
    ]
    covered: dict[int, list[_Mark]] = defaultdict(list)
    for quote, kind, name in quotes:
        if place := locate(review.words, quote):
            for index in range(*place):
                covered[index].append((*place, kind, name))
    return covered


def _refs(review: Review) -> dict[int, list[int]]:
    """Numbers of findings by the word where their evidence begins, or their time where they have none."""
    found: dict[int, list[int]] = defaultdict(list)
    if not review.words:
        return found
    for number, finding in enumerate(rank(review.findings), 1):
        times = [q.at_ms for q in finding.evidence] or ([] if finding.at_ms is None else [finding.at_ms])
        for at in times:
            index = bisect_left(review.words, at, key=lambda w: w.span.start_ms)
            here = found[min(index, len(review.words) - 1)]
            if number not in here:
                here.append(number)
    return found


def _events(review: Review) -> list[tuple[int, Event]]:
    """Phases, starts and stops in order of time; at one time a stop comes before a start."""
    found = [(p.span.start_ms, 1, Event("phase", PHASES[p.phase])) for p in review.outline.phases]
    for interval in review.measures.intervals:
        segment = interval.segment
        found.append((segment.start.at_ms, 2, Event("start", _starts(interval))))
        found.append((segment.stop.at_ms, 0, Event("stop", _stops(interval))))
    return [(at, event) for at, _, event in sorted(found, key=lambda item: item[:2])]


def _starts(interval: Interval) -> str:
    segment = interval.segment
    length = f", {told(segment)} told" if segment.announced_s is not None else ""
    return f"{move_name(segment)} starts{length}{'' if segment.start.spoken else ' (no word says so)'}"


def _stops(interval: Interval) -> str:
    segment = interval.segment
    how = "" if interval.drift_s is None else f": {verdict(interval)}"
    silent = "" if segment.stop.spoken else " (no word says so)"
    name = move_name(segment)
    return f"{name} stops after {seconds(interval.actual_s, interval.actual_sd_s)}{how}{silent}"


def _breaks(review: Review, times: Sequence[int]) -> list[int]:
    """Index of each line's first word."""
    words, starts = review.words, [0] if review.words else []
    for index in range(1, len(words)):
        before, word = words[index - 1], words[index]
        length = index - starts[-1]
        event = bisect_left(times, before.span.start_ms + 1) < bisect_right(times, word.span.start_ms)
        silent = before.span.gap_to_ms(word.span) >= SILENCE_S * 500
        ended = before.text[-1:] in ".!?…" and length >= LONG
        if event or silent or ended or length >= LONGEST or _new_speaker(review, index):
            starts.append(index)
    return starts


def _speaker(review: Review, index: int) -> str | None:
    captions, number = review.captions.captions, review.words[index].caption
    return captions[number].speaker if number < len(captions) else None


def _new_speaker(review: Review, index: int) -> str | None:
    speaker = _speaker(review, index)
    return speaker if index == 0 or speaker != _speaker(review, index - 1) else None


def _runs(
    words: Sequence[Word], first: int, last: int, marks: dict[int, list[_Mark]], refs: dict[int, list[int]]
) -> Iterator[Run]:
    def key(index: int) -> tuple[tuple[_Mark, ...], int]:
        # a run ends before a finding's number, which stands at the head of one
        return tuple(marks.get(index, ())), sum(i in refs for i in range(first, index + 1))

    for (covering, _), group in groupby(range(first, last), key=key):
        indices = list(group)
        yield Run(
            text=" ".join(words[i].text for i in indices),
            kinds=tuple(dict.fromkeys(kind for _, _, kind, _ in covering)),
            # a mark that goes on from the line before says its name again
            names=tuple(dict.fromkeys(
                name for start, _, _, name in covering if start == indices[0] or indices[0] == first
            )),
            refs=tuple(refs.get(indices[0], ())),
        )
