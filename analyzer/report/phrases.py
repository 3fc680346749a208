"""How the page says numbers, verdicts and kinds. Lengths are said as in the findings."""

from __future__ import annotations

from analyzer.findings.records import Mend
from analyzer.findings.wording import capital, seconds
from analyzer.measures.records import Interval, MeasuredCall, Verdict
from analyzer.measures.verdict import COVERAGE
from analyzer.outline.records import CueKind, PhaseName, Segment

__all__ = [
    "AREAS",
    "CALL_VERDICTS",
    "CUES",
    "MENDS",
    "PHASES",
    "claim",
    "count",
    "drift",
    "give",
    "in_sentence",
    "move_name",
    "number",
    "told",
    "truth",
    "verdict",
]

CUES: dict[CueKind, str] = {
    "regression": "easier option",
    "progression": "harder option",
    "form": "form",
    "breathing": "breathing",
    "safety": "safety",
    "hydration": "water",
}
"""Kinds of cue as the page calls them, in the order of its tables."""
PHASES: dict[PhaseName, str] = {
    "opening": "opening", "warm-up": "warm-up", "main": "main part", "cool-down": "cool-down",
    "close": "close",
}
MENDS: dict[Mend, str] = {
    "edit": "Can be mended in the edit",
    "retake": "Needs another take",
    "either": "Edit or another take",
    "next time": "For next time",
}
CALL_VERDICTS: dict[Verdict, str] = {
    "on time": "right", "long": "came late", "short": "came early", "undecided": "undecided",
    "untimed": "not checked",
}
AREAS: dict[str, str] = {
    **dict.fromkeys(("interval_drift", "rest_drift", "drift_trend", "undecided_intervals"), "lengths"),
    **dict.fromkeys(("short_stretch", "short_warm_up", "short_cool_down"), "lengths"),
    **dict.fromkeys(("no_stop_caution", "no_health_caution", "no_water_break"), "cautions and water"),
    **dict.fromkeys(("no_easier_option", "no_form_cue", "no_breathing_cue"), "cues"),
    **dict.fromkeys(("move_not_named", "start_not_spoken", "stop_not_spoken"), "cues"),
    **dict.fromkeys(("promised_round_missing", "promised_move_missing"), "promises and sides"),
    **dict.fromkeys(("sides_unequal", "side_missing"), "promises and sides"),
    **dict.fromkeys(("no_warm_up", "no_cool_down"), "promises and sides"),
    "time_call_error": "time calls",
    "file_problem": "file",
    "no_intervals": "file",
}
"""What a rule is about, for the filter; a rule that is not here is "other"."""
NAMELESS = "no name heard"
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
            "twelve")


def number(value: int) -> str:
    """A count as a sentence has it: words up to twelve.

    >>> number(5), number(13)
    ('five', '13')
    """
    return _NUMBERS[value] if 0 <= value < len(_NUMBERS) else str(value)


def count(value: int, one: str, many: str | None = None) -> str:
    """Count and noun in words.

    >>> count(1, "thing"), count(3, "thing"), count(2, "is", "are")
    ('one thing', 'three things', 'two are')
    """
    return f"{number(value)} {one if value == 1 else many or one + 's'}"


def drift(value_s: float, sd_s: float) -> str:
    """A drift with its sign, in tenths where the uncertainty allows.

    >>> drift(7.98, 0.1), drift(-8.6, 0.7), drift(0.02, 0.1)
    ('+8 s', '−9 s', '0 s')
    """
    text = seconds(abs(value_s), sd_s)
    return text if text == "0 s" else f"{'+' if value_s > 0 else '−'}{text}"


def give(sd_s: float) -> str:
    """The expanded uncertainty U = 2u, never as small as nothing.

    >>> give(0.07), give(0.01), give(1.3)
    ('± 0.1 s', '± 0.1 s', '± 3 s')
    """
    return f"± {seconds(max(0.1, COVERAGE * sd_s), sd_s)}"


def move_name(segment: Segment, *, short: bool = False) -> str:
    """Move, round and side: ``Goblet squat, round 2``; short: ``goblet squat 2``."""
    if segment.kind == "rest":
        return "rest" if short else "Rest"
    if not short:
        return capital(in_sentence(segment))
    side = {"left": " L", "right": " R", None: ""}[segment.side]
    return f"{segment.exercise or NAMELESS}{side}{f' {segment.round}' if segment.round else ''}"


def in_sentence(segment: Segment) -> str:
    """Move, round and side in the middle of a sentence: ``goblet squat, round 2``."""
    parts = [segment.exercise or NAMELESS, *([f"round {segment.round}"] if segment.round else []),
             *([f"{segment.side} side"] if segment.side else [])]
    return ", ".join(parts)


def told(segment: Segment) -> str:
    """The announced length, or what the interval was counted in."""
    if segment.announced_s is not None:
        return seconds(segment.announced_s)
    return {"time": "no length", "reps": "repetitions", "breaths": "breaths"}[segment.counted]


def verdict(interval: Interval) -> str:
    """The verdict with its size: ``8 s long``."""
    if interval.drift_s is None:
        return "no length told"
    if interval.verdict in ("long", "short"):
        return f"{seconds(abs(interval.drift_s), interval.actual_sd_s)} {interval.verdict}"
    return interval.verdict


def claim(measured: MeasuredCall) -> str:
    """What a time call says: ``20 s gone``, ``10 s left``, ``half gone``."""
    call = measured.call
    if call.kind == "fraction":
        return f"{call.value:.0%} gone"
    return f"{seconds(call.value)} {'gone' if call.kind == 'elapsed' else 'left'}"


def truth(measured: MeasuredCall) -> str:
    """What was true at a time call, in the unit of the call."""
    if measured.actual is None:
        return "in no interval that it can be checked against"
    if measured.call.kind == "fraction":
        return f"{measured.actual:.0%} gone"
    what = "gone" if measured.call.kind == "elapsed" else "left"
    return f"{seconds(measured.actual, measured.error_sd_s or 0.0)} {what}"
