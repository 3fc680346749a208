"""A review in a few plain lines, for the terminal."""

from __future__ import annotations

from analyzer.findings.find import rank
from analyzer.findings.records import Finding
from analyzer.findings.wording import listing, plural
from analyzer.measures.records import Totals
from analyzer.review import Review
from analyzer.spans import clock
from analyzer.terminal import printable

__all__ = ["MOST", "summary"]

MOST = 3
"""Findings that are shown; the others are counted."""


def summary(review: Review, *, where: str = "on the page") -> tuple[str, ...]:
    """One sentence of totals, the most important findings with their times, and how many more there are.

    Each is a line without a line end; ``where`` says where the others can be read.
    """
    shown, left = rank(review.findings)[:MOST], len(review.findings) - MOST
    lines = [_totals(printable(review.title), review.measures.totals), *_lines(shown)]
    if left > 0:
        lines.append(f"and {left} more {where}".rstrip())
    elif not shown:
        lines.append("Nothing to fix was found.")
    return tuple(lines)


def _totals(title: str, totals: Totals) -> str:
    length = clock(totals.length_s * 1000)
    if not totals.work_intervals:
        return f"{title}, {length}: no announced intervals found."
    counted = (
        (totals.work_intervals, "work interval", totals.work_s),
        (totals.rest_intervals, "rest", totals.rest_s),
    )
    parts = [f"{plural(count, kind)} ({clock(sum_s * 1000)})" for count, kind, sum_s in counted if count]
    return f"{title}, {length}: {listing(parts)}; {_kept(totals)}."


def _kept(totals: Totals) -> str:
    if not totals.timed_intervals:
        return "no length was told"
    off = ((totals.long, "long"), (totals.short, "short"), (totals.undecided, "undecided"))
    others = "".join(f", {count} {verdict}" for count, verdict in off if count)
    return f"told lengths: {totals.on_time} of {totals.timed_intervals} on time{others}"


def _lines(findings: tuple[Finding, ...]) -> list[str]:
    times = ["whole class" if f.at_ms is None else clock(f.at_ms) for f in findings]
    width = max(map(len, times), default=0)
    return [
        f"  {time:>{width}}  {printable(_without(time, finding.message))} ({finding.weight})"
        for time, finding in zip(times, findings, strict=True)
    ]


def _without(time: str, message: str) -> str:
    """The message without its time, which stands before it here."""
    ways = ((f" ({time})", ""), (f", from {time})", ")"), (f", {time})", ")"), (f'" at {time} ', '" '))
    for said, left in ways:
        if said in message:
            return message.replace(said, left, 1)
    return message
