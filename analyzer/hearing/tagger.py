"""The trained tagger at run time: words and pauses in, a row of logits for each word out.

A small ONNX file with int8 weights (see the model card beside it), run by onnxruntime on float32. It sees
windows of ``WINDOW`` pieces that overlap; each word's scores are averaged with most weight where it stands in
the middle. The file is checked by its SHA-256 and holds standard operators only: loading it runs no code.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.errors import AnalyzerError
from analyzer.hearing.labels import WIDTH
from analyzer.hearing.pieces import Pieces

__all__ = ["BATCH", "OVERLAP", "WINDOW", "logits"]

WINDOW, OVERLAP, BATCH = 320, 128, 4
"""Pieces in a window, pieces shared by neighbours, windows at a time. Threads: onnxruntime's default."""
CLASS_TOKEN = "[CLS]"


@lru_cache(maxsize=1)
def _session() -> Any:
    import onnxruntime

    folder = files("analyzer.language.en").joinpath("tagger")
    blob = folder.joinpath("tagger.onnx").read_bytes()
    wanted = folder.joinpath("tagger.sha256").read_text(encoding="ascii").split()[0]
    if hashlib.sha256(blob).hexdigest() != wanted:
        raise AnalyzerError(
            what="the trained tagger in this installation is damaged (its SHA-256 differs)",
            todo="install the program again",
        )
    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(blob, options, providers=["CPUExecutionProvider"])


def _starts(total: int) -> list[int]:
    room = WINDOW - 1
    if total <= room:
        return [0]
    return sorted({*range(0, total - room, room - OVERLAP), total - room})


def logits(p: Pieces, class_id: int) -> npt.NDArray[np.float32]:
    """Scores of every word, shape (words, WIDTH); see ``labels`` for the columns."""
    total, room = len(p.ids), WINDOW - 1
    if not total:
        return np.zeros((0, WIDTH), dtype=np.float32)
    starts = _starts(total)
    summed, weights = np.zeros((total, WIDTH)), np.zeros((total, 1))
    for k in range(0, len(starts), BATCH):
        chunk = starts[k : k + BATCH]
        width = min(total, room) + 1
        ids = np.full((len(chunk), width), class_id, dtype=np.int64)
        pause = np.zeros_like(ids)
        for row, a in enumerate(chunk):
            ids[row, 1:], pause[row, 1:] = p.ids[a : a + room], p.pause[a : a + room]
        mask = np.ones(ids.shape, dtype=np.float32)
        (scores,) = _session().run(None, {"ids": ids, "pause": pause, "mask": mask})
        near = np.minimum(np.arange(width - 1) + 1.0, width - 1 - np.arange(width - 1))[:, None]
        for row, a in enumerate(chunk):
            summed[a : a + room] += scores[row, 1:] * near
            weights[a : a + room] += near
    return np.asarray((summed / weights)[p.first], dtype=np.float32)
