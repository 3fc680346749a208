"""The JSON Schema of the data document: closed, complete, and able to refuse."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, get_args, get_type_hints

import pytest
from document_help import FITS, SCHEMA, fitting, nodes, small
from jsonschema import Draft202012Validator
from report_help import review

from analyzer.captions.records import Timing
from analyzer.document import SCHEMA_ID, document
from analyzer.findings.records import Mend, Weight
from analyzer.measures.records import SideBalance, Totals, Trend, Verdict
from analyzer.outline.records import CallKind, Counted, CueKind, PhaseName, Scope, SegmentKind, Side


def test_the_schema_is_one_of_draft_2020_12_and_names_the_document() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert SCHEMA["$id"] == SCHEMA_ID == document(review(small()))["schema"]


def test_every_object_of_the_schema_is_closed() -> None:
    dicts = [(path, node) for path, node in nodes(SCHEMA) if isinstance(node, dict)]
    objects = [(path, node) for path, node in dicts if node.get("type") == "object"]
    assert len(objects) > 10
    for path, node in objects:
        assert node["additionalProperties"] is False, path
        assert node["required"] == list(node["properties"]), path


@pytest.mark.parametrize(
    ("name", "key", "words"),
    [
        ("source", "timing", Timing),
        ("phase_name", None, PhaseName),
        ("promise", "scope", Scope),
        ("interval", "kind", SegmentKind),
        ("interval", "counted", Counted),
        ("verdict", None, Verdict),
        ("time_call", "kind", CallKind),
        ("cue", "kind", CueKind),
        ("finding", "weight", Weight),
        ("finding", "mend", Mend),
        ("side_balance", "verdict", get_type_hints(SideBalance)["verdict"]),
        ("trend", "verdict", get_type_hints(Trend)["verdict"]),
    ],
)
def test_closed_sets_of_words_are_those_of_the_records(name: str, key: str | None, words: Any) -> None:
    part = SCHEMA["$defs"][name] if key is None else SCHEMA["$defs"][name]["properties"][key]
    assert part["enum"] == list(get_args(words))


def test_a_side_is_left_right_or_none() -> None:
    assert SCHEMA["$defs"]["interval"]["properties"]["side"]["enum"] == [*get_args(Side), None]


def test_totals_have_every_total() -> None:
    assert set(SCHEMA["$defs"]["totals"]["properties"]) == {f.name for f in fields(Totals)} | {"work_to_rest"}


def test_the_small_class_has_something_in_every_list() -> None:
    """Without this, the tests below that change each part would pass over some."""
    found = document(review(small()))
    assert all(found[key] for key in SCHEMA["properties"])


def test_a_document_without_any_one_key_does_not_fit() -> None:
    whole = fitting(review(small()))
    parts = {path: node for path, node in nodes(whole) if isinstance(node, dict)}
    assert len(parts) == 15
    for path, part in parts.items():
        for key in list(part):
            kept = part.pop(key)
            assert not FITS.is_valid(whole), f"{path}.{key}"
            part[key] = kept
    FITS.validate(whole)


@pytest.mark.parametrize(
    ("place", "key", "value"),
    [
        ((), "extra", 1),
        ((), "schema", "another"),
        (("source",), "timing", "caption"),
        (("intervals", 0), "kind", "warm-up"),
        (("intervals", 0), "start_s", -0.1),
        (("intervals", 0), "start_s", "1:40"),
        (("intervals", 0), "start_sd_s", -0.1),
        (("intervals", 0), "announced_s", 0),
        (("intervals", 0), "round", 1.5),
        (("intervals", 0), "probability", 1.1),
        (("intervals", 0), "exercise", ""),
        (("intervals", 0), "length", 1),
        (("cues", 0), "kind", "encouragement"),
        (("cues", 0), "interval", -1),
        (("findings", 0), "weight", "off"),
        (("findings", 0), "source", ""),
        (("totals",), "words", 1.5),
    ],
)
def test_a_document_with_something_wrong_does_not_fit(place: tuple[Any, ...], key: str, value: Any) -> None:
    found = fitting(review(small()))
    part: Any = found
    for step in place:
        part = part[step]
    part[key] = value
    assert not FITS.is_valid(found)
