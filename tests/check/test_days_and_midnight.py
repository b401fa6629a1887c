"""A day's work is judged the same whatever the clock says: later in the job, before it begins, over midnight.

Which day of a job it is changes no bottom time, no rest and no flow of air (arithmetic). Asked are the days
by hand and every case that breaks a rule.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import time
from typing import Any

import pytest

from planner.air import air_report
from planner.check import check
from planner.check.air import air_findings
from planner.check.facts import Facts
from planner.check.stages import FINISH, VALUES
from planner.job import Job
from planner.plan import Plan
from tests.check.moved_by_one import CASES
from tests.check.rule_cases import briefed_early, briefed_for, called_together
from tests.world import lock
from tests.world.chamber_day import through_the_chamber
from tests.world.changed import days_later, hours_later, with_person, with_site
from tests.world.longer_days import over_two_days
from tests.world.parts import at, span
from tests.world.quay import a_job, a_plan

#: Rules that know working days and so say nothing of the time before the first, and the values of stages, of
#: which one is a time.
OF_WORKING_DAYS = {"briefed", "one-briefing", "briefing-in-time", "day-blocks", "objective-values"}


DAYS = (lambda: (a_plan(), a_job()), over_two_days, through_the_chamber)


def judged() -> Iterator[tuple[Plan, Job]]:
    """What is asked."""
    for make in (*DAYS, *(case.breaks for case in CASES.values())):
        yield make()


def told(plan: Plan, job: Job, but: Iterable[str] = ()) -> Counter[tuple[str, str, str]]:
    """Findings; of the windows of the days, which are more of them, only whom they are about."""
    return Counter(
        (f.rule, f.where, "" if f.rule in ("day-window", "objective-values") else f.sentence)
        for f in check(job, plan)
        if f.rule not in but
    )


def found_of(pair: tuple[Plan, Job], but: Iterable[str] = ()) -> Counter[tuple[str, str]]:
    """Rules and whom they are about."""
    plan, job = pair
    return Counter((f.rule, f.where) for f in check(job, plan) if f.rule not in but)


def test_the_day_of_the_job_changes_no_verdict() -> None:
    """On the second day of a job and on its fourth, word for word; and where the job has not begun, but for
    what only its working days ask."""
    for plan, job in judged():
        second, fourth, before = (days_later(plan, job, days) for days in (1, 3, -2))
        found = told(*second)
        assert told(*fourth) == found
        assert not told(*second, but=OF_WORKING_DAYS) - told(*before)


def test_midnight_changes_no_verdict() -> None:
    """Days from 22:30 on: the first dive of the one by hand leaves the surface at midnight. But for night and
    daylight the same is found of the same people and dives."""
    for plan, job in judged():
        job = with_site(job, daylight_only=False)
        by_day, by_night = (
            found_of(pair, but=("night-duty", "duties-match-dives"))
            for pair in ((plan, job), hours_later(plan, job, 15 * 60 + 30))
        )
        assert by_night == by_day


def test_a_briefing_at_midnight_is_judged_as_any() -> None:
    """Where the day and its first briefing begin at midnight, the same is found of who is briefed when, for
    how long and with whom."""
    as_asked, apart = called_together(one=True), called_together(one=False)
    for plan, job in (as_asked, apart, briefed_for(14), briefed_early(1), briefed_early(1, one=True)):
        call = min(s.start_min for s in plan.duties)
        began = with_site(job, day_start=time(*divmod(call, 60)), daylight_only=False)
        began = with_person(began, "Rob", available=(span(call, at(18)),))
        found = found_of((plan, began))
        assert found_of(hours_later(plan, began, -call)) == found
        assert bool(found) is (plan is not as_asked[0])


@pytest.mark.parametrize("day", DAYS)
def test_the_day_of_the_job_changes_no_value(day: Any) -> None:
    """What each stage counts, but for the time at which all is done."""
    plan, job = day()
    for kind, value in VALUES.items():
        first, fourth, before = (
            value(Facts(later_job, later_plan))
            for days in (0, 3, -2)
            for later_plan, later_job in [days_later(plan, job, days)]
        )
        if kind is FINISH:
            assert first is not None and fourth == first + 3 * 1440
        else:
            assert first == fourth == before


def test_the_day_of_the_job_changes_no_air() -> None:
    """Flows, gas, hours, fuel and what falls due, of a day with two dives, and what is found where the
    primary or the reserve is too small."""
    deep = lock.dive("2", start=660, item=lock.DEEP_SILL, depth=100, bottom=45, schedule=lock.STOPS_100)
    plan, job = lock.plan(lock.dive(), deep), lock.job()
    small = lock.plant().replace(compressors=(lock.compressor("C", 30),))
    plants = (lock.plant(), small, lock.reserve(pressure_psi=700))
    for air in plants:
        first, fourth, before = (days_later(plan, job.replace(air=air), days) for days in (0, 3, -2))
        assert _figures(*first) == _figures(*fourth) == _figures(*before)
        found = [
            Counter((f.rule, f.where) for f in air_findings(later_job, later_plan))
            for later_plan, later_job in (first, fourth, before)
        ]
        assert found[0] == found[1] == found[2]
        assert bool(found[0]) is (air is not plants[0])


def test_a_night_shift_changes_no_air() -> None:
    """A working day from 21:00 on, a dive on each side of midnight: machines run as long and burn as much,
    and all of it stands under the day on which the shift began."""
    by_day = lock.plan(lock.dive(), lock.dive("2", start=660, bottom=20)), lock.job()
    first, later = (_figures(*pair) for pair in (by_day, hours_later(*by_day, 14 * 60)))
    assert [day["day"] for day in later["compressors"][0]["days"]] == [lock.DAY]
    assert first == later


def _figures(plan: Plan, job: Job) -> Any:
    return _off_clock(asdict(air_report(plan, job)))


def _off_clock(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _off_clock(v) for k, v in value.items() if k not in ("at_min", "start_min", "end_min")}
    if isinstance(value, list | tuple):
        return [_off_clock(one) for one in value]
    return pytest.approx(value) if isinstance(value, float) else value
