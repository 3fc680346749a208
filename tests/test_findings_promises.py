"""Rounds and moves against what was promised."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from oracle import SAMPLES, Heard, from_script, heard, segment

from analyzer.findings.find import find
from analyzer.findings.records import Finding
from analyzer.outline.records import PhaseName, Promise, Quote, Segment
from analyzer.standards.standard import load

STANDARD = load()


def found(it: Heard, rule: str) -> list[Finding]:
    findings = find(it.captions, it.words, it.outline, it.measures(), STANDARD)
    return [f for f in findings if f.rule == rule]


def promise(at_s: float, said: str = "as said", **told: Any) -> Promise:
    return Promise(Quote(round(at_s * 1000), said), told.pop("scope", "block"), **told)


def circuit(
    moves: Sequence[str | None], rounds: int, at_s: float = 100.0, work_s: float = 40.0
) -> list[Segment]:
    return [
        segment(at_s + n * 60, at_s + n * 60 + work_s, move, work_s, round=n // len(moves) + 1)
        for n, move in enumerate(list(moves) * rounds)
    ]


FOUR = ["squats", "rows", "taps", "dead bug"]
TOLD = promise(24, "four moves, three rounds", work_s=40.0, rest_s=20.0, rounds=3, moves=4)


def test_all_that_was_promised_came() -> None:
    it = heard(circuit(FOUR, 3), promises=[TOLD])
    assert found(it, "promised_round_missing") == found(it, "promised_move_missing") == []


def test_one_move_left_out_of_one_round() -> None:
    segments = [s for s in circuit(FOUR, 3) if (s.exercise, s.round) != ("taps", 3)]
    (finding,) = found(heard(segments, promises=[TOLD]), "promised_round_missing")
    assert finding.message == (
        '3 rounds were promised ("four moves, three rounds", 0:24). I heard taps 2 times.'
    )
    # 40 s of work at a limit of 2 s: as much as a drift of all of it
    assert (finding.weight, finding.size, finding.at_ms) == ("must fix", 20.0, 24_000)
    assert finding.evidence == (TOLD.quote,)
    assert found(heard(segments, promises=[TOLD]), "promised_move_missing") == []


def test_a_whole_round_left_out() -> None:
    (finding,) = found(heard(circuit(FOUR, 2), promises=[TOLD]), "promised_round_missing")
    assert finding.message.endswith("squats 2 times, rows 2 times, taps 2 times and dead bug 2 times.")
    assert finding.size == 80.0


def test_a_move_that_never_came() -> None:
    it = heard(circuit(FOUR[:3], 3), promises=[TOLD])
    (finding,) = found(it, "promised_move_missing")
    assert finding.message == (
        '4 moves were promised ("four moves, three rounds", 0:24) and I heard 3: squats, rows and taps.'
    )
    assert found(it, "promised_round_missing") == []


def test_an_interval_without_a_name_may_be_the_missing_move() -> None:
    it = heard(circuit([*FOUR[:3], None], 3), promises=[TOLD])
    assert found(it, "promised_move_missing") == []
    assert found(it, "promised_round_missing") == []


def test_missing_rounds_near_unnamed_intervals_are_a_question() -> None:
    (finding,) = found(heard(circuit([*FOUR[:3], None], 3)[:-1], promises=[TOLD]), "promised_round_missing")
    assert finding.weight == "should fix"
    assert finding.message.endswith("please check.")


def test_eight_rounds_may_be_eight_intervals() -> None:
    # Tabata et al. 1996 (quoted): 8 x 20 s / 10 s, here of two moves in turn
    eight = promise(24, work_s=20.0, rest_s=10.0, rounds=8, moves=2)
    full = circuit(["jacks", "climbers"], 4, work_s=20)
    assert found(heard(full, promises=[eight]), "promised_round_missing") == []
    (finding,) = found(heard(full[:-1], promises=[eight]), "promised_round_missing")
    assert finding.message == (
        '8 rounds were promised ("as said", 0:24), which makes 8 intervals, and I heard 7.'
    )


def test_two_sides_of_a_move_are_one_time() -> None:
    sides = [
        segment(100 + n * 40, 130 + n * 40, "side plank", 30, side="left" if n % 2 == 0 else "right")
        for n in range(4)
    ]
    two = [promise(24, work_s=30.0, rounds=2, moves=1)]
    assert found(heard(sides, promises=two), "promised_round_missing") == []
    # one move and two rounds: two intervals of two sides are one round, and the other one is missing
    assert len(found(heard(sides[:2], promises=two), "promised_round_missing")) == 1


def test_promises_of_the_opening_each_find_their_phase() -> None:
    warm = [segment(60, 90, "march", 30, phase="warm-up"), segment(100, 130, "hinge", 30, phase="warm-up")]
    stretch = [segment(900 + n * 40, 930 + n * 40, n_, 30, phase="cool-down") for n, n_ in enumerate("abc")]
    phases: tuple[tuple[PhaseName, float], ...] = (
        ("opening", 0.0), ("warm-up", 50.0), ("main", 150.0), ("cool-down", 890.0),
    )
    told = [
        promise(10, "two to get warm", work_s=30.0, moves=2),
        promise(12, "two moves", work_s=40.0, moves=2, rounds=1),
        promise(14, "four stretches", holds_s=30.0, moves=4),
    ]
    it = heard([*warm, *circuit(FOUR[:2], 1, at_s=200), *stretch], promises=told, phases=phases)
    (finding,) = found(it, "promised_move_missing")
    assert finding.message.startswith('4 moves were promised ("four stretches", 0:14) and I heard 3')


def test_a_second_promise_of_the_same_length_is_of_another_phase() -> None:
    warm = [segment(60, 90, "march", 30, phase="warm-up"), segment(100, 130, "hinge", 30, phase="warm-up")]
    fold = segment(900, 930, "fold", 30, phase="cool-down")
    told = [promise(5, work_s=30.0, moves=2), promise(8, "two stretches", work_s=30.0, moves=2)]
    (finding,) = found(heard([*warm, fold], promises=told), "promised_move_missing")
    assert "two stretches" in finding.message


def test_said_again_in_the_middle_is_no_new_promise() -> None:
    again = promise(650, "same four moves, round three of three", rounds=3, moves=4)
    it = heard(circuit(FOUR, 3), promises=[TOLD, again])
    assert found(it, "promised_round_missing") == []


def test_a_new_block_ends_the_one_before() -> None:
    blocks = [*circuit(FOUR[:2], 2, at_s=100), *circuit(["swings", "carries"], 1, at_s=500)]
    told = [
        promise(24, work_s=40.0, rounds=2, moves=2),
        promise(480, "three rounds", work_s=40.0, rounds=3, moves=2),
    ]
    (finding,) = found(heard(blocks, promises=told), "promised_round_missing")
    assert "three rounds" in finding.message


def test_of_one_interval_or_of_lengths_never_used_nothing_is_asked() -> None:
    it = heard(circuit(FOUR, 1), promises=[
        promise(90, scope="interval", rounds=5), promise(91, work_s=25.0, rounds=5, moves=4),
    ])
    assert found(it, "promised_round_missing") == []


def test_the_round_left_out_of_the_first_take() -> None:
    # first_take.class: "the third round of shoulder taps was promised, and is left out without a word"
    it = from_script(SAMPLES / "first_take.class", promises=[TOLD])
    (finding,) = found(it, "promised_round_missing")
    assert finding.message.endswith("I heard shoulder taps 2 times.")
    again = from_script(SAMPLES / "retake.class", promises=[TOLD])
    assert found(again, "promised_round_missing") == []


def pieces(said: str = "four moves") -> list[Promise]:
    """As the captions' numbers are heard: one promise each."""
    return [
        promise(20, said, moves=4, scope="class"), promise(22, "twenty off", rest_s=20.0, scope="class"),
        promise(24, "all four moves", moves=4, scope="class"),
        promise(26, "all three rounds", rounds=3, scope="class"),
    ]


