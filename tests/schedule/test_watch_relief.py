"""Those who lead dives, feed the air and keep the log are relieved: in search, naming, reasons."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from planner.check import check
from planner.job import Job, Person
from planner.job.duties import WATCH_DUTIES
from planner.plan.model import Plan
from planner.schedule import first_plan, solve
from tests.schedule.day import PEOPLE, item, job, person

SECOND = person("Jun", "supervisor", "air console", "log keeper")


def day_of_three(*people: Person, **limits: Any) -> Job:
    """Three dives of 90 min at 30 fsw, one after the other on one station, from 07:00 to 15:00."""
    made = job(*(item(n, 30, 90, splittable=False) for n in "ABC"), people=people)
    return made.replace(rules=made.rules.replace(**limits))


def planned(made: Job) -> Plan:
    outcome = solve(made, seconds=15, only_work=True)
    assert outcome.plan is not None and outcome.refused is None
    assert check(made, outcome.plan) == ()
    return outcome.plan


def test_without_relief_one_watch_lasts_all_day() -> None:
    """The check convicts today's day: one supervisor over three dives with 20 min between."""
    made = day_of_three(*PEOPLE)
    plan = planned(made)
    asked = made.replace(rules=made.rules.replace(watch_max_min=240, watch_break_min=30))
    assert {b.rule for b in check(asked, plan)} == {"watch-relief"}


def test_one_supervisor_has_his_break() -> None:
    """Two dives with 20 min between are 266 min: Ines has 30 min after each; all three are still made."""
    plan = planned(day_of_three(*PEOPLE, watch_max_min=240, watch_break_min=30))
    assert {d.item for d in plan.dives} == {"A", "B", "C"}
    watches = sorted(
        (s.start_min, s.end_min) for s in plan.duties if s.person == "Ines" and s.duty in WATCH_DUTIES
    )
    assert all(later[0] - earlier[1] >= 30 for earlier, later in pairwise(dict.fromkeys(watches)))


def test_two_take_turns() -> None:
    """No watch may outlast one dive and a break takes two hours: with a second hand for console and lead the
    dives go on, with one they do not."""
    limits = {"watch_max_min": 150, "watch_break_min": 120}
    few = planned(day_of_three(*PEOPLE, **limits))
    more = planned(day_of_three(*PEOPLE, SECOND, person("Kit", "air console", "log keeper"), **limits))
    assert len(few.dives) < len(more.dives) == 3


def test_the_rule_of_thumb_gives_relief_too() -> None:
    """A first plan is there at once and holds the rule."""
    made = day_of_three(*PEOPLE, watch_max_min=240, watch_break_min=30)
    plan = first_plan(made)
    assert plan is not None and plan.dives
    assert "watch-relief" not in {b.rule for b in check(made, plan)}


def test_a_dive_longer_than_a_watch_is_told() -> None:
    """92 min in the water and 90 at the console at most: the reason says so, unless it may change hands."""
    made = day_of_three(*PEOPLE, watch_max_min=90)
    reasons = solve(made, seconds=3).reasons["A"]
    assert [r.rule for r in reasons] == ["watch-relief"]
