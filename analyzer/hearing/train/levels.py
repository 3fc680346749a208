"""Fits the logit from which a word counts as inside a span, for each kind, on classes left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from analyzer.bench.matching import match_times
from analyzer.bench.score import slack_s
from analyzer.hearing.labels import SPANS, column
from analyzer.hearing.spans import found, lifted
from analyzer.hearing.train.crossval import LeftOut
from analyzer.hearing.train.data import Stored
from analyzer.words import normal

__all__ = ["fit_levels"]

LEVELS = np.arange(-1.0, 6.01, 0.5)
CAUTION = {"regression": 1.75, "progression": 1.75, "form": 1.75, "breathing": 1.75, "safety": 0.5}
"""Added to the best level of a cue that a move can lack: a cue heard wrongly hides that it never came. On
classes left out it costs a cue's F1 about 0.01 and finds 91 instead of 90 % of the missing cues."""


def fit_levels(rows: Sequence[Stored], logits: LeftOut) -> Mapping[str, float]:
    """The level with the best F1 of each kind; a span counts when its first word is near a true one's."""
    best: dict[str, float] = {}
    raised = {(r.name, r.form): lifted(logits[r.name, r.form], [normal(t) for t in r.texts]) for r in rows}
    for kind in SPANS:
        scores = {}
        for level in LEVELS:
            true = guessed = hits = 0
            for row in rows:
                at = row.starts_ms / 1000.0
                t: list[float] = at[np.flatnonzero(row.labels[:, column(f"begin {kind}")] > 0)].tolist()
                heard = found(raised[row.name, row.form], kind, float(level))
                g: list[float] = at[[s.first for s in heard]].tolist()
                true, guessed = true + len(t), guessed + len(g)
                hits += match_times(t, g, slack_s(row.form))
            scores[float(level)] = 2 * hits / max(1, true + guessed)
        best[kind] = max(scores, key=scores.__getitem__) + CAUTION.get(kind, 0.0)
    return best
