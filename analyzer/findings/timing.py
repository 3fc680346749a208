"""Lengths: what ran long, what was cut short, what cannot be judged."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from statistics import median

from analyzer.findings.calls import call_text, explained
from analyzer.findings.material import SURE, Check, Material, hears, make
from analyzer.findings.records import Finding, Mend
from analyzer.findings.wording import label, listing, places, plural, seconds
from analyzer.measures.records import Interval
from analyzer.measures.verdict import COVERAGE
from analyzer.outline.records import Segment
from analyzer.spans import Span, clock
from analyzer.standards.standard import Rule
from analyzer.words import Word

__all__ = ["CHECKS"]

BREAK_SHARE = 1.5
"""Share of the told length from which a rest may be another, longer kind of rest."""
_BETTER_FILE = {
    "block": "A caption file with a time for each caption (WebVTT or SubRip) would decide most of them.",
    "phrase": "A caption file with a time for each word would decide more of them; or time them by ear.",
    "word": "They are too close to the limit to call: time them by ear if it matters.",
}


def interval_drift(material: Material, rule: Rule) -> Iterator[Finding]:
    """One finding for each work interval that surely ran long or short."""
    for index, interval in _off(material, "work"):
        yield _drift_finding(material, rule, index, interval)


def rest_drift(material: Material, rule: Rule) -> Iterator[Finding]:
    """The same for rests; many together are one finding.

    Rests that are all much longer than told, and agree with each other, are taken for another kind of rest.
    """
    off = _off(material, "rest")
    breaks = _breaks(material, off, rule)
    off = [item for item in off if item not in breaks]
    if breaks:
        yield _break_finding(rule, breaks)
    if len(off) < rule.limit("bundle_from"):
        for index, interval in off:
            yield _drift_finding(material, rule, index, interval)
        return
    timed = [i for i in material.measures.intervals if i.segment.kind == "rest" and i.drift_s is not None]
    drifts = [i.drift_s or 0.0 for _, i in off]
    largest = max(drifts, key=abs)
    each = [f"{clock(i.segment.start.at_ms)} by {d:+.0f} s" for (_, i), d in zip(off, drifts, strict=True)]
    yield make(
        rule,
        f"{len(off)} of {len(timed)} announced rests were off by more than "
        f"{seconds(rule.limit('tolerance_s'))} (plus is too long): {listing(each)}.",
        at_ms=off[0][1].segment.start.at_ms,
        evidence=[i.segment.start.quote for _, i in off],
        size=abs(largest) / max(rule.limit("tolerance_s"), 0.1),
        by=int(abs(largest) >= rule.limit("serious_from_s")),
        mend="edit" if min(drifts) > 0 else rule.mend,
    )


def _breaks(
    material: Material, off: Sequence[tuple[int, Interval]], rule: Rule
) -> list[tuple[int, Interval]]:
    """Rests that were hardly meant to last what was told: longer by half or more, of one length, and few.

    Where most rests keep their time, nobody lets it slip twice by the same ten seconds: a clock stood behind
    it, as between blocks.
    """
    kept = sum(i.segment.kind == "rest" and i.verdict == "on time" for i in material.measures.intervals)
    longer = [(n, i) for n, i in off if i.actual_s >= BREAK_SHARE * (i.segment.announced_s or i.actual_s)]
    usual = median([i.actual_s for _, i in longer]) if longer else 0.0
    alike = [(n, i) for n, i in longer if abs(i.actual_s - usual) <= rule.limit("tolerance_s")]
    return alike if 1 < len(alike) <= kept / 2 else []


def _break_finding(rule: Rule, breaks: Sequence[tuple[int, Interval]]) -> Finding:
    rests = [interval for _, interval in breaks]
    told = {i.segment.announced_s for i in rests}
    about = f"{round(median([i.actual_s for i in rests]))} s"
    last = f"{seconds(told.pop() or 0.0)} " if len(told) == 1 else "less "
    starts = [i.segment.start for i in rests]
    return make(
        rule,
        f"{plural(len(rests), 'rest')} lasted about {about} each, where I heard {last}told: "
        f"{places([s.at_ms for s in starts])}. Was a longer break announced there? Then nothing is wrong.",
        at_ms=starts[0].at_ms, evidence=[s.quote for s in starts], size=float(len(rests)), by=-2,
    )


def _off(material: Material, kind: str) -> list[tuple[int, Interval]]:
    return [(n, i) for n, i in enumerate(material.measures.intervals)
            if i.segment.kind == kind and i.verdict in ("long", "short")]


def _drift_finding(material: Material, rule: Rule, index: int, interval: Interval) -> Finding:
    segment, drift = interval.segment, interval.drift_s or 0.0
    # the verdict is of the likeliest words for its edges; where others are possible, that is said
    open_ = _open(interval, rule)
    sd = _words_sd_s(segment) if open_ else interval.actual_sd_s
    calls = [c for c in material.measures.calls if c.call.interval == index and explained(material, c)]
    said = " ".join(f"So {call_text(c)}" for c in calls)
    mend, cut = _cut(material.words, segment, drift) if drift > 0 else ("retake", "")
    unsure = segment.probability < SURE
    at, told = clock(segment.start.at_ms), seconds(segment.announced_s or 0.0)
    doubt = ", if I have the right words for its start and its end" if open_ else ""
    question = f" I am not sure that this is one interval: check {at}." if unsure else ""
    evidence = [*([segment.promise] if segment.promise else []), segment.start.quote, segment.stop.quote,
                *(c.call.quote for c in calls)]
    message = (f"{label(segment, _before(material, index))} {_way(segment, drift, sd)}: {told} told, "
               f"{seconds(interval.actual_s, sd)} given, give or take {_give(sd)}{doubt}.{question} {said}")
    surely_s = abs(drift) - COVERAGE * sd
    return make(
        rule, message.strip(), at_ms=segment.start.at_ms, exercise=segment.exercise, interval=index,
        evidence=evidence, size=abs(drift) / max(rule.limit("tolerance_s"), 0.1),
        by=int(surely_s >= rule.limit("serious_from_s")) - int(unsure or open_), more=cut,
        mend=mend or rule.mend,
        announced=told, actual=seconds(interval.actual_s, sd), off=seconds(abs(drift), sd), at=at,
    )


def _way(segment: Segment, drift: float, sd: float) -> str:
    off = seconds(abs(drift), sd)
    if drift > 0:
        return f"ran {off} long"
    return f"was cut {off} short" if segment.kind == "rest" else f"stopped {off} early"


def _words_sd_s(segment: Segment) -> float:
    """What is not known of the times of the edge words themselves, in seconds."""
    known = [e.sd_ms if e.word_sd_ms is None else e.word_sd_ms for e in (segment.start, segment.stop)]
    return hypot(*known) / 1000


def _open(interval: Interval, rule: Rule) -> bool:
    """Whether the whole uncertainty, other edge words included, could bring the interval back to its time."""
    reach = rule.limit("tolerance_s") + COVERAGE * interval.actual_sd_s
    return abs(interval.drift_s or 0.0) <= reach


def _give(sd: float) -> str:
    return seconds(max(0.1, COVERAGE * sd), sd)


def _before(material: Material, index: int) -> Segment | None:
    return next((s for s in reversed(material.outline.segments[:index]) if s.kind == "work"), None)


def _cut(words: Sequence[Word], segment: Segment, drift_s: float) -> tuple[Mend | None, str]:
    """Where the overrun could be cut out of the recording: in a stretch without words that is long enough."""
    gap = longest_gap(words, segment.span)
    if gap.duration_ms < drift_s * 1000 + 1000:
        return None, ""
    over, silent = seconds(drift_s, 0.5), seconds(gap.duration_ms / 1000, 0.5)
    start = clock(gap.start_ms)
    return "edit", f"In the edit, {over} can be cut from the {silent} without words from {start}."


def longest_gap(words: Sequence[Word], span: Span) -> Span:
    """The longest stretch without words inside a span; of length 0 where fewer than two words are in it."""
    first = bisect_left(words, span.start_ms, key=lambda w: w.span.start_ms)
    last = bisect_left(words, span.end_ms, key=lambda w: w.span.start_ms)
    ends = ((a.span.end_ms, min(b.span.start_ms, span.end_ms)) for a, b in pairwise(words[first : last + 1]))
    gaps = [Span(start, end) for start, end in ends if start < end]
    return max(gaps, key=lambda g: g.duration_ms, default=Span(span.start_ms, span.start_ms))


def short_stretch(material: Material, rule: Rule) -> Iterator[Finding]:
    """Stretches surely held for less than the least: in the cool-down, or called a stretch."""
    least = rule.limit("least_s")
    short = [
        (n, i) for n, i in enumerate(material.measures.intervals)
        if i.segment.kind == "work" and i.segment.counted == "time"
        and (i.segment.phase == "cool-down" or hears(rule.listen_for, i.segment.exercise or ""))
        and i.actual_s + COVERAGE * i.actual_sd_s < least
    ]
    groups = [short] if len(short) >= rule.limit("bundle_from") else [[item] for item in short]
    for group in filter(None, groups):
        index, first = group[0]
        each = [f"{label(i.segment)} {seconds(i.actual_s, i.actual_sd_s)}" for _, i in group]
        yield make(
            rule, f"Held for less than {seconds(least)}: {listing(each)}.", at_ms=first.segment.start.at_ms,
            exercise=first.segment.exercise if len(group) == 1 else None,
            interval=index if len(group) == 1 else None, announced=seconds(least), size=float(len(group)),
            evidence=[q for _, i in group for q in (i.segment.start.quote, i.segment.stop.quote)],
        )


def undecided_intervals(material: Material, rule: Rule) -> Iterator[Finding]:
    """One note on the intervals that the file cannot decide, if they are many, and which file would."""
    timed = [i for i in material.measures.intervals if i.drift_s is not None]
    open_ = [i.segment.start for i in timed if i.verdict == "undecided"]
    if open_ and len(open_) >= rule.limit("asked_from_share") * len(timed):
        yield make(
            rule,
            f"{len(open_)} of {plural(len(timed), 'announced length')} cannot be judged from this file: "
            f"{places([s.at_ms for s in open_])}.",
            at_ms=open_[0].at_ms, evidence=[open_[0].quote], size=float(len(open_)),
            say=_BETTER_FILE[material.captions.timing],
        )


def drift_trend(material: Material, rule: Rule) -> Iterator[Finding]:
    """A slope of drift over the class that chance does not explain."""
    trend = material.measures.trend
    if trend and trend.verdict != "no trend":
        way = trend.verdict.removeprefix("growing ")
        chance = "< 0.001" if trend.p < 0.001 else f"= {trend.p:.2g}"
        yield make(
            rule,
            f"Work intervals got {way} as the class went on, by about {seconds(abs(trend.slope_s) * 10)} in "
            f"ten minutes ({trend.count} intervals, p {chance}).",
            size=abs(trend.slope_s),
        )


CHECKS: dict[str, Check] = {
    "interval_drift": interval_drift,
    "rest_drift": rest_drift,
    "short_stretch": short_stretch,
    "undecided_intervals": undecided_intervals,
    "drift_trend": drift_trend,
}
