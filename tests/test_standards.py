"""Class standards: the general one is complete, house files override it, and mistakes name their line."""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent
from typing import get_args

import pytest

from analyzer.errors import ConfigError
from analyzer.findings.find import CHECKS
from analyzer.findings.records import Mend, Weight
from analyzer.measures.verdict import Tolerance
from analyzer.standards.standard import FIELDS, load, profiles


def house(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "house.toml"
    path.write_text(dedent(text), encoding="utf-8")
    return path


def test_every_rule_has_a_check_and_every_check_a_rule() -> None:
    assert set(load().rules) == set(CHECKS)


@pytest.mark.parametrize("name", list(profiles()))
def test_rules_say_all_that_a_finding_needs(name: str) -> None:
    for rule in load(profiles()[name]).rules.values():
        assert rule.title.endswith(".")
        assert rule.weight in get_args(Weight)
        assert rule.mend in get_args(Mend)
        assert rule.why
        assert rule.source
        assert rule.advice.format_map(dict.fromkeys(FIELDS, "x"))
        assert all(key.endswith(("_s", "_share", "_from")) for key in rule.limits)


def test_numbers_from_exercise_guidance() -> None:
    rules, older = load().rules, load(profiles()["older_adults"]).rules
    # ACSM's Guidelines 11th ed., table 5.6, in ACSM's own summary: 10 to 30 s, older adults 30 to 60 s
    assert rules["short_stretch"].limit("least_s") == 10
    assert older["short_stretch"].limit("least_s") == 30
    # ACSM: warm-up (quoted) and cool-down (memory) of 5 to 10 minutes: 5 are enough for any class
    assert rules["short_warm_up"].limit("enough_s") == rules["short_cool_down"].limit("enough_s") == 300


def test_a_house_file_changes_what_it_names_and_nothing_else(tmp_path: Path) -> None:
    general = load()
    ours = load(house=house(tmp_path, """
        name = "Our studio"
        [rules.interval_drift]
        tolerance_s = 3
        weight = "must fix"
        [rules.no_water_break]
        weight = "off"
        """))
    assert ours.name == "Our studio"
    assert ours.tolerance == Tolerance(work_s=3.0, rest_s=2.0, call_s=3.0, sides_s=2.0)
    assert ours.rules["interval_drift"].weight == "must fix"
    assert ours.rules["interval_drift"].title == general.rules["interval_drift"].title
    assert ours.rules["no_water_break"].weight == "off"
    changed = {"interval_drift", "no_water_break"}
    assert all(ours.rules[name] == rule for name, rule in general.rules.items() if name not in changed)
    assert general == load()  # nothing of the house stays behind


def test_house_comes_after_profile(tmp_path: Path) -> None:
    path = house(tmp_path, "[rules.short_stretch]\nleast_s = 45\n")
    both = load(profiles()["older_adults"], path)
    assert both.rules["short_stretch"].limit("least_s") == 45
    assert both.rules["no_easier_option"].weight == "must fix"
    assert both.name == "Class standard for older adults"


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("[rules.interval_drft]\nweight = 'note'\n", 1, 'unknown rule "interval_drft"; use "interval_drift"'),
        ("[rules.interval_drift]\n\ntolerance = 3\n", 3, 'unknown key "tolerance" in rule interval_drift; '
         'use "tolerance_s"'),
        ("[rules.rest_drift]\ntolerance_s = 1\n[rules.interval_drift]\ntolerance_s = -1\n", 4,
         "tolerance_s of rule interval_drift is -1; give a number of 0 or more"),
        ("[rules.interval_drift]\ntolerance_s = true\n", 2, "give a number"),
        ("[rules.interval_drift]\ntolerance_s = nan\n", 2, "give a number"),
        ("[rules.interval_drift]\nweight = 'must'\n", 2, "give one of must fix, should fix, note, off"),
        ("[rules.interval_drift]\nmend = 'reshoot'\n", 2, "give one of edit, retake, either, next time"),
        ("[rules.interval_drift]\nwhy = ''\n", 2, "give a text"),
        ("[rules.interval_drift]\nadvice = 'Stop at {goal}.'\n", 2, "{goal} is unknown: use move, at"),
        ("[rules.interval_drift]\nadvice = 'Stop at {announced.'\n", 2, "close each brace"),
        ("[rules.short_warm_up]\nleast_share = 10\n", 2, "give a share from 0 to 1"),
        ("[rules.no_stop_caution]\nlisten_for = 'pain'\n", 2, "give a list of words"),
        ("nmae = 'Ours'\n", 1, 'unknown key "nmae"; use "name"'),
        ("name = 3\n", 1, "name is not text"),
        ("rules = 3\n", 1, "rules is not a table"),
        ("[rules]\ninterval_drift = 3\n", None, "interval_drift is not a table"),
        ("[rules.interval_drift]\ntolerance_s 3\n", 2, "not TOML"),
    ],
)
def test_mistakes_name_file_line_and_the_right_key(
    tmp_path: Path, text: str, line: int | None, message: str
) -> None:
    path = house(tmp_path, text)
    with pytest.raises(ConfigError) as raised:
        load(house=path)
    assert raised.value.path == path
    assert raised.value.line == line
    assert message in str(raised.value)
    assert "\n" not in str(raised.value)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match="cannot be read"):
        load(tmp_path / "none.toml")
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(ConfigError, match="not UTF-8"):
        load(tmp_path / "bytes.toml")


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    path = tmp_path / "bom.toml"
    path.write_bytes(b'\xef\xbb\xbfname = "Ours"\n')
    assert load(house=path).name == "Ours"
