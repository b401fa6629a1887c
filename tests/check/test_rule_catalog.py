"""The rules, limits and least teams as data: complete, sourced, and printed as they stand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner.check import RULES, Basis
from planner.check.limits import LIMITS
from planner.check.verdict import CHECKS
from planner.job import CrewRules
from planner.job.duties import (
    BUILT_IN_DUTIES,
    CHAMBER_OPERATOR,
    DEFAULT_MINIMA,
    DIVER,
    ENTRY_DIVER,
    STANDBY,
    SUPERVISOR,
    TENDER,
    crew_rule_of,
)
from planner.job.presets import DEFAULT_PRESET, PRESETS
from planner.job.units import Measured
from tests.rules_page import rules_page


def test_ids_are_kebab_case_and_unique() -> None:
    """An id is its own key, in trade words joined by hyphens."""
    assert all(key == rule.id for key, rule in RULES.items())
    assert all(re.fullmatch(r"[a-z]+(-([a-z]+|[0-9]+))*", key) for key in RULES)


def test_every_rule_is_one_sentence_with_a_source() -> None:
    """Sentence, source and basis stand beside every rule; a regulation names its paragraph."""
    for rule in RULES.values():
        assert rule.sentence.endswith(".") and rule.sentence[0].isupper(), rule.id
        assert rule.source, rule.id
        if rule.basis is Basis.REGULATION:
            assert re.search(r"CFR \d+|MLC 2006", rule.source), rule.id
        if rule.basis is Basis.PUBLISHED_TABLE:
            assert "table" in rule.source, rule.id


def test_every_duty_but_the_divers_has_its_crew_rule() -> None:
    """A missing hand in any built-in duty is convicted by a rule of its own, any other by crew-other."""
    ids = [crew_rule_of(duty) for duty in BUILT_IN_DUTIES if duty != DIVER]
    assert len(set(ids)) == len(ids)
    assert "crew-other" not in ids
    assert crew_rule_of("boat driver") == "crew-other"
    assert set(ids) < set(RULES)


def test_each_rule_stands_once() -> None:
    """A rule is convicted by one check, and is set by fields that the crew rules have."""
    ids = [rule.id for one in CHECKS for rule in one.rules]
    assert len(ids) == len(set(ids)) == len(RULES)
    assert {field for rule in RULES.values() for field in rule.limits} <= set(CrewRules.model_fields)


def test_every_scalar_limit_is_explained() -> None:
    """Every field of the crew rules that is a number, a name or the weights has label, sentence, source.

    The tables of rows have not, nor what only keeps metric figures as they were typed.
    """
    tables_of_rows = {"minima", "pairs", "duty_certificates", "bench_steps"}
    assert set(LIMITS) == set(CrewRules.model_fields) - tables_of_rows - set(Measured.model_fields)
    for field, limit in LIMITS.items():
        assert limit.field == field
        assert limit.label and limit.sentence.endswith(".") and limit.source
        if field.endswith("_min") and not field.endswith("_per_min"):
            assert limit.unit == "min"
        if field.endswith("_fsw"):
            assert limit.unit == "fsw"
    assert len({limit.label for limit in LIMITS.values()}) == len(LIMITS)


def least_team(name: str, **conditions: bool) -> int:
    """People of a preset for one diver in a light helmet, the pair of console and log in one person."""
    deep, stops, enclosed = (conditions.get(k, False) for k in ("deep", "stops", "enclosed"))
    counts: dict[str, int] = {}
    for row in PRESETS[name].minima:
        holds = (
            (row.gear is None or row.gear.value == "light helmet")
            and (row.deeper_than_fsw is None or deep)
            and (stops or not row.decompression)
            and (enclosed or not row.enclosed_space)
        )
        if holds:
            counts[row.duty] = max(row.count, counts.get(row.duty, 0))
    if {"air console", "log keeper"} <= set(counts):
        del counts["log keeper"]
    return 1 + sum(counts.values())


@pytest.mark.parametrize(
    ("name", "people"),
    [
        ("three", 3),  # person in charge, diver, tender: OSHA CPL 02-00-151
        ("five", 5),  # supervisor, diver, standby, a tender each: HSE L104 (2014)
        ("five and a console", 6),  # common practice
        ("six", 5),  # six only deeper than 100 fsw, decompressing or penetrating: USACE EM 385-1-1
    ],
)
def test_least_teams_add_up(name: str, people: int) -> None:
    """The named teams have as many people as their sources say, for one diver without special hazard."""
    assert least_team(name) == people


def test_the_sixth_and_the_law() -> None:
    """Deeper than 100 fsw six have a sixth beside the chamber operator that 29 CFR 1910.423(c) asks of every
    team; three then have a standby diver, 29 CFR 1910.425(c)(4); and an enclosed space has a diver at the
    entry, 29 CFR 1910.425(c)(2)."""
    assert least_team("five", deep=True) == 5 + 1
    assert least_team("six", deep=True) == 6 + 1
    assert least_team("six", stops=True) == 6 + 1
    assert least_team("six", enclosed=True) == 6 + 1
    assert least_team("three", deep=True) == 3 + 2
    for preset in PRESETS.values():
        duties = {row.duty for row in preset.minima}
        assert {SUPERVISOR, TENDER, STANDBY, CHAMBER_OPERATOR, ENTRY_DIVER} <= duties


def test_the_default_team_is_what_a_job_starts_with() -> None:
    """A job without crew rules of its own has the default least team."""
    assert CrewRules().preset == DEFAULT_PRESET
    assert PRESETS[DEFAULT_PRESET].minima == DEFAULT_MINIMA
    three = PRESETS["three"].on(CrewRules(dives_a_day=1))
    assert (three.preset, three.dives_a_day) == ("three", 1)
    assert three.minima == PRESETS["three"].minima


def test_the_page_is_current() -> None:
    """docs/rules.md is what the rules say; remake it with `python -m tests.make_pages`."""
    page = Path(__file__).parents[2] / "docs" / "rules.md"
    assert page.read_text(encoding="utf-8") == rules_page()


def test_the_page_names_every_rule_and_limit() -> None:
    """Every id, every limit's label and every team stands on the page."""
    page = rules_page()
    assert all(f"`{key}`" in page for key in RULES)
    assert all(f"| {limit.label} |" in page for limit in LIMITS.values())
    assert all(f"### {name}" in page for name in PRESETS)
