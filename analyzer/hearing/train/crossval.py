"""Cross-validation by class, in folds that keep similar classes together, and the scores of its tagger.

Every class is tagged by a network that saw neither it nor any class of its group. The logits are kept
(``LeftOut``), so that everything after the tagger is fitted and judged on them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from analyzer.hearing.labels import CHOICES, FLAGS, SPANS, column, columns
from analyzer.hearing.train.data import Stored

__all__ = ["LeftOut", "read_logits", "span_table", "write_logits"]

Floats = npt.NDArray[np.float32]
LeftOut = dict[tuple[str, str], Floats]
"""Logits of a class in a form, by a tagger that never saw it: (words, WIDTH)."""
SCALE = 6.0


def write_logits(path: Path, logits: LeftOut) -> None:
    """Store logits to about 0.1, in a sixth of their size."""
    arrays = {
        f"{n}|{f}": np.clip(np.round(x * SCALE), -127, 127).astype(np.int8) for (n, f), x in logits.items()
    }
    np.savez_compressed(path, **arrays)  # type: ignore[arg-type]


def read_logits(paths: Iterable[Path]) -> LeftOut:
    """What ``write_logits`` stored, from one file or several."""
    out: LeftOut = {}
    for path in paths:
        with np.load(path) as file:
            for key in file.files:
                name, _, form = key.partition("|")
                out[name, form] = file[key].astype(np.float32) / SCALE
    return out


def runs(inside: npt.NDArray[np.bool_], begin: npt.NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """Spans of words: each run of ``inside``, cut where one begins."""
    start = None
    for i, flag in enumerate(inside):
        if start is not None and (not flag or begin[i]):
            yield start, i
            start = None
        if flag and start is None:
            start = i
    if start is not None:
        yield start, len(inside)


def span_table(rows: Sequence[Stored], logits: LeftOut, threshold: float = 0.0) -> dict[str, float]:
    """F1 of each kind of span (a guess counts when it touches a true one) and of exact event words."""
    counts = {k: np.zeros(3) for k in (*SPANS, "start", "stop", "intro", "rest")}
    right: dict[str, list[float]] = {k: [] for k in CHOICES}
    for row in rows:
        score = logits[row.name, row.form]
        for kind in SPANS:
            i, b = column(f"in {kind}"), column(f"begin {kind}")
            true = list(runs(row.labels[:, i] > 0, row.labels[:, b] > 0))
            guess = list(runs(score[:, i] > threshold, score[:, b] > threshold))
            hit = sum(any(a < d and c < e for c, d in true) for a, e in guess)
            found = sum(any(a < d and c < e for a, e in guess) for c, d in true)
            counts[kind] += (len(true), len(guess), min(hit, found))
        for kind in ("start", "stop", "intro", "rest"):
            t, g = row.labels[:, column(kind)] > 0, score[:, column(kind)] > 1.0
            counts[kind] += (t.sum(), g.sum(), (t & g).sum())
        for n, name in enumerate(CHOICES):
            answer = row.labels[:, len(FLAGS) + n]
            asked = answer >= 0
            if asked.any():
                right[name].extend((score[asked][:, columns(name)].argmax(axis=1) == answer[asked]).tolist())
    table = {k: 2 * c[2] / max(1.0, c[0] + c[1]) for k, c in counts.items()}
    table |= {k: float(np.mean(v)) for k, v in right.items()}
    return {k: round(float(v), 3) for k, v in table.items()}
