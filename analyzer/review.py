"""The whole, in one readable page: a caption file in, a Review out."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from analyzer.captions.records import Captions
from analyzer.findings.records import Finding
from analyzer.measures.records import Measures
from analyzer.outline.records import Outline
from analyzer.words import Word

__all__ = ["Review"]


@dataclass(frozen=True, slots=True)
class Review:
    """One class, reviewed. The page, the terminal, JSON and CSV only read it."""

    captions: Captions
    words: tuple[Word, ...]
    outline: Outline
    measures: Measures
    findings: tuple[Finding, ...]

    @property
    def title(self) -> str:
        """The file's name without its ending."""
        return Path(self.captions.path).stem
