"""Render the scripted classes in ``scripts/`` to the caption files beside this script.

    python sample_captions/make.py

The renderer's speech model is seeded by each script's name: the same scripts always give the same bytes.
"""

from __future__ import annotations

import html
import math
import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from analyzer.bench.forms import groups, stamp
from analyzer.bench.render import blocks_txt, perform, phrases_srt, plain_vtt, rolling_vtt
from analyzer.bench.script import Spoken

HERE = Path(__file__).parent
LINE_LENGTH = 42
MUSIC_GAP_S = 8.0
"""A silence this long is captioned as music."""

VOICE_HEADER = """WEBVTT Steady & Strong

STYLE
::cue(v) {{
  color: papayawhip;
}}

NOTE
The class, the studio and {voice} are invented.
"""


def voices_vtt(words: Sequence[Spoken], voice: str) -> str:
    """WebVTT phrases of one ``voice``, as a person types them: style, note, ids, tags, entities, music."""
    cues = sorted([*_music(words), *_phrases(words, voice)])
    blocks = [
        f"caption-{number}\n{stamp(start)} --> {stamp(end)}\n{text}\n"
        for number, (start, end, text) in enumerate(cues, 1)
    ]
    return "\n".join([VOICE_HEADER.format(voice=voice), *blocks])


def _phrases(words: Sequence[Spoken], voice: str) -> Iterator[tuple[float, float, str]]:
    """A caption stays 0.25 s after its last word, but never into the next one."""
    parts = list(groups(words, 14, 5.5))
    nexts = [*(part[0].start for part in parts[1:]), math.inf]
    for part, next_start in zip(parts, nexts, strict=True):
        yield part[0].start, min(part[-1].end + 0.25, next_start), _said(part, voice)


def _said(part: Sequence[Spoken], voice: str) -> str:
    # the speech model glues a lone "&" to the word before it; "Q&A" stays as it is
    text = re.sub(r"&(?= )", " &", " ".join(w.text for w in part))
    if len(text) > LINE_LENGTH and (cut := text.rfind(" ", 0, len(text) // 2 + 6)) >= 0:
        text = f"{text[:cut]}\n{text[cut + 1 :]}"
    return f"<v {voice}>{html.escape(text, quote=False)}"


def _music(words: Sequence[Spoken]) -> Iterator[tuple[float, float, str]]:
    """The silences before the first word and between words, half a second in from either side."""
    ends = [0.0, *(w.end for w in words)]
    for end, word in zip(ends, words, strict=False):
        if word.start - end >= MUSIC_GAP_S:
            yield end + 0.5, word.start - 0.5, "[Music]"


def stamped_txt(words: Sequence[Spoken], seconds: float = 12.0) -> str:
    """A transcript: ``m:ss`` alone on a line, then what was said up to the first sentence end after 12 s."""
    blocks: list[list[Spoken]] = [[]]
    for word in words:
        block = blocks[-1]
        if block and word.start - block[0].start > seconds and block[-1].text[-1] in ".!?":
            blocks.append([])
        blocks[-1].append(word)
    lines = []
    for block in blocks:
        minutes, rest = divmod(int(block[0].start), 60)
        lines += [f"{minutes}:{rest:02d}", " ".join(w.text for w in block)]
    return "\n".join(lines) + "\n"


FILES: dict[str, tuple[str, Callable[[Sequence[Spoken]], str]]] = {
    "first_take": ("vtt", rolling_vtt),
    "retake": ("srt", phrases_srt),
    "evening_stretch": ("txt", blocks_txt),
    "steady_and_strong": ("vtt", lambda words: voices_vtt(words, "Anselm")),
    "twenty_ten": ("vtt", plain_vtt),
    "studio_talk": ("txt", stamped_txt),
}
"""Script, file ending, form."""


def main() -> None:
    for name, (ending, form) in FILES.items():
        words = perform(HERE / "scripts" / f"{name}.class").words
        text = form(words)
        target = HERE / f"{name}.{ending}"
        target.write_text(text, encoding="utf-8", newline="\n")
        print(f"{target.name}: {len(words)} words, {words[-1].end / 60:.1f} min")


if __name__ == "__main__":
    main()
