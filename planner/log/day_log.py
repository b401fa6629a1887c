"""The day log: its entries, what holds after corrections, and the dives as they were made.

Times are job minutes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from functools import cached_property
from typing import Annotated

from pydantic import Field

from planner.day import descent_min, dressing_of
from planner.job.base import JobMinute, Name
from planner.job.job import Job
from planner.job.tide import deepest_fsw
from planner.job.units import DEPTH, Measured, UnitSystem
from planner.job.work import DiveItem
from planner.plan.model import Dive, Plan


class Kind(StrEnum):
    """What an entry is about."""

    LEAVE_SURFACE = "leave surface"
    REACH_BOTTOM = "reach bottom"
    LEAVE_BOTTOM = "leave bottom"
    REACH_STOP = "reach stop"
    LEAVE_STOP = "leave stop"
    REACH_SURFACE = "reach surface"
    AT_CHAMBER_DEPTH = "50 fsw in the chamber"
    OUT_OF_CHAMBER = "out of the chamber"
    DEPTH = "depth"
    TOOK_OVER = "took over"
    AIR_READING = "air reading"
    ITEM_DONE = "item done"
    DELAY = "delay"
    DEFECT = "defect"
    HOLD_POINT = "hold point"
    """A hold point of the bench lists, signed."""
    SICK = "sick"
    NOTE = "note"
    TAKEN_BACK = "taken back"
    """A correction that puts nothing in place of the entry it names."""


#: The four times of a dive, in the order in which they come.
DIVE_TIMES: tuple[Kind, ...] = (
    Kind.LEAVE_SURFACE,
    Kind.REACH_BOTTOM,
    Kind.LEAVE_BOTTOM,
    Kind.REACH_SURFACE,
)

#: A stop on the way up, with its depth.
STOP_TIMES: tuple[Kind, ...] = (Kind.REACH_STOP, Kind.LEAVE_STOP)

#: After the water, in the order in which they come.
CHAMBER_TIMES: tuple[Kind, ...] = (Kind.AT_CHAMBER_DEPTH, Kind.OUT_OF_CHAMBER)

#: Every time of a dive, in the order in which they come; of several stops each has its two.
IN_ORDER: tuple[Kind, ...] = (*DIVE_TIMES[:3], *STOP_TIMES, Kind.REACH_SURFACE, *CHAMBER_TIMES)

#: Kinds that speak of one dive.
OF_A_DIVE = frozenset({*IN_ORDER, Kind.DEPTH})

Text = Annotated[str, Field(max_length=500)]


class Entry(Measured):
    """What happened, when, to whom. Which fields a kind needs is judged in `planner.log.judge`."""

    kind: Kind
    at_min: JobMinute
    """When it happened."""
    dive: str | None = None
    """Id of the dive: the plan's, or a new one for a dive that was not planned."""
    station: str | None = None
    """Station of a dive that was not planned."""
    people: tuple[Name, ...] = ()
    """Leave surface: who is in the water, where not those of the plan. Sick, took over: the person. Hold
    point: who signs."""
    outfits: tuple[str, ...] = ()
    """Leave surface: the outfits of ``people``, in their order."""
    item: str | None = None
    duty: str | None = None
    depth_fsw: Annotated[int, Field(ge=1, le=1000)] | None = None
    thing: str | None = None
    """The outfit, compressor, bank or tank that a defect, a reading or a signature is about."""
    step: Name | None = None
    """Hold point: the id of the bench step."""
    done_by: tuple[Name, ...] = ()
    """Hold point: who did the step, where not those of the plan."""
    pressure_psi: Annotated[float, Field(ge=0, le=10_000)] | None = None
    hours_run: Annotated[float, Field(ge=0, le=200_000)] | None = None
    minutes: Annotated[int, Field(ge=0, le=1440)] | None = None
    """Delay: how long. Item done: minutes worked on it, where not those of the dives."""
    text: Text = ""


@dataclass(frozen=True)
class Written:
    """An entry as it stands in the store: with its number, who wrote it, when, and what it corrects."""

    number: int
    entry: Entry
    written_at: datetime
    written_by: str
    corrects: int | None = None


