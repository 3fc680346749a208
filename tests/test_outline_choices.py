"""What an interval was told, called and sided: the candidates, and the choice among them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analyzer.hearing.spans import Found
from analyzer.outline.choices import (
    LENGTH_FEATURES,
    NAME_FEATURES,
    SIDE_FEATURES,
    Class,
    Length,
    Settled,
    blind,
    length_options,
    name_options,
    same,
    settle,
    side_options,
    with_setup,
)

LINE = (
    "forty on twenty off squats first in three two one go chest up and rest next the side plank on your left "
    "side ready go hold it and rest same again other side ready go and stop"
)


def a_class(
    text: str = LINE,
    *,
    told: dict[int, tuple[float, float, float]] | None = None,
    names: Sequence[tuple[int, int]] = (),
    intro: Sequence[int] = (),
) -> Class:
    """A class in which ``told`` gives seconds, P(work) and P(rest) of the length at a word."""
    norms = tuple(text.split())
    count = len(norms)
    intros = np.full(count, -8.0)
    intros[list(intro)] = 4.0
    return Class(
        norms=norms,
        at_s=np.arange(count, dtype=np.float64),
        lengths=tuple(
            Length(i, i + 1, s, False, w, r) for i, (s, w, r) in (told or {0: (40, 0.9, 0.0)}).items()
        ),
        names=tuple(Found("name", a, b, 0.9) for a, b in names),
        known=frozenset(names),
        calls=(),
        told=np.log(np.tile([0.9, 0.05, 0.05], (count, 1))),
        side=np.log(np.tile([0.8, 0.1, 0.1], (count, 1))),
        intro=intros,
        phase=np.zeros(count, dtype=np.int64),
    )


def work(first: int = 10, last: int = 14, setup: int = 0, seconds: float = 40.0) -> Settled:
    return Settled("work", first, last, setup, seconds)


def value(features: np.ndarray, name: str, names: Sequence[str] = LENGTH_FEATURES) -> float:
    return float(features[list(names).index(name)])


# --- lengths -----------------------------------------------------------------------------------------------


def test_nothing_told_is_always_a_candidate() -> None:
    (only,) = length_options(a_class(told={0: (40, 0.0, 0.0)}), work(), [], [40.0])
    assert only[0] is None
    assert value(only[1], "none") == value(only[1], "none, none told yet") == 1


def test_work_and_rest_have_candidates_of_their_own() -> None:
    c = a_class(told={0: (40, 0.95, 0.02), 2: (20, 0.02, 0.95)})
    assert [o.seconds for o, _ in length_options(c, work(), [], [40.0]) if o] == [40]
    rest = Settled("rest", 14, 24, 0, 20.0)
    assert [o.seconds for o, _ in length_options(c, rest, [], [20.0]) if o] == [20]


def test_a_length_told_later_is_no_candidate() -> None:
    c = a_class(told={0: (40, 0.9, 0.0), 30: (30, 0.9, 0.0)})
    assert [o.seconds for o, _ in length_options(c, work(), [], [40.0]) if o] == [40]
    assert [o.seconds for o, _ in length_options(c, work(first=33, setup=14), [], [40.0]) if o] == [40, 30]


def test_what_a_told_length_is_weighed_by() -> None:
    c = a_class(told={0: (40, 0.9, 0.0), 17: (30, 0.8, 0.0)})
    before = [replace(work(), announced=40.0)]
    options = {
        o.seconds: f
        for o, f in length_options(c, work(25, 29, setup=14, seconds=31.0), before, [40, 31])
        if o
    }
    assert [value(options[s], "in the set-up") for s in (40, 30)] == [0, 1]
    assert [value(options[s], "last told") for s in (40, 30)] == [0, 1]
    assert [value(options[s], "as before") for s in (40, 30)] == [1, 0]
    assert value(options[30], "as long as it was") > 0.9 > 0.2 > value(options[40], "as long as it was")
    assert value(options[40], "ago") > value(options[30], "ago")


def test_how_sure_a_length_is_does_not_look_at_how_long_it_was() -> None:
    """Or a drift would count as doubt, and every interval that ran long would be excused."""
    c = a_class(told={0: (40, 0.9, 0.0), 2: (50, 0.6, 0.0)})
    rows = [
        np.stack([blind(f) for _, f in length_options(c, work(seconds=seconds), [], [40.0])])
        for seconds in (40.0, 55.0)
    ]
    assert np.array_equal(rows[0], rows[1])
    seen = [np.stack([f for _, f in length_options(c, work(seconds=s), [], [40.0])]) for s in (40.0, 55.0)]
    assert not np.array_equal(seen[0], seen[1])


# --- names -------------------------------------------------------------------------------------------------


def test_names_come_from_around_the_start() -> None:
    c = a_class(names=[(4, 5), (17, 19)], intro=[16])
    options = name_options(c, work(25, 29, setup=14), [], None)
    assert [o[0] if o else None for o, _ in options] == [None, "squats", "side plank"]
    by_name = {o[0]: f for o, f in options if o}
    assert value(by_name["side plank"], "in the set-up", NAME_FEATURES) == 1
    assert value(by_name["squats"], "in the set-up", NAME_FEATURES) == 0
    assert value(by_name["squats"], "far", NAME_FEATURES) == 1
    assert value(by_name["side plank"], "after the intro", NAME_FEATURES) == 1


def test_the_move_before_and_the_move_a_round_ago_are_candidates() -> None:
    c = a_class()
    before = [replace(work(), name="squats"), replace(work(), name="side plank", side="left")]
    options = {o[0]: f for o, f in name_options(c, work(38, 40, setup=29), before, 2) if o}
    assert set(options) == {"squats", "side plank"}
    assert value(options["side plank"], "as before", NAME_FEATURES) == 1
    assert value(options["squats"], "as a round ago", NAME_FEATURES) == 1


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        ("dead bug", "dead bugs", True),
        ("goblet squat", "the goblet squats", True),
        ("push-ups", "push ups", True),
        ("child's pose", "childs pose", True),
        ("side plank", "squat", False),
        ("left", "right", False),
        ("", "squat", False),
        (None, "squat", False),
        ("the", "the", False),
    ],
)
def test_same_move(a: str | None, b: str | None, expected: bool) -> None:
    assert same(a, b) is expected
    assert same(b, a) is expected


# --- sides -------------------------------------------------------------------------------------------------


def test_sides_are_those_that_were_said() -> None:
    options = dict(side_options(a_class(), work(25, 29, setup=14), []))
    assert list(options) == [None, "left", "right"]
    assert value(options["left"], "last said", SIDE_FEATURES) == 1
    assert value(options["right"], "last said", SIDE_FEATURES) == 0
    assert value(options[None], "none, none said", SIDE_FEATURES) == 0


def test_the_other_side_follows() -> None:
    before = [replace(work(25, 29), name="side plank", side="left")]
    second = replace(work(38, 40, setup=29), name="side plank")
    options = dict(side_options(a_class(), second, before))
    assert value(options["right"], "other said", SIDE_FEATURES) == 1
    assert value(options["left"], "other said", SIDE_FEATURES) == 0
    assert value(options["left"], "same of the last", SIDE_FEATURES) == 1
    # another move starts afresh
    options = dict(side_options(a_class(), replace(second, name="squats"), before))
    assert value(options["right"], "other of the last", SIDE_FEATURES) == 0


# --- choosing ----------------------------------------------------------------------------------------------


def test_settling_is_a_conditional_logit() -> None:
    options = [(None, np.array([1.0, 0.0])), ("a", np.array([0.0, 1.0])), ("b", np.array([0.0, 2.0]))]
    k, p = settle(options, np.array([0.0, np.log(2.0)]))
    # odds 1 : 2 : 4
    assert k == 2
    assert p == pytest.approx([1 / 7, 2 / 7, 4 / 7])


@given(st.lists(st.floats(-500, 500), min_size=1, max_size=6))
def test_probabilities_sum_to_one(scores: list[float]) -> None:
    k, p = settle([(None, np.array([s])) for s in scores], np.ones(1))
    assert p.sum() == pytest.approx(1.0)
    assert scores[k] == pytest.approx(max(scores))


def test_a_set_up_begins_where_the_work_before_it_stopped() -> None:
    found = with_setup(
        [("work", 2, 5), ("rest", 5, 8), ("work", 8, 10)], 1.5 * np.arange(10, dtype=np.float64)
    )
    assert [(s.kind, s.setup, s.seconds) for s in found] == [
        ("work", 0, 4.5),
        ("rest", 5, 4.5),
        ("work", 5, 2.5),
    ]
