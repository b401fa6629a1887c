"""What no plan can beat, worked out from the work alone: the finish, people-hours, the crew's overtime.

Redundant in the model, and said outright because the search does not see it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from ortools.sat.python import cp_model

from planner.schedule.model.capacity import held_together, one_bench_at_a_time
from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.problem.problem import Problem


def bound_finish(
    model: Model,
    problem: Problem,
    finish: Lit,
    dives: list[DiveVars],
    tasks: list[TaskVars],
    benches: dict[str, list[int]],
    tasks_apart: list[list[int]],
) -> None:
    """Redundant: what must follow one another on a station cannot end before it is all done.

    ``benches``: station → dive items of which no two may be on its bench at once; ``tasks_apart``: groups of
    surface tasks of which no two can be manned at once.
    """
    hours = _working_minutes(model, problem, finish)
    for names in _station_sets(problem):
        own = [d for d in dives if set(d.station) <= names]
        if not own:
            continue
        water = cp_model.LinearExpr.sum([d.water_min() for d in own])
        ends = min(d.data.dressing_min for d in own) + min(d.data.undressing_min for d in own)
        some = model.new_bool_var("used")
        model.add_max_equality(some, [d.present for d in own])
        # Of several stations each is dressed for, dived and undressed from within the same stretch.
        count = len(names)
        model.add(count * hours >= water + count * ends * some)
        model.add(water <= count * sum(_water_hours(problem, own)))
    for station, works in benches.items():
        bench = [d.bench_min() for d in dives if d.work in works and set(d.station) == {station}]
        if bench:
            model.add(hours >= cp_model.LinearExpr.sum(bench))
    for group in tasks_apart:
        one_by_one = [tasks[k].data.item.duration_min * tasks[k].present for k in group]
        model.add(hours >= cp_model.LinearExpr.sum(one_by_one))


def _working_minutes(model: Model, problem: Problem, finish: Lit) -> cp_model.LinearExpr:
    """Minutes of the working days up to the finish; nights are none."""
    if len(problem.days) == 1:
        return finish - problem.window.start_min
    parts = []
    for k, window in enumerate(problem.days):
        length = window.end_min - window.start_min
        begun = model.new_bool_var(f"begun.{k}")
        part = model.new_int_var(0, length, f"open.{k}")
        model.add(part <= length * begun)
        model.add(finish >= window.start_min).only_enforce_if(begun)
        model.add(part <= finish - window.start_min).only_enforce_if(begun)
        parts.append(part)
    return cp_model.LinearExpr.sum(parts)


def _water_hours(problem: Problem, dives: list[DiveVars]) -> list[int]:
    """Minutes of water there are at all for some dives, each working day.

    From the first minute anyone may leave the surface to the end of the last window.
    """
    out = []
    for k, window in enumerate(problem.days):
        spans = [
            (max(p.span.start_min, window.start_min + d.data.dressing_min), p.span.end_min)
            for d in dives
            for p in d.data.placements
            if problem.day_of(p.span.start_min) == k
        ]
        if spans:
            out.append(max(0, max(end for _, end in spans) - min(start for start, _ in spans)))
    return out


def _station_sets(problem: Problem) -> list[set[str]]:
    names = [s.name for s in problem.job.stations]
    return [{n} for n in names] + ([set(names)] if len(names) > 1 else [])


#: How a post is held (`planner.schedule.problem.problem.Post`).
HELD = ("bench", "watch", "chamber")


@dataclass(frozen=True)
class _Crew:
    """Least number of people that any dive of an item takes, by how long they are held."""

    bench: int
    watch: int
    chamber: int


class PeopleBound:
    """What every plan of a job takes in people-hours, from the work alone.

    Duty: nobody holds two duties that may not be held together, so the minutes of duty add up. Where no two
    dives of a station can have their benches manned at once (`one_bench_at_a_time`), the watch is held from
    the start of dressing; elsewhere at least that of the first dive is.

    Waiting, where all dives of the job follow one another so: whoever is on watch and is needed again that
    day is there while the diver is undressed, since the next dive does not begin before. Each person is on
    his last dive of a day once. So of all (person on watch, dive) pairs at most as many are without that wait
    as there are people, less those who are on the bench of the day's last dive.
    """

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._works = [k for k, w in enumerate(problem.dives) if w.slots]

    @cached_property
    def _crews(self) -> dict[int, _Crew]:
        out = {}
        for k in self._works:
            work = self._problem.dives[k]
            need = held_together(self._problem, work)
            held = {kind: sum(need[p.duty] for p in work.posts if p.held == kind) for kind in HELD}
            out[k] = _Crew(held["bench"] + len(work.seats), held["watch"] + work.standbys, held["chamber"])
        return out

    @cached_property
    def _one_by_one(self) -> frozenset[int]:
        """Items whose dives never have a bench manned together with another of their station."""
        at: dict[str, set[int]] = {}
        for k in self._works:
            for place in self._problem.dives[k].placements:
                at.setdefault(place.station, set()).add(k)
        apart = [set(one_bench_at_a_time(self._problem, sorted(own))) for own in at.values()]
        whole = [own for own, found in zip(at.values(), apart, strict=True) if own == found]
        shared = [own for own, found in zip(at.values(), apart, strict=True) if own != found]
        return frozenset(set().union(*whole) - set().union(*shared)) if whole else frozenset()

    @cached_property
    def _one_line(self) -> bool:
        """Whether all dives of the job follow one another, bench after bench."""
        stations = {p.station for k in self._works for p in self._problem.dives[k].placements}
        return len(stations) == 1 and set(self._works) == self._one_by_one

    def minutes(self, dives: list[DiveVars], tasks: list[TaskVars]) -> list[cp_model.LinearExpr]:
        """Of a model's dives and tasks, minutes: expressions that people-hours are none below."""
        duty: list[cp_model.LinearExprT] = []
        waiting: list[cp_model.LinearExprT] = []
        for dive in dives:
            crew, data = self._crews[dive.work], dive.data
            duty += [crew.bench * dive.bench_min(), (crew.watch + crew.chamber) * dive.water_min()]
            duty.append(crew.chamber * self._problem.job.rules.chamber_watch_min * dive.present)
            # Where the crew of the dive before covers the dressing, the watch may begin as late as the dive.
            covered = 0 if dive.work in self._one_by_one else dive.late
            duty.append(crew.watch * data.dressing_min * (dive.present - covered))
            waiting.append(crew.watch * data.undressing_min * dive.present)
        above: list[cp_model.LinearExprT] = []
        for task in tasks:
            above.append(sum(c for _, c in task.data.crew) * task.data.item.duration_min * task.present)
        under, over = cp_model.LinearExpr.sum(duty), cp_model.LinearExpr.sum(above)
        out = [under + over]
        if self._one_line:
            out.append(under + cp_model.LinearExpr.sum(waiting) - self._not_waited_min)
        return out

    @cached_property
    def _not_waited_min(self) -> int:
        """Most minutes of undressing that are nobody's waiting: each person goes after his last dive."""
        problem = self._problem
        people: set[str] = set()
        for k in self._works:
            work = problem.dives[k]
            people.update(work.divers, work.standby_people, *(problem.qualified[p.duty] for p in work.posts))
        on_bench = min((c.bench for c in self._crews.values()), default=0)
        longest = max((problem.dives[k].undressing_min for k in self._works), default=0)
        return longest * len(problem.days) * max(0, len(people) - on_bench)

    def all_the_work_min(self) -> int:
        """Minutes for all the work there is, in the fewest dives with the shortest ways up."""
        problem = self._problem
        under = waiting = 0
        for own in problem.by_item.values():
            # At each of its depths all of an item takes at least this; the work may be spread over them, but
            # no share of it takes less than at the depth that asks for the least.
            works = [k for k in own if problem.dives[k].slots]
            if not works:
                continue
            most = max(problem.dives[k].work_max_min for k in works)
            fewest = math.ceil(problem.dives[works[0]].item.bottom_work_min / most)
            under += min(self._least_of(k, fewest) for k in works)
            waiting += fewest * min(self._crews[k].watch * problem.dives[k].undressing_min for k in works)
        if under and not self._one_by_one:
            # Nobody covers the dressing of the first dive.
            under += min(self._crews[k].watch * problem.dives[k].dressing_min for k in self._works)
        over = sum(sum(c for _, c in t.crew) * t.item.duration_min for t in problem.tasks if t.spans)
        if not self._one_line:
            return under + over
        return under + max(over, waiting - self._not_waited_min)

    def _least_of(self, k: int, fewest: int) -> int:
        crew, work = self._crews[k], self._problem.dives[k]
        water = work.item.bottom_work_min + fewest * (work.descent_min + work.ascent_least_min)
        bench = water + fewest * (work.dressing_min + work.undressing_min)
        watch = water + (fewest * work.dressing_min if k in self._one_by_one else 0)
        by_chamber = water + fewest * self._problem.job.rules.chamber_watch_min
        return crew.bench * bench + crew.watch * watch + crew.chamber * by_chamber


