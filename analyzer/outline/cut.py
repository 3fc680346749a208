"""Cuts a class into intervals, with the probability of each; or into none, when it is no class."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from analyzer.outline.decode import best_path, posteriors, rhythm_of
from analyzer.outline.lattice import Evidence, lattice
from analyzer.outline.weights import Passes

__all__ = ["Cut", "cut"]

LEAST_SHARE = 0.12
"""Intervals that fill less of the recording than this are anecdotes in a talk (measured on recordings left out)."""
LEAST_P = 0.5
"""Mean probability of the intervals below which a recording is taken for no class."""


@dataclass(frozen=True, slots=True)
class Cut:
    """Words ``first`` to before ``last`` are an interval, with probability ``p`` that its middle is one."""

    kind: Literal["work", "rest"]
    first: int
    last: int
    p: float


def cut(e: Evidence, w: Passes) -> tuple[Cut, ...]:
    """The intervals of a class in order, none when the recording is no class."""
    lat = lattice(e, rhythm_of(e, w.first))
    path = best_path(lat, w.second)
    if not path:
        return ()
    work, rest, _, _ = posteriors(lat, w.second)
    out = []
    for piece in path:
        p = work if piece.kind == "work" else rest
        middle = (piece.first + piece.last) // 2
        sure = float(p[: middle + 1, middle + 1 :].sum())
        kind: Literal["work", "rest"] = "work" if piece.kind == "work" else "rest"
        out.append(Cut(kind, int(lat.nodes[piece.first]), int(lat.nodes[piece.last]), min(1.0, sure)))
    if out[-1].kind == "rest":
        out.pop()
    return tuple(out) if _is_class(e, out) else ()


def _is_class(e: Evidence, cuts: list[Cut]) -> bool:
    at = np.append(e.at_s, e.at_s[-1])
    filled = sum(float(at[c.last] - at[c.first]) for c in cuts)
    length = float(e.at_s[-1] - e.at_s[0]) or 1.0
    work = [c for c in cuts if c.kind == "work"]
    return len(work) > 1 and filled / length >= LEAST_SHARE and sum(c.p for c in cuts) / len(cuts) >= LEAST_P
