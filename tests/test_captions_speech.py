"""Markup, labels, dashes and sounds: what is left is what was said.

Tags: W3C WebVTT (cue text spans) and the tags that SubRip players take (common practice). Entities: HTML.
"""

import pytest
from captions_help import reading, texts
from hypothesis import given, settings
from hypothesis import strategies as st

from analyzer.captions import Caption, Captions


def lines(*text: str) -> Captions:
    cues = (
        f"{i}\n00:00:{i:02d},000 --> 00:00:{i:02d},900\n{line}\n\n" for i, line in enumerate(text, start=1)
    )
    return reading("".join(cues))


def one(text: str) -> Caption:
    """The caption that a text makes; a plain one comes after it, so that sounds alone are no error."""
    return lines(text, "and stand").captions[0]


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("<i>slow</i> <b>and <u>low</u></b>", "slow and low"),
        ('<font color="#ffff00">heels down</font>', "heels down"),
        ("<c.yellow.bg_blue>heels</c> down", "heels down"),
        ("<lang en>heels</lang> down", "heels down"),
        ("<I>heels</I> down<br>and breathe<br/>out", "heels down and breathe out"),
        (r"{\an8}heels down", "heels down"),
        (r"{\i1}heels{\i0} down {y:b}now", "heels down now"),
        ("knees &amp; toes &lt;3 caf&eacute; &#39;n&#x27; go", "knees & toes <3 café 'n' go"),
        ("&lt;i&gt;heels&lt;/i&gt; down", "heels down"),
        ("heels&nbsp;down&lrm; \u200bnow", "heels down now"),
        ("3 < 5 and 6 > 2", "3 < 5 and 6 > 2"),
        ("under <10 seconds", "under <10 seconds"),
        ("two\u00a0 \tspaces", "two spaces"),
        ("- hold\n- let go", "hold let go"),
        (">> hold >> let go", "hold let go"),
        ("&gt;&gt; hold", "hold"),
        ("-Hold it", "Hold it"),
        ("-10 seconds", "-10 seconds"),
        ("step-touch", "step-touch"),
        ("one\ntwo\nthree", "one two three"),
    ],
)
def test_markup_goes(text: str, want: str) -> None:
    assert one(text).text == want


def test_unknown_tags_and_glosses_are_told() -> None:
    captions = lines("keep <heel> down", "<ruby>plié<rt>bend</rt></ruby> and up")
    assert texts(captions) == ["keep down", "plié and up"]
    assert [(p.line, p.done) for p in captions.problems] == [(3, "left out"), (7, "left out")]


def test_an_entity_cannot_forge_a_time_mark() -> None:
    assert one("up &#xF0000; and &#983040; down").text == "up \ufffd and \ufffd down"
    assert one("&#" + "9" * 6_000 + "; up").text.endswith("; up")


def test_voices() -> None:
    captions = reading("WEBVTT\n\n00:01.000 --> 00:02.000\n<v.loud Ana &amp; Ben>go <v Cleo>gone</v>\n")
    assert (captions.captions[0].speaker, texts(captions)) == ("Ana & Ben", ["go gone"])


@pytest.mark.parametrize(
    ("text", "speaker", "want"),
    [
        ("COACH: heels down", "COACH", "heels down"),
        ("Coach: heels down", "Coach", "heels down"),
        ("- Coach: heels down", "Coach", "heels down"),
        (">> MARA LINDT: heels down", "MARA LINDT", "heels down"),
        ("SPEAKER 2: heels down", "SPEAKER 2", "heels down"),
        ("[Music] COACH: heels down", "COACH", "heels down"),
        ("[Mara]: heels down", "Mara", "heels down"),
        ("COACH:\nheels down", "COACH", "heels down"),
        ("<i>Coach:</i> heels down", "Coach", "heels down"),
    ],
)
def test_labels(text: str, speaker: str, want: str) -> None:
    caption = one(text)
    assert (caption.speaker, caption.text) == (speaker, want)


@pytest.mark.parametrize(
    "text",
    [
        "Next up: squats",
        "Round one: go",
        "Ready: go",
        "ROUND TWO: forty seconds",
        "HIIT: forty on",
        "EMOM: ten minutes",
        "Inhale: arms up",
        "Exhale: fold",
        "Remember: knees soft",
        "Number four: lunges",
        "at 10:30 we stop",
        "the ratio is 2:1",
        "and here it comes: rest",
        "Tip: look ahead",
        "STAND: heels down",
    ],
)
def test_words_before_a_colon_are_no_labels(text: str) -> None:
    captions = lines(text, "and stand tall", text)
    assert texts(captions) == [text, "and stand tall", text]
    assert {c.speaker for c in captions.captions} == {None}


