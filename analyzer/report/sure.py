"""How sure the review is of its numbers, and what it cannot know, in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from analyzer.captions.records import Timing
from analyzer.findings.material import HEARD, SURE
from analyzer.findings.wording import plural, seconds
from analyzer.measures.verdict import COVERAGE
from analyzer.review import Review

__all__ = ["CAUTIONS", "FORMS", "how_sure"]

FORMS: dict[Timing, tuple[str, str]] = {
    "word": (
        "a time for each word",
        "The file has a time for each word, so a start or a stop is known about as well as a caption file "
        "can tell.",
    ),
    "phrase": (
        "a time for each caption",
        "The file has a time for each caption of a few words. When a word inside a caption was said is "
        "worked out from the pace of speech, and is a little less sure.",
    ),
    "block": (
        "a stamp for each block of text",
        "The file has only a stamp for each block of text. A word may have been said anywhere in its block, "
        "so most lengths cannot be judged.",
    ),
}
"""By how a file is timed: its name, and what that means."""
_BETTER: dict[Timing, str] = {
    "word": "These are too close to the limit for any caption file: time them by ear if it matters.",
    "phrase": "A caption file with a time for each word (WebVTT with times inside the captions) would decide "
              "more of them.",
    "block": "A caption file with a time for each caption (WebVTT or SubRip) would decide most of them, one "
             "with a time for each word nearly all.",
}
CAUTIONS = (
    "This review checks what was said, as the caption file has it. It does not see the class, and does not "
    "judge whether a move, a load or a pace is safe for anybody.",
    "That is for qualified people: doctors, physiotherapists and licensed instructors, and for the rules "
    "that hold where the class is taught or published. Where they differ from this page, they are right.",
    "“I heard none” means that the captions hold no words that were taken for it. It may have been shown, or "
    "said in other words, or lost by the captions.",
    "Nothing here is exercise or medical advice.",
)


def how_sure(review: Review) -> tuple[str, ...]:
    """Paragraphs: the form of the file, the usual uncertainty, what stays open, what would settle it."""
    return (FORMS[review.captions.timing][1], *_lengths(review), *_doubts(review))


def _lengths(review: Review) -> Iterator[str]:
    timed = [i for i in review.measures.intervals if i.drift_s is not None]
    if not timed:
        return
    spreads = [COVERAGE * i.actual_sd_s for i in timed]
    usual, most = (seconds(max(0.1, u), u / COVERAGE) for u in (median(spreads), max(spreads)))
    worst = "" if usual == most else f", at worst {most}"
    yield (
        f"A length on this page is good to about {usual} either way{worst}: the true one should lie in that "
        "range 19 times in 20. A length is called long, short or on time only where the file leaves little "
        "doubt of it; every other one stays undecided."
    )
    undecided = sum(i.verdict == "undecided" for i in timed)
    lengths = plural(len(timed), "told length")
    if undecided:
        yield f"{undecided} of {lengths} cannot be judged from this file. {_BETTER[review.captions.timing]}"
    else:
        yield f"All {lengths} could be judged." if len(timed) > 1 else "The one told length could be judged."


def _doubts(review: Review) -> Iterator[str]:
    segments = review.outline.segments
    silent = sum((not s.start.spoken) + (not s.stop.spoken) for s in segments)
    if silent:
        yield (
            f"{silent} of the {2 * len(segments)} starts and stops had no word of their own; their time is "
            "taken from what follows, and is less sure."
        )
    if doubtful := sum(s.probability < SURE for s in segments):
        yield f"{plural(doubtful, 'interval')} may not be one: findings about it are put as a question."
    if unclear := sum(c.probability < HEARD for c in review.outline.cues):
        yield (
            f"{plural(unclear, 'cue')} could be read in two ways: not counted as heard, and marked with a "
            "question mark."
        )
    if review.measures.totals.work_intervals == 0:
        yield "A class that is led without spoken starts and stops looks the same to this program as a talk."
