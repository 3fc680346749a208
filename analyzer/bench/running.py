"""Render scripted classes, have their captions analysed, keep what was found beside what is true.

``score_reviews`` is the way in from Python; what analyses is any function from a caption file to a data
document. ``review_document`` is the program itself, ``Command`` any other program.
"""

from __future__ import annotations

import json
import shlex
import shutil
import subprocess
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from traceback import extract_tb

from analyzer.bench.forms import FORMS
from analyzer.bench.render import perform
from analyzer.bench.score import Case, Document
from analyzer.bench.table import Table, table
from analyzer.bench.truth import truth
from analyzer.errors import AnalyzerError

__all__ = ["Analyse", "BenchError", "Command", "cases", "find_classes", "review_document", "score_reviews"]

Analyse = Callable[[Path], Document]

COMMAND_LIMIT_S = 600.0
NEEDED = {"intervals": ("start_s", "stop_s"), "cues": ("at_s",), "time_calls": ("at_s",)}
"""What scoring reads of every record, without which a document is none."""


class BenchError(AnalyzerError):
    """Something the bench was asked for that cannot be done."""


def review_document(captions: Path) -> Document:
    """The data document of the program's own review."""
    from analyzer.document import document
    from analyzer.review import review

    found: Document = document(review(captions))
    return found


@dataclass(frozen=True, slots=True)
class Command:
    """A command line as a function; ``{captions}`` and ``{out}`` in it stand for the two file names."""

    line: str

    def __post_init__(self) -> None:
        try:
            parts = shlex.split(self.line)
        except ValueError as error:
            raise BenchError(what=f"--command {self.line}: {error}", todo="close the quotation") from None
        for place in ("{captions}", "{out}"):
            if not any(place in part for part in parts):
                raise BenchError(
                    what=f"--command names no {place}", todo=f"write {place} for the file's name"
                )
        if not shutil.which(parts[0]):
            raise BenchError(what=f"--command: no program {parts[0]}", todo="check its name and the PATH")

    def __call__(self, captions: Path) -> Document:
        """Run it; the data document it wrote. Raises BenchError where it wrote none."""
        out = captions.with_name(f"{captions.name}.analysis.json")
        names = {"{captions}": str(captions), "{out}": str(out)}
        command = [_filled(part, names) for part in shlex.split(self.line)]
        done = subprocess.run(
            command, capture_output=True, text=True, errors="replace", timeout=COMMAND_LIMIT_S, check=False
        )
        if not out.exists():
            said = done.stderr.strip().splitlines() or ["it said nothing"]
            raise BenchError(what=f"exit {done.returncode}, no data document", todo=said[-1][-300:])
        found: Document = json.loads(out.read_text(encoding="utf-8"))
        return found


def _filled(part: str, names: dict[str, str]) -> str:
    for place, name in names.items():
        part = part.replace(place, name)
    return part


def find_classes(path: Path) -> tuple[Path, ...]:
    """The scripted classes of a folder, by name, or the one file. Raises BenchError where there are none."""
    if path.is_file():
        return (path,)
    if not path.is_dir():
        raise BenchError(path=path, what="no such folder", todo="name a folder of .class files")
    if not (found := tuple(sorted(path.glob("*.class")))):
        raise BenchError(path=path, what="no .class files in this folder", todo="name a folder that has some")
    return found


def cases(
    classes: Iterable[Path],
    analyse: Analyse,
    *,
    forms: Sequence[str] = tuple(FORMS),
    workers: int = 1,
    folder: Path | None = None,
) -> Iterator[Case]:
    """Analyse every class in every caption form, classes in the order given.

    With more than one worker, processes share the work, and ``analyse`` must be importable (no lambda).
    ``folder`` keeps the caption files. An analysis that raises or gives no data document becomes a case that
    failed, with an empty document. Raises ScriptError for a class that cannot be rendered, before anything
    is analysed, and BenchError for an unknown form or a worker that died.
    """
    for form in forms:
        if form not in FORMS:
            raise BenchError(what=f"unknown caption form {form}", todo=f"use some of {', '.join(FORMS)}")
    with TemporaryDirectory(prefix="classes_") as scratch:
        rendered = [case for path in classes for case in _rendered(path, forms, folder or Path(scratch))]
        files = [captions for captions, *_ in rendered]
        for (_, name, form, facts), (found, failed) in zip(
            rendered, _mapped(partial(_analysed, analyse), files, workers), strict=True
        ):
            yield Case(name, form, found, facts, failed)


def _rendered(path: Path, forms: Sequence[str], folder: Path) -> Iterator[tuple[Path, str, str, Document]]:
    folder.mkdir(parents=True, exist_ok=True)
    performance = perform(path)
    facts = truth(performance)
    for form in forms:
        captions = folder / f"{path.stem}.{form}"
        captions.write_text(FORMS[form](performance.words), encoding="utf-8")
        yield captions, path.stem, form, facts


Outcome = tuple[Document, str | None]


def _mapped(job: Callable[[Path], Outcome], files: Sequence[Path], workers: int) -> Iterator[Outcome]:
    if min(workers, len(files)) <= 1:
        yield from map(job, files)
        return
    # a fresh start: forking a process that holds a model and its threads can hang
    with ProcessPoolExecutor(min(workers, len(files)), mp_context=get_context("spawn")) as pool:
        try:
            yield from pool.map(job, files)
        except BrokenProcessPool:
            raise BenchError(what="a worker died", todo="use one worker to see on which class") from None


def _analysed(analyse: Analyse, captions: Path) -> Outcome:
    try:
        found = analyse(captions)
        _check(found)
    except Exception as error:
        # the other classes still count: this one scores as nothing found, and says why
        return {}, _reason(error).replace(f"{captions.parent}/", "")
    return found, None


def _check(found: object) -> None:
    if not isinstance(found, dict):
        raise BenchError(what="the data document is no object", todo="write one JSON object")
    for key, fields in NEEDED.items():
        for number, record in enumerate(found.get(key, [])):
            for field in fields:
                if not isinstance(record.get(field), int | float):
                    raise BenchError(what=f"{key}[{number}] has no {field}", todo="give it in seconds")


def _reason(error: Exception) -> str:
    if isinstance(error, AnalyzerError):
        return str(error)
    last = extract_tb(error.__traceback__)[-1]
    said = " ".join(str(error).split())[:300]
    return f"{type(error).__name__}: {said} ({Path(last.filename).name}:{last.lineno})"


def score_reviews(
    classes: Iterable[Path],
    analyse: Analyse = review_document,
    *,
    forms: Sequence[str] = tuple(FORMS),
    workers: int = 1,
) -> Table:
    """Scores of every class and caption form; see ``cases`` for what is raised and what counts as failed."""
    return table(cases(classes, analyse, forms=forms, workers=workers))
