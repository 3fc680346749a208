"""Which of two lists of intervals, times or names are the same thing.

Intervals are mappings with ``start_s`` and ``stop_s``; all times are seconds. Every match is one to one.

References
----------
The boundary hit rate is that of mir_eval.segment.detection: a largest matching of boundary times.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

__all__ = [
    "LEAST_OVERLAP",
    "Record",
    "boundaries",
    "boundary_hits",
    "closest",
    "match",
    "match_times",
    "name_tokens",
    "of_kind",
    "overlap",
    "same_name",
]

Record = Mapping[str, Any]

LEAST_OVERLAP = 0.5
"""Intersection over union from which two intervals are one: above it, an interval has one partner at most."""

SMALL_WORDS = frozenset({"the", "a", "of", "with", "and"})


def of_kind(kind: str, records: Iterable[Record]) -> list[Record]:
    """The records that say they are of this kind."""
    return [record for record in records if record.get("kind") == kind]


def overlap(a: Record, b: Record) -> float:
    """Intersection over union of two intervals, 0 to 1.

    >>> round(overlap({"start_s": 0, "stop_s": 40}, {"start_s": 2, "stop_s": 44}), 3)
    0.864
    """
    inter = min(a["stop_s"], b["stop_s"]) - max(a["start_s"], b["start_s"])
    union = max(a["stop_s"], b["stop_s"]) - min(a["start_s"], b["start_s"])
    return float(inter / union) if inter > 0 and union > 0 else 0.0


def match(truths: Sequence[Record], guesses: Sequence[Record]) -> list[tuple[Record, Record]]:
    """Pairs of intervals that overlap by LEAST_OVERLAP or more, best overlap first."""
    scored = ((overlap(t, g), i, j) for i, t in enumerate(truths) for j, g in enumerate(guesses))
    used_t: set[int] = set()
    used_g: set[int] = set()
    pairs: list[tuple[Record, Record]] = []
    for _, i, j in sorted((s for s in scored if s[0] >= LEAST_OVERLAP), reverse=True):
        if i not in used_t and j not in used_g:
            used_t.add(i)
            used_g.add(j)
            pairs.append((truths[i], guesses[j]))
    return pairs


def match_times(truths_s: Sequence[float], guesses_s: Sequence[float], slack_s: float) -> int:
    """How many times have a partner within ``slack_s``, nearest pairs first.

    >>> match_times([10, 20], [13, 16], slack_s=4)
    2
    """
    near = sorted(
        (abs(t - g), i, j)
        for i, t in enumerate(truths_s)
        for j, g in enumerate(guesses_s)
        if abs(t - g) <= slack_s
    )
    used_t: set[int] = set()
    used_g: set[int] = set()
    for _, i, j in near:
        if i not in used_t and j not in used_g:
            used_t.add(i)
            used_g.add(j)
    return len(used_t)


def boundaries(intervals: Iterable[Record]) -> list[float]:
    """Every start and stop, in order; one that ends an interval and starts the next counts once."""
    return sorted({round(float(i[edge]), 3) for i in intervals for edge in ("start_s", "stop_s")})


def boundary_hits(reference_s: Sequence[float], estimate_s: Sequence[float], within_s: float) -> int:
    """Size of the largest matching of two sorted lists of times, each pair at most ``within_s`` apart.

    One walk along both lists is enough: the earliest time with any partner loses nothing by taking the
    earliest partner left.

    >>> boundary_hits([0, 20, 30, 50, 60], [0, 20.4, 31.2, 50, 60], 0.5)
    4
    """
    hits = i = j = 0
    while i < len(reference_s) and j < len(estimate_s):
        apart = estimate_s[j] - reference_s[i]
        if abs(apart) <= within_s:
            hits, i, j = hits + 1, i + 1, j + 1
        elif apart < 0:
            j += 1
        else:
            i += 1
    return hits


def name_tokens(name: str | None) -> frozenset[str]:
    """The words of a move's name, without plural endings and small words.

    The endings are cut off bluntly: "squats" meets "squat", but "lunges" (lung) does not meet "lunge", nor
    "presses" (press) "press" (pres).

    >>> sorted(name_tokens("Squats with a reach"))
    ['reach', 'squat']
    """
    words = re.findall(r"[a-z]+", (name or "").lower())
    return frozenset(re.sub(r"(es|s)$", "", word) for word in words) - SMALL_WORDS


def same_name(a: str | None, b: str | None) -> bool:
    """True when the names share at least half the words of the shorter one.

    >>> same_name("reverse lunges", "lunges"), same_name("squats", "plank"), same_name("squats", None)
    (True, False, False)
    """
    x, y = name_tokens(a), name_tokens(b)
    return bool(x and y) and len(x & y) / min(len(x), len(y)) >= 0.5


def closest(name: str | None, names: Iterable[frozenset[str]]) -> frozenset[str] | None:
    """Of ``names`` (as tokens) the one most like ``name``; None where they share no word."""
    tokens = name_tokens(name)
    best = max(names, key=lambda n: len(n & tokens) / len(n | tokens) if n | tokens else 0.0, default=None)
    return best if best is not None and best & tokens else None
