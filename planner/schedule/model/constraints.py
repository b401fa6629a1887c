"""Hard rules among dives, tasks and people. One function a rule or a few that share literals."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

from ortools.sat.python import cp_model

from planner.job.duties import STANDBY
from planner.schedule.model.interval import Interval, Lit, Model
from planner.schedule.model.named_support import NamedSupport, while_certified
from planner.schedule.model.pins import held_intervals
from planner.schedule.model.sequence import Order, station_intervals
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.problem.eligibility import job_dates, outfits_for
from planner.schedule.problem.problem import NEVER_MIN, Group, Problem, away, wait_minutes
from planner.table_sets import TableSet


def stations(model: Model, problem: Problem, dives: list[DiveVars], order: Order) -> None:
    """one-dive-a-station, station-turnaround, stations-at-once, and the hand-over of the station duties."""
    turnaround = problem.job.rules.station_turnaround_min
    for station in problem.job.stations:
        model.add_no_overlap(station_intervals(model, dives, station.name, "water", extra_min=turnaround))
        model.add_no_overlap(station_intervals(model, dives, station.name, "watch"))
    if problem.job.site.stations_at_once < len(problem.job.stations):
        model.add_cumulative(
            [d.water.interval for d in dives], [1] * len(dives), problem.job.site.stations_at_once
        )
    through = [d.in_chamber.interval for d in dives if d.in_chamber is not None]
    if through:
        # chamber-one-at-a-time: a stretch of no length (no chamber on this dive) takes no place
        model.add_cumulative(through, [1] * len(through), problem.job.site.chamber_places)
    takes_over: dict[int, list[Lit]] = {j: [] for j in range(len(dives))}
    hands_over: dict[int, list[Lit]] = {i: [] for i in range(len(dives))}
    for i, first in enumerate(dives):
        for j, second in enumerate(dives):
            shared = sorted(first.station.keys() & second.station.keys())
            if i == j or not shared or (first.work == second.work and first.slot > second.slot):
                continue
            literal = model.new_bool_var(f"{first.name}>>{second.name}")
            model.add_implication(literal, order.before(i, j))
            model.add(second.watch_start == first.reach_surface).only_enforce_if(literal)
            model.add(second.dress_start >= first.dress_start).only_enforce_if(literal)
            for name in shared:
                model.add(first.station[name] == second.station[name]).only_enforce_if(literal)
            for name in first.station.keys() - shared:
                model.add_implication(literal, ~first.station[name])
            for name in second.station.keys() - shared:
                model.add_implication(literal, ~second.station[name])
            takes_over[j].append(literal)
            hands_over[i].append(literal)
    for j, dive in enumerate(dives):
        model.add(sum(takes_over[j]) == dive.late)
        model.add_at_most_one(hands_over[j])


def items(model: Model, problem: Problem, dives: list[DiveVars], tasks: list[TaskVars]) -> dict[str, Lit]:
    """work-not-exceeded, item-whole, precedence, not-together. Returns item → "wholly done" literal."""
    done: dict[str, Lit] = {}
    slots: dict[str, list[int]] = {}
    for k, dive in enumerate(dives):
        slots.setdefault(dive.data.item.name, []).append(k)
    for data in problem.items_under:
        item = data.item
        mine = [dives[k] for k in slots.get(item.name, [])]
        total = sum(d.work_done() for d in mine)
        literal = model.new_bool_var(f"done.{item.name}")
        done[item.name] = literal
        if not mine:
            model.add(literal == 0)
            continue
        model.add(total <= item.bottom_work_min)
        model.add(total >= item.bottom_work_min).only_enforce_if(literal)
        fewest = math.ceil(item.bottom_work_min / data.work_max_min)
        model.add(sum(d.present for d in mine) >= fewest).only_enforce_if(literal)
        model.add(total >= item.bottom_work_min * literal)
        model.add(total <= item.bottom_work_min - 1 + literal)
        if not item.splittable:
            model.add(literal == sum(d.present for d in mine))
    for task in tasks:
        done[task.data.item.name] = task.present
    for any_item in problem.job.items:
        for link in any_item.after:
            for start, present, _ in _spans(any_item.name, dives, tasks):
                model.add_implication(present, done[link.item])
                for _, earlier_present, end in _spans(link.item, dives, tasks):
                    model.add(start >= end + link.lag_min).only_enforce_if([present, earlier_present])
        for other in any_item.not_together_with:
            _apart(model, any_item.name, other, dives, tasks)
    return done


_Edge = cp_model.LinearExprT


def _spans(name: str, dives: list[DiveVars], tasks: list[TaskVars]) -> list[tuple[_Edge, Lit, _Edge]]:
    """(start, present, end) of everything planned for an item: people in the water, or the task."""
    under: list[tuple[_Edge, Lit, _Edge]] = [
        (d.leave_surface, d.present, d.reach_surface) for d in dives if d.data.item.name == name
    ]
    above: list[tuple[_Edge, Lit, _Edge]] = [
        (t.start, t.present, t.start + t.data.item.duration_min) for t in tasks if t.data.item.name == name
    ]
    return under + above


def _apart(model: Model, one: str, other: str, dives: list[DiveVars], tasks: list[TaskVars]) -> None:
    for start, present, end in _spans(one, dives, tasks):
        for other_start, other_present, other_end in _spans(other, dives, tasks):
            first = model.new_bool_var("")
            model.add(end <= other_start).only_enforce_if([first, present, other_present])
            model.add(other_end <= start).only_enforce_if([~first, present, other_present])


def day_blocks(model: Model, problem: Problem, dives: list[DiveVars], tasks: list[TaskVars]) -> None:
    """day-blocks: there exactly on a day with a dive that asks for it, before its dressing or after it."""
    for index, item in problem.standing:
        task, asked = tasks[index], []
        for dive in dives:
            mine = [
                literal
                for place, literal in dive.place.items()
                if problem.day_of(place.span.start_min) == item.day
                and item.concerns(dive.data.item, place.station)
            ]
            if not mine:
                continue
            there = dive.present if len(mine) == len(dive.place) else mine[0]
            if len(mine) > 1 and there is not dive.present:
                there = model.new_bool_var(f"{dive.name}.asks.{index}")
                model.add(there == sum(mine))
            model.add_implication(there, task.present)
            asked.append(there)
            for start, end in (
                (dive.dress_start, dive.undressed),
                (dive.standing.start, dive.standing.end),
            ):
                if item.block.opens:
                    model.add(task.end <= start).only_enforce_if(there)
                else:
                    model.add(task.start >= end).only_enforce_if(there)
        if item.due:
            model.add(task.present == 1)
        elif asked:
            model.add_bool_or(asked).only_enforce_if(task.present)
        else:
            model.add(task.present == 0)


def people(model: Model, problem: Problem, dives: list[DiveVars], support: NamedSupport | None) -> None:
    """one-duty-at-a-time, hours-available, rest-before-duty, dives-a-day of everyone the model names."""
    rules = problem.job.rules
    for dive in dives:
        for seat in dive.seats:
            while_certified(model, problem, seat.duty, seat.who, dive.seat.end)
        while_certified(model, problem, STANDBY, dive.standby, dive.standing.end)
    for person in problem.people:
        name = person.name
        intervals = [
            model.new_fixed_size_interval_var(s, e - s, f"away.{name}.{s}") for s, e in away(problem, name)
        ]
        seats: dict[int, list[Lit]] = {}
        in_dress: list[cp_model.IntervalVar] = []
        for dive in dives:
            mine = [s.who[name] for s in dive.seats if name in s.who]
            for date, on in dive.date.items():
                seats.setdefault(date, []).extend(_on(model, mine, on, dive))
            intervals += [dive.seat.when(model, literal, literal.name) for literal in mine]
            by = dive.standby.get(name)
            if by is not None:
                intervals.append(dive.standing.when(model, by, by.name))
                if dive.dresses is not None:
                    in_dress.append(dive.dresses.held.when(model, by, f"{by.name}.held"))
        if support is not None:
            intervals += support.intervals.get(name, [])
        else:
            intervals += held_intervals(problem, dives, name)
        for date, down in seats.items():
            left = rules.dives_a_day - problem.dived_before(name, date)[0]
            if len(down) > left:
                model.add(sum(down) <= max(0, left))
        if len(intervals) > 1:
            model.add_no_overlap(intervals)
        if len(in_dress) > 1:
            model.add_no_overlap(in_dress)


def _on(model: Model, literals: list[Lit], date: Lit, dive: DiveVars) -> list[Lit]:
    """Each literal and that the dive is on a calendar day; the literal itself where it can be on no other."""
    if len(dive.date) == 1:
        return literals
    out = []
    for literal in literals:
        both = model.new_bool_var(f"{literal.name}@{date.name}")
        model.add_bool_or(~literal, ~date, both)
        out.append(both)
    return out


def nitrogen(model: Model, problem: Problem, dives: list[DiveVars], order: Order) -> None:
    """residual-nitrogen, surface-interval, standby-able-to-go: within the day and from each one's history."""
    watch = problem.job.rules.chamber_watch_min
    for i, first in enumerate(dives):
        _history(model, problem, first)
        for j, second in enumerate(dives):
            if i == j:
                continue
            if i < j:
                _same_diver(model, problem, order, dives, i, j)
            _dived_then_stands_by(model, order, i, first, j, second, watch)


