"""Duty in the night, and the earliest dive after it."""

from __future__ import annotations

from datetime import time, timedelta

from planner.job.base import Clock
from planner.job.job import Job
from planner.job.people import Person

#: The core of the night: whatever a state calls night takes in midnight to five (MLC 2006, Standard A1.1,
#: paragraph 2; compared with a public copy, 29 Nov 2026).
NIGHT_START, NIGHT_END = time(0), time(5)


def in_the_night(clock: Clock, start_min: int, end_min: int) -> bool:
    """Whether a stretch of duty takes in any time between midnight and five in the morning."""
    day, last = clock.day_of(start_min), clock.day_of(end_min)
    while day <= last:
        if start_min < clock.minute_on(day, NIGHT_END) and clock.minute_on(day, NIGHT_START) < end_min:
            return True
        day += timedelta(days=1)
    return False


def past_night_ends(job: Job, person: Person) -> tuple[int, ...]:
    """When the night duties ended that a person held before the job, job minutes.

    A last duty of which only the end is known counts when it ended in the night itself.
    """
    ends = {s.end_min for s in person.past_work if in_the_night(job.clock, s.start_min, s.end_min)}
    last = person.last_duty_end_min
    if last is not None and in_the_night(job.clock, last - 1, last):
        ends.add(last)
    return tuple(sorted(ends))


def earliest_dive_min(job: Job, person: Person) -> int | None:
    """First minute at which a person may leave the surface after the nights before the job; None: any."""
    off = job.rules.rest_after_night_min
    ends = past_night_ends(job, person) if off else ()
    return max(ends) + off if ends else None
