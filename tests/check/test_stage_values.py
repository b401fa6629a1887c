"""The stages of the objective that a plan itself proves, added up by hand from the sound plan of these tests.

People-hours: the crew of dives 1 and 3 is there 293 (Ana, Tia), 273 (Cal, Dan, Sam, Uwe), 303 (Pia) and
353 min (Tom, who rigs from 07:00), that of dive 2 58 (five) and 68 min (four), Rob 240 and Cat 60.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from longer_days import over_two_days

from planner.check import check
from planner.job import Job
from planner.job.duties import DIVER
from planner.plan import Plan, Stage
from tests.world.changed import with_diver, with_item, with_spells
from tests.world.quay import WRAP, a_job, a_plan

PLAN, JOB = a_plan(), a_job()
PEOPLE_MIN = 2 * 293 + 4 * 273 + 303 + 353 + 5 * 58 + 4 * 68 + 240 + 60


def told(plan: Plan, name: str, value: float) -> Plan:
    """The plan with one stage more."""
    stage = Stage(name=name, unit="", value=value, bound=0, maximise=False, proven=False)
    return plan.replace(stages=(*plan.stages, stage))


def broken(plan: Plan, job: Job) -> set[str]:
    return {b.rule for b in check(job, plan)}


@given(st.integers(-3, 3))
def test_people_hours_are_added_up_again(off_min: int) -> None:
    """3196 min from first duty to last, gaps between the duties included; a minute off is convicted."""
    assert PEOPLE_MIN == 3196
    expected = {"objective-values"} if off_min else set()
    assert broken(told(PLAN, "people-hours", PEOPLE_MIN + off_min), JOB) == expected


def test_a_night_between_two_working_days_is_no_duty() -> None:
    """With dive 3 on the next day each day counts by itself: 734 and 594 min for its crew."""
    plan, job = over_two_days()
    first = 2 * 93 + 4 * 73 + 103 + 153
    second = 3 * 83 + 4 * 63 + 93
    both = first + second + 5 * 58 + 4 * 68 + 240 + 60
    assert both == 2190
    assert broken(told(plan, "people-hours", both), job) == set()
    assert broken(told(plan, "people-hours", PEOPLE_MIN), job) == {"objective-values"}


@pytest.mark.parametrize(("diver", "beyond"), [("Ana", 0), ("Tia", 1)])
def test_divers_beyond_one_team(diver: str, beyond: int) -> None:
    """Ana makes both dives on the piles: none beyond one team. With another on the second: one."""
    plan = with_spells(with_diver(PLAN, "3", "Ana", person=diver), "3", DIVER, "Ana", person=diver)
    job = with_item(JOB, WRAP, same_diver=True)
    assert "objective-values" not in broken(told(plan, "same diver", beyond), job)
    assert "objective-values" in broken(told(plan, "same diver", beyond + 1), job)
    # Where it is not asked for, nothing counts.
    assert "objective-values" not in broken(told(plan, "same diver", 0), JOB)