def overtime_bound(problem: Problem, *, finish_min: int, latest_start_min: int) -> int:
    """Least overtime of the crew, minutes.

    Parameters
    ----------
    finish_min
        No plan with that work ends its last piece of work earlier than this.
    latest_start_min
        No plan with that finish and that work starts its first piece of work later than this.
    """
    first_crews, last_crews = [], []
    for work in problem.dives:
        if not work.slots:
            continue
        posts = held_together(problem, work)
        watch = work.standbys + sum(posts[p.duty] for p in work.posts if p.held == "watch")
        bench = len(work.seats) + sum(posts[p.duty] for p in work.posts if p.held == "bench")
        first_crews.append(watch + bench)
        last_crews.append([finish_min - work.undressing_min] * watch + [finish_min] * bench)
    for task in problem.tasks:
        if task.spans:
            count = sum(c for _, c in task.crew)
            first_crews.append(count)
            last_crews.append([finish_min] * count)
    if not first_crews:
        return 0
    people = sum(1 for p in problem.people if problem.hours[p.name])
    least = None
    for ends in last_crews:
        both = max(0, min(first_crews) + len(ends) - people)
        over = sum(
            max(0, end - latest_start_min - problem.job.rules.overtime_after_min) for end in ends[:both]
        )
        least = over if least is None else min(least, over)
    return least or 0
