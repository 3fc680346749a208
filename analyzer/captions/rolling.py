"""Rolling captions, read once.

Live captions scroll: each caption shows again what the one before it showed, then something new. Shapes seen:
two or three lines that move up (with or without a time before each word); a line that grows word by word; a
line shown again and again while one word after another lights up. In all of them the new words of a caption
are what is left when the lines that it shares with the caption before it are taken away.

A file is taken to roll when a third of its captions repeat the one before; in any other file a repeated line
is somebody saying the same thing twice, and stays.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import chain, pairwise

from analyzer.captions.markup import MARK, Lines, mark, mark_number

__all__ = ["read_once"]

_SHARE = 0.3
"""Share of captions that must repeat. In plain captions of the scripted classes 0.01 do at most; in rolling
ones 0.6 and more."""

_GROWING_SHARE = 0.2
"""Share of captions that must add to a line already shown, before a shared beginning counts as repetition."""

_FLASH_MS = 100
"""A caption this short is a step of a scrolling display; nobody can read it."""

_PAUSE_MS = 2_000
"""After a pause this long the same words are said again, not shown again."""

_SCREEN = 8
"""No display shows more lines than this."""

_Words = list[list[str]]


def read_once(cues: Sequence[Lines]) -> tuple[list[Lines], bool]:
    """Cues with only their new words, and whether the file rolls. A growing line becomes one, timed cue."""
    filled = [cue for cue in cues if cue.lines]
    words = [cue.words() for cue in filled]
    kinds = Counter(
        _kind(before, now, old, new)
        for (before, old), (now, new) in pairwise(zip(filled, words, strict=True))
    )
    pairs = sum(kinds.values())
    repeats = pairs - kinds[""]
    if repeats < 2 or repeats < _SHARE * pairs:
        return list(cues), False
    growing = kinds["grows"] >= _GROWING_SHARE * pairs
    usual = _usual(words)
    result = filled[:1]
    lit = filled[0].lit
    for (before, old), (now, new) in pairwise(zip(filled, words, strict=True)):
        lines, grown = _new_lines(now.lines, old, new, usual, growing=growing)
        if not lines and _said_again(before, now, lit, alone=not usual and old == new == [new[0][:1]]):
            lines = now.lines
        lit = now.lit if lines or now.lit is not None else lit
        if not lines:
            _show_longer(result[-1], now, sum(map(len, new)))
        elif grown:
            _grow(result[-1], lines[0], now)
            lines = lines[1:]
        if lines:
            cue = Lines(
                now.line, now.start_ms, now.end_ms, lines, now.times, now.speaker, problems=now.problems
            )
            result.append(cue)
    return result, True


def _said_again(before: Lines, now: Lines, lit: int | None, *, alone: bool) -> bool:
    """Whether a caption without new words is speech all the same.

    It is after a pause; when the light is back at the start of the line, or where it was (``lit``: the last
    word lit up); and when a word stands ``alone`` on a display that never scrolls.
    """
    flash = min(now.end_ms - now.start_ms, before.end_ms - before.start_ms) <= _FLASH_MS
    restarted = lit is not None and now.lit is not None and now.lit <= lit
    return _paused(before, now) or restarted or (alone and not flash and now.lit == before.lit)


def _kept(old: _Words, new: _Words, *, growing: bool) -> list[int]:
    """How many lines the top of ``new`` may share with the end of ``old``; the last may have grown."""
    found = []
    for count in range(1, min(len(old), len(new), _SCREEN) + 1):
        tail, head = old[-count:], new[:count]
        last = tail[-1] == (head[-1][: len(tail[-1])] if growing else head[-1])
        if last and tail[:-1] == head[:-1]:
            found.append(count)
    return found


def _kind(before: Lines, now: Lines, old: _Words, new: _Words) -> str:
    """How a caption repeats the one before: it "scrolls", "grows", is shown "again", or "" for not at all."""
    if kept := _kept(old, new, growing=False):
        if kept[0] < len(new):
            return "scrolls"
        flash = min(now.end_ms - now.start_ms, before.end_ms - before.start_ms) <= _FLASH_MS
        return "again" if flash or before.lit != now.lit else ""
    return "grows" if _kept(old, new, growing=True) or _rewrapped(old, new) else ""


def _rewrapped(old: _Words, new: _Words) -> int:
    """The number of words of ``old`` if ``new`` starts with all of them, wherever its lines break; else 0."""
    before, now = list(chain.from_iterable(old[-_SCREEN:])), list(chain.from_iterable(new))
    return len(before) if len(old) <= _SCREEN and now[: len(before)] == before else 0


def _paused(before: Lines, now: Lines) -> bool:
    return now.start_ms - before.end_ms > _PAUSE_MS


def _usual(words: Sequence[_Words]) -> int:
    """How many lines the display keeps, most of the time; 0 when it never scrolls."""
    counts: Counter[int] = Counter()
    for old, new in pairwise(words):
        kept = _kept(old, new, growing=False)
        if len(kept) == 1 and kept[0] < len(new):
            counts[kept[0]] += 1
    return counts.most_common(1)[0][0] if counts else 0


def _new_lines(
    lines: list[str], old: _Words, new: _Words, usual: int, *, growing: bool
) -> tuple[list[str], bool]:
    """The lines that were not shown before, and whether the first of them goes on a line that was.

    Where the same line was said twice, more than one reading fits: then the display did what it usually does.
    """
    if kept := _kept(old, new, growing=False):
        return lines[usual if usual in kept else kept[-1] :], False
    if growing and (kept := _kept(old, new, growing=True)):
        count = kept[-1]
        return [_after_words(lines[count - 1], len(old[-1])), *lines[count:]], True
    if growing and (count := _rewrapped(old, new)):
        return [_after_words(" ".join(lines), count)], True
    return lines, False


def _after_words(line: str, count: int) -> str:
    """What follows the first ``count`` words of a line."""
    pieces = line.split()
    words = 0
    for i, piece in enumerate(pieces):
        if words == count:
            return " ".join(pieces[i:])
        words += bool(MARK.sub("", piece))
    return ""


def _grow(target: Lines, text: str, cue: Lines) -> None:
    """Add words to the cue whose line they go on, with the time at which they appeared."""
    first = len(target.times)
    own = MARK.sub(lambda m: mark(first + 1 + mark_number(m[0])), text)
    target.times += [max(cue.start_ms, target.times[-1] if target.times else 0), *cue.times]
    target.lines[-1] += f" {mark(first)}{own}"
    target.end_ms = max(target.end_ms, cue.end_ms)
    target.problems += cue.problems


def _show_longer(target: Lines, cue: Lines, shown: int) -> None:
    """A cue that shows ``shown`` words, none of them new: it may light up one as it is said."""
    if cue.end_ms - cue.start_ms <= _FLASH_MS:
        return
    target.end_ms = max(target.end_ms, cue.end_ms)
    if cue.lit is None or (target.times and cue.start_ms < target.times[-1]):
        return
    lines = [line.split(" ") for line in target.lines]
    index = cue.lit - (shown - sum(map(len, lines)))
    for i, line in enumerate(lines):
        if 0 <= index < len(line):
            if (i or index) and not MARK.match(line[index]):
                line[index] = mark(len(target.times)) + line[index]
                target.times.append(cue.start_ms)
                target.lines[i] = " ".join(line)
            return
        index -= len(line)
