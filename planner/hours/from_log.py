"""The hours of a day as it went: the day log, read with the plan that was in force."""

from __future__ import annotations

from planner.hours.worked import WorkedRecord, from_plan
from planner.log import ActualDay, happened, whole_day


def from_log(day: ActualDay, now_min: int | None = None) -> WorkedRecord:
    """The hours of a logged day, marked as logged.

    Dives have the times, depths and people of the log; station duties move with them, hand-overs as they were
    logged. A surface task counts as planned unless it was logged as done earlier.

    Parameters
    ----------
    day
        The job, the plan in force, and the log.
    now_min
        Up to when, job minutes; the end of the job's last day when not given.
    """
    end = day.job.day_windows[-1].end_min if now_min is None else now_min
    past = happened(day, end)
    record = from_plan(whole_day(past, None, day.plan), day.job, from_log=True)
    until = day.job.clock.hhmm(end, with_day=len(day.job.day_windows) > 1)
    return record.replace(
        notes=tuple(
            f"The log does not say when the divers of dive {dive.id} ({dive.item.name}) reached the surface: "
            f"they count as in the water until {until}. Log it, then make the hours again."
            for dive in day.in_water()
        )
    )
