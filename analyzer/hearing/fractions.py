"""The share of an interval that a time call names: "halfway", "three quarters there", "a third left"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from analyzer.hearing.numbers import Number, number_at, tables

__all__ = ["fraction_in"]


def _number_before(norms: Sequence[str], i: int) -> Number | None:
    """The longest number that ends just before word ``i``: "seventy five percent"."""
    tried = (number_at(norms, k) for k in range(max(0, i - 4), i))
    return next((n for n in tried if n and n.last == i), None)


def fraction_in(norms: Sequence[str]) -> float | None:
    """The share done that a time call names, 0..1: "three quarters there" 0.75, "a third left" 0.667.

    >>> fraction_in("we are halfway".split()), fraction_in("one quarter to go".split())
    (0.5, 0.75)
    >>> fraction_in(["90%", "done"])
    0.9
    """
    table = tables()
    shares: dict[str, float] = table["fractions"]
    norms = [part for word in norms for part in re.sub(r"('s|-ish)$", "", word).split("-") if part]
    text = " ".join(norms)
    for i, word in enumerate(norms):
        if word in ("percent", "%") and (number := _number_before(norms, i)):
            return round(min(1.0, number.value / 100), 3)
        if word.endswith("%") and (number := number_at([word[:-1]], 0)):
            return round(min(1.0, number.value / 100), 3)
        if word not in shares:
            continue
        count = 1
        if word in ("quarters", "thirds") and (number := _number_before(norms, i)):
            count = int(number.value)
        share = round(min(1.0, shares[word] * count), 3)
        left = any(f"{word} {after}" in text for after in table["left"]["words"]) or f"last {word}" in text
        return round(1 - share, 3) if left and share != 0.5 else share
    return None
