"""The chance of a day against a second program, written from what `docs/what-if.md` says and nothing else.

Three dives of eight people at one station, one after the other: A at 90 fsw, then B at 20 fsw, then C in
slack water. Everybody is busy on every dive, so that only three numbers matter of each: when dressing begins,
when the diver leaves the surface, when he is undressed. Nothing of the program is used to draw or to re-time
a day.
"""

from __future__ import annotations

import math
import random
from functools import cache

import pytest

from planner.job import Job, WaterWindow
from planner.plan import Plan
from planner.schedule import first_plan
from planner.whatif.retime import retime
from planner.whatif.spread import Spread, draw
from planner.whatif.stand_in import StandIns
from planner.whatif.sure import how_sure
from tests.schedule.day import item, job
from tests.world import parts
from tests.world.changed import with_site

SPREAD = Spread(unfit_chance_percent=8, window_lost_percent=20)
#: No-stop limit at 90 fsw, from the surface: U.S. Navy Diving Manual, Revision 7, table 9-7; 20 fsw has none.
NO_STOP_90_MIN = 33
#: Of the day: dressing, undressing, day from 07:00 to 15:00, most on duty without a break of half an hour.
DRESS_MIN, UNDRESS_MIN, BEGINS, ENDS, MEAL_AFTER_MIN, MEAL_MIN = 30, 20, 420, 900, 350, 30
WINDOWS = ((660, 790), (830, 890))
#: Work, descent at 60 fsw a minute and way up at 30, whole minutes.
WORK_MIN = {"A": (25, 2, 3), "B": (100, 1, 1), "C": (40, 1, 1)}
DIVERS = 3


@cache
def day() -> tuple[Job, Plan]:
    """The job and its plan by rule of thumb, which is the plain order of the three."""
    rules = parts.PLAIN_RULES.replace(meal_break_min=MEAL_MIN, meal_break_after_min=MEAL_AFTER_MIN)
    items = (
        item("A", 90, 25, splittable=False),
        item("B", 20, 100, after=({"item": "A"},), splittable=False),
        item("C", 20, 40, after=({"item": "B"},), splittable=False, needs_slack=True),
    )
    made = with_site(job(*items, rules=rules), daylight_only=False).replace(
        water_windows=tuple(WaterWindow(start_min=a, end_min=b) for a, b in WINDOWS)
    )
    plan = first_plan(made)
    assert plan is not None
    assert [(d.item, d.dress_start_min, d.leave_surface_min) for d in plan.dives] == [
        ("A", 420, 450),
        ("B", 500, 530),
        ("C", 652, 682),
    ]
    return made, plan


PLANNED_LEAVE = {"A": 450, "B": 530, "C": 682}


def end_of(factors: dict[str, float], late_min: int, lost: frozenset[int], unfit: int) -> int | None:
    """When the last one is undressed on a day on which all is done; None on any other."""
    if unfit >= 2:
        return None  # one of three divers can be missing: his place is taken; two cannot
    free = on_duty_since = BEGINS + late_min
    for name, (planned, descent, ascent) in WORK_MIN.items():
        wanted = math.ceil(planned * factors[name] - 1e-9)
        if name == "A" and descent + wanted > NO_STOP_90_MIN:
            return None
        spans = [(0, ENDS - UNDRESS_MIN)]
        if name == "C":
            spans = [(a, min(b, ENDS - UNDRESS_MIN)) for n, (a, b) in enumerate(WINDOWS) if n not in lost]
        least = min(planned, wanted)
        earliest = max(PLANNED_LEAVE[name], free + DRESS_MIN)
        found = None
        for opens, closes in spans:
            leave = max(earliest, opens)
            while found is None and leave + descent + least < closes:
                worked = min(wanted, closes - leave - ascent - descent)
                undressed = leave + descent + worked + ascent + UNDRESS_MIN
                dressing = max(free, leave - DRESS_MIN)
                since = dressing if dressing - free >= MEAL_MIN else on_duty_since
                if worked >= least and undressed - since <= MEAL_AFTER_MIN:
                    found = undressed, since, worked
                leave += 5
            if found:
                break
        if found is None or found[2] < wanted:
            return None
        free, on_duty_since = found[0], found[1]
    return free


def triangular(dice: random.Random, least: float, likely: float, most: float) -> float:
    """One value of a triangular distribution by its inverse."""
    u, part = dice.random(), (likely - least) / (most - least)
    if u < part:
        return least + math.sqrt(u * (most - least) * (likely - least))
    return most - math.sqrt((1 - u) * (most - least) * (most - likely))


def drawn(dice: random.Random) -> int | None:
    """One day of the stated distributions, played through."""
    over = (SPREAD.work_least_percent, SPREAD.work_likely_percent, SPREAD.work_most_percent)
    factors = {name: 1 + triangular(dice, *over) / 100 for name in WORK_MIN}
    late = dice.random() * 100 < SPREAD.late_chance_percent
    late_min = round(triangular(dice, 0, 0, SPREAD.late_most_min)) if late else 0
    lost = frozenset(n for n in range(len(WINDOWS)) if dice.random() * 100 < SPREAD.window_lost_percent)
    unfit = sum(dice.random() * 100 < SPREAD.unfit_chance_percent for _ in range(DIVERS))
    return end_of(factors, late_min, lost, unfit)


@pytest.mark.parametrize("draws", [800, pytest.param(10_000, marks=pytest.mark.long)])
def test_the_chance_is_that_of_ten_thousand_days_of_a_second_program(draws: int) -> None:
    """Both chances of all the work lie within four standard errors of each other."""
    made, plan = day()
    dice, days = random.Random(20), 10_000
    second = sum(drawn(dice) is not None for _ in range(days)) / days
    first = how_sure(plan, made, SPREAD, draws=draws, seed=3, spare=False).chance_of(100) / 100
    error = math.sqrt(second * (1 - second) * (1 / days + 1 / draws))
    assert 0.3 < second < 0.9
    assert abs(first - second) < 4 * error


def test_day_by_day_both_programs_come_to_the_same() -> None:
    """On the same drawn days the second program finishes whenever the first does, in the same minute."""
    made, plan = day()
    stand_ins, finished = StandIns(plan, made), 0
    for number in range(400):
        of = draw(made, SPREAD, 9, number)
        tied, air = stand_ins.manned(of.unfit)
        gone = retime(tied, of, air=air)
        done = all(part >= 1 for part in gone.done.values())
        second = end_of(of.work, of.late_min[0], of.lost, len(of.unfit))
        assert (gone.end_min if done else None) == second, number
        finished += done
    assert 100 < finished < 390
