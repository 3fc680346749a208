"""One thing to fix or to know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from analyzer.outline.records import Quote

__all__ = ["Finding", "Mend", "Weight"]

Weight = Literal["must fix", "should fix", "note"]
Mend = Literal["edit", "retake", "either", "next time"]
"""Where it can be mended: the edit (cut, voice-over, caption), only another take, either, or next time."""


@dataclass(frozen=True, slots=True)
class Finding:
    """``rule`` is the id of a rule of the class standard; ``at_ms`` None for the class as a whole.

    ``evidence`` is what was said, with times; empty where the finding is that nothing was said.
    ``why`` and ``source`` say where the demand comes from ("common practice" where no source is known).
    ``size`` orders findings of one weight, largest miss first: how many times its limit something is off,
    or how many times it is missing.
    """

    rule: str
    weight: Weight
    at_ms: int | None
    exercise: str | None
    interval: int | None
    message: str
    evidence: tuple[Quote, ...]
    why: str
    source: str
    advice: str
    mend: Mend
    size: float = 1.0
