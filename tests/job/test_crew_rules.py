"""Crew rules: what a job made anew begins with, and who may hold two duties at once."""

from __future__ import annotations

from planner.job import CrewRules, DutyPair
from planner.job.crew_rules import NEW_JOB_RULES
from planner.job.duties import CONSOLE, LOG_KEEPER, SUPERVISOR


def test_a_job_made_anew_begins_with_one_briefing_and_three_hours_in_dress() -> None:
    """The whole crew at once, and a standby diver dressed for three hours at most (common practice); all else
    as the fields have it, which an earlier job is opened with."""
    assert (CrewRules().one_briefing, CrewRules().standby_dressed_max_min) == (False, 0)
    assert CrewRules().replace(one_briefing=True, standby_dressed_max_min=180) == NEW_JOB_RULES


def test_a_pair_allows_its_two_duties_and_no_duty_twice() -> None:
    """Console and log keeper in either order; nobody keeps two logs at once."""
    rules = CrewRules(pairs=(DutyPair(duty=CONSOLE, with_duty=LOG_KEEPER),))
    assert rules.may_combine(CONSOLE, LOG_KEEPER) and rules.may_combine(LOG_KEEPER, CONSOLE)
    assert not rules.may_combine(LOG_KEEPER, LOG_KEEPER)
    assert not rules.may_combine(LOG_KEEPER, SUPERVISOR)
