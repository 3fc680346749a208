"""Words as the tagger reads them: word pieces, and the pause before each word.

The pause is a bucket, because what matters is its kind: none, a breath, a sentence end, people working in
silence. Inside a caption of several seconds nothing is known of it, and the bucket says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt
from tokenizers import Tokenizer

from analyzer.captions.records import Timing
from analyzer.words import Word

__all__ = [
    "CONTINUED", "EDGES_MS", "INSIDE", "PAUSES", "UNKNOWN", "Pieces", "pause_buckets", "pieces", "tokenizer",
]

Ints = npt.NDArray[np.int64]

EDGES_MS = (60, 250, 450, 800, 1_200, 2_000, 3_000, 4_500, 7_000, 11_000, 18_000)
CONTINUED, UNKNOWN, INSIDE = 0, 1, 2
PAUSES = 3 + len(EDGES_MS) + 1
"""Buckets: a later piece of a word, a pause not known, inside a caption, then one between two edges."""


@dataclass(frozen=True, slots=True)
class Pieces:
    """``ids`` and ``pause`` for each piece; ``first`` is the index of each word's first piece. int64."""

    ids: Ints
    pause: Ints
    first: Ints


@lru_cache(maxsize=1)
def tokenizer() -> Tokenizer:
    """The tagger's word pieces; read from the package, no code in it is run."""
    text = files("analyzer.language.en").joinpath("tagger/tokenizer.json").read_text(encoding="utf-8")
    return Tokenizer.from_str(text)


def pause_buckets(words: Sequence[Word], timing: Timing) -> Ints:
    """The bucket of the pause before each word, shape (len(words),)."""
    if not words:
        return np.zeros(0, dtype=np.int64)
    if timing == "block":
        return np.full(len(words), UNKNOWN, dtype=np.int64)
    starts = np.array([w.span.start_ms for w in words])
    ends = np.array([w.span.end_ms for w in words])
    gaps = np.concatenate(([1_000], starts[1:] - ends[:-1]))
    buckets = 3 + np.searchsorted(EDGES_MS, gaps, side="right")
    if timing == "phrase":
        caption = np.array([w.caption for w in words])
        inside = np.concatenate(([False], caption[1:] == caption[:-1]))
        buckets = np.where(inside, INSIDE, buckets)
    return buckets.astype(np.int64)


def pieces(texts: Sequence[str], buckets: Ints, coder: Tokenizer) -> Pieces:
    """Pieces of ``texts`` with the pause of each word on its first piece."""
    encoding = coder.encode(list(texts), is_pretokenized=True, add_special_tokens=False)
    flat = np.array(encoding.ids, dtype=np.int64)
    owner = np.array(encoding.word_ids, dtype=np.int64)
    first = np.searchsorted(owner, np.arange(len(texts))).astype(np.int64)
    pause = np.full(len(flat), CONTINUED, dtype=np.int64)
    pause[first] = buckets
    return Pieces(flat, pause, first)
