"""Apply a class standard to a class.

To add a check: a pure function of ``Material`` and its ``Rule`` that yields findings, in the ``CHECKS`` table
of its module under the id of a rule of ``standards/default.toml``.
"""

from __future__ import annotations

from collections.abc import Sequence

from analyzer.captions.records import Captions
from analyzer.findings import calls, coaching, file, promises, sides, timing, whole_class
from analyzer.findings.material import Check, Material, Suggest
from analyzer.findings.records import Finding, Weight
from analyzer.measures.records import Measures
from analyzer.outline.records import Outline
from analyzer.standards.standard import Standard
from analyzer.words import Word

__all__ = ["CHECKS", "find", "rank"]

CHECKS: dict[str, Check] = {
    **whole_class.CHECKS,
    **promises.CHECKS,
    **sides.CHECKS,
    **timing.CHECKS,
    **calls.CHECKS,
    **coaching.CHECKS,
    **file.CHECKS,
}
"""Every check by the id of its rule."""
_ORDER: tuple[Weight, ...] = ("must fix", "should fix", "note")


def find(
    captions: Captions,
    words: Sequence[Word],
    outline: Outline,
    measures: Measures,
    standard: Standard,
    suggest: Suggest | None = None,
) -> tuple[Finding, ...]:
    """All findings in order of time, those of the class as a whole first.

    ``suggest`` gives a sentence to say for a move and a kind of cue. Without work intervals the recording is
    no class: nothing is demanded of it, and the findings are of the file alone.
    """
    material = Material(captions, words, outline, measures, standard, suggest)
    checks = CHECKS if material.work else file.CHECKS
    found = [
        finding
        for name, rule in standard.rules.items()
        if name in checks and rule.weight != "off"
        for finding in checks[name](material, rule)
    ]
    return tuple(sorted(found, key=lambda f: -1 if f.at_ms is None else f.at_ms))


def rank(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Most important first: by weight, then by the size of the miss, then by time."""
    return tuple(sorted(findings, key=lambda f: (_ORDER.index(f.weight), -f.size, f.at_ms or 0)))
