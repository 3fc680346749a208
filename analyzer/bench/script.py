"""Scripted classes: what an instructor says, when, and what is true about it.

A ``.class`` file is a header of ``key: value`` lines, ``---``, then lines of ``+P | text`` (said P seconds
after the line before) or ``@N | text`` (said N seconds after the last ``[[work]]`` or ``[[end]]``). Marks
stand before the word they happen on: ``[[phase main]]``, ``[[intro "squats"]]``,
``[[work 40 "squats" side=left round=2]]`` (the seconds told, or ``reps``, ``untimed``), ``[[end]]``,
``[[rest 20]]``. Spans stay on one line: ``{{form: ...}}``, ``{{call elapsed 20: ...}}``.

``parse`` reads a script, ``perform`` speaks it with a seeded speech model: the same script and seed always
give the same word times. ``truth`` says what is true about the performance, in seconds.
"""

from __future__ import annotations

import random
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

from analyzer.errors import AnalyzerError
from analyzer.outline.records import CUE_KINDS, PhaseName

__all__ = ["Mark", "Performance", "Script", "ScriptError", "ScriptLine", "Spoken", "Tagged", "parse", "perform", "truth"]

TAG = re.compile(r"\[\[(.*?)\]\]|\{\{|\}\}")
LINE = re.compile(r"^(?P<mode>[+@])(?P<seconds>\d+(?:\.\d+)?)\s*\|\s*(?P<text>.*)$")
MARKS = ("phase", "intro", "work", "end", "rest")


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
    """When the words from ``first`` on are said: ``seconds`` after the line before, or after the last mark."""

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

    def say(self, chunk: str) -> None:
        for token in chunk.split():
            if re.search(r"\w", token):
                self.words.append(token)
            elif self.words:
                self.words[-1] += token

    def mark(self, text: str, line: int) -> None:
        kind, *args = re.findall(r'"[^"]*"|\S+', text)
        if kind not in MARKS:
            raise self.fail(line, f"unknown mark [[{text}]]", f"use one of {', '.join(MARKS)}")
        if kind == "phase" and args[0] not in get_args(PhaseName):
            raise self.fail(line, f"unknown phase {args[0]}", f"use one of {', '.join(get_args(PhaseName))}")
        self.marks.append(Mark(len(self.words), kind, tuple(a.strip('"') for a in args), line))

    def close(self, label: str, first: int, line: int) -> None:
        kind, *args = label.split()
        if kind != "call" and kind not in CUE_KINDS:
            raise self.fail(line, f"unknown span {{{{{label}}}}}", "use call or a kind of cue")
        self.tagged.append(Tagged(first, len(self.words), kind, tuple(args)))

    def line(self, number: int, after_mark: bool, seconds: float, text: str) -> None:
        first, marked, opened, position = len(self.words), len(self.marks), [], 0
        for match in TAG.finditer(text):
            self.say(text[position : match.start()])
            position = match.end()
            if match.group(1) is not None:
                self.mark(match.group(1), number)
            elif match.group(0) == "{{":
                label = text[position:].partition(":")[0]
                position += len(label) + 1
                opened.append((label.strip(), len(self.words)))
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
    head, _, body = path.read_text(encoding="utf-8").partition("\n---\n")
    build = _Builder(path)
    if not body:
        raise build.fail(1, "no '---' line after the header", "separate header and lines with '---'")
    meta = {k.strip(): v.strip() for k, _, v in (line.partition(":") for line in head.splitlines()) if v}
    for number, raw in enumerate(body.splitlines(), start=head.count("\n") + 3):
        if not (text := raw.strip()) or text.startswith("#"):
            continue
        if not (match := LINE.match(text)):
            raise build.fail(number, f"not a line: {text[:60]}", "write '+SECONDS | text' or '@SECONDS | text'")
        build.line(number, match["mode"] == "@", float(match["seconds"]), match["text"])
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


def truth(performance: Performance) -> dict[str, Any]:
    """What is true of a performance: title, phases, intervals, calls, cues and words, times in seconds.

    Raises ScriptError for an interval inside an interval, or one that never ends.
    """
    script, words = performance.script, performance.words
    intervals: list[dict[str, Any]] = []
    phases: list[dict[str, Any]] = []
    names: list[tuple[int, str]] = []
    work: dict[str, Any] | None = None
    rest: dict[str, Any] | None = None
    for mark in script.marks:
        at = round(words[mark.word].start, 3)
        phase = phases[-1]["phase"] if phases else "opening"
        if mark.kind == "phase":
            phases.append({"phase": mark.args[0], "start_s": at})
        elif mark.kind == "intro":
            names.append((mark.word, mark.args[0]))
        elif mark.kind == "work":
            if work:
                raise ScriptError(path=Path(script.name), line=mark.line, what="[[work]] inside an open interval",
                                  todo="end the one before with [[end]]")
            if rest:
                intervals.append(rest | {"stop_s": at})
            work, rest = _work(mark, phase, at), None
            names.append((mark.word, work["exercise"]))
        elif mark.kind == "end":
            if not work:
                raise ScriptError(path=Path(script.name), line=mark.line, what="[[end]] with no open interval",
                                  todo="start one with [[work ...]]")
            intervals.append(work | {"stop_s": at})
            work = None
        else:
            rest = _rest(mark, phase, at)
    if work:
        raise ScriptError(path=Path(script.name), what="the last [[work]] never ends", todo="add [[end]]")
    intervals.sort(key=lambda i: float(i["start_s"]))
    said = list(_said(performance, names))
    return {
        "title": script.title,
        "phases": phases,
        "intervals": intervals,
        "calls": [s for s in said if "value" in s],
        "cues": [s for s in said if "value" not in s],
        "words": [[w.text, round(w.start, 3), round(w.end, 3)] for w in words],
    }


def _work(mark: Mark, phase: str, at: float) -> dict[str, Any]:
    told, name, *rest = mark.args
    extra = dict(r.split("=") for r in rest if "=" in r)
    return {
        "kind": "work",
        "counted": "reps" if told == "reps" else "time",
        "exercise": name,
        "announced_s": None if told in ("untimed", "reps") else float(told),
        "side": extra.get("side"),
        "round": int(extra["round"]) if "round" in extra else None,
        "phase": phase,
        "start_s": at,
    }


def _rest(mark: Mark, phase: str, at: float) -> dict[str, Any]:
    told = mark.args[0] if mark.args else "untimed"
    return {"kind": "rest", "exercise": None, "side": None, "round": None,
            "announced_s": None if told == "untimed" else float(told), "phase": phase, "start_s": at}


def _said(performance: Performance, names: list[tuple[int, str]]) -> Iterator[dict[str, Any]]:
    for tag in performance.script.tagged:
        spoken = performance.words[tag.first : tag.last]
        entry = {"at_s": round(spoken[0].start, 3), "said": " ".join(w.text for w in spoken)}
        if tag.kind == "call":
            yield entry | {"kind": tag.args[0], "value": float(tag.args[1])}
        else:
            # an [[intro]] on a span's first word already counts for it
            known = [name for word, name in names if word < tag.last]
            yield entry | {"kind": tag.kind, "exercise": known[-1] if known else None}
