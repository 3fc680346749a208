"""Reviews to make documents of, and ways to look into a document."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from oracle import Heard, cue, from_script, heard, rest, say, script, segment
from report_help import review

from analyzer.captions.records import Captions, Problem
from analyzer.document import document, schema
from analyzer.outline.records import Promise, Quote, TimeCall
from analyzer.review import Review

CLASSES = ("terse_core", "tabata_three_blocks", "chair_yoga_breaks", "recipe_show", "evening_stretch")
SCHEMA = schema()
FITS = Draft202012Validator(SCHEMA)
PROBLEM = Problem(7, "a caption without text", "left out")


def small() -> Heard:
    """Two sides, a rest, a call, a cue, a promise and a problem: something in every list."""
    segments = [
        segment(100, 146.1, "side plank", 40, side="left", round=1),
        rest(146.1, 160, 20),
        segment(160, 200, "side plank", 40, side="right", round=1, spoken=(True, False)),
        *(segment(start, start + 40.5 + i, "squats", 40) for i, start in enumerate((240, 300, 360))),
        segment(420, 440, None, None, counted="reps", probability=0.41),
    ]
    call = TimeCall(Quote(120_000, "halfway"), 60, "fraction", 0.5, 0)
    return heard(
        segments,
        calls=[call, TimeCall(Quote(700_500, "ten to go"), 60, "remaining", 10.0, None)],
        cues=[cue("form", 110, "hips high", "side plank", 0, 0.87654), cue("safety", 20, "clear the floor")],
        promises=[Promise(Quote(50_250, "forty on, twenty off"), "block", 40.0, 20.0, None, 3, 2)],
        words=say("forty on twenty off"),
        captions=Captions(Path("takes/class.vtt"), "WebVTT", "phrase", (), (PROBLEM,)),
    )


@cache
def scripted(name: str) -> Review:
    return review(from_script(script(name)))


def fitting(it: Review) -> dict[str, Any]:
    """The document, once the schema has passed it."""
    found = document(it)
    FITS.validate(found)
    return found


def nodes(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Everything in a JSON value with its path; places in lists are ``[]``."""
    yield path, value
    if isinstance(value, dict):
        for key, item in value.items():
            yield from nodes(item, f"{path}.{key}")
    elif isinstance(value, list):
        for item in value:
            yield from nodes(item, f"{path}[]")
