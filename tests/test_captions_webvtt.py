"""WebVTT. Rules: W3C WebVTT (www.w3.org/TR/webvtt1). "wpt": the files of web-platform-tests,
webvtt/parsing/file-parsing, on which browsers agree; their values are retyped here."""

from itertools import pairwise

import pytest
import webvtt
from captions_help import reading, spans, texts

from analyzer.captions.cues import Cue
from analyzer.captions.recovery import scan
from analyzer.captions.webvtt_file import _DIALECT, WEBVTT
from analyzer.errors import CaptionError


def one(timing: str) -> str:
    return f"WEBVTT\n\n{timing}\nhold it there\n"


@pytest.mark.parametrize(
    ("timing", "start_ms", "end_ms"),
    [
        # W3C: hours are optional; mm:ss.ttt
        ("00:40.000 --> 01:20.500", 40_000, 80_500),
        ("00:00:40.000 --> 00:01:20.500", 40_000, 80_500),
        ("100:00:00.000 --> 100:00:00.001", 360_000_000, 360_000_001),
        # wpt timings-omitted-hours: on one side only
        ("00:00.000 --> 00:00:01.000", 0, 1_000),
        ("00:00:00.000 --> 00:01.000", 0, 1_000),
        # wpt timings-60: a first field of 60 with three fields is hours
        ("60:00:00.000 --> 60:00:01.000", 216_000_000, 216_001_000),
        # wpt timings-too-short, timings-too-long: these two are accepted
        ("0:00:00.000 --> 00:00:01.000", 0, 1_000),
        ("000:00:00.000 --> 000:00:01.000", 0, 1_000),
        # wpt whitespace-chars: space, tab and form feed around the arrow, or nothing
        ("   00:00:00.000    -->  00:00:01.000 ", 0, 1_000),
        ("\t\t00:00:00.000\t-->\t\t00:00:01.000\t", 0, 1_000),
        ("\f00:00:00.000\f-->\f00:00:01.000\f", 0, 1_000),
        ("00:00:00.000-->00:00:01.000", 0, 1_000),
        # W3C: settings follow the times
        ("00:00.000 --> 00:01.000 line:0 align:start position:10%,line-left", 0, 1_000),
    ],
)
def test_times_that_browsers_take(timing: str, start_ms: int, end_ms: int) -> None:
    captions = reading(one(timing))
    assert spans(captions) == [(start_ms, end_ms)]
    assert texts(captions) == ["hold it there"]
    far = [p for p in captions.problems if "24 hours" not in p.what]
    assert far == []


@pytest.mark.parametrize(
    ("timing", "start_ms"),
    [
        # W3C: a comma makes it no time
        ("00:40,000 --> 00:41,000", 40_000),
        # wpt timings-too-short: rejected by browsers
        ("0:00.000 --> 00:01.000", 0),
        ("00:0:00.000 --> 00:00:01.000", 0),
        ("00:00:0.000 --> 00:00:01.000", 0),
        ("00:00:00.00 --> 00:00:01.000", 0),
        ("00:00:00.5 --> 00:00:01.000", 500),
        ("00:00:00 --> 00:00:01.000", 0),
        ("00:00 --> 00:00:01.000", 0),
        ("0 --> 00:00:01.000", 0),
        ("00:00.000 --> 0:01.000", 0),
        # wpt timings-too-long: rejected
        ("00:00:00.0000 --> 00:00:01.000", 0),
        ("00:00.0000 --> 00:01.000", 0),
        ("000:00.000 --> 00:01.000", 0),
        ("00:000.000 --> 00:01.000", 0),
        ("00:000:00.000 --> 00:00:01.000", 0),
        # wpt timings-60: minutes and seconds go up to 59
        ("00:60.000 --> 01:01.000", 60_000),
        ("75:30.000 --> 75:31.000", 4_530_000),
        # wpt whitespace-chars: a vertical tab
        ("\v00:00:00.000\v-->\v00:00:01.000\v", 0),
        # no source: slips of people and tools
        ("00:00:01.000 -> 00:00:02.000", 1_000),
        ("00:00:01.000 —> 00:00:02.000", 1_000),
        ("-00:00:01.000 --> 00:00:02.000", 0),
        ("00:00:01.000 --> 00:00:02.000 squeeze", 1_000),
    ],
)
def test_times_that_browsers_refuse_are_recovered_and_told(timing: str, start_ms: int) -> None:
    captions = reading(f"WEBVTT\n\n00:00:00.000 --> 00:00:00.500\nready\n\n{timing}\nhold it there\n")
    assert captions.captions[1].span.start_ms == start_ms
    assert captions.captions[1].text.endswith("hold it there")
    assert [problem.line for problem in captions.problems] == [6]
    assert captions.problems[0].what
    assert captions.problems[0].done


