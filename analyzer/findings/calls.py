"""Time calls: which spoken time was not the time on the clock."""

from __future__ import annotations

from collections.abc import Iterator

from analyzer.findings.material import SURE, Check, Material, make
from analyzer.findings.records import Finding
from analyzer.findings.wording import capital, seconds
from analyzer.measures.records import MeasuredCall
from analyzer.spans import clock
from analyzer.standards.standard import Rule

__all__ = ["CHECKS", "call_text", "explained"]

_DRIFT_RULES = {"work": "interval_drift", "rest": "rest_drift"}


def explained(material: Material, measured: MeasuredCall) -> bool:
    """Whether a wrong call was right by the announced length: then the interval's own drift explains it."""
    call = measured.call
    if call.interval is None or call.kind == "elapsed" or measured.verdict not in ("long", "short"):
        return False
    interval = material.measures.intervals[call.interval]
    rule = material.standard.rules[_DRIFT_RULES[interval.segment.kind]]
    told = interval.segment.announced_s
    if told is None or interval.verdict not in ("long", "short") or rule.weight == "off":
        return False
    gone = (call.quote.at_ms - interval.segment.start.at_ms) / 1000
    error = told - gone - call.value if call.kind == "remaining" else call.value * told - gone
    return abs(error) <= material.standard.tolerance.call_s


def taken_back(material: Material, measured: MeasuredCall) -> bool:
    """Whether the same call is right at another moment of the interval: then this one was none.

    An interval has one halfway; a second one is another half ("the top half"), or a slip put right at once.
    """
    call = measured.call
    return call.interval is not None and any(
        other.verdict == "on time" and other.call.interval == call.interval
        and (other.call.kind, other.call.value) == (call.kind, call.value)
        for other in material.measures.calls
    )


def call_text(measured: MeasuredCall) -> str:
    """A wrong call in a sentence: what was said, when, how far off, and what was true."""
    call, sd = measured.call, measured.error_sd_s or 0.0
    error, actual = measured.error_s or 0.0, measured.actual or 0.0
    true = {
        "elapsed": f"{seconds(actual, sd)} had gone",
        "remaining": f"{seconds(actual, sd)} were left",
        "fraction": f"{actual:.0%} had gone",
    }[call.kind]
    said = call.quote.said.strip().rstrip(".,!?")
    way = "early" if error > 0 else "late"
    return f'"{said}" at {clock(call.quote.at_ms)} came {seconds(abs(error), sd)} {way}: {true}.'


def time_call_error(material: Material, rule: Rule) -> Iterator[Finding]:
    """Time calls that are surely off, and that neither the interval's drift nor a right call explains."""
    wrong = [c for c in material.measures.calls if c.verdict in ("long", "short")
             and not explained(material, c) and not taken_back(material, c)]
    groups = [wrong] if len(wrong) >= rule.limit("bundle_from") else [[c] for c in wrong]
    for group in filter(None, groups):
        calls = [c.call for c in group]
        index = calls[0].interval if len(group) == 1 else None
        segment = None if index is None else material.outline.segments[index]
        count = f"{len(group)} of {len(material.measures.calls)} time calls were off. "
        lead = count if len(group) > 1 else ""
        yield make(
            rule, lead + " ".join(capital(call_text(c)) for c in group),
            at_ms=calls[0].quote.at_ms, exercise=segment.exercise if segment else None, interval=index,
            evidence=[c.quote for c in calls],
            size=max(abs(c.error_s or 0.0) for c in group) / max(rule.limit("tolerance_s"), 0.1),
            by=-int(bool(segment and segment.probability < SURE)), at=clock(calls[0].quote.at_ms),
        )


CHECKS: dict[str, Check] = {"time_call_error": time_call_error}
