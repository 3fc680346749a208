"""The outline of a class: intervals cut by the lattice, then what each was told, called and sided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

import numpy as np
import numpy.typing as npt
from spacy.tokens import Doc

from analyzer.captions.records import Timing
from analyzer.hearing.heard import Heard
from analyzer.hearing.labels import CHOICES, column
from analyzer.hearing.pipeline import heard_in
from analyzer.outline.choices import (
    Class,
    Settled,
    blind,
    length_options,
    name_options,
    same,
    settle,
    side_options,
    with_setup,
)
from analyzer.outline.cut import Cut, cut
from analyzer.outline.evidence import evidence, material
from analyzer.outline.promises import promises
from analyzer.outline.quotes import quote
from analyzer.outline.records import Cue, Edge, Outline, Phase, PhaseName, Quote, Segment, TimeCall
from analyzer.outline.weights import OutlineWeights, weights
from analyzer.spans import Span
from analyzer.words import Word

__all__ = ["outline", "outline_of", "round_period"]

Floats = npt.NDArray[np.float64]
SPOKEN = 0.12
"""Least probability, of the start or stop word or a neighbour, that somebody heard it as one."""
BLOCK_EDGE_SD_MS = 1_200
"""Without pauses, the word before or after may have been the edge (measured on classes left out)."""
BREATHS = frozenset(("breath", "breaths", "inhale", "inhales", "exhale", "exhales"))


def outline(doc: Doc, words: Sequence[Word], timing: Timing) -> Outline:
    """From a Doc (see ``hearing.pipeline``) and its words to the outline. No words, no outline."""
    return outline_of(heard_in(doc), words, timing)


def outline_of(h: Heard, words: Sequence[Word], timing: Timing, w: OutlineWeights | None = None) -> Outline:
    """The same from plain records; ``w`` replaces the fitted weights (cross-validation)."""
    if not words:
        return Outline((), (), (), (), ())
    w = w or weights(timing)
    at_s = np.array([x.span.start_ms for x in words]) / 1000.0
    cuts = cut(evidence(h, at_s, block=timing == "block"), w)
    c = material(h, at_s)
    settled = settle_all(c, cuts, w)
    segments = tuple(
        _segment(s, k, settled, cuts[k], h, c, words, block=timing == "block") for k, s in enumerate(settled)
    )
    return Outline(
        phases=_phases(c, words),
        promises=promises(c, settled, words),
        segments=segments,
        calls=tuple(_calls(h, segments, words)),
        cues=tuple(_cues(h, c, settled, words)),
    )


def settle_all(c: Class, cuts: Sequence[Cut], w: OutlineWeights) -> list[Settled]:
    """Lengths, names and sides of all intervals, in order; names twice, once the rounds are known."""
    pieces = with_setup([(x.kind, x.first, x.last) for x in cuts], c.at_s)
    heard = {kind: [s.seconds for s in pieces if s.kind == kind] for kind in ("work", "rest")}
    period: int | None = None
    out: list[Settled] = []
    for _ in range(2):
        out = []
        for s in pieces:
            options = length_options(c, s, out, heard[s.kind])
            work = s.kind == "work"
            k, seen = settle(options, w.work_length if work else w.rest_length)
            unseen = [(o, blind(f)) for o, f in options]
            _, p = settle(unseen, w.work_length_blind if work else w.rest_length_blind)
            told = options[k][0]
            s = replace(
                s,
                announced=told.seconds if told else None,
                told_at=told.word if told else None,
                told_p=float(max(seen[k], p[k])),
            )
            if work:
                named = name_options(c, s, out, period)
                name = named[settle(named, w.name)[0]][0]
                s = replace(s, name=_as_before(name[0], out) if name else None)
                sides = side_options(c, s, out)
                s = replace(s, side=sides[settle(sides, w.side)[0]][0])
            out.append(s)
        period = round_period([s.name for s in out if s.kind == "work"])
    return out


def _as_before(name: str, before: Sequence[Settled]) -> str:
    """One move, one name: the one it had the first time."""
    return next((s.name for s in before if s.name and s.kind == "work" and same(s.name, name)), name)


def round_period(names: Sequence[str | None]) -> int | None:
    """After how many moves the names repeat, None when they do not.

    >>> round_period(["squat", "row", "plank"] * 3)
    3
    """
    best, top = None, 0.5
    for k in range(2, min(13, len(names) // 2 + 1)):
        hits = [same(a, b) for a, b in zip(names, names[k:], strict=False)]
        share = sum(hits) / len(hits) if hits else 0.0
        if share > top:
            best, top = k, share + 0.05
    return best


def _edge(word: int, flag: str, spread_s: float, h: Heard, words: Sequence[Word], block: bool) -> Edge:
    """The edge on a word: how well its time is known, and how sure it is that it was this word."""
    floor = BLOCK_EDGE_SD_MS if block else 0
    if word >= len(words):
        end = words[-1].span.end_ms
        return Edge(end, round(hypot(words[-1].sd_ms + 300, 1000 * spread_s)), False, Quote(end, ""))
    near = h.logits[max(0, word - 1) : word + 2, column(flag)].max()
    return Edge(
        words[word].span.start_ms,
        round(hypot(words[word].sd_ms, floor, 1000 * spread_s)),
        bool(1 / (1 + np.exp(-near)) > SPOKEN),
        quote(words, word - 4, word + 5),
        round(hypot(words[word].sd_ms, floor)),
    )


def _segment(
    s: Settled,
    k: int,
    settled: Sequence[Settled],
    found: Cut,
    h: Heard,
    c: Class,
    words: Sequence[Word],
    *,
    block: bool,
) -> Segment:
    phase: PhaseName = CHOICES["phase"][c.phase[s.first]]
    told = np.exp(c.told[s.first])
    counted = "time"
    if s.kind == "work" and s.announced is None and told[2] > told[1]:
        setup = set(c.norms[max(s.setup, s.first - 60) : s.first + 25])
        counted = "breaths" if setup & BREATHS else "reps"
    promise = quote(words, s.told_at - 2, s.told_at + 5) if s.told_at is not None else None
    return Segment(
        kind=s.kind,  # type: ignore[arg-type]
        counted=counted,  # type: ignore[arg-type]
        phase=phase,
        exercise=s.name,
        side=s.side,  # type: ignore[arg-type]
        round=_round(k, settled) if s.kind == "work" else None,
        announced_s=s.announced,
        promise=promise,
        start=_edge(s.first, "start" if s.kind == "work" else "stop", found.start_sd_s, h, words, block),
        stop=_edge(s.last, "stop" if s.kind == "work" else "start", found.stop_sd_s, h, words, block),
        probability=round(found.p, 3),
        lengths=tuple((round(1000 * d), p * (s.told_p or 1.0)) for d, p in found.lengths),
    )


def _round(k: int, settled: Sequence[Settled]) -> int | None:
    """Which time the move comes, where it comes more than once on the same side."""
    s = settled[k]
    alike = [x for x in settled if x.kind == "work" and x.name and x.name == s.name and x.side == s.side]
    return alike.index(s) + 1 if len(alike) > 1 else None


def _phases(c: Class, words: Sequence[Word]) -> tuple[Phase, ...]:
    cuts = [0, *(np.flatnonzero(np.diff(c.phase)) + 1).tolist()]
    ends = [*cuts[1:], len(words)]
    out = []
    for n, (a, b) in enumerate(zip(cuts, ends, strict=True)):
        start = 0 if n == 0 else words[a].span.start_ms
        stop = words[b].span.start_ms if b < len(words) else words[-1].span.end_ms
        out.append(Phase(CHOICES["phase"][c.phase[a]], Span(start, max(start, stop))))
    return tuple(out)


def _inside(at_ms: int, segments: Sequence[Segment]) -> int | None:
    return next((n for n, s in enumerate(segments) if at_ms in s.span), None)


def _calls(h: Heard, segments: Sequence[Segment], words: Sequence[Word]) -> list[TimeCall]:
    out = []
    for call in h.calls:
        said = quote(words, call.span.first, call.span.last)
        at, value = _inside(said.at_ms, segments), float(call.value)
        if at is not None and call.span.kind != "fraction" and value <= 6:
            value = _minutes(
                value, call.span.kind, said, segments[at], h.norms[call.span.first : call.span.last]
            )
        out.append(TimeCall(said, words[call.span.first].sd_ms, call.span.kind, value, at))  # type: ignore[arg-type]
    return out


def _minutes(value: float, kind: str, said: Quote, s: Segment, norms: Sequence[str]) -> float:
    """Minutes for the "two to go" of a long interval, where no unit was said and minutes fit far better."""
    if s.span.duration_ms < 150_000 or any(n.startswith("sec") for n in norms):
        return value
    where = (s.stop.at_ms - said.at_ms if kind == "remaining" else said.at_ms - s.start.at_ms) / 1000
    return value * 60 if abs(where - value * 60) < abs(where - value) else value


def _cues(h: Heard, c: Class, settled: Sequence[Settled], words: Sequence[Word]) -> list[Cue]:
    out = []
    for span in h.cues:
        k = _owner(span.first, settled, c)
        name = settled[k].name if k is not None else None
        out.append(Cue(quote(words, span.first, span.last), span.kind, name, k, round(span.p, 3)))  # type: ignore[arg-type]
    return out


def _owner(word: int, settled: Sequence[Settled], c: Class) -> int | None:
    """The interval a cue at ``word`` belongs to: the one it is said in; between two, the one before until the
    next one's set-up begins, then the next one.
    """
    works = [k for k, s in enumerate(settled) if s.kind == "work"]
    before = next((k for k in reversed(works) if settled[k].first <= word), None)
    if before is not None and word < settled[before].last:
        return before
    after = next((k for k in works if settled[k].first > word), None)
    if after is None:
        return before
    low = settled[before].last if before is not None else 0
    gap = c.intro[low : settled[after].first + 1]
    if before is None:
        # nothing in the opening belongs to a move until the first one is introduced
        turn = int(gap.argmax()) if len(gap) else 0
        return after if word >= low + turn else None
    turn = int(gap.argmax()) if len(gap) and gap.max() > -2.0 else 0
    return after if word >= low + turn else before
