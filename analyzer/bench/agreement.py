"""Does the same class give the same review in two caption forms?

The same speech was captioned twice, so whatever the two documents do not share depends on the captions. No
truth is needed: both can be wrong together, which the scores show.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import combinations
from operator import add

from analyzer.bench.matching import Record, match, match_times, name_tokens, of_kind, same_name
from analyzer.bench.score import DECIDED, Case, Document
from analyzer.bench.tally import Count, Share, count
from analyzer.outline.records import CUE_KINDS

__all__ = ["CUE_SLACK_S", "Agreement", "agreement", "agreements"]

CUE_SLACK_S = 4.0


@dataclass(frozen=True, slots=True)
class Agreement:
    """What two documents of a class share; agreements add up, and ``Agreement()`` is none.

    ``intervals`` (work and rest) and ``cues`` (in the order of CUE_KINDS) count the first document's as true
    and the second's as found; ``f1`` is then the share of both documents' things that have a partner, the
    same both ways round. ``moves`` are matched work intervals with the same name, or with none in either;
    ``verdicts`` are matched work intervals decided in both, with the same verdict.
    """

    classes: int = 0
    intervals: Count = field(default_factory=Count)
    moves: Share = field(default_factory=Share)
    verdicts: Share = field(default_factory=Share)
    cues: tuple[Count, ...] = (Count(),) * len(CUE_KINDS)

    def __add__(self, other: Agreement) -> Agreement:
        return Agreement(
            self.classes + other.classes,
            self.intervals + other.intervals,
            self.moves + other.moves,
            self.verdicts + other.verdicts,
            tuple(map(add, self.cues, other.cues)),
        )

    @property
    def all_cues(self) -> Count:
        """Cues of every kind together."""
        return sum(self.cues, Count())


def agreement(first: Document, second: Document) -> Agreement:
    """Compare two data documents of one class. Lists that a document lacks count as empty."""
    works, pairs = _matched("work", first, second)
    rests, _ = _matched("rest", first, second)
    decided = [(a.get("verdict"), b.get("verdict")) for a, b in pairs]
    return Agreement(
        classes=1,
        intervals=works + rests,
        moves=count(_same_move(a.get("exercise"), b.get("exercise")) for a, b in pairs),
        verdicts=count(a == b for a, b in decided if a in DECIDED and b in DECIDED),
        cues=tuple(_cues(kind, first, second) for kind in CUE_KINDS),
    )


def _matched(kind: str, first: Document, second: Document) -> tuple[Count, list[tuple[Record, Record]]]:
    a, b = (of_kind(kind, document.get("intervals", [])) for document in (first, second))
    pairs = match(a, b)
    return Count(len(a), len(b), len(pairs)), pairs


def _same_move(a: str | None, b: str | None) -> bool:
    return same_name(a, b) or not (name_tokens(a) or name_tokens(b))


def _cues(kind: str, first: Document, second: Document) -> Count:
    a, b = ([c["at_s"] for c in of_kind(kind, d.get("cues", []))] for d in (first, second))
    return Count(len(a), len(b), match_times(a, b, CUE_SLACK_S))


def agreements(cases: Iterable[Case]) -> dict[tuple[str, str], Agreement]:
    """Agreement of each pair of caption forms, summed over classes.

    A case whose analysis failed is left out: two failures would agree perfectly.
    """
    by_class: dict[str, dict[str, Document]] = {}
    for case in cases:
        if not case.failed:
            by_class.setdefault(case.name, {})[case.form] = case.document
    sums: dict[tuple[str, str], Agreement] = {}
    for documents in by_class.values():
        for a, b in combinations(documents, 2):
            sums[a, b] = sums.get((a, b), Agreement()) + agreement(documents[a], documents[b])
    return sums
