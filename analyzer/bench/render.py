"""Render a scripted class: its four caption forms and its truth."""

from __future__ import annotations

import json
from pathlib import Path

from analyzer.bench.forms import FORMS, blocks_txt, phrases_srt, plain_vtt, rolling_vtt
from analyzer.bench.script import Performance, parse
from analyzer.bench.script import perform as perform_script
from analyzer.bench.truth import truth

__all__ = ["blocks_txt", "perform", "phrases_srt", "plain_vtt", "render", "rolling_vtt"]


def perform(path: Path) -> Performance:
    """Parse and speak the script at ``path``."""
    return perform_script(parse(path))


def render(path: Path, out: Path) -> Performance:
    """Write the script at ``path`` to ``out``: one caption file a form, and NAME.truth.json."""
    out.mkdir(parents=True, exist_ok=True)
    performance = perform(path)
    for ending, form in FORMS.items():
        (out / f"{path.stem}.{ending}").write_text(form(performance.words), encoding="utf-8")
    (out / f"{path.stem}.truth.json").write_text(json.dumps(truth(performance), indent=1), encoding="utf-8")
    return performance
