"""Scores against a hand-worked comparison, perfect documents, and perturbations whose effect is known."""

from __future__ import annotations

from typing import Any

import pytest
from bench_documents import NAMES, as_document, facts, truths
from hypothesis import given
from hypothesis import strategies as st

from analyzer.bench.score import Case, Tally, compare, figures, slack_s
from analyzer.bench.tally import Count, EdgeError, Share


def work(
    start_s: float, stop_s: float, exercise: str, announced_s: float | None, **more: Any
) -> dict[str, Any]:
    entry = {"kind": "work", "start_s": start_s, "stop_s": stop_s, "exercise": exercise}
    return entry | {"announced_s": announced_s, "side": None, "phase": "main"} | more


def rest(start_s: float, stop_s: float) -> dict[str, Any]:
    return {"kind": "rest", "start_s": start_s, "stop_s": stop_s, "announced_s": 20.0}


def said(kind: str, at_s: float, exercise: str | None = None) -> dict[str, Any]:
    return {"kind": kind, "at_s": at_s, "exercise": exercise}


def call(kind: str, at_s: float, value: float) -> dict[str, Any]:
    return {"kind": kind, "at_s": at_s, "value": value}


TRUTH = {
    "intervals": [
        work(10, 50, "squats", 40.0),
        rest(50, 70),
        work(70, 115, "side plank", 40.0, side="left"),
        rest(115, 135),
        work(135, 170, "push-ups", None),
    ],
    "calls": [call("elapsed", 30, 20), call("remaining", 105, 10), call("fraction", 152, 0.5)],
    "cues": [
        said("form", 5, "squats"),
        said("regression", 12, "squats"),
        said("breathing", 80, "side plank"),
        said("hydration", 120, "side plank"),
        said("safety", 140, "push-ups"),
    ],
}
FOUND = {
    "intervals": [
        work(10.4, 50, "squat", 40.0, start_sd_s=0.3, stop_sd_s=0.3, verdict="on time"),
        rest(50, 70),
        # 5 s long in truth, so "short" is wrong; the true stop is 3 s away, 2u is 2 s
        work(70, 112, "plank", 45.0, side="right", phase="cool-down", verdict="short")
        | {"start_sd_s": 1, "stop_sd_s": 1},
        rest(112, 200),
        work(200, 230, "push-ups", None, verdict="untimed"),
    ],
    "time_calls": [call("elapsed", 33.9, 20), call("remaining", 110, 10), call("fraction", 152, 0.51)],
    "cues": [
        said("form", 8, "squats"),
        said("regression", 17, "squats"),
        said("breathing", 80, "squats"),
        said("hydration", 121),
        said("hydration", 122),
        said("safety", 140, "push-ups"),
    ],
}  # fmt: skip


def test_a_comparison_worked_by_hand() -> None:
    got = figures(compare(TRUTH, FOUND))
    assert got == {
        "work_f1": 0.667,  # 2 of 3 and 3
        "rest_f1": 0.5,  # [112,200] covers a quarter of [115,135]
        "boundary_05_f1": 0.5,  # 10, 50, 70 of six and six
        "boundary_3_f1": 0.667,  # and 115 by 112
        "edge_median_s": 0.2,  # of 0.4, 0, 0, 3
        "edge_p90_s": 0.4,  # place int(0.9 x 3) of them in order
        "covered_2sd": 0.75,
        "covered_start": 1.0,
        "covered_stop": 0.5,
        "expanded_median_s": 1.3,  # of 0.6, 0.6, 2, 2
        "announced": 0.5,
        "named": 1.0,
        "side": 0.0,  # of the one with a side
        "phase_right": 0.5,
        "decided": 1.0,
        "verdict_right": 0.5,
        "calls_f1": 0.667,  # "ten to go" is 5 s off
        "said_regression_f1": 0.0,  # 5 s off
        "said_progression_f1": 1.0,  # none to find, none found
        "said_form_f1": 1.0,
        "said_breathing_f1": 1.0,
        "said_safety_f1": 1.0,
        "said_hydration_f1": 0.667,  # one true, two found
        # 3 moves x 5 kinds: 4 given, 4 heard, 3 of them the same: 11 missing, 11 told, 10 both
        "missing_cue_precision": 0.909,
        "missing_cue_recall": 0.909,
    }


