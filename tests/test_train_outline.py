"""Fitting the lattice: its loss, and that it learns from what was true."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from train_help import perfect, script, stored

from analyzer.hearing.heard import listen
from analyzer.hearing.labels import CHOICES, FLAGS, column
from analyzer.hearing.train.data import Stored
from analyzer.hearing.train.outline import Case, _loss, case, fit_weights, true_path, unpack
from analyzer.outline.decode import best_path, posteriors
from analyzer.outline.evidence import evidence
from analyzer.outline.lattice import REST_FEATURES, WORK_FEATURES, Evidence
from analyzer.words import normal

SIZE = len(WORK_FEATURES) + len(REST_FEATURES) + 3


@pytest.fixture
def row(tmp_path: Path) -> Stored:
    return stored(script(tmp_path))


def heard(row: Stored, noise: float = 0.0) -> Evidence:
    """What a tagger that is right says of the class, or one that is nearly right."""
    scores = perfect(row.labels, 3.0)
    scores += noise * np.random.default_rng(2).normal(size=scores.shape).astype(np.float32)
    return evidence(listen([normal(t) for t in row.texts], scores), row.starts_ms / 1000.0, block=False)


def test_the_true_path_cuts_at_every_event(row: Stored) -> None:
    path = true_path(row.labels)
    assert [state for state, _, _ in path] == [0, 1, 2, 1, 0, 1, 0, 1, 0]  # talk, work, rest
    assert [row.texts[a] for state, a, _ in path if state == 1] == ["go."] * 4
    assert path[0][1] == 0
    assert path[-1][2] == len(row.texts)
    assert all(b == c for (_, _, b), (_, c, _) in pairwise(path))


def test_one_interval_straight_after_another_is_two() -> None:
    labels = np.zeros((6, len(FLAGS) + len(CHOICES)), dtype=np.int8)
    labels[1:6, len(FLAGS)] = 1
    labels[[1, 3], column("start")] = 1
    labels[3, column("stop")] = 1
    assert true_path(labels) == [(0, 0, 1), (1, 1, 3), (1, 3, 6)]


def test_a_case_has_the_features_of_its_true_path(row: Stored) -> None:
    made = case(heard(row), row.labels)
    bias = made.path[[0, len(WORK_FEATURES), len(WORK_FEATURES) + len(REST_FEATURES)]]
    assert bias.tolist() == [4, 1, 4]  # work, rest, talk


def slope(x: npt.NDArray[np.float64], cases: list[Case], k: int) -> float:
    step = np.zeros(SIZE)
    step[k] = 1e-5
    return (_loss(x + step, cases, 1.0)[0] - _loss(x - step, cases, 1.0)[0]) / 2e-5


def test_the_gradient_is_that_of_the_loss(row: Stored) -> None:
    cases = [case(heard(row, noise=2.0), row.labels)]
    x = 0.3 * np.random.default_rng(4).normal(size=SIZE)
    _, gradient = _loss(x, cases, 1.0)
    for k in range(SIZE):
        assert gradient[k] == pytest.approx(slope(x, cases, k), abs=1e-4), k


def test_the_loss_is_how_unlikely_the_true_path_is(row: Stored) -> None:
    """Without a ridge, exp(-loss) is a probability; with weights of zero every path is as likely."""
    made = case(heard(row), row.labels)
    loss, _ = _loss(np.zeros(SIZE), [made], 0.0)
    *_, log_z = posteriors(made.lattice, unpack(np.zeros(SIZE)))
    assert loss == pytest.approx(log_z)
    assert loss > 0


def test_weights_are_learned(row: Stored) -> None:
    e = heard(row, noise=1.0)
    made = case(e, row.labels)
    start = _loss(np.zeros(SIZE), [made], 1.0)[0]
    fitted = fit_weights([made])
    assert _loss(fitted, [made], 1.0)[0] < 0.5 * start
    found = [
        (p.kind, int(made.lattice.nodes[p.first]), int(made.lattice.nodes[p.last]))
        for p in best_path(made.lattice, unpack(fitted))
    ]
    assert found == [("work" if s == 1 else "rest", a, b) for s, a, b in true_path(row.labels) if s]


def test_more_steps_go_on_from_where_it_stood(row: Stored) -> None:
    made = case(heard(row, noise=1.0), row.labels)
    some = fit_weights([made], steps=3)
    more = fit_weights([made], steps=10, start=some)
    assert _loss(more, [made], 1.0)[0] < _loss(some, [made], 1.0)[0]
