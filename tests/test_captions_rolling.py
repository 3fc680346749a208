"""Rolling captions: every shape is made here from the same words, and must read back as those words, once."""

from collections.abc import Callable, Sequence

import pytest
from captions_help import reading, spans, texts
from hypothesis import given, settings
from hypothesis import strategies as st

from analyzer.captions import Captions

Line = Sequence[str]
LINES: list[Line] = [
    ["find", "your", "mat", "and", "sit"],
    ["down", "feet", "flat"],
    ["breathe"],
    ["breathe"],
    ["and", "breathe", "out"],
    ["go", "go", "go"],
    ["go", "go", "go"],
    ["five", "four", "three"],
    ["two", "one", "rest"],
]
STEP_MS = 400


def stamp(ms: int) -> str:
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def cue(start: int, end: int, *lines: str) -> str:
    return "\n".join([f"{stamp(start)} --> {stamp(end)}", *lines, "", ""])


def starts(lines: Sequence[Line]) -> list[list[int]]:
    """When each word is said: one after the other, with a short pause after each line."""
    out, at = [], 1_000
    for line in lines:
        out.append([at + i * STEP_MS for i in range(len(line))])
        at += (len(line) + 1) * STEP_MS
    return out


def rolled(lines: Sequence[Line], window: int, *, timed: bool, flash: bool) -> str:
    """Lines that move up in a window, with or without a time before each word and the short step between."""
    text = "WEBVTT\n\n"
    shown: list[str] = []
    times = starts(lines)
    for i, line in enumerate(lines):
        end = times[i + 1][0] if i + 1 < len(lines) else times[i][-1] + 1_000
        words = [
            f"<{stamp(t)}><c> {w}</c>" if timed else f" {w}"
            for w, t in zip(line[1:], times[i][1:], strict=True)
        ]
        kept = shown[-(window - 1) :]
        text += cue(times[i][0], end - 10 * flash, *(kept or [" "]), line[0] + "".join(words))
        shown.append(" ".join(line))
        if flash:
            text += cue(end - 10, end, *shown[-(window - 1) :])
    return text


def grown(lines: Sequence[Line], window: int) -> str:
    """A line that grows by a word at a time under the finished ones."""
    text = "WEBVTT\n\n"
    times = starts(lines)
    for i, line in enumerate(lines):
        done = [" ".join(before) for before in lines[max(0, i - window + 1) : i]]
        for j in range(len(line)):
            later = [*times[i][j + 1 :], *(times[i + 1] if i + 1 < len(lines) else []), times[i][j] + 1_000]
            text += cue(times[i][j], later[0], *done, " ".join(line[: j + 1]))
    return text


def lit(lines: Sequence[Line]) -> str:
    """A line shown once for each word, with that word underlined."""
    text = "WEBVTT\n\n"
    for line, times in zip(lines, starts(lines), strict=True):
        for i, at in enumerate(times):
            words = [f"<u>{w}</u>" if i == j else w for j, w in enumerate(line)]
            text += cue(at, at + STEP_MS, " ".join(words))
    return text


SHAPES: dict[str, Callable[[Sequence[Line]], str]] = {
    "two lines, word times, steps": lambda lines: rolled(lines, 2, timed=True, flash=True),
    "two lines, word times": lambda lines: rolled(lines, 2, timed=True, flash=False),
    "two lines, steps": lambda lines: rolled(lines, 2, timed=False, flash=True),
    "two lines": lambda lines: rolled(lines, 2, timed=False, flash=False),
    "three lines": lambda lines: rolled(lines, 3, timed=False, flash=False),
    "three lines, word times": lambda lines: rolled(lines, 3, timed=True, flash=False),
    "growing line": lambda lines: grown(lines, 1),
    "growing line under another": lambda lines: grown(lines, 2),
}


def words_of(captions: Captions) -> list[str]:
    return [word for text in texts(captions) for word in text.split()]


@pytest.mark.parametrize("shape", SHAPES)
def test_each_shape_is_read_once(shape: str) -> None:
    captions = reading(SHAPES[shape](LINES))
    assert words_of(captions) == [word for line in LINES for word in line]
    assert captions.format == "rolling WebVTT"
    assert captions.problems == ()


@pytest.mark.parametrize("shape", [name for name in SHAPES if "word times" in name or "growing" in name])
def test_word_times_are_those_of_the_words(shape: str) -> None:
    captions = reading(SHAPES[shape](LINES))
    assert captions.timing == "word"
    said = [
        (w, t)
        for line, times in zip(LINES, starts(LINES), strict=True)
        for w, t in zip(line, times, strict=True)
    ]
    assert [(p.text, p.start_ms) for c in captions.captions for p in c.parts] == said
    assert all(" ".join(p.text for p in c.parts) == c.text for c in captions.captions)


