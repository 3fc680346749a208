"""Timed transcripts. No standard exists; the shapes are what people and tools write (common practice)."""

import pytest
from captions_help import reading, spans, texts

WANT = [(5_000, 27_000), (27_000, 3_605_000), (3_605_000, 3_605_000)]
WORDS = ["Welcome in, find a mat.", "First move: squats.", "And rest."]


@pytest.mark.parametrize(
    "text",
    [
        "[0:05] Welcome in, find a mat.\n[0:27] First move: squats.\n[1:00:05] And rest.\n",
        "[0:05] Welcome in, find a mat.\n\n[0:27] First move: squats.\n\n[1:00:05] And rest.\n",
        "[00:00:05] Welcome in, find a mat.\n[00:00:27] First move: squats.\n[01:00:05] And rest.",
        "0:05 Welcome in, find a mat.\n0:27 First move: squats.\n1:00:05 And rest.\n",
        "0:05 - Welcome in, find a mat.\n0:27 - First move: squats.\n1:00:05 - And rest.\n",
        "(0:05) Welcome in, find a mat.\n(0:27) First move: squats.\n(60:05) And rest.\n",
        "0:05\nWelcome in, find a mat.\n0:27\nFirst move: squats.\n1:00:05\nAnd rest.\n",
        "[0:05]\nWelcome in,\nfind a mat.\n\n[0:27]\n\nFirst move: squats.\n\n[1:00:05]\nAnd rest.\n",
        "[0:05.000]Welcome in, find a mat.\n[0:27.000]First move: squats.\n[1:00:05.000]And rest.\n",
        "\ufeff0:05\tWelcome in, find a mat.\r\n0:27\tFirst move: squats.\r\n1:00:05\tAnd rest.\r\n",
    ],
)
def test_shapes(text: str) -> None:
    captions = reading(text)
    assert (texts(captions), spans(captions)) == (WORDS, WANT)
    assert (captions.format, captions.problems) == ("timed transcript", ())
    assert captions.length_ms == 3_605_000


def test_milliseconds_count() -> None:
    assert spans(reading("[0:05.250] one two\n[0:07,5] three four\n")) == [(5_250, 7_500), (7_500, 7_500)]


def test_an_end_that_the_file_gives_is_used() -> None:
    captions = reading("[00:00.000 --> 00:04.500] Welcome in.\n[00:06.000 --> 00:09.000] Take a mat.\n")
    assert spans(captions) == [(0, 4_500), (6_000, 9_000)]
    captions = reading("(0:00 - 0:04) Welcome in.\n(0:06 – 0:09) Take a mat.\n")
    assert spans(captions) == [(0, 4_000), (6_000, 9_000)]


def test_a_last_stamp_without_text_ends_the_text_before_it() -> None:
    assert spans(reading("[0:05] hold the plank\n[0:45]\n")) == [(5_000, 45_000)]


def test_a_speaker_before_the_stamp() -> None:
    captions = reading("Coach 0:05\nWelcome in.\n\nCoach 0:27\nFirst move.\n\nSpeaker 2 0:40\nWhich one?\n")
    assert texts(captions) == ["Welcome in.", "First move.", "Which one?"]
    assert [c.speaker for c in captions.captions] == ["Coach", "Coach", "Speaker 2"]
    captions = reading("Will Orme [0:05]\nWelcome in.\n\nAna (visitor) 0:20\nhello\n")
    assert [(c.speaker, c.text) for c in captions.captions] == [
        ("Will Orme", "Welcome in. Ana (visitor) 0:20 hello")
    ]


def test_two_lines_with_one_stamp_share_its_window() -> None:
    captions = reading("[0:05] Coach: Ready?\n[0:05] Everyone: Yes!\n[0:09] Coach: Go!\n")
    assert texts(captions) == ["Ready? Yes!", "Go!"]
    assert spans(captions) == [(5_000, 9_000), (9_000, 9_000)]


def test_a_time_that_is_said_is_no_stamp() -> None:
    captions = reading("[0:05] we go for\n1:30 and then we rest\n[1:40] rest\n")
    assert texts(captions) == ["we go for 1:30 and then we rest", "rest"]
    captions = reading("0:05 we go for\n0:20 a hold of\n1:30 and rest\n0:45 next\n1:20 and next\n1:40 done\n")
    assert texts(captions) == ["we go for", "a hold of 1:30 and rest", "next", "and next", "done"]
    assert [problem.line for problem in captions.problems] == [3]


def test_a_mistyped_stamp_costs_only_its_place() -> None:
    captions = reading("[0:05] one\n[0:30] two\n[0:10] three\n[0:50] four\n[1:10] five\n[1:30] six\n")
    assert texts(captions) in (
        ["one", "two three", "four", "five", "six"],
        ["one two", "three", "four", "five", "six"],
    )
    assert len(captions.problems) == 1


def test_a_mistyped_first_stamp_is_told_once() -> None:
    captions = reading("[99:00] zero\n[0:05] one\n[0:30] two\n[0:50] three\n")
    assert texts(captions) == ["one", "two", "three"]
    assert [(p.line, p.done) for p in captions.problems] == [(1, "left out")]


def test_parts_in_the_wrong_order_are_sorted() -> None:
    captions = reading("[1:00] four\n[1:20] five\n[1:40] six\n[0:00] one\n[0:20] two\n[0:40] three\n")
    assert texts(captions) == ["one", "two", "three", "four", "five", "six"]
    assert captions.problems


def test_a_title_above_the_stamps_is_told() -> None:
    captions = reading("Tuesday class\n\n0:05 hello there\n0:09 all of you\n0:14 now\n")
    assert texts(captions)[0] == "hello there"
    assert [(p.line, p.what) for p in captions.problems] == [
        (1, 'text before the first stamp: "Tuesday class"')
    ]


@pytest.mark.parametrize(("step", "timing"), [(3, "phrase"), (22, "block")])
def test_timing_follows_the_distance_of_the_stamps(step: int, timing: str) -> None:
    text = "".join(f"[{i * step // 60}:{i * step % 60:02d}] keep it going\n" for i in range(20))
    assert reading(text).timing == timing
