"""The caption file itself: what is wrong with it, and whether it holds a class at all."""

from __future__ import annotations

from collections.abc import Iterator

from analyzer.captions.records import Problem
from analyzer.findings.material import Check, Material, make
from analyzer.findings.records import Finding
from analyzer.findings.wording import capital, listing, plural
from analyzer.standards.standard import Rule

__all__ = ["CHECKS"]


def file_problem(material: Material, rule: Rule) -> Iterator[Finding]:
    """One note for each kind of problem with its lines; very many kinds are one note."""
    kinds: dict[tuple[str, str], list[Problem]] = {}
    for problem in material.captions.problems:
        kinds.setdefault((problem.what, problem.done), []).append(problem)
    if len(kinds) >= rule.limit("bundle_from"):
        problems = material.captions.problems
        each = [f"line {p.line}: {p.what} ({p.done})" for p in problems]
        yield make(rule, f"{plural(len(problems), 'problem')} in the file: {'; '.join(_cut(each))}.",
                   size=float(len(problems)))
        return
    for (what, done), group in kinds.items():
        lines = listing([str(p.line) for p in group])
        where = f"Line {lines}" if len(group) == 1 else f"Lines {lines}"
        yield make(rule, f"{where}: {what}. {capital(done)}.".replace("..", "."), size=float(len(group)))


def _cut(items: list[str], most: int = 5) -> list[str]:
    return items if len(items) <= most else [*items[:most], f"and {len(items) - most} more"]


def no_intervals(material: Material, rule: Rule) -> Iterator[Finding]:
    """Nothing that somebody starts and stops by voice."""
    if not material.work:
        yield make(rule, "I found no announced intervals in this recording, so there is nothing to measure.")


CHECKS: dict[str, Check] = {"file_problem": file_problem, "no_intervals": no_intervals}
