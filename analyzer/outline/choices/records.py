"""What the choices look at, what they settle, and how one is made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.hearing.spans import Found

__all__ = ["Class", "Floats", "Length", "Settled", "settle", "with_setup"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Length:
    """A length said at words ``word`` to before ``last``: how likely it is a work interval's, or a rest's."""

    word: int
    last: int
    seconds: float
    unit: bool
    work: float
    rest: float


@dataclass(frozen=True, slots=True)
class Class:
    """What the choices look at. Arrays over words; ``names`` are spans that may name a move."""

    norms: tuple[str, ...]
    at_s: Floats
    lengths: tuple[Length, ...]
    names: tuple[Found, ...]
    known: frozenset[tuple[int, int]]
    """Which of ``names`` the move lexicon knows."""
    calls: tuple[tuple[int, str, float], ...]
    told: Floats
    """Log-probabilities that an interval starting here was timed, untimed, counted: (words, 3)."""
    side: Floats
    """Log-probabilities of no side, left, right for an interval starting here: (words, 3)."""
    intro: Floats
    phase: npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Settled:
    """An interval, as far as it is settled: words ``first`` to before ``last``, set-up from ``setup``."""

    kind: str
    first: int
    last: int
    setup: int
    seconds: float
    announced: float | None = None
    told_at: int | None = None
    told_p: float = 0.0
    name: str | None = None
    side: str | None = None


def settle(options: Sequence[tuple[object, Floats]], weights: Floats) -> tuple[int, Floats]:
    """Index of the likeliest option, and the probabilities of all."""
    scores = np.stack([f for _, f in options]) @ weights
    e = np.exp(scores - scores.max())
    p = e / e.sum()
    return int(p.argmax()), p


def with_setup(pieces: Sequence[tuple[str, int, int]], at_s: Floats) -> list[Settled]:
    """Intervals from (kind, first word, word past the last); a set-up starts where the last work stopped."""
    out: list[Settled] = []
    ended = 0
    for kind, first, last in pieces:
        end = at_s[last] if last < len(at_s) else at_s[-1] + 1.0
        out.append(Settled(kind, first, last, ended, float(end - at_s[first])))
        if kind == "work":
            ended = last
    return out
