"""Scripted classes: what an instructor says, when, and what is true about it.

A ``.class`` file is a header of ``key: value`` lines, ``---``, then lines of ``+P | text`` (said P seconds
after the line before) or ``@N | text`` (said N seconds after the last ``[[work]]`` or ``[[end]]``). Marks
stand before the word they happen on: ``[[phase main]]``, ``[[intro "squats"]]``,
``[[work 40 "squats" side=left round=2]]`` (the seconds told, or ``reps``, ``untimed``), ``[[end]]``,
``[[rest 20]]``. Spans stay on one line: ``{{form: ...}}``, ``{{call elapsed 20: ...}}``.

``parse`` reads a script and refuses, with its line, what does not follow the format (FORMAT.md). ``perform``
speaks it with a seeded speech model: the same script and seed always give the same word times.
``truth.truth`` says what is true about the performance, in seconds.
"""

from __future__ import annotations

import random
import re
import zlib
from dataclasses import dataclass
from pathlib import Path

from analyzer.bench.grammar import LABEL, LINE, TAG, header_fault, mark_fault, mark_parts, span_fault
from analyzer.errors import AnalyzerError

__all__ = [
    "Mark", "Performance", "Script", "ScriptError", "ScriptLine", "Spoken", "Tagged", "parse", "perform",
]


