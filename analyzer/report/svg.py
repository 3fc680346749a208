"""A matplotlib figure as SVG that may stand in a page.

What matplotlib writes carries a style sheet, style attributes, ids and colours of its own. In a page these
would leak, be refused by the Content-Security-Policy, clash, and stay dark on dark. So here

- style attributes become presentation attributes, and colours become classes ``f-role`` and ``s-role``;
- ids get a prefix, and only those stay that something refers to or that were given on purpose (``gid``);
- the font is the page's;
- a title and a description say what is shown.

Bytes are the same on every run: fixed salt, no date, sorted by nothing but the drawing order.
"""

from __future__ import annotations

import re
import warnings
from functools import cache
from io import StringIO
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from analyzer.report.palette import LIGHT, Role

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["blank", "fit", "plain", "put", "svg", "width"]

_SVG = "http://www.w3.org/2000/svg"
_HREF = "{http://www.w3.org/1999/xlink}href"
_OWN_IDS = re.compile(
    r"(figure|axes|patch|text|line2d|PathCollection|PolyCollection|LineCollection|matplotlib\.axis)_\d+"
)
_DROPPED = {"font-family", "font", "stroke-linejoin", "stroke-linecap", "stroke-miterlimit"}
_ROLES: dict[str, Role] = {colour: role for role, colour in LIGHT.items()}
_UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\ufffe\uffff\ud800-\udfff]+")


def blank(width: float, height: float) -> Axes:
    """Axes that fill a figure of ``width`` x ``height`` pixels, without ground and frame; y points down."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width / 72, height / 72), dpi=72)
    figure.patch.set_visible(False)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    return axes


def plain(text: str) -> str:
    """Text without what XML cannot hold.

    >>> plain("arm\\tcircles\\x00")
    'arm circles '
    """
    return _UNPRINTABLE.sub(" ", text)


@cache
def width(text: str, size: float, bold: bool = False) -> float:
    """Pixels that a text takes in DejaVu Sans, which is wider than what readers' systems use."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(family="DejaVu Sans", size=size, weight="bold" if bold else "normal")
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        return float(text_to_path.get_text_width_height_descent(plain(text), font, ismath=False)[0])


def fit(text: str, pixels: float, size: float, *, bold: bool = False, least: int = 4) -> str:
    """As much of a text as ``pixels`` hold, with an ellipsis where cut; nothing under ``least`` letters."""
    if width(text, size, bold) <= pixels:
        return text
    for letters in range(len(text) - 1, least - 1, -1):
        if width(cut := text[:letters].rstrip() + "…", size, bold) <= pixels:
            return cut
    return ""


def put(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    role: Role = "ink",
    *,
    size: float = 11,
    align: str = "left",
    bold: bool = False,
    gid: str | None = None,
) -> None:
    """Text with its baseline at ``y``; dollar signs in it are dollar signs."""
    axes.text(
        x, y, plain(text), size=size, color=LIGHT[role], ha=align, va="baseline", gid=gid, parse_math=False,
        fontweight="bold" if bold else "normal",
    )


def svg(figure: Figure, prefix: str, title: str, description: str) -> str:
    """``figure`` as an ``<svg>`` element whose ids all start with ``prefix`` and a dash."""
    from matplotlib import rc_context

    out = StringIO()
    with rc_context({"svg.fonttype": "none", "svg.hashsalt": "analyzer"}), warnings.catch_warnings():
        # letters that matplotlib's font lacks are drawn by the reader's browser, which has them
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    root = ElementTree.fromstring(out.getvalue())
    used = {ref for element in root.iter() for ref in _references(element)}
    for parent in list(root.iter()):
        for child in [c for c in parent if c.tag.endswith(("}metadata", "}style"))]:
            parent.remove(child)
    for element in root.iter():
        _clean(element, prefix, used)
    _thin(root)
    _describe(root, prefix, title, description)
    ElementTree.register_namespace("", _SVG)
    ElementTree.register_namespace("xlink", _HREF[1:].partition("}")[0])
    return ElementTree.tostring(root, encoding="unicode")


def _references(element: ElementTree.Element) -> list[str]:
    texts = [*element.attrib.values()]
    return [ref for text in texts for ref in re.findall(r"(?:url\(|^)#([\w.-]+)", text)]


def _clean(element: ElementTree.Element, prefix: str, used: set[str]) -> None:
    for declaration in filter(None, element.attrib.pop("style", "").split(";")):
        name, _, value = (part.strip() for part in declaration.partition(":"))
        if name not in _DROPPED:
            element.set(name, value)
    classes = []
    for name in ("fill", "stroke"):
        if role := _ROLES.get(element.get(name, "").lower()):
            classes.append(f"{name[0]}-{role}")
            del element.attrib[name]
    if classes:
        element.set("class", " ".join(classes))
    if (own := element.get("id")) is not None:
        if own in used or not _OWN_IDS.fullmatch(own):
            element.set("id", f"{prefix}-{own}")
        else:
            del element.attrib["id"]
    for name, value in element.attrib.items():
        if name == _HREF or "url(#" in value:
            element.set(name, value.replace("#", f"#{prefix}-"))
    if path := element.get("d"):
        element.set("d", re.sub(r"\d+\.\d+", lambda n: f"{float(n[0]):.2f}".rstrip("0").rstrip("."), path))
        element.set("d", " ".join(element.get("d", "").split()))
    if "rotate(-0" in element.get("transform", ""):
        del element.attrib["transform"]
    element.tail = None
    if element.text and not element.text.strip():
        element.text = None


def _thin(root: ElementTree.Element) -> None:
    """Drop groups that hold nothing, and lift what stands alone in a nameless group."""
    changed = True
    while changed:
        changed = False
        for parent in root.iter():
            for index, child in enumerate(list(parent)):
                if not child.tag.endswith(("}g", "}defs")) or child.attrib:
                    continue
                if len(child) == 0 or (child.tag.endswith("}g") and len(child) == 1):
                    parent[index : index + 1] = list(child)
                    changed = True
                    break


def _describe(root: ElementTree.Element, prefix: str, title: str, description: str) -> None:
    _, _, width, height = root.get("viewBox", "0 0 0 0").split()
    root.attrib.pop("version", None)
    root.set("width", width)
    root.set("height", height)
    root.set("role", "img")
    root.set("aria-labelledby", f"{prefix}-title {prefix}-desc")
    for place, (name, text) in enumerate((("title", title), ("desc", description))):
        element = ElementTree.Element(f"{{{_SVG}}}{name}", {"id": f"{prefix}-{name}"})
        element.text = plain(text)
        root.insert(place, element)
