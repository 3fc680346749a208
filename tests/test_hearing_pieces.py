"""Words as the tagger reads them: pauses by kind, pieces by word."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analyzer.captions.records import Timing
from analyzer.hearing.pieces import (
    CONTINUED,
    EDGES_MS,
    INSIDE,
    PAUSES,
    UNKNOWN,
    pause_buckets,
    pieces,
    tokenizer,
)
from analyzer.hearing.tagger import CLASS_TOKEN
from analyzer.spans import Span
from analyzer.words import Word


def words(*rows: tuple[int, int, int]) -> list[Word]:
    """(caption, start, end) of each."""
    return [Word("go", "go", c, Span(a, b), a, a, 50) for c, a, b in rows]


def buckets(timing: Timing, *rows: tuple[int, int, int]) -> list[int]:
    return list(map(int, pause_buckets(words(*rows), timing)))


def after(gap_ms: int) -> int:
    """The bucket of a word that follows another after a pause."""
    return buckets("word", (0, 0, 500), (1, 500 + gap_ms, 900 + gap_ms))[1]


def test_word_timed_files_know_every_pause() -> None:
    found = buckets("word", (0, 0, 200), (0, 210, 400), (0, 1_400, 1_600), (1, 30_000, 30_200))
    assert found[1:] == [3, after(1_000), PAUSES - 1]
    assert len(set(found[1:])) == 3


def test_nothing_is_known_of_pauses_inside_a_caption() -> None:
    """Within a phrase the words' times are spread by a model, and would only tell the model's opinion."""
    found = buckets("phrase", (0, 0, 200), (0, 210, 400), (0, 1_400, 1_600), (1, 4_600, 5_000))
    assert found[1:] == [INSIDE, INSIDE, after(3_000)]


def test_transcripts_know_no_pause() -> None:
    assert buckets("block", (0, 0, 200), (0, 9_000, 9_200), (1, 30_000, 30_200)) == [UNKNOWN] * 3


def test_no_words() -> None:
    assert pause_buckets([], "phrase").shape == (0,)


@pytest.mark.parametrize("n", range(len(EDGES_MS)))
def test_an_edge_begins_the_next_bucket(n: int) -> None:
    assert after(EDGES_MS[n] - 1) == 3 + n
    assert after(EDGES_MS[n]) == 4 + n


def test_pauses_fall_into_the_modes_of_read_speech_apart() -> None:
    """Pauses have three modes: under 200, 200 to 1,000 and over 1,000 ms (Campione & Veronis 2002)."""
    assert after(100) < after(600) < after(2_000)


@given(st.integers(-2_000, 60_000), st.integers(0, 5_000))
def test_longer_pauses_never_have_a_lower_bucket(gap: int, more: int) -> None:
    gap = max(gap, -500)
    assert 3 <= after(gap) <= after(gap + more) < PAUSES


TEXTS = ["Forty-five", "on,", "fifteen", "off!", "“Ready?”", "chaturanga", "40"]


def test_pieces_of_words() -> None:
    coder = tokenizer()
    marks = np.arange(3, 3 + len(TEXTS))
    p = pieces(TEXTS, marks, coder)
    assert p.ids.shape == p.pause.shape
    assert p.first[0] == 0
    assert (np.diff(p.first) > 0).all()
    # each word's pause stands on its first piece, the others continue it
    assert p.pause[p.first].tolist() == marks.tolist()
    assert (np.delete(p.pause, p.first) == CONTINUED).all()
    # the pieces of a word are what the tokenizer makes of it alone
    ends = [*p.first[1:].tolist(), len(p.ids)]
    for text, a, b in zip(TEXTS, p.first.tolist(), ends, strict=True):
        assert p.ids[a:b].tolist() == coder.encode(text, add_special_tokens=False).ids


def test_capitals_do_not_matter() -> None:
    coder, none = tokenizer(), np.zeros(2, dtype=np.int64)
    assert (
        pieces(["GO", "Rest"], none, coder).ids.tolist() == pieces(["go", "rest"], none, coder).ids.tolist()
    )


def test_the_tokenizer_has_its_special_tokens_and_everyday_class_words_whole() -> None:
    coder = tokenizer()
    assert coder.token_to_id(CLASS_TOKEN) is not None
    for word in ("rest", "squat", "plank", "seconds", "forty", "breathe", "halfway"):
        assert coder.encode(word, add_special_tokens=False).tokens == [word]
