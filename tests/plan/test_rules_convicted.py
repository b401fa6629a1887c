"""Every rule clears what holds it and convicts what breaks it, by its own id and no other."""

from __future__ import annotations

import pytest
from later_rule_cases import LATER_CASES
from rule_cases import CASES as EARLIER_CASES
from rule_cases import JOB, PLAN

from planner.plan import check
from planner.rules import RULES

CASES = {**EARLIER_CASES, **LATER_CASES}


def test_every_rule_has_a_case() -> None:
    """The cases cover every id of the rules and none that is not there."""
    assert set(CASES) == set(RULES)


def test_the_plan_by_hand_holds_every_rule() -> None:
    """A plan made by hand from the published tables is clear of every breach."""
    assert check(PLAN, JOB) == ()


@pytest.mark.parametrize("rule", sorted(RULES))
def test_a_breach_is_convicted_by_its_rule_alone(rule: str) -> None:
    """One small change breaks one rule: the check names exactly that rule."""
    plan, job = CASES[rule].breaks()
    breaches = check(plan, job)
    assert {b.rule for b in breaches} == {rule}, breaches
    assert all(b.sentence.endswith(".") and b.where for b in breaches)


@pytest.mark.parametrize("rule", sorted(RULES))
def test_the_right_side_of_a_rule_is_clear(rule: str) -> None:
    """A change that stays just within the rule breaks nothing."""
    plan, job = CASES[rule].holds()
    assert check(plan, job) == ()
