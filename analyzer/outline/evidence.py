"""From the tagger's scores and the grammar of lengths to the evidence that the lattice weighs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from analyzer.hearing.labels import CALLS, column, columns
from analyzer.hearing.numbers import Length, fraction_in, lengths
from analyzer.hearing.spans import Found, found
from analyzer.outline.lattice import Call, Evidence, Told

__all__ = ["call_value", "evidence", "softmax"]

Floats = npt.NDArray[np.float64]


def softmax(x: npt.NDArray[np.floating]) -> Floats:
    """Over the last axis."""
    e = np.exp(x.astype(np.float64) - x.max(axis=-1, keepdims=True))
    return np.asarray(e / e.sum(axis=-1, keepdims=True))


def call_value(kind: str, norms: Sequence[str]) -> float | None:
    """The number a time call names: seconds, or the fraction done; None when it names none."""
    if kind == "fraction":
        return fraction_in(norms)
    named = lengths(norms)
    return next((x.seconds for x in named if x.unit), named[0].seconds if named else None)


def time_calls(logits: npt.NDArray[np.floating], norms: Sequence[str]) -> list[tuple[Found, float]]:
    """Time calls with their value, one a place: the likeliest kind where two overlap."""
    spans = sorted((s for kind in CALLS for s in found(logits, kind)), key=lambda s: -s.p)
    kept: list[tuple[Found, float]] = []
    for s in spans:
        value = call_value(s.kind, norms[s.first : s.last])
        if value is not None and all(s.last <= k.first or s.first >= k.last for k, _ in kept):
            kept.append((s, value))
    return sorted(kept, key=lambda k: k[0].first)


def told_lengths(logits: npt.NDArray[np.floating], named: Sequence[Length]) -> tuple[Told, ...]:
    """Every length with how likely it is a work interval's or a rest's."""
    roles = softmax(logits[:, columns("role")])
    return tuple(
        Told(x.first, x.seconds, float(roles[x.first, 1]), float(roles[x.first, 2]))
        for x in named
        if roles[x.first, 0] < 0.95
    )


def evidence(at_s: Floats, norms: Sequence[str], logits: npt.NDArray[np.floating], *, block: bool) -> Evidence:
    """What the lattice needs, from word times (s), normalised words and the tagger's logits."""
    calls = tuple(Call(s.first, s.kind, value, s.p) for s, value in time_calls(logits, norms))
    flag = lambda name: logits[:, column(name)].astype(np.float64)  # noqa: E731
    return Evidence(
        at_s=at_s,
        start=flag("start"),
        stop=flag("stop"),
        rest=flag("rest"),
        intro=flag("intro"),
        state=np.log(softmax(logits[:, columns("state")]) + 1e-9),
        told=told_lengths(logits, lengths(norms)),
        calls=calls,
        block=block,
    )
