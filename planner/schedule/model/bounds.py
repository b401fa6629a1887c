"""What no plan can beat, worked out from the work alone: the finish and people-hours.

Redundant in the model, and said outright because the search does not see it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from ortools.sat.python import cp_model

from planner.job.base import joined
from planner.schedule.model.capacity import held_together, one_bench_at_a_time, tasks_one_at_a_time
from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.standby_change import still_min
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.problem import DiveWork, Problem, TaskWork
from planner.tables.schedule import NO_STOP


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
    for names in station_sets(problem):
        own = [d for d in dives if set(d.station) <= names]
        if not own:
            continue
        water = cp_model.LinearExpr.sum([d.water_min() for d in own])
        ends = min(d.data.dressing_min for d in own) + min(d.data.undressing_min for d in own)
        # On the first of their days at least the standing work is done around them.
        ends += _around_min(problem, [d.data for d in own])
        some = model.new_bool_var("used")
        model.add_max_equality(some, [d.present for d in own])
        # Of several stations each is dressed for, dived and undressed from within the same stretch.
        count = len(names)
        model.add(count * hours >= water + count * ends * some)
        if count == 1:
            model.add(hours >= water + ends * some + still_min(problem, next(iter(names)), own))
        elif turnaround := problem.job.rules.station_turnaround_min:
            # One between any two dives that follow one another at a station on one day.
            turns = sum(d.present for d in own) - count * len(problem.days) * some
            model.add(count * hours >= water + count * ends * some + turnaround * turns)
        model.add(water <= count * sum(water_hours(problem, [d.data for d in own])))
    for station, works in benches.items():
        own = [d for d in dives if d.work in works and set(d.station) == {station}]
        bench = [d.bench_min() for d in own]
        if bench:
            # Whatever dive is first, the opening work comes before its dressing and the closing after it.
            around = _around_min(problem, [d.data for d in own])
            some = model.new_bool_var("benched")
            model.add_max_equality(some, [d.present for d in own])
            model.add(hours >= cp_model.LinearExpr.sum(bench) + around * some)
    for group in tasks_apart:
        one_by_one = [tasks[k].data.item.duration_min * tasks[k].present for k in group]
        model.add(hours >= cp_model.LinearExpr.sum(one_by_one))


@dataclass(frozen=True)
class Dived:
    """What some dives of all the work take, on as many days as they are spread over."""

    works: list[DiveWork]
    water_min: int
    """In the water, or on a bench that is manned once at a time."""
    stations: int
    """Stations that share it."""
    ends_min: int = 0
    """Dressing before a day's first of them and undressing after its last."""
    dives: int = 0
    turnaround_min: int = 0
    """Between two that follow one another at a station on one day."""

    def over(self, days: int) -> int:
        """Minutes from the first dressing to the last undressed of each of so many days, summed."""
        turns = max(0, self.dives - self.stations * days)
        water = self.water_min + self.turnaround_min * turns
        return math.ceil(water / self.stations) + days * self.ends_min


def least_dived(problem: Problem, work: int) -> list[Dived]:
    """What so many weighted minutes of work take: for each set of stations, and for each bench that is manned
    once at a time."""
    out = []
    for names in station_sets(problem):
        items = items_within(problem, [k for k, w in enumerate(problem.dives) if stations_of(w) <= names])
        need = _asked_of(problem, items, work)
        if need > 0:
            own = [w for works in items for w in works]
            water = _least_for(need, items, lambda w: 0)
            ends = min(w.dressing_min for w in own) + min(w.undressing_min for w in own)
            dives = sum(fewest_dives(works) for works in items) if need == _value(items) else 0
            out.append(Dived(own, water, len(names), ends, dives, problem.job.rules.station_turnaround_min))
    for station in problem.job.stations:
        at = [k for k, w in enumerate(problem.dives) if w.slots and station.name in stations_of(w)]
        clique = one_bench_at_a_time(problem, at)
        items = items_within(problem, [k for k in clique if stations_of(problem.dives[k]) == {station.name}])
        need = _asked_of(problem, items, work)
        if need > 0:
            bench = _least_for(need, items, lambda w: w.dressing_min + w.undressing_min)
            out.append(Dived([w for works in items for w in works], bench, 1))
    return out


def _value(items: list[list[DiveWork]]) -> int:
    return sum(works[0].weight * works[0].item.bottom_work_min for works in items)


def _asked_of(problem: Problem, items: list[list[DiveWork]], work: int) -> int:
    """Weighted minutes that some items must give at least, where all else is done."""
    return max(0, _value(items) - max(0, work_there_is(problem) - work))


