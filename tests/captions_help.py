"""Short ways to read a caption text in a test."""

from pathlib import Path
from textwrap import dedent

from analyzer.captions import Captions
from analyzer.captions.reading import read_text

__all__ = ["reading", "spans", "texts"]


def reading(text: str, name: str = "class.vtt") -> Captions:
    """Read a text; one that is written as an indented block loses its indent and its first line end."""
    if text.startswith("\n "):
        text = dedent(text).removeprefix("\n")
    return read_text(text, (), Path(name))


def texts(captions: Captions) -> list[str]:
    return [caption.text for caption in captions.captions]


def spans(captions: Captions) -> list[tuple[int, int]]:
    return [(caption.span.start_ms, caption.span.end_ms) for caption in captions.captions]
