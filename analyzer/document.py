"""The data document: one Review as plain lists and numbers, for JSON and for other programs.

Conventions: times and lengths are seconds to three decimals, and so are probabilities; what is not known is
None, never left out. ``interval`` and ``intervals`` are places in the list ``intervals``, from 0. Lists are
in order of time, but ``findings`` has those of the class as a whole first. ``document.schema.json`` says the
rest, and every document fits it; a change that breaks a reader gets a new number in ``SCHEMA_ID``.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from importlib.resources import files
from typing import Any

from analyzer.findings.records import Finding
from analyzer.measures.records import Block, Interval, MeasuredCall, SideBalance, Totals, Trend
from analyzer.outline.records import Cue, Promise, Quote
from analyzer.review import Review

__all__ = ["SCHEMA_ID", "as_json", "document", "schema"]

SCHEMA_ID = "urn:analyzer:review:1"
"""What ``schema`` says in a document, and ``$id`` in its JSON Schema."""
_DECIMALS = 3


def document(review: Review) -> dict[str, Any]:
    """Everything a review found, but for the words themselves. Only dicts, lists, text, numbers and None."""
    outline, measures = review.outline, review.measures
    return {
        "schema": SCHEMA_ID,
        "source": _source(review),
        "problems": [{"line": p.line, "what": p.what, "done": p.done} for p in review.captions.problems],
        "phases": [
            {"phase": p.phase, "start_s": _seconds(p.span.start_ms), "stop_s": _seconds(p.span.end_ms)}
            for p in outline.phases
        ],
        "promises": [_promise(p) for p in outline.promises],
        "intervals": [_interval(i) for i in measures.intervals],
        "time_calls": [_call(c) for c in measures.calls],
        "cues": [_cue(c) for c in outline.cues],
        "sides": [_side(s) for s in measures.sides],
        "blocks": [_block(b) for b in measures.blocks],
        "trend": _trend(measures.trend),
        "findings": [_finding(f) for f in review.findings],
        "totals": _totals(measures.totals),
    }


def as_json(review: Review) -> str:
    """The document as JSON text that ends with a line end, the same bytes for the same review."""
    return json.dumps(document(review), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the document."""
    text = files(__package__).joinpath("document.schema.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def _seconds(ms: int) -> float:
    return ms / 1000


def _number(value: float | None) -> float | None:
    # adding 0.0 turns a rounded -0.0 into 0.0
    return None if value is None else round(float(value), _DECIMALS) + 0.0


def _quote(quote: Quote) -> dict[str, Any]:
    return {"at_s": _seconds(quote.at_ms), "said": quote.said}


def _source(review: Review) -> dict[str, Any]:
    captions = review.captions
    # a file name may hold bytes that are no text, and JSON is text
    name = captions.path.name.encode("utf-8", errors="replace").decode("utf-8")
    return {
        "file": name,
        "format": captions.format,
        "timing": captions.timing,
        "length_s": _number(review.measures.totals.length_s),
    }


def _promise(promise: Promise) -> dict[str, Any]:
    return {
        "said": promise.quote.said,
        "at_s": _seconds(promise.quote.at_ms),
        "work_s": _number(promise.work_s),
        "rest_s": _number(promise.rest_s),
        "rounds": promise.rounds,
        "moves": promise.moves,
        "holds_s": _number(promise.holds_s),
        "scope": promise.scope,
    }


def _interval(interval: Interval) -> dict[str, Any]:
    segment = interval.segment
    quotes = (("length", segment.promise), ("start", segment.start.quote), ("stop", segment.stop.quote))
    return {
        "kind": segment.kind,
        "counted": segment.counted,
        "phase": segment.phase,
        "exercise": segment.exercise,
        "side": segment.side,
        "round": segment.round,
        "announced_s": _number(segment.announced_s),
        "start_s": _seconds(segment.start.at_ms),
        "stop_s": _seconds(segment.stop.at_ms),
        "start_sd_s": _seconds(segment.start.sd_ms),
        "stop_sd_s": _seconds(segment.stop.sd_ms),
        "actual_s": _number(interval.actual_s),
        "actual_sd_s": _number(interval.actual_sd_s),
        "drift_s": _number(interval.drift_s),
        "verdict": interval.verdict,
        "start_spoken": segment.start.spoken,
        "stop_spoken": segment.stop.spoken,
        "evidence": [{"of": of, **_quote(quote)} for of, quote in quotes if quote is not None],
        "probability": _number(segment.probability),
    }


def _call(measured: MeasuredCall) -> dict[str, Any]:
    call = measured.call
    return {
        "at_s": _seconds(call.quote.at_ms),
        "kind": call.kind,
        "value": _number(call.value),
        "said": call.quote.said,
        "interval": call.interval,
        "actual": _number(measured.actual),
        "error_s": _number(measured.error_s),
        "error_sd_s": _number(measured.error_sd_s),
        "verdict": measured.verdict,
    }


def _cue(cue: Cue) -> dict[str, Any]:
    return {
        "at_s": _seconds(cue.at_ms),
        "kind": cue.kind,
        "exercise": cue.exercise,
        "interval": cue.interval,
        "said": cue.quote.said,
        "probability": _number(cue.probability),
    }


def _side(side: SideBalance) -> dict[str, Any]:
    return {
        "exercise": side.exercise,
        "round": side.round,
        "at_s": _seconds(side.at_ms),
        "left_s": _number(side.left_s),
        "right_s": _number(side.right_s),
        "difference_s": _number(side.difference_s),
        "difference_sd_s": _number(side.difference_sd_s),
        "verdict": side.verdict,
    }


def _block(block: Block) -> dict[str, Any]:
    return {
        "phase": block.phase,
        "round": block.round,
        "start_s": _seconds(block.start_ms),
        "stop_s": _seconds(block.stop_ms),
        "intervals": list(block.intervals),
        "timed": block.timed,
        "announced_s": _number(block.announced_s),
        "actual_s": _number(block.actual_s),
        "drift_s": _number(block.drift_s),
        "drift_sd_s": _number(block.drift_sd_s),
    }


def _trend(trend: Trend | None) -> dict[str, Any] | None:
    if trend is None:
        return None
    return {
        "slope_s": _number(trend.slope_s),
        "slope_sd_s": _number(trend.slope_sd_s),
        "p": _number(trend.p),
        "count": trend.count,
        "verdict": trend.verdict,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "weight": finding.weight,
        "at_s": None if finding.at_ms is None else _seconds(finding.at_ms),
        "exercise": finding.exercise,
        "interval": finding.interval,
        "message": finding.message,
        "evidence": [_quote(quote) for quote in finding.evidence],
        "why": finding.why,
        "source": finding.source,
        "advice": finding.advice,
        "mend": finding.mend,
        "size": _number(finding.size),
    }


def _totals(totals: Totals) -> dict[str, Any]:
    values = {**asdict(totals), "work_to_rest": totals.work_to_rest}
    return {key: _number(value) if isinstance(value, float) else value for key, value in values.items()}
