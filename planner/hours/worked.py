"""Hours as they were worked (from a day log) or are planned: the one input of every timesheet.

A `WorkedRecord` says nothing about where it comes from except whether it is a log or a plan, so a day log
feeds the office in the same way as a plan does.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from pydantic import Field

from planner.job import Job, UnitSystem
from planner.job.base import Clock, Part
from planner.job.duties import SUPERVISOR, PaidAs, paid_as
from planner.job.units import DEPTH, metres_from_fsw
from planner.log.day_log import ActualDay, Kind
from planner.log.happened import happened, whole_day
from planner.plan.model import Dive, DiverExposure, DutySpell, Plan
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.schedule import IN_CHAMBER
from planner.words.measures import time_words, water_words

#: The hour near the chamber after a dive (29 CFR 1910.423(b)(2)), as a duty of the diver.
CHAMBER_WATCH = "by the chamber"


class WorkedDive(Part):
    """One diver's part in one dive. Times in minutes of the record's clock."""

    dive: Dive
    row: DiverExposure
    """The diver's own: duty, groups, way up."""
    gear: str = ""
    enclosed_space: bool = False
    greatest_depth_fsw: int
    """What the gauge reads (``dive.depth_fsw``) and its corrections together."""
    typed_m: float | None = None
    """The same depth as it was typed in metres, where it was."""

    @property
    def greatest_depth_m(self) -> float:
        """The greatest depth in metres: as it was typed, else rounded up to 0.1 m."""
        return metres_from_fsw(self.greatest_depth_fsw) if self.typed_m is None else self.typed_m

    @property
    def out_of_chamber_min(self) -> int | None:
        """When a diver who decompressed in the chamber was out of its pressure."""
        return self.dive.out_of_chamber_min if self.row.schedule.way_up == IN_CHAMBER else None


class WorkedRecord(Part):
    """The hours of one job: of a plan, or of a log.

    ``pay_classes`` maps each person of the job to a pay class; ``worked_before`` are stretches of work of
    each person before the record (for the rest rules only: they are never paid here).
    """

    job_name: str
    units: UnitSystem = UnitSystem.FEET
    """The units that the job is kept in; in metres these stand beside every depth."""
    first_day: date
    days: int = 1
    time_zone: str
    from_log: bool = False
    spells: tuple[DutySpell, ...] = ()
    dives: tuple[WorkedDive, ...] = ()
    pay_classes: dict[str, str] = Field(default_factory=dict)
    worked_before: tuple[tuple[str, int, int], ...] = ()
    water_words: str = ""
    tables: str = ""
    """The job's set of tables: name, edition, checksum."""
    in_charge: tuple[str, ...] = ()
    """Supervisors, in the order in which they come on."""
    medicals: dict[str, date] = Field(default_factory=dict)
    """The last day of each person's diving medical, where the job gives one."""
    sick: tuple[tuple[str, int, str], ...] = ()
    """Who reported sick by the log, when, in what words."""
    notes: tuple[str, ...] = ()
    """What the office must know of this record: dives without an end in the log."""

    @property
    def clock(self) -> Clock:
        return Clock(self.first_day, self.time_zone)

    @property
    def dates(self) -> tuple[date, ...]:
        """The calendar days of the record's job."""
        return tuple(self.first_day + timedelta(days=n) for n in range(self.days))

    def in_charge_of(self, dive: str) -> tuple[str, ...]:
        """The supervisors of a dive; those of the record where none is posted to it."""
        own = (s.person for s in self.spells if s.dive == dive and s.duty == SUPERVISOR)
        return tuple(dict.fromkeys(own)) or self.in_charge

    @property
    def basis(self) -> str:
        """``log`` or ``plan``, for print."""
        return "log" if self.from_log else "plan"


def in_metres(records: Iterable[WorkedRecord]) -> bool:
    """Whether a job is among them that is kept in metres: then these stand beside fsw on a whole sheet."""
    return any(record.units is UnitSystem.METRIC for record in records)


