"""A class standard as TOML that reads back as the same standard, so that it can be kept and changed."""

from __future__ import annotations

import json
from collections.abc import Iterator

from analyzer.standards.standard import Rule, Standard, load

__all__ = ["standard_toml"]

_TEXTS = ("title", "weight", "why", "source", "advice", "mend", "say")
_LISTS = ("listen_for", "listen_with", "listen_maybe")


def standard_toml(standard: Standard) -> str:
    """All rules in force with their numbers and sources; ``standards.load`` reads it as a house file."""
    general = load()
    lines = [f"name = {_value(standard.name)}"]
    for rule in standard.rules.values():
        lines += ["", f"[rules.{rule.id}]", *_keys(rule, general.rules[rule.id])]
    return "\n".join(lines) + "\n"


def _keys(rule: Rule, general: Rule) -> Iterator[str]:
    for key in _TEXTS:
        if text := getattr(rule, key):
            yield f"{key} = {_value(text)}"
    for key in _LISTS:
        # an empty list counts only where the general standard's is to be emptied
        if getattr(rule, key) or getattr(general, key):
            yield f"{key} = {_value(list(getattr(rule, key)))}"
    for key, limit in rule.limits.items():
        yield f"{key} = {limit:g}" if limit == float(f"{limit:g}") else f"{key} = {limit!r}"


def _value(value: str | list[str]) -> str:
    # a JSON string is a TOML basic string, but for DEL, which TOML wants escaped
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
