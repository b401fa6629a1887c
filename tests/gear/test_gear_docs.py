"""The pages on air and gear say what the program does."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner import CAUTION
from planner.check import RULES
from planner.check.air import AIR_CHECKS
from planner.gear import suggested_dressing_min, suggested_undressing_min
from planner.job import Gear

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize(
    ("page", "rules"),
    [
        ("air.md", [rule.id for one in AIR_CHECKS for rule in one.rules]),
        ("gear.md", ["outfit-size", "outfit-length"]),
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
    heavy, light = Gear.HEAVY, Gear.LIGHT
    assert (
        f"{suggested_dressing_min(heavy)} min into heavy dress and {suggested_undressing_min(heavy)}" in text
    )
    assert (
        f"{suggested_dressing_min(light)} and {suggested_undressing_min(light)} with a light helmet" in text
    )
