"""Capacities as cumulatives: support duties by count, and the air plant.

For every set of duties, the people who hold any of them bound the demand. At each moment a crew can be
named exactly when no set of duties asks for more people than hold one of its duties (Hall's condition);
the cumulatives below state it for every set worth stating. That one person must stay for the whole of a
dive is left to the naming, which is exact.
"""

from __future__ import annotations

from itertools import combinations

from ortools.sat.python import cp_model

from planner.job.duties import STANDBY_TENDER
from planner.schedule.model.interval import Model
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.problem.air_limits import AIR_PADDING_MIN as PAD
from planner.schedule.problem.air_limits import AirLimits, edge_after_min
from planner.schedule.problem.problem import DiveWork, Problem, away

#: With more support duties than this, only single duties, pairs and the whole set are stated.
FULL_SUBSETS_UP_TO = 7


def duty_sets(problem: Problem) -> list[frozenset[str]]:
    """Sets of support duties worth a cumulative: the largest set for each distinct group of holders."""
    duties = list(problem.support_duties)
    sizes = (
        range(1, len(duties) + 1)
        if len(duties) <= FULL_SUBSETS_UP_TO
        else sorted({1, 2, len(duties)} & set(range(1, len(duties) + 1)))
    )
    largest: dict[frozenset[str], frozenset[str]] = {}
    for size in sizes:
        for chosen in combinations(duties, size):
            holders = frozenset[str]().union(*(problem.qualified[d] for d in chosen))
            whole = frozenset(d for d in duties if problem.qualified[d] <= holders)
            largest[holders] = whole
    everyone = frozenset(p.name for p in problem.people if problem.hours[p.name])
    largest.setdefault(everyone, frozenset(duties))
    return list(largest.values())


def holders_of(problem: Problem, duties: frozenset[str]) -> frozenset[str]:
    """People who hold any of the duties; for the whole set of support duties, everyone on site."""
    if duties >= set(problem.support_duties):
        return frozenset(p.name for p in problem.people if problem.hours[p.name])
    return frozenset[str]().union(*(problem.qualified[d] for d in duties))


def one_bench_at_a_time(problem: Problem, works: list[int]) -> list[int]:
    """Largest set found of the given dive items of which no two may be on one station's bench at once.

    While the next diver dresses, the crew of the dive in the water stays: both benches and one watch must
    be manned together. Where no crew is large enough the benches follow each other, which the search would
    otherwise have to find out from the counts.
    """
    clique: list[int] = []
    for k in works:
        if all(not benches_fit(problem, problem.dives[k], problem.dives[j]) for j in [*clique, k]):
            clique.append(k)
    return clique


def benches_fit(problem: Problem, one: DiveWork, other: DiveWork) -> bool:
    """Whether the crew is large enough for two dives of a station whose benches meet."""
    # Where two benches of one station meet, the later one's dressing begins while the station is manned:
    # at that moment both benches and one watch are held.
    for duties in duty_sets(problem):
        holders = holders_of(problem, duties)
        need = []
        for work in (one, other):
            posts = held_together(problem, work)
            bench, watch = bench_and_watch(work, posts, duties)
            if set(work.divers) <= holders:
                bench += len(work.seats)
            if set(work.standby_people) <= holders:
                watch += work.standbys
            need.append((bench, watch))
        if need[0][0] + need[1][0] + min(need[0][1], need[1][1]) > len(holders):
            return False
    return True


def held_together(problem: Problem, data: DiveWork, *, deco: bool = False) -> dict[str, int]:
    """Duties by least number of people: a duty that may be held with another counts once for both.

    ``deco``: on a dive outside the no-stop limits. Of two duties with as many people the one by the chamber
    is not counted, so that the order in which a pair is written decides nothing.
    """
    rules = problem.job.rules
    need = {p.duty: p.people_needed(deco) for p in data.posts}
    by_chamber = {p.duty for p in data.posts if p.held == "chamber"}
    for pair in rules.pairs:
        if pair.duty in need and pair.with_duty in need:
            both = problem.qualified.get(pair.duty, frozenset()) & problem.qualified.get(
                pair.with_duty, frozenset()
            )
            if both:
                lower = min((pair.duty, pair.with_duty), key=lambda d: (need[d], d not in by_chamber))
                need[lower] = 0
    return need


