"""Training examples: scripted classes as every caption form, with the truth of each word.

A script is spoken with a seed and a pace, written as a caption file, read back by the program's own reader
and timed by its own words stage, so that training sees what a run sees. Each word then gets a row of labels.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

import numpy as np
import numpy.typing as npt

from analyzer.bench.forms import FORMS, as_digits, unpunctuated
from analyzer.bench.script import Performance, Script, Spoken, parse, perform
from analyzer.captions import read_text
from analyzer.captions.records import Captions
from analyzer.hearing.labels import CHOICES, FLAGS, column
from analyzer.hearing.numbers import lengths
from analyzer.outline.records import CUE_KINDS
from analyzer.words import Word, time_words

__all__ = ["MASKED", "Example", "example", "load", "word_labels"]

MASKED = -1
"""A choice that is not asked of this word."""
Labels = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class Example:
    """One performance in one caption form. ``labels``: flags, then a column a choice; (words, F + C)."""

    name: str
    form: str
    captions: Captions
    words: tuple[Word, ...]
    labels: Labels
    spoken: npt.NDArray[np.int64]
    """For each caption word, the index of the spoken word it starts with."""


def example(script: Script, form: str, seed: str | None = None, pace: float = 1.0) -> Example:
    """Speak ``script``, write it in ``form``, read it back and label every word."""
    performance = perform(script, seed, pace)
    text = FORMS[form](performance.words)
    captions = read_text(text, (), Path(f"{script.name}.{form}"))
    words = time_words(captions)
    written = performance.words if form == "plain.vtt" else as_digits(performance.words)
    firsts = _align([w.norm for w in words], written)
    rows = word_labels(performance)
    labels = rows[firsts]
    nexts = np.concatenate((firsts[1:], [len(rows)]))
    flags = len(FLAGS)
    for i, (a, b) in enumerate(zip(firsts, nexts, strict=True)):
        if b > a + 1:  # "forty five" became one word
            labels[i, :flags] = rows[a:b, :flags].max(axis=0)
    return Example(script.name, form, captions, words, labels, firsts)


def _align(norms: Sequence[str], written: Sequence[Spoken]) -> npt.NDArray[np.int64]:
    """Index of the spoken word behind each caption word; equal runs first, neighbours fill the rest."""
    said = [re.sub(r"^\W+|[^\w%]+$", "", unpunctuated(w.text)) for w in written]
    if len(said) == len(norms):
        return np.array([w.first for w in written], dtype=np.int64)
    out = np.full(len(norms), -1, dtype=np.int64)
    for a, b, size in SequenceMatcher(None, list(norms), said, autojunk=False).get_matching_blocks():
        out[a : a + size] = [w.first for w in written[b : b + size]]
    last = 0
    for i in range(len(out)):
        last = out[i] = out[i] if out[i] >= 0 else last
    return out


def word_labels(performance: Performance) -> Labels:
    """Labels of the spoken words: shape (words, len(FLAGS) + len(CHOICES))."""
    script = performance.script
    count = len(script.words)
    labels = np.zeros((count, len(FLAGS) + len(CHOICES)), dtype=np.int8)
    choice = {name: len(FLAGS) + i for i, name in enumerate(CHOICES)}
    for name in ("told", "side", "role"):
        labels[:, choice[name]] = MASKED
    for tag in script.tagged:
        kind = tag.args[0] if tag.kind == "call" else tag.kind
        labels[tag.first : tag.last, column(f"in {kind}")] = 1
        labels[tag.first, column(f"begin {kind}")] = 1
    _events(script, labels, choice)
    _names(script, labels)
    _roles(performance, labels, choice["role"])
    return labels


def _events(script: Script, labels: Labels, choice: dict[str, int]) -> None:
    for mark in script.marks:
        at = mark.word
        if mark.kind == "phase":
            labels[at:, choice["phase"]] = CHOICES["phase"].index(mark.args[0])
        elif mark.kind == "intro":
            labels[at, column("intro")] = 1
        elif mark.kind == "work":
            labels[at, column("start")] = 1
            told = mark.args[0]
            labels[at, choice["told"]] = {"untimed": 1, "reps": 2}.get(told, 0)
            side = next((a.split("=")[1] for a in mark.args if a.startswith("side=")), "none")
            labels[at, choice["side"]] = CHOICES["side"].index(side) if side in CHOICES["side"] else 0
            labels[at:, choice["state"]] = 1
        elif mark.kind == "end":
            labels[at, column("stop")] = 1
            labels[at:, choice["state"]] = 0
        elif mark.kind == "rest":
            labels[at, column("rest")] = 1
            labels[at:, choice["state"]] = 2
    last_rest = max((m.word for m in script.marks if m.kind == "rest"), default=None)
    if last_rest is not None and not any(m.kind == "work" and m.word > last_rest for m in script.marks):
        labels[last_rest:, choice["state"]] = 0  # a rest with no later work is none


def _stem(word: str) -> str:
    return re.sub(r"(es|s)$", "", word)


SMALL = {"the", "a", "of", "with", "and", "to", "in", "on"}


def name_tokens(text: str) -> list[str]:
    """Stemmed words of a move's name, small words left out."""
    return [_stem(t) for t in re.findall(r"[a-z]+", text.lower()) if t not in SMALL]


