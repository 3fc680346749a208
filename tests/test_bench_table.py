"""Tables of scores: what is pooled, what is shown, what goes into JSON."""

from __future__ import annotations

import json

from bench_documents import as_document, facts

from analyzer.bench.agreement import agreements
from analyzer.bench.score import Case, Tally, figures
from analyzer.bench.table import agreement_data, agreement_markdown, markdown, table
from analyzer.bench.tally import FIGURES

CORE, TABATA, TALK = facts("terse_core"), facts("tabata_three_blocks"), facts("recipe_show")
CASES = (
    Case("core", "plain.vtt", as_document(CORE, sd_s=0.5, later_s=1.0), CORE),
    Case("core", "blocks.txt", {}, CORE, failed="no time"),
    Case("tabata", "plain.vtt", as_document(TABATA, sd_s=0.5), TABATA),
    Case("tabata", "blocks.txt", as_document(TABATA), TABATA),
    Case("talk", "plain.vtt", as_document(TALK), TALK),
)


def cells(text: str) -> list[list[str]]:
    """A Markdown table as rows of stripped cells, without the rule."""
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines()]
    assert len({len(row) for row in rows}) == 1
    return [rows[0], *rows[2:]]


def test_classes_are_pooled_for_each_form_and_forms_for_each_class() -> None:
    scores = table(CASES)
    forms, classes = scores.by_form(), scores.by_class()
    assert list(forms) == ["plain.vtt", "blocks.txt"]
    assert list(classes) == ["core", "tabata", "talk"]
    assert forms["plain.vtt"] == CASES[0].tally + CASES[2].tally + CASES[4].tally
    assert classes["core"] == CASES[0].tally + CASES[1].tally
    assert sum(forms.values(), Tally()).works == sum(classes.values(), Tally()).works


def test_a_pooled_table_has_a_line_for_each_figure() -> None:
    head, *body = cells(table(CASES).markdown())
    assert head == ["", "plain.vtt", "blocks.txt"]
    shown = {row[0]: row[1:] for row in body}
    assert shown["classes"] == ["3", "2"]
    assert [row[0] for row in body[3:]] == [figure.label for figure in FIGURES]
    works = [sum(i["kind"] == "work" for i in true["intervals"]) for true in (CORE, TABATA)]
    assert shown["work intervals, true"] == [str(sum(works))] * 2
    # every interval of one class and none of the other
    assert shown["work intervals, F1"] == ["1.000", f"{2 * works[1] / (sum(works) + works[1]):.3f}"]
    assert shown["2u, median (s)"] == ["1.000", "0.000"]


def test_class_by_class_a_failure_shows_as_nothing_found() -> None:
    head, *body = cells(table(CASES).each_markdown())
    assert [row[:2] for row in body] == [[case.name, case.form] for case in CASES]
    failed = dict(zip(head, body[1], strict=True))
    assert (failed["work"], failed["edges"]) == ("0.000", "–")
    assert table(CASES).failures() == ("core.blocks.txt: no analysis: no time",)


def test_data_survives_json_and_says_the_same() -> None:
    scores = table(CASES)
    data = json.loads(json.dumps(scores.as_data(), allow_nan=False))
    assert data == scores.as_data() | {"forms": data["forms"]}
    plain = data["forms"]["plain.vtt"]
    assert plain["figures"] == figures(scores.by_form()["plain.vtt"])
    assert plain["classes"] == 3
    assert plain["counts"]["edges"] == 2 * plain["counts"]["works"]["both"] > 0
    assert plain["counts"]["said"]["form"]["true"] == sum(
        cue["kind"] == "form" for true in (CORE, TABATA, TALK) for cue in true["cues"]
    )
    assert data["failures"] == list(scores.failures())


def test_agreement_of_pairs() -> None:
    pairs = agreements(CASES)
    assert (
        agreement_data(pairs)[0] | {"first": "plain.vtt", "second": "blocks.txt", "classes": 1}
        == (agreement_data(pairs)[0])
    )
    (line,) = cells(agreement_markdown(pairs))[1:]
    assert line[:6] == ["plain.vtt", "blocks.txt", "1", "1.000", "1.000", "1.000"]


def test_a_bar_in_a_name_does_not_break_the_table() -> None:
    assert markdown(["a"], [["x|y"]]).splitlines()[2] == r"| x\|y |"


def test_no_cases_make_a_table_without_columns() -> None:
    assert cells(table(()).markdown())[0] == [""]
    assert table(()).as_data()["forms"] == {}
