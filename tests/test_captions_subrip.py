"""SubRip. There is no official text: what is common practice is checked, and the faults of check_values."""

import io

import pytest
import webvtt
from captions_help import reading, spans, texts

from analyzer.captions.recovery import scan
from analyzer.captions.subrip import _DIALECT, SUBRIP

GOOD = """
1
00:02:26,407 --> 00:02:31,356
keep the ribs down
and breathe

2
00:02:31,567 --> 00:02:37,164
rest
""".removeprefix("\n")


def test_a_good_file() -> None:
    captions = reading(GOOD)
    # common practice: hh:mm:ss,ttt; 00:02:26,407 is 146.407 s
    assert spans(captions) == [(146_407, 151_356), (151_567, 157_164)]
    assert texts(captions) == ["keep the ribs down and breathe", "rest"]
    assert (captions.format, captions.timing, captions.problems) == ("SubRip", "phrase", ())
    assert [caption.line for caption in captions.captions] == [2, 7]


def test_the_library_and_the_tolerant_reader_agree_on_a_good_file() -> None:
    by_library = [
        (c.start_time.in_milliseconds(), c.end_time.in_milliseconds(), tuple(c.lines))
        for c in webvtt.from_buffer(io.StringIO(GOOD), format="srt").captions
    ]
    cues, problems = SUBRIP.parse(GOOD)
    assert (cues, problems) == scan(GOOD.split("\n"), 0, _DIALECT)
    assert problems == []
    assert [(c.start_ms, c.end_ms, c.lines) for c in cues] == by_library


@pytest.mark.parametrize(
    ("timing", "start_ms", "end_ms"),
    [
        (
            "00:40,000 --> 00:41,500",
            40_000,
            41_500,
        ),  # library_notes: webvtt-py loses it, srt reads 40 minutes
        ("00:00:40 --> 00:00:41", 40_000, 41_000),
        ("00:00:40.250 --> 00:00:41.500", 40_250, 41_500),
        ("0:0:40,5 --> 0:0:41,5", 40_500, 41_500),
        ("00:00:40:250 --> 00:00:41:500", 40_250, 41_500),
        ("00: 00: 40, 250 --> 00: 00: 41, 500", 40_250, 41_500),
        ("00:00:75,000 --> 00:01:16,000", 75_000, 76_000),
        ("00:00:40,000 -> 00:00:41,000", 40_000, 41_000),
        ("00:00:40,000 – 00:00:41,000", 40_000, 41_000),
    ],
)
def test_badly_written_times_are_read_and_told(timing: str, start_ms: int, end_ms: int) -> None:
    captions = reading(f"1\n00:00:01,000 --> 00:00:02,000\nready\n\n2\n{timing}\nplank\n")
    assert texts(captions) == ["ready", "plank"]
    assert spans(captions)[1] == (start_ms, end_ms)
    assert [problem.line for problem in captions.problems] == [6]


def test_corners_after_the_times_are_no_words() -> None:
    captions = reading("1\n00:00:01,000 --> 00:00:02,000  X1:40 X2:600 Y1:20 Y2:50\nplank\n")
    assert (texts(captions), captions.problems) == (["plank"], ())


def test_missing_numbers_and_empty_lines() -> None:
    captions = reading("""
        00:00:01,000 --> 00:00:02,000
        one
        00:00:02,000 --> 00:00:03,000
        two

        7
        00:00:03,000 --> 00:00:04,000

        three

        8
        00:00:04,000 --> 00:00:05,000
        four

        and more
        """)
    assert texts(captions) == ["one", "two", "three", "four and more"]
    assert [(p.line, p.what) for p in captions.problems] == [
        (9, "an empty line between a time and its text"),
        (15, "text after an empty line"),
    ]


def test_a_number_parted_from_its_time_is_no_speech() -> None:
    captions = reading("1\n00:00:01,000 --> 00:00:02,000\none\n\n2\n\n00:00:02,000 --> 00:00:03,000\ntwo\n")
    assert texts(captions) == ["one", "two"]


def test_captions_glued_together_keep_their_countdown() -> None:
    captions = reading("""
        1
        00:00:01,000 --> 00:00:02,000
        3
        2
        00:00:02,000 --> 00:00:03,000
        2
        3
        00:00:03,000 --> 00:00:04,000
        1
        """)
    assert texts(captions) == ["3", "2", "1"]


def test_a_number_right_above_a_time_is_speech_if_it_does_not_go_on() -> None:
    captions = reading(
        "1\n00:00:01,000 --> 00:00:02,000\nhold for\n20\n00:00:02,000 --> 00:00:03,000\nrest\n"
    )
    assert texts(captions) == ["hold for 20", "rest"]


def test_a_file_that_breaks_off_after_a_number() -> None:
    captions = reading("1\n00:00:01,000 --> 00:00:02,000\none\n\n2\n")
    assert texts(captions) == ["one"]
    assert [(p.line, p.done) for p in captions.problems] == [(5, "left out")]


def test_text_before_the_first_caption_is_told() -> None:
    captions = reading("My class\nnumber four\n\n1\n00:00:01,000 --> 00:00:02,000\none\n")
    assert texts(captions) == ["one"]
    assert [p.what for p in captions.problems] == [
        'text before the first caption: "My class"',
        'text before the first caption: "number four"',
    ]


def test_an_arrow_in_the_text_is_no_time() -> None:
    captions = reading("""
        1
        00:00:01,000 --> 00:00:02,000
        left foot --> right foot

        2
        00:00:02,000 --> 00:00:03,000
        hop
        """)
    assert texts(captions) == ["left foot right foot", "hop"]
    assert [(p.line, p.done) for p in captions.problems] == [(3, "not taken as a time")]


def test_a_thousand_faults_alike_are_told_once() -> None:
    text = "".join(
        f"{i}\n00:{i // 60:02d}:{i % 60:02d}.000 --> 00:{i // 60:02d}:{i % 60:02d}.900\nstep {i}\n\n"
        for i in range(1, 1001)
    )
    captions = reading(text)
    assert len(captions.captions) == 1000
    assert [p.line for p in captions.problems] == [2]
    assert captions.problems[0].what.endswith("(so in 999 more lines, down to line 3998)")


def test_a_line_that_starts_with_a_clock_time_does_not_make_a_transcript() -> None:
    captions = reading(
        "".join(f"{i}\n00:00:{i:02d},000 --> 00:00:{i:02d},900\n1:30 to go\n\n" for i in range(1, 9))
    )
    assert (captions.format, captions.problems) == ("SubRip", ())
    assert texts(captions) == ["1:30 to go"] * 8
