"""What was heard, as plain records, and the same as a spaCy Doc."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from oracle import ROOT
from spacy.tokens import Doc
from spacy.vocab import Vocab

from analyzer.captions import read
from analyzer.hearing import tagger
from analyzer.hearing.heard import call_value, listen
from analyzer.hearing.labels import WIDTH, column
from analyzer.hearing.numbers import lengths
from analyzer.hearing.pieces import pause_buckets, pieces, tokenizer
from analyzer.hearing.pipeline import class_spans, hear, heard_in
from analyzer.hearing.spans import thresholds
from analyzer.outline.records import CUE_KINDS
from analyzer.words import time_words


def silent(count: int) -> npt.NDArray[np.float32]:
    return np.full((count, WIDTH), -9.0, dtype=np.float32)


def say(logits: npt.NDArray[np.float32], kind: str, first: int, last: int, above: float = 2.0) -> None:
    """Have the tagger hear a span."""
    logits[first:last, column(f"in {kind}")] = thresholds()[kind] + above
    logits[first, column(f"begin {kind}")] = thresholds()[kind] + above


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        # common practice: how time is called in classes
        ("remaining", "ten seconds left", 10),
        ("remaining", "last ten", 10),
        ("remaining", "three two one", 3),
        ("remaining", "one more minute", 60),
        ("elapsed", "twenty in", 20),
        ("elapsed", "that's a minute and a half", 90),
        ("fraction", "halfway there", 0.5),
        ("fraction", "nearly there", None),
        ("remaining", "nearly done", None),
        # a length with its unit is the clock, whatever is counted beside it
        ("remaining", "two more thirty seconds", 30),
    ],
)
def test_the_number_of_a_time_call(kind: str, text: str, value: float | None) -> None:
    assert call_value(kind, text.split()) == value


def test_calls_without_a_number_are_left_out() -> None:
    norms = ["nearly", "there", "ten", "to", "go"]
    logits = silent(5)
    say(logits, "remaining", 0, 2)
    say(logits, "remaining", 2, 5)
    assert [(c.span.first, c.value) for c in listen(norms, logits).calls] == [(2, 10)]


def test_one_call_a_place_the_likeliest() -> None:
    norms = ["and", "twenty", "in"]
    logits = silent(3)
    say(logits, "elapsed", 1, 3, above=3.0)
    say(logits, "remaining", 0, 3, above=1.0)
    assert [(c.span.kind, c.span.first, c.value) for c in listen(norms, logits).calls] == [("elapsed", 1, 20)]


def test_cues_come_in_order_of_time() -> None:
    norms = ["breathe", "out", "knees", "soft", "sip", "water"]
    logits = silent(6)
    say(logits, "hydration", 4, 6)
    say(logits, "form", 2, 4)
    say(logits, "breathing", 0, 2)
    heard = listen(norms, logits)
    assert [(c.kind, c.first, c.last) for c in heard.cues] == [
        ("breathing", 0, 2),
        ("form", 2, 4),
        ("hydration", 4, 6),
    ]
    assert all(0.5 < c.p < 1 for c in heard.cues)


def test_moves_of_the_lexicon_are_heard_where_the_tagger_hears_none() -> None:
    heard = listen(["now", "the", "goblet", "squat", "and", "a", "chair"], silent(7))
    names = [(" ".join(heard.norms[n.span.first : n.span.last]), n.known) for n in heard.names]
    # the longest of names within names; an everyday word alone proves no move
    assert names == [("goblet squat", True)]


def test_names_that_no_lexicon_has() -> None:
    logits = silent(4)
    say(logits, "name", 1, 3)
    heard = listen(["the", "flamingo", "wobble", "now"], logits)
    assert [(n.span.first, n.span.last, n.known) for n in heard.names] == [(1, 3, False)]
    assert heard.names[0].span.p > 0.5


def test_nothing_said() -> None:
    heard = listen([], silent(0))
    assert (heard.norms, heard.lengths, heard.calls, heard.cues, heard.names) == ((), (), (), (), ())


# --- the pipeline ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["retake.srt", "first_take.vtt"])
def test_a_doc_holds_all_that_was_heard(name: str) -> None:
    captions = read(ROOT / "sample_captions" / name)
    words = time_words(captions)[:900]
    doc = hear(words, captions.timing)
    assert [t.text for t in doc] == [w.text for w in words]
    assert [t.norm_ for t in doc] == [w.norm for w in words]
    assert doc.tensor.shape == (len(words), WIDTH)

    coder = tokenizer()
    class_id = coder.token_to_id(tagger.CLASS_TOKEN)
    assert class_id is not None
    p = pieces([w.text for w in words], pause_buckets(words, captions.timing), coder)
    plain = listen([w.norm for w in words], tagger.logits(p, class_id))
    back = heard_in(doc)
    assert np.allclose(back.logits, plain.logits, atol=1e-4)
    for key in ("norms", "lengths"):
        assert getattr(back, key) == getattr(plain, key)
    for key in ("calls", "cues", "names"):
        mine, theirs = getattr(back, key), getattr(plain, key)
        assert len(mine) == len(theirs) > 0
    assert [(c.span.kind, c.span.first, c.span.last, c.value) for c in back.calls] == [
        (c.span.kind, c.span.first, c.span.last, c.value) for c in plain.calls
    ]
    assert [(c.kind, c.first, c.last) for c in back.cues] == [(c.kind, c.first, c.last) for c in plain.cues]
    assert [(n.span.first, n.span.last, n.known) for n in back.names] == [
        (n.span.first, n.span.last, n.known) for n in plain.names
    ]
    for key in ("calls", "names"):
        assert [x.span.p for x in getattr(back, key)] == pytest.approx(
            [x.span.p for x in getattr(plain, key)], abs=1e-4
        )
    assert [c.p for c in back.cues] == pytest.approx([c.p for c in plain.cues], abs=1e-4)


def test_spans_at_one_place_keep_what_each_says() -> None:
    """Both lengths of "40/20" stand in one word, and a length, a call and a cue may share their words."""
    doc = Doc(Vocab(), words=["40/20", "for", "ten", "seconds"])
    for token in doc:
        token.norm_ = token.text
    logits = silent(4)
    say(logits, "remaining", 2, 4, above=1.0)
    say(logits, "breathing", 2, 4, above=3.0)
    doc.tensor = logits  # type: ignore[assignment]  # spaCy's stub says float64
    back = heard_in(class_spans(doc))
    assert [(x.seconds, x.unit) for x in back.lengths] == [(40, False), (20, False), (10, True)]
    assert back == replace(listen(["40/20", "for", "ten", "seconds"], logits), logits=back.logits)


def test_span_groups_say_what_they_are() -> None:
    captions = read(ROOT / "sample_captions" / "retake.srt")
    doc = hear(time_words(captions)[:900], captions.timing)
    assert set(doc.spans) == {"lengths", "time calls", "moves", *CUE_KINDS}
    assert [s._.value for s in doc.spans["lengths"]] == [x.seconds for x in lengths([t.norm_ for t in doc])]
    assert {s.label_ for s in doc.spans["time calls"]} <= {"elapsed", "remaining", "fraction"}
    assert {s.label_ for s in doc.spans["breathing"]} == {"breathing"}
    assert all(0 <= s._.p <= 1 for group in doc.spans.values() for s in group)


def test_a_doc_of_no_words() -> None:
    doc = hear([], "phrase")
    assert len(doc) == 0
    assert heard_in(doc).names == ()
