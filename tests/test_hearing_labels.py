"""The layout of the tagger's scores."""

from __future__ import annotations

import pytest

from analyzer.hearing.labels import CALLS, CHOICES, EVENTS, FLAGS, SPANS, WIDTH, column, columns
from analyzer.outline.records import CUE_KINDS


def test_every_column_has_one_meaning() -> None:
    taken = [column(flag) for flag in FLAGS]
    for choice in CHOICES:
        part = columns(choice)
        taken += range(part.start, part.stop)
        assert part.stop - part.start == len(CHOICES[choice])
    assert taken == list(range(WIDTH))


def test_every_span_can_be_inside_and_begin() -> None:
    assert set(SPANS) == {*CUE_KINDS, *CALLS, "name"}
    assert len({column(f"{side} {span}") for side in ("in", "begin") for span in SPANS}) == 2 * len(SPANS)
    assert set(FLAGS) >= set(EVENTS)


def test_unknown_names_fail() -> None:
    with pytest.raises(ValueError, match="not in tuple"):
        column("in posture")
    with pytest.raises(KeyError, match="mood"):
        columns("mood")
