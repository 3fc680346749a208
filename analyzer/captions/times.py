"""Times as caption files write them, rightly and wrongly.

All results are whole milliseconds. Digits are ASCII and at most ten in a field, so that no line of a broken
file can become a number too large to handle.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = ["Timing", "is_number", "milliseconds", "read_timing"]

_FIELD = "[0-9]{1,10}"
_TIME = rf"-?(?:{_FIELD} ?: ?){{0,2}}{_FIELD}(?: ?[.,] ?[0-9]{{1,9}}|:[0-9]{{3}})?"
_BLANK = r"[ \t\f\v]*"
_ARROW = "-{1,3}>|-- >|[–—]>?"
_TIMING = re.compile(rf"{_BLANK}({_TIME}){_BLANK}({_ARROW}){_BLANK}({_TIME})(?:[ \t\f\v]+(.*))?")
_ONE_TIME = re.compile(rf"{_BLANK}((?:{_FIELD}:){{1,2}}{_FIELD}(?:[.,][0-9]{{1,9}})?)(?![0-9:.,])")
_COLON_FRACTION = re.compile("(.*:[0-9]+:[0-9]+):([0-9]{3})")
_LIKE_A_TIME = re.compile("[0-9] ?[:.,][0-9]|[0-9] ?-->|--> ?[0-9]")
_SETTING = re.compile("[A-Za-z][A-Za-z0-9-]*:[^ ]*")
_NUMBER = re.compile(r"[ \t]*[0-9]{1,9}[ \t]*")


@dataclass(frozen=True, slots=True)
class Timing:
    """A timing line at ``index`` (0-based); ``raw`` is the line. A time that cannot be read is None.

    ``odd_time`` is the first time that breaks the format's rules, ``odd_arrow`` what stands between the times
    if it is not the arrow, ``text`` the words that follow on the same line.
    """

    index: int
    raw: str
    start_ms: int | None = None
    end_ms: int | None = None
    odd_time: str = ""
    odd_arrow: str = ""
    text: str = ""


def is_number(line: str) -> bool:
    """Whether a line holds one whole number and nothing else."""
    return _NUMBER.fullmatch(line) is not None


def milliseconds(time: str) -> int:
    """A loosely written time in milliseconds; fields of 60 and more simply add up, below zero is zero.

    >>> milliseconds("00:02:26,407"), milliseconds("75:00"), milliseconds("1:02:03.5")
    (146407, 4500000, 3723500)
    """
    if time.startswith("-"):
        return 0
    time = time.replace(" ", "").replace(",", ".")
    by_colon = _COLON_FRACTION.fullmatch(time)
    head, fraction = by_colon.groups() if by_colon else time.partition(".")[::2]
    seconds = 0
    for part in head.split(":"):
        seconds = seconds * 60 + int(part)
    return seconds * 1000 + int(fraction.ljust(3, "0")[:3])


def read_timing(index: int, line: str, time: re.Pattern[str]) -> Timing | None:
    """The timing on a line; ``time`` matches a time that keeps to the rules. None when the line is text."""
    if not ("->" in line or "-- >" in line or "–" in line or "—" in line):
        return None
    match = _TIMING.fullmatch(line)
    # without the arrow it takes two full times to make a timing: "1 – 2" and "10-15 reps" are words
    if match is None or (match[2] != "-->" and not (":" in match[1] and ":" in match[3])):
        return _broken(index, line)
    start, arrow, end, rest = match.groups()
    words = "" if rest is None or all(_SETTING.fullmatch(w) for w in rest.split()) else rest.strip()
    return Timing(
        index,
        line.strip(),
        milliseconds(start),
        milliseconds(end),
        odd_time=next((t for t in (start, end) if not time.fullmatch(t)), ""),
        odd_arrow=arrow if arrow != "-->" else "a vertical tab" if "\v" in line else "",
        text=words,
    )


def _broken(index: int, line: str) -> Timing | None:
    """A line that has the arrow and something like a time, but not two times."""
    left, arrow, right = line.partition("-->")
    if not arrow or not _LIKE_A_TIME.search(line):
        return None
    first, last = (_ONE_TIME.match(side) for side in (left, right))
    start_ms = milliseconds(first[1]) if first else None
    end_ms = milliseconds(last[1]) if last else None
    return Timing(index, line.strip(), start_ms, end_ms, odd_time=line.strip())
