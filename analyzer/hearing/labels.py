"""What the tagger says of every word: the layout of its scores.

Each word gets one row of ``WIDTH`` logits. ``FLAGS`` are independent yes/no questions; each of ``CHOICES`` is
one question with several answers. Spans have two flags, "inside" and "begin", so that two cues of a kind that
follow each other stay two.
"""

from __future__ import annotations

from analyzer.outline.records import CUE_KINDS

__all__ = ["CALLS", "CHOICES", "EVENTS", "FLAGS", "SPANS", "WIDTH", "column", "columns"]

CALLS = ("elapsed", "remaining", "fraction")
SPANS = (*CUE_KINDS, *CALLS, "name")
EVENTS = ("start", "stop", "rest", "intro")
FLAGS = (*(f"in {s}" for s in SPANS), *(f"begin {s}" for s in SPANS), *EVENTS)
CHOICES: dict[str, tuple[str, ...]] = {
    "state": ("talk", "work", "rest"),
    "phase": ("opening", "warm-up", "main", "cool-down", "close"),
    "told": ("timed", "untimed", "reps"),
    "side": ("none", "left", "right"),
    "role": ("other", "work", "rest"),
}
"""``told`` and ``side`` are asked of the word an interval starts on, ``role`` of a number's first word."""

_STARTS: dict[str, int] = {}
_next = len(FLAGS)
for _name, _answers in CHOICES.items():
    _STARTS[_name] = _next
    _next += len(_answers)
WIDTH = _next


def column(flag: str) -> int:
    """Column of a flag.

    >>> column("in regression"), column("intro") == len(FLAGS) - 1
    (0, True)
    """
    return FLAGS.index(flag)


def columns(choice: str) -> slice:
    """Columns of a choice's answers."""
    return slice(_STARTS[choice], _STARTS[choice] + len(CHOICES[choice]))
