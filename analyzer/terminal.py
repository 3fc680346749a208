"""What a terminal shows: text that it does not obey, signs that it has, and readers that go away.

Captions are other people's text, and so are file names: neither may move the cursor, colour the screen or
turn other text around.
"""

from __future__ import annotations

import os
import sys
import unicodedata
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path

__all__ = ["drop_output", "forgive_characters", "printable"]

_BREAKS, _HIDDEN = {"Cc", "Zl", "Zp"}, {"Cf"}
"""Unicode categories of controls and line ends, and of what changes the text around it unseen."""


def printable(text: str) -> str:
    """Text on one line that shows as it is: controls become spaces, hidden marks go.

    >>> printable("rest\\x1b[2J\\nnow\\u202e")
    'rest [2J now'
    """
    return "".join(map(_shown, text))


def _shown(character: str) -> str:
    category = unicodedata.category(character)
    return " " if category in _BREAKS else "" if category in _HIDDEN else character


def forgive_characters() -> None:
    """Let an output that has no sign for a character show another, rather than end the program."""
    if isinstance(sys.stdout, TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def drop_output() -> None:
    """Send what is still to be printed nowhere, so that the end of the process does not trip over it."""
    with suppress(OSError, ValueError), Path(os.devnull).open("w") as nowhere:
        os.dup2(nowhere.fileno(), sys.stdout.fileno())
