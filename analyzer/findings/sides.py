"""Left against right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from analyzer.findings.material import SURE, Check, Material, Move, make, whole
from analyzer.findings.records import Finding
from analyzer.findings.wording import capital, plural, seconds
from analyzer.measures.verdict import COVERAGE
from analyzer.outline.records import Side
from analyzer.spans import clock
from analyzer.standards.standard import Rule

__all__ = ["CHECKS"]


def sides_unequal(material: Material, rule: Rule) -> Iterator[Finding]:
    """Moves whose sides surely got different times; a side that never came is ``side_missing``.

    A note where a drift of one side, a finding of its own, is the reason: mended there, it is mended here.
    """
    off = {id(i.segment) for i in material.measures.intervals if i.verdict in ("long", "short")}
    for balance in material.measures.sides:
        both = balance.left_s and balance.right_s
        if not both or balance.verdict not in ("left longer", "right longer"):
            continue
        apart, sd = abs(balance.difference_s), balance.difference_sd_s
        where = f", round {balance.round}" if balance.round else ""
        segments = [s for s in material.outline.segments if s.exercise == balance.exercise and s.side
                    and (balance.round is None or s.round == balance.round)]
        explained = any(id(s) in off for s in segments)
        yield make(
            rule,
            f"{capital(balance.exercise)}{where} ({clock(balance.at_ms)}): the left side got "
            f"{seconds(balance.left_s, sd)} and the right {seconds(balance.right_s, sd)}, "
            f"{seconds(apart, sd)} apart, give or take {seconds(max(0.1, COVERAGE * sd), sd)}"
            f"{', because one of them was off its time' if explained else ''}.",
            at_ms=balance.at_ms, exercise=balance.exercise,
            evidence=[q for s in segments for q in (s.start.quote, s.stop.quote)],
            size=apart / max(rule.limit("tolerance_s"), 0.1),
            by=-1 if explained else int(apart >= rule.limit("serious_from_s")), at=clock(balance.at_ms),
        )


def side_missing(material: Material, rule: Rule) -> Iterator[Finding]:
    """Moves heard on one side only, or more often on one side than on the other.

    A question where an interval nearby may be the other side, or where both came but not equally often. A
    move given by sides that came an odd number of times with no side named is a note.
    """
    segments = material.outline.segments
    for move in material.moves:
        given = [segments[i] for i in move.intervals]
        count = Counter(s.side for s in given)
        if not (count["left"] or count["right"]):
            continue
        if count["left"] != count["right"]:
            yield _fewer(material, rule, move, "left" if count["left"] > count["right"] else "right", count)
            continue
        sided = {(s.phase, s.announced_s) for s in given if s.side}
        unnamed = [s.start for s in given if s.side is None and (s.phase, s.announced_s) in sided]
        if len(unnamed) % 2:
            at = unnamed[0]
            yield make(
                rule,
                f"{capital(move.name)} ({clock(at.at_ms)}): I heard no side named here, and one the other "
                "times. Did both sides get a turn?",
                at_ms=at.at_ms, exercise=move.name, evidence=[at.quote], size=1.0, by=-2,
            )


def _fewer(material: Material, rule: Rule, move: Move, side: Side, count: Counter[Side | None]) -> Finding:
    """What to say of a move that came more often on ``side``."""
    segments = material.outline.segments
    other: Side = "right" if side == "left" else "left"
    after = next((s for s in segments[move.intervals[-1] + 1 :] if s.kind == "work"), None)
    maybe = count[None] > 0 or (after is not None and after.exercise is None)
    unsure = maybe or move.probability < SURE or count[other] > 0
    at = clock(move.at_ms)
    heard = (f"I heard the {side} side and not the {other}." if not count[other] else
             f"I heard the {side} side {plural(count[side], 'time')} and the {other} {count[other]}.")
    question = f" Is the other one there? Check {'from ' if count[other] else ''}{at}." if unsure else ""
    given = [segments[i] for i in move.intervals if segments[i].side]
    return make(
        rule, f"{capital(move.name)} ({at}): {heard}{question}",
        at_ms=move.at_ms, exercise=move.name, interval=move.intervals[0],
        evidence=[s.start.quote for s in given], by=-int(unsure),
        size=(count[side] - count[other]) * whole(material, given),
    )


CHECKS: dict[str, Check] = {"sides_unequal": sides_unequal, "side_missing": side_missing}
