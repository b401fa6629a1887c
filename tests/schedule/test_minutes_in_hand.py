"""Minutes in hand, a finish that is early enough, and an order of one's own: small days by hand.

No-stop limits of the U.S. Navy Diving Manual, Revision 7, table 9-7: 60 fsw 63 min, 80 fsw 39 min; rows of
table 9-9 at 80 fsw: 40, 45, 50, 55 min. The way down takes a minute to 60 fsw, two to 78 fsw.
"""

from __future__ import annotations

from datetime import time

import pytest

from planner.check import check
from planner.check.stages import stage_kinds
from planner.errors import TableRefusal
from planner.job import Job, Policy
from planner.job.crew_rules import STAGE_ORDER
from planner.plan import Plan, Stage
from planner.schedule import solve
from planner.schedule.problem.prepare import prepare
from planner.table_sets import table_set
from planner.tables import plan_exposure
from planner.tables.schedule import NO_STOP
from planner.words.plan import stage_words
from tests.schedule.day import item, job
from tests.schedule.test_policies import chamber_job
from tests.world.changed import with_item, with_rules, with_site

NAVY = table_set()


def day(work_min: int, *, margin_min: int = 5, splittable: bool = True, **rules: object) -> Job:
    """One item at 60 fsw."""
    made = job(item("A", 60, work_min, splittable=splittable, least_useful_min=20))
    return with_rules(made, margin_wanted_min=margin_min, **rules)


def best(made: Job, seconds: float = 2) -> Plan:
    """The plan of a job, held by the check; what comes right after the work is proven, and so is the work.

    The hours of the crew, which come last, may take longer to prove than the time these tests have.
    """
    outcome = solve(made, seconds=seconds, workers=1)
    plan = outcome.plan
    assert plan is not None and outcome.refused is None
    assert check(made, plan) == ()
    named = {"work finished", "minutes in hand", "finish"}
    settled = [s for s in plan.stages if s.name in named and plan.stages.index(s) < 3]
    assert all(s.proven for s in settled), plan.stages
    return plan


def stage(plan: Plan, name: str) -> Stage:
    return next(s for s in plan.stages if s.name == name)


def test_the_margin_comes_before_the_finish() -> None:
    """60 min of work take 61 of bottom time, 2 short of the limit: with 5 wanted, two dives."""
    (one,) = best(day(60, margin_min=0)).dives
    assert one.bottom_time_min == 61
    apart = best(day(60))
    assert len(apart.dives) == 2
    assert stage(apart, "minutes in hand").value == 0
    assert apart.end_min > one.undressed_min


def test_what_cannot_be_had_is_told_and_planned_all_the_same() -> None:
    """In one dive 2 of the 5 minutes are there: 3 short, proven, and the work is done."""
    plan = best(day(60, splittable=False))
    told = stage(plan, "minutes in hand")
    assert (told.value, told.bound, told.unit) == (3, 3, "minutes short of the margin")
    assert plan.leftovers == ()


def test_more_dives_gain_nothing_that_is_not_missing() -> None:
    """52 min of bottom time leave 11: no second dive is made for minutes past the margin."""
    assert len(best(day(51)).dives) == 1


@pytest.mark.parametrize(("own", "dives"), [(2, 1), (None, 2), (0, 1)])
def test_an_item_may_want_its_own(own: int | None, dives: int) -> None:
    """With 2 wanted for the item, or none, the one dive does; without its own number the job's 5 hold."""
    assert len(best(with_item(day(60), "A", margin_wanted_min=own)).dives) == dives


def test_the_site_margin_comes_off_first() -> None:
    """A margin to the table of 2 min ends the row at 61: 5 of 5 min are missing, where 3 were."""
    plan = best(with_site(day(60, splittable=False), margin_min=2))
    assert stage(plan, "minutes in hand").value == 5


def test_the_order_is_the_officers() -> None:
    """With the finish before the margin the one dive of 61 min is the better day again."""
    made = day(60, stage_order=("finish",))
    assert made.rules.stage_order == ("finish", *(name for name in STAGE_ORDER if name != "finish"))
    plan = best(made)
    assert len(plan.dives) == 1
    assert [s.name for s in plan.stages][:3] == ["work finished", "finish", "minutes in hand"]


def test_a_job_without_a_margin_tells_no_such_stage() -> None:
    """0 of the job and no item with its own: the stage is not there."""
    assert "minutes in hand" not in {kind.name for kind in stage_kinds(day(60, margin_min=0))}


@pytest.mark.parametrize("first", STAGE_ORDER)
def test_any_stage_may_come_second(first: str) -> None:
    """Whichever stage follows the work, the work is proven, and the check finds the stages as asked."""
    made = day(60, stage_order=(first,))
    made = with_item(made, "A", same_diver=True, in_one_go=True)
    plan = best(made)
    assert plan.stages[1].name == first
    assert [s.name for s in plan.stages] == [kind.name for kind in stage_kinds(made)]


def test_with_stops_a_row_that_has_just_begun_has_more_in_hand() -> None:
    """78 fsw, 50 min of work: 52 of the 55 min of the row. 3 in hand for a clean diver, and proven.

    As of a higher group he would be in the next row of table 9-9, with nearly all of it before him.
    """
    made = with_rules(chamber_job(Policy.IN_WATER_STOPS), margin_wanted_min=5)
    plan = best(made)
    assert plan.dives[0].divers[0].schedule.time_min == 55
    assert stage(plan, "minutes in hand").value == 2


def test_no_way_up_with_more_in_hand_is_left_out() -> None:
    """For each group and bottom time the modes kept hold as many minutes in hand as the tables give."""
    made = with_rules(chamber_job(Policy.IN_WATER_STOPS), margin_wanted_min=9)
    work = prepare(with_item(made, "Deep", splittable=True)).dives[0]
    least = work.descent_min + work.least_work_min
    asked = 0
    for rank, group in enumerate((None, *NAVY.groups)):
        for bottom in range(least, work.bottom_max_min + 1):
            try:
                true = plan_exposure(work.item.depth_fsw, bottom, group, work.options)
            except TableRefusal:
                break
            asked += 1
            kept = [
                min(9, mode.row_ends_min - bottom)
                for mode in work.modes
                if (0 if mode.group_before is None else NAVY.groups.index(mode.group_before) + 1) >= rank
                and mode.bottom_time_max_min >= bottom
                and (mode.way_up == NO_STOP or mode.row_from_min < bottom)
            ]
            assert max(kept) >= min(9, true.row_left_min)
    assert asked > 100


def test_early_enough_needs_no_search() -> None:
    """Done by 12:00 is early enough: the finish counts as noon."""
    made = with_site(day(60), early_enough=time(12))
    plan = best(made, seconds=1)
    told = stage(plan, "finish")
    assert (told.value, told.bound) == (12 * 60, 12 * 60)
    assert stage_words(told, made) == "12:00, early enough, proven best"
    assert plan.end_min <= 12 * 60


@pytest.mark.long
def test_later_than_early_enough_counts_as_it_is() -> None:
    """Done by 07:30 is not to be had: the finish counts to the minute."""
    plan = best(with_site(day(60), early_enough=time(7, 30)))
    assert stage(plan, "finish").value == plan.end_min == best(day(60)).end_min
