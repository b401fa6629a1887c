"""A schedule between the search and the finished plan: who dives and stands by when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.job.duties import DIVER, STANDBY
from planner.plan.model import Dive, DutySpell, Plan
from planner.schedule.problem.problem import Problem
from planner.tables.schedule import NO_STOP


@dataclass(frozen=True)
class DraftDive:
    """One dive. Times are job minutes; ``watch_start_min`` is when the station duties begin for it."""

    work: int
    """Index into `Problem.dives`."""
    station: str
    dress_start_min: int
    leave_surface_min: int
    bottom_time_min: int
    reach_surface_min: int
    undressed_min: int
    watch_start_min: int
    seats: tuple[tuple[str, str], ...]
    """Person and duty of each one in the water."""
    standby: tuple[str, ...]
    deco: bool = False
    """Outside the no-stop limits."""
    out_of_chamber_min: int | None = None
    """When the last diver is out of the chamber; None without one."""
    standby_from_min: int | None = None
    standby_to_min: int | None = None
    """The standby diver's duty with his dressing and undressing; None without one."""
    comes_dressed: bool = False
    """The standby diver goes on from an earlier dive in dress."""
    stays_dressed: bool = False
    """The standby diver goes on to a later dive in dress."""

    @property
    def standing(self) -> tuple[int, int]:
        """From when to when the standby diver is on duty."""
        start = self.watch_start_min if self.standby_from_min is None else self.standby_from_min
        return start, self.reach_surface_min if self.standby_to_min is None else self.standby_to_min

    @property
    def out_min(self) -> int:
        """When the last diver is out of pressure."""
        return self.reach_surface_min if self.out_of_chamber_min is None else self.out_of_chamber_min

    @property
    def held_until_min(self) -> int:
        """Until when the divers are held: undressed, and out of the chamber."""
        return max(self.undressed_min, self.out_min)

    def stretch(self, held: str, chamber_watch_min: int) -> tuple[int, int]:
        """From when to when a support post is held (`planner.schedule.problem.problem.Post`)."""
        if held == "bench":
            return self.dress_start_min, self.undressed_min
        if held == "chamber":
            return self.leave_surface_min, self.out_min + chamber_watch_min
        return self.watch_start_min, self.reach_surface_min


@dataclass(frozen=True)
class DraftTask:
    """One surface item. ``task`` is an index into `Problem.tasks`."""

    task: int
    start_min: int


@dataclass(frozen=True)
class Draft:
    """Dives in the order of leaving the surface, and surface tasks."""

    dives: tuple[DraftDive, ...]
    tasks: tuple[DraftTask, ...]

    def water_spells(self) -> Iterator[tuple[str, int, int, int | None]]:
        """Person, from, to, and minute of leaving the surface (None of a standby diver), dive by dive."""
        for dive in self.dives:
            for person, _ in dive.seats:
                yield person, dive.dress_start_min, dive.held_until_min, dive.leave_surface_min
            for person in dive.standby:
                yield person, *dive.standing, None


@dataclass(frozen=True)
class NamedSpell:
    """A support duty with its holder. Exactly one of ``dive`` and ``task`` is an index into the draft."""

    person: str
    duty: str
    start_min: int
    end_min: int
    dive: int | None = None
    task: int | None = None


@dataclass(frozen=True)
class Crew:
    """Who holds every support duty, and which outfit every diver and standby wears."""

    spells: tuple[NamedSpell, ...]
    outfits: dict[tuple[int, str], str]
    """(index of the dive in the draft, person) → outfit."""
    overtime_min: int


def draft_of(problem: Problem, plan: Plan) -> Draft | None:
    """The draft of a plan; None when the plan holds more than this problem has room for."""
    tasks = {w.item.name: k for k, w in enumerate(problem.tasks)}
    used: dict[int, int] = {}
    last_up: dict[str, int] = {}
    dives = []
    for dive in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.station)):
        standing = [s for s in plan.duties if s.dive == dive.id and s.duty == STANDBY]
        index = _work_of(problem, dive, len(standing))
        if index is None:
            return None
        data = problem.dives[index]
        used[index] = used.get(index, 0) + 1
        seats = [(d.person, d.duty) for d in dive.divers]
        standby = tuple(s.person for s in standing)
        fits = (
            used[index] <= data.slots
            and sorted(duty for _, duty in seats) == sorted(data.seats)
            and {p for p, _ in seats} <= set(data.divers)
            and set(standby) <= set(data.standby_people)
            and len(standby) == data.standbys
        )
        if not fits:
            return None
        rank = {p: k for k, p in enumerate(data.divers)}
        seats.sort(key=lambda s: (data.seats.index(s[1]), rank[s[0]]))
        dives.append(
            DraftDive(
                index,
                dive.station,
                dive.leave_surface_min - data.dressing_min,
                dive.leave_surface_min,
                dive.bottom_time_min,
                dive.reach_surface_min,
                dive.reach_surface_min + data.undressing_min,
                max(
                    dive.leave_surface_min - data.dressing_min,
                    last_up.get(dive.station, problem.window.start_min),
                ),
                tuple(seats),
                standby,
                any(d.schedule.way_up != NO_STOP for d in dive.divers),
                dive.out_of_chamber_min,
                *_dressed(plan, standing),
            )
        )
        last_up[dive.station] = dive.reach_surface_min
    if any(t.item not in tasks for t in plan.surface_tasks):
        return None
    done = [DraftTask(tasks[t.item], t.start_min) for t in plan.surface_tasks]
    return Draft(tuple(dives), tuple(sorted(done, key=lambda t: (t.start_min, t.task))))


def _dressed(plan: Plan, standing: list[DutySpell]) -> tuple[int | None, int | None, bool, bool]:
    """How the standby divers of a dive are dressed: the last fields of a `DraftDive`."""
    if not standing:
        return None, None, False, False
    start, end = standing[0].start_min, standing[0].end_min
    mine = [
        s
        for s in plan.duties
        if s.duty == STANDBY
        and s.person == standing[0].person
        and s.station == standing[0].station
        and s.outfit == standing[0].outfit
        and s.dive != standing[0].dive
    ]
    return start, end, any(s.end_min == start for s in mine), any(s.start_min == end for s in mine)


def _work_of(problem: Problem, dive: Dive, standbys: int) -> int | None:
    """Which of the depths and crews of its item a dive belongs to; None without such an item."""
    own = problem.by_item.get(dive.item, ())
    own = tuple(k for k in own if problem.dives[k].standbys == standbys) or own
    deep = [k for k in own if problem.dives[k].item.depth_fsw >= dive.depth_fsw]
    # Deepest first in the problem: the last that is deep enough is the nearest.
    return deep[-1] if deep else (own[0] if own else None)


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
