"""One move as a record, and the TOML files that moves are read from: every field checked, every error placed.

A file holds ``[[move]]`` tables. A folder's ``_grammar.toml`` says how names are bent in speech (see
:mod:`analyzer.hearing.lexicon`); a folder without one has names that are not bent.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Literal, get_args

from analyzer.errors import ConfigError

__all__ = ["GRAMMAR", "LexiconError", "Move", "MoveTable", "read_grammar", "read_moves"]

GRAMMAR = "_grammar.toml"

Position = Literal[
    "standing", "kneeling", "all fours", "prone", "supine", "side-lying", "seated", "hanging", "machine"
]
Sides = Literal["both", "each", "alternating"]
Impact = Literal["low", "high"]
Level = Literal["beginner", "intermediate", "advanced"]


class LexiconError(ConfigError):
    """A move file that does not say what it should; the message names the file, the line and the entry."""


@dataclass(frozen=True, slots=True)
class Move:
    """One exercise, pose or drill. Sentences are whole and can be said as they stand.

    ``sides`` is "each" where one side is done and then the other, "alternating" where they take turns.
    ``easier`` and ``harder`` hold 1 or 2 sentences, ``form`` 2 or 3, ``cautions`` any number, each on one
    joint or condition. ``trains`` names parts of the body, or "balance", "rest" and the like. ``source`` is
    the published programme that the move is from, else "common practice".
    """

    name: str
    aliases: tuple[str, ...]
    mishearings: tuple[str, ...]
    family: str
    position: Position
    sides: Sides
    impact: Impact
    level: Level
    easier: tuple[str, ...]
    harder: tuple[str, ...]
    form: tuple[str, ...]
    breathing: str
    cautions: tuple[str, ...]
    trains: tuple[str, ...]
    source: str


TEXTS = ("name", "family", "breathing", "source")
CHOICES: dict[str, tuple[str, ...]] = {
    "position": get_args(Position), "sides": get_args(Sides), "impact": get_args(Impact),
    "level": get_args(Level),
}
# how many texts each list may hold
LISTS = {
    "aliases": (0, 99), "mishearings": (0, 99), "easier": (1, 2), "harder": (1, 2), "form": (2, 3),
    "cautions": (0, 9), "trains": (1, 9),
}
FIELDS = (*TEXTS, *CHOICES, *LISTS)


@dataclass(frozen=True, slots=True)
class MoveTable:
    """One ``[[move]]`` table as read, the ``number``-th (from 0) of a file whose text is kept for errors."""

    path: Path
    number: int
    text: str
    fields: Mapping[str, Any]

    @property
    def name(self) -> str:
        """The name it gives, or a stand-in for messages."""
        return str(self.fields.get("name") or f"the {self.number + 1}. move")

    def error(self, what: str, todo: str, key: str | None = None) -> LexiconError:
        """An error at the line of ``key`` in this table, or of the table itself."""
        return LexiconError(path=self.path, line=self.line(key), what=f'"{self.name}": {what}', todo=todo)

    def line(self, key: str | None = None) -> int | None:
        """The 1-based line of a key, or of the table's header; None for tables written in another form."""
        head = -1
        found = None
        for line, text in enumerate(self.text.splitlines(), 1):
            if re.match(r"\s*\[\[\s*move\s*]]", text):
                head += 1
                if head == self.number:
                    found = line
            elif head == self.number and key and re.match(rf"\s*{re.escape(key)}\s*=", text):
                return line
        return found

    def over(self, other: MoveTable) -> MoveTable:
        """This table, with the name of ``other`` and the fields that only ``other`` gives."""
        fields = {**other.fields, **self.fields, "name": other.fields["name"]}
        return MoveTable(self.path, self.number, self.text, fields)

    def move(self) -> Move:
        """The record, once every field is there."""
        if missing := [key for key in FIELDS if key not in self.fields]:
            raise self.error(f"no {missing[0]}", f"Add {' and '.join(missing)} to the entry.")
        fields: dict[str, Any] = {k: tuple(v) if isinstance(v, list) else v for k, v in self.fields.items()}
        return Move(**fields)


def read_moves(path: Path) -> tuple[MoveTable, ...]:
    """The move tables of one file, each field that is there checked; what is missing, ``move`` tells."""
    data, text = _toml(path)
    if unknown := [key for key in data if key != "move"]:
        raise LexiconError(path=path, what=f'unknown table "{unknown[0]}"', todo="Write only [[move]] here.")
    entries = data.get("move", [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise LexiconError(path=path, what="move is no list of tables", todo="Begin each move with [[move]].")
    tables = tuple(MoveTable(path, number, text, fields) for number, fields in enumerate(entries))
    for table in tables:
        _check(table)
    return tables


def read_grammar(folder: Path) -> Mapping[str, Any]:
    """What the folder's grammar file says; empty where there is none."""
    path = folder / GRAMMAR
    if not path.exists():
        return {}
    data, _ = _toml(path)
    for key, value in data.items():
        good = all(map(_pair, value)) if key == "plurals" and isinstance(value, list) else _texts(value)
        if not good:
            raise LexiconError(path=path, what=f'"{key}" is no list of texts', todo="Write it as a list.")
    return data


def _toml(path: Path) -> tuple[dict[str, Any], str]:
    try:
        text = path.read_text(encoding="utf-8")
        return tomllib.loads(text), text
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"\(at line (\d+)", str(error))
        what = re.sub(r" \(at .*\)$", "", str(error))
        line = int(place[1]) if place else None
        raise LexiconError(path=path, line=line, what=f"no TOML: {what}", todo="Mend this line.") from error
    except UnicodeDecodeError as error:
        raise LexiconError(path=path, what="not UTF-8 text", todo="Save the file as UTF-8.") from error
    except OSError as error:
        what = f"cannot read it ({error.strerror})"
        raise LexiconError(path=path, what=what, todo="Check the path.") from error


def _pair(value: object) -> bool:
    return _texts(value) and isinstance(value, list) and len(value) == 2


def _texts(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(item, str) and item.strip() for item in value)


def _check(table: MoveTable) -> None:
    if "name" not in table.fields:
        raise table.error("no name", "Add name to the entry.")
    for key, value in table.fields.items():
        if key in TEXTS:
            if not isinstance(value, str) or not value.strip():
                raise table.error(f"{key} is no text", "Write it in quotes, and not empty.", key)
        elif key in CHOICES:
            if value not in CHOICES[key]:
                raise table.error(f"{key} is {value!r}", f"Use one of: {', '.join(CHOICES[key])}.", key)
        elif key in LISTS:
            least, most = LISTS[key]
            if not _texts(value):
                raise table.error(f"{key} is no list of texts", 'Write it as ["...", "..."].', key)
            if not least <= len(value) <= most:
                raise table.error(f"{key} has {len(value)} texts", f"Give {least} to {most}.", key)
        else:
            near = get_close_matches(key, FIELDS, 1)
            raise table.error(
                f'unknown field "{key}"', f'Did you mean "{near[0]}"?' if near else "Take it out.", key
            )
    if not re.search(r"[^\W_]", table.name):
        raise table.error("a name without a letter", "Give the name that is said in class.", "name")