def test_words_that_light_up_give_their_times() -> None:
    lines = [line for line in LINES if len(line) > 2]
    captions = reading(lit(lines))
    assert texts(captions) == [" ".join(line) for line in lines]
    assert [p.start_ms for c in captions.captions for p in c.parts] == [
        t for times in starts(lines) for t in times
    ]
    assert spans(captions) == [(times[0], times[-1] + STEP_MS) for times in starts(lines)]


def test_spans_end_with_the_display_of_the_line() -> None:
    captions = reading(rolled(LINES, 2, timed=False, flash=False))
    first = [times[0] for times in starts(LINES)]
    assert [start for start, _ in spans(captions)] == first
    assert [end for _, end in spans(captions)][:-1] == first[1:]


def test_a_repeated_line_in_plain_captions_is_speech() -> None:
    lines = ["and squat", "and squat", "and squat", "chest up", "chest up", "and rest", "breathe", "breathe"]
    text = "WEBVTT\n\n" + "".join(cue(1_000 * i, 1_000 * i + 900, line) for i, line in enumerate(lines))
    captions = reading(text)
    assert texts(captions) == lines
    assert captions.format == "WebVTT"


def test_a_growing_caption_may_break_its_lines_anew() -> None:
    captions = reading(
        "WEBVTT\n\n"
        + cue(1_000, 1_400, "keep the")
        + cue(1_400, 1_800, "keep the chest")
        + cue(1_800, 2_200, "keep the", "chest lifted")
        + cue(2_200, 2_600, "keep the", "chest lifted up")
        + cue(2_600, 3_000, "keep", "the chest lifted", "up high")
    )
    assert texts(captions) == ["keep the chest lifted up high"]
    assert [p.start_ms for p in captions.captions[0].parts] == [1_000, 1_400, 1_800, 2_200, 2_600]


def test_words_said_again_after_a_pause_are_speech() -> None:
    lines = [["up", "and", "over"], ["and", "hold"], ["and", "hold"], ["down"]]
    text = (
        rolled(lines[:2], 2, timed=False, flash=True)
        + cue(60_000, 61_000, "and hold")
        + cue(61_000, 62_000, "and hold", "down")
    )
    assert words_of(reading(text)) == [word for line in lines for word in line]


def test_word_times_without_rolling() -> None:
    captions = reading("""
        WEBVTT

        00:01.000 --> 00:03.000
        left <00:01.500>leg <00:02.250><c.loud>back</c>

        00:04.000 --> 00:06.000
        <00:04.500>right <00:05.000>leg
        """)
    assert (captions.format, captions.timing) == ("WebVTT", "word")
    assert [[(p.start_ms, p.text) for p in c.parts] for c in captions.captions] == [
        [(1_000, "left"), (1_500, "leg"), (2_250, "back")],
        [(4_500, "right"), (5_000, "leg")],
    ]


def test_a_time_for_every_other_word_is_not_word_timing() -> None:
    captions = reading("WEBVTT\n\n00:01.000 --> 00:03.000\nleft leg <00:02.000>back now\n")
    assert (captions.timing, [p.text for p in captions.captions[0].parts]) == (
        "phrase",
        ["left leg", "back now"],
    )


def test_a_time_inside_a_word_leaves_it_whole() -> None:
    captions = reading("WEBVTT\n\n00:01.000 --> 00:03.000\nbur<00:01.500>pees <00:02.000>now\n")
    assert [(p.start_ms, p.text) for p in captions.captions[0].parts] == [(1_000, "burpees"), (2_000, "now")]


def test_inner_times_that_break_the_rules_are_told_and_their_words_kept() -> None:
    # W3C WebVTT: after the cue's start, before its end, increasing; a parser ignores others and keeps the cue
    captions = reading(
        "WEBVTT\n\n00:01.000 --> 00:03.000\none <00:02.000>two <00:01.500>three <00:09.000>four <00:0x>five\n"
    )
    assert [(p.start_ms, p.text) for p in captions.captions[0].parts] == [
        (1_000, "one"),
        (2_000, "two three four <00:0x>five"),
    ]
    assert [p.line for p in captions.problems] == [4, 4]


@settings(deadline=None)
@given(
    st.lists(
        st.lists(st.sampled_from(["go", "and", "rest", "breathe", "five", "four"]), min_size=1, max_size=5),
        min_size=5,
        max_size=12,
    ),
    st.sampled_from([name for name in SHAPES if name.startswith("two lines, word times")]),
)
def test_rolling_with_word_times_is_lossless(lines: list[list[str]], shape: str) -> None:
    captions = reading(SHAPES[shape](lines))
    assert words_of(captions) == [word for line in lines for word in line]