def _least_for(need: int, items: list[list[DiveWork]], around_min: Callable[[DiveWork], int]) -> int:
    """Minutes in the water and around each dive that so many weighted minutes of some items take.

    Of all of them each item takes its fewest dives; of less, the items that give most a minute come first,
    cut as fine as one likes.
    """
    if need == _value(items):
        return sum(_water_least_min(own) + fewest_dives(own) * min(map(around_min, own)) for own in items)
    rates = []
    for own in items:
        a_dive = min(w.descent_min + w.ascent_least_min + around_min(w) for w in own)
        a_minute = 1 + Fraction(a_dive, max(w.work_max_min for w in own))
        rates.append((a_minute / own[0].weight, own[0].weight * own[0].item.bottom_work_min))
    minutes = Fraction(0)
    for rate, worth in sorted(rates):
        minutes += rate * min(worth, need)
        need -= min(worth, need)
    return math.ceil(minutes)


def least_dived_min(problem: Problem, work: int) -> int:
    """Minutes from the first dressing to the last undressed of any plan with so much work, one day's.

    What the work takes, or more where the windows of all of it lie apart: an item that must begin early,
    another that the windows before cannot hold whole.
    """
    least = max((one.over(1) for one in least_dived(problem, work)), default=0)
    if work < work_there_is(problem):
        return least
    within = items_within(problem, list(range(len(problem.dives))))
    ends = [e for works in within if (e := _ends_by_windows(problem, works)) is not None]
    apart = max((late for _, late in ends), default=0) - min((early for early, _ in ends), default=0)
    return max(apart, least)


def _ends_by_windows(problem: Problem, works: list[DiveWork]) -> tuple[int, int] | None:
    """Latest minute at which the first dive of all of an item is dressed for, and the earliest at which its
    last one is undressed; None where its windows do not hold it."""
    need = _water_least_min(works)
    shortest = min(w.descent_min + w.least_work_min + w.ascent_least_min for w in works)
    opens = first_duty_min(problem, 0) + min(w.dressing_min for w in works)
    spans = {
        station: joined(
            (max(p.span.start_min, opens), p.span.end_min)
            for w in works
            for p in w.placements
            if p.station == station and p.span.end_min - max(p.span.start_min, opens) >= shortest
        )
        for station in set().union(*map(stations_of, works))
    }
    each = [span for own in spans.values() for span in own]
    if sum(end - start for start, end in each) < need:
        return None
    last = _filled_at(each, need)
    first = -_filled_at([(-end, -start) for start, end in each], need)
    if len(spans) == 1:
        # A dive lies in one window whole, and the windows before do not hold all of them.
        last = max(last, max(start for start, _ in each if start < last) + shortest)
        first = min(first, min(end for _, end in each if end > first) - shortest)
    dressing = min(w.dressing_min for w in works)
    return first - dressing, last + min(w.undressing_min for w in works)


