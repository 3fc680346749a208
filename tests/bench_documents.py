"""Data documents made from the truth of scripted classes, for the tests of the bench."""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from oracle import script

from analyzer.bench.render import perform
from analyzer.bench.truth import truth
from analyzer.measures.verdict import judge

NAMES = ("terse_core", "tabata_three_blocks", "chair_yoga_breaks", "recipe_show")
"""A spoken circuit, a protocol, held poses with sides, and a talk that is no class."""


@cache
def _facts(path: Path) -> dict[str, Any]:
    return truth(perform(path))


def facts(name: str) -> dict[str, Any]:
    """What is true of a scripted class; every caller gets a copy of its own."""
    return deepcopy(_facts(script(name)))


def as_document(true: dict[str, Any], *, sd_s: float = 0.0, later_s: float = 0.0) -> dict[str, Any]:
    """The data document of a listener who misses nothing, with every time moved by ``later_s``."""
    return {
        "intervals": [
            interval
            | {"start_s": interval["start_s"] + later_s, "stop_s": interval["stop_s"] + later_s}
            | {"start_sd_s": sd_s, "stop_sd_s": sd_s, "verdict": _verdict(interval, sd_s)}
            for interval in true["intervals"]
        ],
        "time_calls": [call | {"at_s": call["at_s"] + later_s} for call in true["calls"]],
        "cues": [cue | {"at_s": cue["at_s"] + later_s} for cue in true["cues"]],
    }


def _verdict(interval: dict[str, Any], sd_s: float) -> str:
    if interval["announced_s"] is None:
        return "untimed"
    return judge(interval["stop_s"] - interval["start_s"] - interval["announced_s"], sd_s, 2.0)


MOVES = ("squats", "reverse lunges", "side plank", "push-ups")


@st.composite
def truths(draw: st.DrawFn) -> dict[str, Any]:
    """Small classes with whole seconds: intervals in order, calls and cues anywhere."""
    intervals: list[dict[str, Any]] = []
    at = 0
    for _ in range(draw(st.integers(0, 5))):
        at += draw(st.integers(0, 30))
        length = draw(st.integers(5, 60))
        kind = draw(st.sampled_from(("work", "rest")))
        intervals.append({
            "kind": kind,
            "exercise": draw(st.sampled_from(MOVES)) if kind == "work" else None,
            "side": draw(st.sampled_from((None, "left", "right"))),
            "phase": draw(st.sampled_from(("warm-up", "main"))),
            "announced_s": draw(st.sampled_from((None, 20.0, 40.0))),
            "start_s": at,
            "stop_s": (at := at + length),
        })  # fmt: skip
    said = st.fixed_dictionaries({
        "kind": st.sampled_from(("regression", "form", "safety", "hydration")),
        "at_s": st.integers(0, 300),
        "exercise": st.sampled_from((*MOVES, None)),
    })  # fmt: skip
    calls = st.fixed_dictionaries({
        "kind": st.sampled_from(("elapsed", "remaining")),
        "at_s": st.integers(0, 300),
        "value": st.sampled_from((10.0, 20.0)),
    })  # fmt: skip
    return {
        "intervals": intervals,
        "calls": draw(st.lists(calls, max_size=4)),
        "cues": draw(st.lists(said, max_size=6)),
    }
