"""The best path and the probabilities of a lattice, against every path of small ones, written out."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analyzer.outline.decode import Weights, best_path, posteriors
from analyzer.outline.lattice import REST_FEATURES, WORK_FEATURES, Lattice

Way = tuple[tuple[str, int, int], ...]
"""Segments of a path: (kind, first node, last node)."""

MAY_FOLLOW = {
    "talk": {"beginning", "work"},
    "work": {"beginning", "talk", "work", "rest"},
    "rest": {"work"},
}
SHARED = [WORK_FEATURES.index(name) for name in ("bias", "starts inside", "stops inside")]
"""Features of work that talk has too."""


@st.composite
def lattices(draw: st.DrawFn) -> tuple[Lattice, Weights]:
    nodes = draw(st.integers(2, 6))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    width = draw(st.sampled_from((0.1, 1.0, 4.0)))
    lat = Lattice(
        np.arange(nodes) * 7,
        rng.normal(size=(nodes, nodes, len(WORK_FEATURES))).astype(np.float32),
        rng.normal(size=(nodes, nodes, len(REST_FEATURES))).astype(np.float32),
        np.triu(rng.random((nodes, nodes)) < draw(st.sampled_from((0.3, 0.8, 1.0))), 1),
    )
    return lat, Weights(
        width * rng.normal(size=len(WORK_FEATURES)),
        width * rng.normal(size=len(REST_FEATURES)),
        width * rng.normal(size=len(SHARED)),
    )


def ways(lat: Lattice, at: int = 0, before: str = "beginning") -> Iterator[Way]:
    """Every way from a node to the end: a rest needs work before and after it."""
    last = len(lat.nodes) - 1
    if at == last:
        if before != "rest":
            yield ()
        return
    for to in range(at + 1, last + 1):
        for kind, follows in MAY_FOLLOW.items():
            if before in follows and (kind == "talk" or lat.possible[at, to]):
                yield from (((kind, at, to), *rest) for rest in ways(lat, to, kind))


def score(way: Way, lat: Lattice, w: Weights) -> float:
    parts = {
        "work": lambda i, j: lat.work[i, j] @ w.work,
        "rest": lambda i, j: lat.rest[i, j] @ w.rest,
        "talk": lambda i, j: lat.work[i, j][SHARED] @ w.talk,
    }
    return float(sum(parts[kind](i, j) for kind, i, j in way))


@given(lattices())
@settings(max_examples=120, deadline=None)
def test_the_best_path_is_the_best_of_all(made: tuple[Lattice, Weights]) -> None:
    lat, w = made
    best = max(ways(lat), key=lambda way: score(way, lat, w))
    found = best_path(lat, w)
    # what the pieces leave is talk
    way: list[tuple[str, int, int]] = []
    at = 0
    for piece in (*found, None):
        start = piece.first if piece else len(lat.nodes) - 1
        if start > at:
            way.append(("talk", at, start))
        if piece:
            way.append((piece.kind, piece.first, piece.last))
            at = piece.last
    assert tuple(way) in set(ways(lat))
    assert score(tuple(way), lat, w) == pytest.approx(score(best, lat, w), rel=1e-9, abs=1e-9)


@given(lattices())
@settings(max_examples=120, deadline=None)
def test_probabilities_are_shares_of_all_paths(made: tuple[Lattice, Weights]) -> None:
    lat, w = made
    every = list(ways(lat))
    scores = np.array([score(way, lat, w) for way in every])
    log_z = float(scores.max() + np.log(np.exp(scores - scores.max()).sum()))
    share = np.exp(scores - log_z)
    *found, total = posteriors(lat, w)
    assert total == pytest.approx(log_z, rel=1e-9, abs=1e-9)
    n = len(lat.nodes)
    for kind, p in zip(("work", "rest", "talk"), found, strict=True):
        expected = np.zeros((n, n))
        for way, q in zip(every, share, strict=True):
            for _, i, j in (segment for segment in way if segment[0] == kind):
                expected[i, j] += q
        assert p == pytest.approx(expected, abs=1e-9)


@given(lattices())
@settings(max_examples=60, deadline=None)
def test_every_moment_is_in_one_segment(made: tuple[Lattice, Weights]) -> None:
    lat, w = made
    work, rest, talk, _ = posteriors(lat, w)
    for k in range(len(lat.nodes) - 1):
        across = sum(float(p[: k + 1, k + 1 :].sum()) for p in (work, rest, talk))
        assert across == pytest.approx(1.0)


def flat(nodes: int, work: float, rest: float, talk: float) -> tuple[Lattice, Weights]:
    """Every segment of a kind scores the same."""
    wide = np.zeros((nodes, nodes, len(WORK_FEATURES)), dtype=np.float32)
    wide[..., WORK_FEATURES.index("bias")] = 1.0
    short = np.zeros((nodes, nodes, len(REST_FEATURES)), dtype=np.float32)
    short[..., REST_FEATURES.index("bias")] = 1.0
    weights = Weights(np.zeros(len(WORK_FEATURES)), np.zeros(len(REST_FEATURES)), np.zeros(len(SHARED)))
    weights.work[WORK_FEATURES.index("bias")] = work
    weights.rest[REST_FEATURES.index("bias")] = rest
    weights.talk[0] = talk
    possible = np.triu(np.ones((nodes, nodes), dtype=bool), 1)
    return Lattice(np.arange(nodes), wide, short, possible), weights


def test_no_class_is_a_possible_answer() -> None:
    assert best_path(*flat(6, work=-1.0, rest=-1.0, talk=0.0)) == ()
    work, rest, talk, _ = posteriors(*flat(6, work=-40.0, rest=-40.0, talk=0.0))
    assert talk[0, 5] == pytest.approx(1.0)
    assert work.max() < 1e-9 > rest.max()


def test_where_nothing_is_possible_all_is_talk() -> None:
    lat, w = flat(4, work=5.0, rest=5.0, talk=0.0)
    lat.possible[:] = False
    assert best_path(lat, w) == ()
    assert posteriors(lat, w)[2][0, 3] == pytest.approx(1.0)


def test_rests_stand_between_work() -> None:
    found = best_path(*flat(6, work=0.1, rest=2.0, talk=-1.0))
    assert [p.kind for p in found] == ["work", "rest", "work", "rest", "work"]
    assert all(a.last == b.first for a, b in pairwise(found))


def test_the_shortest_lattice() -> None:
    assert [(p.kind, p.first, p.last) for p in best_path(*flat(2, 1.0, 9.0, 0.0))] == [("work", 0, 1)]
    assert best_path(*flat(2, -1.0, 9.0, 0.0)) == ()
