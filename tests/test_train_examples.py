"""Training examples: what is true of each word of a scripted class, in every caption form."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from train_help import script

from analyzer.bench.forms import FORMS
from analyzer.bench.script import Script, perform
from analyzer.hearing.labels import CHOICES, FLAGS, column
from analyzer.hearing.train.examples import MASKED, example, load, name_tokens, word_labels

Labels = npt.NDArray[np.int8]


@pytest.fixture
def small(tmp_path: Path) -> Script:
    return script(tmp_path)


def where(labels: Labels, made: Script, flag: str) -> list[str]:
    """The words with a flag."""
    return [made.words[i] for i in np.flatnonzero(labels[:, column(flag)] > 0)]


def answers(labels: Labels, choice: str) -> list[str]:
    """The answer of each word, "" where it is not asked."""
    rows = labels[:, len(FLAGS) + list(CHOICES).index(choice)]
    return ["" if a == MASKED else CHOICES[choice][a] for a in rows]


def test_events_stand_on_their_words(small: Script) -> None:
    labels = word_labels(perform(small))
    assert where(labels, small, "start") == ["go.", "go.", "go.", "go."]
    assert where(labels, small, "stop") == ["rest,", "stop.", "Done.", "Good."]
    assert where(labels, small, "rest") == ["rest,"]
    assert where(labels, small, "intro") == ["Goblet", "Next"]


def test_states_follow_the_events(small: Script) -> None:
    labels = word_labels(perform(small))
    state = answers(labels, "state")
    by_word = dict(zip(small.words, state, strict=True))
    assert [by_word[w] for w in ("Welcome,", "Chest", "rest,", "Next", "Breathe", "Other", "Bye.")] == [
        "talk", "work", "rest", "rest", "work", "talk", "talk",
    ]  # fmt: skip
    changes = [small.words[i] for i in range(1, len(state)) if state[i] != state[i - 1]]
    assert changes == ["go.", "rest,", "go.", "stop.", "go.", "Done.", "go.", "Good."]


def test_phases_run_on(small: Script) -> None:
    phases = answers(word_labels(perform(small)), "phase")
    assert [phases[small.words.index(w)] for w in ("Welcome,", "Goblet", "Good.", "Have")] == [
        "opening", "main", "main", "close",
    ]  # fmt: skip


def test_spans_of_a_kind_that_touch_stay_two(small: Script) -> None:
    labels = word_labels(perform(small))
    assert where(labels, small, "in form") == ["Chest", "up.", "Knees", "out."]
    assert where(labels, small, "begin form") == ["Chest", "Knees"]
    assert where(labels, small, "in remaining") == ["Ten", "to", "go."]
    assert where(labels, small, "in safety") == ["Stop", "if", "anything", "hurts."]
    assert where(labels, small, "in hydration") == ["Have", "some", "water."]


def test_told_and_side_are_asked_where_work_starts(small: Script) -> None:
    labels = word_labels(perform(small))
    starts = np.flatnonzero(labels[:, column("start")] > 0)
    told, side = answers(labels, "told"), answers(labels, "side")
    assert [told[i] for i in starts] == ["timed", "timed", "timed", "reps"]
    assert [side[i] for i in starts] == ["none", "left", "right", "none"]
    assert sum(t != "" for t in told) == sum(s != "" for s in side) == len(starts)


def test_numbers_have_the_role_that_the_truth_gives_them(small: Script) -> None:
    roles = answers(word_labels(perform(small)), "role")
    asked = [(w, r) for w, r in zip(small.words, roles, strict=True) if r]
    assert ("forty", "work") in asked
    assert ("twenty", "rest") in asked
    assert ("thirty.", "work") in asked
    # a count, a number of moves and a time call are no lengths
    assert {r for w, r in asked if w.strip(",.") in ("Three", "two", "one", "Ten")} == {"other"}


def test_names_are_marked_where_they_are_said(small: Script) -> None:
    labels = word_labels(perform(small))
    assert where(labels, small, "in name") == ["Goblet", "squats,", "side", "plank,"]
    assert where(labels, small, "begin name") == ["Goblet", "side"]
    assert name_tokens("The Side-Planks of March") == ["side", "plank", "march"]


@pytest.mark.parametrize("form", FORMS)
def test_every_form_has_the_same_truth(form: str, small: Script) -> None:
    made = example(small, form)
    plain = word_labels(perform(small))
    assert len(made.words) == len(made.labels) == len(made.spoken)
    assert (np.diff(made.spoken) > 0).all()
    for flag in ("start", "stop", "rest", "intro", "begin form", "begin remaining", "begin safety"):
        expected = np.flatnonzero(plain[:, column(flag)] > 0)
        assert made.spoken[made.labels[:, column(flag)] > 0].tolist() == expected.tolist(), flag
    first = next(w for w, row in zip(made.words, made.labels, strict=True) if row[column("start")])
    assert first.norm == "go"


def test_a_number_that_became_one_word_keeps_what_both_were(tmp_path: Path) -> None:
    made = script(
        tmp_path,
        'title: x\n---\n+0 | For forty {{form: five}} then [[work 45 "plank"]] go.\n@45 | [[end]] Stop.\n',
    )
    written = example(made, "phrases.srt")
    (number,) = [i for i, w in enumerate(written.words) if w.norm == "45"]
    assert written.labels[number, column("in form")] == 1


def test_other_seeds_are_other_times_of_the_same_words(small: Script) -> None:
    first, second = example(small, "phrases.srt"), example(small, "phrases.srt", "second", 0.93)
    assert [w.span for w in first.words] != [w.span for w in second.words]
    assert [w.norm for w in first.words] == [w.norm for w in second.words]
    assert np.array_equal(first.labels, second.labels)


def test_scripts_are_loaded_by_name(tmp_path: Path, small: Script) -> None:
    (tmp_path / "again.class").write_text(
        (tmp_path / "small.class").read_text(encoding="utf-8"), encoding="utf-8"
    )
    assert [s.name for s in load(tmp_path)] == ["again", "small"]
