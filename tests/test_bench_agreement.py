"""Agreement of two documents of one class: worked by hand, the same both ways round, failures left out."""

from __future__ import annotations

from typing import Any

import pytest
from bench_documents import NAMES, as_document, facts, truths
from hypothesis import given

from analyzer.bench.agreement import Agreement, agreement, agreements
from analyzer.bench.score import Case
from analyzer.bench.tally import Count, Share
from analyzer.outline.records import CUE_KINDS


def work(start_s: float, stop_s: float, exercise: str | None, verdict: str) -> dict[str, Any]:
    return {"kind": "work", "start_s": start_s, "stop_s": stop_s, "exercise": exercise, "verdict": verdict}


FIRST = {
    "intervals": [
        work(0, 40, "squats", "on time"),
        work(60, 100, "plank", "long"),
        work(120, 160, None, "undecided"),
        work(180, 220, "lunges", "short"),
        {"kind": "rest", "start_s": 40, "stop_s": 60},
    ],
    "cues": [{"kind": "form", "at_s": 10}, {"kind": "safety", "at_s": 30}],
}
SECOND = {
    "intervals": [
        work(2, 44, "air squats", "on time"),  # 38/44
        work(60, 90, "burpees", "short"),
        work(120, 160, None, "long"),
        {"kind": "rest", "start_s": 44, "stop_s": 60},
    ],
    "cues": [{"kind": "form", "at_s": 14}, {"kind": "form", "at_s": 70}, {"kind": "safety", "at_s": 34.1}],
}


def test_agreement_worked_by_hand() -> None:
    shared = agreement(FIRST, SECOND)
    assert shared.intervals == Count(5, 4, 4)
    assert shared.intervals.f1 == pytest.approx(8 / 9)
    assert shared.moves == Share(2, 3)  # squats, and no name in either
    assert shared.verdicts == Share(1, 2)  # undecided contradicts nothing
    assert dict(zip(CUE_KINDS, shared.cues, strict=True))["form"] == Count(1, 2, 1)
    assert shared.all_cues == Count(2, 3, 1)  # 4 s is in, 4.1 s is out


@given(truths(), truths())
def test_agreement_is_the_same_both_ways_round(a: dict[str, Any], b: dict[str, Any]) -> None:
    one, other = agreement(as_document(a), as_document(b)), agreement(as_document(b), as_document(a))
    assert one.intervals.f1 == other.intervals.f1
    assert (one.moves, one.verdicts) == (other.moves, other.verdicts)
    assert [c.f1 for c in one.cues] == [c.f1 for c in other.cues]


@pytest.mark.parametrize("name", NAMES)
def test_a_document_agrees_with_itself(name: str) -> None:
    document = as_document(facts(name))
    shared = agreement(document, document)
    assert shared.intervals.f1 == shared.all_cues.f1 == 1.0
    assert shared.moves.value in (1.0, None)
    assert shared.verdicts.value in (1.0, None)
    assert shared.intervals.true == len(document["intervals"])


def test_pairs_of_forms_are_summed_over_classes_without_failures() -> None:
    made = [
        Case("one", "plain.vtt", FIRST, {}),
        Case("one", "phrases.srt", SECOND, {}),
        Case("one", "blocks.txt", {}, {}, failed="no time"),
        Case("two", "plain.vtt", FIRST, {}),
        Case("two", "phrases.srt", FIRST, {}),
        Case("three", "plain.vtt", FIRST, {}),
        Case("three", "phrases.srt", {}, {}, failed="no time"),
    ]
    pairs = agreements(made)
    assert list(pairs) == [("plain.vtt", "phrases.srt")]
    assert pairs["plain.vtt", "phrases.srt"] == agreement(FIRST, SECOND) + agreement(FIRST, FIRST)
    assert pairs["plain.vtt", "phrases.srt"].classes == 2
    assert agreement(FIRST, SECOND) + Agreement() == agreement(FIRST, SECOND)
