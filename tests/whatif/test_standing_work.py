"""Standing work and briefings on a drawn day: dives wait for the opening work, closing work for the dives."""

from __future__ import annotations

import pytest

from planner.check import check
from planner.job import Job
from planner.schedule import solve
from planner.whatif.retime import retime
from planner.whatif.spread import Draw
from planner.whatif.ties import tied_plan
from tests.schedule.day import item, job
from tests.schedule.test_day_blocks import ALL
from tests.whatif.as_plan import plan_of
from tests.world.changed import with_rules

MADE = with_rules(job(item("A", 30, 40, splittable=False)), briefing_min=15, **ALL)


@pytest.mark.parametrize("made", [MADE, with_rules(MADE, one_briefing=True)], ids=["each", "one briefing"])
def test_a_day_that_begins_late_keeps_its_order(made: Job) -> None:
    """Twenty minutes late: the inspection, the dive and the striking are as much later; the plan holds."""
    plan = solve(made, seconds=6, workers=1, only_work=True).plan
    assert plan is not None
    tied = tied_plan(plan, made)
    as_planned = plan_of(tied, retime(tied, Draw({}, (0,), frozenset())))
    assert sorted(as_planned.surface_tasks, key=repr) == sorted(plan.surface_tasks, key=repr)
    assert as_planned.dives == plan.dives
    late = plan_of(tied, retime(tied, Draw({}, (20,), frozenset())))
    assert late.dives[0].leave_surface_min == plan.dives[0].leave_surface_min + 20
    assert len(late.surface_tasks) == len(plan.surface_tasks)
    # However late the work begins, the crew's one briefing was held when they were called for.
    held = {"briefing-in-time"} if made.rules.one_briefing else set()
    assert {f.rule for f in check(made, late)} == held