def _history(model: Model, problem: Problem, dive: DiveVars) -> None:
    start, end = problem.window.start_min, problem.window.end_min
    for person, until in problem.watch_until.items():
        if until <= start:
            continue
        for literal, begin in [(s.who.get(person), dive.leave_surface) for s in dive.seats] + [
            (dive.standby.get(person), dive.standing.start)
        ]:
            if literal is not None:
                model.add(begin >= until).only_enforce_if(literal)
    for person, earliest in problem.dive_from.items():
        if earliest > start:
            for seat in dive.seats:
                if person in seat.who:
                    model.add(dive.leave_surface >= earliest).only_enforce_if(seat.who[person])
    for person, past in problem.brought_in.items():
        for seat in dive.seats:
            if person not in seat.who:
                continue
            for wanted, literal in seat.before.items():
                ready = max(
                    past.ended_min + past.tables.same_dive_under_min,
                    problem.earliest_with_group(person, wanted),
                )
                if ready >= end:
                    model.add_bool_or(~seat.who[person], ~literal)
                elif ready > start:
                    model.add(dive.leave_surface >= ready).only_enforce_if([seat.who[person], literal])
        if person in dive.standby:
            ready = past.ended_min + dive.data.standby_wait_min[past.group]
            if ready >= end:
                model.add(dive.standby[person] == 0)
            elif ready > start:
                model.add(dive.leave_surface >= ready).only_enforce_if(dive.standby[person])


