"""What is said in a caption: no sounds, no speaker labels, no dialogue dashes; word times into parts.

Labels are judged over the whole file, because only there a name can be told from a word before a colon
("Next up: squats"): it comes back, and never in lower case. The words that decide are English and stand in
``language/en/captions.toml``.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Sequence
from functools import cache
from importlib import resources

from analyzer.captions.markup import MARK, Lines, bare, mark_number
from analyzer.captions.records import Caption, TimedText
from analyzer.spans import Span

__all__ = ["spoken"]

_NOTES = "♩♪♫♬"
_SONG = re.compile(f"[{_NOTES}]+([^{_NOTES}]{{0,200}})[{_NOTES}]+|[{_NOTES}]+")
_SQUARE = re.compile(r"\[([^\[\]]{0,200})\]")
_ROUND = re.compile(r"\(([^()]{0,200})\)")
_SQUARE_LABEL = re.compile(r"\s*[\[(]([^\W\d_][^\[\]():]{0,30})[\])]\s*:\s*")
_MARKS = f"(?:{MARK.pattern}|\\s)*"
_DASH = re.compile(rf"({_MARKS})(?:>{{2,}}\s*|[-‐–—]+(?:\s+|$)|[-‐–—](?=[A-Z\"“]))+")
_CHEVRONS = re.compile(r"(?<!\S)>{2,}(?!\S)")
_LABEL = re.compile(r"([^\W\d_a-z][^\s:]*(?: [^\W_a-z][^\s:]*){0,2}):(?=\s|$)")
_WORD = re.compile(r"[^\W\d_]+")
_LETTER = re.compile(r"[^\W_]")
_SUFFIX = re.compile("(?:ter|ing|ed|es|s)$")
_SOUND_WORDS = 3
"""A sound in the middle of speech is named in this many words or fewer: "(upbeat music)"."""

_OFTEN = 8
"""What stands before a colon this often, and on each fifth line, is a speaker even if named like a word."""


@cache
def _english() -> dict[str, frozenset[str]]:
    text = (resources.files("analyzer.language.en") / "captions.toml").read_text(encoding="utf-8")
    return {key: frozenset(words) for key, words in tomllib.loads(text).items()}


def spoken(cues: Sequence[Lines]) -> list[Caption]:
    """The captions of a file; a cue without a word makes none."""
    label = _label_pattern([_undash(bare(line)) for cue in cues for line in cue.lines])
    return [caption for cue in cues if (caption := _caption(cue, label)) is not None]


def _caption(cue: Lines, label: re.Pattern[str] | None) -> Caption | None:
    sounds: list[str] = []
    speakers = [cue.speaker] if cue.speaker else []
    text = "\n".join(cue.lines)
    if "[" in text or "(" in text:
        if named := _SQUARE_LABEL.match(text):
            speakers.append(named[1].strip())
            text = text[named.end() :]
        text = _without_sounds(text, sounds)
    if not text.isascii():
        text = _SONG.sub(lambda song: _put(sounds, bare(song[1] or "").strip() or song[0][0]), text)
    text = "\n".join(" ".join(_undash(line).split()) for line in text.split("\n"))
    if label and ":" in text:
        if (first := label.search(text)) and not bare(text[: first.start(2)]).strip():
            speakers.append(first[2])
        text = label.sub(r"\1", text)
    if not _LETTER.search(bare(text)):
        return None
    parts = _parts(text, cue) if not text.isascii() and MARK.search(text) else ()
    plain = " ".join(part.text for part in parts) if parts else " ".join(text.split())
    span = Span(cue.start_ms, cue.end_ms)
    return Caption(span, plain, cue.line, parts, speakers[0] if speakers else None, tuple(sounds))


def _undash(line: str) -> str:
    """A line without the dashes and chevrons that tell a change of speaker."""
    return _CHEVRONS.sub("", _DASH.sub(r"\1", line, count=1) if _DASH.match(line) else line)


def _put(sounds: list[str], sound: str) -> str:
    sounds.append(" ".join(sound.split()))
    return " "


def _without_sounds(text: str, sounds: list[str]) -> str:
    """Text without what stands in square brackets, and in round ones where it is no aside ("both sides")."""
    text = _SQUARE.sub(lambda m: _put(sounds, bare(m[1])), text)
    if "(" not in text:
        return text
    lines = _ROUND.sub(lambda m: m[0].replace("\n", " "), text).split("\n")
    return "\n".join(_without_round(line, sounds) for line in lines)


def _without_round(line: str, sounds: list[str]) -> str:
    alone = not _LETTER.search(_ROUND.sub("", bare(line)))

    def replace(match: re.Match[str]) -> str:
        inside = bare(match[1])
        words = inside.lower().split()
        sound = len(words) <= _SOUND_WORDS and any(map(_is_sound, words))
        return _put(sounds, inside) if alone or sound else match[0]

    return _ROUND.sub(replace, line)


def _is_sound(word: str) -> bool:
    word = word.strip(",.;!")
    stem = _SUFFIX.sub("", word)
    return not _english()["sounds"].isdisjoint({word, stem, stem + "e"})


def _label_pattern(lines: Sequence[str]) -> re.Pattern[str] | None:
    """Matches the speaker labels of a file, where a line or a sentence starts; None if there are none."""
    starts = [" ".join(_SQUARE.sub(" ", line).split()) for line in lines if ":" in line]
    labels = Counter(match[1] for line in starts if (match := _LABEL.match(line)))
    if not labels:
        return None
    seen = Counter(word for line in lines for word in _WORD.findall(line))
    lower = {word for word in seen if word.islower()}
    shouting = sum(n for word, n in seen.items() if word.isupper()) > sum(seen[word] for word in lower)
    often = max(_OFTEN, len(lines) // 5)
    names = [
        label
        for label, count in labels.items()
        if _is_name(label, count, lower, often=count >= often, shouting=shouting)
    ]
    if not names:
        return None
    one = "|".join(map(re.escape, sorted(names, key=len, reverse=True)))
    marks = f"{MARK.pattern}*"
    return re.compile(rf"((?:^|(?<=[.!?…—–-])){marks} ?{marks})({one}):(?=\s|$|{MARK.pattern})", re.MULTILINE)


def _is_name(label: str, count: int, lower: set[str], *, often: bool, shouting: bool) -> bool:
    """Whether a label names a speaker; ``lower``: the words that the file writes in lower case somewhere."""
    words = [word.strip(".") for word in label.lower().split()]
    if words[0] in _english()["speakers"]:
        return True
    if not _english()["no_speakers"].isdisjoint(words):
        return False
    if often:
        return True
    if all(not lower.isdisjoint({word, word + "s", word.removesuffix("s")}) for word in words):
        return False
    if label.isupper() and not shouting:
        return len(label) > 1
    return count >= 2 and len(words) <= 2


def _parts(text: str, cue: Lines) -> tuple[TimedText, ...]:
    """Words with the time that stands before them; those before the first time start with the caption.

    A time inside a word is passed over: the word has begun by then.
    """
    parts: list[TimedText] = []
    at_ms, begin, before = cue.start_ms, 0, ""
    for match in [*MARK.finditer(text), None]:
        piece = text[begin : match.start() if match else None]
        words = piece.split()
        if words and parts and before and not before[-1].isspace() and not piece[0].isspace():
            parts[-1] = TimedText(parts[-1].start_ms, parts[-1].text + words.pop(0))
        if words:
            parts.append(TimedText(at_ms, " ".join(words)))
        before = piece or before
        if match:
            at_ms, begin = cue.times[mark_number(match[0])], match.end()
    return tuple(parts)
