"""The measures as pandas tables, for notebooks and CSV."""

from __future__ import annotations

from typing import TYPE_CHECKING

from analyzer.measures.records import Interval, MeasuredCall, Measures

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["frames"]


def frames(measures: Measures) -> dict[str, pd.DataFrame]:
    """``intervals``, ``time_calls``, ``sides`` and ``blocks``, one row each, in order of time.

    Times and lengths in seconds; a missing number is NaN, a missing word or whole number ``<NA>``. An empty
    class gives tables with the same columns and no rows.
    """
    import pandas as pd  # 0.4 s to import, and most runs need no table

    tables: dict[str, list[dict[str, object]]] = {
        "intervals": [_interval(i) for i in measures.intervals],
        "time_calls": [_call(c) for c in measures.calls],
        "sides": [
            {"exercise": s.exercise, "round": s.round, "at_s": s.at_ms / 1000, "left_s": s.left_s,
             "right_s": s.right_s, "difference_s": s.difference_s, "difference_sd_s": s.difference_sd_s,
             "verdict": s.verdict}
            for s in measures.sides
        ],
        "blocks": [
            {"phase": b.phase, "round": b.round, "start_s": b.start_ms / 1000, "stop_s": b.stop_ms / 1000,
             "intervals": len(b.intervals), "timed": b.timed, "announced_s": b.announced_s,
             "actual_s": b.actual_s, "drift_s": b.drift_s, "drift_sd_s": b.drift_sd_s}
            for b in measures.blocks
        ],
    }
    return {
        name: pd.DataFrame(
            {column: pd.array([row[column] for row in rows], dtype=dtype)  # type: ignore[call-overload]
             for column, dtype in _COLUMNS[name].items()}
        )
        for name, rows in tables.items()
    }


def _interval(interval: Interval) -> dict[str, object]:
    segment = interval.segment
    return {
        "kind": segment.kind, "counted": segment.counted, "phase": segment.phase,
        "exercise": segment.exercise, "side": segment.side, "round": segment.round,
        "announced_s": segment.announced_s, "start_s": segment.start.at_ms / 1000,
        "stop_s": segment.stop.at_ms / 1000, "start_sd_s": segment.start.sd_ms / 1000,
        "stop_sd_s": segment.stop.sd_ms / 1000, "actual_s": interval.actual_s,
        "actual_sd_s": interval.actual_sd_s, "drift_s": interval.drift_s, "verdict": interval.verdict,
        "start_spoken": segment.start.spoken, "stop_spoken": segment.stop.spoken,
        "probability": segment.probability,
    }


def _call(measured: MeasuredCall) -> dict[str, object]:
    call = measured.call
    return {
        "at_s": call.quote.at_ms / 1000, "kind": call.kind, "value": call.value, "said": call.quote.said,
        "interval": call.interval, "actual": measured.actual, "error_s": measured.error_s,
        "error_sd_s": measured.error_sd_s, "verdict": measured.verdict,
    }


_WORD, _NUMBER, _WHOLE, _FLAG = "string", "float64", "Int64", "bool"
_COLUMNS = {
    "intervals": {
        "kind": _WORD, "counted": _WORD, "phase": _WORD, "exercise": _WORD, "side": _WORD, "round": _WHOLE,
        "announced_s": _NUMBER, "start_s": _NUMBER, "stop_s": _NUMBER, "start_sd_s": _NUMBER,
        "stop_sd_s": _NUMBER, "actual_s": _NUMBER, "actual_sd_s": _NUMBER, "drift_s": _NUMBER,
        "verdict": _WORD, "start_spoken": _FLAG, "stop_spoken": _FLAG, "probability": _NUMBER,
    },
    "time_calls": {
        "at_s": _NUMBER, "kind": _WORD, "value": _NUMBER, "said": _WORD, "interval": _WHOLE,
        "actual": _NUMBER, "error_s": _NUMBER, "error_sd_s": _NUMBER, "verdict": _WORD,
    },
    "sides": {
        "exercise": _WORD, "round": _WHOLE, "at_s": _NUMBER, "left_s": _NUMBER, "right_s": _NUMBER,
        "difference_s": _NUMBER, "difference_sd_s": _NUMBER, "verdict": _WORD,
    },
    "blocks": {
        "phase": _WORD, "round": _WHOLE, "start_s": _NUMBER, "stop_s": _NUMBER, "intervals": _WHOLE,
        "timed": _WHOLE, "announced_s": _NUMBER, "actual_s": _NUMBER, "drift_s": _NUMBER,
        "drift_sd_s": _NUMBER,
    },
}
