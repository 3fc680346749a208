"""The training set as one file."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from oracle import ROOT
from train_help import script, stored

from analyzer.bench.forms import FORMS
from analyzer.hearing.labels import CHOICES, FLAGS, column
from analyzer.hearing.pieces import tokenizer
from analyzer.hearing.train.data import SPEECHES, load, save, single_lines, variants
from analyzer.outline.records import CUE_KINDS

LINES = ROOT / "analyzer" / "language" / "en" / "cue_lines.jsonl"


def test_what_is_saved_is_read_back(tmp_path: Path) -> None:
    script(tmp_path)
    assert save(tmp_path, tmp_path / "out" / "examples.npz") == len(FORMS) * len(SPEECHES)
    rows = list(load(tmp_path / "out" / "examples.npz"))
    assert {(r.name, r.form, r.speech) for r in rows} == {
        ("small", form, speech) for form in FORMS for speech in range(len(SPEECHES))
    }
    expected = stored(script(tmp_path))
    (row,) = [r for r in rows if (r.form, r.speech) == ("phrases.srt", 0)]
    assert row.texts == expected.texts
    assert np.array_equal(row.labels, expected.labels)
    assert np.array_equal(row.starts_ms, expected.starts_ms)
    assert len(row.buckets) == len(row.texts)


@pytest.fixture
def lines(tmp_path: Path) -> Path:
    path = tmp_path / "lines.jsonl"
    rows = [("Sip of water now", "hydration"), ("That was a good one", "none"), ("Breathe out", "breathing")]
    path.write_text("\n".join(json.dumps({"text": t, "label": k}) for t, k in rows), encoding="utf-8")
    return path


def test_single_lines_ask_only_what_they_know(lines: Path) -> None:
    first, second = single_lines(lines, 2)
    assert (
        sorted(first.texts)
        == sorted(second.texts)
        == sorted(["Sip", "of", "water", "now", "That", "was", "a", "good", "one", "Breathe", "out"])
    )
    for row in (first, second):
        at = row.texts.index("Sip")
        assert row.labels[at : at + 4, column("in hydration")].tolist() == [1, 1, 1, 1]
        assert row.labels[:, column("begin hydration")].sum() == 1
        assert row.labels[:, column("in hydration")].sum() == 4
        assert (row.labels[:, len(FLAGS) :] == -1).all()  # no choice is asked
        assert not row.labels[:, column("start")].any()
    assert [r.texts for r in single_lines(lines, 2)] == [first.texts, second.texts]


def test_the_lines_that_ship_have_known_labels() -> None:
    rows = [json.loads(line) for line in LINES.read_text(encoding="utf-8").splitlines()]
    assert {row["label"] for row in rows} == {*CUE_KINDS, "none"}
    assert all(row["text"].strip() for row in rows)


def test_variants_are_pieces_with_marks(tmp_path: Path) -> None:
    row = stored(script(tmp_path))
    (made,) = variants([row], tokenizer())
    assert made.labels.shape == (len(row.texts), len(FLAGS) + len(CHOICES))
    assert len(made.pieces.first) == len(row.texts)
    coder = tokenizer()
    tokens = [coder.id_to_token(int(i)) for i in made.pieces.ids]
    assert {t for t, mark in zip(tokens, made.marks, strict=True) if mark} == {".", ","}
    assert not made.marks[made.pieces.first].any()  # each word here begins with a letter
