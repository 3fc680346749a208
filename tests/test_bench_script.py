"""Scripted classes: what the format means, how it is spoken, and what is said of one that is broken."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from textwrap import dedent
from typing import Any

import pytest
from bench_documents import NAMES
from oracle import CLASSES, script

from analyzer.bench.script import Performance, Script, ScriptError, parse, perform, syllables
from analyzer.bench.truth import truth

CLASS = """\
    title: Two moves
    syllables_per_second: 4.0
    first_word_at: 2.5
    ---
    # nobody hears this
    +0 | [[phase opening]] Welcome in.
    +1 | [[phase main]] [[intro "squats"]] {{form: Chest up}}, now [[work 40 "squats" round=2]] go.
    @20 | {{call elapsed 20: Twenty in.}} {{call fraction 0.5: Halfway.}}
    @40 | And [[end]] [[rest 15]] rest. {{regression: Use {{form: a low chair}} next time.}}
    @12 | {{safety: Mind your [[intro "lunges"]] knees here.}}
    @15 | [[work reps "lunges" side=left]] Go,
    @9 | and [[end]] [[rest]] done.
    """


def written(folder: Path, text: str) -> Path:
    path = folder / "small.class"
    path.write_text(dedent(text), encoding="utf-8")
    return path


@pytest.fixture
def small(tmp_path: Path) -> Performance:
    return perform(parse(written(tmp_path, CLASS)))


def at(performance: Performance, text: str) -> float:
    """When a word is said, as the truth has it."""
    (word,) = [w for w in performance.words if w.text == text]
    return round(word.start, 3)


def test_what_is_read(small: Performance) -> None:
    read = small.script
    assert (read.name, read.title, read.syllables_per_second) == ("small", "Two moves", 4.0)
    assert " ".join(read.words) == (
        "Welcome in. Chest up, now go. Twenty in. Halfway. And rest. Use a low chair next time. "
        "Mind your knees here. Go, and done."
    )
    assert [line.seconds for line in read.lines] == [0, 1, 20, 40, 12, 15, 9]


def test_what_is_true(small: Performance) -> None:
    facts = truth(small)
    assert [(p["phase"], p["start_s"]) for p in facts["phases"]] == [
        ("opening", 2.5),
        ("main", at(small, "Chest")),
    ]
    first, rest, second = facts["intervals"]
    assert first == {
        "kind": "work", "counted": "time", "exercise": "squats", "announced_s": 40.0, "side": None,
        "round": 2, "phase": "main", "start_s": at(small, "go."), "stop_s": at(small, "rest."),
    }  # fmt: skip
    # the rest lasts until the next work; the last one has none and is dropped
    assert (rest["kind"], rest["announced_s"], rest["start_s"], rest["stop_s"]) == (
        "rest", 15.0, at(small, "rest."), at(small, "Go,"),
    )  # fmt: skip
    assert (second["counted"], second["announced_s"], second["side"]) == ("reps", None, "left")
    assert (second["start_s"], second["stop_s"]) == (at(small, "Go,"), at(small, "done."))


def test_calls_and_cues(small: Performance) -> None:
    facts = truth(small)
    assert [(c["kind"], c["value"], c["said"], c["at_s"]) for c in facts["calls"]] == [
        ("elapsed", 20.0, "Twenty in.", at(small, "Twenty")),
        ("fraction", 0.5, "Halfway.", at(small, "Halfway.")),
    ]
    # a span in a span closes first; an [[intro]] inside a span counts for it
    assert [(c["kind"], c["exercise"], c["said"]) for c in facts["cues"]] == [
        ("form", "squats", "Chest up,"),
        ("form", "squats", "a low chair"),
        ("regression", "squats", "Use a low chair next time."),
        ("safety", "lunges", "Mind your knees here."),
    ]


def test_when_words_are_said(small: Performance) -> None:
    words = {w.text: w for w in small.words}
    assert small.words[0].start == 2.5
    # a line of "+1" starts one second after the sentence pause of the line before, 0.30 to 0.55 s
    assert 1.30 <= words["Chest"].start - small.words[1].end <= 1.55
    # "@20" is twenty seconds after the work began, give or take the 0.3 s of a person
    assert words["Twenty"].start - words["go."].start == pytest.approx(20, abs=0.3)
    assert words["And"].start - words["go."].start == pytest.approx(40, abs=0.3)
    # [[end]] restarts that clock
    assert words["Go,"].start - words["rest."].start == pytest.approx(15, abs=0.3)
    for before, after in pairwise(small.words):
        assert before.start < before.end < after.start
    for word in small.words:
        assert word.end - word.start == pytest.approx(syllables(word.text) / 4.0, rel=0.15)


def test_punctuation_after_a_span_belongs_to_its_last_word(tmp_path: Path) -> None:
    body = "title: x\n---\n+0 | {} go now, and on.\n"
    tagged = perform(parse(written(tmp_path, body.format("{{form: Chest up}},"))))
    plain = perform(parse(written(tmp_path, body.format("Chest up,"))))
    assert tagged.words == plain.words
    assert 0.12 <= tagged.words[2].start - tagged.words[1].end <= 0.30  # the pause of a comma


@pytest.mark.parametrize("name", NAMES)
def test_the_same_script_is_always_spoken_the_same(name: str) -> None:
    first = perform(parse(script(name)))
    assert perform(parse(script(name))) == first
    assert truth(perform(parse(script(name)))) == truth(first)
    other = perform(first.script, seed="another evening")
    assert other.words != first.words
    assert [w.text for w in other.words] == [w.text for w in first.words]


def test_pace_shortens_words_and_leaves_pauses(small: Performance) -> None:
    fast = perform(small.script, pace=2.0)
    for slow_word, fast_word in zip(small.words, fast.words, strict=True):
        assert fast_word.end - fast_word.start == pytest.approx((slow_word.end - slow_word.start) / 2)
    gaps = [[b.start - a.end for a, b in pairwise(p.words[:2])] for p in (small, fast)]
    assert gaps[0] == pytest.approx(gaps[1])


def test_articulation_is_that_of_people() -> None:
    # spontaneous talk runs at 4 to 5 syllables a second; 3.4 slow and 5.1 fast groups (Jacewicz 2009, memory)
    for name in NAMES:
        made = perform(parse(script(name)))
        talking = sum(w.end - w.start for w in made.words)
        assert 3.4 <= sum(syllables(w.text) for w in made.words) / talking <= 5.3


def test_every_class_is_in_order() -> None:
    seen = 0
    for path in sorted(CLASSES.glob("*.class")):
        facts = truth(perform(parse(path)))
        intervals = facts["intervals"]
        assert all(i["start_s"] < i["stop_s"] for i in intervals), path.name
        assert all(a["stop_s"] <= b["start_s"] for a, b in pairwise(intervals)), path.name
        last = facts["words"][-1][2]
        assert all(0 <= c["at_s"] <= last for c in (*facts["cues"], *facts["calls"])), path.name
        seen += 1
    assert seen > 0


@pytest.mark.parametrize(
    ("lines", "number", "says"),
    [
        (["go now"], 3, r"not a line: go now; write '\+SECONDS \| text' or '@SECONDS \| text'"),
        (["+0 | hi", "", "# note", "-4 | go"], 6, "not a line: -4"),
        (["+0 | hi", "+0 | [[jump]] hi"], 4, r"unknown mark \[\[jump\]\]; use one of phase, intro, work"),
        (
            ["+0 | [[phase noon]] hi"],
            3,
            r"not a mark: \[\[phase noon\]\]; write \[\[phase P\]\], P one of opening, warm-up, main",
        ),
        (["+0 | {{shape: hi}}"], 3, r"unknown span \{\{shape\}\}; use call or a kind of cue"),
        (["+0 | [[phase]] hi"], 3, r"not a mark: \[\[phase\]\]"),
        (["+0 | [[]] hi"], 3, r"unknown mark \[\[\]\]"),
        (["+0 | [[intro]] hi"], 3, r'not a mark: \[\[intro\]\]; write \[\[intro "move"\]\]'),
        (['+0 | [[intro ""]] hi'], 3, "not a mark"),
        (["+0 | [[work]] hi"], 3, r"not a mark: \[\[work\]\]; write \[\[work 40"),
        (['+0 | [[work "squats"]] hi'], 3, "not a mark"),
        (['+0 | [[work forty "squats"]] hi'], 3, "not a mark"),
        (['+0 | [[work 0 "squats"]] hi'], 3, "not a mark"),
        (['+0 | [[work 40 "squats" side=up]] hi'], 3, "not a mark"),
        (['+0 | [[work 40 "squats" round=x]] hi'], 3, "not a mark"),
        (['+0 | [[work 40 "squats" round=1 round=2]] hi'], 3, "says a thing twice"),
        (["+0 | [[end now]] hi"], 3, "not a mark"),
        (["+0 | [[rest x]] hi"], 3, r"not a mark: \[\[rest x\]\]; write \[\[rest 20\]\]"),
        (["+0 | {{: hi}}"], 3, r"unknown span \{\{\}\}"),
        (["+0 | {{form hi}}"], 3, r"no kind and colon: \{\{form hi\}\}; write"),
        (["+0 | {{form:}} hi"], 3, r"no word in \{\{form:\}\}; put the words before"),
        (["+0 | {{form 3: hi}}"], 3, r"not a span: \{\{form 3: ...\}\}; write \{\{form: ...\}\}"),
        (["+0 | {{call}} hi"], 3, r"no kind and colon: \{\{call\}\} hi"),
        (["+0 | {{call: hi}}"], 3, r"not a span: \{\{call: ...\}\}; write \{\{call KIND NUMBER: ...\}\}"),
        (["+0 | {{call elapsed: hi}}"], 3, "not a span"),
        (["+0 | {{call elapsed x: hi}}"], 3, "not a span"),
        (["+0 | {{call sometime 3: hi}}"], 3, "not a span"),
        (["+0 | {{call fraction 1.5: hi}}"], 3, "a fraction 1 or less"),
        (["+0 | {{form: hi"], 3, r"'\{\{form' is never closed; close it on its line"),
        (["+0 | hi}} there"], 3, r"'\}\}' closes nothing; open the span"),
        (["+0 | hi", '+0 | go [[work 40 "squats"]]'], 4, "the last mark has no word after it"),
        (['+0 | [[work 40 "a"]] go', '+4 | [[work 40 "b"]] go'], 4, r"\[\[work\]\] inside an open interval"),
        (['+0 | [[work 40 "a"]] [[end]] go'], 3, r"\[\[end\]\] on the word of its \[\[work\]\]"),
        (['+0 | [[work 40 "a"]] go [[end]] now', "+4 | [[rest 20]] and breathe"], 4, "away from an"),
        (["+0 | hi", "+0 | [[end]] done"], 4, r"\[\[end\]\] with no open interval"),
    ],
)
def test_what_breaks_the_format_is_named_with_its_line(
    tmp_path: Path, lines: list[str], number: int, says: str
) -> None:
    path = written(tmp_path, "\n".join(["title: x", "---", *lines, ""]))
    with pytest.raises(ScriptError, match=says) as caught:
        truth(perform(parse(path)))
    assert caught.value.line == number


def test_a_class_without_header_or_without_an_end(tmp_path: Path) -> None:
    with pytest.raises(ScriptError, match="no '---' line after the header"):
        parse(written(tmp_path, "+0 | hi\n"))
    with pytest.raises(ScriptError, match="3: nothing is said after '---'"):
        parse(written(tmp_path, "title: x\n\n---\n# not said\n"))
    with pytest.raises(ScriptError, match="cannot be read"):
        parse(tmp_path / "nowhere.class")
    with pytest.raises(ScriptError, match=r"the last \[\[work\]\] never ends; add \[\[end\]\]"):
        truth(perform(parse(written(tmp_path, 'title: x\n---\n+0 | [[work 40 "a"]] go\n'))))


@pytest.mark.parametrize(
    ("head", "says"),
    [
        ("syllables_per_second: fast", "2: syllables_per_second is no number above zero: fast; write it as"),
        ("syllables_per_second: 0", "2: syllables_per_second is no number above zero: 0"),
        ("first_word_at: -1", "2: first_word_at is no number"),
        ("pace: 4", "2: unknown key 'pace' in the header; use one of title, syllables_per_second"),
        ("a class", "2: not a line of the header: a class; write 'key: value'"),
    ],
)
def test_what_the_header_cannot_say(tmp_path: Path, head: str, says: str) -> None:
    with pytest.raises(ScriptError, match=says):
        parse(written(tmp_path, f"title: x\n{head}\n---\n+0 | hi\n"))


def test_a_header_may_be_short(tmp_path: Path) -> None:
    read: Script = parse(written(tmp_path, "title:\n---\n+0 | hi\n"))
    facts: dict[str, Any] = truth(perform(read))
    assert (read.title, read.syllables_per_second, read.first_word_at) == ("small", 4.4, 1.0)
    assert facts["intervals"] == facts["phases"] == facts["cues"] == []


@pytest.mark.parametrize(
    ("word", "count"), [("squat", 1), ("elbow", 2), ("lunge", 1), ("seventy", 3), ("little", 2), ("go!", 1)]
)
def test_syllables(word: str, count: int) -> None:
    assert syllables(word) == count
