"""Between a model and a draft: what a solution stands for, and what a draft decides in the model."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from planner.job.duties import DIVER
from planner.schedule.draft.draft import Draft, DraftDive, DraftTask
from planner.schedule.model.interval import Lit
from planner.schedule.model.variables import DiveVars
from planner.schedule.problem.problem import Problem

if TYPE_CHECKING:
    from planner.schedule.model.day_model import DayModel


def draft_in(day: DayModel, value: Callable[[cp_model.IntVar], int]) -> Draft:
    """The schedule that a solution stands for. ``value`` maps a variable to its value."""
    dives = []
    for dive in day.dives:
        if not value(dive.present):
            continue
        station = next(s for s, literal in dive.station.items() if value(literal))
        seats = tuple((p, s.duty) for s in dive.seats for p, v in s.who.items() if value(v))
        dives.append(
            DraftDive(
                dive.work,
                station,
                value(dive.dress_start),
                value(dive.leave_surface),
                value(dive.bottom),
                value(dive.reach_surface),
                value(dive.undressed),
                value(dive.watch_start),
                seats,
                tuple(p for p, v in dive.standby.items() if value(v)),
                dive.deco is not None and bool(value(dive.deco)),
                value(dive.out) if value(dive.out) > value(dive.reach_surface) else None,
                *_dressed(dive, value),
            )
        )
    tasks = [DraftTask(t.index, value(t.start)) for t in day.tasks if value(t.present)]
    dives.sort(key=lambda d: (d.leave_surface_min, d.station))
    tasks.sort(key=lambda t: (t.start_min, t.task))
    return Draft(tuple(dives), tuple(tasks))


def _dressed(
    dive: DiveVars, value: Callable[[cp_model.IntVar], int]
) -> tuple[int | None, int | None, bool, bool]:
    """How the standby diver is dressed: the last fields of a `DraftDive`."""
    if dive.dresses is None:
        return None, None, False, False
    by = dive.dresses
    return value(by.start), value(by.end), bool(value(by.comes_dressed)), bool(value(by.stays_dressed))


def in_order(problem: Problem, draft: Draft) -> Draft:
    """The same schedule with alike people renamed as the model orders them (most bottom time first)."""
    minutes: dict[str, int] = {}
    for dive in draft.dives:
        for person, _ in dive.seats:
            minutes[person] = minutes.get(person, 0) + dive.bottom_time_min
    new: dict[str, str] = {}
    for group in problem.alike:
        ranked = sorted(group, key=lambda p: -minutes.get(p, 0))
        new.update(zip(ranked, group, strict=True))
    dives = []
    for dive in draft.dives:
        rank = {p: k for k, p in enumerate(problem.dives[dive.work].divers)}
        seats = [(new.get(p, p), duty) for p, duty in dive.seats]
        seats.sort(key=lambda s: (s[1] != DIVER, rank[s[0]]))
        standby = tuple(new.get(p, p) for p in dive.standby)
        dives.append(replace(dive, seats=tuple(seats), standby=standby))
    return Draft(tuple(dives), draft.tasks)


def decisions(day: DayModel, draft: Draft) -> list[tuple[Lit, int]]:
    """The main decisions of a model and what a draft makes of them; all the rest follows."""
    out: list[tuple[Lit, int]] = []
    by_work: dict[int, list[DraftDive]] = {}
    for one in draft.dives:
        by_work.setdefault(one.work, []).append(one)
    for dive in day.dives:
        planned = by_work.get(dive.work, [])
        if dive.slot >= len(planned):
            out.append((dive.present, 0))
            continue
        one = planned[dive.slot]
        out += [
            (dive.present, 1),
            (dive.leave_surface, one.leave_surface_min),
            (dive.bottom, one.bottom_time_min),
            (dive.watch_start, one.watch_start_min),
        ]
        out += [(v, int(name == one.station)) for name, v in dive.station.items()]
        for seat, (person, _) in zip(dive.seats, one.seats, strict=True):
            out += [(v, int(p == person)) for p, v in seat.who.items()]
        out += [(v, int(p in one.standby)) for p, v in dive.standby.items()]
    starts = {t.task: t.start_min for t in draft.tasks}
    for task in day.tasks:
        out.append((task.present, int(task.index in starts)))
        if task.index in starts:
            out.append((task.start, starts[task.index]))
    return out
