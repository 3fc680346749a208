"""Errors: one message with place, fault and remedy, and the way between processes."""

from __future__ import annotations

import copy
import pickle
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import NoReturn

import pytest

from analyzer.bench.running import BenchError
from analyzer.bench.script import ScriptError
from analyzer.errors import AnalyzerError, CaptionError, ConfigError

KINDS = (AnalyzerError, CaptionError, ConfigError, BenchError, ScriptError)


@pytest.mark.parametrize(
    ("path", "line", "said"),
    [
        (Path("class.vtt"), 3, "class.vtt:3: no time; add one"),
        (Path("class.vtt"), None, "class.vtt: no time; add one"),
        (None, None, "no time; add one"),
    ],
)
def test_message_says_where_what_and_what_to_do(path: Path | None, line: int | None, said: str) -> None:
    assert str(AnalyzerError(path=path, line=line, what="no time", todo="add one")) == said


def test_every_kind_of_error_ends_with_exit_code_two() -> None:
    assert {kind.exit_code for kind in KINDS} == {2}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("protocol", range(pickle.HIGHEST_PROTOCOL + 1))
def test_pickling_keeps_kind_place_and_message(kind: type[AnalyzerError], protocol: int) -> None:
    error = kind(path=Path("class.vtt"), line=3, what="no time", todo="add one")
    error.add_note("met in the third class")
    again = pickle.loads(pickle.dumps(error, protocol))
    assert type(again) is kind
    assert str(again) == str(error)
    assert (again.path, again.line, again.what, again.todo) == (Path("class.vtt"), 3, "no time", "add one")
    assert again.__notes__ == ["met in the third class"]


def test_copying_keeps_the_message() -> None:
    error = ConfigError(what="no rules", todo="add one")
    assert str(copy.copy(error)) == str(error) == "no rules; add one"


def _fail(name: str) -> NoReturn:
    raise CaptionError(path=Path(name), line=3, what="no time", todo="add one")


def test_an_error_comes_back_from_a_worker_process() -> None:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        work = pool.submit(_fail, "class.vtt")
        with pytest.raises(CaptionError, match=r"^class\.vtt:3: no time; add one$"):
            work.result(timeout=60)
