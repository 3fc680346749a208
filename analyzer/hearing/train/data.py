"""The training set as one file: every class in every form, spoken several times, as words and labels.

Kept apart from training so that a machine with an accelerator needs torch, numpy and tokenizers alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
from tokenizers import Tokenizer

from analyzer.hearing.labels import CHOICES, FLAGS, column
from analyzer.hearing.pieces import Pieces, pieces

__all__ = ["SPEECHES", "Stored", "Variant", "load", "save", "single_lines", "variants"]

SPEECHES: tuple[tuple[str | None, float], ...] = (
    (None, 1.0), ("second", 0.93), ("third", 1.08), ("fourth", 0.87), ("fifth", 1.02),
)
"""Seed and pace of each performance; the first is the one that is scored."""


@dataclass(frozen=True, slots=True)
class Stored:
    """A caption form of a performance: words, pause buckets and labels."""

    name: str
    form: str
    speech: int
    texts: tuple[str, ...]
    buckets: npt.NDArray[np.int64]
    labels: npt.NDArray[np.int8]
    starts_ms: npt.NDArray[np.int32]
    """The likely time of each word."""


@dataclass(frozen=True, slots=True)
class Variant:
    """One performance of a class in one form, as pieces, with a row of labels for each word."""

    name: str
    form: str
    pieces: Pieces
    labels: npt.NDArray[np.int8]
    marks: npt.NDArray[np.bool_]
    """Pieces that are punctuation."""


def _stored(path: Path) -> list[Stored]:
    # the readers are needed only here, not where the file is used
    from analyzer.bench.forms import FORMS
    from analyzer.bench.script import parse
    from analyzer.hearing.pieces import pause_buckets
    from analyzer.hearing.train.examples import example

    out = []
    script = parse(path)
    for number, (seed, pace) in enumerate(SPEECHES):
        for form in FORMS:
            e = example(script, form, seed and f"{script.name} {seed}", pace)
            buckets = pause_buckets(e.words, e.captions.timing)
            starts = np.array([w.span.start_ms for w in e.words], dtype=np.int32)
            out.append(
                Stored(e.name, form, number, tuple(w.text for w in e.words), buckets, e.labels, starts)
            )
    return out


def save(classes: Path, out: Path) -> int:
    """Build the examples of every script in ``classes`` and write them to ``out``; returns their number."""
    with ProcessPoolExecutor() as pool:
        rows = [s for some in pool.map(_stored, sorted(classes.glob("*.class"))) for s in some]
    head = [{"name": s.name, "form": s.form, "speech": s.speech, "texts": " ".join(s.texts)} for s in rows]
    out.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(
        out,
        head=np.frombuffer(json.dumps(head).encode(), dtype=np.uint8),
        buckets=np.concatenate([s.buckets for s in rows]).astype(np.int8),
        labels=np.concatenate([s.labels for s in rows]),
        starts_ms=np.concatenate([s.starts_ms for s in rows]),
    )
    return len(rows)


def load(path: Path) -> Iterator[Stored]:
    """Read what ``save`` wrote."""
    with np.load(path) as file:
        head = json.loads(file["head"].tobytes())
        buckets, labels, starts = file["buckets"], file["labels"], file["starts_ms"]
    at = 0
    for row in head:
        texts = tuple(row["texts"].split(" "))
        span = slice(at, at + len(texts))
        at += len(texts)
        yield Stored(
            row["name"],
            row["form"],
            row["speech"],
            texts,
            buckets[span].astype(np.int64),
            labels[span],
            starts[span],
        )


def single_lines(path: Path, count: int, seed: int = 7) -> list[Stored]:
    """Hand-written single lines, one label each, shuffled into ``count`` texts; only their cues are asked."""
    lines = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    rng = np.random.default_rng(seed)
    out = []
    for number in range(count):
        texts: list[str] = []
        buckets: list[int] = []
        labels: list[npt.NDArray[np.int8]] = []
        for i in rng.permutation(len(lines)):
            words = lines[i]["text"].split()
            rows = np.zeros((len(words), len(FLAGS) + len(CHOICES)), dtype=np.int8)
            rows[:, len(FLAGS) :] = -1
            if (kind := lines[i]["label"]) != "none":
                rows[:, column(f"in {kind}")] = 1
                rows[0, column(f"begin {kind}")] = 1
            texts += words
            buckets += [int(rng.integers(5, 12)), *([3] * (len(words) - 1))]
            labels.append(rows)
        starts = np.zeros(len(texts), dtype=np.int32)
        out.append(
            Stored(
                f"lines {number}", "lines", 0, tuple(texts), np.array(buckets), np.concatenate(labels), starts
            )
        )
    return out


def variants(rows: Iterable[Stored], coder: Tokenizer) -> list[Variant]:
    """The stored rows as pieces."""
    tokens = (coder.id_to_token(i) or "" for i in range(coder.get_vocab_size()))
    is_mark = np.array([not any(c.isalnum() for c in token) for token in tokens])
    out = []
    for row in rows:
        p = pieces(row.texts, row.buckets, coder)
        out.append(Variant(row.name, row.form, p, row.labels, is_mark[p.ids]))
    return out