@pytest.mark.parametrize(
    "timing",
    # wpt timings-too-short, timings-too-long, arrows: no time can be read on one side or both
    [
        "00::00:00.000 --> 00:00:04.000",
        "00:00:00..000 --> 00:00:04.000",
        " --> 00:00:04.000",
        "00:00:xx.000 --> 00:00:yy.000",
        "00:00:03.000 -a -->",
        "00:00:03.\ufffd00 --> 00:00:04.000",
    ],
)
def test_words_under_an_unreadable_time_are_placed_between_their_neighbours(timing: str) -> None:
    captions = reading(f"""
        WEBVTT

        00:01.000 --> 00:02.000
        first

        {timing}
        second

        00:05.000 --> 00:06.000
        third
        """)
    assert texts(captions) == ["first", "second", "third"]
    middle = captions.captions[1].span
    assert 2_000 <= middle.start_ms <= middle.end_ms <= 5_000
    assert [(p.line, "placed" in p.done) for p in captions.problems if "cannot read" in p.what] == [(6, True)]


def test_an_unreadable_start_never_comes_after_its_end() -> None:
    captions = reading("""
        WEBVTT

        00:01.000 --> 00:04.000
        first

        x --> 00:02.000
        second
        """)
    assert spans(captions) == [(1_000, 4_000), (2_000, 2_000)]


def test_stray_arrows() -> None:
    # wpt arrows: six cues, whatever stands between them
    captions = reading("""
        WEBVTT

        -->
        00:00:00.000 --> 00:00:01.000
        text1
        foo-->
        00:00:01.000 --> 00:00:02.000
        text2
        -->foo
        00:00:02.000 --> 00:00:03.000
        text3
        --->
        00:00:03.000 --> 00:00:04.000
        text4
        -->-->
        00:00:04.000 --> 00:00:05.000
        text5
        00:00:05.000 --> 00:00:06.000
        text6
        """)
    assert texts(captions) == ["text1 foo", "text2 foo", "text3", "text4", "text5", "text6"]
    assert [problem.line for problem in captions.problems] == [3]  # many alike are told once
    assert captions.problems[0].what.endswith("(so in 4 more lines, down to line 15)")


def test_ids_are_not_speech() -> None:
    # wpt ids: any line right above a timing is an id
    captions = reading(
        "WEBVTT\n\n leading space\n00:00.000 --> 00:01.000\ntext1\n\n-- >\n00:01.000 --> 00:02.000\ntext2"
    )
    assert texts(captions) == ["text1", "text2"]
    assert captions.problems == ()


def test_a_speech_like_id_where_no_other_cue_has_one_is_told() -> None:
    captions = reading("""
        WEBVTT

        00:01.000 --> 00:02.000
        one

        keep your chest lifted
        00:02.000 --> 00:03.000
        two

        00:03.000 --> 00:04.000
        three
        """)
    assert [(p.line, "keep your chest lifted" in p.what) for p in captions.problems] == [(6, True)]


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r", "\r\r\n"])
def test_line_ends(ends: str) -> None:
    # W3C, parsing: CRLF and CR become LF
    captions = reading(ends.join(["WEBVTT", "", "a", "00:00.000 --> 00:01.000", "text1", "text2", ""]))
    assert (texts(captions), captions.captions[0].line) == (["text1 text2"], 4)


def test_line_ends_mixed() -> None:
    # wpt newlines: CR, LF and CRLF in one file
    text = (
        "WEBVTT\n\ncr\r00:00:00.000 --> 00:00:01.000\rtext1\r\rlf\n00:00:00.000 --> 00:00:01.000\ntext2\n\n"
    )
    text += "crlf\r\n00:00:00.000 --> 00:00:01.000\r\ntext3\r\n"
    assert texts(reading(text)) == ["text1", "text2", "text3"]


def test_reversed_and_empty_spans_are_kept_and_told() -> None:
    # wpt timings-negative: the parser keeps them all
    captions = reading("""
        WEBVTT

        00:00:00.000 --> 00:00:00.000
        text1

        00:00:01.000 --> 00:00:00.999
        text2

        01:00:00.000 --> 00:59:59.999
        text3
        """)
    assert texts(captions) == ["text1", "text2", "text3"]
    assert spans(captions) == [(0, 0), (1_000, 1_000), (3_600_000, 3_600_000)]
    assert [problem.line for problem in captions.problems] == [3, 6, 9]


def test_a_null_becomes_a_replacement_character() -> None:
    # W3C, parsing
    assert texts(reading("WEBVTT\n\n00:00.000 --> 00:01.000\nke\0ep")) == ["ke\ufffdep"]


@pytest.mark.parametrize(
    "header",
    # W3C: space, tab, line end or end of file after the first six characters; a timing may follow at once
    [
        "WEBVTT\n\n",
        "WEBVTT \n\n",
        "WEBVTT\tclass\n\n",
        "\ufeffWEBVTT\n\n",
        "WEBVTT\n",
        "WEBVTT\nKind: captions\n\n",
    ],
)
def test_good_headers(header: str) -> None:
    captions = reading(f"{header}00:00.000 --> 00:01.000\ngo")
    assert (texts(captions), captions.format, captions.problems) == (["go"], "WebVTT", ())


