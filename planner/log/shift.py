"""A job with another first day: every minute in it counted from that day's midnight."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, TypeVar

from planner.job.base import Span
from planner.job.clock import MINUTES_A_DAY, Clock
from planner.job.job import Job
from planner.job.people import PastDive, Person

Stretch = TypeVar("Stretch", bound=Span)

#: How far back a job can speak of (`planner.job.base.JobMinute`).
EARLIEST_MIN = -14 * MINUTES_A_DAY


def shifted(job: Job, first_day: date, days: int) -> Job:
    """The same job told from another day on.

    Nothing is moved in the world: a window at a moment stays at that moment. What lies too far back to be
    told is dropped.

    Parameters
    ----------
    first_day
        The new first day.
    days
        How many days the job then has.
    """
    by_min = Clock(first_day, job.site.time_zone).minute(job.clock.origin)
    return job.replace(
        site=job.site.replace(first_day=first_day, days=days),
        people=tuple(_person(p, by_min) for p in job.people),
        dive_items=tuple(i.replace(windows=spans(i.windows, by_min)) for i in job.dive_items),
        surface_items=tuple(i.replace(windows=spans(i.windows, by_min)) for i in job.surface_items),
        water_windows=spans(job.water_windows, by_min),
        tide_marks=tuple(m.replace(minute=m.minute + by_min) for m in job.tide_marks),
    )


def spans(stretches: Iterable[Stretch], by_min: int) -> tuple[Stretch, ...]:
    """Stretches moved by some minutes; those that lie too far back are dropped."""
    moved: list[Stretch] = []
    for s in stretches:
        if s.start_min + by_min >= EARLIEST_MIN:
            moved.append(s.replace(start_min=s.start_min + by_min, end_min=s.end_min + by_min))
    return tuple(moved)


def _person(person: Person, by_min: int) -> Person:
    end = person.last_duty_end_min
    changes: dict[str, Any] = {
        "available": spans(person.available, by_min),
        "past_work": spans(person.past_work, by_min),
        "past_dives": past_dives(person.past_dives, by_min),
        "last_duty_end_min": None if end is None else max(EARLIEST_MIN, end + by_min),
    }
    return person.replace(**changes)


def past_dives(dives: Iterable[PastDive], by_min: int) -> tuple[PastDive, ...]:
    """Past dives moved by some minutes; those that lie too far back are dropped."""
    return tuple(
        d.replace(surfaced_min=d.surfaced_min + by_min)
        for d in dives
        if d.surfaced_min + by_min >= EARLIEST_MIN
    )
