"""What a scripted class may say in its header, its marks and the labels of its spans, as tables.

A new kind of mark or span is a line here, in FORMAT.md and in ``truth``. The functions give what is wrong and
what to do about it, or None.
"""

from __future__ import annotations

import re
from typing import get_args

from analyzer.outline.records import CUE_KINDS, CallKind, PhaseName, Side

__all__ = ["LABEL", "LINE", "TAG", "Fault", "header_fault", "mark_fault", "mark_parts", "span_fault"]

Fault = tuple[str, str]

NUMBER = r"(?=[\d.]*[1-9])\d+(?:\.\d+)?"
"""A number above zero."""
TAG = re.compile(r"\[\[(.*?)\]\]|\{\{|\}\}")
LABEL = re.compile(r"([^:{}\[\]]*):")
LINE = re.compile(r"^(?P<mode>[+@])(?P<seconds>\d+(?:\.\d+)?)\s*\|\s*(?P<text>.*)$")
HEADER = {"title": ".+", "syllables_per_second": NUMBER, "first_word_at": r"\d+(?:\.\d+)?"}
"""What the header may say, and the form of each value."""
MARKS = {
    "phase": (
        rf"phase\s+({'|'.join(get_args(PhaseName))})",
        f"[[phase P]], P one of {', '.join(get_args(PhaseName))}",
    ),
    "intro": (r'intro\s+"[^"]+"', '[[intro "move"]]'),
    "work": (
        rf'work\s+({NUMBER}|reps|untimed)\s+"[^"]+"(\s+side=({"|".join(get_args(Side))})|\s+round=[1-9]\d*)*',
        '[[work 40 "move" side=left round=2]], with reps or untimed in place of 40 where no time was told',
    ),
    "end": ("end", "[[end]]"),
    "rest": (rf"rest(\s+({NUMBER}|untimed))?", "[[rest 20]], or [[rest]] where no length was told"),
}
"""What a mark may say, as a pattern and in words."""
SPANS: dict[str, tuple[str, str]] = {
    **{kind: (kind, f"{{{{{kind}: ...}}}}") for kind in CUE_KINDS},
    "call": (
        rf"call\s+((elapsed|remaining)\s+{NUMBER}|fraction\s+(0?\.\d*[1-9]\d*|1(\.0+)?))",
        f"{{{{call KIND NUMBER: ...}}}}, KIND one of {', '.join(get_args(CallKind))}, a fraction 1 or less",
    ),
}
"""What the label of a span may say."""


def header_fault(key: str, value: str) -> Fault | None:
    """What is wrong with a line of the header; an empty value counts as left out."""
    if key not in HEADER:
        return f"unknown key {key!r} in the header", f"use one of {', '.join(HEADER)}"
    if value and not re.fullmatch(HEADER[key], value):
        return f"{key} is no number above zero: {value}", f"write it as '{key}: 4.4'"
    return None


def mark_parts(text: str) -> list[str]:
    """Kind and arguments of a mark, a name in one part with its quotation marks.

    >>> mark_parts('work 40 "side plank" side=left')
    ['work', '40', '"side plank"', 'side=left']
    """
    return re.findall(r'"[^"]*"|\S+', text)


def mark_fault(text: str) -> Fault | None:
    """What is wrong with the text of a mark.

    >>> mark_fault('work 40 "squats"'), mark_fault("rest soon")
    (None, ('not a mark: [[rest soon]]', 'write [[rest 20]], or [[rest]] where no length was told'))
    """
    kind, *args = mark_parts(text) or [""]
    if kind not in MARKS:
        return f"unknown mark [[{text}]]", f"use one of {', '.join(MARKS)}"
    pattern, written = MARKS[kind]
    if not re.fullmatch(pattern, text.strip()):
        return f"not a mark: [[{text}]]", f"write {written}"
    options = [a.partition("=")[0] for a in args if not a.startswith('"') and "=" in a]
    if len(set(options)) < len(options):
        return f"[[{text}]] says a thing twice", f"write {written}"
    return None


def span_fault(label: str) -> Fault | None:
    """What is wrong with the label of a span, what stands before its colon.

    >>> span_fault("call elapsed 20"), span_fault("shape")
    (None, ('unknown span {{shape}}', 'use call or a kind of cue'))
    """
    kind = label.split(maxsplit=1)[0] if label else ""
    if kind not in SPANS:
        return f"unknown span {{{{{label}}}}}", "use call or a kind of cue"
    pattern, written = SPANS[kind]
    if not re.fullmatch(pattern, label):
        return f"not a span: {{{{{label}: ...}}}}", f"write {written}"
    return None
