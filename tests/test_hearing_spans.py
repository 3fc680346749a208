"""Spans from the tagger's flags: runs, gaps and where a span begins."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analyzer.hearing.labels import SPANS, WIDTH, column
from analyzer.hearing.spans import found, lifted, thresholds


def scores(inside: str, begin: str = "") -> npt.NDArray[np.float32]:
    """One word a sign: ``#`` well above a threshold of 0, ``+`` just above, ``.`` below."""
    level = {"#": 4.0, "+": 1.0, ".": -4.0}
    out = np.full((len(inside), WIDTH), -8.0, dtype=np.float32)
    out[:, column("in form")] = [level[c] for c in inside]
    out[:, column("begin form")] = [level[c] for c in begin or "." * len(inside)]
    return out


def spans(inside: str, begin: str = "") -> list[tuple[int, int]]:
    return [(s.first, s.last) for s in found(scores(inside, begin), "form", 0.0)]


@pytest.mark.parametrize(
    ("inside", "begin", "expected"),
    [
        ("", "", []),
        ("....", "", []),
        ("####", "", [(0, 4)]),
        ("#...", "", [(0, 1)]),
        ("...#", "", [(3, 4)]),
        (".##..##.", "", [(1, 3), (5, 7)]),
        # a gap of one word does not break a span, one of two does
        (".##.##.", "", [(1, 6)]),
        ("##..##", "", [(0, 2), (4, 6)]),
        ("#.#", "", [(0, 3)]),
        # a span that begins inside a run ends the one before
        ("######", "#..#..", [(0, 3), (3, 6)]),
        ("######", "...#..", [(0, 3), (3, 6)]),
        # of neighbours that seem to begin one, the likeliest does
        ("######", "..+#+.", [(0, 3), (3, 6)]),
        # a beginning outside a span is none
        ("......", "..#...", []),
    ],
)
def test_runs_gaps_and_beginnings(inside: str, begin: str, expected: list[tuple[int, int]]) -> None:
    assert spans(inside, begin) == expected


def test_a_span_is_as_sure_as_its_surest_word() -> None:
    (weak,), (strong,) = found(scores(".++."), "form", 0.0), found(scores(".+#."), "form", 0.0)
    # the logistic function of the distance from the threshold
    assert weak.p == pytest.approx(1 / (1 + np.exp(-1)))
    assert strong.p == pytest.approx(1 / (1 + np.exp(-4)))


def test_other_kinds_are_left_alone() -> None:
    assert found(scores("####"), "safety", 0.0) == []


def test_every_kind_has_a_threshold_of_its_own() -> None:
    assert set(thresholds()) == set(SPANS)
    logits = scores("####")
    logits[:, column("in form")] = thresholds()["form"] - 0.01
    assert found(logits, "form") == []
    logits[:, column("in form")] = thresholds()["form"] + 0.01
    assert [(s.first, s.last) for s in found(logits, "form")] == [(0, 4)]


def test_words_that_speak_for_a_cue_lift_it_around_them() -> None:
    """The words and how far they reach are in language/en/cue_words.toml."""
    with (files("analyzer.language.en") / "cue_words.toml").open("rb") as file:
        table = tomllib.load(file)
    assert table
    for kind, row in table.items():
        word, reach = row["words"][0], row["reach"]
        norms = [*["so"] * 9, word, word, *["so"] * 9]
        plain = np.zeros((20, WIDTH), dtype=np.float32)
        raised = lifted(plain, norms)
        expected = np.zeros_like(plain)
        # two such words lift no more than one
        expected[max(0, 9 - reach) : 10 + reach + 1, column(f"in {kind}")] = row["lift"]
        assert np.array_equal(raised, expected), kind
        assert not plain.any()
    assert not lifted(np.zeros((1, WIDTH), dtype=np.float32), ["so"]).any()


SIGNS = st.text("#+.", max_size=12)


@given(SIGNS, st.data())
def test_spans_are_in_order_and_hold_every_word_that_is_inside(inside: str, data: st.DataObject) -> None:
    begin = data.draw(st.text("#+.", min_size=len(inside), max_size=len(inside)))
    reached = 0
    held: set[int] = set()
    for first, last in spans(inside, begin):
        assert reached <= first < last <= len(inside)
        reached = last
        held.update(range(first, last))
    assert held >= {i for i, c in enumerate(inside) if c != "."}
    # what is held beside them is a gap of one word
    assert all(inside[i - 1] != "." != inside[i + 1] for i in held if inside[i] == ".")
