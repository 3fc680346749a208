"""What reaches a terminal."""

from __future__ import annotations

import io
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analyzer.terminal import forgive_characters, printable


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        # ECMA-48: ESC [ and its one-byte form, U+009B, start control sequences
        ("\x1b[2Jsquats", " [2Jsquats"),
        ("\x9b31msquats\x07", " 31msquats "),
        # UAX 9: U+202E and U+2066 turn the text that follows around
        ("squats\u202egnol\u2066", "squatsgnol"),
        ("one\r\ntwo\u2028three\tfour", "one  two three four"),
    ],
)
def test_controls_are_not_obeyed(text: str, shown: str) -> None:
    assert printable(text) == shown


def test_other_text_is_left_as_it_is() -> None:
    text = "child’s  pose – 3 × 20 s, naïve 𝟜"
    assert printable(text) == text


@given(st.text())
def test_what_is_printable_is_one_line_and_stays_so(text: str) -> None:
    shown = printable(text)
    assert len(shown.splitlines()) <= 1
    assert printable(shown) == shown
    # a private-use or unknown character is no control
    assert all(c.isprintable() for c in shown if c.isascii())


def test_a_letter_that_the_output_lacks_is_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    forgive_characters()
    print("chaturaṅga", flush=True)
    assert raw.getvalue() == b"chatura?ga\n"


def test_an_output_of_another_kind_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    for output in (io.StringIO(), None):
        monkeypatch.setattr(sys, "stdout", output)
        forgive_characters()
        assert sys.stdout is output
