"""What a plan is: dives, duties, surface tasks, what is left over and why. Times are job minutes."""

from __future__ import annotations

from enum import StrEnum

from planner.job.base import MINUTES_A_DAY, Part, Timed
from planner.tables.schedule import TableSchedule

#: Times further out are no part of any job (a job has at most seven days).
EARLIEST_MIN, LATEST_MIN = -14 * MINUTES_A_DAY, 15 * MINUTES_A_DAY


def in_range(*minutes: int) -> bool:
    """Whether every time lies in the days that a job can speak of."""
    return all(EARLIEST_MIN <= minute <= LATEST_MIN for minute in minutes)


class Status(StrEnum):
    """How good a plan is known to be (an honest word for each case)."""

    PROVEN_BEST = "proven best"
    LOOKED_FOR = "best of the plans looked for"
    """Every stage reached its bound in a model that may leave out plans which the check accepts."""
    FEASIBLE = "checked plan, not proven best"
    CONSTRUCTIVE = "first plan, made by rule of thumb"


class DiverExposure(Part):
    """What one dive does to one diver."""

    person: str
    duty: str = "diver"
    outfit: str
    group_before: str | None = None
    """Repetitive group at leave surface, after the surface interval; None when clean."""
    surface_interval_min: int | None = None
    residual_nitrogen_min: int = 0
    equivalent_min: int
    """Equivalent single dive time: residual nitrogen time and bottom time."""
    group_after: str | None
    """None: the table prints no group, so no repetitive dive until clean."""
    schedule: TableSchedule


class Dive(Timed):
    """One time down and up of one team of divers on one item."""

    id: str
    item: str
    station: str
    dress_start_min: int
    leave_surface_min: int
    reach_bottom_min: int
    leave_bottom_min: int
    reach_surface_min: int
    undressed_min: int
    depth_fsw: int
    bottom_time_min: int
    """Leave surface to leave bottom."""
    work_min: int
    """Reach bottom to leave bottom: what counts towards the item."""
    divers: tuple[DiverExposure, ...]
    out_of_chamber_min: int | None = None
    """When the last diver who decompresses in the chamber is out of its pressure; None when nobody does."""

    def __repr__(self) -> str:
        people = ", ".join(diver.person for diver in self.divers)
        return (
            f"Dive({self.id!r}, {self.item!r}, {self.depth_fsw} fsw for {self.bottom_time_min} min, "
            f"leaves surface at minute {self.leave_surface_min}: {people})"
        )

    __str__ = __repr__

    @property
    def out_min(self) -> int:
        """When the last diver is out of pressure: the end of the dive for what is counted from it."""
        return self.reach_surface_min if self.out_of_chamber_min is None else self.out_of_chamber_min


class SurfaceTask(Timed):
    item: str
    start_min: int
    end_min: int


class DutySpell(Timed):
    """One person in one duty for one dive or one surface item."""

    person: str
    duty: str
    start_min: int
    end_min: int
    dive: str | None = None
    item: str
    station: str | None = None
    outfit: str | None = None
    """The outfit worn, for divers and the standby diver."""


class Reason(Part):
    """Why an item is not fully planned: the rule that decides, if one does, and a sentence with numbers."""

    rule: str | None
    sentence: str


class Leftover(Part):
    item: str
    planned_min: int
    needed_min: int
    reasons: tuple[Reason, ...]


class Stage(Part):
    """One stage of the objective. ``bound`` is what no plan can beat, as far as proven."""

    name: str
    unit: str
    value: float
    bound: float
    maximise: bool
    proven: bool

    @property
    def gap_percent(self) -> float:
        if self.proven or self.value == self.bound:
            return 0.0
        return 100 * abs(self.bound - self.value) / max(1.0, abs(self.value))


class Plan(Part):
    """A whole plan. Only `planner.check.verdict` says whether it holds."""

    job_name: str
    status: Status
    stages: tuple[Stage, ...]
    dives: tuple[Dive, ...] = ()
    surface_tasks: tuple[SurfaceTask, ...] = ()
    duties: tuple[DutySpell, ...] = ()
    leftovers: tuple[Leftover, ...] = ()
    seconds: float = 0.0
    seed: int = 0
    workers: int = 0

    def __repr__(self) -> str:
        left = f", {len(self.leftovers)} item(s) left over" if self.leftovers else ""
        return f"Plan({self.job_name!r}, {self.status}, {len(self.dives)} dive(s){left})"

    __str__ = __repr__

    @property
    def end_min(self) -> int:
        """When the last person is free; 0 for a plan without work."""
        ends = [d.undressed_min for d in self.dives] + [t.end_min for t in self.surface_tasks]
        return max(ends, default=0)

    def worked_min(self, item: str) -> int:
        """Minutes of the item that the plan does."""
        under = sum(d.work_min for d in self.dives if d.item == item)
        above = sum(t.end_min - t.start_min for t in self.surface_tasks if t.item == item)
        return under + above

    def duties_of(self, person: str) -> tuple[DutySpell, ...]:
        own = (d for d in self.duties if d.person == person)
        return tuple(sorted(own, key=lambda d: (d.start_min, d.end_min, d.duty)))
