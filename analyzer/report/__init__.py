"""The review as one page that people read, print and send on."""

from __future__ import annotations

from pathlib import Path

from analyzer.files import write_whole
from analyzer.report.page import render
from analyzer.review import Review
from analyzer.standards.standard import Standard

__all__ = ["render", "write"]


def write(review: Review, out: Path, standard: Standard | None = None) -> None:
    """Write the page to ``out``; what was there is replaced only once the new page is whole.

    Raises AnalyzerError where ``out`` cannot be written.
    """
    write_whole(out, render(review, standard))
