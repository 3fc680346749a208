"""Findings on cues, names and spoken edges of each move."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from oracle import Heard, cue, from_script, heard, say, script, segment

from analyzer.findings.find import find
from analyzer.findings.material import Suggest
from analyzer.findings.records import Finding
from analyzer.outline.records import CueKind, Segment
from analyzer.standards.standard import load

STANDARD = load()
RULES: dict[str, CueKind] = {
    "no_easier_option": "regression", "no_form_cue": "form", "no_breathing_cue": "breathing",
}


def found(it: Heard, rule: str, suggest: Suggest | None = None) -> list[Finding]:
    measures = it.measures(STANDARD.tolerance)
    findings = find(it.captions, it.words, it.outline, measures, STANDARD, suggest)
    return [f for f in findings if f.rule == rule]


SQUATS = [segment(200, 240, "squats", 40, round=1), segment(452, 492, "Squat", 40, round=2)]


def moves(count: int) -> list[Segment]:
    return [segment(200 + 60 * n, 240 + 60 * n, f"move {'abcdefghij'[n]}", 40) for n in range(count)]


@pytest.mark.parametrize(("rule", "kind"), RULES.items())
def test_a_cue_anywhere_in_the_class_is_enough(rule: str, kind: CueKind) -> None:
    assert len(found(heard(SQUATS), rule)) == 1
    # by name, with another number; by the interval alone
    assert found(heard(SQUATS, cues=[cue(kind, 470, "so", "Squats", 1)]), rule) == []
    assert found(heard(SQUATS, cues=[cue(kind, 190, "so", None, 0)]), rule) == []
    # somebody else's cue, or one of the opening, is none
    assert len(found(heard(SQUATS, cues=[cue(kind, 20, "so"), cue(kind, 30, "so", "rows")]), rule)) == 1


def test_wording_of_what_was_not_heard() -> None:
    (easier,) = found(heard(SQUATS), "no_easier_option")
    (form,) = found(heard(SQUATS[:1]), "no_form_cue")
    (breathing,) = found(heard(SQUATS), "no_breathing_cue")
    assert easier.message == "Squats (2 times, from 3:20): I heard no easier option."
    assert form.message == "Squats (3:20): I heard no cue on form."
    assert breathing.message == "Squats (2 times, from 3:20): I heard no word on breathing."
    assert (easier.weight, easier.evidence, easier.interval) == ("should fix", (), 0)
    assert breathing.advice == (
        'Say it once the move is going. For instance: "Keep breathing, out on the effort."'
    )


def test_the_lexicon_gives_the_sentence() -> None:
    def suggest(move: str, kind: CueKind) -> str | None:
        return f"Sit to a chair ({kind})." if move == "squats" else None

    (finding,) = found(heard(SQUATS), "no_easier_option", suggest)
    assert finding.advice == 'Give one in the first round. For instance: "Sit to a chair (regression)."'


def test_an_unclear_cue_makes_it_a_question() -> None:
    perhaps = cue("breathing", 210, "Let it go.", "squats", 0, probability=0.3)
    (finding,) = found(heard(SQUATS, cues=[perhaps]), "no_breathing_cue")
    assert finding.weight == "note"
    assert finding.message == (
        'Squats (2 times, from 3:20): was "Let it go." at 3:30 a word on breathing? I heard nothing clearer.'
    )
    assert finding.evidence == (perhaps.quote,)


def test_an_unsure_move_makes_it_a_question() -> None:
    (finding,) = found(heard([segment(452, 492, "squats", 40, probability=0.5)]), "no_easier_option")
    assert finding.weight == "note"
    assert finding.message == "Squats (7:32): was there an easier option? I heard none; check 7:32."


def test_few_moves_are_findings_of_their_own_and_many_are_one() -> None:
    assert [f.exercise for f in found(heard(moves(3)), "no_form_cue")] == ["move a", "move b", "move c"]
    (finding,) = found(heard(moves(10), cues=[cue("form", 210, "so", "move a", 0)]), "no_form_cue")
    assert finding.message == (
        "I heard no cue on form for 9 of the 10 moves of the main part: move b (4:20), move c (5:20), move d "
        "(6:20), move e (7:20), move f (8:20), move g (9:20), move h (10:20), move i (11:20) and 1 more."
    )
    assert (finding.exercise, finding.size, finding.weight) == (None, 9.0, "should fix")


def test_warm_up_and_cool_down_are_one_note() -> None:
    ends = [
        segment(60, 90, "march", 30, phase="warm-up"),
        segment(800, 830, "quad stretch", 30, phase="cool-down"),
    ]
    given = cue("regression", 210, "so", "squats", 1)
    (finding,) = found(heard([ends[0], *SQUATS, ends[1]], cues=[given]), "no_easier_option")
    assert finding.weight == "note"
    assert finding.message == (
        "I heard no easier option for 2 moves of warm-up and cool-down: march (1:00) and quad stretch "
        "(13:20)."
    )
    (one,) = found(heard(ends[:1]), "no_easier_option")
    assert (one.message, one.weight) == ("March (1:00): I heard no easier option.", "note")


def test_intervals_of_the_opening_and_without_a_name_are_asked_for_nothing() -> None:
    outline = heard([segment(5, 35, "wave", 30, phase="opening"), segment(100, 140, None, 40)])
    assert all(found(outline, rule) == [] for rule in RULES)


def test_scripted_class_lacks_what_its_author_left_out() -> None:
    # home_full_body_forty_twenty.class: "no breathing cue for the lateral lunges at all"
    it = from_script(script("home_full_body_forty_twenty"))
    breathing, easier = found(it, "no_breathing_cue"), found(it, "no_easier_option")
    assert [f.exercise for f in breathing if f.weight == "should fix"] == ["lateral lunges"]
    assert [f.exercise for f in easier if f.weight == "should fix"] == []


def test_an_interval_without_a_name() -> None:
    (finding,) = found(heard([segment(452, 492, None, 40)]), "move_not_named")
    assert finding.message == "I heard no name for the interval (7:32)."
    assert finding.weight == "should fix"
    assert found(heard(SQUATS), "move_not_named") == []


def test_a_name_first_heard_after_the_start() -> None:
    late = say("right go and this is a goblet squat", 200)
    early = say("next is the goblet-squats ready go", 190)
    it = [segment(200.5, 240, "goblet squats", 40)]
    (finding,) = found(heard(it, words=late), "move_not_named")
    assert finding.message == "I first heard the name after the start of Goblet squats (3:20)."
    assert finding.weight == "note"
    assert found(heard(it, words=early), "move_not_named") == []


@pytest.mark.parametrize(
    ("rule", "spoken", "message", "at_ms"),
    [
        ("start_not_spoken", (False, True), "I heard no word that starts Squats (3:20).", 200_000),
        ("stop_not_spoken", (True, False), "I heard no word that ends Squats (3:20).", 240_000),
    ],
)
def test_edges_without_a_word(rule: str, spoken: tuple[bool, bool], message: str, at_ms: int) -> None:
    (finding,) = found(heard([segment(200, 240, "squats", 40, spoken=spoken)]), rule)
    assert (finding.message, finding.at_ms, finding.weight) == (message, at_ms, "note")
    assert found(heard(SQUATS), rule) == []


def test_many_silent_starts_are_one_finding() -> None:
    silent: Sequence[Segment] = [
        segment(100 * n, 100 * n + 40, "squats", 40, spoken=(False, True)) for n in range(1, 6)
    ]
    (finding,) = found(heard(silent), "start_not_spoken")
    assert finding.message.startswith("I heard no word that starts 5 intervals: Squats (1:40), Squats (3:20)")
    assert len(finding.evidence) == 5


@pytest.mark.parametrize("name", ["lying rest", "stretch out", "Savasana"])
def test_of_lying_still_nothing_is_asked(name: str) -> None:
    still = heard([*SQUATS, segment(600, 660, name, 60, phase="cool-down")])
    for rule in RULES:
        assert [f.exercise for f in found(still, rule)] == ["squats"]
    # a stretch with a name is a move
    stretch = heard([*SQUATS, segment(600, 660, "chest stretch", 60, phase="cool-down")])
    assert [f.exercise for f in found(stretch, "no_form_cue")] == ["squats", "chest stretch"]
