"""What listeners were promised, and how far each promise reaches."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from analyzer.outline.choices import Class, Length, Settled
from analyzer.outline.promises import promises
from analyzer.outline.records import Promise
from analyzer.spans import Span
from analyzer.words import Word

OPENING = "welcome forty on twenty off four moves three rounds"
MAIN = "squats thirty seconds go and rest row go and rest press go and stop"


def a_class(opening: str = OPENING, main: str = MAIN) -> tuple[Class, list[Word]]:
    """One word a second; forty and thirty are lengths of work, twenty one of rests."""
    norms = (*opening.split(), *main.split())
    count = len(norms)
    seconds = {"forty": (40.0, 1.0, 0.0), "thirty": (30.0, 1.0, 0.0), "twenty": (20.0, 0.0, 1.0)}
    made = Class(
        norms=norms,
        at_s=np.arange(count, dtype=np.float64),
        lengths=tuple(
            Length(i, i + 1, s, False, w, r)
            for i, n in enumerate(norms)
            if n in seconds
            for s, w, r in [seconds[n]]
        ),
        names=(),
        known=frozenset(),
        calls=(),
        told=np.zeros((count, 3)),
        side=np.zeros((count, 3)),
        intro=np.zeros(count),
        phase=np.array([0] * len(opening.split()) + [2] * len(main.split())),
    )
    return made, [
        Word(n, n, 0, Span(1000 * i, 1000 * i + 300), 1000 * i, 1000 * i, 50) for i, n in enumerate(norms)
    ]


def promised(opening: str = OPENING, **told: int) -> tuple[Promise, ...]:
    """The promises of work, rest, work, rest, work; ``told`` says what each rests on, by its word."""
    c, words = a_class(opening)
    by_word = {x.word: x.seconds for x in c.lengths}
    at = [len(opening.split()) + i for i in (3, 5, 7, 9, 11, 13)]
    settled = []
    for k, (a, b) in enumerate(pairwise(at)):
        s = Settled("work" if k % 2 == 0 else "rest", a, b, a, float(b - a))
        word = told.get(f"s{k}")
        settled.append(replace(s, told_at=word, announced=by_word[word]) if word is not None else s)
    return promises(c, settled, words)


def test_a_promise_of_the_opening_is_for_the_class() -> None:
    work, rest, moves, rounds = promised(s0=1, s2=1, s4=1, s1=3, s3=3)
    assert (work.work_s, work.rest_s, work.scope) == (40, None, "class")
    assert (rest.work_s, rest.rest_s, rest.scope) == (None, 20, "class")
    assert (moves.moves, rounds.rounds) == (4, 3)
    assert "forty on" in work.quote.said
    assert "three rounds" in rounds.quote.said
    # in order of time, at the time of the first word quoted
    assert [p.quote.at_ms for p in (work, rest, moves, rounds)] == [0, 0, 3_000, 5_000]


def test_how_far_a_promise_reaches() -> None:
    thirty = len(OPENING.split()) + 1
    (one,) = [p for p in promised(s0=thirty) if p.work_s]
    assert (one.work_s, one.scope) == (30, "interval")
    (block,) = [p for p in promised(s0=thirty, s2=thirty) if p.work_s]
    assert (block.work_s, block.scope) == (30, "block")


def test_a_length_that_no_interval_rests_on_is_no_promise() -> None:
    assert [p for p in promised() if p.work_s or p.rest_s] == []


@pytest.mark.parametrize(
    ("opening", "rounds", "moves"),
    [
        ("three rounds today", [3], []),
        ("three times through", [3], []),
        ("three times a week", [], []),
        ("4 exercises", [], [4]),
        ("eight stations and 2 laps", [2], [8]),
        ("one round", [], []),
        ("fifty moves", [], []),  # more than a class holds
        ("rounds three", [], []),
    ],
)
def test_rounds_and_moves(opening: str, rounds: list[int], moves: list[int]) -> None:
    found = promised(opening)
    assert [p.rounds for p in found if p.rounds] == rounds
    assert [p.moves for p in found if p.moves] == moves
    assert all(p.scope == "class" for p in found)


def test_no_intervals_no_promises() -> None:
    c, words = a_class()
    assert promises(c, [], words) == ()
