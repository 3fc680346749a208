"""Which side an interval is on: candidates and their features."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analyzer.outline.choices.names import same, stem
from analyzer.outline.choices.records import Class, Floats, Settled

__all__ = ["SIDE_FEATURES", "side_options"]

SIDE_FEATURES = (
    "none",
    "tagger, none",
    "tagger",
    "last said",
    "said, not last",
    "other of the last",
    "other said",
    "same of the last",
    "none, none said",
)


SIDES = ("left", "right")
OTHER = frozenset(["other", "second", "switch", "swap", "change", "opposite"])


def side_options(c: Class, i: Settled, before: Sequence[Settled]) -> list[tuple[str | None, Floats]]:
    """No side, left, right, with their features (SIDE_FEATURES)."""
    works = [s for s in before if s.kind == "work"]
    last = works[-1] if works else None
    window = c.norms[max(i.setup, i.first - 70) : i.first + 6]
    said = [stem(w) if w in ("lefts", "rights") else w for w in window if w in SIDES]
    turned = float(any(w in OTHER for w in window[-30:]))
    p = np.exp(c.side[min(i.first, len(c.side) - 1)])
    none = np.zeros(len(SIDE_FEATURES))
    none[[0, 1, 8]] = (1.0, c.side[min(i.first, len(c.side) - 1)][0], float(not said))
    out: list[tuple[str | None, Floats]] = [(None, none)]
    for k, side in enumerate(SIDES, 1):
        follows = (
            last is not None
            and last.side is not None
            and last.side != side
            and (last.name is None or same(last.name, i.name))
        )
        repeats = last is not None and last.side == side and same(last.name, i.name)
        f = np.zeros(len(SIDE_FEATURES))
        f[2:8] = (
            float(np.log(p[k] + 1e-6)),
            float(bool(said) and said[-1] == side),
            float(side in said and said[-1] != side),
            float(follows),
            float(follows) * turned,
            float(repeats),
        )
        out.append((side, f))
    return out
