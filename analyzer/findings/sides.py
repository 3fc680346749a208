"""Left against right."""

from __future__ import annotations

from collections.abc import Iterator

from analyzer.findings.material import SURE, Check, Material, make
from analyzer.findings.records import Finding
from analyzer.findings.wording import capital, seconds
from analyzer.measures.verdict import COVERAGE
from analyzer.spans import clock
from analyzer.standards.standard import Rule

__all__ = ["CHECKS"]


def sides_unequal(material: Material, rule: Rule) -> Iterator[Finding]:
    """Moves whose sides surely got different times; a side that never came is ``side_missing``.

    Weighs one step less where a drift of one side, a finding of its own, is the reason.
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
            f"{seconds(apart, sd)} apart, give or take {seconds(max(0.1, COVERAGE * sd), sd)}.",
            at_ms=balance.at_ms, exercise=balance.exercise,
            evidence=[q for s in segments for q in (s.start.quote, s.stop.quote)],
            size=apart / max(rule.limit("tolerance_s"), 0.1),
            by=int(apart >= rule.limit("serious_from_s")) - int(explained), at=clock(balance.at_ms),
        )


def side_missing(material: Material, rule: Rule) -> Iterator[Finding]:
    """Moves heard on one side only; a question where an interval nearby may be the other side."""
    segments = material.outline.segments
    for move in material.moves:
        sides = {segments[i].side for i in move.intervals}
        if not ({"left", "right"} & sides) or {"left", "right"} <= sides:
            continue
        side = "left" if "left" in sides else "right"
        other = "right" if side == "left" else "left"
        after = next((s for s in segments[move.intervals[-1] + 1 :] if s.kind == "work"), None)
        maybe = None in sides or (after is not None and after.exercise is None)
        unsure = maybe or move.probability < SURE
        question = f" Is the other one there? Check {clock(move.at_ms)}." if unsure else ""
        yield make(
            rule,
            f"{capital(move.name)} ({clock(move.at_ms)}): I heard the {side} side and not the {other}."
            f"{question}",
            at_ms=move.at_ms, exercise=move.name, interval=move.intervals[0],
            evidence=[segments[i].start.quote for i in move.intervals], size=2.0, by=-int(unsure),
        )


CHECKS: dict[str, Check] = {"sides_unequal": sides_unequal, "side_missing": side_missing}
