"""The trained tagger: what file it is, and that its scores depend on nothing but words and pauses."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from oracle import ROOT

from analyzer.captions import read
from analyzer.errors import AnalyzerError
from analyzer.hearing import tagger
from analyzer.hearing.labels import WIDTH, column, columns
from analyzer.hearing.pieces import Pieces, pause_buckets, pieces, tokenizer
from analyzer.words import time_words

MODEL = Path(str(files("analyzer.language.en"))) / "tagger" / "tagger.onnx"
Scores = npt.NDArray[np.float32]


@cache
def sample() -> Pieces:
    captions = read(ROOT / "sample_captions" / "retake.srt")
    words = time_words(captions)[:700]
    return pieces([w.text for w in words], pause_buckets(words, captions.timing), tokenizer())


def some(p: Pieces, words: int) -> Pieces:
    end = int(p.first[words])
    return Pieces(p.ids[:end], p.pause[:end], p.first[:words])


def run(p: Pieces) -> Scores:
    class_id = tokenizer().token_to_id(tagger.CLASS_TOKEN)
    assert class_id is not None
    return tagger.logits(p, class_id)


@cache
def scores() -> Scores:
    return run(sample())


# --- scores ------------------------------------------------------------------------------------------------


def test_one_row_a_word() -> None:
    assert len(sample().ids) > 2 * tagger.WINDOW  # several windows, or the tests below test nothing
    assert scores().shape == (700, WIDTH)
    assert np.isfinite(scores()).all()


def test_it_hears_what_was_scripted() -> None:
    """A class that it was not trained on: no figure of accuracy, a sign of life."""
    said = "Squats for forty seconds. Three, two, one, go! Chest up, breathe out. Three, two, one, and rest."
    texts = said.split()
    buckets = np.full(len(texts), 5, dtype=np.int64)
    out = run(pieces(texts, buckets, tokenizer()))
    assert texts[int(out[:, column("start")].argmax())] == "go!"
    assert texts[int(out[:, column("stop")].argmax())] == "rest."
    assert int(out[texts.index("forty"), columns("role")].argmax()) == 1
    assert out[texts.index("breathe"), column("in breathing")] > 0 > out[0, column("in breathing")]


def test_no_words_no_scores() -> None:
    none = np.zeros(0, dtype=np.int64)
    assert run(Pieces(none, none, none)).shape == (0, WIDTH)


@pytest.mark.parametrize("count", [1, 2])
def test_a_class_of_a_word_or_two(count: int) -> None:
    assert run(some(sample(), count)).shape == (count, WIDTH)


@pytest.mark.parametrize("threads", [1, 2])
def test_threads_do_not_matter(threads: int, monkeypatch: pytest.MonkeyPatch) -> None:
    import onnxruntime

    @lru_cache(maxsize=1)
    def session() -> Any:
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        return onnxruntime.InferenceSession(MODEL.read_bytes(), options, providers=["CPUExecutionProvider"])

    part = some(sample(), 400)
    expected = run(part)
    monkeypatch.setattr(tagger, "_session", session)
    assert np.abs(run(part) - expected).max() < 1e-3


def test_how_windows_are_batched_does_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tagger, "BATCH", 1)
    # float32 sums in another order: a millionth of logits of about ten
    assert np.abs(run(sample()) - scores()).max() < 1e-4


@pytest.mark.parametrize("total", [1, 318, 319, 320, 511, 512, 2_000])
def test_windows_cover_every_piece_and_overlap(total: int) -> None:
    room = tagger.WINDOW - 1
    starts = tagger._starts(total)
    assert starts[0] == 0
    assert starts[-1] + room >= total
    assert all(0 < b - a <= room - tagger.OVERLAP for a, b in pairwise(starts))
    assert all(a + room <= total for a in starts) or starts == [0]


def test_words_far_away_hardly_matter() -> None:
    """A word sees some 200 words around it: the class goes on where its captions were cut."""
    part = run(some(sample(), 600))
    assert np.abs(part[:150] - scores()[:150]).max() < 1e-3


# --- the file ----------------------------------------------------------------------------------------------


def installed(folder: Path, blob: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """Have the tagger find this model file, with the digest that ships."""
    (folder / "tagger").mkdir()
    (folder / "tagger" / "tagger.onnx").write_bytes(blob)
    (folder / "tagger" / "tagger.sha256").write_bytes(MODEL.with_suffix(".sha256").read_bytes())
    monkeypatch.setattr(tagger, "files", lambda _: folder)
    monkeypatch.setattr(tagger, "_session", tagger._session.__wrapped__)


@pytest.mark.parametrize("damage", ["cut", "changed"])
def test_a_damaged_file_is_refused_in_one_line(
    damage: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blob = bytearray(MODEL.read_bytes())
    if damage == "cut":
        del blob[-1:]
    else:
        blob[len(blob) // 2] ^= 1
    installed(tmp_path, bytes(blob), monkeypatch)
    with pytest.raises(
        AnalyzerError, match=r"tagger in this installation is damaged.*; install the program"
    ) as caught:
        run(some(sample(), 5))
    assert "\n" not in str(caught.value)


def test_the_file_that_ships_is_not_damaged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    installed(tmp_path, MODEL.read_bytes(), monkeypatch)
    assert run(some(sample(), 5)).shape == (5, WIDTH)


def test_the_file_is_small() -> None:
    assert MODEL.stat().st_size <= 16 * 2**20


Field = tuple[int, int | bytes]


def fields(message: bytes) -> Iterator[Field]:
    """Numbers and contents of a protobuf message (protobuf.dev, encoding)."""
    at = 0

    def varint() -> int:
        nonlocal at
        value = shift = 0
        while True:
            byte = message[at]
            value, shift, at = value | (byte & 127) << shift, shift + 7, at + 1
            if byte < 128:
                return value

    while at < len(message):
        number, wire = divmod(varint(), 8)
        if wire == 0:
            yield number, varint()
            continue
        size = {1: 8, 5: 4}.get(wire) or varint()
        yield number, message[at : at + size]
        at += size


def parts(message: bytes, number: int) -> list[bytes]:
    return [value for n, value in fields(message) if n == number and isinstance(value, bytes)]


OPERATORS = {
    "Add", "Cast", "DequantizeLinear", "Erf", "Gather", "Identity", "LayerNormalization", "MatMul", "Mul",
    "Range", "Reshape", "Shape", "Softmax", "Sub", "Transpose", "Unsqueeze",
}  # fmt: skip
"""Of the ONNX standard, opset 17. None of them holds a graph of its own, as If and Loop do."""


def test_the_file_holds_standard_operators_and_no_code() -> None:
    """Field numbers as in onnx.proto: a model's graph is 7, its operator sets 8, its functions 25."""
    model = MODEL.read_bytes()
    (graph,) = parts(model, 7)
    assert parts(model, 25) == []
    # an operator set's domain (1) is empty for the standard's own
    (standard,) = parts(model, 8)
    assert [value for number, value in fields(standard) if number == 1] in ([], [b""])
    nodes = parts(graph, 1)
    assert len(nodes) > 100
    assert {parts(node, 4)[0].decode() for node in nodes} <= OPERATORS  # op_type
    assert {domain for node in nodes for domain in parts(node, 7)} <= {b""}
    # every weight is in the file itself: data_location (14) is not EXTERNAL (1)
    assert [f for tensor in parts(graph, 5) for f in fields(tensor) if f == (14, 1)] == []