def test_a_name_is_a_label_once_it_comes_back() -> None:
    captions = lines(
        "Orla: ready everyone?", "and go. Kai: I am. Orla: good.", "Kai: nearly", "Mo: wait", "Kai: there"
    )
    assert texts(captions) == [
        "Orla: ready everyone?",
        "and go. I am. Orla: good.",
        "nearly",
        "Mo: wait",
        "there",
    ]
    captions = lines("Orla: ready everyone?", "Kai: nearly", "Orla: go", "that was Kai. Orla: rest")
    assert texts(captions) == ["ready everyone?", "Kai: nearly", "go", "that was Kai. rest"]
    assert [c.speaker for c in captions.captions] == ["Orla", None, "Orla", None]


def test_who_speaks_all_the_time_may_be_named_like_a_word() -> None:
    text = [
        f"Will: number {i}, you will" if i % 2 else f"Rose Hill: and {i} up the hill" for i in range(1, 19)
    ]
    captions = lines(*text)
    assert {c.speaker for c in captions.captions} == {"Will", "Rose Hill"}
    assert texts(captions)[:2] == ["number 1, you will", "and 2 up the hill"]


def test_breathing_cues_are_no_speakers_however_often() -> None:
    text = [f"Inhale: arms up {i}" if i % 2 else f"Exhale: fold {i}" for i in range(1, 21)]
    assert texts(lines(*text)) == text


def test_a_move_that_comes_back_is_no_label() -> None:
    text = [
        "Squats: feet wide",
        "keep that squat low",
        "Squats: round two",
        "Planks: hold",
        "your plank is long",
        "Planks: hold",
    ]
    assert texts(lines(*text)) == text


def test_in_capitals_only_what_comes_back_is_a_label() -> None:
    text = ["NEXT UP: SQUATS", "KEEP IT LOW", "BURPEES: FORTY SECONDS", "AND REST"]
    assert texts(lines(*text)) == text
    assert texts(lines("ORLA: READY", "GO", "ORLA: REST")) == ["READY", "GO", "REST"]


@pytest.mark.parametrize(
    ("text", "sounds", "want"),
    [
        ("[Music] and go", ("Music",), "and go"),
        ("[upbeat music\nplaying] go [applause]", ("upbeat music playing", "applause"), "go"),
        ("lovely (laughs) again", ("laughs",), "lovely again"),
        ("(bell rings)\ngo", ("bell rings",), "go"),
        ("(a dog barks outside)\ngo", ("a dog barks outside",), "go"),
        ("thirty seconds (each side)", (), "thirty seconds (each side)"),
        ("step back (left foot) and hold", (), "step back (left foot) and hold"),
        ("hold (MUSIC) it", ("MUSIC",), "hold it"),
        ("intervals (HIIT) today", (), "intervals (HIIT) today"),
        ("♪ turn it up ♪ and go", ("turn it up",), "and go"),
        ("♪ and go", ("♪",), "and go"),
        ("and [ go", (), "and [ go"),
        ("and go) now", (), "and go) now"),
    ],
)
def test_sounds(text: str, sounds: tuple[str, ...], want: str) -> None:
    caption = one(text)
    assert (caption.sounds, caption.text) == (sounds, want)


@pytest.mark.parametrize(
    "text", ["[Music]", "(applause)", "♪ ♪", "♪ la la la ♪", "...", "- [Laughter]", "COACH: [sighs]"]
)
def test_sounds_alone_make_no_caption(text: str) -> None:
    captions = lines("go", text, "stop")
    assert (texts(captions), captions.problems) == (["go", "stop"], ())


def test_word_times_survive_labels_and_sounds() -> None:
    line = "COACH: <00:01.500>[Music] <00:02.000>heels <00:03.000>down &amp; <00:04.000>low"
    caption = reading(f"WEBVTT\n\n00:01.000 --> 00:05.000\n{line}\n").captions[0]
    assert [(p.start_ms, p.text) for p in caption.parts] == [
        (2_000, "heels"),
        (3_000, "down &"),
        (4_000, "low"),
    ]
    assert (caption.speaker, caption.sounds, caption.text) == ("COACH", ("Music",), "heels down & low")


@settings(deadline=None)
@given(st.text(alphabet="ab <>/[]()&;:{}\\♪->.\n!C", max_size=40))
def test_any_text_gives_clean_text(text: str) -> None:
    caption = lines("go " + text.replace("\n", " "), "and stand").captions[0]
    assert caption.text == " ".join(caption.text.split())
    assert all(" ".join(sound.split()) == sound for sound in caption.sounds)
