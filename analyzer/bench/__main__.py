"""``python -m analyzer.bench``: score the program, or any other, on scripted classes.

Exit code 0, 1 where an analysis failed (it is scored as nothing found), 2 for what cannot be scored at all.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path

import analyzer.language.en
from analyzer.bench.agreement import agreements
from analyzer.bench.forms import FORMS
from analyzer.bench.running import BenchError, Command, cases, find_classes, review_document
from analyzer.bench.table import agreement_data, agreement_markdown, table
from analyzer.errors import AnalyzerError

__all__ = ["main"]

CLASSES = Path(analyzer.language.en.__file__).parent / "classes"


def parser() -> argparse.ArgumentParser:
    """The command line."""
    options = argparse.ArgumentParser(
        prog="python -m analyzer.bench",
        description="Score reviews of scripted classes against what is true of them. The tagger was trained "
        "on the classes in the package: figures on those say little about a new instructor.",
    )
    options.add_argument(
        "classes",
        nargs="?",
        type=Path,
        default=CLASSES,
        metavar="CLASSES_DIR",
        help="a folder of .class files, or one file (default: the classes in the package)",
    )
    options.add_argument(
        "--forms", default=",".join(FORMS), help="caption forms, with commas (default: %(default)s)"
    )
    options.add_argument("--command", help="score this program: 'analyzer review {captions} --json {out}'")
    options.add_argument("--each", action="store_true", help="also a line for each class and form")
    options.add_argument(
        "--agreement", action="store_true", help="also how well each two caption forms agree"
    )
    options.add_argument("--json", type=Path, metavar="FILE", help="write every figure as JSON")
    options.add_argument("--keep", type=Path, metavar="DIR", help="keep the caption files in this folder")
    options.add_argument("--workers", type=int, default=os.cpu_count() or 1, metavar="N",
                         help="processes to share the work (default: %(default)s)")  # fmt: skip
    return options


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code."""
    options = parser().parse_args(arguments)
    try:
        return run(options)
    except AnalyzerError as error:
        print(f"error: {error}", file=sys.stderr)
        return error.exit_code


def run(options: argparse.Namespace) -> int:
    """Score, print, write; raises AnalyzerError for what cannot be scored at all."""
    analyse = Command(options.command) if options.command else review_document
    forms = [form.strip() for form in options.forms.split(",")]
    classes = find_classes(options.classes)
    done = tuple(cases(classes, analyse, forms=forms, workers=options.workers, folder=options.keep))
    scores, pairs = table(done), agreements(done)
    if len(scores.failures()) == len(done):
        raise BenchError(what=f"every analysis failed, first {scores.failures()[0]}", todo="try one by hand")
    for line in scores.failures():
        print(line, file=sys.stderr)
    if options.each:
        print(scores.each_markdown(), end="\n\n")
    print(scores.markdown())
    if options.agreement:
        print(f"\n{agreement_markdown(pairs)}")
    if options.json:
        data = scores.as_data() | {"agreement": agreement_data(pairs)}
        _write(options.json, json.dumps(data, indent=1, ensure_ascii=False) + "\n")
    return 1 if scores.failures() else 0


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        what = f"cannot write: {error.strerror}"
        raise BenchError(path=path, what=what, todo="name a file in a folder you can write to") from None


if __name__ == "__main__":
    sys.exit(main())