def test_numbers_said_in_one_breath_are_one_plan() -> None:
    segments = [s for s in circuit(FOUR, 3) if (s.exercise, s.round) != ("taps", 3)]
    (finding,) = found(heard(segments, promises=pieces()), "promised_round_missing")
    assert finding.message == '3 rounds were promised ("all three rounds", 0:26). I heard taps 2 times.'
    assert finding.at_ms == 26_000
    full = heard(circuit(FOUR, 3), promises=pieces())
    assert found(full, "promised_round_missing") == found(full, "promised_move_missing") == []


def test_a_number_of_the_warm_up_does_not_hide_the_rounds_of_the_circuit() -> None:
    # first_take.class: "a short warm-up, three moves ... the circuit, which is four moves ... three rounds"
    warm = [segment(60 + 10 * n, 68 + 10 * n, name, phase="warm-up") for n, name in enumerate("abc")]
    phases: tuple[tuple[PhaseName, float], ...] = (("opening", 0.0), ("warm-up", 50.0), ("main", 95.0))
    told = [promise(15, "short warm-up three moves", moves=3, scope="class"), *pieces()]
    segments = [s for s in circuit(FOUR, 3) if (s.exercise, s.round) != ("taps", 3)]
    it = heard([*warm, *segments], promises=told, phases=phases)
    assert len(found(it, "promised_round_missing")) == 1
    assert found(it, "promised_move_missing") == []


def test_a_warm_up_named_before_the_number_is_not_what_the_number_is_of() -> None:
    # steady_and_strong.class: "A little warm-up. Then five exercises"
    warm = [segment(60, 90, "march", phase="warm-up")]
    phases: tuple[tuple[PhaseName, float], ...] = (("opening", 0.0), ("warm-up", 50.0), ("main", 95.0))
    told = [promise(15, "warm-up. Then four exercises", moves=4, scope="class")]
    it = heard([*warm, *circuit(FOUR, 1)], promises=told, phases=phases)
    assert found(it, "promised_move_missing") == []


def test_numbers_far_apart_are_plans_of_their_own() -> None:
    told = [promise(20, "four moves", moves=4), promise(600, "two rounds of these", rounds=2)]
    it = heard([*circuit(FOUR, 1), *circuit(FOUR[:2], 2, at_s=640)[:3]], promises=told)
    (finding,) = found(it, "promised_round_missing")
    assert "two rounds of these" in finding.message
