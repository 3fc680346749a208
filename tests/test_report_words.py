"""What the page says in sentences: the judgement, what was kept, how sure it is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from oracle import cue, heard, rest, segment
from report_help import STANDARD, review, scripted

from analyzer.findings.material import Material
from analyzer.findings.records import Finding, Mend, Weight
from analyzer.outline.records import Promise, Quote
from analyzer.report.judgement import SHORT, judge_class, totals
from analyzer.report.kept import kept
from analyzer.report.phrases import AREAS
from analyzer.report.sure import how_sure
from analyzer.review import Review

FIRST = scripted("first_take")
GOOD = review(heard([segment(10, 50, announced_s=40), rest(50, 70, 20), segment(70, 110, announced_s=40)]))


def material(of: Review) -> Material:
    return Material(of.captions, of.words, of.outline, of.measures, STANDARD)


def finding(
    rule: str, weight: Weight, mend: Mend = "either", at_ms: int | None = None, message: str = "x"
) -> Finding:
    return Finding(rule, weight, at_ms, None, None, message, (), "why", "source", "advice", mend)


def with_findings(*findings: Finding) -> Review:
    return replace(GOOD, findings=findings)


# ---- judgement


def test_the_judgement_of_the_first_take() -> None:
    """The faults and times are those put into the sample: its README."""
    said = judge_class(FIRST)
    assert said.headline == (
        "Five things must be fixed: no word on when to stop and four work intervals well off their length "
        "(4:14, 7:30, 10:38 and 16:23).")
    assert said.time == (
        "Of 20 work intervals with a told length, 16 kept their time, two ran long and two stopped short.")
    assert said.mend == (
        "Of what must be fixed, three can be mended in the edit or in another take and two need another "
        "take.")


@pytest.mark.parametrize(
    ("findings", "headline", "mend"),
    [
        ((), "Nothing to fix was found.", ""),
        ((finding("no_water_break", "note"),), "Nothing to fix was found.", ""),
        ((finding("no_form_cue", "should fix", "next time"),),
         "Nothing must be fixed; one thing should be: no cue on form for some move.",
         "What should be fixed is for next time."),
        ((finding("side_missing", "must fix", "retake", 5000),),
         "One thing must be fixed: a move with one side only (0:05).",
         "What must be fixed needs another take."),
        ((finding("no_stop_caution", "must fix", message='Was "ow" at 0:05 the word on when to stop?'),),
         "One thing must be fixed: perhaps no word on when to stop.",
         "What must be fixed can be mended in the edit or in another take."),
        ((finding("side_missing", "must fix", "retake"), finding("interval_drift", "must fix", "edit")),
         "Two things must be fixed: a move with one side only and a work interval well off its length.",
         "Of what must be fixed, one can be mended in the edit and one needs another take."),
        ((finding("brand_new_rule", "must fix", "edit"), finding("brand_new_rule", "must fix", "edit")),
         "Two things must be fixed: brand new rule.",
         "What must be fixed can be mended in the edit."),
    ],
)
def test_headlines(findings: tuple[Finding, ...], headline: str, mend: str) -> None:
    said = judge_class(with_findings(*findings))
    assert (said.headline, said.mend) == (headline, mend)
    assert said.time == "All two work intervals with a told length kept their time."


def test_many_kinds_are_cut_and_get_no_places() -> None:
    rules = list(SHORT)[:7]
    said = judge_class(with_findings(*(finding(rule, "must fix", at_ms=1000) for rule in rules)))
    assert said.headline.startswith("Seven things must be fixed: ")
    assert said.headline.endswith("and 3 more.")
    assert "(0:01)" not in said.headline


@pytest.mark.parametrize(
    ("stops", "time"),
    [
        ([50], "The one work interval with a told length kept its time."),
        ([50, 149], "Of two work intervals with a told length, one kept its time and one ran long."),
        ([50, 120], "Of two work intervals with a told length, one kept its time and one stopped short."),
        ([50, 142], "Of two work intervals with a told length, one kept its time and one cannot be judged "
                    "from this file."),
        ([52], "The one told length cannot be judged from this file."),
        ([52, 142], "None of the two told lengths can be judged from this file."),
    ],
)
def test_how_time_was_kept(stops: list[float], time: str) -> None:
    of = review(heard([segment(10 + 90 * n, stop, announced_s=40, sd_ms=200)
                       for n, stop in enumerate(stops)]))
    assert judge_class(of).time == time


def test_no_told_length_and_no_class() -> None:
    assert judge_class(review(heard([segment(10, 50)]))).time == (
        "No length was told for the one work interval, so there is none to keep.")
    assert judge_class(review(heard([segment(10, 50), segment(60, 90)]))).time == (
        "No length was told for any of the two work intervals, so there is none to keep.")
    nothing = judge_class(review(heard()))
    assert nothing.headline.startswith("No announced intervals were found")
    assert (nothing.time, nothing.mend) == ("", "")


def test_a_file_that_leaves_most_lengths_open_is_not_called_good() -> None:
    it = heard([segment(10, 50, announced_s=40, sd_ms=4000), segment(60, 100, announced_s=40, sd_ms=4000)])
    assert judge_class(replace(review(it), findings=())).headline == (
        "Nothing to fix was found, but this file leaves most lengths open.")


def test_every_rule_has_a_short_name_and_an_area() -> None:
    assert set(SHORT) | {"no_intervals"} == set(STANDARD.rules)
    assert set(AREAS) == set(STANDARD.rules)


def test_totals() -> None:
    said = {t.name: (t.value, t.remark) for t in totals(FIRST)}
    assert said == {
        "Length": ("18:16", ""), "Work": ("11:51", "20 intervals"),
        "Rest": ("3:26", "ten rests; work to rest 3.4 to 1"),
        "On time": ("16 of 20", "told work intervals"), "Furthest off": ("−8.6 s", "figure four R, 16:23"),
        "Off on average": ("+0.1 s", "± 0.1 s"), "Time calls right": ("21 of 22", ""),
        "Coaching cues": ("47", ""),
    }
    open_ = {t.name: t.remark for t in totals(scripted("first_take", sd_ms=6000))}
    assert "Furthest off" not in open_
    assert open_["On time"] == "told work intervals; 20 undecided"
    assert open_["Time calls right"] == "22 undecided"


# ---- what was kept


def test_what_the_first_take_kept() -> None:
    assert [k.text for k in kept(FIRST, material(FIRST))] == [
        "16 of 20 work intervals with a told length were on time, within 2 s.",
        "9 of 10 rests with a told length were on time, within 2 s.",
        "21 of 22 time calls were right, within 3 s.",
        "Left and right got the same time in quad stretch and lying twist.",
        "9 of 10 moves got an easier option.",
        "9 of 10 moves got a cue on form.",
        "7 of 10 moves got a word on breathing.",
        "A warm-up of 117 s and a cool-down of 3 min 52 s.",
    ]


def test_the_retake_is_praised_with_its_own_words() -> None:
    """Mended since the first take: "stop if it hurts" in the opening, water twice (sample README)."""
    of = scripted("retake")
    said = {k.text: k.quotes for k in kept(of, material(of))}
    (stop,) = said["There was a word on when to stop."]
    assert "pain" in stop.said or "hurts" in stop.said
    assert any(text.startswith("Water was spoken of") for text in said)
    assert "All 10 moves got an easier option." in said


def test_nothing_is_praised_that_a_finding_contradicts() -> None:
    cues = [cue("safety", 20, "If anything hurts, stop.")]
    of = review(heard([segment(60, 100, announced_s=40)], cues=cues))
    assert any("when to stop" in k.text for k in kept(of, material(of)))
    doubted = replace(of, findings=(finding("no_stop_caution", "should fix"),))
    assert not any("when to stop" in k.text for k in kept(doubted, material(doubted)))


def test_promises_kept_and_missed() -> None:
    promise = Promise(Quote(2000, "two moves"), "class", moves=2)
    both = heard([segment(10, 50, "squats"), segment(60, 100, "lunges")], promises=[promise])
    (line,) = [k for k in kept(review(both), material(review(both))) if "promised" in k.text]
    assert line.quotes == (promise.quote,)
    one = review(heard([segment(10, 50, "squats")], promises=[promise]))
    assert not any("promised" in k.text for k in kept(one, material(one)))


def test_little_is_no_praise() -> None:
    late = review(heard([segment(10, 60, announced_s=40), segment(70, 130, announced_s=40),
                         segment(140, 180, announced_s=40, spoken=(True, False))]))
    assert [k.text for k in kept(late, material(late))] == []
    assert kept(review(heard()), material(review(heard()))) == ()


# ---- how sure


def test_how_sure_with_and_without_open_lengths() -> None:
    said = " ".join(how_sure(FIRST))
    assert "a time for each caption of a few words" in said
    assert "good to about 0.1 s either way: the true one should lie in that range 19 times in 20" in said
    assert "All 30 told lengths could be judged." in said
    two = heard([segment(10, 50, announced_s=40), segment(60, 102, announced_s=40, sd_ms=400)])
    some = review(two, timing="word")
    words = " ".join(how_sure(some))
    assert "a time for each word" in words
    assert "1 of 2 told lengths cannot be judged from this file. These are too close to the limit" in words
    assert "at worst 1 s" in words


def test_doubts_are_told_with_their_number() -> None:
    of = review(heard(
        [segment(10, 50, spoken=(False, True)), segment(60, 100, probability=0.4)],
        cues=[cue("form", 20, "hm", "squats", 0, 0.3)],
    ))
    said = " ".join(how_sure(of))
    assert "1 of the 4 starts and stops had no word of their own" in said
    assert "1 interval may not be one" in said
    assert "1 cue could be read in two ways" in said
    assert "looks the same to this program as a talk" in " ".join(how_sure(review(heard())))
