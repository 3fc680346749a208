"""The fitted weights of the outline, read from the language folder."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.outline.choices import LENGTH_FEATURES, NAME_FEATURES, SIDE_FEATURES
from analyzer.outline.decode import Weights
from analyzer.outline.lattice import REST_FEATURES, WORK_FEATURES

__all__ = ["OutlineWeights", "Passes", "from_json", "weights"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Passes:
    """Weights of the first cut, and of the second, which knows the lengths that the first one heard."""

    first: Weights
    second: Weights


@dataclass(frozen=True, slots=True)
class OutlineWeights:
    """Weights of the lattice for timed captions and for block transcripts, and of the choices."""

    timed: Passes
    block: Passes
    work_length: Floats
    rest_length: Floats
    name: Floats
    side: Floats


def _lattice(x: list[float]) -> Weights:
    w, r = len(WORK_FEATURES), len(WORK_FEATURES) + len(REST_FEATURES)
    a = np.array(x, dtype=np.float64)
    return Weights(a[:w], a[w:r], a[r:])


def from_json(data: dict[str, Any]) -> OutlineWeights:
    """Weights from the object that ``hearing.train`` writes. Raises ValueError when a list has the wrong length."""
    lists = {k: np.array(data[k], dtype=np.float64) for k in ("work length", "rest length", "name", "side")}
    sizes = {"work length": LENGTH_FEATURES, "rest length": LENGTH_FEATURES, "name": NAME_FEATURES, "side": SIDE_FEATURES}
    for key, features in sizes.items():
        if len(lists[key]) != len(features):
            raise ValueError(f"{key}: {len(lists[key])} weights for {len(features)} features")
    passes = {k: Passes(_lattice(data[k]["first"]), _lattice(data[k]["second"])) for k in ("timed", "block")}
    return OutlineWeights(
        passes["timed"], passes["block"], lists["work length"], lists["rest length"], lists["name"], lists["side"]
    )


@lru_cache(maxsize=1)
def weights() -> OutlineWeights:
    """The weights in force."""
    text = files("analyzer.language.en").joinpath("tagger/outline.json").read_text(encoding="utf-8")
    return from_json(json.loads(text))
