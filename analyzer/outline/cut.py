"""Cuts a class into intervals, with the probability of each; or into none, when it is no class."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from analyzer.outline.decode import best_path, posteriors, rhythm_of
from analyzer.outline.lattice import Evidence, lattice
from analyzer.outline.weights import OutlineWeights

__all__ = ["Cut", "cut"]

Floats = npt.NDArray[np.float64]

LEAST_FILLED = 0.3
"""Least share of the recording that intervals fill, each weighed by its probability. Below it they are
anecdotes in a talk: of recordings left out, talks, tutorials and cooking shows reach 0.26 (0.37 in blocks),
classes 0.33 or more."""
COVERED = 0.95
LENGTHS = 12


@dataclass(frozen=True, slots=True)
class Cut:
    """Words ``first`` to before ``last`` are an interval, with probability ``p`` that its middle is one.

    ``start_sd_s`` and ``stop_sd_s`` say how far off another word might be that started or stopped it instead.
    """

    kind: Literal["work", "rest"]
    first: int
    last: int
    p: float
    start_sd_s: float
    stop_sd_s: float
    lengths: tuple[tuple[float, float], ...] = ((0.0, 1.0),)
    """How much longer it may have been (s), with probabilities that sum to 1: other words as its edges."""


def cut(e: Evidence, w: OutlineWeights) -> tuple[Cut, ...]:
    """The intervals of a class in order, none when the recording is no class."""
    lat = lattice(e, rhythm_of(e, w.first))
    path = best_path(lat, w.second)
    if not path:
        return ()
    work, rest, _, _ = posteriors(lat, w.second)
    at = np.append(e.at_s, e.at_s[-1] + 3.0)[lat.nodes]
    out = []
    for piece in path:
        p = work if piece.kind == "work" else rest
        middle = (piece.first + piece.last) // 2
        across = p[: middle + 1, middle + 1 :]
        kind: Literal["work", "rest"] = "work" if piece.kind == "work" else "rest"
        out.append(
            Cut(
                kind,
                int(lat.nodes[piece.first]),
                int(lat.nodes[piece.last]),
                min(1.0, float(across.sum())),
                _spread(at[: middle + 1], across.sum(axis=1), at[piece.first]),
                _spread(at[middle + 1 :], across.sum(axis=0), at[piece.last]),
                _lengths(
                    at[middle + 1 :][None, :] - at[: middle + 1][:, None],
                    across,
                    at[piece.last] - at[piece.first],
                ),
            )
        )
    return tuple(out) if _is_class(e, out) else ()


def _spread(at: Floats, p: Floats, chosen: float) -> float:
    """Half the distance within which the true edge lies in 95 % of cases: a standard uncertainty (k = 2)."""
    off = np.abs(at - chosen)
    order = np.argsort(off)
    reached = np.cumsum(p[order]) / max(float(p.sum()), 1e-12)
    return float(off[order][min(int(np.searchsorted(reached, COVERED)), len(off) - 1)]) / 2


def _lengths(length: Floats, p: Floats, chosen: float) -> tuple[tuple[float, float], ...]:
    """The likeliest lengths as differences from the chosen one, at most LENGTHS of them."""
    order = np.argsort(-p, axis=None)[:LENGTHS]
    kept = p.ravel()[order]
    off = length.ravel()[order] - chosen
    return tuple(
        (round(float(d), 3), float(q)) for d, q in zip(off, kept / max(kept.sum(), 1e-12), strict=True)
    )


def _is_class(e: Evidence, cuts: list[Cut]) -> bool:
    at = np.append(e.at_s, e.at_s[-1])
    filled = sum(c.p * float(at[c.last] - at[c.first]) for c in cuts)
    length = float(e.at_s[-1] - e.at_s[0]) or 1.0
    return sum(c.kind == "work" for c in cuts) > 1 and filled / length >= LEAST_FILLED
