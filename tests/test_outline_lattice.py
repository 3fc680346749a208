"""What the lattice weighs, and the parts of a class."""

from __future__ import annotations

from itertools import combinations_with_replacement

import numpy as np
import numpy.typing as npt
import pytest

from analyzer.hearing.heard import listen
from analyzer.hearing.labels import CHOICES, WIDTH, column, columns
from analyzer.outline.evidence import evidence, phases_of, softmax
from analyzer.outline.lattice import (
    HATS_S,
    LONGEST_S,
    REST_FEATURES,
    SHORTEST_S,
    WORK_FEATURES,
    Call,
    Evidence,
    Lattice,
    Rhythm,
    Told,
    lattice,
    nodes_of,
)

WORDS = 40


def heard(
    *,
    start: int = 10,
    stop: int = 30,
    told: tuple[Told, ...] = (),
    calls: tuple[Call, ...] = (),
    step: float = 2.0,
) -> Evidence:
    """Forty words, one each ``step`` seconds; word ``start`` may start work and word ``stop`` may stop it."""
    quiet = np.full(WORDS, -12.0)
    starts, stops = quiet.copy(), quiet.copy()
    starts[start], stops[stop] = 3.0, 3.0
    state = np.tile(np.log([0.6, 0.3, 0.1]), (WORDS, 1))
    return Evidence(
        step * np.arange(WORDS, dtype=np.float64),
        starts,
        stops,
        quiet,
        quiet,
        state,
        told,
        calls,
        block=False,
    )


def feature(lat: Lattice, name: str, first: int, last: int, kind: str = "work") -> float:
    """A feature of the segment between two words."""
    i, j = (lat.nodes.tolist().index(word) for word in (first, last))
    if kind == "work":
        return float(lat.work[i, j, WORK_FEATURES.index(name)])
    return float(lat.rest[i, j, REST_FEATURES.index(name)])


def test_nodes_are_the_words_that_may_start_or_stop() -> None:
    assert nodes_of(heard()).tolist() == [0, 10, 30, WORDS]
    assert lattice(heard(), extra=np.array([12])).nodes.tolist() == [0, 10, 12, 30, WORDS]


def test_segments_run_forward_and_within_limits() -> None:
    for step in (0.05, 2.0, 60.0):
        lat = lattice(heard(step=step))
        at = np.append(np.arange(WORDS) * step, (WORDS - 1) * step + 3.0)[lat.nodes]
        length = at[None, :] - at[:, None]
        assert np.array_equal(lat.possible, (length >= SHORTEST_S) & (length <= LONGEST_S))


def test_a_start_and_a_stop_speak_for_work_between_them() -> None:
    lat = lattice(heard())
    assert feature(lat, "start", 10, 30) == pytest.approx(3.0 / 4)
    assert feature(lat, "stop", 10, 30) == pytest.approx(3.0 / 4)
    assert feature(lat, "start", 0, 30) < 0 > feature(lat, "stop", 10, WORDS)
    # a start inside a segment speaks against it
    assert feature(lat, "starts inside", 0, 30) == pytest.approx(1 / (1 + np.exp(-1.5)), abs=0.01)
    assert feature(lat, "starts inside", 10, 30) == pytest.approx(0.0, abs=1e-3)


def test_classes_of_lengths_share_every_length() -> None:
    lat = lattice(heard(step=1.37))
    hats = [n for n, name in enumerate(WORK_FEATURES) if name.startswith("about ")]
    assert len(hats) == len(HATS_S)
    assert lat.work[lat.possible][:, hats].sum(axis=1) == pytest.approx(1.0)
    # 40 s is between 30 and 45 s, nearer to 45
    lat = lattice(heard())
    assert feature(lat, "about 45 s", 10, 30) > feature(lat, "about 30 s", 10, 30) > 0
    assert feature(lat, "about 60 s", 10, 30) == 0


def test_a_told_length_helps_the_segment_that_fits_it() -> None:
    lat = lattice(heard(told=(Told(5, 40.0, 0.9, 0.1),)))
    assert feature(lat, "told here", 10, 30) == pytest.approx(0.9)
    assert feature(lat, "told here", 0, 10) < 0.05
    assert feature(lat, "told here", 10, 30, "rest") == pytest.approx(0.1)


