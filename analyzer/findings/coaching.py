"""What each move was told: a way to make it easier, how to do it well, when to breathe, its name."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from analyzer.findings.material import SURE, Check, Material, Move, hears, make, move_key
from analyzer.findings.records import Finding
from analyzer.findings.wording import capital, label, listing, plural
from analyzer.outline.records import CueKind, Edge, Segment
from analyzer.spans import clock
from analyzer.standards.standard import Rule

__all__ = ["CHECKS"]

_NAMES: dict[CueKind, str] = {
    "regression": "an easier option", "form": "a cue on form", "breathing": "a word on breathing",
}
_NONE = {kind: "no " + name.removeprefix("an ").removeprefix("a ") for kind, name in _NAMES.items()}
SUGGESTED = 3
"""Moves for which a finding on many moves suggests a sentence."""


def _missing(kind: CueKind) -> Check:
    def check(material: Material, rule: Rule) -> Iterator[Finding]:
        lacking = [m for m in material.moves if not m.heard(kind) and not hears(rule.not_for, m.name)]
        main = [m for m in lacking if m.main]
        if len(main) >= rule.limit("bundle_from"):
            total = sum(m.main for m in material.moves)
            of = f"{len(main)} of the {total} moves of the main part"
            yield _together(material, rule, kind, main, of, 0)
        else:
            for move in main:
                yield _one(material, rule, kind, move)
        ends = [m for m in lacking if not m.main]
        # the moves there are easy ones: good to know, and never more than that
        if len(ends) == 1:
            yield _one(material, rule, kind, ends[0], by=-2)
        elif ends:
            of = f"{plural(len(ends), 'move')} of warm-up and cool-down"
            yield _together(material, rule, kind, ends, of, -2)

    check.__doc__ = f"Moves without {_NAMES[kind]}; those of warm-up and cool-down are one note."
    return check


def _one(material: Material, rule: Rule, kind: CueKind, move: Move, by: int = 0) -> Finding:
    maybe = move.perhaps(kind)
    unsure = bool(maybe) or move.probability < SURE
    count, at = len(move.intervals), clock(move.at_ms)
    where = capital(move.name) + (f" ({at})" if count == 1 else f" ({count} times, from {at})")
    if maybe:
        message = (f'{where}: was "{maybe[0].said}" at {clock(maybe[0].at_ms)} {_NAMES[kind]}? '
                   "I heard nothing clearer.")
    elif unsure:
        message = f"{where}: was there {_NAMES[kind]}? I heard none; check {at}."
    else:
        message = f"{where}: I heard {_NONE[kind]}."
    return make(
        rule, message, at_ms=move.at_ms, exercise=move.name, interval=move.intervals[0], evidence=maybe,
        size=float(count), by=by - int(unsure), say=_say(material, rule, kind, [move]),
    )


def _together(
    material: Material, rule: Rule, kind: CueKind, moves: Sequence[Move], of: str, by: int
) -> Finding:
    names = [f"{m.name} ({clock(m.at_ms)})" for m in moves]
    evidence = [quote for m in moves for quote in m.perhaps(kind)]
    perhaps = f' Perhaps "{evidence[0].said}" at {clock(evidence[0].at_ms)} was one.' if evidence else ""
    return make(
        rule, f"I heard {_NONE[kind]} for {of}: {listing(names)}.{perhaps}", at_ms=moves[0].at_ms,
        evidence=evidence, size=float(len(moves)), by=by, say=_say(material, rule, kind, moves),
    )


def _say(material: Material, rule: Rule, kind: CueKind, moves: Sequence[Move]) -> str:
    """Sentences to say, by move where the lexicon knows one, else the rule's own."""
    known = [(m.name, sentence) for m in moves if (sentence := material.sentence(m.name, kind))][:SUGGESTED]
    if not known:
        return f'For instance: "{rule.say}"'
    if len(moves) == 1:
        return f'For instance: "{known[0][1]}"'
    return "For instance: " + " ".join(f'{capital(name)}: "{sentence}"' for name, sentence in known)


def move_not_named(material: Material, rule: Rule) -> Iterator[Finding]:
    """Work intervals without a name, or whose name is first heard after the start."""
    said, segments = _first_said(material), material.outline.segments
    nameless = [(i, s) for i, s in material.work if s.exercise is None]
    yield from _listed(rule, nameless, "I heard no name for", lambda s: s.start)
    late = [(m.intervals[0], segments[m.intervals[0]]) for m in material.moves
            if said.get(move_key(m.name), m.at_ms) > m.at_ms]
    # the name may have been said in other words than the one the move goes by here
    yield from _listed(rule, late, "I first heard the name after the start of", lambda s: s.start, by=-1)


def _first_said(material: Material) -> dict[str, int]:
    """When a word of each move's name was first said; moves named in words never said are left out."""
    first: dict[str, int] = {}
    for word in material.words:
        for part in move_key(word.norm.replace("-", " ")).split():
            first.setdefault(part, word.span.start_ms)
    times = {}
    for move in material.moves:
        heard = [first[part] for part in move_key(move.name.replace("-", " ")).split() if part in first]
        if heard:
            times[move_key(move.name)] = min(heard)
    return times


def start_not_spoken(material: Material, rule: Rule) -> Iterator[Finding]:
    """Work intervals that start without a word for it."""
    silent = [(i, s) for i, s in material.work if not s.start.spoken]
    yield from _listed(rule, silent, "I heard no word that starts", lambda s: s.start)


def stop_not_spoken(material: Material, rule: Rule) -> Iterator[Finding]:
    """Work intervals that stop without a word for it."""
    silent = [(i, s) for i, s in material.work if not s.stop.spoken]
    yield from _listed(rule, silent, "I heard no word that ends", lambda s: s.stop)


def _listed(
    rule: Rule,
    found: Sequence[tuple[int, Segment]],
    what: str,
    edge: Callable[[Segment], Edge],
    by: int = 0,
) -> Iterator[Finding]:
    """One finding each, or one for all from ``bundle_from`` on."""
    groups = [found] if len(found) >= rule.limit("bundle_from") else [[item] for item in found]
    for group in filter(None, groups):
        index, first = group[0]
        names = [label(s).replace("The interval", "the interval") for _, s in group]
        count = f"{plural(len(group), 'interval')}: " if len(group) > 1 else ""
        single = len(group) == 1
        yield make(
            rule, f"{capital(what)} {count}{listing(names)}.", at_ms=edge(first).at_ms,
            exercise=first.exercise if single else None, interval=index if single else None,
            evidence=[edge(s).quote for _, s in group], size=float(len(group)),
            by=by - int(all(s.probability < SURE for _, s in group)), at=clock(edge(first).at_ms),
        )


CHECKS: dict[str, Check] = {
    "no_easier_option": _missing("regression"),
    "no_form_cue": _missing("form"),
    "no_breathing_cue": _missing("breathing"),
    "move_not_named": move_not_named,
    "start_not_spoken": start_not_spoken,
    "stop_not_spoken": stop_not_spoken,
}
