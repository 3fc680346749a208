"""Scores of classes that were left out: stored, read back, and counted."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from train_help import perfect, script, stored

from analyzer.hearing.labels import CHOICES, WIDTH, column, columns
from analyzer.hearing.train.crossval import read_logits, runs, span_table, write_logits


def test_a_perfect_tagger_scores_one(tmp_path: Path) -> None:
    row = stored(script(tmp_path))
    table = span_table([row], {(row.name, row.form): perfect(row.labels)})
    absent = {"elapsed", "fraction", "regression", "progression"}
    assert {kind for kind, score in table.items() if score != 1.0} == absent


def test_misses_and_inventions_cost(tmp_path: Path) -> None:
    row = stored(script(tmp_path))
    scores = perfect(row.labels)
    starts = np.flatnonzero(row.labels[:, column("start")] > 0)
    scores[starts[0], column("start")] = -6.0
    scores[:, column("in hydration")] = -6.0
    scores[:, columns("state")] = (6.0, -6.0, -6.0)
    table = span_table([row], {(row.name, row.form): scores})
    # three of four starts: P 1, R 3/4, F 6/7
    assert table["start"] == pytest.approx(6 / 7, abs=1e-3)
    assert table["hydration"] == 0.0
    state = row.labels[:, -len(CHOICES)]
    assert table["state"] == pytest.approx((state == 0).mean(), abs=1e-3)


@pytest.mark.parametrize(
    ("inside", "begin", "expected"),
    [
        ("", "", []),
        ("0110", "0000", [(1, 3)]),
        ("1111", "1010", [(0, 2), (2, 4)]),
        ("1101", "0000", [(0, 2), (3, 4)]),
    ],
)
def test_runs(inside: str, begin: str, expected: list[tuple[int, int]]) -> None:
    flags = [np.array([c == "1" for c in text], dtype=np.bool_) for text in (inside, begin)]
    assert list(runs(flags[0], flags[1])) == expected


def test_logits_are_stored_to_a_tenth(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    first = {("a", "phrases.srt"): (4 * rng.normal(size=(50, WIDTH))).astype(np.float32)}
    second = {("b", "blocks.txt"): np.full((2, WIDTH), 40.0, dtype=np.float32)}
    write_logits(tmp_path / "one.npz", first)
    write_logits(tmp_path / "two.npz", second)
    back = read_logits([tmp_path / "one.npz", tmp_path / "two.npz"])
    assert set(back) == {("a", "phrases.srt"), ("b", "blocks.txt")}
    assert np.abs(back["a", "phrases.srt"] - first["a", "phrases.srt"]).max() <= 1 / 12 + 1e-6
    # far beyond any doubt it makes no difference
    assert back["b", "blocks.txt"].min() > 20
