"""Fitting the choices of lengths, names and sides."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from train_help import perfect, script, stored

from analyzer.hearing.heard import listen
from analyzer.hearing.train.choices import Sample, fit_choice, samples, true_intervals
from analyzer.hearing.train.data import Stored
from analyzer.outline.choices import settle
from analyzer.outline.evidence import material
from analyzer.outline.weights import SIZES
from analyzer.words import normal


def toy(count: int, seed: int = 1) -> list[Sample]:
    """Three candidates; the right one has the most of the first feature, the second feature is noise."""
    rng = np.random.default_rng(seed)
    out = []
    for _ in range(count):
        features = rng.normal(size=(3, 2))
        right = np.arange(3) == features[:, 0].argmax()
        out.append((features, right))
    return out


def test_what_matters_is_learned() -> None:
    weights = fit_choice(toy(200))
    assert weights[0] > 5 * abs(weights[1])
    unseen = toy(200, seed=2)
    hits = [bool(right[settle([(None, f) for f in features], weights)[0]]) for features, right in unseen]
    assert np.mean(hits) > 0.97


def test_a_conditional_logit_has_a_known_answer() -> None:
    """Of two candidates, the one with the feature is right three times in four: its weight is log 3."""
    features = np.array([[1.0], [0.0]])
    data: list[Sample] = [(features, np.array([k % 4 != 0, k % 4 == 0])) for k in range(400)]
    assert fit_choice(data, ridge=1e-6)[0] == pytest.approx(np.log(3), abs=1e-3)


def test_several_candidates_may_be_right() -> None:
    features = np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 0.0]])
    weights = fit_choice([(features, np.array([True, True, False]))] * 50)
    assert weights[0] == pytest.approx(weights[1], abs=1e-3)
    assert weights[0] > 1


def test_samples_that_nothing_is_right_in_are_left_out() -> None:
    wrong: list[Sample] = [(np.array([[9.0, 9.0], [0.0, 0.0], [0.0, 0.0]]), np.zeros(3, dtype=np.bool_))]
    assert fit_choice(toy(50) + wrong * 50) == pytest.approx(fit_choice(toy(50)))


@pytest.fixture
def row(tmp_path: Path) -> Stored:
    return stored(script(tmp_path))


def test_true_intervals_of_a_script(row: Stored, tmp_path: Path) -> None:
    found = true_intervals(row, script(tmp_path))
    assert [(s.kind, s.announced, s.name, s.side) for s in found] == [
        ("work", 40, "goblet squats", None),
        ("rest", 20, None, None),
        ("work", 30, "side plank", "left"),
        ("work", 30, "side plank", "right"),
        ("work", None, "goblet squats", None),
    ]
    assert [round(s.seconds) for s in found] == pytest.approx([40, 20, 30, 30, 20], abs=1)


def test_samples_of_a_class_hold_the_right_answers(row: Stored, tmp_path: Path) -> None:
    intervals = true_intervals(row, script(tmp_path))
    heard = listen([normal(t) for t in row.texts], perfect(row.labels))
    made = samples(material(heard, row.starts_ms / 1000.0), intervals, None)
    assert set(made) == set(SIZES)
    assert {key: len(some) for key, some in made.items()} == {
        "work length": 4, "rest length": 1, "work length, blind": 4, "rest length, blind": 1,
        "name": 4, "side": 4,
    }  # fmt: skip
    for key, some in made.items():
        for features, right in some:
            assert features.shape == (len(right), len(SIZES[key])), key
            assert not right.all(), key
    # the last move is not named again: there is nothing to choose it by
    assert [bool(right.any()) for _, right in made["name"]] == [True, True, True, False]
    assert all(right.any() for key, some in made.items() if key != "name" for _, right in some)