@pytest.mark.parametrize("header", ["", "WEBVTTclass\n\n", "webvtt\n\n", "\nWEBVTT\n\n", " WEBVTT\n\n"])
def test_bad_headers_are_told(header: str) -> None:
    captions = reading(f"{header}00:00.000 --> 00:01.000\ngo")
    assert (texts(captions), captions.format) == (["go"], "WebVTT")
    assert ["browsers" in problem.what for problem in captions.problems] == [True]


def test_comments_styles_and_regions_are_skipped_without_a_word() -> None:
    captions = reading("""
        WEBVTT

        STYLE
        ::cue { color: lime }

        REGION
        id:a width:40%

        NOTE filmed in one take
        and not cut

        00:00.000 --> 00:01.000
        squat

        NOTE

        1
        00:01.000 --> 00:02.000
        stand
        """)
    assert (texts(captions), captions.problems) == (["squat", "stand"], ())


def test_a_word_that_only_starts_like_a_comment_is_speech() -> None:
    captions = reading("WEBVTT\n\n00:00.000 --> 00:01.000\nnext\n\nNOTES are below\n")
    assert texts(captions) == ["next NOTES are below"]
    assert [problem.line for problem in captions.problems] == [6]


def test_a_header_alone_holds_no_caption() -> None:
    with pytest.raises(CaptionError, match=r"^class\.vtt: there is no caption in it; use a caption file"):
        reading("WEBVTT\n\nNOTE nothing yet\n")


def test_text_after_an_empty_line_is_kept() -> None:
    captions = reading("""
        WEBVTT

        00:00.000 --> 00:04.000
        left leg back

        and the right

        00:04.000 --> 00:06.000
        hold
        """)
    assert texts(captions) == ["left leg back and the right", "hold"]
    assert [(p.line, p.done) for p in captions.problems] == [(6, "added to the caption at line 3")]


def test_a_forgotten_empty_line_keeps_numbers_out_of_the_text() -> None:
    captions = reading("""
        WEBVTT

        1
        00:00.000 --> 00:01.000
        three
        2
        00:01.000 --> 00:02.000
        2
        3
        00:02.000 --> 00:03.000
        one
        """)
    assert texts(captions) == ["three", "2", "one"]


def test_a_countdown_in_digits_is_speech() -> None:
    captions = reading(
        "WEBVTT\n\n00:00.000 --> 00:01.000\n3\n\n00:01.000 --> 00:02.000\n2\n\n00:02.000 --> 00:03.000\n1\n"
    )
    assert texts(captions) == ["3", "2", "1"]


GOOD = """
WEBVTT Class

intro
00:00:00.500 --> 00:00:02.000 align:start
<v Coach>Welcome &amp; hello

NOTE a comment

00:02.000 --> 00:04.000
find your mat
and sit

2
00:04.000 --> 00:06.250
breathe
""".lstrip("\n")


def test_the_library_and_the_tolerant_reader_agree_on_a_good_file() -> None:
    # webvtt-py is the reference here: the reader for broken files must not see a good one differently
    by_library = [
        (c.start_time.in_milliseconds(), c.end_time.in_milliseconds(), tuple(c.lines))
        for c in webvtt.from_string(GOOD).captions
    ]
    cues, problems = WEBVTT.parse(GOOD)
    scanned, found = scan(GOOD.split("\n"), 2, _DIALECT)
    assert cues == scanned
    assert problems == found == []
    assert [(c.start_ms, c.end_ms, c.lines) for c in cues] == by_library
    assert [c.line for c in cues] == [4, 9, 14]


@pytest.mark.parametrize(
    "broken",
    # library_notes: what webvtt-py 0.6 loses without a word
    [
        "00:00:03,000 --> 00:00:04,000\nlost",
        "00:00:63.000 --> 00:00:64.000\nlost",
        "-00:00:03.000 --> 00:00:04.000\nlost",
        "00:00:03.\x0000 --> 00:00:04.000\nlost",
        "00:00:03.000 --> 00:00:04.000\nthere\n\nlost\nagain",
    ],
)
def test_what_the_library_loses_is_found(broken: str) -> None:
    text = f"WEBVTT\n\n00:01.000 --> 00:02.000\nfound\n\n{broken}\n\n00:05.000 --> 00:06.000\nend\n"
    assert not any("lost" in c.text for c in webvtt.from_string(text).captions)
    captions = reading(text)
    assert sum("lost" in line for line in texts(captions)) == 1
    assert captions.problems


def test_starts_are_in_order_whatever_the_file_does() -> None:
    captions = reading("""
        WEBVTT

        00:04.000 --> 00:05.000
        later

        00:01.000 --> 00:02.000
        sooner

        00:06.000 --> 00:07.000
        last
        """)
    assert texts(captions) == ["sooner", "later", "last"]
    assert all(a.span.start_ms <= b.span.start_ms for a, b in pairwise(captions.captions))
    assert [problem.line for problem in captions.problems] == [6]


def test_cues_know_the_lines_of_their_text() -> None:
    cues, _ = WEBVTT.parse("WEBVTT\n\n00:01,000 --> 00:02.000 go\nleft\n\nright\n")
    assert cues == [Cue(3, 1_000, 2_000, ("go", "left", "right"), (3, 4, 6))]
