"""Exports: tables that a spreadsheet reads and does not run, and a class standard that reads back."""

from __future__ import annotations

import csv
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from document_help import scripted, small
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import cue, heard, say, segment
from report_help import review

from analyzer.document import document
from analyzer.exports.csv_files import FILES, csv_files
from analyzer.exports.standard_toml import standard_toml
from analyzer.findings.find import rank
from analyzer.review import Review
from analyzer.standards.standard import load, profiles


def read(text: str) -> list[dict[str, str]]:
    """A CSV text as the standard library reads it."""
    return list(csv.DictReader(StringIO(text, newline=""), strict=True))


def cells(it: Review, name: str) -> list[dict[str, str]]:
    return read(csv_files(it)[name])


def as_cell(value: Any) -> str:
    return "" if value is None else str(value)


# ---- tables


def test_there_is_one_text_for_each_file() -> None:
    assert tuple(csv_files(review(small()))) == FILES


@pytest.mark.parametrize("name", ["intervals", "time_calls", "cues"])
@pytest.mark.parametrize("make", [lambda: review(small()), lambda: scripted("chair_yoga_breaks")])
def test_tables_say_what_the_document_says(name: str, make: Any) -> None:
    it = make()
    rows, records = cells(it, f"{name}.csv"), document(it)[name]
    assert len(rows) == len(records) > 0
    for row, record in zip(rows, records, strict=True):
        assert {key: row[key] for key in record if key != "evidence"} == {
            key: as_cell(value) for key, value in record.items() if key != "evidence"
        }


def test_findings_stand_most_important_first_with_their_evidence() -> None:
    it = review(small())
    rows = cells(it, "findings.csv")
    assert [row["message"] for row in rows] == [f.message for f in rank(it.findings)]
    assert rows[0]["weight"] == "must fix"
    ran_long = next(row for row in rows if row["rule"] == "interval_drift")
    assert ran_long["at_s"] == "100.0"
    assert '1:40 "go"' in ran_long["evidence"]


def test_intervals_have_their_place_and_the_words_that_told_their_length() -> None:
    first, *_, last = cells(review(small()), "intervals.csv")
    assert (first["interval"], first["length_said"]) == ("0", "40 seconds")
    assert (first["start_said"], first["stop_said"]) == ("go", "and rest")
    assert (last["interval"], last["length_said"], last["announced_s"]) == ("6", "", "")


def test_a_recording_that_is_no_class_gives_headers_alone() -> None:
    it, whole = review(heard(words=say("welcome to my kitchen"))), csv_files(review(small()))
    for name, text in csv_files(it).items():
        header, *rows = text.splitlines()
        assert header == whole[name].splitlines()[0]
        # the one finding is that there is nothing to measure
        assert len(rows) == (1 if name == "findings.csv" else 0)


def test_pandas_reads_the_same_numbers() -> None:
    it = scripted("terse_core")
    table = pd.read_csv(StringIO(csv_files(it)["intervals.csv"]))
    drifts = [interval["drift_s"] for interval in document(it)["intervals"]]
    assert [None if pd.isna(value) else value for value in table["drift_s"]] == drifts
    assert table["start_spoken"].dtype == bool


@pytest.mark.parametrize(
    "said",
    [
        # OWASP, "CSV Injection": the first characters that start a formula, or that are skipped before one
        '=HYPERLINK("http://example.invalid","tap here")',
        "+1 more round",
        "-1+1",
        "@SUM(A1:A9)",
        "\t=1+1",
        "\r=1+1",
        "\n=1+1",
        "＝1+1",
    ],
)
def test_text_that_starts_like_a_formula_is_marked_as_text(said: str) -> None:
    it = review(heard([segment(10, 50, said, 40)], cues=[cue("form", 20, said, said, 0)]))
    (interval,), (form,) = cells(it, "intervals.csv"), cells(it, "cues.csv")
    assert interval["exercise"] == form["exercise"] == form["said"] == "'" + said


@pytest.mark.parametrize(
    "said", ["three = two", "squats, wide", 'the "easy" one', "a\nb", "a\rb", "'tis", "1+1"]
)
def test_other_text_stays_as_it_is(said: str) -> None:
    (row,) = cells(review(heard([segment(10, 50, said, 40)])), "intervals.csv")
    assert row["exercise"] == said


def test_numbers_are_no_text() -> None:
    row = cells(review(heard([segment(10, 45, "squats", 40)])), "intervals.csv")[0]
    assert float(row["drift_s"]) == -5.0


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1))
def test_no_text_breaks_a_row_or_starts_a_formula(said: str) -> None:
    it = review(heard(cues=[cue("form", 20, said), cue("safety", 30, "second row")]))
    first, second = cells(it, "cues.csv")
    assert first["said"].removeprefix("'") == said.removeprefix("'")
    assert first["said"][0] not in "=+-@\t\r\n"
    assert second["said"] == "second row"


# ---- the class standard


@pytest.mark.parametrize("profile", profiles())
def test_a_standard_reads_back_as_it_was(profile: str, tmp_path: Path) -> None:
    standard = load(profiles()[profile])
    kept = tmp_path / "kept.toml"
    kept.write_text(standard_toml(standard), encoding="utf-8")
    assert load(house=kept) == standard
    assert load(profiles()["older_adults"], kept) == standard


def test_awkward_values_read_back_as_they_were(tmp_path: Path) -> None:
    general = load()
    rules = dict(general.rules)
    caution, drift = rules["no_stop_caution"], rules["interval_drift"]
    rules["no_stop_caution"] = replace(caution, listen_for=(), say='Stop "now" \\ rest\x7f – ok')
    rules["interval_drift"] = replace(drift, limits={**drift.limits, "tolerance_s": 1 / 3}, weight="off")
    standard = replace(general, name='The "studio"\tstandard', rules=rules)
    kept = tmp_path / "kept.toml"
    kept.write_text(standard_toml(standard), encoding="utf-8")
    assert load(kept) == standard


def test_every_rule_is_shown_with_its_source() -> None:
    shown = standard_toml(load())
    assert shown.count("\nsource = ") == shown.count("\n[rules.") == len(load().rules)