def bench_and_watch(data: DiveWork, need: dict[str, int], duties: frozenset[str]) -> tuple[int, int]:
    """People of some support duties on a dive's bench and on its watch."""
    held = {p.duty: p.held for p in data.posts}
    bench = sum(c for d, c in need.items() if d in duties and held[d] == "bench")
    watch = sum(c for d, c in need.items() if d in duties and held[d] == "watch")
    return bench, watch


def crews(model: Model, problem: Problem, dives: list[DiveVars], tasks: list[TaskVars]) -> None:
    """crew minima and surface crews, counted."""
    for duties in duty_sets(problem):
        holders = holders_of(problem, duties)
        intervals: list[cp_model.IntervalVar] = []
        demands: list[cp_model.LinearExprT] = []
        for dive in dives:
            always, outside = (held_together(problem, dive.data, deco=d) for d in (False, True))
            need = {duty: min(count, outside[duty]) for duty, count in always.items()}
            bench, watch = bench_and_watch(dive.data, need, duties)
            for post in dive.data.posts:
                if post.held != "chamber" or post.duty not in duties:
                    continue
                if need[post.duty]:
                    intervals.append(dive.chamber.interval)
                    demands.append(need[post.duty])
                elif dive.deco is not None and not post.count and outside[post.duty]:
                    intervals.append(dive.chamber.when(model, dive.deco, "operator"))
                    demands.append(outside[post.duty])
            by = _named(model, dive, "standby", holders)
            stretches: list[tuple[int, cp_model.LinearExprT | int, cp_model.IntervalVar]] = [
                (bench, _named(model, dive, "seat", holders), dive.bench.interval)
            ]
            if dive.dresses is None:
                stretches.append((watch, by, dive.watch.interval))
            else:
                stretches += [(watch, 0, dive.watch.interval), (0, by, dive.standing.interval)]
                if STANDBY_TENDER in duties:
                    # Whoever may hold another duty the while counts once; the naming says who.
                    held = {p.duty: p.held for p in dive.data.posts}
                    pairs = problem.paired_with_hands(dive.data) & duties
                    for h in dive.dresses.hands:
                        over = ("bench",) if h.undresses else ("bench", "watch")
                        shared = sum(need[d] for d in pairs if held[d] in over)
                        stretches.append((max(0, h.count - shared), 0, h.stretch.interval))
            for fixed, named, interval in stretches:
                if isinstance(named, int):
                    if fixed + named:
                        intervals.append(interval)
                        demands.append(fixed + named)
                else:
                    intervals.append(interval)
                    demands.append(named + fixed)
        for task in tasks:
            count = sum(c for d, c in task.data.crew if d in duties)
            if count:
                intervals.append(task.interval)
                demands.append(count)
        for person in sorted(holders):
            for start, end in away(problem, person):
                intervals.append(model.new_fixed_size_interval_var(start, end - start, f"away.{person}"))
                demands.append(1)
        if intervals:
            model.add_cumulative(intervals, demands, len(holders))


def _named(model: Model, dive: DiveVars, role: str, holders: frozenset[str]) -> cp_model.LinearExprT | int:
    """How many of ``holders`` the dive takes as divers or standbys: a number, or a variable."""
    if role == "seat":
        literals = [v for s in dive.seats for p, v in s.who.items() if p in holders]
        everyone = set(dive.data.divers) <= holders
        count = len(dive.seats)
    else:
        literals = [v for p, v in dive.standby.items() if p in holders]
        everyone = set(dive.data.standby_people) <= holders
        count = dive.data.standbys
    if everyone or not literals:
        return count if literals else 0
    number = model.new_int_var(0, count, f"{dive.name}.{role}.{len(holders)}")
    model.add(number == sum(literals))
    return number


