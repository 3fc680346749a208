"""Everything that is fitted after the tagger, on a class of a minute or two."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from train_help import perfect, script, stored

from analyzer.bench.score import compare, figures
from analyzer.hearing.train.weigh import FORMS, Fold, fit_fold, left_out_case
from analyzer.outline.weights import from_json


def test_weights_fitted_on_a_class_review_it(tmp_path: Path) -> None:
    made = script(tmp_path)
    rows = [stored(made, form) for form in FORMS.values()]
    logits = {(r.name, r.form): perfect(r.labels, 3.0) for r in rows}
    fitted = fit_fold(Fold(rows, everything=True), logits, tmp_path, seed=1)
    weights = from_json(fitted)
    assert set(weights) == set(FORMS)
    assert all(np.isfinite(w.name).all() for w in weights.values())
    found, true = left_out_case(
        tmp_path / "small.class", "phrases.srt", logits["small", "phrases.srt"], weights
    )
    shares = figures(compare(true, found))
    assert shares["work_f1"] == 1.0
    assert [i["announced_s"] for i in found["intervals"]] == [i["announced_s"] for i in true["intervals"]]


def test_weights_of_the_wrong_number_are_refused(tmp_path: Path) -> None:
    made = script(tmp_path)
    rows = [stored(made, form) for form in FORMS.values()]
    logits = {(r.name, r.form): perfect(r.labels, 3.0) for r in rows}
    fitted = fit_fold(Fold(rows, everything=True), logits, tmp_path, seed=1)
    fitted["timed"]["side"] = [1.0]
    with pytest.raises(ValueError, match="side: 1 weights for 9 features"):
        from_json(fitted)
