"""Most work that a day has room for, told before any search: water, benches and divers, one at a time.

Of each only what must be sums up: a station has one dive in its water, a bench that is manned once at a
time one dive on it, a diver so many dives and bottom minutes a day. The best use of one of them, an item's
work cut as fine as one likes, is no less than what any plan does.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from planner.schedule.model.bounds import first_duty_min, items_within, station_sets, stations_of, water_hours
from planner.schedule.model.capacity import one_bench_at_a_time
from planner.schedule.problem.problem import DiveWork, Problem

#: Added before a sum of fractions is rounded down, so that it is never rounded below what it is.
PAD = 1e-6


@dataclass(frozen=True)
class _Room:
    """Something that some items must share: how much there is, what a minute of each item's work takes."""

    size: float
    takes: list[tuple[list[DiveWork], float]]


def most_work(problem: Problem) -> int:
    """Weighted minutes of work that no plan passes."""
    items = [
        own
        for places in problem.by_item.values()
        if (own := [problem.dives[k] for k in places if problem.dives[k].slots])
    ]
    whole = sum(_value(own) for own in items)
    above = sum(t.weight * t.item.duration_min for t in problem.tasks if t.spans)
    return above + min([whole, *(whole - _left_over(room) for room in _rooms(problem))])


def _value(own: list[DiveWork]) -> int:
    return own[0].weight * own[0].item.bottom_work_min


def _left_over(room: _Room) -> int:
    """Weighted minutes of its items for which there is no room, at least."""
    left, done = room.size, 0.0
    by_worth = sorted(room.takes, key=lambda one: one[0][0].weight / one[1], reverse=True)
    for own, takes in by_worth:
        minutes = min(own[0].item.bottom_work_min, left / takes)
        done += own[0].weight * minutes
        left -= minutes * takes
    return sum(_value(own) for own, _ in room.takes) - math.floor(done + PAD)


def _rooms(problem: Problem) -> Iterator[_Room]:
    every = range(len(problem.dives))
    for names in station_sets(problem):
        items = items_within(problem, [k for k in every if stations_of(problem.dives[k]) <= names])
        hours = sum(water_hours(problem, [w for own in items for w in own]))
        yield _shared(items, len(names) * hours, lambda w: w.descent_min + w.ascent_least_min, 1)
    for station in problem.job.stations:
        at = [k for k in every if problem.dives[k].slots and station.name in stations_of(problem.dives[k])]
        clique = one_bench_at_a_time(problem, at)
        items = items_within(problem, [k for k in clique if stations_of(problem.dives[k]) == {station.name}])
        opens = (window.end_min - first_duty_min(problem, k) for k, window in enumerate(problem.days))
        yield _shared(items, sum(max(0, one) for one in opens), _on_the_bench_min, 1)
    rules, dates = problem.job.rules, range(len(problem.midnights))
    for people in {frozenset(w.divers) for w in problem.dives if w.slots}:
        items = items_within(problem, [k for k in every if set(problem.dives[k].divers) <= people])
        before = [problem.dived_before(p, date) for p in people for date in dates]
        dives = sum(max(0, rules.dives_a_day - made) for made, _ in before)
        minutes = sum(max(0, rules.bottom_minutes_a_day - spent) for _, spent in before)
        yield _shared(items, dives, lambda w: w.item.divers, 0)
        yield _shared(items, minutes, lambda w: w.item.divers * w.descent_min, "divers")


def _on_the_bench_min(work: DiveWork) -> int:
    return work.dressing_min + work.descent_min + work.ascent_least_min + work.undressing_min


def _shared(
    items: list[list[DiveWork]], size: float, a_dive: Callable[[DiveWork], int], a_minute: int | str
) -> _Room:
    """A room of which each dive of an item takes something, and each minute of its work so much more."""
    takes = []
    for own in items:
        longest = max(w.work_max_min for w in own)
        each = own[0].item.divers if a_minute == "divers" else int(a_minute)
        takes.append((own, each + min(a_dive(w) for w in own) / longest))
    return _Room(size, [one for one in takes if one[1] > 0])
