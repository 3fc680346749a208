"""From what was heard to what the lattice and the choices weigh."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from analyzer.hearing.heard import Heard
from analyzer.hearing.labels import CHOICES, column, columns
from analyzer.outline.choices import Class, Length
from analyzer.outline.lattice import Call, Evidence, Told

__all__ = ["evidence", "material", "phases_of", "softmax"]

Floats = npt.NDArray[np.float64]


def softmax(x: npt.NDArray[np.floating]) -> Floats:
    """Over the last axis."""
    e = np.exp(x.astype(np.float64) - x.max(axis=-1, keepdims=True))
    return np.asarray(e / e.sum(axis=-1, keepdims=True))


def evidence(h: Heard, at_s: Floats, *, block: bool) -> Evidence:
    """What the lattice weighs; ``at_s`` are the words' likely starts in seconds."""
    roles = softmax(h.logits[:, columns("role")])

    def flag(name: str) -> Floats:
        return h.logits[:, column(name)].astype(np.float64)

    return Evidence(
        at_s=at_s,
        start=flag("start"),
        stop=flag("stop"),
        rest=flag("rest"),
        intro=flag("intro"),
        state=np.log(softmax(h.logits[:, columns("state")]) + 1e-9),
        told=tuple(
            Told(x.first, x.seconds, float(roles[x.first, 1]), float(roles[x.first, 2]))
            for x in h.lengths
            if roles[x.first, 0] < 0.95
        ),
        calls=tuple(Call(c.span.first, c.span.kind, c.value, c.span.p) for c in h.calls),
        block=block,
    )


def material(h: Heard, at_s: Floats) -> Class:
    """What the choices of lengths, names and sides look at."""
    roles = softmax(h.logits[:, columns("role")])
    return Class(
        norms=h.norms,
        at_s=at_s,
        lengths=tuple(
            Length(x.first, x.last, x.seconds, x.unit, float(roles[x.first, 1]), float(roles[x.first, 2]))
            for x in h.lengths
        ),
        names=tuple(n.span for n in h.names),
        known=frozenset((n.span.first, n.span.last) for n in h.names if n.known),
        calls=tuple((c.span.first, c.span.kind, c.value) for c in h.calls),
        told=np.log(softmax(h.logits[:, columns("told")]) + 1e-6),
        side=np.log(softmax(h.logits[:, columns("side")]) + 1e-6),
        intro=h.logits[:, column("intro")].astype(np.float64),
        phase=phases_of(h.logits),
    )


def phases_of(logits: npt.NDArray[np.floating]) -> npt.NDArray[np.int64]:
    """The phase of every word: the likeliest path that never goes back (opening to close), shape (words,)."""
    score = np.log(softmax(logits[:, columns("phase")]) + 1e-6)
    count = len(CHOICES["phase"])
    best = np.full(count, -1e9)
    best[0] = 0.0
    back = np.zeros((len(score), count), dtype=np.int64)
    for i, row in enumerate(score):
        came = np.array([int(best[: k + 1].argmax()) for k in range(count)])
        back[i] = came
        best = best[came] + row
    out = np.zeros(len(score), dtype=np.int64)
    state = int(best.argmax()) if len(score) else 0
    for i in range(len(score) - 1, -1, -1):
        out[i] = state
        state = int(back[i, state])
    return out
