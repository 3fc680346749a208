"""Rounds and moves that were promised and not heard.

"Four moves, forty seconds on, twenty off, three rounds" is heard as a promise for each number; numbers said
close together that do not contradict each other are one plan. A plan reaches over a block: the work intervals
after it, of one phase, with the promised length, up to the next promise of something else. What is promised
in the opening claims phases in the order of the class.
"Eight rounds" may mean eight times through all moves or eight intervals; the reading nearer to what was
heard counts. An interval without a name may be any move, so it never adds to what is missing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from analyzer.findings.material import SURE, Check, Material, hears, make, move_key, whole
from analyzer.findings.records import Finding
from analyzer.findings.wording import capital, listing, plural
from analyzer.outline.records import PhaseName, Promise, Quote, Segment
from analyzer.spans import clock
from analyzer.standards.standard import Rule

__all__ = ["CHECKS"]

CLOSE_S = 0.5
"""Lengths closer than this are the same length."""
JOIN_MS = 10_000
"""Numbers of one plan follow each other within this time, as when somebody explains a circuit in a breath."""
_NUMBERS = ("work_s", "rest_s", "holds_s", "rounds", "moves")
_PHASE_WORDS: dict[PhaseName, tuple[str, ...]] = {"warm-up": ("warm",), "cool-down": ("stretch", "cool")}
"""Beginnings of words by which a promise names the part of the class it speaks of."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """What was promised in one breath, and the words that promised its rounds or moves.

    ``spoken_at_ms`` is when its last number was said.
    """

    promise: Promise
    rounds: Quote
    moves: Quote
    spoken_at_ms: int


@dataclass(frozen=True, slots=True)
class _Kept:
    """A plan with the work intervals it reaches over."""

    plan: _Plan
    segments: tuple[Segment, ...]

    @property
    def promise(self) -> Promise:
        return self.plan.promise

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
            material, rule, kept, promised - len(names), kept.plan.moves,
            f"{plural(promised, 'move')} were promised ({_said(kept.plan.moves)}) and I heard {len(names)}: "
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
        message = _rounds_message(kept, rounds, heard, expected)
        yield _miss(material, rule, kept, expected - heard, kept.plan.rounds, message)


def _rounds_message(kept: _Kept, rounds: int, heard: int, expected: int) -> str:
    fewer = {name: kept.times(name) for name in kept.names if kept.times(name) < rounds}
    said = f"{plural(rounds, 'round')} were promised ({_said(kept.plan.rounds)})"
    if expected == rounds or not fewer or len(kept.names) > expected // rounds:
        return f"{said}, which makes {plural(expected, 'interval')}, and I heard {heard}."
    each = [f"{name} {plural(count, 'time')}" for name, count in fewer.items()]
    return f"{said}. I heard {listing(each)}."


def _said(quote: Quote) -> str:
    return f'"{quote.said.strip()}", {clock(quote.at_ms)}'


def _miss(
    material: Material, rule: Rule, kept: _Kept, missing: int, quote: Quote, message: str
) -> Finding:
    question = "" if kept.sure else " I am not sure of every interval there: please check."
    return make(
        rule, capital(message) + question, at_ms=quote.at_ms, evidence=[quote],
        size=missing * whole(material, kept.segments), by=0 if kept.sure else -1, at=clock(quote.at_ms),
    )


def _plans(material: Material) -> Iterator[_Plan]:
    """Promises in order of time, single numbers said close together joined."""
    plan: _Plan | None = None
    for promise in material.outline.promises:
        if promise.scope == "interval":
            continue
        if plan and (joined := _joined(plan, promise)):
            plan = joined
            continue
        if plan:
            yield plan
        plan = _Plan(promise, promise.quote, promise.quote, promise.quote.at_ms)
    if plan:
        yield plan


def _joined(plan: _Plan, piece: Promise) -> _Plan | None:
    """The plan with one more number, or None where the piece is a plan of its own or contradicts it."""
    told, quote = _told(piece), piece.quote
    near = quote.at_ms - plan.spoken_at_ms <= JOIN_MS and piece.scope == plan.promise.scope
    if len(told) != 1 or not near or not _again(plan.promise, piece):
        return None
    return _Plan(
        replace(plan.promise, **{key: getattr(piece, key) for key in told}),
        quote if "rounds" in told else plan.rounds,
        quote if "moves" in told else plan.moves,
        quote.at_ms,
    )


def _told(promise: Promise) -> list[str]:
    return [key for key in _NUMBERS if getattr(promise, key) is not None]


def _blocks(material: Material) -> Iterator[_Kept]:
    told = [p for p in _plans(material) if p.promise.rounds or p.promise.moves or p.promise.work_s]
    claimed: list[tuple[Promise, PhaseName]] = []
    for number, plan in enumerate(told):
        promise = plan.promise
        later = [s for _, s in material.work if s.start.at_ms >= promise.quote.at_ms]
        length = promise.work_s or promise.holds_s
        fitting = [s for s in later if length is None or _same(s.announced_s, length)]
        phase = _phase(material, plan, fitting, {phase for _, phase in claimed})
        block = [s for s in fitting if s.phase == phase]
        if phase is None or not block or any(p == phase and _nothing_new(q, promise) for q, p in claimed):
            continue
        claimed.append((promise, phase))
        until = (p.promise.quote.at_ms for p in told[number + 1 :]
                 if p.promise.quote.at_ms > block[0].start.at_ms and not _again(promise, p.promise))
        end = min(until, default=block[-1].stop.at_ms)
        yield _Kept(plan, tuple(s for s in block if s.start.at_ms < end))


def _same(told: float | None, length: float) -> bool:
    return told is not None and abs(told - length) <= CLOSE_S


def _again(first: Promise, second: Promise) -> bool:
    """Whether the second contradicts nothing in the first: "round two of three, same four moves"."""
    pairs = ((getattr(first, key), getattr(second, key)) for key in _NUMBERS)
    return all(b is None or a is None or a == b for a, b in pairs)


def _nothing_new(first: Promise, second: Promise) -> bool:
    """Whether rounds and moves of the second were promised in the first already."""
    return _again(first, second) and all(
        getattr(first, key) is not None for key in ("rounds", "moves") if getattr(second, key) is not None
    )


def _phase(
    material: Material, plan: _Plan, fitting: Sequence[Segment], claimed: set[PhaseName]
) -> PhaseName | None:
    """The phase a plan speaks of: the one it is said in; for the opening, the one it names or else fits."""
    promise = plan.promise
    phases = list(dict.fromkeys(s.phase for s in fitting))
    if not phases:
        return None
    said_in = next((p.phase for p in material.outline.phases if promise.quote.at_ms in p.span), "opening")
    if said_in != "opening":
        return said_in if said_in in phases else phases[0]
    names = {p: {move_key(s.exercise) for s in fitting if s.phase == p and s.exercise} for p in phases}
    for named, beginnings in _PHASE_WORDS.items():
        # "a warm-up, then five moves" names it as well, and speaks of another one
        if hears(beginnings, f"{plan.moves.said} {plan.rounds.said}") \
                and len(names.get(named, ())) >= (promise.moves or 1):
            return named
    length = promise.work_s or promise.holds_s
    # rests between moves and rounds are what the main part has
    if length is None or ((promise.rest_s or promise.rounds) and "main" in phases):
        return "main" if "main" in phases else None

    def distance(phase: PhaseName) -> tuple[bool, int]:
        return phase in claimed, abs(len(names[phase]) - promise.moves) if promise.moves else 0

    return min(phases, key=distance)


CHECKS: dict[str, Check] = {
    "promised_move_missing": promised_move_missing,
    "promised_round_missing": promised_round_missing,
}
