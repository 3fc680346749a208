"""Score a data document (what ``review --json`` writes) against the truth of a scripted class.

Rules of ``compare``:

- Work intervals (holds too) and rests match one to one from half their union on, best overlap first. Edges,
  names, sides, phases, announced lengths and verdicts are judged on matched work intervals.
- An edge is covered when its error is at most 2u. Coverage is easy to buy with wide uncertainties, so the
  median of 2u stands beside it.
- A verdict is right when it names the true drift's side of a tolerance of 2 s; within half a second of that
  tolerance either side is right. "undecided" is not wrong: it lowers the share decided.
- A time call is right in kind and value, and within the slack; cues of a kind match by time, within the
  slack, nearest first. What a caption form can say of times sets the slack.
- A missing cue is a move and a kind (all but hydration, which no single move owes) with no cue in the class.
- Boundaries are all edges of work and rest, hit within 0.5 s and 3 s.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analyzer.bench.matching import (
    Record,
    boundaries,
    boundary_hits,
    closest,
    match,
    match_times,
    name_tokens,
    of_kind,
    same_name,
)
from analyzer.bench.tally import WITHIN_S, Count, EdgeError, Tally, count, figures
from analyzer.outline.records import CUE_KINDS

__all__ = ["Case", "Document", "Tally", "compare", "figures", "slack_s"]

Document = Mapping[str, Any]

TOLERANCE_S = 2.0
BORDER_S = 0.5
"""A true drift this close to the tolerance may be called either way."""
SLACK_S = {"blocks.txt": 12.0}
MOVE_KINDS = tuple(kind for kind in CUE_KINDS if kind != "hydration")
DECIDED = ("on time", "long", "short")
NO_VALUE = -1.0


def slack_s(form: str) -> float:
    """How far off a call or a cue may be, in seconds: 4, and 12 in blocks of 22 s with one stamp each."""
    return SLACK_S.get(form, 4.0)


@dataclass(frozen=True, slots=True)
class Case:
    """One class in one caption form: what was found and what is true. ``failed`` says why nothing was."""

    name: str
    form: str
    document: Document
    truth: Document
    failed: str | None = None

    @property
    def tally(self) -> Tally:
        """The comparison, with the slack of the caption form."""
        return compare(self.truth, self.document, slack_s=slack_s(self.form))


def compare(truth: Document, document: Document, *, slack_s: float = 4.0) -> Tally:
    """Compare a data document with ``analyzer.bench.truth.truth``. A list it lacks counts as empty."""
    found: Sequence[Record] = document.get("intervals", [])
    works, works_found = of_kind("work", truth["intervals"]), of_kind("work", found)
    rests, rests_found = of_kind("rest", truth["intervals"]), of_kind("rest", found)
    pairs = match(works, works_found)
    timed = [(t, g) for t, g in pairs if t["announced_s"] is not None]
    cues: Sequence[Record] = document.get("cues", [])
    edges_true, edges_found = boundaries([*works, *rests]), boundaries([*works_found, *rests_found])
    return Tally(
        works=Count(len(works), len(works_found), len(pairs)),
        rests=Count(len(rests), len(rests_found), len(match(rests, rests_found))),
        calls=_calls(truth["calls"], document.get("time_calls", []), slack_s),
        missing=_missing(works, truth["cues"], cues),
        boundaries=tuple(
            Count(len(edges_true), len(edges_found), boundary_hits(edges_true, edges_found, within))
            for within in WITHIN_S
        ),
        said=tuple(_said(of_kind(k, truth["cues"]), of_kind(k, cues), slack_s) for k in CUE_KINDS),
        lengths=count(g.get("announced_s") == t["announced_s"] for t, g in pairs),
        names=count(same_name(t["exercise"], g.get("exercise")) for t, g in pairs),
        sides=count(g.get("side") == t["side"] for t, g in pairs if t["side"]),
        phases=count(g.get("phase") == t["phase"] for t, g in pairs),
        decided=count(g.get("verdict") in DECIDED for _, g in timed),
        verdicts=count(_verdict_right(t, g) for t, g in timed if g.get("verdict") in DECIDED),
        edges=tuple(_edges(pairs)),
    )


def _edges(pairs: Iterable[tuple[Record, Record]]) -> Iterator[EdgeError]:
    for true, found in pairs:
        yield EdgeError("start", abs(found["start_s"] - true["start_s"]), found.get("start_sd_s"))
        yield EdgeError("stop", abs(found["stop_s"] - true["stop_s"]), found.get("stop_sd_s"))


def _verdict_right(true: Record, found: Record) -> bool:
    drift = true["stop_s"] - true["start_s"] - true["announced_s"]
    verdict = "long" if drift > TOLERANCE_S else "short" if drift < -TOLERANCE_S else "on time"
    return bool(found["verdict"] == verdict or abs(abs(drift) - TOLERANCE_S) < BORDER_S)


def _calls(true: Sequence[Record], found: Sequence[Record], slack: float) -> Count:
    left, both = list(found), 0
    for call in true:
        near = [
            (abs(other["at_s"] - call["at_s"]), place)
            for place, other in enumerate(left)
            if other.get("kind") == call["kind"]
            and abs(float(other.get("value") or NO_VALUE) - call["value"]) < 0.02
            and abs(other["at_s"] - call["at_s"]) <= slack
        ]
        if near:
            del left[min(near)[1]]
            both += 1
    return Count(len(true), len(found), both)


def _said(true: Sequence[Record], found: Sequence[Record], slack: float) -> Count:
    hits = match_times([c["at_s"] for c in true], [c["at_s"] for c in found], slack)
    return Count(len(true), len(found), hits)


def _missing(works: Iterable[Record], true: Iterable[Record], found: Iterable[Record]) -> Count:
    moves = list(dict.fromkeys(name_tokens(i["exercise"]) for i in works))
    given = {(c["kind"], closest(c["exercise"], moves)) for c in true}
    heard = {(c.get("kind"), closest(c.get("exercise"), moves)) for c in found}
    owed = {(kind, move) for kind in MOVE_KINDS for move in moves}
    return Count(len(owed - given), len(owed - heard), len(owed - given - heard))