def test_clear_words_beat_a_told_length() -> None:
    """The agreement is a Cauchy density: 20 s off it has all but gone, and costs no more at 200 s."""
    at_40, at_60, at_240 = (
        feature(lattice(heard(told=(Told(5, 40.0, 1.0, 0.0),), step=step)), "told here", 10, 30)
        for step in (2.0, 3.0, 12.0)
    )
    assert at_40 == pytest.approx(1.0)
    assert 0.0 <= at_240 < at_60 < 0.05


def test_calls_fit_the_segment_they_are_true_of() -> None:
    # word 20 is 20 s into work from word 10 to word 30
    for kind, value in (("elapsed", 20.0), ("remaining", 20.0), ("fraction", 0.5)):
        lat = lattice(heard(calls=(Call(20, kind, value, 1.0),)))
        assert feature(lat, "calls agree", 10, 30) == pytest.approx(1.0)
        assert feature(lat, "calls differ", 10, 30) == pytest.approx(0.0)
        # and say nothing of one they are not said in
        assert feature(lat, "calls agree", 0, 10) == feature(lat, "calls differ", 0, 10) == 0
    wrong = lattice(heard(calls=(Call(20, "remaining", 5.0, 1.0),)))
    assert feature(wrong, "calls differ", 10, 30) > 0.9


def test_a_class_repeats_its_lengths() -> None:
    rhythm = Rhythm(work=(40.0, 40.5, 39.0, 41.0, 40.0), rest=())
    lat = lattice(heard(), rhythm)
    assert feature(lat, "rhythm", 10, 30) > 0.8
    assert feature(lat, "rhythm", 0, 30) < 0.1
    assert feature(lat, "rhythm", 10, 30, "rest") == 0
    # once is no rhythm
    assert feature(lattice(heard(), Rhythm(work=(40.0,))), "rhythm", 10, 30) == 0


# --- evidence ----------------------------------------------------------------------------------------------


def test_evidence_of_what_was_heard() -> None:
    norms = ["forty", "on", "twenty", "off", "and", "go"]
    logits = np.full((6, WIDTH), -9.0, dtype=np.float32)
    role = columns("role")
    logits[:, role.start] = 0.0
    logits[0, role] = (-9.0, 3.0, 0.0)
    logits[2, role] = (-9.0, 0.0, 3.0)
    logits[5, column("start")] = 4.0
    found = evidence(listen(norms, logits), np.arange(6.0), block=False)
    assert [(t.word, t.seconds) for t in found.told] == [(0, 40), (2, 20)]
    forty, twenty = found.told
    assert forty.work == pytest.approx(1 / (1 + np.exp(-3)), abs=1e-3) == twenty.rest
    assert found.start.argmax() == 5
    assert np.exp(found.state).sum(axis=1) == pytest.approx(1.0)


def test_a_number_that_is_surely_no_length_is_left_out() -> None:
    logits = np.full((2, WIDTH), -9.0, dtype=np.float32)
    logits[:, columns("role").start] = 5.0
    assert evidence(listen(["twelve", "squats"], logits), np.arange(2.0), block=False).told == ()


def test_softmax_is_that_of_the_definition() -> None:
    x = np.array([[0.0, np.log(3.0)], [1000.0, 1000.0]])
    assert softmax(x) == pytest.approx(np.array([[0.25, 0.75], [0.5, 0.5]]))


@pytest.mark.parametrize("seed", range(8))
def test_phases_are_the_likeliest_that_never_go_back(seed: int) -> None:
    """Against every run of phases of five words in order."""
    rng = np.random.default_rng(seed)
    count = len(CHOICES["phase"])
    logits = np.zeros((5, WIDTH), dtype=np.float32)
    logits[:, columns("phase")] = 2 * rng.normal(size=(5, count))
    score = np.log(softmax(logits[:, columns("phase")]) + 1e-6)

    def total(phases: tuple[int, ...]) -> float:
        return float(sum(score[i, k] for i, k in enumerate(phases)))

    best = max(combinations_with_replacement(range(count), 5), key=total)
    assert tuple(phases_of(logits).tolist()) == best


def test_no_words_no_phases() -> None:
    none: npt.NDArray[np.float32] = np.zeros((0, WIDTH), dtype=np.float32)
    assert phases_of(none).shape == (0,)
