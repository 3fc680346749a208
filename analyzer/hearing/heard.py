"""What was heard in a class, as plain records: the pure part of the pipeline.

Matching is pure and apart from writing annotations, so that training, fitting and a run hear alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from analyzer.hearing import lexicon
from analyzer.hearing.fractions import fraction_in
from analyzer.hearing.labels import CALLS, column
from analyzer.hearing.numbers import Length, lengths
from analyzer.hearing.spans import Found, found, lifted, sigmoid
from analyzer.outline.records import CUE_KINDS

__all__ = ["Called", "Heard", "Named", "call_value", "listen"]

Logits = npt.NDArray[np.float32]

NAME_LEVEL = -3.5
"""A logit well below the threshold of names: the outline's choice among candidates weighs them."""
LONGEST_NAME = 5


@dataclass(frozen=True, slots=True)
class Called:
    """A time call: its words and what it says (seconds, or the fraction done)."""

    span: Found
    value: float


@dataclass(frozen=True, slots=True)
class Named:
    """Words that may name a move; ``known`` when the move lexicon has the name."""

    span: Found
    known: bool


@dataclass(frozen=True, slots=True)
class Heard:
    """Everything found in a class's words. ``logits`` (words, WIDTH), spans in order of time."""

    norms: tuple[str, ...]
    logits: Logits
    lengths: tuple[Length, ...]
    calls: tuple[Called, ...]
    cues: tuple[Found, ...]
    names: tuple[Named, ...]


def call_value(kind: str, norms: Sequence[str]) -> float | None:
    """The number a time call names: seconds, or the fraction done; None when it names none.

    >>> call_value("remaining", "ten more seconds".split()), call_value("fraction", ["halfway"])
    (10, 0.5)
    """
    if kind == "fraction":
        return fraction_in(norms)
    named = lengths(norms)
    return next((x.seconds for x in named if x.unit), named[0].seconds if named else None)


def _calls(norms: Sequence[str], logits: Logits) -> list[Called]:
    """Time calls, one a place: the likeliest kind where two overlap."""
    kept: list[Called] = []
    for s in sorted((s for kind in CALLS for s in found(logits, kind)), key=lambda s: -s.p):
        value = call_value(s.kind, norms[s.first : s.last])
        if value is not None and all(s.last <= k.span.first or s.first >= k.span.last for k in kept):
            kept.append(Called(s, value))
    return sorted(kept, key=lambda k: k.span.first)


@lru_cache(maxsize=1)
def _known_names() -> tuple[frozenset[tuple[str, ...]], frozenset[tuple[str, ...]]]:
    book = lexicon.load()
    return book.names(), book.everyday()


def _names(norms: Sequence[str], logits: Logits) -> list[Named]:
    """Where a move may be named: the tagger's spans, and every name of the move lexicon."""
    names, everyday = _known_names()
    words = [lexicon.tokens(n) for n in norms]
    inside = sigmoid(logits[:, column("in name")].astype(np.float64))
    spans = {(s.first, s.last) for s in found(logits, "name", NAME_LEVEL)}
    spans |= {(s.first, s.last) for s in found(logits, "name")}
    known: set[tuple[int, int]] = set()
    for i in range(len(words)):
        flat: tuple[str, ...] = ()
        for j in range(i, min(i + LONGEST_NAME, len(words))):
            flat += tuple(words[j])
            if flat in names and flat not in everyday:
                known.add((i, j + 1))
    # of names within names, the longest
    known = {k for k in known if not any(o != k and o[0] <= k[0] and o[1] >= k[1] for o in known)}
    return [
        Named(Found("name", a, b, float(inside[a:b].max())), (a, b) in known)
        for a, b in sorted(spans | known)
    ]


def listen(norms: Sequence[str], logits: Logits) -> Heard:
    """Everything that normalised words and the tagger's logits say."""
    raised = lifted(logits, norms)
    cues = sorted((s for kind in CUE_KINDS for s in found(raised, kind)), key=lambda s: (s.first, s.kind))
    return Heard(
        tuple(norms),
        logits,
        lengths(norms),
        tuple(_calls(norms, logits)),
        tuple(cues),
        tuple(_names(norms, logits)),
    )