class ScriptError(AnalyzerError):
    """The script does not follow the format; the message names the line."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that happens on a word: ``kind`` is one of MARKS, ``args`` what the script says of it."""

    word: int
    kind: str
    args: tuple[str, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Tagged:
    """Words ``first`` to before ``last`` are a cue or a time call; ``args`` is empty for a cue."""

    first: int
    last: int
    kind: str
    args: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScriptLine:
    """When the words from ``first`` on are said: ``seconds`` after the line before or after the last mark."""

    first: int
    after_mark: bool
    seconds: float


@dataclass(frozen=True, slots=True)
class Script:
    """A parsed script; marks and spans refer to words by index."""

    name: str
    title: str
    syllables_per_second: float
    first_word_at: float
    words: tuple[str, ...]
    lines: tuple[ScriptLine, ...]
    marks: tuple[Mark, ...]
    tagged: tuple[Tagged, ...]


@dataclass(frozen=True, slots=True)
class Spoken:
    """A word with its true start and end, in seconds; ``first`` is its index among the script's words."""

    text: str
    start: float
    end: float
    first: int


@dataclass(frozen=True, slots=True)
class Performance:
    """A script, spoken."""

    script: Script
    words: tuple[Spoken, ...]


class _Builder:
    """Collects words, marks and spans line by line."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.words: list[str] = []
        self.lines: list[ScriptLine] = []
        self.marks: list[Mark] = []
        self.tagged: list[Tagged] = []

    def fail(self, line: int, what: str, todo: str) -> ScriptError:
        return ScriptError(path=self.path, line=line, what=what, todo=todo)

    def header(self, head: str) -> dict[str, str]:
        out: dict[str, str] = {}
        for number, text in enumerate(head.split("\n"), 1):
            key, colon, value = (part.strip() for part in text.partition(":"))
            if not text.strip():
                continue
            if not colon:
                raise self.fail(number, f"not a line of the header: {key[:60]}", "write 'key: value'")
            if fault := header_fault(key, value):
                raise self.fail(number, *fault)
            if value:
                out[key] = value
        return out

    def say(self, chunk: str) -> None:
        for token in chunk.split():
            if re.search(r"\w", token):
                self.words.append(token)
            elif self.words:
                self.words[-1] += token

    def mark(self, text: str, line: int) -> None:
        if fault := mark_fault(text):
            raise self.fail(line, *fault)
        kind, *args = mark_parts(text)
        self.marks.append(Mark(len(self.words), kind, tuple(a.strip('"') for a in args), line))

    def close(self, label: str, first: int, line: int) -> None:
        if fault := span_fault(label):
            raise self.fail(line, *fault)
        if first == len(self.words):
            raise self.fail(line, f"no word in {{{{{label}:}}}}", "put the words before '}}'")
        kind, *args = label.split()
        self.tagged.append(Tagged(first, len(self.words), kind, tuple(args)))

    def check_order(self) -> None:
        """Work starts after work ended, and a rest begins where it did: what ``truth`` rests on."""
        work: Mark | None = None
        ended = -1
        for mark in self.marks:
            if mark.kind == "work":
                if work:
                    raise self.fail(mark.line, "[[work]] inside an open interval", "write [[end]] before it")
                work = mark
            elif mark.kind == "end":
                if not work:
                    raise self.fail(mark.line, "[[end]] with no open interval", "start one with [[work ...]]")
                if mark.word == work.word:
                    raise self.fail(
                        mark.line, "[[end]] on the word of its [[work]]", "put it on a later word"
                    )
                work, ended = None, mark.word
            elif mark.kind == "rest":
                if mark.word != ended:
                    raise self.fail(mark.line, "[[rest]] away from an [[end]]", "put both on one word")
                ended = -1
        if work:
            raise self.fail(work.line, "the last [[work]] never ends", "add [[end]]")

    def line(self, number: int, after_mark: bool, seconds: float, text: str) -> None:
        first, marked, opened, position = len(self.words), len(self.marks), [], 0
        for match in TAG.finditer(text):
            self.say(text[position : match.start()])
            position = match.end()
            if match.group(1) is not None:
                self.mark(match.group(1), number)
            elif match.group(0) == "{{":
                if not (label := LABEL.match(text, position)):
                    start = text[match.start() :][:40]
                    raise self.fail(number, f"no kind and colon: {start}", "write '{{kind: ...}}'")
                position = label.end()
                opened.append((label[1].strip(), len(self.words)))
            elif opened:
                self.close(*opened.pop(), line=number)
            else:
                raise self.fail(number, "'}}' closes nothing", "open the span with '{{kind:'")
        self.say(text[position:])
        if opened:
            raise self.fail(number, f"'{{{{{opened[0][0]}' is never closed", "close it on its line with '}}'")
        if len(self.marks) > marked and self.marks[-1].word == len(self.words):
            raise self.fail(number, "the last mark has no word after it", "put it before a word of this line")
        if len(self.words) > first:
            self.lines.append(ScriptLine(first, after_mark, seconds))


def parse(path: Path) -> Script:
    """Read a ``.class`` file. Raises ScriptError naming the line that does not follow the format."""
    build = _Builder(path)
    try:
        head, cut, body = path.read_text(encoding="utf-8").partition("\n---\n")
    except (OSError, UnicodeDecodeError) as error:
        raise ScriptError(
            path=path, what=f"cannot be read ({error})", todo="give a script in UTF-8"
        ) from None
    if not cut:
        raise build.fail(1, "no '---' line after the header", "separate header and lines with '---'")
    meta = build.header(head)
    for number, raw in enumerate(body.split("\n"), start=head.count("\n") + 3):
        if not (text := raw.strip()) or text.startswith("#"):
            continue
        if not (match := LINE.match(text)):
            raise build.fail(
                number, f"not a line: {text[:60]}", "write '+SECONDS | text' or '@SECONDS | text'"
            )
        build.line(number, match["mode"] == "@", float(match["seconds"]), match["text"])
    if not build.words:
        raise build.fail(head.count("\n") + 2, "nothing is said after '---'", "write '+0 | text'")
    build.check_order()
    return Script(
        name=path.stem,
        title=meta.get("title", path.stem),
        syllables_per_second=float(meta.get("syllables_per_second", 4.4)),
        first_word_at=float(meta.get("first_word_at", 1.0)),
        words=tuple(build.words),
        lines=tuple(build.lines),
        marks=tuple(build.marks),
        tagged=tuple(build.tagged),
    )


def syllables(word: str) -> int:
    """Syllables of an English word by its groups of vowels, at least 1.

    >>> [syllables(w) for w in ("squat", "elbow", "breathe", "seventy")]
    [1, 2, 1, 3]
    """
    low = word.lower()
    runs = re.findall(r"[aeiouy]+", low)
    silent_e = len(runs) > 1 and re.search(r"[^l]e$", low.rstrip(".,!?"))
    return max(1, len(runs) - (1 if silent_e else 0))


def perform(script: Script, seed: str | None = None, pace: float = 1.0) -> Performance:
    """Speak a script.

    ``seed`` varies the speech (default: the script's name); ``pace`` multiplies its syllables per second.
    Word lengths vary by 15 %; a sentence end pauses 0.30 to 0.55 s, a comma 0.12 to 0.30 s (of the order of
    the pauses in read US English, BYU etd-11313).
    """
    rng = random.Random(zlib.crc32((seed or script.name).encode()))
    rate = script.syllables_per_second * pace
    lines = {line.first: line for line in script.lines}
    # `[[end]]` and `[[work]]` restart the clock that "@" lines count from
    restarts = {mark.word for mark in script.marks if mark.kind in ("work", "end")}
    words: list[Spoken] = []
    clock, boundary = script.first_word_at, 0.0
    for index, text in enumerate(script.words):
        if line := lines.get(index):
            if line.after_mark:
                # nobody speaks on the tenth of a second: exact line starts would give the marks away
                clock = max(clock + 0.1, boundary + line.seconds + rng.uniform(-0.3, 0.3))
            else:
                clock += line.seconds
        if index in restarts:
            boundary = clock
        length = syllables(text) / rate * rng.uniform(0.85, 1.15)
        words.append(Spoken(text, clock, clock + length, index))
        clock += length + _pause(text, rng)
    return Performance(script, tuple(words))


def _pause(text: str, rng: random.Random) -> float:
    if text[-1] in ".!?":
        return rng.uniform(0.30, 0.55)
    return rng.uniform(0.12, 0.30) if text[-1] in ",;:" else 0.02
