"""Minutes on site, each person from first duty to last on each working day: in a model and on a draft."""

from __future__ import annotations

import math

from ortools.sat.python import cp_model

from planner.schedule.capacity import held_together
from planner.schedule.draft import Crew, Draft
from planner.schedule.person_days import PersonDays
from planner.schedule.problem import DiveWork, Problem
from planner.schedule.variables import DiveVars, TaskVars
from planner.schedule.ways import water_ascent_min

#: How a post is held (`planner.schedule.problem.Post`).
HELD = ("bench", "watch", "chamber")


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


def duty_minutes(problem: Problem, dives: list[DiveVars], tasks: list[TaskVars]) -> cp_model.LinearExpr:
    """Minutes of duty that must be held, those that one person may hold together counted once.

    Nobody holds two others at a time, so no plan takes fewer people-hours than this.
    """
    terms: list[cp_model.LinearExprT] = []
    for dive in dives:
        on_bench, on_watch, by_chamber = _posts(problem, dive.data)
        terms += [on_bench * dive.bench_min(), (on_watch + by_chamber) * dive.water_min()]
        terms.append(by_chamber * problem.job.rules.chamber_watch_min * dive.present)
    for task in tasks:
        count = sum(c for _, c in task.data.crew)
        terms.append(count * task.data.item.duration_min * task.present)
    return cp_model.LinearExpr.sum(terms)


def least_duty_minutes(problem: Problem) -> int:
    """The same for all the work there is, in the fewest dives with the shortest ways up."""
    total = 0
    for own in problem.by_item.values():
        # At each of its depths all of an item takes at least this; the work may be spread over them, but no
        # share of it takes less than at the depth that asks for the least.
        works = [problem.dives[k] for k in own if problem.dives[k].slots]
        total += min((_least_of_item(problem, works, w) for w in works), default=0)
    for task in problem.tasks:
        if task.spans:
            total += sum(c for _, c in task.crew) * task.item.duration_min
    return total


def _least_of_item(problem: Problem, works: list[DiveWork], work: DiveWork) -> int:
    on_bench, on_watch, by_chamber = _posts(problem, work)
    fewest = math.ceil(work.item.bottom_work_min / max(w.work_max_min for w in works))
    ascent = min(water_ascent_min(m) for m in work.modes)
    water = work.item.bottom_work_min + fewest * (work.descent_min + ascent)
    bench = water + fewest * (work.dressing_min + work.undressing_min)
    held = on_bench * bench + (on_watch + by_chamber) * water
    return held + by_chamber * fewest * problem.job.rules.chamber_watch_min


def _posts(problem: Problem, work: DiveWork) -> tuple[int, int, int]:
    """People on the bench, on watch and by the chamber that any dive of an item takes."""
    need = held_together(problem, work)
    held = {kind: sum(need[p.duty] for p in work.posts if p.held == kind) for kind in HELD}
    return held["bench"] + len(work.seats), held["watch"] + work.standbys, held["chamber"]
