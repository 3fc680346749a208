"""Fits everything after the tagger on logits of classes it had not seen, and judges the whole the same way.

For each fold, weights are fitted on the other folds alone; the weights that ship are fitted on all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.bench.script import Script, parse, perform
from analyzer.bench.truth import truth
from analyzer.hearing.heard import Heard, listen
from analyzer.hearing.train.choices import fit_choice, samples, true_intervals
from analyzer.hearing.train.crossval import LeftOut
from analyzer.hearing.train.data import Stored
from analyzer.hearing.train.outline import case, fit_weights, unpack
from analyzer.outline.build import outline_of, round_period
from analyzer.outline.decode import rhythm_of
from analyzer.outline.evidence import evidence, material
from analyzer.outline.lattice import WORK_FEATURES
from analyzer.outline.weights import OutlineWeights, for_timing
from analyzer.words import normal, time_words

__all__ = ["Fold", "fit_fold", "left_out_case"]

PER_FOLD = 64
"""Classes drawn for a fold's lattice weights: some fifty weights need no more."""
LEAN = 0.7
"""Added to the bias of work, since the likeliest path misses more than it invents (on left-out classes:
F1 0.917 without, 0.923 with)."""
FORMS = {"timed": "phrases.srt", "block": "blocks.txt"}


@dataclass(frozen=True, slots=True)
class Fold:
    """The rows that weights are fitted on, and whether they are all there are."""

    rows: Sequence[Stored]
    everything: bool


def _heard(row: Stored, logits: LeftOut) -> Heard:
    return listen([normal(t) for t in row.texts], logits[row.name, row.form])


def _lattice_weights(
    rows: Sequence[Stored], logits: LeftOut, *, block: bool, seed: int | None
) -> dict[str, list[float]]:
    if seed is not None:
        rows = [rows[i] for i in np.random.default_rng(seed).permutation(len(rows))[:PER_FOLD]]
    found = [evidence(_heard(r, logits), r.starts_ms / 1000.0, block=block) for r in rows]
    first = fit_weights([case(e, r.labels) for e, r in zip(found, rows, strict=True)], steps=26)
    again = [case(e, r.labels, rhythm_of(e, unpack(first))) for e, r in zip(found, rows, strict=True)]
    second = fit_weights(again, steps=14, start=first)
    second[WORK_FEATURES.index("bias")] += LEAN
    return {"first": _rounded(first), "second": _rounded(second)}


def _rounded(x: npt.NDArray[np.float64]) -> list[float]:
    return [round(float(v), 4) for v in x]


def _choice_weights(
    rows: Sequence[Stored], logits: LeftOut, scripts: dict[str, Script]
) -> dict[str, list[float]]:
    data: dict[str, list[Any]] = {}
    for row in rows:
        intervals = true_intervals(row, scripts[row.name])
        if not intervals:
            continue
        c = material(_heard(row, logits), row.starts_ms / 1000.0)
        period = round_period([s.name for s in intervals if s.kind == "work"])
        for key, some in samples(c, intervals, period).items():
            data.setdefault(key, []).extend(some)
    return {key: _rounded(fit_choice(some)) for key, some in data.items()}


def fit_fold(fold: Fold, logits: LeftOut, classes: Path, seed: int) -> dict[str, Any]:
    """All weights after the tagger, as ``outline.weights.from_json`` reads them."""
    drawn = None if fold.everything else seed
    scripts = {r.name: parse(classes / f"{r.name}.class") for r in fold.rows}
    out: dict[str, Any] = {}
    for key, form in FORMS.items():
        rows = [r for r in fold.rows if r.form == form]
        cut = _lattice_weights(rows, logits, block=key == "block", seed=drawn)
        out[key] = cut | _choice_weights(rows, logits, scripts)
    return out


def left_out_case(
    path: Path, form: str, scores: npt.NDArray[np.float32], weights: dict[str, OutlineWeights]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """(document, truth) of a class whose tagger scores and weights come from a model that never saw it."""
    from analyzer.bench.forms import FORMS as WRITERS
    from analyzer.captions import read_text
    from analyzer.document import document
    from analyzer.review import review_outline
    from analyzer.standards.standard import load

    performance = perform(parse(path))
    captions = read_text(WRITERS[form](performance.words), (), Path(f"{path.stem}.{form}"))
    words = time_words(captions)
    heard, chosen = listen([w.norm for w in words], scores), for_timing(weights, captions.timing)
    outline = outline_of(heard, words, captions.timing, chosen)
    return document(review_outline(captions, words, outline, load())), truth(performance)
