"""The best cut of a class into talk, work and rest, and how sure each piece is.

Dynamic programming over a ``Lattice``. Talk follows work or begins the class; a rest follows work and is
followed by work; work may follow anything. "No class" is the path that is all talk.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.outline.lattice import Evidence, Lattice, Rhythm, lattice

__all__ = ["Piece", "Weights", "best_path", "posteriors", "rhythm_of"]

Floats = npt.NDArray[np.float64]
NEVER = -1e9


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights of WORK_FEATURES, of REST_FEATURES, and of talk (bias, starts inside, stops inside)."""

    work: Floats
    rest: Floats
    talk: Floats


@dataclass(frozen=True, slots=True)
class Piece:
    """A work interval or a rest between two nodes (indices into the lattice's nodes)."""

    kind: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Scores:
    """Log-scores of every segment: (nodes, nodes) for work and rest, and for talk."""

    work: Floats
    rest: Floats
    talk: Floats


def scores(lat: Lattice, w: Weights) -> Scores:
    """Weighted features. Talk's features are the work ones it shares: bias, starts and stops inside."""
    work = np.where(lat.possible, lat.work @ w.work, NEVER)
    rest = np.where(lat.possible, lat.rest @ w.rest, NEVER)
    n = len(lat.nodes)
    later = np.arange(n)[None, :] > np.arange(n)[:, None]
    talk = np.where(later, lat.work[..., [0, 5, 6]] @ w.talk, NEVER)
    return Scores(work, rest, talk)


def best_path(lat: Lattice, w: Weights) -> tuple[Piece, ...]:
    """The most likely intervals, in order; empty when the whole is likeliest talk."""
    s = scores(lat, w)
    n = len(lat.nodes)
    # rows: best score of a path that ends at a node with talk, work, rest
    best = np.full((3, n), NEVER)
    back = np.zeros((3, n, 2), dtype=np.int64)
    origin = np.zeros(n)
    origin[1:] = NEVER
    for j in range(1, n):
        before = slice(0, j)
        entries = (
            (0, np.stack([origin[before], best[1, before]]), s.talk[before, j], (3, 1)),
            (
                1,
                np.stack([origin[before], best[0, before], best[1, before], best[2, before]]),
                s.work[before, j],
                (3, 0, 1, 2),
            ),
            (2, best[1:2, before], s.rest[before, j], (1,)),
        )
        for state, options, segment, came in entries:
            total = options + segment
            k, i = np.unravel_index(int(total.argmax()), total.shape)
            best[state, j] = total[k, i]
            back[state, j] = (i, came[k])
    state, j = int(best[:2, n - 1].argmax()), n - 1
    out: list[Piece] = []
    while j > 0:
        i, previous = back[state, j]
        if state:
            out.append(Piece("work" if state == 1 else "rest", int(i), j))
        state, j = int(previous), int(i)
        if previous == 3:
            break
    return tuple(reversed(out))


def _logsum(x: Floats) -> float:
    top = x.max()
    return float(top + np.log(np.exp(x - top).sum())) if top > NEVER / 2 else NEVER


def _forward(s: Scores) -> tuple[Floats, float]:
    n = s.talk.shape[0]
    a = np.full((3, n), NEVER)
    entry = np.full(n, NEVER)  # before work: anything
    entry[0] = 0.0
    talked = np.full(n, NEVER)  # before talk: the beginning or work
    talked[0] = 0.0
    for j in range(1, n):
        a[0, j] = _logsum(talked[:j] + s.talk[:j, j])
        a[1, j] = _logsum(entry[:j] + s.work[:j, j])
        a[2, j] = _logsum(a[1, :j] + s.rest[:j, j])
        entry[j] = _logsum(a[:, j])
        talked[j] = a[1, j]
    return a, _logsum(a[:2, n - 1])


def _backward(s: Scores) -> Floats:
    """Log-sum of all ways on from a node, after talk, work, rest."""
    n = s.talk.shape[0]
    b = np.full((3, n), NEVER)
    b[0, n - 1] = b[1, n - 1] = 0.0
    for i in range(n - 2, -1, -1):
        on_work = _logsum(s.work[i, i + 1 :] + b[1, i + 1 :])
        on_talk = _logsum(s.talk[i, i + 1 :] + b[0, i + 1 :])
        on_rest = _logsum(s.rest[i, i + 1 :] + b[2, i + 1 :])
        b[0, i] = on_work
        b[1, i] = _logsum(np.array([on_work, on_talk, on_rest]))
        b[2, i] = on_work
    return b


def posteriors(lat: Lattice, w: Weights) -> tuple[Floats, Floats, Floats, float]:
    """Probability of every work, rest and talk segment, each (nodes, nodes), and the log-partition."""
    s = scores(lat, w)
    a, total = _forward(s)
    b = _backward(s)
    origin = np.full(a.shape[1], NEVER)
    origin[0] = 0.0
    entry = np.logaddexp(np.logaddexp(a[0], a[1]), np.logaddexp(a[2], origin))
    talked = np.logaddexp(a[1], origin)

    def p(before: Floats, segment: Floats, after: Floats) -> Floats:
        return np.exp(np.minimum(0.0, before[:, None] + segment + after[None, :] - total))

    return p(entry, s.work, b[1]), p(a[1], s.rest, b[2]), p(talked, s.talk, b[0]), total


def rhythm_of(e: Evidence, w: Weights) -> Rhythm:
    """The lengths a first pass hears in a class."""
    lat = lattice(e)
    at = np.append(e.at_s, e.at_s[-1] + 3.0)[lat.nodes]
    heard = [(p.kind, float(at[p.last] - at[p.first])) for p in best_path(lat, w)]
    return Rhythm(tuple(d for k, d in heard if k == "work"), tuple(d for k, d in heard if k == "rest"))
