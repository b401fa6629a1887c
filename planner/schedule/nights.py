"""night-duty in the models: nobody leaves the surface too soon after the end of a duty in the night."""

from __future__ import annotations

from datetime import timedelta

from planner.rules.night import NIGHT_END, NIGHT_START
from planner.schedule.person_days import PersonDays, Spell
from planner.schedule.problem import Problem
from planner.schedule.stretch import Lit, Model


def nights(problem: Problem) -> list[tuple[int, int]]:
    """The nights, midnight to five, in which a working day of the job has a minute."""
    clock, first = problem.job.clock, problem.job.site.first_day
    out = []
    for k in range(-1, len(problem.midnights) + 1):
        day = first + timedelta(days=k)
        start, end = clock.minute_on(day, NIGHT_START), clock.minute_on(day, NIGHT_END)
        if any(d.start_min < end and start < d.end_min for d in problem.days):
            out.append((start, end))
    return out


def after_nights(days: PersonDays) -> None:
    """State the rule between the duties that a model may give to one person."""
    problem, off = days.problem, days.problem.job.rules.rest_after_night_min
    if off == 0:
        return
    for start, end in nights(problem):
        for person in problem.people:
            mine = days.spells.get(person.name, [])
            for spell in mine:
                for dive in mine:
                    if dive.leave is not None and dive is not spell:
                        _apart(days.model, spell, dive, (start, end), off)


def _apart(model: Model, spell: Spell, dive: Spell, night: tuple[int, int], off: int) -> None:
    """The spell misses the night, or ends after the dive has left the surface, or long enough before."""
    ways: list[Lit] = []

    def way(name: str) -> Lit:
        ways.append(model.new_bool_var(name))
        return ways[-1]

    assert dive.leave is not None
    model.add(spell.end <= night[0]).only_enforce_if(way("evening"))
    model.add(spell.start >= night[1]).only_enforce_if(way("morning"))
    model.add(spell.end > dive.leave).only_enforce_if(way("later"))
    model.add(dive.leave >= spell.end + off).only_enforce_if(way("rested"))
    his = [literal for literal in (spell.literal, dive.literal) if literal is not None]
    model.add_bool_or(ways).only_enforce_if(his)