def _names(script: Script, labels: Labels) -> None:
    """Mark where a move is named: the best run of words in its set-up, and every full mention elsewhere."""
    tokens = [name_tokens(w) for w in script.words]
    inside, begin = column("in name"), column("begin name")
    wanted = {
        m.args[0] if m.kind == "intro" else m.args[1] for m in script.marks if m.kind in ("intro", "work")
    }

    def mark(first: int, last: int) -> None:
        if not labels[first:last, inside].any():
            labels[first:last, inside] = 1
            labels[first, begin] = 1

    for name in sorted(wanted, key=lambda n: -len(name_tokens(n))):
        need = name_tokens(name)
        for i in range(len(tokens) if need else 0):
            if (hit := _run(tokens, i, need)) and hit[1] == len(need):
                mark(i, hit[0])
    marks = [m for m in script.marks if m.kind in ("intro", "work")]
    for mark_ in marks:
        name = mark_.args[0] if mark_.kind == "intro" else mark_.args[1]
        need = name_tokens(name)
        window = range(max(0, mark_.word - 12), min(len(tokens), mark_.word + 30))
        hits = [(run[1], -abs(i - mark_.word), i, run[0]) for i in window if (run := _run(tokens, i, need))]
        if hits:
            share, _, first, last = max(hits)
            if share * 2 >= len(need):
                mark(first, last)


def _run(tokens: list[list[str]], i: int, need: list[str]) -> tuple[int, int] | None:
    """(end, words of the name matched) of the run of name words that starts at ``i``."""
    left, j, matched, end = list(need), i, 0, i
    while j < len(tokens) and left:
        hit = [t for t in tokens[j] if t in left]
        if not hit:
            if tokens[j] or j == i:
                break
            j += 1  # a small word inside the name
            continue
        for t in hit:
            left.remove(t) if t in left else None
        matched += len(hit)
        j += 1
        end = j
    return (end, matched) if matched else None


def _roles(performance: Performance, labels: Labels, role: int) -> None:
    """What each spoken number is: the length of a work interval to come, of a rest to come, or neither.

    Found from the truth: a length is "work" when the next work interval was told that many seconds, else
    "rest" when the next rest was, else either of any later one; a number inside a cue or call is "other".
    """
    script = performance.script
    norms = [re.sub(r"^\W+|[^\w%]+$", "", w.lower().replace("’", "'")) for w in script.words]
    told: dict[str, list[tuple[int, float]]] = {"work": [], "rest": []}
    for mark in script.marks:
        if mark.kind in told and mark.args and re.fullmatch(r"[\d.]+", mark.args[0]):
            told[mark.kind].append((mark.word, float(mark.args[0])))
    inside = [column(f"in {k}") for k in (*CUE_KINDS, "elapsed", "remaining", "fraction")]
    for length in lengths(norms):
        labels[length.first, role] = 0
        if labels[length.first, inside].any():
            continue
        ahead = {
            kind: [v for word, v in rows if word >= length.first - (12 if kind == "work" else 3)]
            for kind, rows in told.items()
        }
        for depth in (1, 6, 10_000):
            kind = next((k for k in ("work", "rest") if length.seconds in ahead[k][:depth]), None)
            if kind:
                if depth == 10_000 and not (length.unit or length.seconds >= 15):
                    break
                labels[length.first, role] = CHOICES["role"].index(kind)
                break


def load(folder: Path) -> list[Script]:
    """Every script of a folder, by name."""
    return [parse(path) for path in sorted(folder.glob("*.class"))]