@dataclass(frozen=True)
class DayLog:
    """All entries of a job's day, in the order of writing."""

    written: tuple[Written, ...] = ()

    @cached_property
    def standing(self) -> tuple[Written, ...]:
        """Entries that hold: not corrected by a later one, in the order in which things happened."""
        corrected = {w.corrects for w in self.written if w.corrects is not None}
        holds = (w for w in self.written if w.number not in corrected and w.entry.kind is not Kind.TAKEN_BACK)
        return tuple(sorted(holds, key=lambda w: (w.entry.at_min, _rank(w.entry), w.number)))

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """What holds, in the order in which it happened."""
        return tuple(w.entry for w in self.standing)

    def of_kind(self, kind: Kind) -> tuple[Entry, ...]:
        return tuple(e for e in self.entries if e.kind is kind)

    def of_dive(self, dive: str) -> tuple[Entry, ...]:
        return tuple(e for e in self.entries if e.dive == dive)

    def numbered(self, number: int) -> Written | None:
        return next((w for w in self.written if w.number == number), None)

    def corrected_by(self, number: int) -> Written | None:
        """The entry that stands in for that one; None when it holds."""
        return next((w for w in self.written if w.corrects == number), None)

    def without(self, number: int) -> DayLog:
        """The log as if that entry had not been written (to judge what would stand in for it)."""
        return DayLog(tuple(w for w in self.written if w.number != number))

    @property
    def last(self) -> Written | None:
        """The entry that holds and was written last; None when none holds."""
        return max(self.standing, key=lambda w: w.number, default=None)


def _rank(entry: Entry) -> tuple[int, int, int]:
    """Order of entries of the same minute: the times of a dive as they come, everything else after.

    Of two stops the deeper one comes first: it is left before the next is reached.
    """
    kind = entry.kind
    if kind not in IN_ORDER:
        return len(IN_ORDER), 0, 0
    if kind in STOP_TIMES:
        return IN_ORDER.index(Kind.REACH_STOP), -(entry.depth_fsw or 0), IN_ORDER.index(kind)
    return IN_ORDER.index(kind), 0, 0


@dataclass(frozen=True)
class ActualStop:
    """A stop as it was made: its depth as logged, when it was reached, when it was left (None: not yet)."""

    depth_fsw: int
    reached_min: int
    left_min: int | None


@dataclass(frozen=True)
class ActualDive:
    """One dive as it was made, or is being made: a time is None until it is logged."""

    id: str
    station: str
    item: DiveItem
    """As planned, or as the log says for a dive that was not planned."""
    people: tuple[str, ...]
    outfits: tuple[str, ...]
    """Who is in the water, and in what; ``outfits`` may be shorter where the log names none."""
    leave_surface_min: int
    reach_bottom_min: int | None
    leave_bottom_min: int | None
    reach_surface_min: int | None
    logged_depth_fsw: int | None
    """The deepest depth that was logged; None when none was."""
    taken_depth_fsw: int
    """What stands in for it then."""
    planned: Dive | None
    """The plan's dive of that id."""
    stops: tuple[ActualStop, ...] = ()
    """Stops on the way up, in the order in which they were reached."""
    logged_m: float | None = None
    """The deepest depth as it was logged in metres; None where it was logged in feet."""
    at_chamber_depth_min: int | None = None
    out_of_chamber_min: int | None = None
    """When its divers were at 50 fsw in the chamber, and out of it; None until it is logged."""

    @property
    def depth_fsw(self) -> int:
        """The deepest depth logged; where none was, that of the plan, else the item's deepest."""
        return self.taken_depth_fsw if self.logged_depth_fsw is None else self.logged_depth_fsw

    @property
    def in_water(self) -> bool:
        return self.reach_surface_min is None

    @property
    def in_chamber(self) -> bool:
        return self.at_chamber_depth_min is not None and self.out_of_chamber_min is None

    @property
    def whereabouts(self) -> str:
        """Where its divers are by the log, in words."""
        return "in the water" if self.in_water else "in the chamber" if self.in_chamber else "surfaced"

    def bottom_time_min(self, now_min: int) -> int:
        """Leave surface to leave bottom; up to now while the diver is still down. At least a minute."""
        end = self.leave_bottom_min
        if end is None:
            # surfaced without a logged leave bottom: all of it counts, which is the safe side
            end = self.reach_surface_min if self.reach_surface_min is not None else now_min
        return max(1, end - self.leave_surface_min)

    def work_min(self, job: Job) -> int:
        """Minutes worked on the bottom once it is left; 0 before.

        Where reach bottom was not logged, the descent takes what the job's rate asks for.
        """
        if self.leave_bottom_min is None:
            return 0
        reached = self.reach_bottom_min
        if reached is None:
            reached = self.leave_surface_min + descent_min(self.depth_fsw, job.rules)
        return max(0, self.leave_bottom_min - reached)

    def undressed_min(self, job: Job, surfaced_min: int) -> int:
        """When its people are free again, undressing as long as the plan or the rules say."""
        if self.planned is not None:
            return surfaced_min + self.planned.undressed_min - self.planned.reach_surface_min
        return surfaced_min + dressing_of(job, self.item)[1]

    def dress_start_min(self, job: Job) -> int:
        """When dressing began: as long before leave surface as the plan or the rules say."""
        if self.planned is not None:
            return self.leave_surface_min - (self.planned.leave_surface_min - self.planned.dress_start_min)
        return self.leave_surface_min - dressing_of(job, self.item)[0]