def _same_diver(model: Model, problem: Problem, order: Order, dives: list[DiveVars], i: int, j: int) -> None:
    rules, tables = problem.job.rules, problem.job.tables
    for one in dives[i].seats:
        for other in dives[j].seats:
            common = one.who.keys() & other.who.keys()
            if not common:
                continue
            asked: list[tuple[cp_model.LinearExpr, cp_model.LinearExprT, list[Lit]]] = []
            need: cp_model.LinearExprT
            for a, b, early, late in ((i, j, one, other), (j, i, other, one)):
                gap = dives[b].leave_surface - dives[a].out
                at_least = dives[b].data.dressing_min + _undressing_after_out(dives[a])
                afters = list(early.after.values())
                for wanted, literal in late.before.items():
                    waits = _waits(tables, tuple(early.after), wanted, rules.least_surface_interval_min)
                    if max(waits) > at_least:
                        need = cp_model.LinearExpr.weighted_sum(afters, waits)
                        asked.append((gap, need, [order.before(a, b), literal]))
                for wait, literals in _watch_after(dives[a], rules.chamber_watch_min):
                    if wait > at_least:
                        asked.append((gap, wait, [order.before(a, b), *literals]))
            if not asked:
                # One person dresses after he has undressed: that alone is long enough.
                continue
            shared = model.new_bool_var(f"{dives[i].name}~{dives[j].name}")
            for person in sorted(common):
                model.add_bool_or(~one.who[person], ~other.who[person], shared)
            order.apart(i, j, shared)
            for gap, need, under in asked:
                model.add(gap >= need).only_enforce_if([shared, *under])


def _undressing_after_out(dive: DiveVars) -> int:
    """Minutes of undressing that surely follow once the diver is out of pressure."""
    return dive.data.undressing_min if dive.in_chamber is None else 0


@cache
def _waits(tables: TableSet, after: tuple[Group, ...], wanted: Group, least_interval_min: int) -> list[int]:
    """Surface interval from each group at surfacing to the one wanted, minutes."""
    return [min(NEVER_MIN, max(least_interval_min, wait_minutes(tables, group, wanted))) for group in after]


