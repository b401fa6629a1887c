"""pins-kept in the model: what a person has settled already.

Pins that only take people away (``away``, ``stays up``) are applied when the job is made ready
(`planner.schedule.problem.problem`); the others are constraints here.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.job import Pin, PinKind
from planner.job.duties import DIVER, ENTRY_DIVER, STANDBY
from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.named_support import NamedSupport
from planner.schedule.model.sequence import Order
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.problem.problem import Problem


def keep(
    model: Model,
    problem: Problem,
    dives: list[DiveVars],
    tasks: list[TaskVars],
    support: NamedSupport | None,
    order: Order,
) -> None:
    """State every pin of the job."""
    for pin in problem.job.pins:
        mine = [(k, d) for k, d in enumerate(dives) if d.data.item.name == pin.item]
        if pin.kind is PinKind.STARTS:
            _starts(model, pin, [d for _, d in mine], [t for t in tasks if t.data.item.name == pin.item])
        elif pin.kind is PinKind.DIVES:
            found = [_is_it(model, pin, d) for _, d in mine]
            _one_of(model, found)
            for (k, _), it in zip(mine, found, strict=True):
                if pin.free_min is not None:
                    _free_behind(model, problem, dives, tasks, order, k, pin.free_min, it)
        elif pin.kind is PinKind.KEEPS_FREE:
            for k, dive in mine:
                _free_behind(model, problem, dives, tasks, order, k, pin.free_min or 0, dive.present)
        elif pin.kind is PinKind.HOLDS:
            for k, dive in mine:
                _holds(model, pin, dive, support.dives.get((k, pin.duty or "")) if support else None)
            if support is not None:
                for k, task in enumerate(tasks):
                    if task.data.item.name == pin.item:
                        who = support.tasks.get((k, pin.duty or ""), {})
                        _if_present(model, task.present, who.get(pin.person or ""))


def _one_of(model: Model, literals: list[Lit]) -> None:
    if literals:
        model.add_bool_or(literals)
    else:
        _impossible(model)


def _impossible(model: Model) -> None:
    never = model.new_bool_var("never")
    model.add(never == 0)
    model.add(never == 1)


def _starts(model: Model, pin: Pin, dives: list[DiveVars], tasks: list[TaskVars]) -> None:
    if not dives and not tasks:
        _impossible(model)
        return
    window = pin.window
    # Slots of an item are in the order of the clock: the first is slot 0, at one of its depths.
    firsts = [d for d in dives if d.slot == 0]
    if len(firsts) > 1:
        _one_of(model, [_first_of(model, pin, d, firsts) for d in firsts])
        firsts = []
    for present, start in [(d.present, d.leave_surface) for d in firsts] + [
        (t.present, t.start) for t in tasks
    ]:
        model.add(present == 1)
        if window is not None:
            model.add(start >= window[0])
            model.add(start <= window[1])


def _first_of(model: Model, pin: Pin, dive: DiveVars, others: list[DiveVars]) -> Lit:
    """A literal that, when true, makes this dive the first of its item and within the pin's window."""
    it = model.new_bool_var(f"{dive.name}.first")
    model.add_implication(it, dive.present)
    if pin.window is not None:
        model.add(dive.leave_surface >= pin.window[0]).only_enforce_if(it)
        model.add(dive.leave_surface <= pin.window[1]).only_enforce_if(it)
    for other in others:
        if other is not dive:
            model.add(other.leave_surface >= dive.leave_surface).only_enforce_if([it, other.present])
    return it


def _is_it(model: Model, pin: Pin, dive: DiveVars) -> Lit:
    """A literal that, when true, makes this dive the one that was pinned."""
    it = model.new_bool_var(f"{dive.name}.pinned")
    model.add_implication(it, dive.present)
    if pin.person is not None:
        who = [s.who[pin.person] for s in dive.seats if s.duty == DIVER and pin.person in s.who]
        if who:
            model.add_bool_or(who).only_enforce_if(it)
        else:
            model.add(it == 0)
    if pin.station is not None:
        if pin.station in dive.station:
            model.add_implication(it, dive.station[pin.station])
        else:
            model.add(it == 0)
    if pin.window is not None:
        model.add(dive.leave_surface >= pin.window[0]).only_enforce_if(it)
        model.add(dive.leave_surface <= pin.window[1]).only_enforce_if(it)
    if pin.bottom_time_min is not None:
        model.add(dive.bottom == pin.bottom_time_min).only_enforce_if(it)
    return it


def _free_behind(
    model: Model,
    problem: Problem,
    dives: list[DiveVars],
    tasks: list[TaskVars],
    order: Order,
    k: int,
    minutes: int,
    when: Lit,
) -> None:
    """Under ``when`` nothing begins at the station of a dive for so long behind its turnaround, and its
    working day is long enough."""
    dive = dives[k]
    behind = problem.job.rules.station_turnaround_min + minutes
    for at, literal in dive.day.items():
        model.add(dive.reach_surface + behind <= problem.days[at].end_min).only_enforce_if([when, literal])
    for j, other in enumerate(dives):
        for station in sorted(dive.station.keys() & other.station.keys()) if j != k else ():
            model.add(dive.reach_surface + behind <= other.leave_surface).only_enforce_if(
                [when, order.before(k, j), dive.station[station], other.station[station]]
            )
    for task in tasks:
        here = dive.station.get(task.data.item.station or "")
        if here is None:
            continue
        later = model.new_bool_var(f"{dive.name}.free.{task.index}")
        both = [when, here, task.present]
        model.add(task.start >= dive.reach_surface + behind).only_enforce_if([later, *both])
        model.add(task.start < dive.reach_surface).only_enforce_if([~later, *both])


def _holds(model: Model, pin: Pin, dive: DiveVars, named: dict[str, Lit] | None) -> None:
    person = pin.person or ""
    if pin.duty in (DIVER, ENTRY_DIVER):
        who = [s.who[person] for s in dive.seats if s.duty == pin.duty and person in s.who]
        if who:
            model.add_bool_or(who).only_enforce_if(dive.present)
        else:
            model.add(dive.present == 0)
    elif pin.duty == STANDBY:
        _if_present(model, dive.present, dive.standby.get(person))
    elif named is not None:
        _if_present(model, dive.present, named.get(person))


def _if_present(model: Model, present: Lit, literal: Lit | None) -> None:
    if literal is None:
        model.add(present == 0)
    else:
        model.add_implication(present, literal)


def held_intervals(problem: Problem, dives: list[DiveVars], person: str) -> list[cp_model.IntervalVar]:
    """Where the counted model must keep a person free for support duties that are pinned to him."""
    out = []
    for pin in problem.job.pins:
        if pin.kind is not PinKind.HOLDS or pin.person != person:
            continue
        for dive in dives:
            for post in dive.data.posts:
                if dive.data.item.name == pin.item and post.duty == pin.duty and post.count:
                    out.append(dive.interval_of(post).interval)
    return out
