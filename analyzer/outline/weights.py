"""The fitted weights of the outline, read from the language folder."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.captions.records import Timing
from analyzer.outline.choices import LENGTH_FEATURES, NAME_FEATURES, SIDE_FEATURES
from analyzer.outline.decode import Weights
from analyzer.outline.lattice import REST_FEATURES, WORK_FEATURES

__all__ = ["SIZES", "OutlineWeights", "for_timing", "from_json", "weights"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class OutlineWeights:
    """Weights of the first cut, of the second, which knows the lengths of the first, and of the choices."""

    first: Weights
    second: Weights
    work_length: Floats
    rest_length: Floats
    name: Floats
    side: Floats
    work_length_blind: Floats
    """As ``work_length``, without the features that compare it with the actual length."""
    rest_length_blind: Floats


def _lattice(x: list[float]) -> Weights:
    w, r = len(WORK_FEATURES), len(WORK_FEATURES) + len(REST_FEATURES)
    a = np.array(x, dtype=np.float64)
    return Weights(a[:w], a[w:r], a[r:])


SIZES = {
    "work length": LENGTH_FEATURES,
    "rest length": LENGTH_FEATURES,
    "name": NAME_FEATURES,
    "side": SIDE_FEATURES,
    "work length, blind": LENGTH_FEATURES,
    "rest length, blind": LENGTH_FEATURES,
}


def from_json(data: dict[str, Any]) -> dict[str, OutlineWeights]:
    """Weights for "timed" captions and "block" transcripts, from the object that ``hearing.train`` writes.

    Raises ValueError when a list has the wrong length.
    """
    return {key: _one(data[key]) for key in ("timed", "block")}


def _one(data: dict[str, Any]) -> OutlineWeights:
    lists = {k: np.array(data[k], dtype=np.float64) for k in SIZES}
    for key, features in SIZES.items():
        if len(lists[key]) != len(features):
            raise ValueError(f"{key}: {len(lists[key])} weights for {len(features)} features")
    return OutlineWeights(_lattice(data["first"]), _lattice(data["second"]), *(lists[k] for k in SIZES))


@lru_cache(maxsize=1)
def _shipped() -> dict[str, OutlineWeights]:
    text = files("analyzer.language.en").joinpath("tagger/outline.json").read_text(encoding="utf-8")
    return from_json(json.loads(text))


def for_timing(table: dict[str, OutlineWeights], timing: Timing) -> OutlineWeights:
    """Of the weights that ``from_json`` gives, those for a timing."""
    return table["block" if timing == "block" else "timed"]


def weights(timing: Timing) -> OutlineWeights:
    """The weights in force for a timing."""
    return for_timing(_shipped(), timing)
