"""What no plan can beat, told before any search: from the work, the tables and who is there alone.

Costs a few milliseconds. Of each dive only what it takes by itself counts, from the lowest group there is, in
pieces as many or as few as serve best; what other dives, people and the clock add is left to the search.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from heapq import heapify, heapreplace

from planner.schedule.problem.problem import DiveWork, Problem

#: (cost of a dive, most minutes of work that it has room for)
Steps = list[tuple[int, int]]


def work_there_is(problem: Problem) -> int:
    """Weighted minutes of everything that has a slot."""
    under = sum(w.weight * w.item.bottom_work_min for w in problem.items_under if w.slots)
    above = sum(w.weight * w.item.duration_min for w in problem.tasks if w.spans)
    return under + above


def least_decompression_min(problem: Problem, work: int) -> int:
    """Minutes on the way up, over everyone in the water, that so many weighted minutes of work take."""
    return _least(problem, work, lambda w: _by_mode(w, lambda m: m.ascent_min * len(w.seats)))


def least_nitrogen(problem: Problem, work: int) -> int:
    """Groups at surfacing, A as 1, over everyone in the water, that so much work takes."""
    rank_after = problem.job.tables.rank_after
    return _least(problem, work, lambda w: _by_mode(w, lambda m: rank_after(m.group_after) * len(w.seats)))


def least_short_min(problem: Problem, work: int) -> int:
    """Minutes missing to the margins wanted, over the dives, with so much work."""

    def steps(work: DiveWork) -> Steps:
        most = work.bottom_max_min
        return [
            (
                short,
                min(most, mode.bottom_time_max_min, mode.row_ends_min - work.margin_min + short)
                - work.descent_min,
            )
            for mode in work.modes
            for short in range(work.margin_min + 1)
        ]

    return _least(problem, work, steps)


def least_shares(problem: Problem, work: int) -> int:
    """Spread of dives over the divers plus spread of turns standing by, with so much work."""
    takers, works = problem.share_takers, [w for w in problem.dives if w.slots]
    if not works or any(w.beyond_what_is_offered for w in works):
        return 0
    past = {p.name: len(p.past_dives) for p in problem.people}
    total = 0
    for names, able, turns, before in (
        (takers.dives, {p for w in works for p in w.divers}, lambda w: len(w.seats), past),
        (takers.standing_by, {p for w in works for p in w.standby_people}, lambda w: w.standbys, {}),
    ):
        if not able <= set(names):
            continue
        fewest = _least(problem, work, lambda w, t=turns: [(t(w), w.work_max_min)])  # type: ignore[misc]
        most = sum(max(_pieces(w) * turns(w) for w in own) for own in _by_item(problem))
        total += _least_spread([before.get(p, 0) for p in names], fewest, most)
    return total


def least_beyond_one_team(problem: Problem) -> int:
    """Different working divers less one team that all of the work takes, over the items for which the same
    diver is preferred: a diver has so many dives and bottom minutes a day."""
    rules, dates, beyond = problem.job.rules, len(problem.midnights), 0
    for own in _by_item(problem):
        item = own[0].item
        longest = max(w.work_max_min for w in own)
        if (
            not item.same_diver
            or not own[0].weight
            or any(w.beyond_what_is_offered for w in own)
            or not longest
        ):
            continue
        dives = math.ceil(item.bottom_work_min / longest)
        minutes = item.bottom_work_min + dives * min(w.descent_min for w in own)
        different = max(
            math.ceil(item.divers * dives / (rules.dives_a_day * dates)),
            math.ceil(item.divers * minutes / (rules.bottom_minutes_a_day * dates)),
        )
        beyond += max(0, different - item.divers)
    return beyond


def _by_mode(work: DiveWork, cost: Callable[..., int]) -> Steps:
    most = work.bottom_max_min
    return [(cost(m), min(most, m.bottom_time_max_min) - work.descent_min) for m in work.modes]


def _pieces(work: DiveWork) -> int:
    """Most dives that an item may be split into."""
    if not work.item.splittable:
        return work.slots
    return max(work.slots, work.item.bottom_work_min // max(1, work.least_work_min))


def _by_item(problem: Problem) -> Iterable[list[DiveWork]]:
    """The works of each item that has any dive."""
    every = ([problem.dives[k] for k in own if problem.dives[k].slots] for own in problem.by_item.values())
    return (own for own in every if own)


def _least(problem: Problem, work: int, steps: Callable[[DiveWork], Steps]) -> int:
    """Least sum of a cost of each dive over plans with at least so many weighted minutes of work."""
    items = list(_by_item(problem))
    rest = sum(own[0].weight * own[0].item.bottom_work_min for own in items)
    best = {0: sum(t.weight * t.item.duration_min for t in problem.tasks if t.spans)}
    for own in items:
        weight, whole = own[0].weight, own[0].item.bottom_work_min
        rest -= weight * whole
        done = _of_item(own, whole, steps)
        merged: dict[int, int] = {}
        for cost, so_far in best.items():
            for more, minutes in done.items():
                reached = so_far + weight * minutes
                if reached + rest >= work and reached > merged.get(cost + more, -1):
                    merged[cost + more] = reached
        best = _frontier(merged)
    return min(best, default=0)


def _of_item(own: list[DiveWork], whole: int, steps: Callable[[DiveWork], Steps]) -> dict[int, int]:
    """Cost → most minutes of an item's work for it."""
    if any(w.beyond_what_is_offered for w in own):
        return {0: whole}
    dive = _frontier_of((cost, min(whole, room)) for w in own for cost, room in steps(w) if room > 0)
    best = reached = {0: 0}
    for _ in range(sum(_pieces(w) for w in own)):
        reached = _frontier_of(
            (cost + more, min(whole, minutes + room))
            for cost, minutes in reached.items()
            for more, room in dive.items()
        )
        best = _frontier_of((*best.items(), *reached.items()))
        if min(reached.values(), default=whole) >= whole:
            break
    return best


def _frontier_of(pairs: Iterable[tuple[int, int]]) -> dict[int, int]:
    best: dict[int, int] = {}
    for cost, minutes in pairs:
        if minutes > best.get(cost, -1):
            best[cost] = minutes
    return _frontier(best)


def _frontier(best: dict[int, int]) -> dict[int, int]:
    """Only what does more than anything that costs less."""
    out: dict[int, int] = {}
    most = -1
    for cost in sorted(best):
        if best[cost] > most:
            out[cost] = most = best[cost]
    return out


def _least_spread(have: list[int], fewest: int, most: int) -> int:
    """Least difference between who has most and who has fewest, with ``fewest`` to ``most`` turns more."""
    if not have:
        return 0
    heap, high, best = list(have), max(have), math.inf
    heapify(heap)
    for given in range(most + 1):
        if given >= fewest:
            best = min(best, high - heap[0])
        # Each turn to who has fewest: nobody can be evener with as many.
        high = max(high, heap[0] + 1)
        heapreplace(heap, heap[0] + 1)
    return 0 if best == math.inf else int(best)
