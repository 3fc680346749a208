"""Folds for cross-validation that keep similar classes together."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from importlib.resources import files

__all__ = ["folds", "group_of"]


def _groups() -> dict[str, str]:
    text = files("analyzer.language.en").joinpath("folds.toml").read_text(encoding="utf-8")
    return {start: group for group, starts in tomllib.loads(text).items() for start in starts}


def group_of(name: str) -> str:
    """The group of a class, or its own name where it is like no other.

    >>> group_of("gym_series_core"), group_of("pool_aqua"), group_of("recipe_show")
    ('gym', 'skills', 'recipe_show')
    """
    table = _groups()
    fits = [start for start in table if name.startswith(start)]
    return table[max(fits, key=len)] if fits else name


def folds(names: Iterable[str], count: int = 5) -> dict[str, int]:
    """A fold (0 to count - 1) for each class: whole groups, largest first, into the emptiest fold."""
    members: dict[str, list[str]] = {}
    for name in sorted(names):
        members.setdefault(group_of(name), []).append(name)
    sizes = [0] * count
    out: dict[str, int] = {}
    for _, group in sorted(members.items(), key=lambda item: (-len(item[1]), item[0])):
        fold = sizes.index(min(sizes))
        sizes[fold] += len(group)
        out.update(dict.fromkeys(group, fold))
    return out
