"""What was kept, with numbers: a coach needs it as much as the rest.

Each line is a function that says one good thing, or nothing. To add one: write it and put it into ``_LINES``.
Nothing here is said that a finding contradicts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from analyzer.findings.material import HEARD, Material, hears
from analyzer.findings.wording import capital, listing, plural, seconds
from analyzer.outline.records import Cue, Quote
from analyzer.report.charts import asked_kinds
from analyzer.report.phrases import CUES
from analyzer.review import Review

__all__ = ["Kept", "kept"]

SHARE = 0.5
"""Share from which a count is a good thing."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A good thing in a sentence, with words of the class where some show it."""

    text: str
    quotes: tuple[Quote, ...] = ()


def kept(review: Review, material: Material) -> tuple[Kept, ...]:
    """All that was kept."""
    return tuple(line for find in _LINES for line in find(review, material))


def _times(review: Review, material: Material) -> Iterator[Kept]:
    limits = material.standard.tolerance
    for kind, name, within in (("work", "work intervals", limits.work_s), ("rest", "rests", limits.rest_s)):
        timed = [i for i in review.measures.intervals if i.segment.kind == kind and i.drift_s is not None]
        good = sum(i.verdict == "on time" for i in timed)
        if good and good >= SHARE * len(timed):
            of = f"{good} of {len(timed)} {name} with a told length"
            yield Kept(f"{of} were on time, within {seconds(within)}.")


def _calls(review: Review, material: Material) -> Iterator[Kept]:
    checked = [c for c in review.measures.calls if c.verdict != "untimed"]
    good = sum(c.verdict == "on time" for c in checked)
    if good and good >= SHARE * len(checked):
        within = seconds(material.standard.tolerance.call_s)
        yield Kept(f"{good} of {plural(len(checked), 'time call')} were right, within {within}.")


def _sides(review: Review, material: Material) -> Iterator[Kept]:
    sides = review.measures.sides
    equal = list(dict.fromkeys(s.exercise for s in sides if s.verdict == "equal"))
    uneven = {s.exercise for s in sides if s.verdict != "equal"}
    good = [name for name in equal if name not in uneven]
    if good:
        yield Kept(f"Left and right got the same time in {listing(good)}.")


def _promises(review: Review, material: Material) -> Iterator[Kept]:
    promised = [p for p in review.outline.promises if p.rounds or p.moves]
    if promised and not _found(review, "promised_round_missing", "promised_move_missing"):
        quotes = tuple(p.quote for p in promised)
        yield Kept("I heard every round and move that was promised.", quotes)


def _cues(review: Review, material: Material) -> Iterator[Kept]:
    for kind in asked_kinds(material.standard):
        given = [m for m in material.moves if m.heard(kind)]
        if given and len(given) >= SHARE * len(material.moves):
            what = {"form": "a cue on form", "breathing": "a word on breathing"}.get(kind, f"an {CUES[kind]}")
            which = "All" if len(given) == len(material.moves) else f"{len(given)} of"
            yield Kept(f"{which} {plural(len(material.moves), 'move')} got {what}.")


def _cautions(review: Review, material: Material) -> Iterator[Kept]:
    for rule, what in (("no_stop_caution", "when to stop"), ("no_health_caution", "asking a doctor first")):
        listen = material.standard.rules[rule].listen_for if rule in material.standard.rules else ()
        cues = [c for c in _sure(review, "safety") if hears(listen, c.quote.said)]
        if cues and not _found(review, rule):
            yield Kept(f"There was a word on {what}.", (cues[0].quote,))


def _water(review: Review, material: Material) -> Iterator[Kept]:
    cues = _sure(review, "hydration")
    if cues:
        yield Kept(f"Water was spoken of {plural(len(cues), 'time')}.", (cues[0].quote,))


def _ends(review: Review, material: Material) -> Iterator[Kept]:
    t = review.measures.totals
    parts = []
    if t.warm_up_s and not _found(review, "no_warm_up", "short_warm_up"):
        parts.append(f"a warm-up of {seconds(round(t.warm_up_s))}")
    if t.cool_down_s and not _found(review, "no_cool_down", "short_cool_down"):
        parts.append(f"a cool-down of {seconds(round(t.cool_down_s))}")
    if parts:
        yield Kept(f"{capital(listing(parts))}.")


def _sure(review: Review, kind: str) -> list[Cue]:
    return [c for c in review.outline.cues if c.kind == kind and c.probability >= HEARD]


def _found(review: Review, *rules: str) -> bool:
    return any(f.rule in rules for f in review.findings)


_LINES: tuple[Callable[[Review, Material], Iterator[Kept]], ...] = (
    _times, _calls, _promises, _sides, _cues, _cautions, _water, _ends,
)
