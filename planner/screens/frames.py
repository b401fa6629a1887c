"""Tables for reading: what is in the job and in the plan, as data frames with units in their headings.

Tables for reading about gear and air: outfits through the day, air of dives, compressors, banks, tests."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import TypeVar

import pandas as pd
import streamlit as st

from planner.air import AirReport
from planner.air.running import TestDue
from planner.errors import Fault
from planner.gear import DressingCard, OutfitDay
from planner.job import DiveItem, Item, Job, Person, SurfaceItem, UnitSystem
from planner.job.duties import DIVER, DUTY_LETTERS, CrewMinimum
from planner.job.units import bar_from_psi, litres_from_cubic_feet
from planner.plan.model import Dive, DiverExposure, Plan, Stage
from planner.screens.wording import (
    ascent_text,
    depth_text,
    plain,
    schedule_text,
    spans_text,
    stage_value_text,
)
from planner.words.beside import schedules_beside

Row = TypeVar("Row")


def frame_of(rows: Iterable[Row], columns: Mapping[str, Callable[[Row], object]]) -> pd.DataFrame:
    """A table for reading.

    Parameters
    ----------
    rows
        The things, one a row.
    columns
        What each column says of a thing, by its heading; units stand in the heading.
    """
    things = list(rows)
    return pd.DataFrame({heading: [value(thing) for thing in things] for heading, value in columns.items()})


#: Faults listed; what has more is more quickly mended from its first ones.
FAULTS_SHOWN = 100


def show_faults(
    faults: Sequence[Fault],
    where: Mapping[str, Callable[[Fault], str]],
    *,
    key: str,
    alt: str,
    more: str = "shown",
) -> None:
    """List faults: where each stands, what is wrong, what was found and what is allowed.

    Parameters
    ----------
    where
        Columns that say where a fault stands.
    more
        What those beyond the first `FAULTS_SHOWN` are not.
    """
    if not faults:
        return
    columns = {
        **where,
        "What is wrong": lambda fault: fault.sentence,
        "Found": lambda fault: fault.found or "(blank)",
        "Allowed": lambda fault: fault.allowed,
    }
    with st.container(key=key):
        frame = frame_of(faults[:FAULTS_SHOWN], columns).map(plain)
        st.table(frame, hide_index=True, border="horizontal", alt=alt)
    if len(faults) > FAULTS_SHOWN:
        st.caption(f"{len(faults) - FAULTS_SHOWN} more are not {more}.")


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


class Amounts:
    """Pressures, volumes and flows in the units of the screen."""

    def __init__(self, units: UnitSystem) -> None:
        self.metric = units is UnitSystem.METRIC
        self.pressure_unit = "bar" if self.metric else "psi"
        self.volume_unit = "litres" if self.metric else "scf"
        self.flow_unit = "litres/min" if self.metric else "scfm"

    def pressure(self, psi: float) -> float:
        """Gauge pressure in the unit of the screen."""
        return bar_from_psi(psi) if self.metric else round(psi, 1)

    def volume(self, scf: float) -> float:
        """Free air in the unit of the screen."""
        return round(litres_from_cubic_feet(scf)) if self.metric else round(scf, 1)

    def flow(self, scfm: float) -> float:
        """Flow of free air in the unit of the screen."""
        return round(litres_from_cubic_feet(scfm)) if self.metric else round(scfm, 1)


def outfits_frame(days: tuple[OutfitDay, ...], job: Job) -> pd.DataFrame:
    """One row an outfit: its set, whether it is ready, who wears it when."""
    clock, several = job.clock, len(job.day_windows) > 1
    return pd.DataFrame(
        [
            {
                "Outfit": day.outfit.name,
                "Kind": day.outfit.kind.value,
                "Numbers": day.set_numbers,
                "Size": day.outfit.size or "–",
                "State": "ready" if day.not_ready is None else day.not_ready,
                "Inspection due": _day(day.outfit.inspection_due),
                "Worn": "; ".join(
                    f"{clock.hhmm(u.start_min, with_day=several)}–{clock.hhmm(u.end_min)} {u.person}"
                    + (" (standby)" if u.standby else "")
                    for u in day.uses
                )
                or "not worn",
            }
            for day in days
        ],
        columns=["Outfit", "Kind", "Numbers", "Size", "State", "Inspection due", "Worn"],
    )


def card_frame(card: DressingCard) -> pd.DataFrame:
    """The steps of one dressing card."""
    return pd.DataFrame(
        [
            {
                "No.": line.number,
                "Who": line.step.who.value,
                "Step": line.step.do,
                "Good when": line.step.good or "–",
                "Else": line.step.when_not or "–",
                "Hold point": f"signed by {line.step.signed_by}" if line.step.hold_point else "",
            }
            for line in card.lines
        ],
        columns=["No.", "Who", "Step", "Good when", "Else", "Hold point"],
    )


def dive_air_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a dive: air drawn, highest flow, pressure needed and held, reserve."""
    amounts = Amounts(units)
    return pd.DataFrame(
        [
            {
                "Dive": d.dive,
                "Item": d.item,
                "Depth": depth_text(d.depth_fsw, units),
                f"Air, {amounts.volume_unit}": amounts.volume(d.scf),
                f"Peak, {amounts.flow_unit}": amounts.flow(d.peak_scfm),
                f"Needed, {amounts.pressure_unit}": amounts.pressure(d.needed_psi),
                f"Held, {amounts.pressure_unit}": amounts.pressure(d.delivered_psi),
                f"Reserve to come up, {amounts.volume_unit}": amounts.volume(d.reserve_scf),
            }
            for d in report.dives
        ]
    )


