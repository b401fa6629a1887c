"""Records of hours made up for the tests: spells and dives typed as clock times."""

from __future__ import annotations

from datetime import date

from planner.hours import WorkedDive, WorkedRecord, WorkedSpell

#: A Monday, so that a workweek of seven days can begin with it.
MONDAY = date(2027, 3, 15)
ZONE = "Etc/UTC"


def at(hhmm: str, day: int = 0) -> int:
    """Minute of a clock time on a day of the record."""
    return day * 1440 + int(hhmm[:2]) * 60 + int(hhmm[2:])


def spell(person: str, duty: str, start: str, end: str, day: int = 0, **facts: object) -> WorkedSpell:
    """One duty on one day; an end before the start lies on the day after."""
    last = day + (int(end) <= int(start))
    return WorkedSpell.model_validate(
        {
            "person": person,
            "duty": duty,
            "start_min": at(start, day),
            "end_min": at(end, last),
            "item": "pile wraps",
            **facts,
        }
    )


def dive(
    person: str, depth_fsw: int, leave: str, bottom_time_min: int, day: int = 0, **facts: object
) -> WorkedDive:
    """One dive with a way up of three minutes."""
    left = at(leave, day)
    return WorkedDive.model_validate(
        {
            "person": person,
            "dive": "D1",
            "item": "pile wraps",
            "station": "North",
            "gear": "heavy dress",
            "depth_fsw": depth_fsw,
            "bottom_time_min": bottom_time_min,
            "leave_surface_min": left,
            "reach_bottom_min": left + 1,
            "leave_bottom_min": left + bottom_time_min,
            "reach_surface_min": left + bottom_time_min + 3,
            "table": "60 fsw / 40 min, table 9-9",
            **facts,
        }
    )


def record(
    *spells: WorkedSpell,
    dives: tuple[WorkedDive, ...] = (),
    first_day: date = MONDAY,
    days: int = 7,
    **facts: object,
) -> WorkedRecord:
    """A record of a job of some days."""
    people = tuple(dict.fromkeys(s.person for s in spells))
    return WorkedRecord.model_validate(
        {
            "job_name": "Made-up quay",
            "first_day": first_day,
            "days": days,
            "time_zone": ZONE,
            "spells": spells,
            "dives": dives,
            "people": people,
            "place": "Made-up quay",
            **facts,
        }
    )
