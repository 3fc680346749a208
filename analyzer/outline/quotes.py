"""Words of the class as evidence."""

from __future__ import annotations

from collections.abc import Sequence

from analyzer.outline.records import Quote
from analyzer.words import Word

__all__ = ["quote"]


def quote(words: Sequence[Word], first: int, last: int) -> Quote:
    """Words ``first`` to before ``last``, as far as there are any, as they stand in the captions."""
    first, last = max(0, first), min(len(words), last)
    return Quote(words[first].span.start_ms, " ".join(w.text for w in words[first:last]))
