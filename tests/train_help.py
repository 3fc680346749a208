"""A small scripted class and perfect scores, for the tests of training."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt

from analyzer.bench.script import Script, parse
from analyzer.hearing.labels import CHOICES, FLAGS, WIDTH, columns
from analyzer.hearing.train.data import Stored
from analyzer.hearing.train.examples import example

CLASS = """\
title: Small
syllables_per_second: 4.0
---
+0 | [[phase opening]] Welcome, two moves today. {{safety: Stop if anything hurts.}}
+1 | [[phase main]] [[intro "goblet squats"]] Goblet squats, forty seconds.
+0 | Three, two, one, [[work 40 "goblet squats"]] go.
@8 | {{form: Chest up.}} {{form: Knees out.}}
@30 | {{call remaining 10: Ten to go.}}
@40 | And [[end]] [[rest 20]] rest, twenty seconds. [[intro "side plank"]] Next the side plank, thirty.
@20 | And [[work 30 "side plank" side=left]] go. {{breathing: Breathe out.}}
@30 | And [[end]] stop.
+4 | Other side, [[work 30 "side plank" side=right]] go.
@30 | [[end]] Done.
+3 | Ten times, [[work reps "goblet squats"]] go.
@20 | [[end]] Good.
+2 | [[phase close]] {{hydration: Have some water.}} Bye.
"""


def script(folder: Path, text: str = CLASS) -> Script:
    path = folder / "small.class"
    path.write_text(text, encoding="utf-8")
    return parse(path)


def stored(made: Script, form: str = "phrases.srt") -> Stored:
    """The class in a form, as training stores it."""
    e = example(made, form)
    starts = np.array([w.span.start_ms for w in e.words], dtype=np.int32)
    buckets = np.zeros(len(e.words), dtype=np.int64)
    return Stored(e.name, form, 0, tuple(w.text for w in e.words), buckets, e.labels, starts)


def perfect(labels: npt.NDArray[np.int8], sure: float = 6.0) -> npt.NDArray[np.float32]:
    """The scores of a tagger that is right about every word; a choice not asked gets the first answer."""
    out = np.zeros((len(labels), WIDTH), dtype=np.float32)
    out[:, : len(FLAGS)] = np.where(labels[:, : len(FLAGS)] > 0, sure, -sure)
    for n, name in enumerate(CHOICES):
        answers = np.maximum(labels[:, len(FLAGS) + n], 0)
        out[:, columns(name)] = -sure
        out[np.arange(len(labels)), columns(name).start + answers] = sure
    return out
