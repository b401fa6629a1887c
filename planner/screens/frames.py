"""Tables for reading: what is in the job and in the plan, as data frames with units in their headings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import pandas as pd

from planner.errors import Fault
from planner.job import DiveItem, Item, Job, Person, SurfaceItem, UnitSystem
from planner.job.crew_rules import CrewMinimum
from planner.job.duties import DIVER, DUTY_LETTERS
from planner.plan.model import Dive, DiverExposure, Plan, Stage
from planner.screens.wording import (
    ascent_text,
    depth_text,
    schedule_text,
    spans_text,
    stage_value_text,
)
from planner.words.beside import schedules_beside


def faults_frame(faults: Sequence[Fault]) -> pd.DataFrame:
    """Faults with the sheet and the cell apart where the place names both (``Work!C7``)."""
    rows = []
    for fault in faults:
        sheet, mark, cell = fault.where.partition("!")
        rows.append(
            {
                "Sheet": sheet,
                "Cell": cell if mark else "",
                "What is wrong": fault.sentence,
                "Found": fault.found or "(blank)",
                "Allowed": fault.allowed,
            }
        )
    return pd.DataFrame(rows, columns=["Sheet", "Cell", "What is wrong", "Found", "Allowed"])


def people_frame(job: Job, units: UnitSystem) -> pd.DataFrame:
    """One row a person, for reading."""
    return pd.DataFrame(
        [
            {
                "Name": p.name,
                "May hold": ", ".join(d for d in job.duties if d in p.duties) or ", ".join(sorted(p.duties)),
                "Dives to": depth_text(p.depth_rating_fsw, units) if p.depth_rating_fsw else "–",
                "Medical until": p.medical_expires.isoformat() if p.medical_expires else "–",
                "On site": spans_text(job, tuple((s.start_min, s.end_min) for s in job.available(p)))
                or "not on site",
                "Dives before": _past_dives(job, p, units),
            }
            for p in job.people
        ],
        columns=["Name", "May hold", "Dives to", "Medical until", "On site", "Dives before"],
    )


def _past_dives(job: Job, person: Person, units: UnitSystem) -> str:
    return (
        "; ".join(
            f"{depth_text(d.depth_fsw, units)} {d.bottom_time_min} min, up "
            f"{job.clock.hhmm(d.surfaced_min, with_day=True)}"
            for d in person.past_dives
        )
        or "–"
    )


def work_frame(job: Job, units: UnitSystem) -> pd.DataFrame:
    """One row an item, for reading; dive items first."""
    return pd.DataFrame(
        [
            {
                "Item": i.name,
                "Kind": _kind(i),
                "Depth": depth_text(i.depth_fsw, units) if isinstance(i, DiveItem) else "–",
                "Work, min": i.bottom_work_min
                if isinstance(i, DiveItem)
                else i.duration_min
                if isinstance(i, SurfaceItem)
                else 0,
                "Priority": i.priority,
                "Station": i.station or "any",
                "When": _when(job, i),
                "After": ", ".join(f"{a.item}" + (f" +{a.lag_min} min" if a.lag_min else "") for a in i.after)
                or "–",
            }
            for i in job.items
        ],
        columns=["Item", "Kind", "Depth", "Work, min", "Priority", "Station", "When", "After"],
    )


def _kind(item: Item) -> str:
    if isinstance(item, DiveItem):
        team = f"{item.divers} diver{'s' if item.divers > 1 else ''}"
        extra = ", enclosed space" if item.enclosed_space else ""
        return f"dive, {item.gear.value}, {team}{extra}"
    if isinstance(item, SurfaceItem):
        return "on deck, " + ", ".join(f"{need.count} {need.duty}" for need in item.crew)
    return ""


def crew_rows_frame(job: Job, units: UnitSystem) -> pd.DataFrame:
    """One crew row in words a line, with its source, who changed it and when."""
    rows = []
    for row in job.rules.minima:
        when = row.changed_at
        rows.append(
            {
                "A dive asks for": crew_row_text(row, units),
                "Source": row.source,
                "Changed by": row.changed_by or ("not said" if when else "as shipped"),
                "Changed at": f"{_on_site(job, when):%d %b %Y %H:%M}" if when else "–",
            }
        )
    return pd.DataFrame(rows, columns=["A dive asks for", "Source", "Changed by", "Changed at"])


def _on_site(job: Job, when: datetime) -> datetime:
    """A moment on the site's clock; one without a zone is taken to be so already."""
    return when.astimezone(job.clock.zone) if when.tzinfo else when


def crew_row_text(row: CrewMinimum, units: UnitSystem) -> str:
    """``2 × tender for each diver, in heavy dress, deeper than 100 fsw``."""
    parts = [f"{row.count} × {row.duty}" + (" for each diver" if row.per_diver else "")]
    if row.gear is not None:
        parts.append(f"in {row.gear.value}")
    if row.deeper_than_fsw is not None:
        parts.append(f"deeper than {depth_text(row.deeper_than_fsw, units)}")
    if row.decompression:
        parts.append("outside the no-stop limits")
    if row.enclosed_space:
        parts.append("in an enclosed space")
    return ", ".join(parts)


