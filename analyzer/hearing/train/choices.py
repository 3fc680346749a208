"""Fits the weights of the outline's choices (lengths, names, sides) on classes the tagger had not seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from analyzer.bench.script import Script
from analyzer.hearing.labels import column
from analyzer.hearing.train.data import Stored
from analyzer.hearing.train.outline import true_path
from analyzer.outline.choices import (
    Class,
    Settled,
    blind,
    length_options,
    name_options,
    same,
    side_options,
    with_setup,
)
from analyzer.outline.weights import SIZES

__all__ = ["Sample", "fit_choice", "samples", "true_intervals"]

Floats = npt.NDArray[np.float64]
Sample = tuple[Floats, npt.NDArray[np.bool_]]
"""Features of the candidates, and which of them are right."""


def true_intervals(row: Stored, script: Script) -> list[Settled]:
    """The true intervals of a class with what was told, named and sided, in words of the captions."""
    pieces = [("work" if s == 1 else "rest", a, b) for s, a, b in true_path(row.labels) if s]
    out = with_setup(pieces, row.starts_ms / 1000.0)
    works = [m for m in script.marks if m.kind == "work"]
    rests = {m.word: m for m in script.marks if m.kind == "rest"}
    ends = [m for m in script.marks if m.kind == "end"]
    told_rest = [rests.get(e.word) for e in ends]
    starts = np.flatnonzero(row.labels[:, column("start")] > 0)
    if len(starts) != len(works):
        return []
    number = {int(a): m for a, m in zip(starts, works, strict=True)}
    stops = {
        int(a): m for a, m in zip(np.flatnonzero(row.labels[:, column("stop")] > 0), told_rest, strict=False)
    }
    result = []
    for s in out:
        if s.kind == "work":
            mark = number.get(s.first)
            if mark is None:
                return []
            told, name, *rest = mark.args
            side = next((a.split("=")[1] for a in rest if a.startswith("side=")), None)
            value = None if told in ("reps", "untimed") else float(told)
            result.append(replace(s, announced=value, name=name, side=side))
        else:
            mark = stops.get(s.first)
            value = (
                None if mark is None or not mark.args or mark.args[0] == "untimed" else float(mark.args[0])
            )
            result.append(replace(s, announced=value))
    return result


def samples(c: Class, intervals: Sequence[Settled], period: int | None) -> dict[str, list[Sample]]:
    """The choices of a class as samples, each leaning on the true intervals before it."""
    out: dict[str, list[Sample]] = {key: [] for key in SIZES}
    for k, i in enumerate(intervals):
        before = intervals[:k]
        heard = [s.seconds for s in intervals if s.kind == i.kind]
        options = length_options(c, i, before, heard)
        right = np.array([(o.seconds if o else None) == i.announced for o, _ in options])
        features = np.stack([f for _, f in options])
        out[f"{i.kind} length"].append((features, right))
        out[f"{i.kind} length, blind"].append((blind(features), right))
        if i.kind == "work":
            named = name_options(c, i, before, period)
            right = np.array([o is not None and same(o[0], i.name) for o, _ in named])
            out["name"].append((np.stack([f for _, f in named]), right))
            sides = side_options(c, i, before)
            out["side"].append((np.stack([f for _, f in sides]), np.array([o == i.side for o, _ in sides])))
    return out


def fit_choice(data: Sequence[Sample], ridge: float = 0.5) -> Floats:
    """Weights that make the right candidates likeliest; samples with no right candidate are left out."""
    kept = [(f, r) for f, r in data if r.any()]
    width = kept[0][0].shape[1]

    def loss(w: Floats) -> tuple[float, Floats]:
        total, gradient = 0.5 * ridge * float(w @ w), ridge * w
        for f, right in kept:
            s = f @ w
            s -= s.max()
            e = np.exp(s)
            p = e / e.sum()
            q = np.where(right, e, 0.0)
            hit = q.sum()
            total -= float(np.log(hit / e.sum() + 1e-300))
            gradient = gradient + f.T @ (p - q / hit)
        return total / len(kept), gradient / len(kept)

    return np.asarray(
        minimize(loss, np.zeros(width), jac=True, method="L-BFGS-B", options={"maxiter": 200}).x
    )
