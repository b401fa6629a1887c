"""People-hours that no plan goes below: minutes of duty, and of waiting between the dives of one bench."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from ortools.sat.python import cp_model

from planner.schedule.capacity import held_together, one_bench_at_a_time
from planner.schedule.problem import Problem
from planner.schedule.variables import DiveVars, TaskVars

#: How a post is held (`planner.schedule.problem.Post`).
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
