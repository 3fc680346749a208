"""Scores as tables: one pooled over classes for each caption form, one class by class, one of agreement.

Tables are Markdown, padded so that they read as plain text too. ``as_data`` gives the same figures for JSON,
with the counts behind them, so that scores of several runs can be pooled.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from analyzer.bench.agreement import Agreement
from analyzer.bench.score import Case
from analyzer.bench.tally import FIGURES, Figure, Tally, figures
from analyzer.outline.records import CUE_KINDS

__all__ = ["Row", "Table", "agreement_data", "agreement_markdown", "markdown", "table"]

NOTHING = "–"


@dataclass(frozen=True, slots=True)
class Row:
    """The tally of one class in one caption form."""

    name: str
    form: str
    tally: Tally
    failed: str | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Scores of every class and form, in the order they came."""

    rows: tuple[Row, ...]

    def by_form(self) -> dict[str, Tally]:
        """Classes pooled, for each caption form."""
        return _pooled((row.form, row.tally) for row in self.rows)

    def by_class(self) -> dict[str, Tally]:
        """Caption forms pooled, for each class."""
        return _pooled((row.name, row.tally) for row in self.rows)

    def failures(self) -> tuple[str, ...]:
        """A line for each analysis that gave nothing; it is scored as an empty document."""
        return tuple(f"{row.name}.{row.form}: no analysis: {row.failed}" for row in self.rows if row.failed)

    def markdown(self) -> str:
        """The pooled table: a line for each figure, a column for each caption form."""
        pooled = self.by_form()
        body = [["classes", *(str(self._classes(form)) for form in pooled)]]
        for label, pick in (("work intervals", "works"), ("time calls", "calls")):
            body.append([f"{label}, true", *(str(getattr(tally, pick).true) for tally in pooled.values())])
        body += [[figure.label, *(_shown(figure, tally) for tally in pooled.values())] for figure in FIGURES]
        return markdown(["", *pooled], body)

    def each_markdown(self) -> str:
        """A line for each class and caption form, with the figures that have a heading."""
        brief = {figure.heading: figure for figure in FIGURES if figure.heading}
        body = [[row.name, row.form, *(_shown(f, row.tally) for f in brief.values())] for row in self.rows]
        return markdown(["class", "form", *brief], body, left=2)

    def as_data(self) -> dict[str, Any]:
        """Figures and counts by form, figures by class, by class and form, and the failures."""
        return {
            "forms": {
                form: {"classes": self._classes(form), "figures": figures(tally), "counts": _counts(tally)}
                for form, tally in self.by_form().items()
            },
            "classes": {name: figures(tally) for name, tally in self.by_class().items()},
            "cases": [{"class": r.name, "form": r.form, "figures": figures(r.tally)} for r in self.rows],
            "failures": list(self.failures()),
        }

    def _classes(self, form: str) -> int:
        return sum(row.form == form for row in self.rows)


def table(cases: Iterable[Case]) -> Table:
    """Score every case."""
    return Table(tuple(Row(case.name, case.form, case.tally, case.failed) for case in cases))


def markdown(header: Sequence[str], body: Iterable[Sequence[str]], *, left: int = 1) -> str:
    """A padded Markdown table; the first ``left`` columns are set to the left, the others to the right.

    >>> print(markdown(["", "a"], [["x", "10"]]))
    |   |  a |
    |:--|---:|
    | x | 10 |
    """
    cells = [[cell.replace("|", "\\|") for cell in row] for row in (header, *body)]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    lines = [_line(row, widths, left) for row in cells]
    rule = "|".join(
        f":{'-' * (width + 1)}" if i < left else f"{'-' * (width + 1)}:" for i, width in enumerate(widths)
    )
    return "\n".join([lines[0], f"|{rule}|", *lines[1:]])


def _line(row: Sequence[str], widths: Sequence[int], left: int) -> str:
    cells = zip(row, widths, strict=True)
    padded = (cell.ljust(width) if i < left else cell.rjust(width) for i, (cell, width) in enumerate(cells))
    return f"| {' | '.join(padded)} |"


def agreement_markdown(pairs: Mapping[tuple[str, str], Agreement]) -> str:
    """A line for each pair of caption forms: the shares in which the two agree."""
    header = ["first", "second", "classes", "intervals", "moves", "verdicts", "all cues", *CUE_KINDS]
    body = [
        [*forms, str(a.classes), *(_number(value) for value in _agreement_figures(a).values())]
        for forms, a in pairs.items()
    ]
    return markdown(header, body, left=2)


def agreement_data(pairs: Mapping[tuple[str, str], Agreement]) -> list[dict[str, Any]]:
    """The same for JSON."""
    return [
        {"first": a, "second": b, "classes": shared.classes}
        | {key: None if v is None else round(v, 3) for key, v in _agreement_figures(shared).items()}
        for (a, b), shared in pairs.items()
    ]


def _agreement_figures(shared: Agreement) -> dict[str, float | None]:
    kinds = {f"cues_{kind}": counts.f1 for kind, counts in zip(CUE_KINDS, shared.cues, strict=True)}
    return {
        "intervals": shared.intervals.f1,
        "moves": shared.moves.value,
        "verdicts": shared.verdicts.value,
        "cues": shared.all_cues.f1,
        **kinds,
    }


def _pooled(tallies: Iterable[tuple[str, Tally]]) -> dict[str, Tally]:
    sums: dict[str, Tally] = {}
    for key, tally in tallies:
        sums[key] = sums.get(key, Tally()) + tally
    return sums


def _counts(tally: Tally) -> dict[str, Any]:
    counts = asdict(tally)
    counts["said"] = dict(zip(CUE_KINDS, counts["said"], strict=True))
    # edges are measurements, one a piece: their figures say enough
    counts["edges"] = len(tally.edges)
    return counts


def _shown(figure: Figure, tally: Tally) -> str:
    return _number(figure.value(tally))


def _number(value: float | None) -> str:
    return NOTHING if value is None else f"{value:.3f}"
