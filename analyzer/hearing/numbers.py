"""Numbers and lengths as they are spoken: "forty-five", "a minute fifteen", "three quarters of a minute".

Pure functions over normalised words (lower case, no punctuation at the ends; see ``words.normal``). What is
English stands in ``language/en/numbers.toml``. Lengths are seconds. A bare number ("give me forty") may or
may not be a length: it comes out with ``unit`` False, and the tagger judges what it is.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

__all__ = ["Length", "Number", "lengths", "number_at", "tables"]

LONGEST_S = 7200
CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
WITH_UNIT = re.compile(r"(\d+(?:\.\d+)?)-?(s|sec|secs|seconds?|m|min|mins|minutes?)")
PAIR = re.compile(r"(\d{1,3})[/-](\d{1,3})")


@dataclass(frozen=True, slots=True)
class Number:
    """A number at words ``first`` to before ``last``."""

    first: int
    last: int
    value: float


@dataclass(frozen=True, slots=True)
class Length:
    """A length of time at words ``first`` to before ``last``; ``unit`` says whether a unit was said."""

    first: int
    last: int
    seconds: float
    unit: bool


@lru_cache(maxsize=1)
def tables() -> dict[str, Any]:
    """What ``language/en/numbers.toml`` says."""
    text = files("analyzer.language.en").joinpath("numbers.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def number_at(norms: Sequence[str], i: int) -> Number | None:
    """The number that starts at word ``i``, if one does: digits, or words up to 999.

    >>> number_at(["one", "hundred", "and", "twenty"], 0)
    Number(first=0, last=4, value=120)
    >>> number_at(["forty", "five"], 0), number_at(["twenty-five"], 0), number_at(["go"], 0)
    (Number(first=0, last=2, value=45), Number(first=0, last=1, value=25), None)
    """
    word = norms[i]
    if word.isascii() and word.isdigit() and len(word) < 6:
        return Number(i, i + 1, int(word))
    if re.fullmatch(r"\d{1,3}\.\d", word):
        return Number(i, i + 1, float(word))
    table = tables()
    if word in ("hundred",) or (word in ("a", "one") and i + 1 < len(norms) and norms[i + 1] == "hundred"):
        return _after_hundred(norms, i if word == "hundred" else i + 1, i, 1)
    below = _below_hundred(norms, i, table)
    if below and below.last < len(norms) and norms[below.last] == "hundred" and below.value < 10:
        return _after_hundred(norms, below.last, i, int(below.value))
    return below


def _below_hundred(norms: Sequence[str], i: int, table: dict[str, Any]) -> Number | None:
    tens, _, ones = re.sub(r"-?(ish|odd)$", "", norms[i]).partition("-")
    if norms[i] in table["plural"]:
        return Number(i, i + 1, table["plural"][norms[i]])
    if tens in table["tens"]:
        value = table["tens"][tens]
        if ones in table["ones"] and ones != "zero":
            return Number(i, i + 1, value + table["ones"][ones])
        if not ones:
            after, then = (norms[k] if k < len(norms) else "" for k in (i + 1, i + 2))
            # "forty five" is one number; "forty, five more" is not seen apart: the pause tells the tagger.
            # "one" after tens is a pronoun or a count far more often ("thirty, one more"), and "forty, three,
            # two, one" counts in
            if after in table["ones"] and after not in ("zero", "one") and not _counts_down(after, then):
                return Number(i, i + 2, value + table["ones"][after])
            return Number(i, i + 1, value)
        return None
    for row in ("ones", "teens"):
        if tens in table[row] and not ones:
            return Number(i, i + 1, table[row][tens])
    return None


def _counts_down(word: str, then: str) -> bool:
    ones = tables()["ones"]
    return then in ones and ones[then] == ones[word] - 1


def _after_hundred(norms: Sequence[str], at: int, first: int, hundreds: int) -> Number:
    follow = at + 1
    if follow + 1 < len(norms) and norms[follow] == "and":
        follow += 1
    rest = _below_hundred(norms, follow, tables()) if follow < len(norms) else None
    if rest:
        return Number(first, rest.last, 100 * hundreds + rest.value)
    return Number(first, at + 1, 100 * hundreds)


def lengths(norms: Sequence[str]) -> tuple[Length, ...]:
    """Every length above zero in the words, left to right, without overlaps.

    >>> [x.seconds for x in lengths("forty on twenty off for a minute fifteen".split())]
    [40, 20, 75]
    >>> [x.seconds for x in lengths("three quarters of a minute then half a minute a side".split())]
    [45.0, 30.0]
    >>> [(x.seconds, x.unit) for x in lengths("1:30 then 45s 40/20 and two and a half minutes".split())]
    [(90, True), (45.0, True), (40, False), (20, False), (150.0, True)]
    """
    return tuple(x for x in _scan(norms) if x.seconds > 0)


def _scan(norms: Sequence[str]) -> Iterator[Length]:
    i = 0
    while i < len(norms):
        found = next((hit for rule in RULES if (hit := rule(norms, i))), None)
        if found:
            yield from found
            i = found[-1].last
        else:
            i += 1


def _written(norms: Sequence[str], i: int) -> list[Length] | None:
    word = norms[i]
    if not word or not any(c.isdigit() for c in word):
        return None
    if m := CLOCK.fullmatch(word):
        return [Length(i, i + 1, int(m[1]) * 60 + int(m[2]), True)]
    if m := WITH_UNIT.fullmatch(word):
        return [Length(i, i + 1, float(m[1]) * tables()["units"][m[2]], True)]
    if m := PAIR.fullmatch(word):
        return [Length(i, i + 1, int(m[1]), False), Length(i, i + 1, int(m[2]), False)]
    return None


def _hyphenated(norms: Sequence[str], i: int) -> list[Length] | None:
    """"thirty-second", "two-minute", "half-minute", as before a noun."""
    count, _, unit_word = norms[i].rpartition("-")
    unit = tables()["units"].get(unit_word)
    if not count or unit is None:
        return None
    number = number_at([count], 0)
    value = number.value if number else tables()["parts"].get(count)
    return [Length(i, i + 1, value * unit, True)] if value else None


def _unit_at(norms: Sequence[str], i: int) -> float | None:
    return tables()["units"].get(norms[i]) if i < len(norms) else None


def _part_of_unit(norms: Sequence[str], i: int) -> list[Length] | None:
    """"half a minute", "three quarters of a minute", "a quarter minute"; "the third minute" is none."""
    table = tables()
    j, count = i, 1.0
    if norms[j] in ("a", "one"):
        j += 1
    elif (
        norms[j] in table["ones"] and j + 1 < len(norms) and norms[j + 1] in ("quarters", "thirds", "halves")
    ):
        count = table["ones"][norms[j]]
        j += 1
    if j >= len(norms) or norms[j] not in table["parts"]:
        return None
    part, ordinal = table["parts"][norms[j]] * count, norms[j] == "third"
    j += 1
    while j < len(norms) and norms[j] in ("of", "a", "an", "the", "one"):
        j, ordinal = j + 1, False
    unit = _unit_at(norms, j)
    if unit is None or unit < 60 or ordinal:
        return None
    return [Length(i, j + 1, round(part * unit, 1), True)]


def _counted_unit(norms: Sequence[str], i: int) -> list[Length] | None:
    """"forty seconds", "a minute and a half", "a minute fifteen", "two and a half minutes"."""
    if (
        norms[i] in ("a", "an", "the", "another", "full", "whole")
        and (unit := _unit_at(norms, i + 1))
        and unit >= 60
    ):
        return [_with_tail(norms, i, i + 2, unit, unit)]
    number = number_at(norms, i)
    if number is None:
        return None
    j, value = number.last, number.value
    if list(norms[j : j + 3]) in (["and", "a", "half"],):
        j, value = j + 3, value + 0.5
    elif list(norms[j : j + 3]) in (["and", "a", "quarter"],):
        j, value = j + 3, value + 0.25
    skipped = j + 1 if j < len(norms) and norms[j] in ("full", "whole", "more", "little", "good") else j
    unit = _unit_at(norms, skipped)
    if unit is None:
        return None
    return [
        _with_tail(norms, i, skipped + 1, value * unit, unit)
        if unit >= 60
        else Length(i, skipped + 1, value, True)
    ]


def _with_tail(norms: Sequence[str], first: int, j: int, seconds: float, unit: float) -> Length:
    """What may follow "a minute" or "an hour": "and a half", "and a quarter", "ten", "and ten seconds"."""
    table = tables()
    k = j + 1 if j < len(norms) and norms[j] == "and" else j
    if (
        k < len(norms)
        and norms[k] == "a"
        and k + 1 < len(norms)
        and norms[k + 1] in ("half", "quarter")
        and k > j
    ):
        return Length(first, k + 2, seconds + unit * table["parts"][norms[k + 1]], True)
    tail = number_at(norms, k) if k < len(norms) else None
    if tail and 5 <= tail.value < 60:
        follows = _unit_at(norms, tail.last)
        part = tail.value * (unit // 60)
        if follows == unit // 60:
            return Length(first, tail.last + 1, seconds + part, True)
        if follows is None and tail.value % 5 == 0:
            return Length(first, tail.last, seconds + part, True)
    return Length(first, j, seconds, True)


def _bare(norms: Sequence[str], i: int) -> list[Length] | None:
    number = number_at(norms, i)
    if number is None or not 1 <= number.value <= LONGEST_S:
        return None
    return [Length(i, number.last, number.value, False)]


def _lone_unit(norms: Sequence[str], i: int) -> list[Length] | None:
    """"last minute", "minute gone", "your minute", "minute and a half"."""
    unit = _unit_at(norms, i)
    return [_with_tail(norms, i, i + 1, 60, 60)] if unit == 60 and norms[i] in ("minute", "min") else None


RULES = (_written, _hyphenated, _part_of_unit, _counted_unit, _lone_unit, _bare)
