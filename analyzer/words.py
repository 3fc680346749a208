"""When each word was said, and how well that is known.

A caption says when its text was on screen, not when each word was said. Every word of a caption gets

- an earliest and a latest time: the caption's start plus the fastest plausible speech of the words before
  it, its end minus the fastest plausible speech of the words from it on;
- a likely time: the file's own pace (seconds a syllable, pauses at commas and sentence ends, how long
  captions linger), fitted to all its captions, and what is left over spread on the pauses;
- a standard uncertainty, from the spread of that fit: nothing at the caption's start, most in the middle.

Words that carry a time of their own are pinned. What the instructor claims (lengths, time calls) plays no
part: times depend on syllables and punctuation alone, never on what a number says.

Sources: articulation 4 to 5 syllables a second, pauses of 0.73 s at a full stop and 0.51 s at a comma in read
US English (BYU etd-11313); JCGM 100 for a reading known to +-a: a / sqrt(3).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import sqrt

import numpy as np

from analyzer.captions.records import Caption, Captions
from analyzer.spans import Span

__all__ = ["Pace", "Word", "fit_pace", "normal", "syllables", "time_words"]

FASTEST_S = 0.11
"""Seconds a syllable that nobody speaks faster than for long: twice the usual pace, about 9 a second."""
USUAL_S = 0.22
"""Seconds a syllable where the file is too short to tell: 4.5 a second."""
PINNED_SD_MS = 50
"""Standard uncertainty of a word that carries its own time: recognisers place words within about 0.1 s."""
START_SD_MS = 80
"""The same of a phrase caption's first word: captions are made to appear with the voice."""
STAMP_SD_MS = 289
"""A stamp in whole seconds is known to +-0.5 s: 0.5 / sqrt(3) s, JCGM 100 (rectangular)."""
BLOCK_SPREAD = 0.15
"""Standard uncertainty amid a block of talk, as a share of its length (measured on scripted classes)."""
LEAST_FIT = 12
"""Captions needed to fit a pace; below it the usual one is taken."""


@dataclass(frozen=True, slots=True)
class Word:
    """One whitespace-separated word of the captions.

    ``span`` is its likely time; ``earliest_ms`` and ``latest_ms`` bound its start by what the file proves;
    ``sd_ms`` is the standard uncertainty of its start. ``norm`` is it in lower case without punctuation.
    ``caption`` is the index of its caption.
    """

    text: str
    norm: str
    caption: int
    span: Span
    earliest_ms: int
    latest_ms: int
    sd_ms: int


@dataclass(frozen=True, slots=True)
class Pace:
    """How a file's captions fill their time, in seconds; ``spread`` is what the fit leaves, per caption."""

    syllable: float = USUAL_S
    comma: float = 0.2
    stop: float = 0.45
    linger: float = 0.2
    spread: float = 0.4

    def speech(self, text: str) -> float:
        """Seconds that saying ``text`` takes, its pause not included."""
        return self.syllable * syllables(text)

    def pause(self, text: str) -> float:
        """Seconds of pause to expect after ``text``."""
        return self.stop if text[-1] in ".!?…" else self.comma if text[-1] in ",;:–—" else 0.0


_DIGITS = re.compile(r"\d+")
_VOWELS = re.compile(r"[aeiouyáéíóúàèäëïöüêô]+")
_TEENS = (1, 1, 1, 1, 1, 1, 1, 2, 1, 1, 1, 3, 1, 2, 2, 2, 2, 3, 2, 2)


def syllables(word: str) -> int:
    """Syllables of a word as spoken, at least 1: vowel groups, digits read as numbers ("45" is three).

    >>> [syllables(w) for w in ("squat", "breathe", "45", "10,", "100")]
    [1, 1, 3, 1, 3]
    """
    low = word.lower()
    digits = sum(_number_syllables(int(d)) for d in _DIGITS.findall(low) if len(d) < 7)
    runs = len(_VOWELS.findall(low))
    if runs > 1 and re.search(r"[^l]e\W*$", low):
        runs -= 1
    return max(1, digits + runs)


