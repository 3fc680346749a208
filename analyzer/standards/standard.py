"""A class standard, read from TOML and checked.

``default.toml`` is the whole general standard; every other file overrides it rule by rule, key by key.
To add a rule: write it into ``default.toml`` with all its keys, and a check of the same id into
``analyzer.findings``.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from string import Formatter
from typing import Any, Literal, get_args

from analyzer.errors import ConfigError
from analyzer.findings.records import Mend, Weight
from analyzer.measures.verdict import Tolerance

__all__ = ["FIELDS", "Rule", "Standard", "load", "profiles"]

FIELDS = ("move", "at", "announced", "actual", "off", "list", "say")
"""What an advice template may name in braces."""
WEIGHTS = (*get_args(Weight), "off")
MENDS = get_args(Mend)
_TEXTS = ("title", "weight", "why", "source", "advice", "mend", "say")
_LISTS = ("listen_for", "listen_with", "listen_maybe", "not_for")
_TOP = ("name", "rules")
_DEFAULT = Path(__file__).with_name("default.toml")


@dataclass(frozen=True, slots=True)
class Rule:
    """One demand. ``limits`` are numbers with the unit at the end of their name; 0 or more.

    ``say`` is a sentence to say. ``listen_for`` are beginnings of words that count as having said it;
    ``listen_maybe`` beginnings that may be it, ``listen_with`` words one of which has to be near those.
    ``not_for`` are beginnings of words in the names of moves of which nothing is demanded.
    """

    id: str
    title: str
    weight: Weight | Literal["off"]
    why: str
    source: str
    advice: str
    mend: Mend
    say: str
    listen_for: tuple[str, ...]
    listen_with: tuple[str, ...]
    listen_maybe: tuple[str, ...]
    not_for: tuple[str, ...]
    limits: Mapping[str, float]

    def limit(self, key: str) -> float:
        """A limit by name; KeyError if the rule has none of that name."""
        return self.limits[key]


@dataclass(frozen=True, slots=True)
class Standard:
    """A class standard: its name and its rules by id, in the order of the general standard."""

    name: str
    rules: Mapping[str, Rule]

    @property
    def tolerance(self) -> Tolerance:
        """What ``measure`` needs: how far off is still on time."""
        rules = ("interval_drift", "rest_drift", "time_call_error", "sides_unequal")
        return Tolerance(*(self.rules[rule].limit("tolerance_s") for rule in rules))


@dataclass(frozen=True, slots=True)
class _File:
    """A TOML file's text beside its data, so that errors can name a line."""

    path: Path
    text: str
    data: dict[str, Any]

    def line(self, rule: str | None, key: str | None) -> int | None:
        """1-based line of a rule's header, or of a key below it; None where the file writes it otherwise."""
        inside = rule is None
        for number, line in enumerate(self.text.splitlines(), start=1):
            if header := re.match(r'\s*\[\s*(?:rules\s*\.\s*)?"?([\w-]+)"?\s*\]', line):
                inside = header.group(1) == rule
                if inside and key is None:
                    return number
            elif inside and key and re.match(rf'\s*"?{re.escape(key)}"?\s*=', line):
                return number
        return self.line(rule, None) if rule and key else None

    def error(self, rule: str | None, key: str | None, what: str, todo: str) -> ConfigError:
        return ConfigError(path=self.path, line=self.line(rule, key), what=what, todo=todo)


def profiles() -> dict[str, Path]:
    """The standards that come with the program, by name; each is a ``path`` for ``load``."""
    return {path.stem: path for path in sorted(_DEFAULT.parent.glob("*.toml"))}


def load(path: Path | None = None, house: Path | None = None) -> Standard:
    """The general standard, overridden by ``path`` (a profile) and then by ``house``.

    Raises ConfigError, naming file, line and the nearest right key, for anything the standard does not know.
    """
    general = _read(_DEFAULT)
    rules: dict[str, dict[str, Any]] = {name: dict(rule) for name, rule in general.data["rules"].items()}
    name = str(general.data["name"])
    for other in (path, house):
        if other is not None:
            file = _read(other)
            _check(file, general.data["rules"])
            name = file.data.get("name", name)
            for rule, keys in file.data.get("rules", {}).items():
                rules[rule].update(keys)
    return Standard(name, {rule: _rule(rule, keys) for rule, keys in rules.items()})