def test_blocks_have_more_slack() -> None:
    case = Case("one", "blocks.txt", FOUND, TRUTH)
    assert (slack_s("blocks.txt"), slack_s("phrases.srt")) == (12.0, 4.0)
    assert figures(case.tally)["calls_f1"] == figures(case.tally)["said_regression_f1"] == 1.0


def test_a_call_counts_once_and_needs_kind_and_value() -> None:
    calls = {"intervals": [], "cues": [], "calls": [call("elapsed", 30, 20), call("elapsed", 32, 20)]}
    for found, both in [
        ([call("elapsed", 31, 20)], 1),
        ([call("elapsed", 31, 20), call("elapsed", 33, 20)], 2),
        ([call("remaining", 30, 20), call("elapsed", 30, 21), {"kind": "elapsed", "at_s": 30}], 0),
    ]:
        assert compare(calls, {"time_calls": found}).calls == Count(2, len(found), both)


@pytest.mark.parametrize(
    ("actual_s", "verdict", "right"),
    [
        (40.0, "on time", 1),
        (40.0, "long", 0),
        (42.4, "on time", 1),  # 2.4 s over, within half a second of the tolerance: either
        (42.4, "long", 1),
        (42.6, "on time", 0),
        (42.6, "long", 1),
        (37.6, "on time", 1),
        (37.4, "on time", 0),
        (37.4, "short", 1),
        (46.1, "short", 0),
    ],
)
def test_a_verdict_is_right_up_to_half_a_second(actual_s: float, verdict: str, right: int) -> None:
    true = {"intervals": [work(0, actual_s, "squats", 40.0)], "calls": [], "cues": []}
    found = {"intervals": [work(0, actual_s, "squats", 40.0, verdict=verdict)]}
    tally = compare(true, found)
    assert (tally.decided, tally.verdicts) == (Share(1, 1), Share(right, 1))


def test_undecided_is_not_wrong() -> None:
    found = {"intervals": [i | {"verdict": "undecided"} for i in FOUND["intervals"]]}
    tally = compare(TRUTH, found)
    assert (tally.decided, tally.verdicts) == (Share(0, 2), Share())
    assert figures(tally)["verdict_right"] is None


def test_an_edge_without_uncertainty_is_not_judged_for_it() -> None:
    found = {"intervals": [work(11, 50, "squats", 40.0, stop_sd_s=0.0)]}
    tally = compare(TRUTH, found)
    assert tally.edges == (EdgeError("start", 1, None), EdgeError("stop", 0, 0.0))
    got = figures(tally)
    assert (got["covered_start"], got["covered_stop"], got["covered_2sd"]) == (None, 1.0, 1.0)


def test_nothing_found() -> None:
    got = figures(compare(TRUTH, {}))
    assert (got["work_f1"], got["calls_f1"], got["said_form_f1"], got["edge_median_s"]) == (0, 0, 0, None)
    # with nothing heard, every cue of every move is told missing: all 11 that are, of 15
    assert (got["missing_cue_recall"], got["missing_cue_precision"]) == (1.0, round(11 / 15, 3))


SECONDS = {"edge_median_s": 0.0, "edge_p90_s": 0.0, "expanded_median_s": 0.0}


@pytest.mark.parametrize("name", NAMES)
def test_a_perfect_document_is_perfect(name: str) -> None:
    got = figures(compare(facts(name), as_document(facts(name))))
    assert all(value == SECONDS.get(key, 1.0) for key, value in got.items() if value is not None)
    measured = {key for key, value in got.items() if value is None}
    if name == "recipe_show":
        # no intervals, so nothing of them to judge; and nothing of them found, which is right
        assert got["work_f1"] == got["rest_f1"] == 1.0
        assert {"edge_median_s", "announced", "named", "phase_right", "verdict_right"} <= measured
    else:
        assert measured <= {"side", "missing_cue_precision", "missing_cue_recall"}