def _dived_then_stands_by(
    model: Model, order: Order, i: int, first: DiveVars, j: int, second: DiveVars, watch_min: int
) -> None:
    at_least = _undressing_after_out(first)
    watches = [(wait, under) for wait, under in _watch_after(first, watch_min) if wait > at_least]
    for seat in first.seats:
        common = seat.who.keys() & second.standby.keys()
        waits = [second.data.standby_wait_min[g] for g in seat.after]
        if not common or (max(waits, default=0) <= at_least and not watches):
            continue
        shared = model.new_bool_var(f"{first.name}~sb.{second.name}")
        for person in sorted(common):
            model.add_bool_or(~seat.who[person], ~second.standby[person], shared)
        order.apart(i, j, shared)
        need = cp_model.LinearExpr.weighted_sum(list(seat.after.values()), waits)
        under = [shared, order.before(i, j)]
        model.add(second.leave_surface - first.out >= need).only_enforce_if(under)
        for wait, literals in watches:
            gap = second.standing.start - first.out
            model.add(gap >= wait).only_enforce_if([*under, *literals])


def _watch_after(dive: DiveVars, watch_min: int) -> list[tuple[int, list[Lit]]]:
    """chamber-watch: minutes near the chamber after a dive, and the literals under which they hold."""
    if dive.data.chamber_watch_always:
        return [(watch_min, [])]
    return [(watch_min, [dive.deco])] if dive.deco is not None else []


#: An outfit in use: the stretch on a wearer, when it is so, minutes of turnaround after it, how many.
_Use = tuple[Interval, Lit, int, cp_model.LinearExprT]


def outfits(model: Model, problem: Problem, dives: list[DiveVars]) -> None:
    """outfit-one-wearer: for every set of outfits worth stating, no more wearers at once than the set has.

    Outfits of a set count alike here, with the shortest turnaround among them; where theirs differ, it is
    chosen besides of which turnaround an outfit each one wears. Which one it is is named afterwards, exactly.
    """
    fits: dict[tuple[int, str], frozenset[str]] = {}
    for k, dive in enumerate(dives):
        for name in {*dive.data.divers, *dive.data.standby_people}:
            person = problem.job.person(name)
            of_his = (outfits_for(problem.job, dive.data.item, person, day) for day in job_dates(problem.job))
            fits[k, name] = dive.data.outfits & frozenset().union(*of_his)
    mixed = False
    for chosen in sorted(_sets_of(fits), key=sorted):
        turns = {problem.job.outfit(o).turnaround_min for o in chosen}
        mixed, turn = mixed or len(turns) > 1, min(turns)
        uses: list[_Use] = []
        for k, dive in enumerate(dives):
            seats = [(p, v) for s in dive.seats for p, v in s.who.items()]
            for count, stretch, extra, literals in (
                (len(dive.seats), dive.bench, turn, seats),
                (dive.data.standbys, dive.standing, 0, list(dive.standby.items())),
            ):
                inside = [v for p, v in literals if fits[k, p] <= chosen]
                if count and inside and len(inside) == len(literals):
                    uses.append((stretch, dive.present, extra, count))
                elif count:
                    uses += [(stretch, v, extra, 1) for v in inside]
        _worn_at_once(model, problem, chosen, turn, uses)
    if mixed:
        _by_turnaround(model, problem, dives, fits)


def _by_turnaround(
    model: Model, problem: Problem, dives: list[DiveVars], fits: dict[tuple[int, str], frozenset[str]]
) -> None:
    """outfit-one-wearer where turnarounds differ: everyone takes an outfit of one class that is alike.

    Alike: the same turnaround, ready on the same days, fit for the same wearers. Where a class never has more
    wearers than outfits, each of them can be given one of his own.
    """
    dates = job_dates(problem.job)
    alike: dict[tuple[int, tuple[bool, ...], frozenset[tuple[int, str]]], set[str]] = {}
    for outfit in problem.job.outfits:
        wearers = frozenset(use for use, choice in fits.items() if outfit.name in choice)
        ready = tuple(outfit.ready_on(day) for day in dates)
        if wearers:
            alike.setdefault((outfit.turnaround_min, ready, wearers), set()).add(outfit.name)
    classes = [(turn, frozenset(names)) for (turn, _, _), names in alike.items()]
    uses: list[list[_Use]] = [[] for _ in classes]
    for k, dive in enumerate(dives):
        seats = [(p, v) for s in dive.seats for p, v in s.who.items()]
        for count, stretch, dived, literals in (
            (len(dive.seats), dive.bench, True, seats),
            (dive.data.standbys, dive.standing, False, list(dive.standby.items())),
        ):
            if not count:
                continue
            # Wearers who may choose from the same outfits count together.
            together: dict[frozenset[str], list[Lit]] = {}
            for person, literal in literals:
                together.setdefault(fits[k, person], []).append(literal)
            for choice, own in together.items():
                taken = []
                for (turn, names), own_uses in zip(classes, uses, strict=True):
                    if not names <= choice:
                        continue
                    number = model.new_int_var(0, min(count, len(names)), f"{stretch.name}.{min(names)}")
                    taken.append(number)
                    own_uses.append((stretch, dive.present, turn if dived else 0, number))
                model.add(sum(taken) == sum(own))
    for (turn, names), own_uses in zip(classes, uses, strict=True):
        _worn_at_once(model, problem, names, turn, own_uses)


