"""The minutes between the dives of an item that is preferred in one go: in a model, and their least."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ortools.sat.python import cp_model

from planner.job.base import joined
from planner.schedule.model.capacity import one_bench_at_a_time
from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.variables import DiveVars
from planner.schedule.problem.problem import DiveWork, Problem


def minutes_between(model: Model, problem: Problem, dives: list[DiveVars]) -> cp_model.LinearExpr:
    """Over the items that ask for it: from the first leaving the surface to the last back at it, less the
    dives' own minutes in the water. The dives of one item follow one another (one-team-an-item)."""
    window = problem.window
    terms: list[Lit] = []
    for work in problem.items_under:
        name = work.item.name
        mine = [d for d in dives if d.data.item.name == name]
        if not work.item.in_one_go or len(mine) < 2:
            continue
        first = model.new_int_var(window.start_min, window.end_min, f"{name}.first")
        last = model.new_int_var(window.start_min, window.end_min, f"{name}.last")
        between = model.new_int_var(0, window.end_min - window.start_min, f"{name}.between")
        for dive in mine:
            model.add(first <= dive.leave_surface).only_enforce_if(dive.present)
            model.add(last >= dive.reach_surface)
        # A dive that is not made leaves and reaches the surface in one minute.
        down = cp_model.LinearExpr.sum([d.reach_surface - d.leave_surface for d in mine])
        model.add(between >= last - first - down)
        terms.append(between)
    return cp_model.LinearExpr.sum(terms)


def least_between_min(problem: Problem) -> int:
    """Minutes between dives that all of the work takes: as few dives as can be, each as soon after the one
    before as its station, bench and divers let it be, within the item's windows."""
    least = 0
    for name, places in problem.by_item.items():
        own = [problem.dives[k] for k in places if problem.dives[k].slots]
        if (
            own
            and own[0].item.in_one_go
            and own[0].weight
            and not any(work.beyond_what_is_offered for work in own)
        ):
            works = [k for k in problem.by_item[name] if problem.dives[k].slots]
            least += _of_item(own, _least_gap_min(problem, works))
    return least


def _of_item(own: list[DiveWork], gap_min: int) -> int:
    """Of one item; ``gap_min``: between two dives of it that follow one another in one window."""
    longest, on_the_way = 0, min(w.descent_min + w.ascent_least_min for w in own)
    for work in own:
        widest = max((p.span.end_min - p.span.start_min for p in work.placements), default=0)
        longest = max(longest, min(work.work_max_min, widest - work.descent_min - work.ascent_least_min))
    needed = own[0].item.bottom_work_min
    if longest <= 0 or longest >= needed:
        return 0
    gaps = math.ceil(needed / longest) - 1
    water = needed + (gaps + 1) * on_the_way
    return max(gaps * gap_min, min(_within(_windows(own), water, gaps, gap_min), default=0))


def _within(windows: list[tuple[int, int]], water: int, gaps: int, gap_min: int) -> Iterator[int]:
    """Minutes between dives at least, where the first is in one window and the last in another, for each two
    that have room: each break between windows lies between two dives, the other dives are ``gap_min`` apart.
    """
    for i, (start, _) in enumerate(windows):
        room = 0
        for breaks, (opens, closes) in enumerate(windows[i:]):
            room += closes - opens
            apart = max(0, gaps - breaks) * gap_min
            if room >= water + apart:
                yield closes - start - room + apart


def _windows(own: list[DiveWork]) -> list[tuple[int, int]]:
    """When the item may be dived at all."""
    return joined((p.span.start_min, p.span.end_min) for work in own for p in work.placements)


def _least_gap_min(problem: Problem, works: list[int]) -> int:
    """Least minutes from one dive of an item to the next: turnaround and bench where it has one station, the
    surface interval where there are not two teams."""
    own, rules, gap = [problem.dives[k] for k in works], problem.job.rules, 0
    changed = min(w.undressing_min for w in own) + min(w.dressing_min for w in own)
    if len({p.station for w in own for p in w.placements}) == 1:
        gap = rules.station_turnaround_min
        if one_bench_at_a_time(problem, works) == works:
            gap = max(gap, changed)
    if len({p for w in own for p in w.divers}) < 2 * min(len(w.seats) for w in own):
        gap = max(gap, rules.least_surface_interval_min, changed)
    return gap
