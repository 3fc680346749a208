"""Rounds and moves that were promised and not heard.

A promise reaches over a block: the work intervals after it, of one phase, with the promised length, up to the
next promise of something else. What is promised in the opening claims phases in the order of the class.
"Eight rounds" may mean eight times through all moves or eight intervals; the reading nearer to what was
heard counts. An interval without a name may be any move, so it never adds to what is missing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from analyzer.findings.material import SURE, Check, Material, make, move_key
from analyzer.findings.records import Finding
from analyzer.findings.wording import capital, listing, plural
from analyzer.outline.records import PhaseName, Promise, Segment
from analyzer.spans import clock
from analyzer.standards.standard import Rule

__all__ = ["CHECKS"]

CLOSE_S = 0.5
"""Lengths closer than this are the same length."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """A promise with the work intervals it reaches over."""

    promise: Promise
    segments: tuple[Segment, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Moves heard, each once, as first named."""
        first: dict[str, str] = {}
        for segment in self.segments:
            if segment.exercise:
                first.setdefault(move_key(segment.exercise), segment.exercise)
        return tuple(first.values())

    @property
    def unnamed(self) -> int:
        return sum(s.exercise is None for s in self.segments)

    @property
    def sure(self) -> bool:
        return not self.unnamed and all(s.probability >= SURE for s in self.segments)

    def times(self, name: str) -> int:
        """How often a move came, its two sides counted as once."""
        key = move_key(name)
        sides = Counter(s.side for s in self.segments if s.exercise and move_key(s.exercise) == key)
        return max(sides["left"], sides["right"]) + sides[None]


def promised_move_missing(material: Material, rule: Rule) -> Iterator[Finding]:
    """Fewer moves heard than promised."""
    for kept in _blocks(material):
        promised, names = kept.promise.moves, kept.names
        if promised is None or len(names) + kept.unnamed >= promised:
            continue
        yield _miss(
            rule, kept, promised - len(names),
            f"{plural(promised, 'move')} were promised ({_said(kept.promise)}) and I heard {len(names)}: "
            f"{listing(names) or 'none'}.",
        )


def promised_round_missing(material: Material, rule: Rule) -> Iterator[Finding]:
    """Fewer rounds heard than promised, of all moves or of some."""
    for kept in _blocks(material):
        rounds = kept.promise.rounds
        if rounds is None or not kept.names:
            continue
        heard = sum(kept.times(name) for name in kept.names) + kept.unnamed
        # a move that never came is promised_move_missing, and not missing in each round as well
        named, moves = len(kept.names), kept.promise.moves
        a_round = min(named + kept.unnamed, moves) if moves else named
        expected = min((rounds * a_round, rounds), key=lambda total: (abs(total - heard), -total))
        if heard >= expected:
            continue
        yield _miss(rule, kept, expected - heard, _rounds_message(kept, rounds, heard, expected))


def _rounds_message(kept: _Kept, rounds: int, heard: int, expected: int) -> str:
    fewer = {name: kept.times(name) for name in kept.names if kept.times(name) < rounds}
    said = f"{plural(rounds, 'round')} were promised ({_said(kept.promise)})"
    if expected == rounds or not fewer or len(kept.names) > expected // rounds:
        return f"{said}, which makes {plural(expected, 'interval')}, and I heard {heard}."
    each = [f"{name} {plural(count, 'time')}" for name, count in fewer.items()]
    return f"{said}. I heard {listing(each)}."


def _said(promise: Promise) -> str:
    return f'"{promise.quote.said.strip()}", {clock(promise.quote.at_ms)}'


def _miss(rule: Rule, kept: _Kept, missing: int, message: str) -> Finding:
    question = "" if kept.sure else " I am not sure of every interval there: please check."
    return make(
        rule, capital(message) + question, at_ms=kept.promise.quote.at_ms, evidence=[kept.promise.quote],
        size=float(missing), by=0 if kept.sure else -1, at=clock(kept.promise.quote.at_ms),
    )


def _blocks(material: Material) -> Iterator[_Kept]:
    told = [p for p in material.outline.promises
            if p.scope != "interval" and (p.rounds or p.moves or p.work_s)]
    claimed: list[tuple[Promise, PhaseName]] = []
    for number, promise in enumerate(told):
        later = [s for _, s in material.work if s.start.at_ms >= promise.quote.at_ms]
        length = promise.work_s or promise.holds_s
        fitting = [s for s in later if length is None or _same(s.announced_s, length)]
        phase = _phase(material, promise, fitting, {phase for _, phase in claimed})
        block = [s for s in fitting if s.phase == phase]
        if phase is None or not block or any(p == phase and _again(q, promise) for q, p in claimed):
            continue
        claimed.append((promise, phase))
        until = (p.quote.at_ms for p in told[number + 1 :]
                 if p.quote.at_ms > block[0].start.at_ms and not _again(promise, p))
        end = min(until, default=block[-1].stop.at_ms)
        yield _Kept(promise, tuple(s for s in block if s.start.at_ms < end))


def _same(told: float | None, length: float) -> bool:
    return told is not None and abs(told - length) <= CLOSE_S


def _again(first: Promise, second: Promise) -> bool:
    """Whether the second says nothing that the first did not: "round two of three, same four moves"."""
    pairs = ((getattr(first, key), getattr(second, key)) for key in ("work_s", "rest_s", "rounds", "moves"))
    return all(b is None or a is None or a == b for a, b in pairs)


def _phase(
    material: Material, promise: Promise, fitting: list[Segment], claimed: set[PhaseName]
) -> PhaseName | None:
    """The phase a promise speaks of: the one it is said in, or for the opening the nearest in its moves."""
    said_in = next((p.phase for p in material.outline.phases if promise.quote.at_ms in p.span), "opening")
    phases = list(dict.fromkeys(s.phase for s in fitting))
    if not phases or said_in != "opening":
        return said_in if said_in in phases else next(iter(phases), None)
    if promise.work_s is None and promise.holds_s is None:
        return "main" if "main" in phases else None

    def distance(phase: PhaseName) -> tuple[bool, int]:
        names = {move_key(s.exercise) for s in fitting if s.phase == phase and s.exercise}
        return phase in claimed, abs(len(names) - promise.moves) if promise.moves else 0

    return min(phases, key=distance)


CHECKS: dict[str, Check] = {
    "promised_move_missing": promised_move_missing,
    "promised_round_missing": promised_round_missing,
}
