"""What happened, measured: lengths, time calls, sides, totals.

Conventions: edges are milliseconds, results seconds. A drift is actual minus announced. Announced lengths
and time calls never move an edge: they are only compared with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from analyzer.measures.groups import measure_blocks, measure_sides
from analyzer.measures.records import Interval, MeasuredCall, Measures, Totals, Verdict
from analyzer.measures.trend import fit_trend
from analyzer.measures.verdict import Tolerance, combined_sd_s, judge, judge_among
from analyzer.outline.records import Edge, Outline, PhaseName, Segment, TimeCall
from analyzer.words import Word

__all__ = ["measure"]

_MIRROR: dict[Verdict, Verdict] = {"long": "short", "short": "long"}


def measure(
    outline: Outline, words: Sequence[Word], *, length_ms: int, tolerance: Tolerance | None = None
) -> Measures:
    """Measure an outline. ``length_ms`` is the recording's length; ``tolerance`` the class standard's.

    An outline without segments gives empty measures with the totals of the recording.
    """
    limits = tolerance or Tolerance()
    intervals = tuple(_interval(s, limits) for s in outline.segments)
    calls = tuple(measure_call(call, outline.segments, limits.call_s) for call in outline.calls)
    timed = [(i.segment.start.at_ms / 60_000, i.drift_s) for i in intervals
             if i.drift_s is not None and i.segment.kind == "work"]
    return Measures(
        intervals=intervals,
        calls=calls,
        sides=measure_sides(outline.segments, limits.sides_s),
        totals=_totals(intervals, outline, words, length_ms),
        blocks=measure_blocks(intervals),
        trend=fit_trend([x for x, _ in timed], [y for _, y in timed]),
    )


def _interval(segment: Segment, limits: Tolerance) -> Interval:
    actual = segment.span.duration_ms / 1000
    sd = hypot(segment.start.sd_ms, segment.stop.sd_ms) / 1000
    if segment.announced_s is None:
        return Interval(segment, actual, sd, None, "untimed")
    drift = actual - segment.announced_s
    allowed = limits.work_s if segment.kind == "work" else limits.rest_s
    words_sd = hypot(_word_sd_ms(segment.start), _word_sd_ms(segment.stop)) / 1000
    others = [(more / 1000, p) for more, p in segment.lengths]
    return Interval(segment, actual, sd, drift, judge_among(drift, others, words_sd, allowed))


def _word_sd_ms(edge: Edge) -> int:
    return edge.sd_ms if edge.word_sd_ms is None else edge.word_sd_ms


def measure_call(call: TimeCall, segments: Sequence[Segment], tolerance_s: float) -> MeasuredCall:
    """A time call against its interval, as ``MeasuredCall`` says.

    Saying a call takes a second or so; the moment it speaks of is the start of its quote, where listeners
    begin to hear it. A fraction is of the actual length. Nothing can be said ("untimed") of a call that
    stands in no interval, of a fraction of repetitions or breaths, or of a time longer than the whole
    interval: that one speaks of the block or the class.
    """
    segment = None if call.interval is None else segments[call.interval]
    if segment is None or _speaks_of_more(call, segment, tolerance_s):
        return MeasuredCall(call, None, None, None, "untimed")
    terms: list[tuple[float, Edge]]
    gone_s = (call.quote.at_ms - segment.start.at_ms) / 1000
    length_s = segment.span.duration_ms / 1000
    if call.kind == "elapsed":
        actual, error = gone_s, call.value - gone_s
        terms = [(1.0, segment.start)]
    elif call.kind == "remaining":
        actual = length_s - gone_s
        error = actual - call.value
        terms = [(1.0, segment.stop)]
    else:
        actual, error = gone_s / length_s, call.value * length_s - gone_s
        # value * (stop - start) - (at - start)
        terms = [(call.value, segment.stop), (1.0 - call.value, segment.start)]
    sd = hypot(combined_sd_s(terms), call.sd_ms / 1000)
    verdict = judge(error, sd, tolerance_s)
    # a call that says too much is gone came early, which is "short"
    return MeasuredCall(call, actual, error, sd, _MIRROR.get(verdict, verdict))


def _speaks_of_more(call: TimeCall, segment: Segment, tolerance_s: float) -> bool:
    if call.kind == "fraction":
        return segment.counted != "time" or segment.span.duration_ms == 0
    longest = max(segment.span.duration_ms / 1000, segment.announced_s or 0.0)
    return call.value > longest + tolerance_s


def _totals(intervals: Sequence[Interval], outline: Outline, words: Sequence[Word], length_ms: int) -> Totals:
    work = [i for i in intervals if i.segment.kind == "work"]
    rest = [i for i in intervals if i.segment.kind == "rest"]
    timed = [i for i in work if i.drift_s is not None]
    sums = sum(i.segment.announced_s or 0.0 for i in timed), sum(i.actual_s for i in timed)
    spread = combined_sd_s(
        term for i in timed for term in ((1.0, i.segment.stop), (-1.0, i.segment.start))
    )
    verdicts = [i.verdict for i in timed]
    silences = (max(0, a.span.gap_to_ms(b.span)) for a, b in pairwise(words))
    return Totals(
        length_s=length_ms / 1000,
        work_s=sum(i.actual_s for i in work),
        rest_s=sum(i.actual_s for i in rest),
        work_intervals=len(work),
        rest_intervals=len(rest),
        timed_intervals=len(timed),
        on_time=verdicts.count("on time"),
        long=verdicts.count("long"),
        short=verdicts.count("short"),
        undecided=verdicts.count("undecided"),
        announced_s=sums[0],
        actual_of_announced_s=sums[1],
        drift_mean_s=(sums[1] - sums[0]) / len(timed) if timed else None,
        drift_mean_sd_s=spread / len(timed) if timed else None,
        words=len(words),
        words_per_minute=len(words) * 60_000 / length_ms if length_ms else None,
        longest_silence_s=max(silences, default=0) / 1000,
        warm_up_s=_phase_s(outline, "warm-up"),
        cool_down_s=_phase_s(outline, "cool-down"),
    )


def _phase_s(outline: Outline, name: PhaseName) -> float:
    return sum(p.span.duration_ms for p in outline.phases if p.phase == name) / 1000
