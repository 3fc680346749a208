"""Every way to cut a class into talk, work and rest, with the evidence for each piece.

Nodes are the words where something may start or stop. A segment runs from node to node and is talk, work or
rest; its score is a weighted sum of features. ``decode`` finds the best path, or the probability of each
segment over all paths (a semi-Markov conditional random field, Sarawagi & Cohen 2004). The weights are fitted
on classes (``hearing.train.outline``), never guessed.

Lengths and time calls count as evidence for *which words* start and stop an interval; they never move the
time of a word. The agreement of a length falls off like a Cauchy density, so that a clear word beats it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.hearing.spans import sigmoid

__all__ = [
    "LONGEST_S",
    "REST_FEATURES",
    "SHORTEST_S",
    "WORK_FEATURES",
    "Call",
    "Evidence",
    "Lattice",
    "Rhythm",
    "Told",
    "lattice",
]

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

SHORTEST_S, LONGEST_S = 2.5, 1500.0
"""Seconds: shorter than any announced interval seen, longer than any block of work in a class of an hour."""
NODE_LOGIT = -8.0
"""A word whose start and stop logits are both below this is no node."""
HATS_S = (5.0, 10.0, 20.0, 30.0, 45.0, 60.0, 90.0, 180.0, 360.0)
WORK_FEATURES = (
    "bias",
    "start",
    "stop",
    "state sum",
    "state mean",
    "starts inside",
    "stops inside",
    "told here",
    "told before",
    "told last",
    "rhythm",
    "calls agree",
    "calls differ",
    "followed by set-up",
    *(f"about {h:g} s" for h in HATS_S),
)
REST_FEATURES = (
    "bias",
    "rest",
    "state sum",
    "state mean",
    "starts inside",
    "told here",
    "told before",
    "told last",
    "rhythm",
    "calls agree",
    "calls differ",
    *(f"about {h:g} s" for h in HATS_S),
)


@dataclass(frozen=True, slots=True)
class Told:
    """A length that was said at ``word``: seconds, and how likely it is that of a work interval or a rest."""

    word: int
    seconds: float
    work: float
    rest: float


@dataclass(frozen=True, slots=True)
class Call:
    """A time call heard at ``word``; ``value`` as in TimeCall; ``p`` how likely it is one."""

    word: int
    kind: str
    value: float
    p: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the tagger and the grammar heard: arrays over words, logits in, times in seconds."""

    at_s: Floats
    start: Floats
    stop: Floats
    rest: Floats
    intro: Floats
    state: Floats
    """Log-probabilities of talk, work, rest: (words, 3)."""
    told: tuple[Told, ...]
    calls: tuple[Call, ...]
    block: bool


@dataclass(frozen=True, slots=True)
class Lattice:
    """``nodes``: word indices, the last one past the end; ``work`` and ``rest``: (nodes, nodes, features)."""

    nodes: Ints
    work: npt.NDArray[np.float32]
    rest: npt.NDArray[np.float32]
    possible: npt.NDArray[np.bool_]
    """Which (from, to) may be an interval."""


def _prefix(x: Floats) -> Floats:
    return np.concatenate(([0.0], np.cumsum(x)))


def _hats(d: Floats) -> Floats:
    """Soft membership of a length in each class of lengths: linear in its logarithm, (..., len(HATS_S))."""
    knots = np.log(np.array(HATS_S))
    x = np.clip(np.log(np.maximum(d, 1.0)), knots[0], knots[-1])
    at = np.clip(np.searchsorted(knots, x, side="right") - 1, 0, len(knots) - 2)
    share = (x - knots[at]) / (knots[at + 1] - knots[at])
    out = np.zeros((*d.shape, len(knots)))
    np.put_along_axis(out, at[..., None], (1 - share)[..., None], axis=-1)
    np.put_along_axis(out, (at + 1)[..., None], share[..., None], axis=-1)
    return out


