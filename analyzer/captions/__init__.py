"""Caption files, read: ``read(path)`` gives the captions of a WebVTT, SubRip or timed transcript file.

The format is told by what the file holds, never by its name. To add one, write a module that makes a
``cues.Format`` of a name and two functions, and put it into the table in ``reading``.
"""

from __future__ import annotations

from analyzer.captions.reading import read, read_text
from analyzer.captions.records import Caption, Captions, Problem, TimedText, Timing

__all__ = ["Caption", "Captions", "Problem", "TimedText", "Timing", "read", "read_text"]
