"""What an interval's move is called: candidates and their features, and when two names are one."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import log

import numpy as np

from analyzer.outline.choices.records import Class, Floats, Settled

__all__ = ["NAME_FEATURES", "name_options", "same", "stem", "tokens"]

NAME_FEATURES = (
    "p",
    "in the set-up",
    "after the start",
    "near",
    "first in the set-up",
    "last in the set-up",
    "after the intro",
    "as before",
    "as before, side change",
    "as before, nothing said",
    "words",
    "in the lexicon",
    "heard before",
    "as a round ago",
    "far",
    "one common word",
    "none",
)


def stem(word: str) -> str:
    """A word without its plural ending, so that "lunges" and "lunge" are one.

    >>> [stem(w) for w in ("lunge", "lunges", "press", "presses", "abs")]
    ['lung', 'lung', 'press', 'press', 'abs']
    """
    return word if len(word) <= 3 else re.sub(r"(?:es|(?<!s)s)$", "", word).rstrip("e")


SMALL = frozenset(
    [
        "the",
        "a",
        "an",
        "of",
        "with",
        "and",
        "to",
        "in",
        "on",
        "for",
        "your",
        "my",
        "our",
        "this",
        "that",
        "it",
        "these",
        "those",
        "some",
    ]
)


def tokens(name: str) -> frozenset[str]:
    """Stemmed words of a name, small words left out."""
    return frozenset(stem(w) for w in name.replace("-", " ").replace("'s", "").split() if w not in SMALL)


def same(a: str | None, b: str | None) -> bool:
    """Whether two names share at least half of the shorter one's words.

    >>> same("dead bugs", "dead bug"), same("side plank", "squat")
    (True, False)
    """
    x, y = tokens(a or ""), tokens(b or "")
    return bool(x and y) and 2 * len(x & y) >= min(len(x), len(y))


COMMON = frozenset(
    [
        "round",
        "stretch",
        "hold",
        "one",
        "two",
        "three",
        "left",
        "right",
        "side",
        "press",
        "step",
        "walk",
        "legs",
        "arms",
        "leg",
        "arm",
    ]
)


def name_options(
    c: Class, i: Settled, before: Sequence[Settled], period: int | None
) -> list[tuple[tuple[str, int] | None, Floats]]:
    """Candidate names with the word they were said at, and their features (NAME_FEATURES); None first."""
    works = [s for s in before if s.kind == "work"]
    last = works[-1] if works else None
    turn = c.side[min(i.first, len(c.side) - 1)].argmax()
    none = np.zeros(len(NAME_FEATURES))
    none[16] = 1.0
    out: list[tuple[tuple[str, int] | None, Floats]] = [(None, none)]
    low = max(0, i.setup - 25, i.first - 260)
    local = [n for n in c.names if low <= n.first <= i.first + 14]
    inside = [n for n in local if n.first >= i.setup]
    gap = c.intro[i.setup : i.first + 1]
    intro = i.setup + int(gap.argmax()) if len(gap) and gap.max() > -1.0 else i.setup
    heard = [s.name for s in works if s.name]
    ago = works[-period].name if period and len(works) >= period else None
    for n in local:
        text = " ".join(c.norms[n.first : n.last])
        words = tokens(text)
        if not words:
            continue
        f = np.zeros(len(NAME_FEATURES))
        f[:16] = (
            log((n.p + 1e-4) / (1.0001 - n.p)) / 4.0,
            float(n in inside and n.first <= i.first),
            float(n.first > i.first),
            1.0 / (1.0 + abs(i.first - n.first) / 12.0),
            float(bool(inside) and n is inside[0]),
            float(bool(inside) and n is inside[-1]),
            float(n.first >= intro - 2),
            float(last is not None and same(text, last.name)),
            0.0,
            0.0,
            min(4, len(words)) / 4.0,
            float((n.first, n.last) in c.known),
            min(3, sum(same(text, h) for h in heard)) / 3.0,
            float(same(text, ago)),
            float(n.first < i.setup),
            float(len(words) == 1 and bool(words & COMMON)),
        )
        out.append(((text, n.first), f))
    for k, name in ((7, last.name if last else None), (13, ago)):
        if name and not any(o and same(o[0], name) for o, _ in out):
            f = np.zeros(len(NAME_FEATURES))
            f[k] = 1.0
            f[12] = min(3, sum(same(name, h) for h in heard)) / 3.0
            if k == 7:
                f[8] = float(turn > 0 and last is not None and last.side is not None)
                f[9] = float(not inside)
            out.append(((name, i.first), f))
    return out
