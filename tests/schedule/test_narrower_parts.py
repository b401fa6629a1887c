"""Where the model was narrower than the check: rest on site, dressing, an outfit's last day.

Found by reading. Either the check says what the model holds, in the rule's sentence, or nothing is proven.
"""

from __future__ import annotations

from datetime import time, timedelta

import pytest

from planner.check import check
from planner.job import Job
from planner.plan import Plan, Status
from planner.schedule import first_plan, solve
from planner.schedule.problem.prepare import prepare
from tests.attack.claims import broken_bound, values_of
from tests.attack.replay import Replay
from tests.schedule.day import item, job
from tests.world.changed import shifted, with_dive, with_outfit, with_rules, with_site
from tests.world.parts import span
from tests.world.quay import NORTH, a_job, a_plan

#: To 07:30 and from 20:30, more than fourteen hours from the first dressing to the last undressing.
EARLY, LATE = span(360, 450), span(1230, 1320)


def split_day(**asked: int) -> Job:
    """One dive in the morning and one in the evening, for the same eight people."""
    made = job(item("A", 30, 40, windows=(EARLY,)), item("B", 30, 40, windows=(LATE,)))
    made = with_site(made, day_start=time(6), day_end=time(22), daylight_only=False)
    return with_rules(made, duty_span_max_min=1440, **asked)


RESTED = {"rest_in_24h_min": 600, "rest_long_part_min": 360, "rest_parts": 2}


@pytest.fixture(scope="module")
def both() -> Plan:
    """Both dives, planned without a word of rest."""
    plan = first_plan(split_day(rest_in_24h_min=0))
    assert plan is not None
    assert {d.item for d in plan.dives} == {"A", "B"}
    return plan.replace(stages=())


def test_rest_between_two_duties_on_site_is_never_counted_out_by_a_proof(both: Plan) -> None:
    """Twelve hours off between a morning's and an evening's dive are rest (MLC 2006 A2.3: ten in any 24, in
    two parts). The model takes the day as one stretch of over 14 hours and does one dive: not proven."""
    rested = split_day(**RESTED)
    assert check(rested, both) == ()
    plan = solve(rested, seconds=2, workers=1, only_work=True).plan
    assert plan is not None
    assert len({d.item for d in plan.dives}) == 1
    assert broken_bound(plan.stages, values_of(rested, both)) is None
    assert not plan.stages[0].proven
    assert plan.status is not Status.PROVEN_BEST


@pytest.mark.parametrize(("end", "exact"), [(time(20), True), (time(20, 1), False)])
def test_a_day_on_which_nobody_can_lack_rest_is_proven_as_before(end: time, exact: bool) -> None:
    """From 06:00 on, fourteen hours leave ten of 24, however the day is worked; a minute more does not."""
    made = with_site(split_day(**RESTED), day_end=end)
    assert prepare(made).as_wide_as_the_check == exact


def dressed_from(minutes_before: int) -> tuple[Job, Plan]:
    """Two dives at the north side; the second one's divers begin to dress so long before the first one's."""
    plan = with_dive(shifted(a_plan(), "2", 60), "2", station=NORTH)
    first = next(d for d in plan.dives if d.id == "1")
    return a_job(), with_dive(plan, "2", dress_start_min=first.dress_start_min - minutes_before)


@pytest.mark.parametrize(("minutes_before", "told"), [(1, True), (0, False)])
def test_divers_of_a_station_dress_in_the_order_in_which_they_dive(minutes_before: int, told: bool) -> None:
    """The station's crew is there from the first dressing on and serves one dive after the other, as the crew
    rules have it; a diver dressed sooner than those who go before him would have nobody (common practice)."""
    job_, plan = dressed_from(minutes_before)
    assert ("one-dive-a-station" in {f.rule for f in check(job_, plan)}) == told


def overnight(due_days: int) -> Job:
    """A day until 03:00 and a dive that is over at midnight at the latest; two outfits are due at its end."""
    made = job(item("A", 30, 40, windows=(span(1260, 1440),)))
    made = with_site(made, day_start=time(20), day_end=time(3), daylight_only=False)
    due = made.site.first_day + timedelta(days=due_days)
    for outfit in made.outfits[:2]:
        made = with_outfit(made, outfit.name, inspection_due=due, turnaround_min=30)
    return made.replace(outfits=made.outfits[:2])


def undressed_at(minute: int) -> tuple[Job, Plan]:
    """The dive moved so that its diver is out of his dress at a minute; the standby diver with him."""
    made = overnight(0)
    plan = first_plan(overnight(1))
    assert plan is not None
    dive = plan.dives[0]
    by = minute - max(
        [dive.undressed_min, *(s.end_min for s in plan.duties if s.dive == dive.id and s.outfit)]
    )
    return made, shifted(plan, dive.id, by).replace(stages=())


@pytest.mark.parametrize(("minute", "told"), [(1440, False), (1441, True)])
def test_an_outfit_is_worn_to_the_end_of_its_last_day(minute: int, told: bool) -> None:
    """Due on the day of the dive (29 CFR 1910.421(g)): off at midnight it holds, a minute later
    it does not, though the divers left the surface the evening before."""
    made, plan = undressed_at(minute)
    assert ("outfit-ready" in {f.rule for f in check(made, plan)}) == told


def test_the_model_has_room_for_a_dive_that_ends_at_that_midnight() -> None:
    """Its turnaround of half an hour runs into the day on which the outfit may not be worn any more."""
    made, plan = undressed_at(1440)
    replay = Replay(made)
    assert replay.shuts_out(plan) is None
    _, late = undressed_at(1441)
    assert replay.shuts_out(late) is not None
