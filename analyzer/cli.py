"""The command line: parse, call, print. Everything it shows is read from one Review.

Exit codes: 0 done ("no announced intervals found" is an answer), 2 for what cannot be read, written or
understood, 130 and 141 where a person or a closed pipe stopped it. To add a command: a function that adds its
options, one that runs it, and a line in ``COMMANDS``. Imports that take time stand inside the functions.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from analyzer.errors import AnalyzerError, ConfigError
from analyzer.terminal import drop_output, forgive_characters, printable

if TYPE_CHECKING:
    from analyzer.review import Review
    from analyzer.standards.standard import Standard

__all__ = ["COMMANDS", "main", "parser"]

INTERRUPTED, PIPE_CLOSED = 130, 141
"""128 and the number of the signal, as shells have it: SIGINT, SIGPIPE."""
REPORTS = Path("reports")
"""Where pages go, below the current folder."""
ABOUT = (
    "Reviews a recorded exercise class from its caption file: interval lengths, time calls, coaching cues."
)
STANDARD = "class standard: one that ships, by name, or a TOML file (default: the general one)"
CAUTION = "It checks what was said, not whether a move is safe; licensed practice and local rules come first."


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its line of help, its options, and what it does; ``run`` returns the exit code."""

    about: str
    options: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line (default: the one of this process); returns the exit code.

    Raises SystemExit for --help and for a command line that cannot be understood, as argparse does.
    """
    forgive_characters()
    try:
        try:
            return _run(arguments)
        finally:
            if sys.stdout is not None:
                sys.stdout.flush()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        drop_output()
        return PIPE_CLOSED
    except OSError as error:
        if error.filename is None:
            drop_output()
        return _complain(str(_no_place(error)), AnalyzerError.exit_code)


def _run(arguments: Sequence[str] | None) -> int:
    options = parser().parse_args(arguments)
    try:
        return int(options.run(options))
    except AnalyzerError as error:
        return _complain(str(error), error.exit_code)


def parser() -> argparse.ArgumentParser:
    """The command line's options."""
    top = argparse.ArgumentParser(prog="analyzer", description=ABOUT, epilog=CAUTION, allow_abbrev=False)
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for name, command in COMMANDS.items():
        sub = commands.add_parser(
            name, help=command.about, description=command.about, epilog=CAUTION, allow_abbrev=False
        )
        command.options(sub)
        sub.set_defaults(run=command.run)
    return top


def _review_options(options: argparse.ArgumentParser) -> None:
    options.add_argument("captions", type=Path, metavar="CAPTIONS",
                         help="caption file: WebVTT, SubRip or a timed transcript")
    page = options.add_mutually_exclusive_group()
    page.add_argument("--out", metavar="PATH",
                      help=f"where the page goes, a file or a folder (default: {REPORTS}/NAME.html)")
    page.add_argument("--no-page", action="store_true", help="write no page")
    options.add_argument("--json", type=Path, metavar="FILE", help="also write the data document")
    options.add_argument("--csv", type=Path, metavar="DIR",
                         help="also write intervals, time calls, cues and findings as CSV into this folder")
    options.add_argument("--standard", metavar="FILE_OR_PROFILE", help=STANDARD)
    options.add_argument("--quiet", action="store_true", help="print nothing but errors")


def _standard_options(options: argparse.ArgumentParser) -> None:
    options.add_argument("--profile", "--standard", dest="standard", metavar="NAME", help=STANDARD)


def _review(options: argparse.Namespace) -> int:
    places = _Places(options)
    standard = _standard(options.standard)

    from analyzer.review import review

    found = review(options.captions, standard=standard)
    _write(places, dict(_texts(found, standard, places)))
    if not options.quiet:
        _print_summary(found, places)
    return 0


def _show_standard(options: argparse.Namespace) -> int:
    from analyzer.exports.standard_toml import standard_toml
    from analyzer.standards.standard import profiles

    print("# The class standard in force. Keep it as a file, change it, and review with --standard FILE.")
    print(f"# Standards that ship: {', '.join(profiles())}.")
    print(standard_toml(_standard(options.standard)), end="")
    return 0


COMMANDS = {
    "review": Command("Review one recording: a page, and the same facts as data.", _review_options, _review),
    "standard": Command("Show the class standard in force, with its sources.",
                        _standard_options, _show_standard),
}


class _Places:
    """Where the files of a review go; None where none is asked for."""

    def __init__(self, options: argparse.Namespace) -> None:
        """Raises AnalyzerError where one file would replace another, or what is read."""
        name = f"{options.captions.stem}.html"
        out = Path(options.out or REPORTS / name)
        if options.out and (out.is_dir() or options.out.endswith(("/", os.sep))):
            out /= name
        self.own_folder = None if options.out or options.no_page else REPORTS
        self.page = None if options.no_page else out
        self.json: Path | None = options.json
        self.csv: Path | None = options.csv
        taken = {os.path.realpath(path) for path in (options.captions, options.standard) if path}
        for path in filter(None, (self.page, self.json)):
            real = os.path.realpath(path)
            # a terminal or /dev/null may be named as often as wanted
            if real in taken and (path.is_file() or not path.exists()):
                raise AnalyzerError(path=path, what="this name is given twice",
                                    todo="give each file a name of its own")
            taken.add(real)


def _texts(found: Review, standard: Standard, places: _Places) -> Iterator[tuple[Path, str]]:
    """Every file with its text; all are made before any is written."""
    if places.page:
        from analyzer.report import render

        yield places.page, render(found, standard)
    if places.json:
        from analyzer.document import as_json

        yield places.json, as_json(found)
    if places.csv:
        from analyzer.exports.csv_files import csv_files

        yield from ((places.csv / name, text) for name, text in csv_files(found).items())


def _write(places: _Places, texts: dict[Path, str]) -> None:
    from analyzer.files import write_whole

    for folder in filter(None, (places.own_folder, places.csv)):
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise _no_place(error) from error
    for path, text in texts.items():
        # a file name may hold bytes that are no text, and the page shows the name
        write_whole(path, text.encode("utf-8", errors="replace").decode("utf-8"))


def _print_summary(found: Review, places: _Places) -> None:
    from analyzer.summary import summary

    for line in summary(found, where="on the page" if places.page else ""):
        print(line)
    if places.page:
        print(printable(str(places.page)))


def _standard(name: str | None) -> Standard:
    """The standard by the name of one that ships, or from a file."""
    from analyzer.standards.standard import load, profiles

    if name is None:
        return load()
    known = profiles()
    shipped = known.get(name.strip().lower().replace(" ", "_").replace("-", "_"))
    if shipped is None and not Path(name).exists():
        raise ConfigError(path=Path(name), what="no class standard of this name, and no such file",
                          todo=f"use one of {', '.join(known)}, or the path of a TOML file")
    return load(shipped or Path(name))


def _no_place(error: OSError) -> AnalyzerError:
    reason = error.strerror or str(error)
    path = Path(error.filename) if error.filename else None
    return AnalyzerError(path=path, what=f"cannot be written ({reason})" if path else reason,
                         todo="check the folder and its space, or write elsewhere")


def _complain(what: str, exit_code: int) -> int:
    print(f"analyzer: {printable(what)}", file=sys.stderr)
    return exit_code
