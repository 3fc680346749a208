"""The first words of the page: what matters, in one sentence, and the class in numbers.

To give a rule a short name in that sentence, add a line to ``SHORT``; a rule without one is named by its id.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from analyzer.findings.find import rank
from analyzer.findings.records import Finding, Mend
from analyzer.findings.wording import capital, listing
from analyzer.measures.records import Totals
from analyzer.report.phrases import count, drift, give, move_name, number
from analyzer.review import Review
from analyzer.spans import clock

__all__ = ["SHORT", "Judgement", "Total", "judge_class", "totals"]

SHORT: dict[str, tuple[str, str]] = {
    "no_stop_caution": ("no word on when to stop", ""),
    "no_health_caution": ("no word on asking a doctor first", ""),
    "promised_round_missing": ("a promised round that never comes", "{n} promises of rounds not kept"),
    "promised_move_missing": ("a promised move that never comes", "{n} promises of moves not kept"),
    "side_missing": ("a move with one side only", "{n} moves with one side only"),
    "interval_drift": ("a work interval well off its length", "{n} work intervals well off their length"),
    "rest_drift": ("rest off its length", "{n} rests off their length"),
    "time_call_error": ("a wrong time call", "{n} wrong time calls"),
    "sides_unequal": ("a move with uneven sides", "{n} moves with uneven sides"),
    "no_easier_option": ("no easier option for some move", "no easier option for some moves"),
    "no_form_cue": ("no cue on form for some move", "no cue on form for some moves"),
    "no_breathing_cue": ("no word on breathing for some move", "no word on breathing for some moves"),
    "move_not_named": ("a move that is not named in time", "{n} moves that are not named in time"),
    "start_not_spoken": ("a start that nobody speaks", "{n} starts that nobody speaks"),
    "stop_not_spoken": ("an end that nobody speaks", "{n} ends that nobody speaks"),
    "no_warm_up": ("no warm-up", ""),
    "short_warm_up": ("a short warm-up", ""),
    "no_cool_down": ("no cool-down", ""),
    "short_cool_down": ("a short cool-down", ""),
    "short_stretch": ("stretches held too short", "stretches held too short"),
    "no_water_break": ("no word about water", ""),
    "drift_trend": ("intervals that change as the class goes on", ""),
    "undecided_intervals": ("intervals that the file cannot judge", ""),
    "file_problem": ("a problem in the caption file", "{n} kinds of problem in the caption file"),
}
"""What one finding of a rule is called, and several; ``{n}`` is how many."""
_ALONE: dict[Mend, str] = {
    "edit": "can be mended in the edit",
    "either": "can be mended in the edit or in another take",
    "retake": "needs another take",
    "next time": "is for next time",
}
NAMED = 4
"""Kinds of thing that the sentence names, and places that it gives for one of them."""
PLACED = 2
"""Kinds of thing up to which the sentence has room for places."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """``headline`` is the sentence of judgement, ``time`` how lengths were kept, ``mend`` what it takes."""

    headline: str
    time: str
    mend: str


@dataclass(frozen=True, slots=True)
class Total:
    """A number of the class with its name and, where it needs one, a remark."""

    name: str
    value: str
    remark: str = ""


def judge_class(review: Review) -> Judgement:
    """What matters, in plain words."""
    t = review.measures.totals
    if not t.work_intervals:
        nothing = "No announced intervals were found in this recording, so there is nothing to measure."
        return Judgement(nothing, "", "")
    ranked = rank(review.findings)
    must = [f for f in ranked if f.weight == "must fix"]
    should = [f for f in ranked if f.weight == "should fix"]
    if must:
        headline = f"{capital(count(len(must), 'thing'))} must be fixed: {_named(must)}."
    elif should:
        headline = f"Nothing must be fixed; {count(len(should), 'thing')} should be: {_named(should)}."
    elif t.undecided * 2 > t.timed_intervals:
        headline = "Nothing to fix was found, but this file leaves most lengths open."
    else:
        headline = "Nothing to fix was found."
    what = "must be fixed" if must else "should be fixed"
    return Judgement(headline, _time(t), _mend(must or should, what))


def _named(findings: Sequence[Finding]) -> str:
    kinds = Counter(f.rule for f in findings)
    unsure = {rule for rule in kinds if all("?" in f.message for f in findings if f.rule == rule)}
    said = []
    for rule, n in kinds.items():
        one, many = SHORT.get(rule, (rule.replace("_", " "), ""))
        text = (many or one).format(n=number(n)) if n > 1 else one
        times = [f.at_ms for f in findings if f.rule == rule and f.at_ms is not None]
        if len(kinds) <= PLACED and 0 < len(times) == n <= NAMED:
            text += f" ({listing([clock(at) for at in sorted(times)])})"
        said.append(f"perhaps {text}" if rule in unsure else text)
    return listing(said, most=NAMED)


def _time(t: Totals) -> str:
    if not t.timed_intervals:
        return f"No length was told for {'the' if t.work_intervals == 1 else 'any of the'} " \
               f"{count(t.work_intervals, 'work interval')}, so there is none to keep."
    parts = [
        (t.on_time, "kept their time" if t.on_time != 1 else "kept its time"),
        (t.long, "ran long"),
        (t.short, "stopped short"),
        (t.undecided, "cannot be judged from this file"),
    ]
    if t.on_time == t.timed_intervals:
        all_ = "The one work interval" if t.on_time == 1 else f"All {number(t.on_time)} work intervals"
        return f"{all_} with a told length kept {'its' if t.on_time == 1 else 'their'} time."
    if t.undecided == t.timed_intervals:
        one = t.undecided == 1
        return "The one told length cannot be judged from this file." if one else \
               f"None of the {number(t.undecided)} told lengths can be judged from this file."
    heard = listing([f"{number(n)} {words}" for n, words in parts if n])
    of = count(t.timed_intervals, "work interval")
    return f"Of {of} with a told length, {heard}."


def _mend(findings: Sequence[Finding], what: str) -> str:
    """What it takes to mend the findings of the highest weight."""
    if not findings:
        return ""
    by = Counter(f.mend for f in findings)
    parts = [
        (by["edit"], "can be mended in the edit"),
        (by["either"], "can be mended in the edit or in another take"),
        (by["retake"], "needs another take" if by["retake"] == 1 else "need another take"),
        (by["next time"], "is for next time" if by["next time"] == 1 else "are for next time"),
    ]
    if len(by) == 1:
        # what is one thing as a whole takes the verb of one
        return f"What {what} {_ALONE[findings[0].mend]}."
    said = listing([f"{number(n)} {words}" for n, words in parts if n])
    return f"Of what {what}, {said}."


def _open(undecided: int) -> str:
    return f"; {undecided} undecided" if undecided else ""


def totals(review: Review) -> tuple[Total, ...]:
    """The class in numbers, for the line under the judgement."""
    t, calls = review.measures.totals, review.measures.calls
    checked = [c for c in calls if c.verdict != "untimed"]
    right = sum(c.verdict == "on time" for c in checked)
    found = [Total("Length", clock(t.length_s * 1000))]
    if t.work_intervals:
        found.append(Total("Work", clock(t.work_s * 1000), count(t.work_intervals, "interval")))
    if t.rest_intervals:
        ratio = f"; work to rest {t.work_to_rest:.1f} to 1" if t.work_to_rest else ""
        found.append(Total("Rest", clock(t.rest_s * 1000), count(t.rest_intervals, "rest") + ratio))
    if t.timed_intervals:
        found.append(Total("On time", f"{t.on_time} of {t.timed_intervals}",
                           "told work intervals" + _open(t.undecided)))
        if off := [i for i in review.measures.intervals if i.segment.kind == "work"
                   and i.verdict in ("long", "short")]:
            worst = max(off, key=lambda i: abs(i.drift_s or 0.0))
            found.append(Total("Furthest off", drift(worst.drift_s or 0.0, worst.actual_sd_s),
                               f"{move_name(worst.segment, short=True)}, {clock(worst.segment.start.at_ms)}"))
    if t.drift_mean_s is not None and t.drift_mean_sd_s is not None:
        mean, sd = t.drift_mean_s, t.drift_mean_sd_s
        found.append(Total("Off on average", drift(mean, sd), give(sd)))
    if checked:
        found.append(Total("Time calls right", f"{right} of {len(checked)}",
                           _open(sum(c.verdict == "undecided" for c in checked)).removeprefix("; ")))
    if review.outline.cues:
        found.append(Total("Coaching cues", str(len(review.outline.cues))))
    return tuple(found)
