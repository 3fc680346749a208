"""Fits the weights of the outline's lattice on classes the tagger had not seen, by maximum likelihood.

Each class gives one true path of talk, work and rest; the gradient of its log-likelihood is what the path has
of each feature less what the lattice expects (Sarawagi & Cohen 2004). Word-timed and phrase captions share
weights; block transcripts have their own, since they know no pauses.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from analyzer.hearing.labels import CHOICES, FLAGS, column
from analyzer.outline.decode import Weights, posteriors
from analyzer.outline.lattice import REST_FEATURES, WORK_FEATURES, Evidence, Lattice, Rhythm, lattice

__all__ = ["Case", "case", "fit_weights"]

Floats = npt.NDArray[np.float64]
TALK = (0, 5, 6)
SILENT = Rhythm()
"""No interval heard yet."""


@dataclass(frozen=True, slots=True)
class Case:
    """A class's lattice and what its true path has of each feature."""

    lattice: Lattice
    path: Floats


def true_path(labels: npt.NDArray[np.int8]) -> list[tuple[int, int, int]]:
    """(state, first word, one past the last word) of every true segment, talk included."""
    state = labels[:, len(FLAGS) + list(CHOICES).index("state")]
    event = (labels[:, column("start")] + labels[:, column("stop")]) > 0
    cuts = [0, *(i for i in range(1, len(state)) if event[i] or state[i] != state[i - 1]), len(state)]
    return [(int(state[a]), a, b) for a, b in pairwise(cuts)]


def case(e: Evidence, labels: npt.NDArray[np.int8], rhythm: Rhythm = SILENT) -> Case:
    """Lattice and true path; true nodes that were no candidates are put in."""
    path = true_path(labels)
    lat = lattice(e, rhythm, np.array([a for _, a, _ in path], dtype=np.int64))
    where = {int(n): i for i, n in enumerate(lat.nodes)}
    features = np.zeros(len(WORK_FEATURES) + len(REST_FEATURES) + len(TALK))
    w, r = len(WORK_FEATURES), len(WORK_FEATURES) + len(REST_FEATURES)
    for state, a, b in path:
        i, j = where[a], where[b]
        if state == 1:
            lat.possible[i, j] = True
            features[:w] += lat.work[i, j]
        elif state == 2:
            lat.possible[i, j] = True
            features[w:r] += lat.rest[i, j]
        else:
            features[r:] += lat.work[i, j][list(TALK)]
    return Case(lat, features)


def unpack(x: Floats) -> Weights:
    """A flat vector as Weights."""
    w, r = len(WORK_FEATURES), len(WORK_FEATURES) + len(REST_FEATURES)
    return Weights(x[:w], x[w:r], x[r:])


def _loss(x: Floats, cases: Sequence[Case], ridge: float) -> tuple[float, Floats]:
    total, gradient = 0.0, np.zeros_like(x)
    weights = unpack(x)
    for c in cases:
        work, rest, talk, log_z = posteriors(c.lattice, weights)
        expected = np.concatenate((
            np.einsum("ij,ijk->k", work, c.lattice.work), np.einsum("ij,ijk->k", rest, c.lattice.rest),
            np.einsum("ij,ijk->k", talk, c.lattice.work[..., list(TALK)]),
        ))
        total += log_z - float(c.path @ x)
        gradient += expected - c.path
    total += 0.5 * ridge * float(x @ x)
    return total / len(cases), (gradient + ridge * x) / len(cases)


def fit_weights(
    cases: Sequence[Case], *, ridge: float = 1.0, steps: int = 60, start: Floats | None = None
) -> Floats:
    """Weights (flat, see ``unpack``) that make the true paths likeliest."""
    x = start if start is not None else np.zeros(len(WORK_FEATURES) + len(REST_FEATURES) + len(TALK))
    found = minimize(_loss, x, args=(cases, ridge), jac=True, method="L-BFGS-B", options={"maxiter": steps})
    return np.asarray(found.x, dtype=np.float64)
