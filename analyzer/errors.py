"""What can be wrong with what the program is given.

Every message reads ``file:line: what is wrong; what to do``. The command line prints it and exits
with ``exit_code``; nothing else catches it.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

__all__ = ["AnalyzerError", "CaptionError", "ConfigError"]


class AnalyzerError(Exception):
    """Input the program cannot use. ``path`` and ``line`` (1-based) say where, ``todo`` says what to do.

    >>> str(AnalyzerError(path=Path("a.vtt"), line=3, what="no time", todo="Add one."))
    'a.vtt:3: no time; Add one.'
    """

    exit_code = 2

    def __init__(self, *, path: Path | None = None, line: int | None = None, what: str, todo: str) -> None:
        self.path, self.line, self.what, self.todo = path, line, what, todo
        where = ":".join(str(part) for part in (path, line) if part is not None)
        super().__init__(f"{where}: {what}; {todo}" if where else f"{what}; {todo}")

    def __reduce__(self) -> tuple[Any, ...]:
        # an exception is pickled as a call with its message, which this one is not made from; without this
        # an error in a worker process breaks the whole pool
        remake = partial(type(self), path=self.path, line=self.line, what=self.what, todo=self.todo)
        return remake, (), self.__dict__


class CaptionError(AnalyzerError):
    """A caption file that cannot be read."""


class ConfigError(AnalyzerError):
    """A TOML file (class standard, move lexicon, notes) that does not say what it should."""
