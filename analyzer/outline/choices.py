"""What an interval was told to last, what its move is called, which side it is on.

Each is a choice among candidates heard in the class. A candidate has a row of features; its score is their
weighted sum, its probability the softmax over the candidates (a conditional logit). Weights are fitted on
classes (``hearing.train.choices``). Intervals are settled in order of time, since each leans on the one before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
import numpy.typing as npt

from analyzer.hearing.spans import Found

__all__ = [
    "LENGTH_FEATURES", "NAME_FEATURES", "SIDE_FEATURES", "Class", "Length", "Settled", "blind", "length_options",
    "name_options", "same", "settle", "side_options", "tokens", "with_setup",
]

Floats = npt.NDArray[np.float64]

LENGTH_FEATURES = (
    "none", "none, said untimed", "none, said counted", "none, none told yet", "role", "in the set-up", "just after the start", "last told",
    "latest of its value", "ago", "as before", "as long as it was", "as long, in the set-up", "fits the class", "unit",
    "shorter than a call", "plan of the class", "told twice", "new part since", "none, as before", "in the set-up, role",
)
NAME_FEATURES = (
    "p", "in the set-up", "after the start", "near", "first in the set-up", "last in the set-up", "after the intro",
    "as before", "as before, side change", "as before, nothing said", "words", "in the lexicon", "heard before", "as a round ago",
    "far", "one common word", "none",
)
SIDE_FEATURES = ("none", "tagger, none", "tagger", "last said", "said, not last", "other of the last", "other said", "same of the last", "none, none said")


@dataclass(frozen=True, slots=True)
class Length:
    """A length said at words ``word`` to before ``last``, how likely it is that of a work interval or of a rest."""

    word: int
    last: int
    seconds: float
    unit: bool
    work: float
    rest: float


@dataclass(frozen=True, slots=True)
class Class:
    """What the choices look at. Arrays over words; ``names`` are spans that may name a move."""

    norms: tuple[str, ...]
    at_s: Floats
    lengths: tuple[Length, ...]
    names: tuple[Found, ...]
    known: frozenset[tuple[int, int]]
    """Which of ``names`` the move lexicon knows."""
    calls: tuple[tuple[int, str, float], ...]
    told: Floats
    """Log-probabilities that an interval starting here was timed, untimed, counted: (words, 3)."""
    side: Floats
    """Log-probabilities of no side, left, right for an interval starting here: (words, 3)."""
    intro: Floats
    phase: npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Settled:
    """An interval, as far as it is settled. ``first`` and ``last`` are its words; ``setup`` where its set-up starts."""

    kind: str
    first: int
    last: int
    setup: int
    seconds: float
    announced: float | None = None
    told_at: int | None = None
    told_p: float = 0.0
    name: str | None = None
    name_at: int | None = None
    side: str | None = None


def _agree(a: float, b: float) -> float:
    return 1.0 / (1.0 + ((a - b) / (1.5 + 0.06 * b)) ** 2)


def length_options(c: Class, i: Settled, before: Sequence[Settled], heard: Sequence[float]) -> list[tuple[Length | None, Floats]]:
    """Candidate lengths of an interval, None first, with their features (LENGTH_FEATURES).

    ``before`` are the settled intervals before it, ``heard`` the actual seconds of all intervals of its kind.
    """
    rest = i.kind == "rest"
    role = (lambda x: x.rest) if rest else (lambda x: x.work)
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
            role(x), float(local), float(x.word >= i.first), float(x.seconds == newest), 1.0 if x is told[-1] else 0.0,
            log(1.0 + max(0, ago)) / 5.0, float(last is not None and last.announced == x.seconds), fit, fit * local, alike,
            float(x.unit), float(longest_call > x.seconds + 1), float(c.phase[x.word] == 0), min(3, times[x.seconds]) / 3.0,
            float(c.phase[x.word] != c.phase[i.first]), 0.0, role(x) * local,
        )
        out.append((x, f))
    return out


DURATION = tuple(LENGTH_FEATURES.index(f) for f in ("as long as it was", "as long, in the set-up"))
"""Features that compare a told length with the actual one. They help to choose; how sure the choice is is judged
without them, or every interval that ran long would be doubted because it ran long."""


def blind(f: Floats) -> Floats:
    """Features of a length without those of DURATION."""
    out = f.copy()
    out[..., DURATION] = 0.0
    return out


def stem(word: str) -> str:
    """A word without its plural ending."""
    return word[:-2] if word.endswith("es") and len(word) > 4 else word[:-1] if word.endswith("s") and len(word) > 3 else word


SMALL = frozenset("the a an of with and to in on for your my our this that it these those some".split())


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


COMMON = frozenset("round stretch hold one two three left right side press step walk legs arms leg arm".split())


def name_options(c: Class, i: Settled, before: Sequence[Settled], period: int | None) -> list[tuple[tuple[str, int] | None, Floats]]:
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
            log((n.p + 1e-4) / (1.0001 - n.p)) / 4.0, float(n in inside and n.first <= i.first), float(n.first > i.first), 1.0 / (1.0 + abs(i.first - n.first) / 12.0),
            float(bool(inside) and n is inside[0]), float(bool(inside) and n is inside[-1]), float(n.first >= intro - 2),
            float(last is not None and same(text, last.name)), 0.0, 0.0, min(4, len(words)) / 4.0,
            float((n.first, n.last) in c.known), min(3, sum(same(text, h) for h in heard)) / 3.0, float(same(text, ago)),
            float(n.first < i.setup), float(len(words) == 1 and bool(words & COMMON)),
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


SIDES = ("left", "right")
OTHER = frozenset("other second switch swap change opposite".split())


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
        follows = last is not None and last.side is not None and last.side != side and (last.name is None or same(last.name, i.name))
        repeats = last is not None and last.side == side and same(last.name, i.name)
        f = np.zeros(len(SIDE_FEATURES))
        f[2:8] = (
            float(np.log(p[k] + 1e-6)), float(bool(said) and said[-1] == side), float(side in said and said[-1] != side),
            float(follows), float(follows) * turned, float(repeats),
        )
        out.append((side, f))
    return out


def settle(options: Sequence[tuple[object, Floats]], weights: Floats) -> tuple[int, Floats]:
    """Index of the likeliest option, and the probabilities of all."""
    scores = np.stack([f for _, f in options]) @ weights
    e = np.exp(scores - scores.max())
    p = e / e.sum()
    return int(p.argmax()), p


def with_setup(pieces: Sequence[tuple[str, int, int]], at_s: Floats) -> list[Settled]:
    """Intervals from (kind, first word, word past the last); a set-up starts where the work before it stopped."""
    out: list[Settled] = []
    ended = 0
    for kind, first, last in pieces:
        end = at_s[last] if last < len(at_s) else at_s[-1] + 1.0
        out.append(Settled(kind, first, last, ended, float(end - at_s[first])))
        if kind == "work":
            ended = last
    return out

