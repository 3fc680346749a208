"""The whole, in one readable page: a caption file in, a Review out."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from analyzer.captions import Captions, read
from analyzer.findings.find import find
from analyzer.findings.material import Suggest
from analyzer.findings.records import Finding
from analyzer.measures.measure import measure
from analyzer.measures.records import Measures
from analyzer.outline.records import Outline
from analyzer.standards.standard import Standard, load
from analyzer.words import Word, time_words

__all__ = ["Review", "review", "review_outline"]


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


def review(path: Path | str, *, standard: Standard | None = None) -> Review:
    """Review the class whose captions are at ``path``, by ``standard`` (default: the one that ships).

    Raises ``CaptionError`` when the file cannot be used: see ``captions.read``. A recording in which no
    intervals are announced is no error; its review says so.
    """
    captions = read(path)
    # the pipeline loads spaCy and the tagger: not before there is something to hear
    from analyzer.hearing import lexicon
    from analyzer.hearing.pipeline import hear
    from analyzer.outline.build import outline as outline_in

    standard = standard or load()
    words = time_words(captions)
    outline = outline_in(hear(words, captions.timing), words, captions.timing)
    return review_outline(captions, words, outline, standard, suggest=lexicon.load().suggest)


def review_outline(
    captions: Captions,
    words: tuple[Word, ...],
    outline: Outline,
    standard: Standard,
    *,
    suggest: Suggest | None = None,
) -> Review:
    """The review of a class that is already heard: measured, and held against ``standard``."""
    length_ms = max(captions.length_ms, words[-1].span.end_ms)
    measures = measure(outline, words, length_ms=length_ms, tolerance=standard.tolerance)
    findings = find(captions, words, outline, measures, standard, suggest=suggest)
    return Review(captions, words, outline, measures, findings)
