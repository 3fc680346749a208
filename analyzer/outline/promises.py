"""What listeners were promised: lengths that intervals rest on, rounds, moves, and how far each reaches."""

from __future__ import annotations

from collections.abc import Sequence

from analyzer.hearing.numbers import number_at
from analyzer.outline.choices import Class, Settled
from analyzer.outline.quotes import quote
from analyzer.outline.records import Promise, Scope
from analyzer.words import Word

__all__ = ["promises"]

ROUNDS = frozenset(("rounds", "laps", "circuits", "times"))
MOVES = frozenset(("moves", "exercises", "stations"))
MOST = 20


def promises(c: Class, settled: Sequence[Settled], words: Sequence[Word]) -> tuple[Promise, ...]:
    """Every promise that something in the class rests on, in order of time."""
    if not settled:
        return ()
    found = [(x.word, _length(x.word, x.last, settled, c, words)) for x in c.lengths]
    rows = [(at, p) for at, p in found if p]
    first = settled[0].first
    for i in range(len(c.norms)):
        if (counted := _counted(c, i, words)) and (c.phase[i] == 0 or i < first):
            rows.append((i, counted))
    return tuple(p for _, p in sorted(rows, key=lambda r: r[0]))


def _length(
    word: int, last: int, settled: Sequence[Settled], c: Class, words: Sequence[Word]
) -> Promise | None:
    on = [s for s in settled if s.told_at == word]
    if not on:
        return None
    scope: Scope = "interval" if len(on) == 1 else "class" if c.phase[word] == 0 else "block"
    values = {kind: next((s.announced for s in on if s.kind == kind), None) for kind in ("work", "rest")}
    return Promise(quote(words, word - 3, last + 3), scope, work_s=values["work"], rest_s=values["rest"])


def _counted(c: Class, i: int, words: Sequence[Word]) -> Promise | None:
    """Rounds or moves that are counted: "three rounds", "three times through", "eight moves"."""
    number = number_at(c.norms, i)
    if number is None or number.last >= len(c.norms) or not 2 <= number.value <= MOST:
        return None
    what, after = c.norms[number.last], c.norms[number.last + 1] if number.last + 1 < len(c.norms) else ""
    said = quote(words, i - 2, number.last + 3)
    if what in ROUNDS and (what != "times" or after in ("through", "round", "around")):
        return Promise(said, "class", rounds=int(number.value))
    if what in MOVES:
        return Promise(said, "class", moves=int(number.value))
    return None