def tasks_one_at_a_time(problem: Problem) -> list[list[int]]:
    """Groups of surface tasks of which no two can be manned at once, largest first.

    Two tasks that together ask some set of duties for more people than hold one of them cannot overlap
    (a cut known from multi-skill project scheduling).
    """
    sets = [(duties, len(holders_of(problem, duties))) for duties in duty_sets(problem)]
    need = [[sum(c for d, c in task.crew if d in duties) for duties, _ in sets] for task in problem.tasks]
    count = len(problem.tasks)
    clash = [[False] * count for _ in range(count)]
    for i in range(count):
        for j in range(i + 1, count):
            over = any(need[i][k] + need[j][k] > size for k, (_, size) in enumerate(sets))
            clash[i][j] = clash[j][i] = over
    groups: dict[tuple[int, ...], None] = {}
    for seed in range(count):
        group = [seed]
        others = sorted(
            (j for j in range(count) if clash[seed][j]),
            key=lambda j: (-problem.tasks[j].item.duration_min, -sum(clash[j])),
        )
        for j in others:
            if all(clash[j][k] for k in group):
                group.append(j)
        if len(group) > 1:
            groups[tuple(sorted(group))] = None
    return sorted((list(g) for g in groups), key=len, reverse=True)


def air(model: Model, problem: Problem, dives: list[DiveVars]) -> None:
    """State the limits of `planner.schedule.problem.air_limits` for all dives together."""
    limits = AirLimits() if problem.without_air else problem.air
    for ceiling in limits.ceilings:
        intervals = [d.water.interval for d in dives]
        amounts = [ceiling.amount[d.work] for d in dives]
        for dive in dives if ceiling.edge else ():
            after = edge_after_min(problem.job, dive.data.item)
            for start, minutes in ((dive.leave_surface - PAD, PAD), (dive.reach_surface, after)):
                name = f"{dive.name}.air.{minutes}"
                intervals.append(
                    model.new_optional_fixed_size_interval_var(start, minutes, dive.present, name)
                )
                amounts.append(ceiling.edge[dive.work])
        model.add_cumulative(intervals, amounts, ceiling.capacity)
    if limits.draw:
        drawn = [limits.draw[d.work] * d.water_min() + limits.edge_draw[d.work] * d.present for d in dives]
        model.add(cp_model.LinearExpr.sum(drawn) <= limits.store)


def chamber_gas(model: Model, problem: Problem, dives: list[DiveVars]) -> None:
    """chamber-gas: air of each dive on the secondary, of a calendar day on the primary; its oxygen."""
    gas = problem.chamber_gas
    if gas is None:
        return
    days: dict[int, list[tuple[cp_model.LinearExprT, cp_model.LinearExprT]]] = {}
    for dive in dives:
        ways = [[(m.schedule.chamber_periods, v) for m, v in seat.ways] for seat in dive.seats]
        inside = [[(p, v) for p, v in seat if p] for seat in ways]
        if not any(inside):
            continue
        through = model.new_bool_var(f"{dive.name}.through")
        for literal in (v for seat in inside for _, v in seat):
            model.add_implication(literal, through)
        air = gas.pressing * through + sum(gas.air[p] * v for seat in inside for p, v in seat)
        oxygen = sum(gas.oxygen[p] * v for seat in inside for p, v in seat)
        if gas.secondary is not None:
            model.add(air <= gas.secondary).only_enforce_if(through)
        for date, literal in dive.date.items():
            if len(dive.date) == 1:
                days.setdefault(date, []).append((air, oxygen))
                continue
            most = len(dive.seats) * max(max(gas.air.values()), max(gas.oxygen.values())) + gas.pressing
            there = [model.new_int_var(0, most, f"{dive.name}.{date}.{what}") for what in ("air", "oxygen")]
            model.add(there[0] >= air).only_enforce_if(literal)
            model.add(there[1] >= oxygen).only_enforce_if(literal)
            days.setdefault(date, []).append((there[0], there[1]))
    for taken in days.values():
        for at, held in enumerate((gas.primary, gas.oxygen_held)):
            if held is not None:
                model.add(cp_model.LinearExpr.sum([pair[at] for pair in taken]) <= held)
