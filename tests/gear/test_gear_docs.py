"""The pages on air and gear say what the program does."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner import CAUTION
from planner.check import RULES
from planner.check.air import AIR_CHECKS
from planner.job import CrewRules, Gear

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize(
    ("page", "rules"),
    [
        ("air.md", [rule.id for one in AIR_CHECKS for rule in one.rules]),
        (
            "gear.md",
            [
                "outfit-size",
                "outfit-length",
                "standby-hose",
                "hose-short-of-hazard",
                "bailout-carried",
                "heavy-stage-and-hose",
            ],
        ),
    ],
)
def test_each_rule_stands_on_its_page(page: str, rules: list[str]) -> None:
    """Id and sentence of each rule are printed unchanged, under the caution."""
    text = (DOCS / page).read_text(encoding="utf-8")
    assert CAUTION in text
    for rule in map(RULES.__getitem__, rules):
        assert f"| `{rule.id}` | {rule.sentence} |" in text


def test_dressing_times_on_the_page() -> None:
    """The minutes in the text are the lists' sums."""
    text = (DOCS / "gear.md").read_text(encoding="utf-8")
    rules, heavy, light = CrewRules(), Gear.HEAVY, Gear.LIGHT
    assert f"{rules.dressing_min(heavy)} min into heavy dress and {rules.undressing_min(heavy)}" in text
    assert f"{rules.dressing_min(light)} and {rules.undressing_min(light)} with a light helmet" in text