@given(truths())
def test_a_perfect_document_of_any_class_is_perfect(true: dict[str, Any]) -> None:
    got = figures(compare(true, as_document(true)))
    assert all(value == SECONDS.get(key, 1.0) for key, value in got.items() if value is not None)


@pytest.mark.parametrize("name", ["terse_core", "tabata_three_blocks", "chair_yoga_breaks"])
def test_times_moved_by_a_second_are_a_second_off(name: str) -> None:
    true = facts(name)
    narrow = figures(compare(true, as_document(true, sd_s=0.4, later_s=1.0)))
    assert (narrow["edge_median_s"], narrow["edge_p90_s"], narrow["expanded_median_s"]) == (1.0, 1.0, 0.8)
    assert (narrow["work_f1"], narrow["boundary_3_f1"], narrow["covered_2sd"]) == (1.0, 1.0, 0.0)
    wide = figures(compare(true, as_document(true, sd_s=0.6, later_s=1.0)))
    assert (wide["covered_2sd"], wide["covered_start"], wide["covered_stop"]) == (1.0, 1.0, 1.0)
    late = compare(true, as_document(true, later_s=4.5))
    assert late.calls.true > 0
    # calls and cues said close together may meet the wrong neighbour; the lone ones are lost
    assert late.calls.f1 < 0.5


def test_what_is_lost_shows_where_it_is_lost() -> None:
    true = facts("terse_core")
    document = as_document(true)
    works = [i for i in document["intervals"] if i["kind"] == "work"]
    lost = works[::2]
    document["intervals"] = [i for i in document["intervals"] if i not in lost]
    document["cues"] = [c for c in document["cues"] if c["kind"] != "form"]
    tally = compare(true, document)
    assert tally.works == Count(len(works), len(works) - len(lost), len(works) - len(lost))
    assert (tally.works.precision, tally.works.recall) == (1.0, 1 - len(lost) / len(works))
    assert figures(tally)["said_form_f1"] == 0.0
    assert figures(tally)["said_safety_f1"] == figures(tally)["missing_cue_recall"] == 1.0
    assert tally.missing.precision is not None
    assert tally.missing.precision < 1.0


def test_a_wrong_name_side_phase_and_length_each_show() -> None:
    true = facts("chair_yoga_breaks")
    document = as_document(true)
    for interval in document["intervals"]:
        interval |= {"exercise": "zzz", "side": "up", "phase": "close", "announced_s": 7.0}
    got = figures(compare(true, document))
    assert (got["named"], got["side"], got["announced"], got["work_f1"]) == (0.0, 0.0, 0.0, 1.0)
    works = [i for i in true["intervals"] if i["kind"] == "work"]
    assert got["phase_right"] == round(sum(i["phase"] == "close" for i in works) / len(works), 3) < 1.0


def test_pooled_figures_are_of_sums_and_not_means_of_figures() -> None:
    one, two = compare(TRUTH, FOUND), compare(TRUTH, {})
    both = figures(one + two)
    assert both["work_f1"] == round(2 * 2 / (6 + 3), 3) != round((2 / 3 + 0) / 2, 3)
    assert both["edge_median_s"] == 0.2
    assert one + Tally() == one


@given(st.lists(st.tuples(truths(), st.integers(0, 3)), min_size=2, max_size=3), st.data())
def test_adding_up_in_any_order(cases: list[tuple[dict[str, Any], int]], data: st.DataObject) -> None:
    tallies = [compare(true, as_document(true, later_s=float(later))) for true, later in cases]
    shuffled = data.draw(st.permutations(tallies))
    assert figures(sum(tallies, Tally())) == figures(sum(shuffled, Tally()))
    assert sum(tallies, Tally()).said[0].true == sum(tally.said[0].true for tally in tallies)


@given(truths(), truths(), st.integers(1, 1000))
def test_only_differences_of_time_matter(a: dict[str, Any], b: dict[str, Any], later: int) -> None:
    moved = as_document(a, later_s=later) | {"calls": as_document(a, later_s=later)["time_calls"]}
    assert compare(a, as_document(b)) == compare(moved, as_document(b, later_s=later))