def _read(path: Path) -> _File:
    try:
        text = path.read_text(encoding="utf-8-sig")
        return _File(path, text, tomllib.loads(text))
    except OSError as error:
        raise ConfigError(path=path, what=f"cannot be read ({error.strerror})",
                          todo="give the path of a class standard") from error
    except UnicodeDecodeError as error:
        raise ConfigError(path=path, what="not UTF-8 text", todo="save it as UTF-8") from error
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"line (\d+)", str(error))
        what = re.sub(r"\s*\(at .*\)$", "", str(error))
        raise ConfigError(path=path, line=int(place.group(1)) if place else None,
                          what=f"not TOML: {what}", todo="write it as in the general standard") from error


def _check(file: _File, known: Mapping[str, Mapping[str, Any]]) -> None:
    for key in file.data:
        if key not in _TOP:
            raise file.error(None, key, f'unknown key "{key}"', _nearest(key, _TOP))
    rules = file.data.get("rules", {})
    if not isinstance(file.data.get("name", ""), str):
        raise file.error(None, "name", "name is not text", 'write name = "..."')
    if not isinstance(rules, dict):
        raise file.error(None, "rules", "rules is not a table", "write [rules.NAME] above the keys of a rule")
    for rule, keys in rules.items():
        if rule not in known:
            raise file.error(rule, None, f'unknown rule "{rule}"', _nearest(rule, known))
        if not isinstance(keys, dict):
            raise file.error(None, rule, f"{rule} is not a table", f"write [rules.{rule}] above its keys")
        for key, value in keys.items():
            if key not in known[rule]:
                raise file.error(rule, key, f'unknown key "{key}" in rule {rule}', _nearest(key, known[rule]))
            if problem := _wrong(key, value):
                raise file.error(rule, key, f"{key} of rule {rule} is {value!r}", problem)


def _nearest(key: str, known: Mapping[str, Any] | tuple[str, ...]) -> str:
    near = get_close_matches(key, list(known), n=1, cutoff=0.5)
    return f'use "{near[0]}"' if near else f"use one of {', '.join(known)}"


def _wrong(key: str, value: object) -> str | None:
    """What to write instead of a value that cannot be, or None."""
    if key in _LISTS:
        right = isinstance(value, list) and all(isinstance(v, str) and v.strip() for v in value)
        return None if right else "give a list of words"
    if key in _TEXTS:
        return _wrong_text(key, value)
    number = isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value < float("inf")
    if not number:
        return "give a number of 0 or more"
    return "give a share from 0 to 1" if key.endswith("_share") and float(str(value)) > 1 else None


def _wrong_text(key: str, value: object) -> str | None:
    if not isinstance(value, str) or not value.strip():
        return "give a text"
    choices = {"weight": WEIGHTS, "mend": MENDS}.get(key)
    if choices and value not in choices:
        return f"give one of {', '.join(choices)}"
    if key != "advice":
        return None
    try:
        used = [field for _, field, _, _ in Formatter().parse(value) if field is not None]
    except ValueError:
        return "close each brace, and write {{ for a brace"
    unknown = [field for field in used if field not in FIELDS]
    return f"{{{unknown[0]}}} is unknown: use {', '.join(FIELDS)}" if unknown else None


def _rule(name: str, keys: Mapping[str, Any]) -> Rule:
    texts = {key: str(keys.get(key, "")) for key in _TEXTS}
    return Rule(
        id=name,
        title=texts["title"],
        weight=texts["weight"],  # type: ignore[arg-type]  # checked against WEIGHTS
        why=texts["why"],
        source=texts["source"],
        advice=texts["advice"],
        mend=texts["mend"],  # type: ignore[arg-type]  # checked against MENDS
        say=texts["say"],
        listen_for=tuple(keys.get("listen_for", ())),
        listen_with=tuple(keys.get("listen_with", ())),
        listen_maybe=tuple(keys.get("listen_maybe", ())),
        not_for=tuple(keys.get("not_for", ())),
        limits={key: float(v) for key, v in keys.items() if key not in (*_TEXTS, *_LISTS)},
    )