def _when(job: Job, item: Item) -> str:
    parts = []
    if item.windows:
        parts.append(spans_text(job, tuple((w.start_min, w.end_min) for w in item.windows)))
    if isinstance(item, DiveItem) and item.needs_slack:
        parts.append("slack water")
    return "; ".join(parts) or "any time"


def _diver(diver: DiverExposure) -> str:
    """The diver's name, with the letters of his duty where it is not plain diving."""
    letters = DUTY_LETTERS.get(diver.duty, diver.duty)
    return diver.person if diver.duty == DIVER else f"{letters} {diver.person}"


#: Short headings of the dives' table, each with what it stands for.
DIVE_HEADINGS = {
    "Dressing": "dressing starts",
    "LS": "leave surface",
    "RB": "reach bottom",
    "LB": "leave bottom",
    "RS": "reach surface",
    "BT, min": "bottom time: leave surface to leave bottom, rounded up to the minute",
    "Work, min": "reach bottom to leave bottom",
    "Way up, min:s": "the table's total ascent",
    "RNT, min": "residual nitrogen time",
    "ESDT, min": "equivalent single dive time: residual nitrogen time and bottom time",
    "Groups": "repetitive group before the dive and after it",
}


def dives_frame(plan: Plan, job: Job, units: UnitSystem) -> pd.DataFrame:
    """One row a diver a dive, in order of leaving the surface."""
    clock = job.clock
    several = len(job.day_windows) > 1
    return pd.DataFrame(
        [
            {
                "Dive": dive.id,
                "Diver": _diver(diver),
                "Item": dive.item,
                "Depth": depth_text(dive.depth_fsw, units),
                "LS": clock.hhmm(dive.leave_surface_min, with_day=several),
                "RB": clock.hhmm(dive.reach_bottom_min),
                "LB": clock.hhmm(dive.leave_bottom_min),
                "RS": clock.hhmm(dive.reach_surface_min),
                "BT, min": dive.bottom_time_min,
                "Table schedule": schedule_text(diver.schedule, units),
                "Groups": f"{diver.group_before or 'clean'} → {diver.group_after or 'none printed'}",
                "RNT, min": diver.residual_nitrogen_min,
                "ESDT, min": diver.equivalent_min,
                "Way up, min:s": ascent_text(diver.schedule.ascent_s),
                "Work, min": dive.work_min,
                "Dressing": clock.hhmm(dive.dress_start_min),
                "Station": dive.station,
                "Outfit": diver.outfit,
            }
            for dive in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id))
            for diver in dive.divers
        ]
    )


def stages_frame(stages: Sequence[Stage], job: Job) -> pd.DataFrame:
    """What the plan was asked to be good at, in order, with the proven bound."""
    return pd.DataFrame(
        [
            {
                "Stage": s.name,
                "Reached": stage_value_text(s, s.value, job),
                "No plan can beat": stage_value_text(s, s.bound, job),
                "Gap": "none, proven" if s.proven else f"{s.gap_percent:.1f} %",
            }
            for s in stages
        ],
        columns=["Stage", "Reached", "No plan can beat", "Gap"],
    )


def days_frame(plan: Plan, job: Job) -> pd.DataFrame:
    """Each person's posts through the job, one row a spell, for reading on a small screen."""
    several = len(job.day_windows) > 1
    rows = []
    for person in job.people:
        for spell in plan.duties_of(person.name):
            rows.append(
                {
                    "Person": person.name,
                    "From": job.clock.hhmm(spell.start_min, with_day=several),
                    "To": job.clock.hhmm(spell.end_min),
                    "Duty": spell.duty,
                    "For": f"dive {spell.dive}, {spell.item}" if spell.dive else spell.item,
                    "Station": spell.station or "–",
                }
            )
    return pd.DataFrame(rows, columns=["Person", "From", "To", "Duty", "For", "Station"])


_BESIDE = {"planned": "planned", "longer": "next longer", "deeper": "next deeper"}


def beside_frame(job: Job, dive: Dive, diver: DiverExposure, units: UnitSystem) -> pd.DataFrame:
    """The planned schedule of a diver and those that lie beside it in the tables."""
    return pd.DataFrame(
        [
            {
                "Schedule": _BESIDE[row.kind],
                "Depth": depth_text(row.depth_fsw, units),
                "Bottom time up to, min": "no limit"
                if row.schedule.unlimited
                else str(row.longest_bottom_min),
                "Table schedule": schedule_text(row.schedule, units),
                "Way up, min:s": ascent_text(row.schedule.ascent_s),
                "Group after": row.group_after or "none printed",
                "Policy": "allowed" if row.in_policy else "outside the job's policy",
            }
            for row in schedules_beside(job, dive, diver)
        ]
    )


def crew_frame(plan: Plan, dive: Dive, job: Job) -> pd.DataFrame:
    """Who is posted to one dive, in the trade's order of duties."""
    order = {duty: number for number, duty in enumerate(job.duties)}
    own = sorted(
        (s for s in plan.duties if s.dive == dive.id),
        key=lambda s: (order.get(s.duty, len(order)), s.start_min, s.person),
    )
    return pd.DataFrame(
        [
            {
                "Duty": s.duty,
                "Person": s.person,
                "From": job.clock.hhmm(s.start_min),
                "To": job.clock.hhmm(s.end_min),
                "Outfit": s.outfit or "–",
            }
            for s in own
        ],
        columns=["Duty", "Person", "From", "To", "Outfit"],
    )