def _worn_at_once(
    model: Model, problem: Problem, chosen: frozenset[str], turn: int, uses: list[_Use]
) -> None:
    """No more of a set of outfits are worn or turned around at once than there are that may be worn.

    What runs out at midnight may be turned around after it, and not worn: where there is such a one, those
    worn are counted once more by themselves.
    """
    away = _put_away(problem, chosen)
    worn = [
        o.worn_until_min for o in problem.job.outfits if o.name in chosen and o.worn_until_min is not None
    ]
    for after in {turn, 0} if away else {turn}:
        intervals = [s.when(model, v, "outfit", extra_min=min(extra, after)) for s, v, extra, _ in uses]
        demands = [count for *_, count in uses]
        for start, end in away:
            if start + after < end:
                size = end - start - after
                intervals.append(model.new_fixed_size_interval_var(start + after, size, "kept"))
                demands.append(1)
        for until in worn:
            size = max(0, until - problem.window.start_min)
            intervals.append(model.new_fixed_size_interval_var(problem.window.start_min, size, "worn"))
            demands.append(1)
        if intervals:
            model.add_cumulative(intervals, demands, len(chosen))


def _put_away(problem: Problem, chosen: frozenset[str]) -> list[tuple[int, int]]:
    """Days of the job on which an outfit of the set may not be worn (its inspection runs out)."""
    out = []
    dates = job_dates(problem.job)
    for name in sorted(chosen):
        outfit = problem.job.outfit(name)
        for k, day in enumerate(dates):
            if not outfit.ready_on(day) and any(outfit.ready_on(d) for d in dates):
                start = problem.midnights[k]
                end = problem.midnights[k + 1] if k + 1 < len(dates) else problem.window.end_min
                out.append((start, end))
    return out


def _sets_of(fits: dict[tuple[int, str], frozenset[str]]) -> set[frozenset[str]]:
    """The sets of outfits that someone must choose from, and the unions of two that share an outfit."""
    distinct = {f for f in fits.values() if f}
    return distinct | {a | b for a in distinct for b in distinct if a & b}


def day_limits(model: Model, problem: Problem, dives: list[DiveVars]) -> dict[str, list[Lit]]:
    """bottom-minutes-a-day. Returns person → bottom minutes variable of each dive."""
    rules = problem.job.rules
    minutes: dict[str, list[Lit]] = {}
    by_date: dict[tuple[str, int], list[Lit]] = {}
    for dive in dives:
        shared: list[Lit] = []
        for person in dive.data.divers:
            here = [s.who[person] for s in dive.seats]
            own = model.new_int_var(0, dive.data.bottom_max_min, f"{dive.name}.bottom.{person}")
            literal = here[0]
            if len(here) > 1:
                literal = model.new_bool_var(f"{dive.name}.down.{person}")
                model.add(literal == sum(here))
            model.add(own == dive.bottom).only_enforce_if(literal)
            model.add(own <= dive.data.bottom_max_min * literal)
            minutes.setdefault(person, []).append(own)
            shared.append(own)
            for date, on in dive.date.items():
                part = own
                if len(dive.date) > 1:
                    part = model.new_int_var(0, dive.data.bottom_max_min, f"{dive.name}.{date}.{person}")
                    model.add(part >= own).only_enforce_if(on)
                by_date.setdefault((person, date), []).append(part)
        model.add(sum(shared) == len(dive.seats) * dive.bottom)
    for group in problem.alike:
        # Alike people are exchangeable: the first named dives the most.
        for one, other in pairwise(p for p in group if p in minutes):
            model.add(sum(minutes[one]) >= sum(minutes[other]))
    for (person, date), spent in by_date.items():
        left = rules.bottom_minutes_a_day - problem.dived_before(person, date)[1]
        model.add(sum(spent) <= max(0, left))
    return minutes
