"""Folds: similar classes together, every class once, about as many in each."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracle import CLASSES

from analyzer.hearing.train.folds import folds, group_of

NAMES = sorted(path.stem for path in CLASSES.glob("*.class"))


@pytest.mark.parametrize("count", [3, 5])
def test_groups_stay_together_and_folds_are_of_a_size(count: int) -> None:
    where = folds(NAMES, count)
    assert sorted(where) == NAMES
    by_group: dict[str, set[int]] = {}
    for name, fold in where.items():
        by_group.setdefault(group_of(name), set()).add(fold)
    assert all(len(used) == 1 for used in by_group.values())
    sizes = Counter(where.values())
    assert set(sizes) == set(range(count))
    assert max(sizes.values()) - min(sizes.values()) <= 2


def test_most_classes_are_like_some_other() -> None:
    """Without groups, cross-validation would flatter."""
    sizes = Counter(map(group_of, NAMES))
    assert max(sizes.values()) < len(NAMES) / 5
    assert sum(n for n in sizes.values() if n > 1) > len(NAMES) / 2


def test_the_longest_beginning_wins() -> None:
    assert group_of("row_bike_run") == group_of("rowing_minutes") == "bike"
    assert group_of("chair_yoga_breaks") == "yoga"
    assert group_of("chair_class_forty_twenty") == "seated"


def test_the_order_of_names_does_not_matter() -> None:
    assert folds(NAMES) == folds(reversed(NAMES)) == folds(set(NAMES))


@given(st.sets(st.text("abc", min_size=1, max_size=4), max_size=30), st.integers(1, 6))
def test_any_names(names: set[str], count: int) -> None:
    where = folds(names, count)
    assert set(where) == names
    assert set(where.values()) <= set(range(count))