def compressors_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a compressor: what it gives, its hour meter before and after, service and fuel."""
    amounts = Amounts(units)
    return pd.DataFrame(
        [
            {
                "Compressor": run.name,
                "Supply": run.role.value,
                f"Planned on, {amounts.flow_unit}": amounts.flow(run.planned_scfm),
                f"Discharge, {amounts.pressure_unit}": amounts.pressure(run.discharge_psi),
                "Hour meter, start": round(run.hour_meter_start, 1),
                "Hour meter, end": round(run.hour_meter_end, 1),
                "Hours to service": "–" if run.hours_to_service is None else f"{run.hours_to_service:.1f}",
                "Fuel, US gal": round(run.fuel_gal, 1),
                "Air test due": _day(run.air_test_due_on),
            }
            for run in report.compressors
        ]
    )


def banks_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a bank: usable, drawn, left, and what a worst moment would take."""
    amounts = Amounts(units)
    return pd.DataFrame(
        [
            {
                "Bank": bank.name,
                "Supply": bank.role.value,
                f"Usable, {amounts.volume_unit}": amounts.volume(bank.usable_scf),
                f"Drawn, {amounts.volume_unit}": amounts.volume(bank.drawn_scf),
                f"Left, {amounts.volume_unit}": amounts.volume(bank.left_scf),
                f"Left, {amounts.pressure_unit}": amounts.pressure(bank.left_psi),
                f"Worst moment asks, {amounts.volume_unit}": amounts.volume(bank.worst_scf),
            }
            for bank in report.banks
        ]
    )


def tests_frame(tests: tuple[TestDue, ...], day: date) -> pd.DataFrame:
    """One row a test with its dates and source; overdue ones say so."""
    return pd.DataFrame(
        [
            {
                "Test": test.kind,
                "Of": test.what,
                "Tested": _day(test.tested_on),
                "Due": _day(test.due_on),
                "State": _state(test, day),
                "Source": test.source,
            }
            for test in tests
        ],
        columns=["Test", "Of", "Tested", "Due", "State", "Source"],
    )


def _state(test: TestDue, day: date) -> str:
    if test.due_on is None:
        return "not known"
    return "overdue" if test.overdue(day) else "in date"


def _day(day: date | None) -> str:
    return day.isoformat() if day else "–"
