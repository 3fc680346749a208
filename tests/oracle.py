"""Outlines without hearing: from the truth of a scripted class, or written by hand.

``from_script`` speaks a scripted class and builds captions, words and outline straight from what is true of
it, so that everything after the outline can be tested by itself. The builders below make small outlines.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from analyzer.bench.render import perform
from analyzer.bench.script import Performance
from analyzer.bench.truth import truth
from analyzer.captions.records import Caption, Captions
from analyzer.measures.measure import measure
from analyzer.measures.records import Measures
from analyzer.measures.verdict import Tolerance
from analyzer.outline.records import (
    Counted,
    Cue,
    CueKind,
    Edge,
    Outline,
    Phase,
    PhaseName,
    Promise,
    Quote,
    Segment,
    SegmentKind,
    Side,
    TimeCall,
)
from analyzer.spans import Span
from analyzer.words import Word

ROOT = Path(__file__).resolve().parent.parent
CLASSES = ROOT / "analyzer" / "language" / "en" / "classes"
SAMPLES = ROOT / "sample_captions" / "scripts"
EDGE_SD_MS = 50


@dataclass(frozen=True, slots=True)
class Heard:
    """A class as a perfect listener hears it."""

    captions: Captions
    words: tuple[Word, ...]
    outline: Outline
    length_ms: int

    def measures(self, tolerance: Tolerance | None = None) -> Measures:
        return measure(self.outline, self.words, length_ms=self.length_ms, tolerance=tolerance)

    def with_outline(self, **changes: Any) -> Heard:
        return replace(self, outline=replace(self.outline, **changes))


def script(name: str) -> Path:
    """The scripted class of this name, of the training classes or the samples."""
    return next(path for folder in (CLASSES, SAMPLES) for path in [folder / f"{name}.class"] if path.exists())


def from_script(path: Path, *, sd_ms: int = EDGE_SD_MS, promises: Sequence[Promise] = ()) -> Heard:
    """The truth of a scripted class as captions, words and outline. Every edge counts as spoken."""
    performance = perform(path)
    facts = truth(performance)
    length = ms(facts["words"][-1][2]) + 1000
    words = tuple(
        Word(text, norm(text), 0, Span(ms(start), ms(end)), ms(start), ms(start), sd_ms)
        for text, start, end in facts["words"]
    )
    segments = tuple(_segment(i, words, sd_ms) for i in facts["intervals"])
    outline = Outline(
        phases=_phases(facts["phases"], length),
        promises=tuple(promises),
        segments=segments,
        calls=tuple(_call(c, segments, sd_ms) for c in facts["calls"]),
        cues=tuple(_cue(c, segments) for c in facts["cues"]),
    )
    return Heard(_captions(path, performance), words, outline, length)


def ms(seconds: float) -> int:
    return round(seconds * 1000)


def norm(text: str) -> str:
    return re.sub(r"^\W+|\W+$", "", text.lower().replace("’", "'"))


def quote_at(words: Sequence[Word], at_ms: int, before: int = 3, after: int = 4) -> Quote:
    """The words around a time, as evidence."""
    index = max((i for i, w in enumerate(words) if w.span.start_ms <= at_ms), default=0)
    chosen = words[max(0, index - before) : index + after]
    return Quote(chosen[0].span.start_ms if chosen else at_ms, " ".join(w.text for w in chosen))


def _edge(at_s: float, words: Sequence[Word], sd_ms: int) -> Edge:
    return Edge(ms(at_s), sd_ms, True, quote_at(words, ms(at_s)))


def _segment(fact: dict[str, Any], words: Sequence[Word], sd_ms: int) -> Segment:
    told = fact["announced_s"]
    return Segment(
        kind=fact["kind"],
        counted=fact.get("counted", "time"),
        phase=fact["phase"],
        exercise=fact["exercise"],
        side=fact["side"],
        round=fact["round"],
        announced_s=told,
        promise=None if told is None else quote_at(words, ms(fact["start_s"]) - 1, before=8, after=1),
        start=_edge(fact["start_s"], words, sd_ms),
        stop=_edge(fact["stop_s"], words, sd_ms),
        probability=1.0,
    )


def _phases(facts: Sequence[dict[str, Any]], length: int) -> tuple[Phase, ...]:
    starts = [0, *(ms(f["start_s"]) for f in facts[1:]), length]
    return tuple(Phase(f["phase"], Span(a, b)) for f, a, b in zip(facts, starts, starts[1:], strict=False))


def _inside(at_ms: int, segments: Sequence[Segment]) -> int | None:
    return next((i for i, s in enumerate(segments) if at_ms in s.span), None)


def _call(fact: dict[str, Any], segments: Sequence[Segment], sd_ms: int) -> TimeCall:
    at = ms(fact["at_s"])
    return TimeCall(Quote(at, fact["said"]), sd_ms, fact["kind"], fact["value"], _inside(at, segments))


def _cue(fact: dict[str, Any], segments: Sequence[Segment]) -> Cue:
    at, name = ms(fact["at_s"]), fact["exercise"]
    inside = _inside(at, segments)
    if inside is None or segments[inside].kind == "rest":
        inside = next((i for i, s in enumerate(segments) if s.start.at_ms >= at and s.exercise == name), None)
    return Cue(Quote(at, fact["said"]), fact["kind"], name, inside, 1.0)


def _captions(path: Path, performance: Performance) -> Captions:
    firsts = [line.first for line in performance.script.lines]
    lines = [performance.words[a:b] for a, b in zip(firsts, [*firsts[1:], None], strict=True)]
    captions = tuple(
        Caption(Span(ms(line[0].start), ms(line[-1].end)), " ".join(w.text for w in line), 3 + 4 * number)
        for number, line in enumerate(lines)
    )
    return Captions(path.with_suffix(".vtt"), "WebVTT", "phrase", captions)


# ---- by hand


def edge(at_s: float, said: str = "", *, sd_ms: int = EDGE_SD_MS, spoken: bool = True) -> Edge:
    return Edge(ms(at_s), sd_ms, spoken, Quote(ms(at_s), said))


def segment(
    start_s: float,
    stop_s: float,
    exercise: str | None = "squats",
    announced_s: float | None = None,
    *,
    kind: SegmentKind = "work",
    counted: Counted = "time",
    phase: PhaseName = "main",
    side: Side | None = None,
    round: int | None = None,
    sd_ms: int = EDGE_SD_MS,
    spoken: tuple[bool, bool] = (True, True),
    probability: float = 1.0,
) -> Segment:
    return Segment(
        kind, counted, phase, exercise, side, round, announced_s,
        None if announced_s is None else Quote(ms(start_s) - 4000, f"{announced_s:g} seconds"),
        edge(start_s, "go", sd_ms=sd_ms, spoken=spoken[0]),
        edge(stop_s, "and rest", sd_ms=sd_ms, spoken=spoken[1]),
        probability,
    )


def rest(start_s: float, stop_s: float, announced_s: float | None = None, **more: Any) -> Segment:
    return segment(start_s, stop_s, None, announced_s, kind="rest", **more)


def cue(
    kind: CueKind,
    at_s: float,
    said: str,
    exercise: str | None = None,
    interval: int | None = None,
    probability: float = 1.0,
) -> Cue:
    return Cue(Quote(ms(at_s), said), kind, exercise, interval, probability)


def say(text: str, at_s: float = 0.0, seconds_a_word: float = 0.3) -> tuple[Word, ...]:
    """Words said evenly from ``at_s`` on."""
    step = ms(seconds_a_word)
    times = [ms(at_s) + step * i for i, _ in enumerate(text.split())]
    return tuple(
        Word(word, norm(word), 0, Span(at, at + step), at, at, EDGE_SD_MS)
        for word, at in zip(text.split(), times, strict=True)
    )


def heard(
    segments: Sequence[Segment] = (),
    *,
    cues: Sequence[Cue] = (),
    calls: Sequence[TimeCall] = (),
    promises: Sequence[Promise] = (),
    phases: Sequence[tuple[PhaseName, float]] = (("opening", 0.0), ("main", 10.0)),
    words: Sequence[Word] = (),
    length_s: float = 900.0,
    captions: Captions | None = None,
) -> Heard:
    """A class written by hand; ``phases`` are names and the seconds they start at."""
    starts = [*(ms(at) for _, at in phases), ms(length_s)]
    parts = tuple(Phase(n, Span(a, b)) for (n, _), a, b in zip(phases, starts, starts[1:], strict=False))
    outline = Outline(parts, tuple(promises), tuple(segments), tuple(calls), tuple(cues))
    return Heard(
        captions or Captions(Path("class.vtt"), "WebVTT", "phrase", ()), tuple(words), outline, ms(length_s)
    )
