"""A job told for another first day, everything moved along: to practise on, never for the water itself."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from planner.job.base import LONGEST_NAME, Part
from planner.job.job import Job


def moved_to(job: Job, first_day: date) -> Job:
    """The same job with another first day; hours, windows, tide marks, past dives keep their distance to it.

    Dates that stand in it, as of certificates and inspections, move by as many days, so that what was valid
    stays valid. Tide and slack water are then those of another day: the job is one to practise on.

    Raises
    ------
    OverflowError
        A date would leave the calendar.
    """
    moved: Job = _moved(job, first_day - job.site.first_day)
    return moved


#: What the name of a moved job ends in: its log must not be taken for that of the job itself.
PRACTICE = " (practice)"


def for_practice(job: Job, first_day: date) -> Job:
    """The job moved to that day under a name of its own, so that its log stands apart from the real one."""
    name = job.site.name.removesuffix(PRACTICE)[: LONGEST_NAME - len(PRACTICE)].rstrip() + PRACTICE
    moved = moved_to(job, first_day)
    return moved.replace(site=moved.site.replace(name=name))


def _moved(value: Any, by: timedelta) -> Any:
    if isinstance(value, Part):
        changes = {name: _moved(getattr(value, name), by) for name in type(value).model_fields}
        return value.replace(**changes)
    if isinstance(value, tuple):
        return tuple(_moved(one, by) for one in value)
    if isinstance(value, date):
        return value + by
    return value