def _filled_at(spans: list[tuple[int, int]], need_min: int) -> int:
    """The first minute by which spans, side by side, hold so many minutes."""
    marks = sorted({at for span in spans for at in span})
    for start, end in pairwise(marks):
        side_by_side = sum(1 for a, b in spans if a <= start and end <= b)
        if side_by_side and need_min <= side_by_side * (end - start):
            return start + -(-need_min // side_by_side)
        need_min -= side_by_side * (end - start)
    return marks[-1]


def least_finish_min(problem: Problem, work: int) -> int:
    """A minute before which no plan with so much work finishes: the same, told without a search."""
    over = range(1, len(problem.days) + 1)
    hours = max(
        (
            min(map(dived.over, over)) + _around_min(problem, dived.works)
            for dived in least_dived(problem, work)
        ),
        default=0,
    )
    for group in tasks_one_at_a_time(problem) if work == work_there_is(problem) else ():
        own_tasks = (problem.tasks[k] for k in group)
        hours = max(hours, sum(t.item.duration_min for t in own_tasks if _must_be_done(t)))
    for day, window in enumerate(problem.days):
        opens = first_duty_min(problem, day)
        if hours <= window.end_min - opens or window is problem.days[-1]:
            return opens + hours if hours else problem.window.start_min
        hours -= window.end_min - opens
    return problem.window.start_min


def stations_of(work: DiveWork) -> set[str]:
    """Stations from which a dive may be made."""
    return {p.station for p in work.placements}


def items_within(problem: Problem, works: list[int]) -> list[list[DiveWork]]:
    """The works of each item that can be dived, where all of them are among those given; of none that all of
    the work can do without, its priority having no weight."""
    every = ([k for k in own if problem.dives[k].slots] for own in problem.by_item.values())
    within = ([problem.dives[k] for k in own] for own in every if own and set(own) <= set(works))
    return [own for own in within if own[0].weight and not any(w.beyond_what_is_offered for w in own)]


def fewest_dives(works: list[DiveWork]) -> int:
    """Dives that all of an item takes at least, at any of its depths."""
    return math.ceil(works[0].item.bottom_work_min / max(w.work_max_min for w in works))


def _water_least_min(works: list[DiveWork]) -> int:
    """Minutes in the water that all of an item takes at least."""
    ways = min(w.descent_min + w.ascent_least_min for w in works)
    return works[0].item.bottom_work_min + fewest_dives(works) * ways


def _around_min(problem: Problem, works: list[DiveWork]) -> int:
    """Minutes of opening and closing work around some dives, at least."""
    return sum(_standing_min(problem, works, opens=side) for side in (True, False)) if works else 0


def _standing_min(problem: Problem, works: list[DiveWork], *, opens: bool) -> int:
    """Minutes that the opening or the closing work takes at least, of that which every one of some dives asks
    for, whatever its day: the longest block, and what the people for it must do one after another."""
    least = []
    for day in range(len(problem.days)):
        own = [
            problem.tasks[k]
            for k, block in problem.standing
            if block.day == day
            and block.block.opens is opens
            and all(block.concerns(w.item, p.station) for w in works for p in w.placements)
        ]
        longest = max((t.item.duration_min for t in own), default=0)
        for duty in {duty for t in own for duty, _ in t.crew}:
            work = sum(t.item.duration_min * dict(t.crew).get(duty, 0) for t in own)
            longest = max(longest, -(-work // max(1, len(problem.qualified[duty]))))
        least.append(longest)
    return min(least, default=0)


def _working_minutes(model: Model, problem: Problem, finish: Lit) -> cp_model.LinearExpr:
    """Minutes of the working days up to the finish, from when the first may have a duty; nights are none."""
    if len(problem.days) == 1:
        return finish - first_duty_min(problem, 0)
    parts = []
    for k, window in enumerate(problem.days):
        opens = first_duty_min(problem, k)
        length = window.end_min - opens
        begun = model.new_bool_var(f"begun.{k}")
        part = model.new_int_var(0, length, f"open.{k}")
        model.add(part <= length * begun)
        model.add(finish >= opens).only_enforce_if(begun)
        model.add(part <= finish - opens).only_enforce_if(begun)
        parts.append(part)
    return cp_model.LinearExpr.sum(parts)


def first_duty_min(problem: Problem, day: int) -> int:
    """First minute of a working day at which anybody may have a duty: on site, rested and briefed."""
    window = problem.days[day]
    starts = (s.start_min for own in problem.hours.values() for s in own)
    return min((s for s in starts if problem.day_of(s) == day), default=window.end_min)


def water_hours(problem: Problem, works: list[DiveWork]) -> list[int]:
    """Minutes of water there are at all for some dives, each working day.

    From the first minute anyone may leave the surface to the end of the last window.
    """
    out = []
    for k in range(len(problem.days)):
        spans = [
            (max(p.span.start_min, first_duty_min(problem, k) + w.dressing_min), p.span.end_min)
            for w in works
            for p in w.placements
            if problem.day_of(p.span.start_min) == k
        ]
        if spans:
            out.append(max(0, max(end for _, end in spans) - min(start for start, _ in spans)))
    return out


def station_sets(problem: Problem) -> list[set[str]]:
    """Each station alone, and all of them together."""
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
    to_the_end: int
    """Those on the bench, the standby divers and the hands that undress them: all until undressed."""


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
        self._all_offered = not any(problem.dives[k].beyond_what_is_offered for k in self._works)
        """Whether no dive is of another kind, with another crew, than those that are looked at."""

    @cached_property
    def _crews(self) -> dict[int, _Crew]:
        out = {}
        for k in self._works:
            work = self._problem.dives[k]
            need = held_together(self._problem, work)
            held = {kind: sum(need[p.duty] for p in work.posts if p.held == kind) for kind in HELD}
            bench = held["bench"] + len(work.seats)
            out[k] = _Crew(
                bench,
                held["watch"] + work.standbys,
                held["chamber"],
                bench + work.standbys + self._hands(work),
            )
        return out

    def _hands(self, work: DiveWork) -> int:
        """Hands that surely have no other duty while a standby diver is dressed or undressed."""
        return 0 if self._problem.paired_with_hands(work) else work.hands

    def _first_dressing_min(self) -> int:
        """Minutes for dressing the standby divers before a day's first dive, beside bench and watch.

        Each item is done in the fewest dives; another takes its bench and watch at least the undressing more.
        """
        least = []
        for k in self._works:
            crew, work = self._crews[k], self._problem.dives[k]
            hands = self._hands(work)
            last = (work.item.bottom_work_min - 1) % self._most_work_min(work.item.name) + 1
            # Of several the one may dress after the other, by the same hands.
            more = max(0, hands - work.standby_tenders) if work.standbys == 1 else 0
            stops = any(mode.way_up != NO_STOP for mode in work.modes)
            by_chamber = any(p.held == "chamber" and p.people_needed(stops) for p in work.posts)
            water = work.descent_min + max(work.least_work_min, last) + work.ascent_least_min
            kept = 0 if by_chamber else min(work.undressing_min, water) * min(more, crew.bench + crew.watch)
            least.append(min(more * work.dressing_min + kept, (work.standbys + hands) * work.dressing_min))
        return min(least, default=0)

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

    @cached_property
    def _divers_and_crew(self) -> set[str]:
        """Everybody who may have a duty of a dive."""
        people: set[str] = set()
        for k in self._works:
            work = self._problem.dives[k]
            crew = (self._problem.qualified[p.duty] for p in work.posts)
            people.update(work.divers, work.standby_people, *crew)
        return people

    @property
    def _to_the_end(self) -> int:
        return min((c.to_the_end for c in self._crews.values()), default=0)

    @property
    def _undressing_max_min(self) -> int:
        return max((self._problem.dives[k].undressing_min for k in self._works), default=0)

    def all_the_work_min(self) -> int:
        """Minutes for all the work there is, in the fewest dives with the shortest ways up."""
        problem = self._problem
        under = waiting = 0
        for own in problem.by_item.values():
            # At each of its depths all of an item takes at least this; the work may be spread over them, but
            # no share of it takes less than at the depth that asks for the least.
            works = self._offered(own)
            if not works:
                continue
            fewest = fewest_dives([problem.dives[k] for k in works])
            under += min(self._least_of(k, fewest) for k in works)
            waiting += fewest * min(self._crews[k].watch * problem.dives[k].undressing_min for k in works)
        if under and self._all_offered and not self._one_by_one:
            # Nobody covers the dressing of the first dive.
            under += min(self._crews[k].watch * problem.dives[k].dressing_min for k in self._works)
        over = sum(_crew_min(t) for t in problem.tasks if _must_be_done(t))
        if not under:
            return over
        # On one of the days at least, all that every dive asks for.
        around = [0] * len(problem.days)
        for _, block in problem.standing:
            task = next(t for t in problem.tasks if t.standing is block)
            around[block.day] += _crew_min(task) if self._around_all(task) else 0
        under += min(around)
        # With more people fewer wait, and more are briefed: whichever number of both takes least.
        counted = self._one_line and self._all_offered
        waits, dressed = (waiting, self._first_dressing_min()) if counted else (0, 0)
        undressing = self._undressing_max_min
        least, most = self._people_at_once, max(self._people_at_once, len(self._divers_and_crew))
        return under + min(
            max(over, waits - undressing * (there - days * self._to_the_end) + days * dressed)
            + problem.least_briefing_min * there
            for days in range(1, len(problem.days) + 1)
            for there in range(days * least, days * most + 1)
        )

    def _most_work_min(self, item: str) -> int:
        """Longest working time of one dive of an item, at any of its depths."""
        works = (self._problem.dives[k] for k in self._problem.by_item[item])
        return max((w.work_max_min for w in works if w.slots), default=0)

    def _around_all(self, task: TaskWork) -> bool:
        """Whether a task is standing work that every dive of the job asks for."""
        block = task.standing
        dives = [self._problem.dives[k] for k in self._works]
        return block is not None and all(
            block.concerns(d.item, p.station) for d in dives for p in d.placements
        )

    @cached_property
    def _people_at_once(self) -> int:
        """Most people that some dive of all the work surely has on site together."""
        crews = {k: c.bench + c.watch + c.chamber for k, c in self._crews.items()}
        by_item = ([crews[k] for k in self._offered(own)] for own in self._problem.by_item.values())
        return max((min(own) for own in by_item if own), default=0)

    def _offered(self, own: tuple[int, ...]) -> list[int]:
        """The works of an item, where each of its dives is one of these; none else, nor where its priority
        has no weight."""
        works = [k for k in own if self._problem.dives[k].slots and self._problem.dives[k].weight]
        return [] if any(self._problem.dives[k].beyond_what_is_offered for k in works) else works

    def _least_of(self, k: int, fewest: int) -> int:
        crew, work = self._crews[k], self._problem.dives[k]
        water = work.item.bottom_work_min + fewest * (work.descent_min + work.ascent_least_min)
        bench = water + fewest * (work.dressing_min + work.undressing_min)
        alone = self._all_offered and k in self._one_by_one
        watch = water + (fewest * work.dressing_min if alone else 0)
        by_chamber = water + fewest * self._problem.job.rules.chamber_watch_min
        return crew.bench * bench + crew.watch * watch + crew.chamber * by_chamber


def _must_be_done(task: TaskWork) -> bool:
    """Whether a surface item is part of all the work there is."""
    return bool(task.spans and task.weight and task.standing is None)


def _crew_min(task: TaskWork) -> int:
    """Minutes of duty that a task takes."""
    return sum(count for _, count in task.crew) * task.item.duration_min