def nodes_of(e: Evidence, extra: Ints | None = None) -> Ints:
    """Words where something may start or stop, the first word, and one past the last."""
    likely = np.flatnonzero(np.maximum(e.start, e.stop) > NODE_LOGIT)
    parts = [likely, np.array([0, len(e.at_s)], dtype=np.int64)]
    if extra is not None:
        parts.append(extra)
    return np.unique(np.concatenate(parts)).astype(np.int64)


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Lengths, in seconds, of the intervals a first pass heard: a class repeats itself."""

    work: tuple[float, ...] = ()
    rest: tuple[float, ...] = ()


def lattice(e: Evidence, rhythm: Rhythm = Rhythm(), extra: Ints | None = None) -> Lattice:
    """The lattice of a class; ``extra`` adds nodes (training puts the true ones in)."""
    nodes = nodes_of(e, extra)
    at = np.append(e.at_s, e.at_s[-1] + 3.0 if len(e.at_s) else 0.0)[nodes]
    length = at[None, :] - at[:, None]
    possible = (length >= SHORTEST_S) & (length <= LONGEST_S)

    def edge(x: Floats) -> Floats:
        return np.asarray(np.append(np.clip(x, -10.0, 10.0), -10.0)[nodes] / 4.0)

    hats = _hats(length)
    inside_start, inside_stop = (
        _inside(sigmoid(e.start - 1.5), nodes),
        _inside(sigmoid(e.stop - 1.5), nodes),
    )
    agree, differ = _calls(e, at, nodes)
    n = len(nodes)
    work = np.zeros((n, n, len(WORK_FEATURES)), dtype=np.float32)
    total, mean = _state(e, nodes, 1)
    here, before, last = _told(e, nodes, length, 0)
    rows = (
        np.ones_like(length),
        edge(e.start)[:, None] + 0 * length,
        edge(e.stop)[None, :] + 0 * length,
        total,
        mean,
        inside_start,
        inside_stop,
        here,
        before,
        last,
        _repeats(length, rhythm.work),
        agree,
        differ,
        edge(e.intro)[None, :] + 0 * length,
    )
    work[..., : len(rows)] = np.stack(rows, axis=-1)
    work[..., len(rows) :] = hats
    rest = np.zeros((n, n, len(REST_FEATURES)), dtype=np.float32)
    total, mean = _state(e, nodes, 2)
    here, before, last = _told(e, nodes, length, 1)
    others = (
        np.ones_like(length),
        edge(e.rest)[:, None] + 0 * length,
        total,
        mean,
        inside_start,
        here,
        before,
        last,
        _repeats(length, rhythm.rest),
        agree,
        differ,
    )
    rest[..., : len(others)] = np.stack(others, axis=-1)
    rest[..., len(others) :] = hats
    return Lattice(nodes, work, rest, possible)


def _state(e: Evidence, nodes: Ints, which: int) -> tuple[Floats, Floats]:
    """Sum (in tens) and mean over a segment's words of how much likelier work or rest is than talk."""
    lead = _prefix(np.clip(e.state[:, which] - e.state[:, 0], -4.0, 4.0))[nodes]
    total = lead[None, :] - lead[:, None]
    count = np.maximum(1, nodes[None, :] - nodes[:, None])
    return total / 10.0, total / count


def _inside(p: Floats, nodes: Ints) -> Floats:
    """Expected number of events strictly inside each segment."""
    sums = _prefix(p)
    after = sums[np.minimum(nodes + 1, len(p))]
    return np.maximum(0.0, sums[nodes][None, :] - after[:, None])


def _repeats(length: Floats, heard: tuple[float, ...]) -> Floats:
    """Share of the intervals heard elsewhere in the class that were about this long, 0..1."""
    out = np.zeros_like(length)
    for d in heard:
        out += 1.0 / (1.0 + ((length - d) / (0.8 + 0.05 * d)) ** 2)
    return np.clip((out - 1.0) / max(1.0, len(heard) - 1.0), 0.0, 1.0)


def _told(e: Evidence, nodes: Ints, length: Floats, which: int) -> tuple[Floats, Floats, Floats]:
    """How well a segment's length agrees with one told in its set-up or just after its start, with any told
    earlier, and with the last one told before it.
    """
    here, before, last = np.zeros_like(length), np.zeros_like(length), np.zeros_like(length)
    for told in e.told:
        p = told.rest if which else told.work
        if p < 0.05:
            continue
        agree = p / (1.0 + ((length - told.seconds) / (1.5 + 0.05 * told.seconds)) ** 2)
        ago = nodes - told.word
        near = (ago >= -8) & (ago <= 90)
        here = np.maximum(here, np.where(near[:, None], agree, 0.0))
        before = np.maximum(before, np.where((ago > 90)[:, None], agree, 0.0))
        if p > 0.4:
            last = np.where((ago >= -8)[:, None], agree, last)
    return here, before, last


def _calls(e: Evidence, at: Floats, nodes: Ints) -> tuple[Floats, Floats]:
    """How many time calls inside each segment fit it, and how many do not."""
    n = len(nodes)
    agree, differ = np.zeros((n, n)), np.zeros((n, n))
    length = np.maximum(at[None, :] - at[:, None], 0.1)
    for call in e.calls:
        t = e.at_s[call.word]
        inside = (at[:, None] <= t) & (at[None, :] > t)
        gone, left = t - at, at - t
        scale = 2.5 + (2.0 if e.block else 0.0) + 0.08 * (call.value if call.value > 1 else 30.0)
        if call.kind == "elapsed":
            off = np.broadcast_to((gone - call.value)[:, None], (n, n)) / scale
        elif call.kind == "remaining":
            off = np.broadcast_to((left - call.value)[None, :], (n, n)) / scale
        else:
            off = (gone[:, None] - call.value * length) / (2.0 + 0.08 * length)
        fit = 1.0 / (1.0 + off**2)
        agree += np.where(inside, call.p * fit, 0.0)
        differ += np.where(inside, call.p * (1.0 - fit), 0.0)
    return agree, differ