@dataclass(frozen=True)
class ActualDay:
    """A job's day: what was planned beside what was logged."""

    job: Job
    plan: Plan
    log: DayLog

    @cached_property
    def dives(self) -> tuple[ActualDive, ...]:
        """Every dive that has left the surface, in that order."""
        ids = dict.fromkeys(e.dive for e in self.log.of_kind(Kind.LEAVE_SURFACE) if e.dive is not None)
        made = [dive for dive in map(self._dive, ids) if dive is not None]
        return tuple(sorted(made, key=lambda d: (d.leave_surface_min, d.id)))

    @cached_property
    def planned(self) -> dict[str, Dive]:
        return {dive.id: dive for dive in self.plan.dives}

    def dive(self, dive_id: str) -> ActualDive | None:
        """The dive of that id, when it has left the surface."""
        return next((d for d in self.dives if d.id == dive_id), None)

    def with_entry(self, entry: Entry) -> ActualDay:
        """The day with one more entry, for a look ahead; nothing is stored."""
        written = self.log.written
        number = max((w.number for w in written), default=0) + 1
        now = written[-1].written_at if written else datetime.min
        return replace(self, log=DayLog((*written, Written(number, entry, now, ""))))

    def to_come(self) -> tuple[Dive, ...]:
        """The plan's dives that have not left the surface, in the order of the plan."""
        begun = {d.id for d in self.dives}
        rest = (d for d in self.plan.dives if d.id not in begun)
        return tuple(sorted(rest, key=lambda d: (d.leave_surface_min, d.id)))

    def in_water(self, station: str | None = None) -> tuple[ActualDive, ...]:
        """Dives whose divers are in the water."""
        return tuple(d for d in self.dives if d.in_water and station in (None, d.station))

    @cached_property
    def items_done(self) -> frozenset[str]:
        """Items that someone logged as done."""
        return frozenset(e.item for e in self.log.of_kind(Kind.ITEM_DONE) if e.item is not None)

    def worked_min(self, item: str) -> int:
        """Minutes of an item that are done, by the times of the log."""
        return sum(d.work_min(self.job) for d in self.dives if d.item.name == item)

    def sick(self) -> dict[str, int]:
        """People who were logged as sick, and since when."""
        since: dict[str, int] = {}
        for entry in self.log.of_kind(Kind.SICK):
            for person in entry.people:
                since.setdefault(person, entry.at_min)
        return since

    def divers_of(self, entry: Entry) -> tuple[str, ...]:
        """Who leaves the surface by an entry: those it names, else those of the plan's dive."""
        planned = self.planned.get(entry.dive or "")
        return entry.people or (tuple(d.person for d in planned.divers) if planned else ())

    def _dive(self, dive_id: str) -> ActualDive | None:
        own = self.log.of_dive(dive_id)
        left = next(e for e in own if e.kind is Kind.LEAVE_SURFACE)
        planned = self.planned.get(dive_id)
        item_name = left.item or (planned.item if planned else None)
        item = next((i for i in self.job.dive_items if i.name == item_name), None)
        if item is None:
            # an entry that passed the judge names a known dive or item; one of another job's plan does not
            return None
        people = self.divers_of(left)
        outfits = left.outfits
        if not outfits and planned is not None:
            worn = {d.person: d.outfit for d in planned.divers}
            outfits = tuple(worn[p] for p in people if p in worn)
        depths = [e for e in own if e.depth_fsw is not None and e.kind not in STOP_TIMES]
        deepest = max(depths, key=lambda e: e.depth_fsw or 0, default=None)
        return ActualDive(
            id=dive_id,
            station=(planned.station if planned else left.station) or self.job.stations[0].name,
            item=item,
            people=people,
            outfits=outfits,
            leave_surface_min=left.at_min,
            reach_bottom_min=_time(own, Kind.REACH_BOTTOM),
            leave_bottom_min=_time(own, Kind.LEAVE_BOTTOM),
            reach_surface_min=_time(own, Kind.REACH_SURFACE),
            logged_depth_fsw=deepest.depth_fsw if deepest else None,
            logged_m=deepest.metric_as_typed("depth_fsw", DEPTH, UnitSystem.FEET) if deepest else None,
            taken_depth_fsw=planned.depth_fsw if planned else deepest_fsw(self.job, item),
            planned=planned,
            stops=_stops(own),
            at_chamber_depth_min=_time(own, Kind.AT_CHAMBER_DEPTH),
            out_of_chamber_min=_time(own, Kind.OUT_OF_CHAMBER),
        )


def _stops(entries: tuple[Entry, ...]) -> tuple[ActualStop, ...]:
    left = {e.depth_fsw: e.at_min for e in entries if e.kind is Kind.LEAVE_STOP}
    return tuple(
        ActualStop(e.depth_fsw, e.at_min, left.get(e.depth_fsw))
        for e in entries
        if e.kind is Kind.REACH_STOP and e.depth_fsw is not None
    )


def _time(entries: tuple[Entry, ...], kind: Kind) -> int | None:
    return next((e.at_min for e in entries if e.kind is kind), None)
