"""Minutes on site, each person from first duty to last on each working day: in a model and on a draft."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.schedule.draft import Crew, Draft
from planner.schedule.person_days import PersonDays
from planner.schedule.problem import Problem


def person_days(problem: Problem, draft: Draft, crew: Crew) -> dict[tuple[str, int], tuple[int, int]]:
    """(person, working day) → first start and last end of duty."""
    spells = [(s.person, s.start_min, s.end_min) for s in crew.spells]
    for dive in draft.dives:
        end = max(dive.undressed_min, dive.out_min)
        spells += [(p, dive.dress_start_min, end) for p, _ in dive.seats]
        spells += [(p, *dive.standing) for p in dive.standby]
    out: dict[tuple[str, int], tuple[int, int]] = {}
    for person, start, end in spells:
        key = person, problem.day_of(start)
        first, last = out.get(key, (start, end))
        out[key] = min(first, start), max(last, end)
    return out


def people_value(problem: Problem, draft: Draft, crew: Crew) -> int:
    """Minutes from first duty to last, summed over people and their working days."""
    return sum(last - first for first, last in person_days(problem, draft, crew).values())


def days_held(days: PersonDays) -> list[cp_model.IntVar]:
    """Minutes from first duty to last, one variable a person and working day; 0 without a duty."""
    out = []
    for person in days.problem.people:
        for one in days.of_person(person.name):
            window = days.problem.days[one.day]
            held = days.model.new_int_var(
                0, window.end_min - window.start_min, f"held.{person.name}.{one.day}"
            )
            days.model.add(held >= one.length_min).only_enforce_if(one.worked)
            out.append(held)
    return out
