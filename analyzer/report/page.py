"""The page: one HTML file that needs nothing else, fetches nothing, and reads one Review.

Style and script stand in the page, and its Content-Security-Policy allows these two by their hashes and
nothing else. All text of the class passes Jinja's escaping or the XML writer's; only what this package made
is marked as safe. Every time is ``<a class="at" data-ms="...">`` that leads to its line of the transcript.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import TYPE_CHECKING

from analyzer.findings.find import rank
from analyzer.findings.material import Material
from analyzer.findings.records import Finding, Weight
from analyzer.outline.records import CUE_KINDS
from analyzer.report import tables
from analyzer.report.charts import asked_kinds, charts
from analyzer.report.judgement import judge_class, totals
from analyzer.report.kept import kept
from analyzer.report.palette import css
from analyzer.report.phrases import AREAS, CUES, MENDS, PHASES
from analyzer.report.sure import CAUTIONS, FORMS, how_sure
from analyzer.report.transcript import Transcript, transcript
from analyzer.review import Review
from analyzer.spans import clock
from analyzer.standards.standard import Standard, load

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

__all__ = ["render"]

_GROUPS: tuple[tuple[Weight, str], ...] = (
    ("must fix", "Must fix"), ("should fix", "Should fix"), ("note", "Notes"),
)
MANY = 3
"""Notes, or pieces of evidence, from which the rest is folded."""
_CLOCK = re.compile(r"\b\d+:\d\d(?::\d\d)?\b")


def render(review: Review, standard: Standard | None = None) -> str:
    """The page as HTML text, the same bytes for the same review.

    ``standard`` is the one the findings were made with; the general one if None.
    """
    from markupsafe import Markup

    standard = standard or load()
    material = Material(review.captions, review.words, review.outline, review.measures, standard)
    lines, style, script = transcript(review), _style(), _text("page.js")
    links = _Links(review, lines)
    asked = asked_kinds(standard)
    shown = [_Shown(n, f, _phase(review, f)) for n, f in enumerate(rank(review.findings), 1)]
    return _environment().get_template("page.html").render(
        review=review, standard=standard, style=Markup(style), script=Markup(script),
        policy=f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; base-uri 'none'; "
               "form-action 'none'",
        judgement=judge_class(review), totals=totals(review), form=FORMS[review.captions.timing][0],
        groups=[(weight, name, [s for s in shown if s.finding.weight == weight]) for weight, name in _GROUPS],
        filters=_filters(shown), kept=kept(review, material), many=MANY,
        charts=charts(review, standard, material.moves),
        intervals=tables.interval_rows(review.measures), blocks=tables.block_rows(review.measures),
        calls=tables.call_rows(review.measures), sides=tables.side_rows(review.measures),
        cue_kinds=[CUES[k] for k in CUE_KINDS], cue_rows=tables.cue_rows(material.moves, asked),
        general=tables.general_cues(material), cue_names=CUES, transcript=lines,
        sure=how_sure(review), cautions=CAUTIONS, at=links.at, linked=links.linked, clock=clock, mends=MENDS,
    )


@dataclass(frozen=True, slots=True)
class _Shown:
    """A finding with its number and what the filters ask for."""

    number: int
    finding: Finding
    phase: str

    @property
    def area(self) -> str:
        return AREAS.get(self.finding.rule, "other")

    @property
    def move(self) -> str:
        return self.finding.exercise or ""


def _phase(review: Review, finding: Finding) -> str:
    segments, at = review.outline.segments, finding.at_ms
    if finding.interval is not None and finding.interval < len(segments):
        return PHASES[segments[finding.interval].phase]
    if at is None:
        return "whole class"
    return next((PHASES[p.phase] for p in review.outline.phases if at in p.span), "whole class")


def _filters(shown: Sequence[_Shown]) -> Mapping[str, tuple[str, list[str]]]:
    """Choices by the name of what they filter: the label and the values that occur."""
    found = {
        "area": ("About", [s.area for s in shown]),
        "move": ("Move", [s.move for s in shown]),
        "phase": ("Part of class", [s.phase for s in shown]),
        "mend": ("How to mend", [MENDS[s.finding.mend] for s in shown]),
    }
    return {name: (label, sorted({v for v in values if v})) for name, (label, values) in found.items()}


class _Links:
    """Times as links into the transcript."""

    def __init__(self, review: Review, lines: Transcript) -> None:
        self._lines = lines
        times = [
            *(q.at_ms for f in review.findings for q in f.evidence),
            *(f.at_ms for f in review.findings if f.at_ms is not None),
            *(s.start.at_ms for s in review.outline.segments),
            *(c.quote.at_ms for c in review.outline.calls),
            *(c.at_ms for c in review.outline.cues),
        ]
        self._known = {clock(at): at for at in reversed(times)}

    def at(self, at_ms: int) -> Markup:
        """A time as a link to its line."""
        from markupsafe import Markup

        anchor = self._lines.anchor(at_ms)
        if anchor is None:
            return Markup('<span class="at">{}</span>').format(clock(at_ms))
        return Markup('<a class="at" href="#{}" data-ms="{}">{}</a>').format(anchor, at_ms, clock(at_ms))

    def linked(self, text: str, own_ms: int | None = None) -> Markup:
        """Text with the times in it that the class knows as links, but for ``own_ms``, which has one nearby.

        Everything else is escaped.
        """
        from markupsafe import Markup

        out, end = Markup(""), 0
        for match in _CLOCK.finditer(text):
            if match[0] in self._known and (own_ms is None or match[0] != clock(own_ms)):
                out += Markup("{}{}").format(text[end : match.start()], self.at(self._known[match[0]]))
                end = match.end()
        return out + Markup("{}").format(text[end:])


def _text(name: str) -> str:
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _style() -> str:
    return css() + _text("page.css")


def _hash(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    return Environment(
        loader=FunctionLoader(_text), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, keep_trailing_newline=True,
    )
