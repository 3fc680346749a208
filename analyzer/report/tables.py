"""The rows of the page's tables, as text and times. The template only sets them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analyzer.findings.material import HEARD, Material, Move
from analyzer.findings.wording import capital, seconds
from analyzer.measures.records import Measures, SideBalance
from analyzer.outline.records import CUE_KINDS, Cue, CueKind, Quote
from analyzer.report.cue_chart import cell_text
from analyzer.report.phrases import CALL_VERDICTS, PHASES, claim, drift, give, move_name, told, truth, verdict

__all__ = [
    "BlockRow", "CallRow", "CueCell", "CueRow", "GeneralCue", "IntervalRow", "SideRow",
    "block_rows", "call_rows", "cue_rows", "general_cues", "interval_rows", "side_rows",
]


@dataclass(frozen=True, slots=True)
class IntervalRow:
    """``verdict`` is the bare one, ``words`` how it is said; ``promise`` the words that told the length."""

    number: int
    kind: str
    phase: str
    start_ms: int
    stop_ms: int
    name: str
    told: str
    promise: Quote | None
    actual: str
    give: str
    drift: str
    verdict: str
    words: str
    unspoken: str


def interval_rows(measures: Measures) -> tuple[IntervalRow, ...]:
    """One row an interval, rests among them."""
    rows = []
    for number, interval in enumerate(measures.intervals):
        s, sd = interval.segment, interval.actual_sd_s
        silent = [name for name, edge in (("start", s.start), ("stop", s.stop)) if not edge.spoken]
        rows.append(IntervalRow(
            number=number,
            kind=s.kind,
            phase=PHASES[s.phase],
            start_ms=s.start.at_ms,
            stop_ms=s.stop.at_ms,
            name=move_name(s),
            told=told(s),
            promise=s.promise,
            actual=seconds(interval.actual_s, sd),
            give=give(sd),
            drift="" if interval.drift_s is None else drift(interval.drift_s, sd),
            verdict=interval.verdict,
            words="" if interval.drift_s is None else verdict(interval),
            unspoken=" and ".join(silent) + " not spoken" if silent else "",
        ))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class BlockRow:
    """A part of the class: phase, round, its time, lengths told and given (of those told)."""

    name: str
    start_ms: int
    stop_ms: int
    intervals: int
    told: str
    given: str
    drift: str


def block_rows(measures: Measures) -> tuple[BlockRow, ...]:
    """One row a block."""
    return tuple(
        BlockRow(
            name=capital(PHASES[b.phase]) + (f", round {b.round}" if b.round else ""),
            start_ms=b.start_ms,
            stop_ms=b.stop_ms,
            intervals=len(b.intervals),
            told=seconds(b.announced_s) if b.timed else "no length",
            given=seconds(b.actual_s, b.drift_sd_s) if b.timed else "",
            drift=f"{drift(b.drift_s, b.drift_sd_s)} {give(b.drift_sd_s)}" if b.timed else "",
        )
        for b in measures.blocks
    )


@dataclass(frozen=True, slots=True)
class CallRow:
    """A time call: what it claims, what was true, by how much it was off, the verdict in words."""

    at_ms: int
    said: str
    move: str
    claim: str
    truth: str
    off: str
    verdict: str
    wrong: bool


def call_rows(measures: Measures) -> tuple[CallRow, ...]:
    """One row a time call."""
    rows = []
    for measured in measures.calls:
        call = measured.call
        segment = None if call.interval is None else measures.intervals[call.interval].segment
        off = ""
        if measured.error_s is not None:
            sd = measured.error_sd_s or 0.0
            size = seconds(abs(measured.error_s), sd)
            way = "" if size == "0 s" else " early" if measured.error_s > 0 else " late"
            off = f"{size}{way} {give(sd)}"
        rows.append(CallRow(
            call.quote.at_ms, call.quote.said, move_name(segment) if segment else "", claim(measured),
            truth(measured), off, CALL_VERDICTS[measured.verdict], measured.verdict in ("long", "short"),
        ))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class SideRow:
    """Left against right of a move."""

    at_ms: int
    name: str
    left: str
    right: str
    difference: str
    verdict: str


def side_rows(measures: Measures) -> tuple[SideRow, ...]:
    """One row a move and round with sides."""
    return tuple(
        SideRow(
            s.at_ms, capital(s.exercise) + (f", round {s.round}" if s.round else ""), _side(s.left_s, s),
            _side(s.right_s, s), f"{drift(s.difference_s, s.difference_sd_s)} {give(s.difference_sd_s)}",
            s.verdict if s.left_s and s.right_s else "one side only",
        )
        for s in measures.sides
    )


def _side(value_s: float, balance: SideBalance) -> str:
    return seconds(value_s, balance.difference_sd_s) if value_s else "not heard"


@dataclass(frozen=True, slots=True)
class CueCell:
    """``text`` as in the chart; the times of the cues that were heard, and of those that may be one."""

    kind: CueKind
    text: str
    times: tuple[int, ...]
    perhaps: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CueRow:
    """A move with a cell for each kind of cue."""

    at_ms: int
    name: str
    times: int
    cells: tuple[CueCell, ...]


def cue_rows(moves: Sequence[Move], asked: Sequence[CueKind]) -> tuple[CueRow, ...]:
    """One row a move."""
    return tuple(
        CueRow(
            m.at_ms, capital(m.name), len(m.intervals),
            tuple(
                CueCell(
                    kind, cell_text(m, kind, asked),
                    tuple(c.at_ms for c in m.cues if c.kind == kind and c.probability >= HEARD),
                    tuple(q.at_ms for q in m.perhaps(kind)),
                )
                for kind in CUE_KINDS
            ),
        )
        for m in moves
    )


@dataclass(frozen=True, slots=True)
class GeneralCue:
    """A cue that belongs to no move."""

    at_ms: int
    kind: CueKind
    said: str


def general_cues(material: Material) -> tuple[GeneralCue, ...]:
    """Cues to the class as a whole, in order of time."""
    of_moves: set[Cue] = {cue for move in material.moves for cue in move.cues}
    others = (cue for cue in material.outline.cues if cue not in of_moves)
    return tuple(GeneralCue(c.at_ms, c.kind, c.quote.said) for c in others)