def _number_syllables(value: int) -> int:
    if value < 20:
        return _TEENS[value]
    if value < 100:
        return (3 if value // 10 == 7 else 2) + (_TEENS[value % 10] if value % 10 else 0)
    if value < 1000:
        return _TEENS[value // 100] + 2 + (_number_syllables(value % 100) if value % 100 else 0)
    return _number_syllables(value // 1000) + 2 + (_number_syllables(value % 1000) if value % 1000 else 0)


def normal(text: str) -> str:
    """Lower case, straight apostrophes, no punctuation at either end.

    >>> normal("“Ready?”"), normal("Forty-five,"), normal("child’s")
    ('ready', 'forty-five', "child's")
    """
    return re.sub(r"^[^\w]+|[^\w%]+$", "", text.lower().replace("’", "'"))


def _tokens(text: str) -> list[str]:
    out: list[str] = []
    for token in text.split():
        if re.search(r"\w", token):
            out.append(token)
        elif out:
            out[-1] += token
    return out


def fit_pace(captions: Sequence[Caption], *, block: bool) -> Pace:
    """The file's own pace, by least squares of caption length on syllables, commas and stops.

    Weights fall on captions far off the line (Huber), because some hold long silences. A block transcript
    holds a silence in nearly every block, so its pace is that of its densest blocks.
    """
    rows = [(c.span.duration_ms / 1000, _tokens(c.text)) for c in captions if c.span.duration_ms > 0]
    rows = [(d, t) for d, t in rows if t]
    if len(rows) < LEAST_FIT:
        return Pace(spread=3.0) if block else Pace()
    length = np.array([d for d, _ in rows])
    count = np.array([sum(map(syllables, t)) for _, t in rows], dtype=float)
    if block:
        dense = float(np.quantile(length / count, 0.1))
        # about a fifth of dense talk is pauses at commas and stops
        return Pace(syllable=float(np.clip(0.82 * dense, 0.15, 0.35)), linger=0.3, spread=3.0)
    inner = [t[:-1] for _, t in rows]
    commas = np.array([sum(w[-1] in ",;:–—" for w in t) for t in inner], dtype=float)
    stops = np.array([sum(w[-1] in ".!?…" for w in t) for t in inner], dtype=float)
    columns = [np.ones_like(length), count]
    columns += [x for x in (commas, stops) if x.sum() >= LEAST_FIT]
    design = np.stack(columns, axis=1)
    weight = np.ones_like(length)
    for _ in range(6):
        root = np.sqrt(weight)
        fit, *_ = np.linalg.lstsq(design * root[:, None], length * root, rcond=None)
        left = length - design @ fit
        scale = max(0.05, 1.4826 * float(np.median(np.abs(left - np.median(left)))))
        weight = np.minimum(1.0, 1.5 * scale / np.maximum(np.abs(left), 1e-9))
    values = iter(fit)
    linger, syllable = (float(next(values)), float(next(values)))
    comma = float(next(values)) if commas.sum() >= LEAST_FIT else 0.2
    stop = float(next(values)) if stops.sum() >= LEAST_FIT else 0.45
    return Pace(
        syllable=float(np.clip(syllable, 0.12, 0.4)),
        comma=float(np.clip(comma, 0.02, 0.8)),
        stop=float(np.clip(stop, 0.1, 1.2)),
        linger=float(np.clip(linger, 0.0, 1.5)),
        spread=float(np.clip(scale, 0.1, 2.0)),
    )


@dataclass(frozen=True, slots=True)
class _Window:
    """A run of words known only to lie between two times (seconds), and how well those are known."""

    caption: int
    texts: tuple[str, ...]
    start: float
    end: float
    start_sd: float
    linger: float
    silent: bool
    """Whether a long silence may hide inside (block transcripts)."""


def _place(window: _Window, pace: Pace) -> Iterator[Word]:
    """Spread the words of a window over its time."""
    speech = np.array([pace.speech(t) for t in window.texts])
    pauses = np.array([pace.pause(t) for t in window.texts])
    # the last word's pause belongs to what follows, except where the window runs up to the next stamp
    pauses[-1] = pace.stop if window.silent else 0.0
    room = window.end - window.start
    need = float(speech.sum() + pauses.sum())
    linger = min(window.linger, max(0.0, room - need) + 0.5 * window.linger)
    slack = room - linger - need
    if slack >= 0:
        slots = pauses if pauses.sum() > 0 else speech
        share = np.where(slots >= pace.stop, slots, 0.3 * slots) if window.silent else slots
        share = share if share.sum() > 0 else speech
        pauses = pauses + slack * share / share.sum()
    else:
        squeeze = max(0.2, (room - linger) / need) if need else 1.0
        speech, pauses = speech * squeeze, pauses * squeeze
    after = np.cumsum(speech + pauses)
    begins = window.start + np.concatenate(([0.0], after[:-1]))
    ends = begins + speech
    spread = _spreads(window, pace, speech, pauses, max(0.0, slack))
    quick = FASTEST_S * np.array([syllables(t) for t in window.texts])
    # a stamp in whole seconds may stand up to half a second on either side of where it is taken to be
    stamped = 0.5 if window.silent else 0.0
    first = window.start - stamped + np.concatenate(([0.0], np.cumsum(quick)[:-1]))
    last = window.end + stamped - np.cumsum(quick[::-1])[::-1]
    for i, text in enumerate(window.texts):
        start, end = round(begins[i] * 1000), round(ends[i] * 1000)
        yield Word(
            text=text,
            norm=normal(text),
            caption=window.caption,
            span=Span(start, max(start, end)),
            earliest_ms=min(start, round(first[i] * 1000)),
            latest_ms=max(start, round(last[i] * 1000)),
            sd_ms=round(float(spread[i]) * 1000),
        )


def _spreads(window: _Window, pace: Pace, speech: np.ndarray, pauses: np.ndarray, slack: float) -> np.ndarray:
    """Standard uncertainty of each word's start, seconds.

    Speech pinned at both ends wanders like a bridge: variance spread^2 x (1 - x) * 4 at most in the middle.
    A silence of unknown place adds its own: shares of n pauses vary like a Dirichlet's.
    """
    total = float(speech.sum() + pauses.sum()) or 1.0
    x = np.concatenate(([0.0], np.cumsum(speech + pauses)[:-1])) / total
    end = (0.5 * window.linger) ** 2 * x**2
    if not window.silent:
        bridge = pace.spread**2 * x * (1 - x)
        placed = (0.6 * slack) ** 2 * x * (1 - x)
    else:
        # talk in a block goes now faster, now slower: a tenth of its length in the middle, and not much less
        # near its ends, where a start or a stop often follows a silence
        bridge = (BLOCK_SPREAD * (window.end - window.start)) ** 2 * (4 * x * (1 - x)) ** 0.7
        part = pauses / pauses.sum() if pauses.sum() else np.full_like(pauses, 1 / len(pauses))
        done = np.concatenate(([0.0], np.cumsum(part)[:-1]))
        slots = max(1, int(np.sum(pauses >= pace.stop)))
        placed = (slack**2) * done * (1 - done) / (0.6 * slots + 1)
    return np.sqrt(window.start_sd**2 + bridge + end + placed)


def _windows(captions: Captions, pace: Pace) -> Iterator[_Window]:
    """Captions, cut at every time they give."""
    block = captions.timing == "block"
    items = captions.captions
    for index, caption in enumerate(items):
        start, end = caption.span.start_ms / 1000, caption.span.end_ms / 1000
        if end <= start:
            end = start + sum(pace.speech(t) + pace.pause(t) for t in _tokens(caption.text)) + 0.1
        pieces = [(p.start_ms / 1000, tuple(_tokens(p.text))) for p in caption.parts]
        pieces = [(at, texts) for at, texts in pieces if texts] or [(start, tuple(_tokens(caption.text)))]
        last_end = end
        if caption.parts:
            last = pieces[-1]
            last_end = min(end, last[0] + sum(pace.speech(t) for t in last[1]) * 1.3 + 0.2)
        for (at, texts), (until, _) in pairwise([*pieces, (last_end, ())]):
            pinned = bool(caption.parts)
            if not texts:
                continue
            # a stamp rounded down to a whole second stands half a second early on average
            offset = 0.5 if block and caption.span.start_ms % 1000 == 0 else 0.0
            yield _Window(
                caption=index,
                texts=texts,
                start=at + offset,
                end=max(until + offset, at + offset + 0.05),
                start_sd=(PINNED_SD_MS if pinned else STAMP_SD_MS if offset else START_SD_MS) / 1000,
                linger=0.05 if pinned else pace.linger,
                silent=block,
            )


def time_words(captions: Captions) -> tuple[Word, ...]:
    """The words of a caption file in order, each with its likely time, bounds and standard uncertainty."""
    timed = captions.timing == "word"
    pace = Pace(linger=0.05) if timed else fit_pace(captions.captions, block=captions.timing == "block")
    words = [word for window in _windows(captions, pace) for word in _place(window, pace)]
    return tuple(_in_order(words))


def _in_order(words: list[Word]) -> Iterator[Word]:
    """Starts never run backwards: overlapping captions are read one after the other."""
    reached = 0
    for word in words:
        start = max(word.span.start_ms, reached)
        if start != word.span.start_ms:
            word = replace(
                word,
                span=Span(start, max(start, word.span.end_ms)),
                latest_ms=max(start, word.latest_ms),
                sd_ms=round(sqrt(word.sd_ms**2 + (start - word.span.start_ms) ** 2 / 3)),
            )
        reached = start
        yield word
