"""The markup of captions: tags out; voices, inner times and entities read.

A line leaves here as plain text in which one private character stands for each inner time, at the place
where it applies; ``Lines.times`` holds the times. No caption file has such a character:
``captions.decode`` replaces that plane of Unicode.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, field

from analyzer.captions.cues import Cue
from analyzer.captions.records import Problem
from analyzer.captions.times import milliseconds

__all__ = ["MARK", "Lines", "bare", "mark", "mark_number", "read_markup"]

_FIRST_MARK = 0xF0000
_MARKS = 0xFFFD
MARK = re.compile("[\U000f0000-\U000ffffd]")
"""Matches the character that stands for an inner time."""

_TAG = re.compile("<([^<>]*)>")
_TIME = re.compile("(?:[0-9]{1,10}:)?[0-9]{1,3}:[0-9]{2}[.,][0-9]{1,3}")
_VOICE = re.compile(r"v(?:\.\S*)?\s+(.*\S)\s*")
_NAME = re.compile("/?([A-Za-z][A-Za-z0-9]*)(?=[. \t/]|$)")
_KNOWN = frozenset(
    "b big br c div em font i lang p rb rp rt ruby s small span strong sub sup tt u v".split(" ")  # noqa: SIM905
)
_OVERRIDE = re.compile(r"\{(?:\\[^{}]*|[A-Za-z]:[^{}]*|/?[ibu])\}")
_GLOSS = re.compile("<rt(?:[. \t][^<>]*)?>([^<]*)(?:</rt>|(?=</ruby>)|$)")
_ENTITY = re.compile("&#?[A-Za-z0-9]{1,32};?")
_INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufeff]")
_LIT = re.compile(r"([^<>]*)<(?:[ubi]|c(?:\.[^<>\s]+)?|font [^<>]*)>([^<>]*)</(?:[ubic]|font)>([^<>]*)")


@dataclass(slots=True)
class Lines:
    """A cue's lines without markup, and the times that the marks in them stand for, in milliseconds.

    ``lit`` is the index of the word, in all the cue's words, that stands out from the others by its markup.
    """

    line: int
    start_ms: int
    end_ms: int
    lines: list[str]
    times: list[int] = field(default_factory=list)
    speaker: str | None = None
    lit: int | None = None
    problems: list[Problem] = field(default_factory=list)

    def words(self) -> list[list[str]]:
        """The words of each line, without marks."""
        return [bare(line).split() for line in self.lines]


def mark(number: int) -> str:
    """The character that stands for time ``number`` of a cue."""
    return chr(_FIRST_MARK + min(number, _MARKS))


def mark_number(character: str) -> int:
    """Which of the cue's times a mark stands for."""
    return ord(character) - _FIRST_MARK


def bare(text: str) -> str:
    """Text without its time marks."""
    return text if text.isascii() else MARK.sub("", text)


def read_markup(cue: Cue) -> Lines:
    """A cue's text without markup."""
    result = Lines(cue.line, cue.start_ms, cue.end_ms, [], lit=_lit_word(cue.lines))
    for number, raw in zip(cue.numbers, cue.lines, strict=True):
        line = _untag(raw, number, result) if "<" in raw else raw
        if "{" in line:
            line = _OVERRIDE.sub("", line)
        if "&" in line:
            line = _entities(line)
        if not line.isascii():
            line = _INVISIBLE.sub("", line)
        result.lines += [" ".join(part.split()) for part in line.split("\n") if bare(part).strip()]
    return result


def _entities(line: str) -> str:
    line = _ENTITY.sub(lambda entity: MARK.sub("\ufffd", html.unescape(entity[0])), line)
    # tags that were escaped by mistake: nobody says "<i>"
    return _TAG.sub(lambda tag: "" if _is_known(tag[1]) else tag[0], line) if "<" in line else line


def _is_known(tag: str) -> bool:
    name = _NAME.match(tag)
    return name is not None and name[1].lower() in _KNOWN


def _untag(raw: str, number: int, result: Lines) -> str:
    """A line without its tags; inner times become marks, a line break tag a line end."""

    def replace(tag: re.Match[str]) -> str:
        content = tag[1].strip()
        if _TIME.fullmatch(content):
            return _inner_time(content, number, result)
        if voice := _VOICE.fullmatch(content):
            result.speaker = result.speaker or " ".join(html.unescape(voice[1]).split())
            return ""
        if _is_known(content):
            return "\n" if content.lower().startswith("br") else ""
        if _NAME.match(content) or content.startswith("/"):
            result.problems.append(Problem(number, f'an unknown tag, "{tag[0]}"', "left out"))
            return ""
        return tag[0]  # "3 < 5 and 6 > 2" has no tag in it

    if "<rt" in raw:
        for gloss in _GLOSS.findall(raw):
            result.problems.append(Problem(number, f'a gloss above the text, "{gloss.strip()}"', "left out"))
        raw = _GLOSS.sub("", raw)
    return _TAG.sub(replace, raw)


def _inner_time(content: str, number: int, result: Lines) -> str:
    """The mark of an inner time; one outside its cue, or before the last one, is ignored (W3C WebVTT)."""
    at_ms = milliseconds(content)
    last = result.times[-1] if result.times else result.start_ms
    if not last <= at_ms <= result.end_ms:
        what = f'the time "<{content}>" is outside its caption, or before the time to its left'
        result.problems.append(Problem(number, what, "ignored, its words kept"))
        return ""
    result.times.append(at_ms)
    return mark(len(result.times) - 1)


def _lit_word(lines: tuple[str, ...]) -> int | None:
    """The word that stands out, where one and only one stretch of a cue is marked up."""
    before = 0
    lit = None
    for line in lines:
        if match := _LIT.fullmatch(line):
            if lit is not None or not (match[1] + match[3]).strip():
                return None
            lit = before + len(match[1].split())
            before += len((match[1] + match[2] + match[3]).split())
        elif "<" in line:
            return None
        else:
            before += len(line.split())
    return lit
