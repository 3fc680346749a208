"""What the class as a whole has to hold: cautions, water, a warm-up, a cool-down."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from analyzer.findings.material import HEARD, Check, Material, hears, make
from analyzer.findings.records import Finding
from analyzer.findings.wording import seconds
from analyzer.outline.records import Cue, PhaseName, Quote
from analyzer.spans import clock
from analyzer.standards.standard import Rule

__all__ = ["CHECKS"]

ABSENT = 30.0
"""Size of a demand on the whole class that nothing meets: as much as a minute of work that never came."""
NEARLY = 0.9
"""Share of the least length of a phase that is near enough: its ends are known to some seconds only."""
NEAR_WORDS = 10
"""Words around a sign in which a word like "if" makes it a caution that no cue was heard for."""


def _caution(what: str) -> Check:
    def check(material: Material, rule: Rule) -> Iterator[Finding]:
        safety = [c for c in material.outline.cues if c.kind == "safety"]
        fitting = [c for c in safety if hears(rule.listen_for, c.quote.said)]
        if any(c.probability >= HEARD for c in fitting):
            return
        maybe = _nearest_cue(material, rule, safety)
        nearest = fitting[0].quote if fitting else maybe or _nearest_words(material, rule)
        if nearest is None:
            yield make(rule, f"I heard no word on {what}.", size=ABSENT)
            return
        yield make(
            rule,
            f'Was "{nearest.said}" at {clock(nearest.at_ms)} the word on {what}? I heard nothing clearer.',
            at_ms=nearest.at_ms, evidence=[nearest], size=ABSENT, by=-1,
        )

    check.__doc__ = f"Whether some safety cue spoke of {what}; words elsewhere make it a question."
    return check


def _nearest_cue(material: Material, rule: Rule, cues: Sequence[Cue]) -> Quote | None:
    """A safety cue that may be the caution ("If your back is talking, come up") and is not another one."""
    others = [r.listen_for for r in material.standard.rules.values() if r.listen_with and r.id != rule.id]
    for cue in cues:
        said = cue.quote.said
        near = any(word in rule.listen_with for word in re.findall(r"\w+", said.lower()))
        if near and hears(rule.listen_maybe, said) and not any(hears(stems, said) for stems in others):
            return cue.quote
    return None


def _nearest_words(material: Material, rule: Rule) -> Quote | None:
    """Words outside the safety cues that may be the caution: a sign with "if" or the like around it."""
    words, signs = material.words, tuple(s for s in rule.listen_for if s not in rule.listen_with)
    norms = [word.norm for word in words]
    for at, norm in enumerate(norms):
        if not norm.startswith(signs):
            continue
        first = max(0, at - NEAR_WORDS)
        around = norms[first:at] + norms[at + 1 : at + NEAR_WORDS]
        if any(norm in rule.listen_with for norm in around):
            near = words[max(0, at - NEAR_WORDS // 2) : at + NEAR_WORDS // 2]
            return Quote(near[0].span.start_ms, " ".join(w.text for w in near))
    return None


def _phase_missing(phase: PhaseName, name: str) -> Check:
    def check(material: Material, rule: Rule) -> Iterator[Finding]:
        length = material.measures.totals.length_s
        if _phase_s(material, phase) or length < rule.limit("asked_from_s") or _spoken_of(material, rule):
            return
        at = material.outline.segments[0].start.at_ms if phase == "warm-up" else None
        yield make(rule, f"I heard no {name} in this class of {seconds(length)}.", at_ms=at, size=ABSENT / 2)

    check.__doc__ = f"A class of some length without a {name}, unless it says where to get one."
    return check


def _spoken_of(material: Material, rule: Rule) -> bool:
    text = " ".join(word.norm for word in material.words)
    return any(re.search(rf"\b{re.escape(phrase)}\b", text) for phrase in rule.listen_for)


def _phase_short(phase: PhaseName, name: str) -> Check:
    def check(material: Material, rule: Rule) -> Iterator[Finding]:
        length, actual = material.measures.totals.length_s, _phase_s(material, phase)
        least = min(rule.limit("enough_s"), rule.limit("least_share") * length)
        if 0 < actual < NEARLY * least:
            at = next(p.span.start_ms for p in material.outline.phases if p.phase == phase)
            yield make(
                rule,
                f"The {name} takes about {seconds(round(actual))}; for a class of {seconds(round(length))} "
                f"at least {seconds(round(least))} would do.",
                at_ms=at, size=least / actual,
            )

    check.__doc__ = f"A {name} shorter than its share of the class, or than is enough for any class."
    return check


def _phase_s(material: Material, phase: PhaseName) -> float:
    totals = material.measures.totals
    return totals.warm_up_s if phase == "warm-up" else totals.cool_down_s


def no_water_break(material: Material, rule: Rule) -> Iterator[Finding]:
    """A class of some length in which nobody spoke of drinking."""
    length = material.measures.totals.length_s
    cues = [c for c in material.outline.cues if c.kind == "hydration"]
    if length < rule.limit("asked_from_s") or any(c.probability >= HEARD for c in cues):
        return
    yield make(
        rule, f"I heard no word about water in {seconds(round(length))} of class.",
        evidence=[c.quote for c in cues], size=length / max(rule.limit("asked_from_s"), 1.0),
        by=int(length >= rule.limit("serious_from_s")),
    )


CHECKS: dict[str, Check] = {
    "no_stop_caution": _caution("when to stop (pain, dizziness, feeling unwell)"),
    "no_health_caution": _caution("asking a doctor first (injury, condition, pregnancy)"),
    "no_warm_up": _phase_missing("warm-up", "warm-up"),
    "short_warm_up": _phase_short("warm-up", "warm-up"),
    "no_cool_down": _phase_missing("cool-down", "cool-down"),
    "short_cool_down": _phase_short("cool-down", "cool-down"),
    "no_water_break": no_water_break,
}
