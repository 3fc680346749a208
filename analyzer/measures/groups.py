"""Intervals taken together: left against right, and the blocks of a class.

Sums share moments (the stop of one interval is the start of the next); ``combined_sd_s`` counts each once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Literal

from analyzer.measures.records import Block, Interval, SideBalance
from analyzer.measures.verdict import combined_sd_s, judge
from analyzer.outline.records import Edge, Segment, Side

__all__ = ["measure_blocks", "measure_sides"]

_BALANCE: dict[str, Literal["equal", "left longer", "right longer", "undecided"]] = {
    "on time": "equal", "long": "left longer", "short": "right longer", "undecided": "undecided",
}


def measure_sides(segments: Sequence[Segment], tolerance_s: float) -> tuple[SideBalance, ...]:
    """Left against right of each move, in order of its first interval.

    Sums are by move and round. Where some round has one side only (left in round one, right in round two)
    the move is summed over the class, with round None. A move with one side only has 0.0 for the other.
    Only sides counted by time: repetitions and breaths may take what they take.
    """
    sided = [s for s in segments if s.kind == "work" and s.side and s.exercise and s.counted == "time"]
    balances: list[SideBalance] = []
    for name in dict.fromkeys(s.exercise for s in sided):
        of_move = [s for s in sided if s.exercise == name]
        rounds = [[s for s in of_move if s.round == r] for r in dict.fromkeys(s.round for s in of_move)]
        if all({s.side for s in group} == {"left", "right"} for group in rounds):
            balances += [_balance(group, group[0].round, tolerance_s) for group in rounds]
        else:
            only = {s.round for s in of_move}
            balances.append(_balance(of_move, only.pop() if len(only) == 1 else None, tolerance_s))
    return tuple(sorted(balances, key=lambda b: b.at_ms))


def _balance(group: Sequence[Segment], round_: int | None, tolerance_s: float) -> SideBalance:
    left, right = _side_s(group, "left"), _side_s(group, "right")
    terms = [
        term
        for s in group
        for sign in (1.0 if s.side == "left" else -1.0,)
        for term in ((sign, s.stop), (-sign, s.start))
    ]
    sd = combined_sd_s(terms)
    return SideBalance(
        exercise=group[0].exercise or "",
        round=round_,
        left_s=left,
        right_s=right,
        difference_s=left - right,
        difference_sd_s=sd,
        verdict=_BALANCE[judge(left - right, sd, tolerance_s)],
        at_ms=group[0].start.at_ms,
    )


def _side_s(group: Iterable[Segment], side: Side) -> float:
    return sum(s.span.duration_ms for s in group if s.side == side) / 1000


def measure_blocks(intervals: Sequence[Interval]) -> tuple[Block, ...]:
    """Drift over consecutive intervals of one phase and round; a rest counts to the work before it."""
    keyed: list[tuple[tuple[str, int | None], int]] = []
    round_: int | None = next((i.segment.round for i in intervals if i.segment.kind == "work"), None)
    for index, interval in enumerate(intervals):
        if interval.segment.kind == "work":
            round_ = interval.segment.round
        keyed.append(((interval.segment.phase, round_), index))
    return tuple(
        _block(key[1], tuple(index for _, index in group), intervals)
        for key, group in groupby(keyed, key=lambda pair: pair[0])
    )


def _block(round_: int | None, indices: tuple[int, ...], intervals: Sequence[Interval]) -> Block:
    timed = [intervals[i] for i in indices if intervals[i].drift_s is not None]
    edges: list[tuple[float, Edge]] = [
        term for i in timed for term in ((1.0, i.segment.stop), (-1.0, i.segment.start))
    ]
    announced, actual = sum(i.segment.announced_s or 0.0 for i in timed), sum(i.actual_s for i in timed)
    first, last = intervals[indices[0]].segment, intervals[indices[-1]].segment
    return Block(
        phase=first.phase,
        round=round_,
        start_ms=first.start.at_ms,
        stop_ms=last.stop.at_ms,
        intervals=indices,
        timed=len(timed),
        announced_s=announced,
        actual_s=actual,
        drift_s=actual - announced,
        drift_sd_s=combined_sd_s(edges),
    )
