"""Every rule clears what holds it and convicts what breaks it, by its own id and no other."""

from __future__ import annotations

import pytest
from later_rule_cases import LATER_CASES
from rule_cases import CASES as EARLIER_CASES
from rule_cases import JOB, PLAN, Case, Pair

from planner.check import RULES, check, first_breach
from planner.check.air import AIR_CHECKS
from planner.job import Job
from planner.schedule import first_plan
from tests.schedule.test_each_rule_decides import PAIRS


def planned_within(right: Job, judged: Job) -> Pair:
    """The first plan of the job on the right side of a rule, and the job by which it is judged."""
    plan = first_plan(right)
    assert plan is not None
    return plan.replace(stages=()), judged


def of_deciding_jobs(wrong: Job, right: Job) -> Case:
    return Case(lambda: planned_within(right, wrong), lambda: planned_within(right, right))


BY_HAND = {**EARLIER_CASES, **LATER_CASES}
CASES = {rule: of_deciding_jobs(*pair) for rule, pair in PAIRS.items()} | BY_HAND


#: Rules whose cases are in tests of air.
AIR = {rule.id for one in AIR_CHECKS for rule in one.rules}


def test_every_rule_has_a_case() -> None:
    """The cases cover every id of the rules and none that is not there; those of air and gear are beside."""
    assert set(CASES) == set(RULES) - AIR - {"outfit-size", "outfit-length"}


def test_the_plan_by_hand_holds_every_rule() -> None:
    """A plan made by hand from the published tables is clear of every breach."""
    assert check(JOB, PLAN) == ()


@pytest.mark.parametrize("rule", sorted(CASES))
def test_a_breach_is_convicted_by_its_rule_alone(rule: str) -> None:
    """One small change breaks one rule: the check names exactly that rule."""
    plan, job = CASES[rule].breaks()
    breaches = check(job, plan)
    assert {b.rule for b in breaches} == {rule}, breaches
    assert first_breach(job, plan) == breaches[0]
    assert all(b.sentence.endswith(".") and b.where for b in breaches)


@pytest.mark.parametrize("rule", sorted(CASES))
def test_the_right_side_of_a_rule_is_clear(rule: str) -> None:
    """A change that stays just within the rule breaks nothing."""
    plan, job = CASES[rule].holds()
    assert check(job, plan) == ()
    assert first_breach(job, plan) is None
