"""Rules of hours in the scheduler: for each a small job where it alone decides, one case each way.

A case is a job without the rule and the same with it. The plan without is convicted by that rule's id when
judged under the job with it; the plan with it is clear.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import time, timedelta
from functools import cache

import pytest

from planner.check import check
from planner.job import Job, Pin, PinKind, WorkSpell
from planner.plan.model import Plan
from planner.schedule import solve
from tests.schedule.day import PEOPLE, item, job, outfit, person

HEAVY_DAY = job(item("A", 30, 150), item("B", 30, 150))


@cache
def planned(made: Job, seconds: float = 0.4) -> Plan:
    outcome = solve(made, seconds=seconds, workers=1, only_work=True)
    assert outcome.plan is not None, outcome.sentence
    assert check(made, outcome.plan) == ()
    return outcome.plan


def work(plan: Plan, made: Job) -> int:
    return sum(plan.worked_min(i.name) for i in made.items)


def ruled(made: Job, **fields: object) -> Job:
    return made.replace(rules=made.rules.replace(**fields))


def worked(made: Job, name: str, *spells: tuple[int, int]) -> Job:
    past = tuple(WorkSpell(start_min=s, end_min=e) for s, e in spells)
    people = tuple(p.replace(past_work=past) if p.name == name else p for p in made.people)
    return made.replace(people=people)


@dataclass(frozen=True)
class Case:
    """A job in which a rule does not hold a plan back, and the same in which it does."""

    without: Callable[[], Job]
    asked: dict[str, object]


def _long_day(made: Job) -> Job:
    return made.replace(site=made.site.replace(day_start=time(5), day_end=time(21)))


def _week(made: Job) -> Job:
    """Ines, the only supervisor, with 85 hours in the six days before."""
    return worked(made, "Ines", *((-1440 * d + 360, -1440 * d + 360 + 850) for d in range(1, 7)))


CASES: dict[str, Case] = {
    # Ines is off duty from 01:40: ten hours of rest of the 24 are not there until the forenoon
    "rest-10-in-24": Case(
        lambda: worked(HEAVY_DAY, "Ines", (-620, 100)),
        {"rest_in_24h_min": 600, "rest_long_part_min": 0, "rest_parts": 9},
    ),
    "rest-77-in-7-days": Case(lambda: _week(HEAVY_DAY), {"rest_in_7d_min": 77 * 60}),
    # two short breaks in the night before: the rest of the 24 hours is there, in three parts
    "rest-two-parts": Case(
        lambda: worked(HEAVY_DAY, "Ines", (-700, -640), (-340, -280), (100, 160)),
        {"rest_in_24h_min": 720, "rest_long_part_min": 0},
    ),
    # off duty 02:00, on again 07:00: no part of six hours until then, nor in the day
    "rest-six-hours": Case(
        lambda: worked(
            ruled(_long_day(HEAVY_DAY), duty_span_max_min=1080),
            "Ines",
            (-900, -840),
            (-540, -480),
            (-200, 120),
        ),
        {"rest_in_24h_min": 540, "rest_parts": 9, "rest_long_part_min": 700},
    ),
    "rest-14-between": Case(
        lambda: HEAVY_DAY,
        {"rest_in_24h_min": 60, "rest_long_part_min": 0, "work_between_rests_max_min": 300},
    ),
    "meal-break": Case(lambda: HEAVY_DAY, {"meal_break_min": 45, "meal_break_after_min": 300}),
    "night-duty": Case(
        lambda: job(
            item("A", 30, 40),
            people=tuple(
                p.replace(past_work=(WorkSpell(start_min=0, end_min=240),))
                if p.name in ("Ciro", "Dana", "Efe")
                else p
                for p in PEOPLE
            ),
        ),
        {"rest_after_night_min": 300},
    ),
    # a dive of 150 min on the bottom, and a standby diver who may be dressed for 100
    "standby-dressing": Case(lambda: HEAVY_DAY, {"standby_dressed_max_min": 100}),
}


@pytest.mark.parametrize("rule", CASES)
def test_each_rule_of_hours_decides(rule: str) -> None:
    """Without the rule the plan breaks it; with it the plan holds, and does no more."""
    case = CASES[rule]
    free = case.without()
    held = ruled(free, **case.asked)
    before = planned(free)
    convicted = {b.rule for b in check(held, before)}
    assert rule in convicted, convicted
    after = solve(held, seconds=0.4, workers=1, only_work=True)
    if after.plan is None:
        assert rule.startswith("rest-")
        return
    assert check(held, after.plan) == ()
    assert work(after.plan, held) <= work(before, free)


def test_a_meal_break_is_planned_round() -> None:
    """Two long dives and six hours at most without a break: the day is whole, and nobody goes without."""
    made = ruled(_long_day(HEAVY_DAY), meal_break_min=45, meal_break_after_min=360)
    assert work(planned(made, 10), made) == 300


def test_a_standby_diver_stays_dressed() -> None:
    """Three outfits, two dives: with time in dress for both, the standby diver goes on from one to the next.

    The dive in the water, the next diver who dresses and the standby diver are all that three outfits clothe.
    """
    more = (person("Fay", "tender", "standby's tender"), person("Gil", "tender"))
    made = ruled(
        job(item("A", 30, 40), item("B", 30, 40), people=(*PEOPLE, *more)), standby_dressed_max_min=300
    )
    plan = planned(made, 8)
    assert work(plan, made) == 80
    standing = [s for s in plan.duties if s.duty == "standby diver"]
    assert {s.person for s in standing} and len(standing) == 2


class TestSeveralDays:
    """Jobs over more than one day."""

    def test_work_runs_on_to_the_next_day(self) -> None:
        """What one day cannot hold is done on the next; nobody has a duty in the night between."""
        made = job(item("A", 30, 200), item("B", 30, 200))
        one = planned(made)
        two = made.replace(site=made.site.replace(days=2))
        plan = planned(two)
        assert work(one, made) < work(plan, two) == 400
        first, second = two.day_windows
        assert all(
            (first.start_min <= s.start_min and s.end_min <= first.end_min)
            or (second.start_min <= s.start_min and s.end_min <= second.end_min)
            for s in plan.duties
        )

    def test_dives_a_day_are_counted_by_day(self) -> None:
        """One dive a day each: six divers' turns in two days for three divers."""
        made = ruled(job(item("A", 50, 400, least_useful_min=20)), dives_a_day=1)
        two = made.replace(site=made.site.replace(days=2, day_end=time(19)))
        plan = planned(two)
        per_day: dict[tuple[str, int], int] = {}
        for dive in plan.dives:
            for diver in dive.divers:
                key = diver.person, dive.leave_surface_min // 1440
                per_day[key] = per_day.get(key, 0) + 1
        assert max(per_day.values()) == 1 and len({d for _, d in per_day}) == 2

    def test_rest_between_the_days(self) -> None:
        """rest-between-days: days from 05:00 to 22:00 with ten hours of rest between one's duties."""
        made = job(item("A", 30, 420, least_useful_min=60), item("B", 30, 420, least_useful_min=60))
        long = made.replace(site=made.site.replace(days=2, day_start=time(5), day_end=time(22)))
        held = ruled(long, rest_before_duty_min=720, duty_span_max_min=1020)
        plan = planned(held)
        for name in {s.person for s in plan.duties}:
            spells = [s for s in plan.duties if s.person == name]
            ends = [s.end_min for s in spells if s.start_min < 1440]
            starts = [s.start_min for s in spells if s.start_min >= 1440]
            assert not ends or not starts or min(starts) - max(ends) >= 720

    def test_a_medical_that_runs_out(self) -> None:
        """Divers whose medical runs out on the first day do not dive on the second."""
        made = job(item("A", 30, 200), item("B", 30, 200))
        first = made.site.first_day
        people = tuple(
            p.replace(medical_expires=first) if p.name in ("Ciro", "Dana") else p for p in made.people
        )
        two = made.replace(people=people, site=made.site.replace(days=2))
        plan = planned(two)
        assert all(
            d.person == "Efe" for dive in plan.dives if dive.leave_surface_min >= 1440 for d in dive.divers
        )

    def test_one_who_stays_up_and_whose_medical_runs_out(self) -> None:
        """Pinned to stay up for every item, he is no diver of any; that he is not fit on the second day
        asks nothing of them then."""
        made = job(item("A", 30, 60), item("B", 30, 60), pins=(Pin(kind=PinKind.STAYS_UP, person="Ciro"),))
        people = tuple(
            p.replace(medical_expires=made.site.first_day) if p.name == "Ciro" else p for p in made.people
        )
        plan = planned(made.replace(people=people, site=made.site.replace(days=2)))
        assert plan.dives
        assert all(d.person != "Ciro" for dive in plan.dives for d in dive.divers)

    def test_an_outfit_whose_inspection_runs_out(self) -> None:
        """Of three outfits two are out of date on the second day: no dive there with a standby."""
        made = job(item("A", 30, 200), item("B", 30, 200))
        first = made.site.first_day
        outfits = (outfit(1), outfit(2, inspection_due=first), outfit(3, inspection_due=first))
        two = made.replace(outfits=outfits, site=made.site.replace(days=2))
        assert all(d.leave_surface_min < 1440 for d in planned(two).dives)

    def test_a_night_past_midnight(self) -> None:
        """A working day from 20:00 to 06:00: dives a day are those of the calendar day."""
        made = ruled(job(item("A", 50, 240, least_useful_min=20)), dives_a_day=1)
        site = made.site.replace(day_start=time(20), day_end=time(6), latitude_deg=None)
        night = made.replace(site=site)
        plan = planned(night)
        clock = night.clock
        seen = [(d.person, clock.day_of(dive.leave_surface_min)) for dive in plan.dives for d in dive.divers]
        assert len(seen) == len(set(seen))
        assert {day for _, day in seen} == {site.first_day, site.first_day + timedelta(days=1)}

    def test_seven_days(self) -> None:
        """A week of one long dive a day at most: the plan comes and is clear."""
        made = ruled(
            job(item("A", 30, 900, least_useful_min=60)),
            dives_a_day=1,
            rest_in_24h_min=600,
            rest_in_7d_min=4620,
        )
        week = made.replace(site=made.site.replace(days=7))
        plan = planned(week, 6)
        assert work(plan, week) > 700
