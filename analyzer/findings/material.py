"""What every check reads, and how every finding is made.

A check is a pure function of ``Material`` and its ``Rule`` that yields findings. Messages claim no more than
was heard: "I heard none", never "not done".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from statistics import median

from analyzer.captions.records import Captions
from analyzer.findings.records import Finding, Mend, Weight
from analyzer.measures.records import Measures
from analyzer.outline.records import Cue, CueKind, Outline, Quote, Segment
from analyzer.standards.standard import FIELDS, Rule, Standard
from analyzer.words import Word

__all__ = ["SURE", "Check", "Material", "Move", "Suggest", "hears", "make", "move_key", "step", "whole"]

Suggest = Callable[[str, CueKind], str | None]
"""A sentence to say for a move, or None where none is known."""

SURE = 0.6
"""Probability of an interval below which a finding about it is a question."""
HEARD = 0.5
"""Probability from which a cue counts as heard; below it, it is only mentioned."""
_WEIGHTS: tuple[Weight, ...] = ("note", "should fix", "must fix")


@dataclass(frozen=True, slots=True)
class Move:
    """One exercise of the class with its work intervals (indices) and the cues that belong to it."""

    name: str
    intervals: tuple[int, ...]
    main: bool
    at_ms: int
    probability: float
    cues: tuple[Cue, ...]

    def heard(self, kind: CueKind) -> bool:
        """Whether a cue of this kind was surely heard."""
        return any(c.kind == kind and c.probability >= HEARD for c in self.cues)

    def perhaps(self, kind: CueKind) -> tuple[Quote, ...]:
        """What may have been a cue of this kind."""
        return tuple(c.quote for c in self.cues if c.kind == kind and c.probability < HEARD)


@dataclass(frozen=True)
class Material:
    """All that is known of a class."""

    captions: Captions
    words: Sequence[Word]
    outline: Outline
    measures: Measures
    standard: Standard
    suggest: Suggest | None = None

    @cached_property
    def work(self) -> tuple[tuple[int, Segment], ...]:
        """Work intervals with their index."""
        return tuple((i, s) for i, s in enumerate(self.outline.segments) if s.kind == "work")

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        """Named moves outside opening and close, in order of their first interval."""
        groups: dict[str, list[int]] = {}
        for index, segment in self.work:
            if segment.exercise and segment.phase in ("warm-up", "main", "cool-down"):
                groups.setdefault(move_key(segment.exercise), []).append(index)
        return tuple(self._move(key, tuple(indices)) for key, indices in groups.items())

    def _move(self, key: str, indices: tuple[int, ...]) -> Move:
        segments = [self.outline.segments[i] for i in indices]
        return Move(
            name=segments[0].exercise or "",
            intervals=indices,
            main=any(s.phase == "main" for s in segments),
            at_ms=segments[0].start.at_ms,
            probability=max(s.probability for s in segments),
            cues=tuple(
                c for c in self.outline.cues
                if c.interval in indices or (c.exercise and move_key(c.exercise) == key)
            ),
        )

    def sentence(self, move: str, kind: CueKind) -> str | None:
        """A sentence to say for a move, from the move lexicon if one was given."""
        return self.suggest(move, kind) if self.suggest else None


Check = Callable[[Material, Rule], Iterable[Finding]]


def move_key(name: str) -> str:
    """Names that differ only in capitals and plurals are one move.

    >>> move_key("Goblet Squats") == move_key("goblet squat")
    True
    """
    return " ".join(word.rstrip("s") if len(word) > 3 else word for word in name.lower().split())


def whole(material: Material, segments: Sequence[Segment]) -> float:
    """The size of an interval that never came, as a drift would count: its length in limits of a drift.

    The length is the usual one of ``segments``, as told or else as heard; 0 without any.
    """
    lengths = [s.announced_s or s.span.duration_ms / 1000 for s in segments]
    limit = material.standard.rules["interval_drift"].limit("tolerance_s")
    return median(lengths) / max(limit, 0.1) if lengths else 0.0


def hears(stems: Iterable[str], text: str) -> bool:
    """Whether some word, or run of words, of the text begins with one of the stems.

    >>> hears(("dizz",), "If you feel dizzy, stop."), hears(("pain",), "Repaint the wall")
    (True, False)
    """
    low = text.lower().replace("’", "'")
    return any(re.search(rf"\b{re.escape(stem.lower())}", low) for stem in stems)


def step(weight: Weight, by: int) -> Weight:
    """A weight raised or lowered, within bounds.

    >>> step("note", 1), step("note", -1), step("must fix", 1)
    ('should fix', 'note', 'must fix')
    """
    return _WEIGHTS[min(len(_WEIGHTS) - 1, max(0, _WEIGHTS.index(weight) + by))]


def make(
    rule: Rule,
    message: str,
    *,
    at_ms: int | None = None,
    exercise: str | None = None,
    interval: int | None = None,
    evidence: Sequence[Quote] = (),
    size: float = 1.0,
    by: int = 0,
    more: str = "",
    mend: Mend | None = None,
    **fields: str,
) -> Finding:
    """A finding of a rule. ``by`` raises or lowers its weight, ``more`` is added to the advice.

    Raises ValueError for a rule that is off, which has no weight.
    """
    if rule.weight == "off":
        raise ValueError(f"rule {rule.id} is off")
    values = dict.fromkeys(FIELDS, "") | {"say": rule.say, "move": exercise or "move"} | fields
    advice = " ".join(f"{rule.advice.format_map(values)} {more}".split())
    return Finding(
        rule=rule.id,
        weight=step(rule.weight, by),
        at_ms=at_ms,
        exercise=exercise,
        interval=interval,
        message=message,
        evidence=tuple(evidence),
        why=rule.why,
        source=rule.source,
        advice=advice,
        mend=mend or rule.mend,
        size=size,
    )
