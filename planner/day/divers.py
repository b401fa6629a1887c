"""What divers carry through a day: nitrogen from dive to dive, dives and bottom minutes by calendar day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum
from functools import lru_cache

from planner.errors import TableRefusal
from planner.job.job import Job
from planner.plan.model import DiverExposure
from planner.table_sets import TableSet
from planner.tables import (
    Exposure,
    ExposureOptions,
    plan_exposure,
)
from planner.tables.past_dives import carried_in
from planner.tables.schedule import NO_STOP


@dataclass(frozen=True)
class AfterDive:
    """What a diver brings from the dive before."""

    tables: TableSet
    """The set that the group is one of."""
    ended_min: int
    """When the dive ended: at the surface, or out of the chamber where it went through it. Job minutes."""
    group: str | None
    """The group it left; None: the tables print none."""
    known: bool = True
    """False: no row of the tables applied, so no group can be worked out."""

    @property
    def clean_at_min(self) -> int:
        """Job minute from which the next dive is no repetitive dive."""
        return self.ended_min + self.tables.minutes_until_clean(self.group)


class Hindrance(Enum):
    """Why the tables cannot say with which group a diver leaves the surface."""

    SAME_DIVE = "on the surface for less than the tables' shortest interval"
    UNKNOWN = "no row applied to the dive before"
    NO_DIVE_YET = "no group printed for the dive before, or the tables' least interval not over"


@dataclass(frozen=True)
class AtLeave:
    """A diver at leave surface: ``group`` None is clean, or, with a hindrance, not known."""

    interval_min: int | None = None
    """Minutes since the dive before; None when there is none."""
    group: str | None = None
    hindrance: Hindrance | None = None


def brought_in(job: Job) -> dict[str, AfterDive]:
    """Person → what all dives before the job left him with; only those who have any."""
    found = ((p.name, carried_in(p, job.site)) for p in job.people)
    return {name: AfterDive(c.tables, c.surfaced_min, c.group) for name, c in found if c is not None}


def at_leave(before: AfterDive | None, leave_min: int) -> AtLeave:
    """With which group a diver leaves the surface at a job minute, after a dive (None: after none)."""
    if before is None:
        return AtLeave()
    interval = leave_min - before.ended_min
    if interval < before.tables.same_dive_under_min:
        return AtLeave(interval, None, Hindrance.SAME_DIVE)
    if not before.known:
        return AtLeave(interval, None, Hindrance.UNKNOWN)
    if interval < before.tables.no_dive_min(before.group):
        return AtLeave(interval, None, Hindrance.NO_DIVE_YET)
    if before.group is None:
        return AtLeave(interval)
    return AtLeave(interval, before.tables.group_after_interval(before.group, interval))


@lru_cache(maxsize=50_000)
def allowed_exposure(
    depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions
) -> Exposure | None:
    """What the tables say of a dive, or None where they (or the job's policy) refuse."""
    try:
        return plan_exposure(depth_fsw, bottom_time_min, group, options)
    except TableRefusal:
        return None


@lru_cache(maxsize=20_000)
def longest_bottom_min(
    depth_fsw: int, group: str | None, options: ExposureOptions, no_stop: bool, at_most_min: int
) -> int:
    """Longest bottom time up to ``at_most_min`` that is allowed; 0 when none is.

    ``no_stop``: only dives without stops. Found by halving: a longer bottom time is never allowed where a
    shorter one is not.
    """

    def allowed(minutes: int) -> bool:
        found = allowed_exposure(depth_fsw, minutes, group, options)
        return found is not None and (not no_stop or found.schedule.way_up == NO_STOP)

    low, high = 0, at_most_min
    while low < high:
        middle = (low + high + 1) // 2
        if allowed(middle):
            low = middle
        else:
            high = middle - 1
    return low


def diver_row(person: str, duty: str, outfit: str, state: AtLeave, exposure: Exposure) -> DiverExposure:
    """A diver of a dive as a plan writes it."""
    return DiverExposure(
        person=person,
        duty=duty,
        outfit=outfit,
        group_before=state.group,
        surface_interval_min=state.interval_min,
        residual_nitrogen_min=exposure.residual_nitrogen_min,
        equivalent_min=exposure.equivalent_min,
        group_after=exposure.group_after,
        schedule=exposure.schedule,
    )


def dived_on(job: Job, person: str, day: date, made: Iterable[tuple[int, int]] = ()) -> tuple[int, int]:
    """Dives and bottom minutes of a person on one calendar day of the job's clock.

    A dive of the job counts on the day on which it leaves the surface, one from before the job on the day on
    which it surfaced.

    Parameters
    ----------
    person
        Whose; the dives that he brings into the job count.
    made
        His dives in the job, of any day: leave surface (job minute) and bottom time (minutes).
    """
    clock = job.clock
    bottoms = [
        d.bottom_time_min for d in job.person(person).past_dives if clock.day_of(d.surfaced_min) == day
    ]
    bottoms += [bottom for leave_min, bottom in made if clock.day_of(leave_min) == day]
    return len(bottoms), sum(bottoms)
