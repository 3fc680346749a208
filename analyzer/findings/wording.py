"""How findings say numbers, names and lists."""

from __future__ import annotations

from collections.abc import Sequence

from analyzer.outline.records import Segment
from analyzer.spans import clock

__all__ = ["capital", "label", "listing", "places", "plural", "seconds"]

MOST = 8
"""Names or times listed before "and 3 more"."""


def seconds(value: float, sd: float = 0.0) -> str:
    """A length for reading: tenths where the uncertainty allows, minutes from two on.

    >>> seconds(46.1), seconds(40.0), seconds(46.13, sd=0.7), seconds(185)
    ('46.1 s', '40 s', '46 s', '3 min 5 s')
    """
    if abs(value) >= 120:
        minutes, left = divmod(round(abs(value)), 60)
        return f"{minutes} min {left} s" if left else f"{minutes} min"
    # an expanded uncertainty of a second or more leaves no tenths to speak of
    return f"{round(value)} s" if 2 * sd >= 1 else f"{round(value, 1):g} s"


def capital(text: str) -> str:
    """First letter upper case, the rest as it is.

    >>> capital("T-stand"), capital("child's pose")
    ('T-stand', "Child's pose")
    """
    return text[:1].upper() + text[1:]


def plural(count: int, word: str) -> str:
    """Count and word: ``1 move``, ``3 moves``."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def listing(items: Sequence[str], most: int = MOST) -> str:
    """A list as in a sentence, cut after ``most``.

    >>> listing(["a"]), listing(["a", "b", "c"]), listing(["a", "b", "c"], most=1)
    ('a', 'a, b and c', 'a and 2 more')
    """
    if len(items) > most:
        items = [*items[:most], f"{len(items) - most} more"]
    return " and ".join([", ".join(items[:-1]), items[-1]]) if len(items) > 1 else "".join(items)


def places(times_ms: Sequence[int]) -> str:
    """Clock times as a list."""
    return listing([clock(t) for t in times_ms])


def label(segment: Segment, before: Segment | None = None) -> str:
    """An interval as a person calls it: move, round, side, time; ``before`` is the work before a rest."""
    if segment.kind == "rest":
        name = f"the rest after {before.exercise}" if before and before.exercise else "the rest"
        number, side = before.round if before else None, None
    else:
        name, number, side = segment.exercise or "the interval", segment.round, segment.side
    parts = [name, *([f"round {number}"] if number else []), *([f"{side} side"] if side else [])]
    return f"{capital(', '.join(parts))} ({clock(segment.start.at_ms)})"
