"""The review in a few lines."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from document_help import scripted, small
from oracle import heard, say, segment
from report_help import review

from analyzer.findings.find import rank
from analyzer.summary import MOST, summary


def test_the_summary_of_a_class() -> None:
    totals, *findings, more = summary(review(small()))
    # 46.1 + 40 + 40.5 + 41.5 + 42.5 + 20 s of work; 6.1 and 2.5 s over are more than 2 s with U = 0.14 s
    assert totals == (
        "class, 15:00: 6 work intervals (3:50) and 1 rest (0:13); told lengths: 3 of 5 on time, 2 long."
    )
    assert any(line.lstrip().startswith("1:40  Side plank, round 1, left side ran 6.1") for line in findings)
    shape = r" +(whole class|\d+:\d\d)  .+ \((must fix|should fix|note)\)"
    assert all(re.fullmatch(shape, line) for line in findings)
    assert re.fullmatch(r"and \d+ more on the page", more)


def test_the_three_most_important_findings_stand_with_their_times() -> None:
    it = scripted("terse_core")
    totals, *shown, more = summary(it)
    first = rank(it.findings)[:MOST]
    assert len(shown) == len(first) == 3
    for line, finding in zip(shown, first, strict=True):
        assert line.endswith(f"({finding.weight})")
        assert re.match(r" *(whole class|\d+:\d\d)  \S", line)
    assert more == f"and {len(it.findings) - 3} more on the page"
    assert totals.count(".") == 1


def test_what_is_left_is_counted_only_where_something_is_left() -> None:
    it = review(small())
    three = replace(it, findings=rank(it.findings)[:3])
    assert len(summary(three)) == 4
    assert summary(replace(it, findings=it.findings[:4]), where="")[-1] == "and 1 more"


def test_a_class_without_findings_is_told_so() -> None:
    assert summary(replace(review(small()), findings=()))[1:] == ("Nothing to fix was found.",)


def test_no_announced_intervals_is_an_answer() -> None:
    totals, finding = summary(review(heard(words=say("welcome to my kitchen"))))
    assert totals == "class, 15:00: no announced intervals found."
    assert finding.startswith("  whole class  I found no announced intervals")


def test_a_class_without_told_lengths_and_rests() -> None:
    totals = summary(review(heard([segment(60, 100)])))[0]
    assert totals == "class, 15:00: 1 work interval (0:40); no length was told."


def test_a_message_does_not_repeat_its_time() -> None:
    lines = summary(review(small()))
    assert any("1:40" in line for line in lines)
    assert all(line.count("1:40") < 2 for line in lines)


@pytest.mark.parametrize(
    ("message", "said"),
    [
        ('"Halfway" at 1:40 came 4 s late: 60% had gone.', '"Halfway" came 4 s late: 60% had gone.'),
        ("Rows (3 times, from 1:40): I heard no cue on form.", "Rows (3 times): I heard no cue on form."),
        ('3 rounds were promised ("all three", 1:40). I heard rows 2 times.',
         '3 rounds were promised ("all three"). I heard rows 2 times.'),
        ('Plank (1:40) ran long. So "ten" at 2:05 came late.', 'Plank ran long. So "ten" at 2:05 came late.'),
    ],
)
def test_however_a_message_names_its_time_it_stands_once(message: str, said: str) -> None:
    it = review(small())
    finding = replace(it.findings[0], message=message, at_ms=100_000, weight="note")
    assert summary(replace(it, findings=(finding,)))[1] == f"  1:40  {said} (note)"


def test_a_move_that_is_an_escape_sequence_does_not_reach_the_terminal() -> None:
    lines = summary(review(heard([segment(60, 100, "\x1b[2Jsquats\u202e\r\nreboot", 20)])))
    assert any("squats" in line for line in lines)
    assert all(line.isprintable() for line in lines)
