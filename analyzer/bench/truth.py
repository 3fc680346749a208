"""What is true of a scripted class once spoken: its parts, intervals, time calls and cues, in seconds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from analyzer.bench.script import Mark, Performance

__all__ = ["truth"]


def truth(performance: Performance) -> dict[str, Any]:
    """What is true of a performance: title, phases, intervals, calls, cues and words, times in seconds."""
    script, words = performance.script, performance.words
    intervals: list[dict[str, Any]] = []
    phases: list[dict[str, Any]] = []
    names: list[tuple[int, str]] = []
    work: dict[str, Any] = {}
    rest: dict[str, Any] | None = None
    for mark in script.marks:
        at = round(words[mark.word].start, 3)
        phase = phases[-1]["phase"] if phases else "opening"
        if mark.kind == "phase":
            phases.append({"phase": mark.args[0], "start_s": at})
        elif mark.kind == "intro":
            names.append((mark.word, mark.args[0]))
        elif mark.kind == "work":
            if rest:
                intervals.append(rest | {"stop_s": at})
            work, rest = _work(mark, phase, at), None
            names.append((mark.word, work["exercise"]))
        elif mark.kind == "end":
            intervals.append(work | {"stop_s": at})
        else:
            rest = _rest(mark, phase, at)
    intervals.sort(key=lambda i: float(i["start_s"]))
    said = list(_said(performance, names))
    return {
        "title": script.title,
        "phases": phases,
        "intervals": intervals,
        "calls": [s for s in said if "value" in s],
        "cues": [s for s in said if "value" not in s],
        "words": [[w.text, round(w.start, 3), round(w.end, 3)] for w in words],
    }


def _work(mark: Mark, phase: str, at: float) -> dict[str, Any]:
    told, name, *rest = mark.args
    extra = dict(r.split("=") for r in rest)
    return {
        "kind": "work",
        "counted": "reps" if told == "reps" else "time",
        "exercise": name,
        "announced_s": None if told in ("untimed", "reps") else float(told),
        "side": extra.get("side"),
        "round": int(extra["round"]) if "round" in extra else None,
        "phase": phase,
        "start_s": at,
    }


def _rest(mark: Mark, phase: str, at: float) -> dict[str, Any]:
    told = mark.args[0] if mark.args else "untimed"
    return {"kind": "rest", "exercise": None, "side": None, "round": None,
            "announced_s": None if told == "untimed" else float(told), "phase": phase, "start_s": at}


def _said(performance: Performance, names: list[tuple[int, str]]) -> Iterator[dict[str, Any]]:
    for tag in performance.script.tagged:
        spoken = performance.words[tag.first : tag.last]
        entry = {"at_s": round(spoken[0].start, 3), "said": " ".join(w.text for w in spoken)}
        if tag.kind == "call":
            yield entry | {"kind": tag.args[0], "value": float(tag.args[1])}
        else:
            # an [[intro]] on a span's first word already counts for it
            known = [name for word, name in names if word < tag.last]
            yield entry | {"kind": tag.kind, "exercise": known[-1] if known else None}
