"""Records of hours made up for the tests: spells and dives typed as clock times."""

from __future__ import annotations

from datetime import date

from planner.hours.worked import WorkedDive, WorkedRecord
from planner.plan.model import Dive, DiverExposure, DutySpell
from planner.tables.schedule import NO_STOP, Stop, TableSchedule

#: A Monday, so that a workweek of seven days can begin with it.
MONDAY = date(2027, 3, 15)
ZONE = "Etc/UTC"


def at(hhmm: str, day: int = 0) -> int:
    """Minute of a clock time on a day of the record."""
    return day * 1440 + int(hhmm[:2]) * 60 + int(hhmm[2:])


def spell(person: str, duty: str, start: str, end: str, day: int = 0, **facts: object) -> DutySpell:
    """One duty on one day; an end before the start lies on the day after."""
    last = day + (int(end) <= int(start))
    return DutySpell.model_validate(
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
    person: str,
    depth_fsw: int,
    leave: str,
    bottom_time_min: int,
    day: int = 0,
    *,
    enclosed_space: bool = False,
    way_up: str = NO_STOP,
    stops: tuple[Stop, ...] = (),
) -> WorkedDive:
    """One dive with a way up of three minutes, by a row that is made up."""
    left = at(leave, day)
    up = left + bottom_time_min + 3
    row = TableSchedule(
        table="9-9",
        way_up=way_up,
        depth_fsw=60,
        time_min=40,
        stops=stops,
        ascent_s=180,
        time_to_first_stop_s=60,
    )
    return WorkedDive(
        dive=Dive(
            id="D1",
            item="pile wraps",
            station="North",
            dress_start_min=left - 30,
            leave_surface_min=left,
            reach_bottom_min=left + 1,
            leave_bottom_min=left + bottom_time_min,
            reach_surface_min=up,
            undressed_min=up + 15,
            depth_fsw=depth_fsw,
            bottom_time_min=bottom_time_min,
            work_min=bottom_time_min - 1,
            divers=(),
        ),
        row=DiverExposure(
            person=person, outfit="1", equivalent_min=bottom_time_min, group_after="H", schedule=row
        ),
        gear="heavy dress",
        enclosed_space=enclosed_space,
        greatest_depth_fsw=depth_fsw,
    )


def record(
    *spells: DutySpell,
    dives: tuple[WorkedDive, ...] = (),
    first_day: date = MONDAY,
    days: int = 7,
    pay_classes: dict[str, str] | None = None,
    **facts: object,
) -> WorkedRecord:
    """A record of a job of some days; a person without a pay class is paid as everybody else."""
    classes = dict.fromkeys((s.person for s in spells), "") | (pay_classes or {})
    return WorkedRecord.model_validate(
        {
            "job_name": "Made-up quay",
            "first_day": first_day,
            "days": days,
            "time_zone": ZONE,
            "spells": spells,
            "dives": dives,
            "pay_classes": classes,
            **facts,
        }
    )
