"""Which told length is an interval's: candidates and their features."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np

from analyzer.outline.choices.records import Class, Floats, Length, Settled

__all__ = ["LENGTH_FEATURES", "blind", "length_options"]

LENGTH_FEATURES = (
    "none",
    "none, said untimed",
    "none, said counted",
    "none, none told yet",
    "role",
    "in the set-up",
    "just after the start",
    "last told",
    "latest of its value",
    "ago",
    "as before",
    "as long as it was",
    "as long, in the set-up",
    "fits the class",
    "unit",
    "shorter than a call",
    "plan of the class",
    "told twice",
    "new part since",
    "none, as before",
    "in the set-up, role",
)


def _agree(a: float, b: float) -> float:
    return 1.0 / (1.0 + ((a - b) / (1.5 + 0.06 * b)) ** 2)


def length_options(
    c: Class, i: Settled, before: Sequence[Settled], heard: Sequence[float]
) -> list[tuple[Length | None, Floats]]:
    """Candidate lengths of an interval, None first, with their features (LENGTH_FEATURES).

    ``before`` are the settled intervals before it, ``heard`` the actual seconds of all intervals of its kind.
    """
    rest = i.kind == "rest"

    def role(x: Length) -> float:
        return x.rest if rest else x.work

    reach = i.first + (25 if rest else 12)
    told = [x for x in c.lengths if x.word <= reach and role(x) > 0.04 and 2 <= x.seconds <= 1800]
    last = next((s for s in reversed(before) if s.kind == i.kind), None)
    latest: dict[float, Length] = {}
    times: dict[float, int] = {}
    for x in told:
        times[x.seconds] = times.get(x.seconds, 0) + 1
        if x.seconds not in latest or role(x) >= 0.5 * role(latest[x.seconds]):
            latest[x.seconds] = x
    strong = [x for x in told if role(x) > 0.5]
    newest = strong[-1].seconds if strong else None
    said = np.exp(c.told[min(i.first, len(c.told) - 1)])
    none = np.zeros(len(LENGTH_FEATURES))
    none[:4] = (1.0, said[1], said[2], float(not strong))
    none[19] = float(last is not None and last.announced is None)
    longest_call = max((v for w, k, v in c.calls if i.first <= w < i.last and k != "fraction"), default=0.0)
    out: list[tuple[Length | None, Floats]] = [(None, none)]
    span = i.setup if not rest else max(i.setup, i.first - 12)
    for x in latest.values():
        ago = i.first - x.word
        local = span <= x.word < i.first
        fit = _agree(i.seconds, x.seconds)
        alike = sum(_agree(h, x.seconds) for h in heard) / max(1, len(heard))
        f = np.zeros(len(LENGTH_FEATURES))
        f[4:21] = (
            role(x),
            float(local),
            float(x.word >= i.first),
            float(x.seconds == newest),
            1.0 if x is told[-1] else 0.0,
            log(1.0 + max(0, ago)) / 5.0,
            float(last is not None and last.announced == x.seconds),
            fit,
            fit * local,
            alike,
            float(x.unit),
            float(longest_call > x.seconds + 1),
            float(c.phase[x.word] == 0),
            min(3, times[x.seconds]) / 3.0,
            float(c.phase[x.word] != c.phase[i.first]),
            0.0,
            role(x) * local,
        )
        out.append((x, f))
    return out


DURATION = tuple(LENGTH_FEATURES.index(f) for f in ("as long as it was", "as long, in the set-up"))
"""Features that compare a told length with the actual one. They help to choose; how sure the choice is, is
judged without them, or every interval that ran long would be doubted because it ran long."""


def blind(f: Floats) -> Floats:
    """Features of a length without those of DURATION."""
    out = f.copy()
    out[..., DURATION] = 0.0
    return out
