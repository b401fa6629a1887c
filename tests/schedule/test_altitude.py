"""Planning at altitude: stops at the depth at which they are held, and people who have just come up."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.check import check
from planner.check.facts import Facts
from planner.day import AfterDive, brought_in
from planner.job import Job
from planner.plan import Plan, from_json, to_json, unchecked
from planner.plan.model import Dive
from planner.schedule import solve
from planner.schedule.problem.prepare import prepare
from planner.table_sets import table_set
from planner.tables import stop_held_at_fsw
from planner.workbook.job_reader import read_job
from tests.world.changed import with_person, with_rules, with_site
from tests.world.parts import PLAIN, at
from tests.world.quay import a_job, a_plan

NAVY = table_set()


CASE = Path(__file__).parents[1] / "cases" / "stops_at_1200_ft.xlsx"


def _planned(job: Job) -> Plan:
    plan = solve(job, seconds=5, workers=1).plan
    assert plan is not None
    return plan


@pytest.fixture(scope="module")
def high_job() -> Job:
    """A job at 1,200 ft whose one dive needs a stop; its divers came up that morning at 05:30."""
    job = with_rules(read_job(CASE), **PLAIN)
    deep = next(item for item in job.dive_items if item.name == "Recover the deep sinker")
    job = job.replace(dive_items=(deep.replace(after=()),), surface_items=(), pins=())
    for person in job.people:
        if person.depth_rating_fsw:
            job = with_person(job, person.name, arrived_min=at(5, 30))
    return job


@pytest.fixture(scope="module")
def high_plan(high_job: Job) -> Plan:
    """Its plan."""
    return _planned(high_job)


def test_a_plan_with_stops_at_altitude_passes_by_its_own_json(high_job: Job, high_plan: Plan) -> None:
    """``held_at_fsw`` is written and read: the plan that is read back is the plan, and the check clears it.

    A stop of the tables is taken at its depth times the ratio of the pressures (U.S. Navy Diving Manual,
    altitude chapter).
    """
    stops = [s for dive in high_plan.dives for d in dive.divers for s in d.schedule.stops]
    assert stops
    assert all(stop.held_at_fsw == stop_held_at_fsw(stop.depth_fsw, 1200) for stop in stops)
    back = from_json(to_json(high_plan, high_job), high_job)
    assert back == high_plan
    assert check(high_job, back) == ()


def test_who_came_up_that_morning_dives_with_the_group_of_arrival(high_job: Job, high_plan: Plan) -> None:
    """1,200 ft counts as 2,000: group A on arrival (table 9-5), clean 2:21 later (table 9-8)."""
    carried = brought_in(high_job)
    assert carried == prepare(high_job).brought_in
    assert carried["Stellan Bergqvist"] == AfterDive(NAVY, at(5, 30), "A")
    for dive in high_plan.dives:
        for diver in dive.divers:
            early = diver.person in carried and dive.leave_surface_min < at(5, 30) + 141
            first = min(_own(high_plan, diver.person), key=lambda d: d.leave_surface_min) is dive
            if first:
                assert diver.group_before == ("A" if early else None)


def _own(plan: Plan, person: str) -> list[Dive]:
    return [dive for dive in plan.dives if any(d.person == person for d in dive.divers)]


def test_the_check_counts_the_arrival_at_altitude() -> None:
    """4,000 ft: Ana, up at the site 40 min before she leaves the surface, is in C (table 9-5); five hours
    before, she is clean (table 9-8). 41 min at 70 fsw and C's residual time are over 48."""
    high = with_site(a_job(), altitude_ft=4000)

    def found(arrived_min: int | None) -> tuple[str | None, bool]:
        job = with_person(high, "Ana", arrived_min=arrived_min, past_dives=())
        first = Facts(job, a_plan()).exposures.of_dive("1")[0]
        where = f"{first.known.where}, Ana"
        return first.group_before, ("way-up-policy", where) in {
            (b.rule, b.where) for b in check(job, a_plan())
        }

    assert found(at(7, 50)) == ("C", True)
    assert found(at(3, 30)) == (None, False)
    assert found(None) == (None, False)


def test_ten_minutes_of_arrival_give_no_group() -> None:
    """Table 9-8 begins at ten minutes: who leaves the surface sooner is told so."""
    job = with_person(with_site(a_job(), altitude_ft=4000), "Ana", arrived_min=at(8, 25), past_dives=())
    told = [b.sentence for b in check(job, a_plan()) if b.rule == "same-dive-under-ten"]
    assert any("5 min after arriving at altitude" in sentence for sentence in told)


def test_the_tick_names_who_is_said_to_be_used_to_the_altitude() -> None:
    """Whose arrival is given needs no person's word; of the others a person says that they are used to it."""
    high = with_site(a_job(), altitude_ft=4000)
    assert any(s.startswith("Every diver has been at the site's 4000 ft") for s in unchecked(high))
    divers = [p.name for p in high.people if "diver" in p.duties]
    one = with_person(high, divers[0], arrived_min=at(3))
    told = next(s for s in unchecked(one) if "at the site's 4000 ft" in s)
    assert told.startswith(f"{', '.join(divers[1:])} have been")
    everyone = high
    for name in divers:
        everyone = with_person(everyone, name, arrived_min=at(3))
    assert not any("at the site's 4000 ft" in s for s in unchecked(everyone))
