"""What was promised in a class and what happened in it, as heard; nothing here is judged yet.

Invariants: segments are in order of time and do not overlap; a rest starts where a work interval stopped and
lasts until the next one starts; calls and cues are in order of time; ``interval`` is an index into
``Outline.segments``. Times are milliseconds from the start of the recording, lengths that were *said* are
seconds, because that is what was said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from analyzer.spans import Span

__all__ = [
    "CUE_KINDS",
    "CallKind",
    "Counted",
    "Cue",
    "CueKind",
    "Edge",
    "Outline",
    "Phase",
    "PhaseName",
    "Promise",
    "Quote",
    "Scope",
    "Segment",
    "SegmentKind",
    "Side",
    "TimeCall",
]

SegmentKind = Literal["work", "rest"]
Counted = Literal["time", "reps", "breaths"]
Side = Literal["left", "right"]
PhaseName = Literal["opening", "warm-up", "main", "cool-down", "close"]
CallKind = Literal["elapsed", "remaining", "fraction"]
Scope = Literal["interval", "block", "class"]
CueKind = Literal["regression", "progression", "form", "breathing", "safety", "hydration"]
CUE_KINDS: tuple[CueKind, ...] = ("regression", "progression", "form", "breathing", "safety", "hydration")


@dataclass(frozen=True, slots=True)
class Quote:
    """Words of the class and the time they start: the evidence for something."""

    at_ms: int
    said: str


@dataclass(frozen=True, slots=True)
class Edge:
    """A start or a stop: the likely time of the word it happens on, the standard uncertainty of that time.

    ``spoken`` is False where no word announced it and it was found from what follows (a movement word,
    a new set-up, silence). ``quote`` is the words around it.
    """

    at_ms: int
    sd_ms: int
    spoken: bool
    quote: Quote
    word_sd_ms: int | None = None
    """The part of ``sd_ms`` that is the time of the word alone, None where it is all of it."""


@dataclass(frozen=True, slots=True)
class Phase:
    """A part of the class; phases cover the recording without gaps."""

    phase: PhaseName
    span: Span


@dataclass(frozen=True, slots=True)
class Promise:
    """Lengths, rounds or moves that listeners were told, with the words and how far they reach."""

    quote: Quote
    scope: Scope
    work_s: float | None = None
    rest_s: float | None = None
    holds_s: float | None = None
    rounds: int | None = None
    moves: int | None = None


@dataclass(frozen=True, slots=True)
class Segment:
    """One interval: a stretch that the instructor starts and ends by voice.

    ``announced_s`` is the length listeners were told, in seconds, None where none was; ``promise`` the words
    that told it (for a length that was told for a whole block, the words of the block). ``probability``
    (0..1) is how sure the hearing is that this interval is one.
    """

    kind: SegmentKind
    counted: Counted
    phase: PhaseName
    exercise: str | None
    side: Side | None
    round: int | None
    announced_s: float | None
    promise: Quote | None
    start: Edge
    stop: Edge
    probability: float
    lengths: tuple[tuple[int, float], ...] = ((0, 1.0),)
    """How much longer it may have been, in ms, if other words were its edges, each with its probability.
    They sum to the probability that ``announced_s`` is what was told (1 where nothing was told)."""

    @property
    def span(self) -> Span:
        """From the likely start to the likely stop."""
        return Span(self.start.at_ms, self.stop.at_ms)


@dataclass(frozen=True, slots=True)
class TimeCall:
    """A spoken clock. ``value`` is seconds for elapsed and remaining, 0..1 done for a fraction."""

    quote: Quote
    sd_ms: int
    kind: CallKind
    value: float
    interval: int | None


@dataclass(frozen=True, slots=True)
class Cue:
    """A coaching cue, the move it belongs to and the interval it was said in or before."""

    quote: Quote
    kind: CueKind
    exercise: str | None
    interval: int | None
    probability: float

    @property
    def at_ms(self) -> int:
        """When it was said."""
        return self.quote.at_ms


@dataclass(frozen=True, slots=True)
class Outline:
    """The whole class as heard. No segments means: no announced intervals were found."""

    phases: tuple[Phase, ...]
    promises: tuple[Promise, ...]
    segments: tuple[Segment, ...]
    calls: tuple[TimeCall, ...]
    cues: tuple[Cue, ...]
