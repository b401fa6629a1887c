"""What a change of the standby diver costs a station: the water stands still, where the crew is too small.

The next one is dressed before his diver leaves the surface, and until the one before is undressed he is held
too. With both benches, a watch and two standby divers at one moment a small crew is short of people: then one
dive's undressing and the next one's dressing follow each other. Redundant in the model, and said outright
because the search does not see it in the counts.
"""

from __future__ import annotations

from functools import cache, partial

from ortools.sat.python import cp_model

from planner.job.duties import STANDBY_TENDER
from planner.schedule.model.capacity import bench_and_watch, benches_fit, duty_sets, held_together, holders_of
from planner.schedule.model.interval import Model
from planner.schedule.model.sequence import Order
from planner.schedule.model.variables import DiveVars
from planner.schedule.problem.problem import DiveWork, Problem


def changes_apart(model: Model, problem: Problem, dives: list[DiveVars], order: Order) -> None:
    """Between a dive and one that another standby diver dresses for, all of both benches, where the crew does
    not reach for the two at once."""
    fits = cache(partial(change_fits, problem))
    for i, one in enumerate(dives):
        for j, other in enumerate(dives):
            same = one.station.keys() == other.station.keys() and len(one.station) == 1
            if i == j or not same or one.dresses is None or other.dresses is None:
                continue
            if one.work == other.work and i > j:
                continue
            if fits(one.work, other.work, undresses=True) or not benches_fit(problem, one.data, other.data):
                # Both at once, or never their benches, whoever stands by: nothing more to say.
                continue
            changed = [order.before(i, j), ~other.dresses.comes_dressed]
            if fits(one.work, other.work, undresses=False):
                changed.append(~one.dresses.stays_dressed)
            model.add(one.undressed <= other.dress_start).only_enforce_if(changed)


def change_fits(problem: Problem, first: int, second: int, *, undresses: bool) -> bool:
    """Whether the crew is large enough for two dives of a station whose benches meet, each with a standby
    diver of its own; ``undresses``: the first one's is undressed at once, by hands of his own.

    Where the benches meet before the first diver is up, its watch is held until then; where they meet after,
    the station's watch is held from the second's dressing on.
    """
    works = problem.dives[first], problem.dives[second]
    for duties in duty_sets(problem):
        holders = holders_of(problem, duties)
        needs = [_needed(problem, work, duties, holders) for work in works]
        together = sum(need[0] for need in needs) + min(need[1] for need in needs)
        if together + (needs[0][2] if undresses else 0) > len(holders):
            return False
    return True


def _needed(
    problem: Problem, work: DiveWork, duties: frozenset[str], holders: frozenset[str]
) -> tuple[int, int, int]:
    """People of ``holders`` on a dive's bench or in its standby dress, on watch, and to undress its standby
    divers; the fewest, stops or none."""
    always, outside = (held_together(problem, work, deco=deco) for deco in (False, True))
    need = {duty: min(count, outside[duty]) for duty, count in always.items()}
    bench, watch = bench_and_watch(work, need, duties)
    if set(work.divers) <= holders:
        bench += len(work.seats)
    if set(work.standby_people) <= holders:
        bench += work.standbys
    held = {post.duty: post.held for post in work.posts}
    shared = sum(need[duty] for duty in problem.paired_with_hands(work) & duties if held[duty] == "bench")
    return bench, watch, max(0, work.hands - shared) if STANDBY_TENDER in duties else 0


def still_min(problem: Problem, station: str, own: list[DiveVars]) -> cp_model.LinearExpr:
    """Minutes for which a station stands still between its dives, at least.

    ``own``: the dives that are made from it alone.

    Before each but the first of a working day: the turnaround; where the crew of the last dive does not cover
    the start of its dressing, all of that; and where another standby diver dresses for it and no crew reaches
    for two of them at once, the undressing before too.
    """
    turnaround, first = problem.job.rules.station_turnaround_min, len(problem.days)
    works = [k for k, w in enumerate(problem.dives) if any(p.station == station for p in w.placements)]
    total = cp_model.LinearExpr.sum
    still: cp_model.LinearExpr = turnaround * (total([d.present for d in own]) - first)
    if not any(benches_fit(problem, problem.dives[k], problem.dives[j]) for k in works for j in works):
        # One bench after the other, which is a sum of its own.
        return still
    dressing = min(problem.dives[k].dressing_min for k in works)
    undressing = min(problem.dives[k].undressing_min for k in works)
    uncovered = max(0, dressing - turnaround)
    still += uncovered * (total([d.present - d.late for d in own]) - first)
    if any(change_fits(problem, one, other, undresses=False) for one in works for other in works):
        return still
    more = max(0, dressing + undressing - max(dressing, turnaround))
    changes = [d.present - d.dresses.comes_dressed for d in own if d.dresses is not None]
    still += more * (total(changes) - first)
    return still
