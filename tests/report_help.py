"""Reviews to make pages of, pages as elements, charts as what is on their axes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from html.parser import HTMLParser
from typing import Any, TypeVar

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from oracle import Heard, from_script, script

from analyzer.captions.records import Timing
from analyzer.findings.find import find
from analyzer.findings.material import Material, Move
from analyzer.review import Review
from analyzer.standards.standard import Standard, load

STANDARD = load()
T = TypeVar("T")
VOID = {"meta", "link", "br", "img", "input", "hr", "wbr"}


def review(it: Heard, standard: Standard = STANDARD, timing: Timing | None = None) -> Review:
    captions = replace(it.captions, timing=timing) if timing else it.captions
    measures = it.measures(standard.tolerance)
    return Review(captions, it.words, it.outline, measures,
                  find(captions, it.words, it.outline, measures, standard))


def scripted(name: str, sd_ms: int = 50, timing: Timing | None = None) -> Review:
    return review(from_script(script(name), sd_ms=sd_ms), timing=timing)


def joined(names: Iterable[str]) -> Heard:
    """Classes one after the other, as one long recording."""
    parts = [from_script(script(name)) for name in names]
    whole = parts[0]
    for part in parts[1:]:
        later = _later(part.outline, whole.length_ms, len(whole.outline.segments))
        both = {f.name: getattr(whole.outline, f.name) + getattr(later, f.name) for f in fields(later)}
        whole = Heard(
            whole.captions, whole.words + _later(part.words, whole.length_ms, 0),
            replace(whole.outline, **both), whole.length_ms + part.length_ms,
        )
    return whole


def _later(it: T, by_ms: int, by_intervals: int) -> T:
    changed: Any
    if isinstance(it, tuple):
        changed = tuple(_later(item, by_ms, by_intervals) for item in it)
    elif is_dataclass(it) and not isinstance(it, type):
        old = {f.name: getattr(it, f.name) for f in fields(it)}
        changed = replace(it, **{name: _moved(name, v, by_ms, by_intervals) for name, v in old.items()})
    else:
        changed = it
    return changed  # type: ignore[no-any-return]


def _moved(name: str, value: Any, by_ms: int, by_intervals: int) -> Any:
    if name.endswith("_ms") and not name.endswith("sd_ms"):
        return value + by_ms
    if name == "interval" and value is not None:
        return value + by_intervals
    return _later(value, by_ms, by_intervals)


class Element:
    """An element of a page with its attributes, children and text."""

    def __init__(self, tag: str, attrs: dict[str, str], parent: Element | None) -> None:
        self.tag, self.attrs, self.parent = tag, attrs, parent
        self.children: list[Element] = []
        self.pieces: list[str | Element] = []

    @property
    def text(self) -> str:
        """All text in it, white space run together."""
        return " ".join("".join(p if isinstance(p, str) else p.raw for p in self.pieces).split())

    @property
    def raw(self) -> str:
        return "".join(p if isinstance(p, str) else p.raw for p in self.pieces)

    def all(self, tag: str | None = None, **attrs: str) -> list[Element]:
        """Elements below it with this tag and these attributes (``cls`` is one of the classes)."""
        found = []
        for child in self.children:
            if child.fits(tag, attrs):
                found.append(child)
            found += child.all(tag, **attrs)
        return found

    def one(self, tag: str | None = None, **attrs: str) -> Element:
        (found,) = self.all(tag, **attrs)
        return found

    def fits(self, tag: str | None, attrs: dict[str, str]) -> bool:
        if tag is not None and self.tag != tag:
            return False
        for name, value in attrs.items():
            have = self.attrs.get("class" if name == "cls" else name.replace("_", "-"))
            if have is None or (value not in have.split() if name == "cls" else value != have):
                return False
        return True


class Page(HTMLParser):
    """A page as elements; raises ValueError where tags are not closed as they were opened."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.root = self._here = Element("", {}, None)
        self.feed(text)
        self.close()
        if self._here is not self.root:
            raise ValueError(f"<{self._here.tag}> is never closed")

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_startendtag(tag, attrs)
        if tag not in VOID:
            self._here = self._here.children[-1]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(set(names)) != len(names):
            raise ValueError(f"<{tag}> has an attribute twice: {names}")
        new = Element(tag, {name: value or "" for name, value in attrs}, self._here)
        self._here.children.append(new)
        self._here.pieces.append(new)

    def handle_endtag(self, tag: str) -> None:
        if tag != self._here.tag:
            raise ValueError(f"</{tag}> closes <{self._here.tag}> at line {self.getpos()[0]}")
        self._here = self._here.parent or self.root

    def handle_data(self, data: str) -> None:
        self._here.pieces.append(data)


def patches(axes: Axes, start: str) -> dict[str, Rectangle]:
    """Rectangles by gid."""
    return {str(p.get_gid()): p for p in axes.patches
            if isinstance(p, Rectangle) and str(p.get_gid()).startswith(start)}


def texts(axes: Axes) -> list[str]:
    return [t.get_text() for t in axes.texts]


def by_gid(axes: Axes, gid: str) -> Any:
    return next(c for c in axes.collections if c.get_gid() == gid)


def moves(of: Review) -> tuple[Move, ...]:
    return Material(of.captions, of.words, of.outline, of.measures, STANDARD).moves


def clean(text: str) -> str:
    return " ".join(text.split())
