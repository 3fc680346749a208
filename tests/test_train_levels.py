"""Fitting the thresholds of spans."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from train_help import perfect, script, stored

from analyzer.hearing.labels import SPANS, column
from analyzer.hearing.train.levels import CAUTION, LEVELS, fit_levels


def test_the_level_parts_what_is_true_from_what_is_not(tmp_path: Path) -> None:
    row = stored(script(tmp_path))
    scores = perfect(row.labels)
    inside, begin = column("in remaining"), column("begin remaining")
    true = row.labels[:, inside] > 0
    # every fourth word of the others seems a time call, less clearly than the true ones
    scores[:, inside] = np.where(true, 3.2, -6.0)
    scores[::4, inside] = np.maximum(scores[::4, inside], 1.7)
    scores[:, begin] = np.where(row.labels[:, begin] > 0, 3.2, -6.0)
    levels = fit_levels([row], {(row.name, row.form): scores})
    assert set(levels) == set(SPANS)
    assert 1.7 <= levels["remaining"] < 3.2


def test_a_tagger_that_is_right_needs_no_high_level(tmp_path: Path) -> None:
    row = stored(script(tmp_path))
    levels = fit_levels([row], {(row.name, row.form): perfect(row.labels)})
    assert levels["remaining"] == LEVELS[0]
    # a cue heard wrongly hides that a move never got one
    assert levels["breathing"] == LEVELS[0] + CAUTION["breathing"]
