"""A stretch of a recording, in whole milliseconds.

Half-open, ``[start_ms, end_ms)``, never reversed; zero length is allowed (a caption may flash by).
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Span", "clock"]


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """``[start_ms, end_ms)`` in milliseconds from the start of the recording.

    >>> Span(0, 40_000).overlap_ms(Span(2_000, 44_000))
    38000
    >>> Span(2, 1)
    Traceback (most recent call last):
      ...
    ValueError: a span cannot end (1 ms) before it starts (2 ms)
    """

    start_ms: int
    end_ms: int

    def __post_init__(self) -> None:
        if self.end_ms < self.start_ms:
            raise ValueError(f"a span cannot end ({self.end_ms} ms) before it starts ({self.start_ms} ms)")

    @property
    def duration_ms(self) -> int:
        """Length in milliseconds, 0 or more."""
        return self.end_ms - self.start_ms

    def overlap_ms(self, other: Span) -> int:
        """Milliseconds shared with ``other``, 0 when they only touch."""
        return max(0, min(self.end_ms, other.end_ms) - max(self.start_ms, other.start_ms))

    def gap_to_ms(self, other: Span) -> int:
        """Milliseconds from the end of this span to the start of ``other``; negative when they overlap."""
        return other.start_ms - self.end_ms

    def __contains__(self, at_ms: int) -> bool:
        return self.start_ms <= at_ms < self.end_ms


def clock(at_ms: float) -> str:
    """A time as a person reads it off a player: ``m:ss``, or ``h:mm:ss`` from one hour on.

    >>> clock(445_900), clock(3_600_000)
    ('7:25', '1:00:00')
    """
    seconds = int(max(0, at_ms) // 1000)
    hours, minutes, seconds = seconds // 3600, seconds // 60 % 60, seconds % 60
    return f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"
