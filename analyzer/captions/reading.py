"""From a path to ``Captions``: decode, recognise, parse, order, read rolling text once, keep the speech."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from statistics import median

from analyzer.captions.checks import empty, grouped, in_order, strange_lengths
from analyzer.captions.cues import Format
from analyzer.captions.decode import decode, load, normal, stranger
from analyzer.captions.markup import read_markup
from analyzer.captions.records import Caption, Captions, Problem, TimedText, Timing
from analyzer.captions.rolling import read_once
from analyzer.captions.speech import spoken
from analyzer.captions.subrip import SUBRIP
from analyzer.captions.transcript import TRANSCRIPT
from analyzer.captions.webvtt_file import WEBVTT
from analyzer.errors import CaptionError

__all__ = ["read", "read_text"]

_FORMATS: tuple[Format, ...] = (WEBVTT, SUBRIP, TRANSCRIPT)
"""In the order of trial. Transcripts come last: "1:30 to go" may start a line in any caption."""

_BLOCK_MS = 9_000
"""A median caption longer than this is a block of talk. A full caption of 2 lines of 37 characters stays for
6 s or less at 160 words a minute (BBC subtitle guidelines); transcripts are stamped each 15 to 30 s."""


def read(path: Path | str) -> Captions:
    """Read a caption file.

    Raises ``CaptionError`` when there is nothing to read: no such file, a folder, empty, too large, binary,
    none of the formats, or no speech in it. Anything less is kept, and told in ``problems``.
    """
    path = Path(path)
    text, problems = decode(load(path), path)
    return read_text(text, problems, path)


def read_text(text: str, problems: Iterable[Problem], path: Path) -> Captions:
    """Read the text of a caption file; ``problems`` are those met on the way to it, ``path`` names it.

    Raises ``CaptionError`` as ``read`` does.
    """
    text = normal(text)
    form = next((form for form in _FORMATS if form.sniff(text)), None)
    if form is None:
        raise _no_captions(path, text)
    cues, found = form.parse(text)
    ordered, disorder = in_order(cues)
    marked = [read_markup(cue) for cue in ordered]
    texts, rolling = read_once(marked)
    captions = spoken(texts)
    if not captions:
        what = "the captions hold only sounds, no speech" if marked else "there is no caption in it"
        raise CaptionError(path=path, what=what, todo="use a caption file of what the instructor says")
    problems = [*problems, *found, *disorder, *(problem for lines in texts for problem in lines.problems)]
    if not rolling:
        problems += [
            *empty(marked),
            *strange_lengths(captions, {p.line for p in disorder}, open_end=form.open_end),
        ]
    timing = _timing(captions)
    if timing == "word":
        captions = [_single_word(caption) for caption in captions]
    name = f"rolling {form.name}" if rolling else form.name
    return Captions(path, name, timing, tuple(captions), grouped(problems))


def _no_captions(path: Path, text: str) -> CaptionError:
    what = f"neither {WEBVTT.name}, {SUBRIP.name} nor a {TRANSCRIPT.name}{stranger(text)}"
    todo = (
        'no "WEBVTT" header, no line with "00:00:01,000 --> 00:00:04,000" and no line that starts with a time'
        ' such as "[1:05]" was found: export the captions as .vtt or .srt'
    )
    return CaptionError(path=path, what=what, todo=todo)


def _timing(captions: Sequence[Caption]) -> Timing:
    """How finely the captions are timed, see ``Timing``."""
    words = timed = 0
    for caption in captions:
        count = len(caption.text.split())
        words += count
        timed += len(caption.parts) if caption.parts else int(count == 1)
    if 2 * timed > words:
        return "word"
    return "block" if median(caption.span.duration_ms for caption in captions) > _BLOCK_MS else "phrase"


def _single_word(caption: Caption) -> Caption:
    """A caption of one word says when that word starts."""
    if caption.parts or len(caption.text.split()) > 1:
        return caption
    return replace(caption, parts=(TimedText(caption.span.start_ms, caption.text),))
