"""The review as four tables for a spreadsheet: intervals, time calls, cues and findings.

CSV by RFC 4180, UTF-8 without a mark; seconds to three decimals; an empty cell is not known or not told.
``interval`` numbers the rows of ``intervals.csv`` from 0, and is how the other tables refer to them.

Captions are other people's text, and a spreadsheet takes a cell that starts like a formula for one. Such a
cell gets an apostrophe before it, the way spreadsheets mark text (OWASP, CSV Injection).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from analyzer.findings.find import rank
from analyzer.findings.records import Finding
from analyzer.measures.tables import frames
from analyzer.outline.records import Cue
from analyzer.review import Review
from analyzer.spans import clock

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FILES", "csv_files", "tables"]

FILES = ("intervals.csv", "time_calls.csv", "cues.csv", "findings.csv")
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a formula starts with, or a spreadsheet skips before one; the wide ones in East Asian settings."""
_WORD, _NUMBER, _WHOLE = "string", "float64", "Int64"
_CUES = {
    "at_s": _NUMBER, "kind": _WORD, "exercise": _WORD, "interval": _WHOLE, "said": _WORD,
    "probability": _NUMBER,
}
_FINDINGS = {
    "rule": _WORD, "weight": _WORD, "at_s": _NUMBER, "exercise": _WORD, "interval": _WHOLE, "message": _WORD,
    "evidence": _WORD, "why": _WORD, "source": _WORD, "advice": _WORD, "mend": _WORD, "size": _NUMBER,
}


def csv_files(review: Review) -> dict[str, str]:
    """The text of each of ``FILES`` by its name."""
    return {f"{name}.csv": _text(table) for name, table in tables(review).items()}


def tables(review: Review) -> dict[str, pd.DataFrame]:
    """``intervals``, ``time_calls`` and ``cues`` in order of time, ``findings`` most important first.

    Measured columns are those of ``measures.tables.frames``; intervals have the words that told their length,
    started and stopped them besides. A class without any gives the same columns and no rows.
    """
    import pandas as pd

    measured, segments = frames(review.measures), review.outline.segments
    intervals = measured["intervals"]
    intervals.insert(0, "interval", range(len(intervals)))
    for column, quotes in (
        ("length_said", [s.promise for s in segments]),
        ("start_said", [s.start.quote for s in segments]),
        ("stop_said", [s.stop.quote for s in segments]),
    ):
        said = [None if quote is None else quote.said for quote in quotes]
        intervals[column] = pd.array(said, dtype="string")
    return {
        "intervals": intervals,
        "time_calls": measured["time_calls"],
        "cues": _table(map(_cue, review.outline.cues), _CUES),
        "findings": _table(map(_finding, rank(review.findings)), _FINDINGS),
    }


def _table(rows: Iterable[Mapping[str, Any]], columns: Mapping[str, Any]) -> pd.DataFrame:
    import pandas as pd

    kept = list(rows)
    return pd.DataFrame(
        {name: pd.array([row[name] for row in kept], dtype=kind) for name, kind in columns.items()}
    )


def _cue(cue: Cue) -> dict[str, Any]:
    return {
        "at_s": cue.at_ms / 1000, "kind": cue.kind, "exercise": cue.exercise, "interval": cue.interval,
        "said": cue.quote.said, "probability": cue.probability,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule, "weight": finding.weight,
        "at_s": None if finding.at_ms is None else finding.at_ms / 1000,
        "exercise": finding.exercise, "interval": finding.interval, "message": finding.message,
        "evidence": "; ".join(f'{clock(q.at_ms)} "{q.said}"' for q in finding.evidence) or None,
        "why": finding.why, "source": finding.source, "advice": finding.advice, "mend": finding.mend,
        "size": finding.size,
    }


def _text(table: pd.DataFrame) -> str:
    from pandas.api.types import is_float_dtype, is_string_dtype

    safe = table.copy()
    for name in safe.columns:
        column = safe[name]
        if is_float_dtype(column):
            # adding 0.0 turns a rounded -0.0 into 0.0
            safe[name] = column.round(3) + 0.0
        elif is_string_dtype(column):
            safe[name] = column.where(~column.str.startswith(_FORMULA).fillna(False), "'" + column)
    return str(safe.to_csv(index=False, lineterminator="\r\n"))
