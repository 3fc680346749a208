"""The caption files that different tools would make of the same speech.

Each form takes the spoken words and gives the text of a file. ``groups`` decides which words share a caption.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from analyzer.bench.script import Spoken

__all__ = ["FORMS", "blocks_txt", "groups", "phrases_srt", "plain_vtt", "rolling_vtt"]

ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]
TENS = {
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
}


def as_digits(words: Sequence[Spoken]) -> list[Spoken]:
    """Numbers as digits, the way many caption tools write them ("forty five" becomes "45")."""
    out: list[Spoken] = []
    for index, word in enumerate(words):
        core = word.text.rstrip(".,!?;:")
        tail = word.text[len(core) :]
        value = _value(core.lower())
        if out and value is not None and 0 < value < 10 and re.fullmatch(r"[2-9]0", out[-1].text):
            out[-1] = Spoken(f"{int(out[-1].text) + value}{tail}", out[-1].start, word.end, out[-1].first)
        elif value is not None and not (core.lower() == "one" and not _counting(words, index)):
            out.append(Spoken(f"{value}{tail}", word.start, word.end, word.first))
        else:
            out.append(word)
    return out


def _value(word: str) -> int | None:
    if word in ONES:
        return ONES.index(word)
    tens, _, ones = word.partition("-")
    if word in TENS:
        return TENS[word]
    return TENS[tens] + ONES.index(ones) if tens in TENS and ones in ONES[1:10] else None


def _counting(words: Sequence[Spoken], index: int) -> bool:
    """True when "one" stands beside another number (a countdown), not as a pronoun."""
    near = [w.text.lower().strip(".,!?") for w in words[max(0, index - 1) : index + 2]]
    return any(n in ONES or n in TENS for n in near if n != "one")


def unpunctuated(text: str) -> str:
    """Lower case, without punctuation, as machine captions often are."""
    return re.sub(r"[^\w\s'’-]", "", text).lower()


def stamp(seconds: float, separator: str = ".") -> str:
    """``hh:mm:ss.ttt``, the W3C WebVTT timestamp; SubRip writes a comma."""
    ms = round(seconds * 1000)
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}{separator}{ms % 1000:03d}"


def groups(
    words: Sequence[Spoken], most_words: int, most_seconds: float, *, sentence_ends: bool = True
) -> Iterator[list[Spoken]]:
    """Words that share a caption: a new one on a pause over 1.2 s, when it is full, or at a sentence end."""
    group: list[Spoken] = []
    for word in words:
        if group and (
            len(group) >= most_words
            or word.end - group[0].start > most_seconds
            or word.start - group[-1].end > 1.2
            or (sentence_ends and group[-1].text[-1] in ".!?" and len(group) >= 3)
        ):
            yield group
            group = []
        group.append(word)
    if group:
        yield group


def _joined(words: Sequence[Spoken]) -> str:
    return " ".join(w.text for w in words)


def phrases_srt(words: Sequence[Spoken]) -> str:
    """SubRip, a phrase a caption, digits, punctuation, up to two lines; captions linger 0.25 s."""
    out = []
    for number, group in enumerate(groups(as_digits(words), 14, 5.5), 1):
        text = _joined(group)
        if len(text) > 42 and (cut := text.rfind(" ", 0, len(text) // 2 + 6)) >= 0:
            text = text[:cut] + "\n" + text[cut + 1 :]
        out.append(f"{number}\n{stamp(group[0].start, ',')} --> {stamp(group[-1].end + 0.25, ',')}\n{text}\n")
    return "\n".join(out)


def plain_vtt(words: Sequence[Spoken]) -> str:
    """WebVTT without punctuation, capitals or digits."""
    out = ["WEBVTT\n"]
    for group in groups(words, 8, 4.5, sentence_ends=False):
        text = " ".join(unpunctuated(w.text) for w in group)
        out.append(f"{stamp(group[0].start)} --> {stamp(group[-1].end + 0.1)}\n{text}\n")
    return "\n".join(out)


def rolling_vtt(words: Sequence[Spoken]) -> str:
    """Two-line rolling captions with a time before each word, as live captioners emit them."""
    out = ["WEBVTT\nKind: captions\nLanguage: en\n"]
    shown = ""
    parts = [*groups(as_digits(words), 7, 4.0, sentence_ends=False), None]
    for group, after in pairwise(parts):
        assert group
        texts = [unpunctuated(w.text) for w in group]
        timed = zip(group[1:], texts[1:], strict=True)
        tagged = texts[0] + "".join(f"<{stamp(w.start)}><c> {text}</c>" for w, text in timed)
        line = " ".join(texts)
        end = min(group[-1].end + 2.0, after[0].start) if after else group[-1].end + 1.0
        out.append(f"{stamp(group[0].start)} --> {stamp(end)}\n{shown or ' '}\n{tagged}\n")
        out.append(f"{stamp(end)} --> {stamp(end + 0.01)}\n{line}\n ")
        shown = line
    return "\n".join(out) + "\n"


def blocks_txt(words: Sequence[Spoken], seconds: float = 22.0) -> str:
    """A timed transcript: a stamp in whole seconds, rounded down, at the first sentence end after 22 s."""
    blocks: list[list[Spoken]] = [[]]
    for word in words:
        block = blocks[-1]
        if block and word.start - block[0].start > seconds and block[-1].text[-1] in ".!?":
            blocks.append([])
        blocks[-1].append(word)
    stamps = [int(block[0].start) for block in blocks]
    lines = [f"[{t // 60}:{t % 60:02d}] {_joined(as_digits(b))}" for t, b in zip(stamps, blocks, strict=True)]
    return "\n\n".join(lines) + "\n"


FORMS: dict[str, Callable[[Sequence[Spoken]], str]] = {
    "rolling.vtt": rolling_vtt,
    "phrases.srt": phrases_srt,
    "plain.vtt": plain_vtt,
    "blocks.txt": blocks_txt,
}
"""File ending of each form."""