def tables_words(records: Iterable[WorkedRecord]) -> str:
    """Every set of tables that records were made by, with its checksum, for the head of a sheet."""
    return "; ".join(dict.fromkeys(record.tables for record in records if record.tables))


def from_plan(plan: Plan, job: Job, *, from_log: bool = False) -> WorkedRecord:
    """The hours that a plan asks for, marked as planned (or as logged, for a day's log read as a plan).

    A diver's hour near the chamber is added as a duty of its own: he is held at the location by rule
    ``chamber-watch``, so it is work. Standing work stands under its own name (``inspecting and connecting``,
    ``cleaning and stowing``), whatever duty it is posted to.
    """
    items = {item.name: item for item in job.dive_items}
    blocks = {item.name: item.block.value.lower() for item in job.standing_items}
    spells = [s.replace(duty=blocks.get(s.item, s.duty)) if s.dive is None else s for s in plan.duties]
    dives = []
    watch = job.rules.chamber_watch_min
    for dive in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id)):
        item = items.get(dive.item)
        outside = any(d.schedule.decompression for d in dive.divers)
        greatest = greatest_depth_fsw(job.site, dive.depth_fsw)
        typed = item is not None and item.depth_fsw == greatest
        typed_m = item.metric_as_typed("depth_fsw", DEPTH, job.site.units) if item and typed else None
        for diver in dive.divers:
            enclosed = (item is not None and item.enclosed_space) or paid_as(diver.duty) is PaidAs.ENCLOSED
            gear = "" if item is None else str(item.gear)
            dives.append(
                WorkedDive(
                    dive=dive,
                    row=diver,
                    gear=gear,
                    enclosed_space=enclosed,
                    greatest_depth_fsw=greatest,
                    typed_m=typed_m,
                )
            )
            if watch and (outside or greatest > job.rules.chamber_trigger_fsw):
                spells.append(
                    DutySpell(
                        person=diver.person,
                        duty=CHAMBER_WATCH,
                        start_min=dive.reach_surface_min,
                        end_min=dive.out_min + watch,
                        dive=dive.id,
                        item=dive.item,
                        station=dive.station,
                    )
                )
    water = [f"{job.site.water} water"]
    if job.site.water_temp_f is not None:
        water.append(water_words(job.site, job.site.units))
    in_order = sorted(plan.duties, key=lambda s: s.start_min)
    return WorkedRecord(
        job_name=job.site.name,
        units=job.site.units,
        first_day=job.site.first_day,
        days=job.site.days,
        time_zone=job.site.time_zone,
        from_log=from_log,
        spells=tuple(spells),
        dives=tuple(dives),
        pay_classes={p.name: p.pay_class for p in job.people},
        worked_before=tuple((p.name, w.start_min, w.end_min) for p in job.people for w in p.past_work),
        water_words=", ".join(water),
        tables=job.tables.printed,
        medicals={p.name: p.medical_expires for p in job.people if p.medical_expires is not None},
        in_charge=tuple(dict.fromkeys(s.person for s in in_order if s.duty == SUPERVISOR)),
    )


def from_log(day: ActualDay) -> WorkedRecord:
    """The hours of a logged day up to the end of the job's last day, marked as logged.

    Dives have the times, depths and people of the log; station duties move with them, hand-overs as they were
    logged. A surface task counts as planned unless it was logged as done earlier.
    """
    end = day.job.day_windows[-1].end_min
    past = happened(day, end)
    record = from_plan(whole_day(past, None, day.plan), day.job, from_log=True)
    until = time_words(day.job, end)
    return record.replace(
        sick=tuple((name, e.at_min, e.text) for e in day.log.of_kind(Kind.SICK) for name in e.people),
        notes=tuple(
            f"The log does not say when the divers of dive {dive.id} ({dive.item.name}) reached the surface: "
            f"they count as in the water until {until}. Log it, then make the hours again."
            for dive in day.in_water()
        ),
    )
