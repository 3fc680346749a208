"""Spans of words from the tagger's flags: cues, time calls and names."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from analyzer.hearing.labels import column

__all__ = ["Found", "found", "lifted", "sigmoid", "thresholds"]


BEGIN = 1.5
"""A logit from which a word cuts a span in two, where the level is higher: cues follow each other closely."""


@dataclass(frozen=True, slots=True)
class Found:
    """Words ``first`` to before ``last`` are a ``kind``, with probability ``p`` (0..1)."""

    kind: str
    first: int
    last: int
    p: float


def sigmoid(x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The probability that a logit stands for."""
    return np.asarray(1.0 / (1.0 + np.exp(-x)))


@lru_cache(maxsize=1)
def thresholds() -> dict[str, float]:
    """The logit from which a word is inside a span of each kind; fitted with the tagger."""
    path = files("analyzer.language.en").joinpath("tagger/thresholds.json")
    return dict(json.loads(path.read_text(encoding="utf-8")))


@lru_cache(maxsize=1)
def _speaking() -> dict[str, tuple[float, int, frozenset[str]]]:
    text = files("analyzer.language.en").joinpath("cue_words.toml").read_text(encoding="utf-8")
    return {k: (v["lift"], v["reach"], frozenset(v["words"])) for k, v in tomllib.loads(text).items()}


def lifted(logits: npt.NDArray[np.floating], norms: Sequence[str]) -> npt.NDArray[np.float64]:
    """``logits`` with the inside flags of cues raised near words that speak for them (``cue_words.toml``)."""
    out = logits.astype(np.float64)
    for kind, (lift, reach, words) in _speaking().items():
        for i, norm in enumerate(norms):
            if norm in words:
                near = slice(max(0, i - reach), i + reach + 1), column(f"in {kind}")
                out[near] = logits[near].astype(np.float64) + lift
    return out


def found(logits: npt.NDArray[np.floating], kind: str, threshold: float | None = None) -> list[Found]:
    """Spans of a kind: runs of words above the threshold, cut where another begins.

    A gap of one word does not break a span.
    """
    level = thresholds()[kind] if threshold is None else threshold
    inside = logits[:, column(f"in {kind}")].astype(np.float64)
    begin = logits[:, column(f"begin {kind}")].astype(np.float64)
    on = inside > level
    if len(on) > 2:
        on[1:-1] |= on[:-2] & on[2:]
    starts = on & np.concatenate(([True], ~on[:-1]))
    # of neighbouring words that seem to begin one, the likeliest does
    peak = np.maximum(np.concatenate(([-99.0], begin[:-1])), np.concatenate((begin[1:], [-99.0])))
    starts |= on & (begin > min(level, BEGIN)) & (begin >= peak)
    edges = np.flatnonzero(starts)
    out = []
    ends = np.flatnonzero(~on)
    for n, first in enumerate(edges):
        gap = ends[np.searchsorted(ends, first)] if len(ends) and first < ends[-1] else len(on)
        last = min(int(gap), int(edges[n + 1]) if n + 1 < len(edges) else len(on))
        surest = float(inside[first:last].max())
        out.append(Found(kind, int(first), last, 1.0 / (1.0 + float(np.exp(level - surest)))))
    return out
