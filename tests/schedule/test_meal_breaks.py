"""meal-break in the models: the two forms of the rule beside the check's own joining of duties."""

from __future__ import annotations

from datetime import time
from random import Random

import pytest
from ortools.sat.python import cp_model

from planner.check.rest import stretches_of_work
from planner.schedule.model.meal_breaks import breaks_needed, meal_breaks
from planner.schedule.model.person_days import PersonDays, Spell
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from tests.schedule.day import item, job
from tests.world.changed import with_rules, with_site

BREAK, AFTER, FROM, TO = 30, 120, 420, 1140


def worked_day(briefing_min: int) -> Problem:
    """A day from 07:00 to 19:00 with a short break after two hours at most."""
    day = with_site(job(item("A", 30, 40)), day_end=time(19))
    return prepare(
        with_rules(day, meal_break_min=BREAK, meal_break_after_min=AFTER, briefing_min=briefing_min)
    )


def some_duties(random: Random) -> list[tuple[int, int]]:
    """Duties of one person that do not meet, in order."""
    out, at = [], FROM + 15 + random.randrange(90)
    while at < TO - 60 and len(out) < 9:
        end = at + random.randrange(5, 100)
        out.append((at, min(TO, end)))
        at = end + random.choice((0, 0, 10, 29, 30, 31, 45, 90))
    return out


def model_holds(problem: Problem, duties: list[tuple[int, int]], *, settled: bool) -> bool:
    """Whether the lines of the model let one person have all those duties and no other."""
    model, name = cp_model.CpModel(), problem.people[0].name
    spells = []
    # Those that are not his lie where they would break every rule, or seem to come before a break.
    others = [(FROM + 15, TO, False), (FROM, FROM + 1, False), *((a - 9, b + 9, False) for a, b in duties)]
    for start, end, his in [*((a, b, True) for a, b in duties), *others]:
        literal = model.new_bool_var("")
        model.add(literal == his)
        if settled:
            spells.append(Spell(literal, start, end, {0: None}))
        else:
            edges = [model.new_int_var(FROM, TO + 9, "") for _ in range(2)]
            size = model.new_int_var(0, TO, "")
            model.add(edges[0] == start)
            model.add(edges[1] == end)
            model.add(size == end - start)
            spells.append(Spell(literal, *edges, {0: None}, size=size))
    meal_breaks(PersonDays(model, problem, {name: spells}))
    status = cp_model.CpSolver().solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    return status == cp_model.OPTIMAL


@pytest.mark.parametrize("settled", [True, False])
@pytest.mark.parametrize("briefing_min", [0, 15])
def test_the_model_joins_duties_as_the_check_does(briefing_min: int, settled: bool) -> None:
    """Of random days the model holds exactly those on which no run of duties, the briefing before the first
    counted, is longer than allowed without a break of 30 min."""
    problem = worked_day(briefing_min)
    seen = set()
    for seed in range(60):
        # First one that is too long with the briefing alone.
        duties = some_duties(Random(seed)) if seed else [(FROM + 80, FROM + 80 + AFTER - 5)]
        told = [(duties[0][0] - briefing_min, duties[0][0]), *duties] if briefing_min else duties
        wanted = all(b - a <= AFTER for a, b in stretches_of_work(told, BREAK))
        assert model_holds(problem, duties, settled=settled) == wanted, (seed, duties)
        seen.add(wanted)
    assert seen == {True, False}


@pytest.mark.parametrize(("longest", "needed"), [(360, 0), (361, 2), (751, 2), (752, 4), (1440, 6)])
def test_how_many_breaks_a_day_may_need(longest: int, needed: int) -> None:
    """Six hours without half an hour off: two pieces that need the break between them are 361 min or more
    together, and two such pairs with a break between them 752 min."""
    assert breaks_needed(longest, 360, 30) == needed
