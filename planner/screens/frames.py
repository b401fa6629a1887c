"""Tables for reading: what is in the job, in the plan and in the plant, with units in the headings.

A table is said by its columns: for each heading, what it says of one thing (`frame_of`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, TypeVar

import pandas as pd
import streamlit as st

from planner.air import AirReport, BankDay, CompressorRun, DiveAir
from planner.air.running import TestDue
from planner.errors import Fault
from planner.gear.cards import DressingCard, NumberedStep
from planner.gear.outfits import OutfitDay
from planner.job import DiveItem, Item, Job, Person, SurfaceItem, UnitSystem
from planner.job.duties import DIVER, DUTY_LETTERS, CrewMinimum
from planner.job.units import bar_from_psi, litres_from_cubic_feet
from planner.plan.model import Dive, DiverExposure, DutySpell, Plan, Stage
from planner.screens.wording import (
    depth_text,
    dive_depth_text,
    own_depth_text,
    plain,
    schedule_text,
    spans_text,
)
from planner.sheets.bill import standby_reach, standbys
from planner.whatif.slack import DiveSlack, Slack
from planner.words.beside import ScheduleBeside, schedules_beside
from planner.words.crew import row_holds_words
from planner.words.measures import Metric, count_words, minutes_seconds, span_words, time_words
from planner.words.plan import bound_words, gap_words, stage_value_words
from planner.words.schedule import group_words

Row = TypeVar("Row")

#: What each column of a table says of a thing, by its heading.
Columns = Mapping[str, Callable[[Row], object]]


def frame_of(rows: Iterable[Row], columns: Columns[Row]) -> pd.DataFrame:
    """A table for reading: one row a thing, units in the headings."""
    things = list(rows)
    return pd.DataFrame({heading: [value(thing) for thing in things] for heading, value in columns.items()})


def show_table(frame: pd.DataFrame, *, key: str, alt: str, **options: Any) -> Any:
    """Put a table for reading on the page, as tall as its rows; ``alt`` is told to whoever cannot see it.

    What the table gives back: the rows ticked, where ``on_select`` asks for them.
    """
    return st.dataframe(frame, hide_index=True, key=key, alt=alt, **{"height": "content", **options})


def height_of(frame: pd.DataFrame, most_px: int) -> int:
    """Pixels of a table that is as tall as its rows, and scrolls where that would be more than so many."""
    return min(most_px, 38 + 35 * max(1, len(frame)))


#: Faults listed; what has more is more quickly mended from its first ones.
FAULTS_SHOWN = 100


def show_faults(
    faults: Sequence[Fault], where: Columns[Fault], *, key: str, alt: str, more: str = "shown"
) -> None:
    """List faults: where each stands, by these columns, what is wrong, what was found and what is allowed;
    ``more``: what those beyond the first `FAULTS_SHOWN` are not."""
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

    def dives_to(person: Person) -> str:
        return own_depth_text(job, person, units, "depth_rating_fsw") if person.depth_rating_fsw else "–"

    def before(person: Person) -> str:
        return "; ".join(
            f"{own_depth_text(job, d, units)} {d.bottom_time_min} min, up "
            f"{job.clock.hhmm(d.surfaced_min, with_day=True)}"
            for d in person.past_dives
        )

    columns: Columns[Person] = {
        "Name": lambda p: p.name,
        "May hold": lambda p: ", ".join([d for d in job.duties if d in p.duties] or sorted(p.duties)),
        "Dives to": dives_to,
        "Medical until": lambda p: _day(p.medical_expires),
        "On site": lambda p: spans_text(job, job.available(p)) or "not on site",
        "Dives before": lambda p: before(p) or "–",
    }
    return frame_of(job.people, columns)


def work_frame(job: Job, units: UnitSystem) -> pd.DataFrame:
    """One row an item, for reading; dive items first."""

    def after(item: Item) -> str:
        return ", ".join(a.item + (f" +{a.lag_min} min" if a.lag_min else "") for a in item.after)

    columns: Columns[Item] = {
        "Item": lambda i: i.name,
        "Kind": _kind,
        "Depth": lambda i: own_depth_text(job, i, units) if isinstance(i, DiveItem) else "–",
        "Work, min": lambda i: i.needed_min,
        "Priority": lambda i: i.priority,
        "Station": lambda i: i.station or "any",
        "When": lambda i: _when(job, i),
        "After": lambda i: after(i) or "–",
    }
    return frame_of(job.items, columns)


def _kind(item: Item) -> str:
    if isinstance(item, DiveItem):
        team = count_words(item.divers, "diver")
        extra = ", enclosed space" if item.enclosed_space else ""
        return f"dive, {item.gear.value}, {team}{extra}"
    if isinstance(item, SurfaceItem):
        return "on deck, " + ", ".join(f"{need.count} {need.duty}" for need in item.crew)
    return ""


def crew_rows_frame(job: Job, units: UnitSystem) -> pd.DataFrame:
    """One crew row in words a line, with its source, who changed it and when."""

    def on_site(when: datetime) -> str:
        # one without a zone is taken to be on the site's clock already
        return f"{when.astimezone(job.clock.zone) if when.tzinfo else when:%d %b %Y %H:%M}"

    columns: Columns[CrewMinimum] = {
        "A dive asks for": lambda row: crew_row_text(row, units),
        "Source": lambda row: row.source,
        "Changed by": lambda row: row.changed_by or ("not said" if row.changed_at else "as shipped"),
        "Changed at": lambda row: on_site(row.changed_at) if row.changed_at else "–",
    }
    return frame_of(job.rules.asked_rows, columns)


def crew_row_text(row: CrewMinimum, units: UnitSystem) -> str:
    """``2 × tender for each diver, in heavy dress, deeper than 100 fsw``."""
    parts = [f"{row.count} × {row.duty}" + (" for each diver" if row.per_diver else "")]
    return ", ".join([*parts, *row_holds_words(row, units, Metric.ALONE)])


def _when(job: Job, item: Item) -> str:
    parts = []
    if item.windows:
        parts.append(spans_text(job, item.windows))
    if isinstance(item, DiveItem) and item.needs_slack:
        parts.append("slack water")
    parts += [f"while {what} is held" for what in job.gates_of(item.name)]
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
    clock = job.clock.hhmm
    columns: Columns[tuple[Dive, DiverExposure]] = {
        "Dive": lambda row: row[0].id,
        "Diver": lambda row: _diver(row[1]),
        "Item": lambda row: row[0].item,
        "Depth": lambda row: dive_depth_text(job, row[0].item, row[0].depth_fsw, units),
        "LS": lambda row: time_words(job, row[0].leave_surface_min),
        "RB": lambda row: clock(row[0].reach_bottom_min),
        "LB": lambda row: clock(row[0].leave_bottom_min),
        "RS": lambda row: clock(row[0].reach_surface_min),
        "BT, min": lambda row: row[0].bottom_time_min,
        "Table schedule": lambda row: schedule_text(row[1].schedule, units),
        "Groups": lambda row: f"{group_words(row[1].group_before)} → {row[1].group_after or 'none printed'}",
        "RNT, min": lambda row: row[1].residual_nitrogen_min,
        "ESDT, min": lambda row: row[1].equivalent_min,
        "Way up, min:s": lambda row: minutes_seconds(row[1].schedule.ascent_s),
        "Work, min": lambda row: row[0].work_min,
        "Dressing": lambda row: clock(row[0].dress_start_min),
        "Station": lambda row: row[0].station,
        "Outfit": lambda row: row[1].outfit,
        "Standby": lambda row: standbys(plan, job, row[0]),
        "Standby sent": lambda row: standby_reach(plan, job, row[0]) or "–",
    }
    in_order = sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id))
    return frame_of([(dive, diver) for dive in in_order for diver in dive.divers], columns)


def stages_frame(stages: Sequence[Stage], job: Job) -> pd.DataFrame:
    """What the plan was asked to be good at, in order, with the proven bound."""
    columns: Columns[Stage] = {
        "Stage": lambda s: s.name,
        "Reached": lambda s: stage_value_words(s, s.value, job),
        "No plan can beat": lambda s: bound_words(s, job),
        "Gap": lambda s: gap_words(s, job),
    }
    return frame_of(stages, columns)


def slack_frame(spare: Slack) -> pd.DataFrame:
    """What each dive has to spare, and what breaks a minute later."""
    columns: Columns[DiveSlack] = {
        "Dive": lambda s: f"{s.dive}, {s.item}",
        "May slip": lambda s: s.slip.words,
        "Breaks then": lambda s: s.slip.then_words,
        "May last longer": lambda s: s.longer.words,
        "Breaks so": lambda s: s.longer.then_words,
    }
    return frame_of(spare.dives, columns)


_BESIDE = {"row": "its row to the end", "longer": "next longer", "deeper": "next deeper"}


def beside_frame(job: Job, dive: Dive, diver: DiverExposure, units: UnitSystem) -> pd.DataFrame:
    """The planned schedule of a diver and those that lie beside it in the tables."""
    columns: Columns[ScheduleBeside] = {
        "Schedule": lambda row: _BESIDE.get(row.kind, row.kind),
        "Depth": lambda row: depth_text(row.depth_fsw, units),
        "Bottom time up to, min": lambda row: "no limit" if row.unlimited else str(row.longest_bottom_min),
        "Table schedule": lambda row: schedule_text(row.schedule, units),
        "Way up, min:s": lambda row: minutes_seconds(row.schedule.ascent_s),
        "Group after": lambda row: row.group_after or "none printed",
        "Policy": lambda row: "allowed" if row.in_policy else "outside the job's policy",
    }
    return frame_of(schedules_beside(job, dive, diver), columns)


def crew_frame(plan: Plan, dive: Dive, job: Job) -> pd.DataFrame:
    """Who is posted to one dive, in the trade's order of duties."""
    order = {duty: number for number, duty in enumerate(job.duties)}
    own = sorted(
        (s for s in plan.duties if s.dive == dive.id),
        key=lambda s: (order.get(s.duty, len(order)), s.start_min, s.person),
    )
    columns: Columns[DutySpell] = {
        "Duty": lambda s: s.duty,
        "Person": lambda s: s.person,
        "From": lambda s: job.clock.hhmm(s.start_min),
        "To": lambda s: job.clock.hhmm(s.end_min),
        "Outfit": lambda s: s.outfit or "–",
    }
    return frame_of(own, columns)


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

    def worn(day: OutfitDay) -> str:
        return "; ".join(
            f"{span_words(job, u.start_min, u.end_min)} {u.person}{' (standby)' if u.standby else ''}"
            for u in day.uses
        )

    columns: Columns[OutfitDay] = {
        "Outfit": lambda day: day.outfit.name,
        "Kind": lambda day: day.outfit.kind.value,
        "Numbers": lambda day: day.set_numbers,
        "Size": lambda day: day.outfit.size or "–",
        "State": lambda day: "ready" if day.not_ready is None else day.not_ready,
        "Inspection due": lambda day: _day(day.outfit.inspection_due),
        "Worn": lambda day: worn(day) or "not worn",
    }
    return frame_of(days, columns)


def card_frame(card: DressingCard) -> pd.DataFrame:
    """The steps of one dressing card."""
    columns: Columns[NumberedStep] = {
        "No.": lambda line: line.number,
        "Who": lambda line: line.step.who.value,
        "Step": lambda line: line.step.do,
        "Good when": lambda line: line.step.good or "–",
        "Else": lambda line: line.step.when_not or "–",
        "Hold point": lambda line: f"signed by {line.step.signed_by}" if line.step.hold_point else "",
    }
    return frame_of(card.lines, columns)


def dive_air_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a dive: air drawn, highest flow, pressure needed and held, reserve."""
    amounts = Amounts(units)
    columns: Columns[DiveAir] = {
        "Dive": lambda d: d.dive,
        "Item": lambda d: d.item,
        "Depth": lambda d: depth_text(d.depth_fsw, units),
        f"Air, {amounts.volume_unit}": lambda d: amounts.volume(d.scf),
        f"Peak, {amounts.flow_unit}": lambda d: amounts.flow(d.peak_scfm),
        f"Needed, {amounts.pressure_unit}": lambda d: amounts.pressure(d.needed_psi),
        f"Held, {amounts.pressure_unit}": lambda d: amounts.pressure(d.delivered_psi),
        f"Reserve at depth and up, {amounts.volume_unit}": lambda d: amounts.volume(d.reserve_scf),
    }
    return frame_of(report.dives, columns)


def compressors_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a compressor: what it gives, its hour meter before and after, service and fuel."""
    amounts = Amounts(units)
    columns: Columns[CompressorRun] = {
        "Compressor": lambda run: run.name,
        "Supply": lambda run: run.role.value,
        f"Planned on, {amounts.flow_unit}": lambda run: amounts.flow(run.planned_scfm),
        f"Discharge, {amounts.pressure_unit}": lambda run: amounts.pressure(run.discharge_psi),
        "Hour meter, start": lambda run: round(run.hour_meter_start, 1),
        "Hour meter, end": lambda run: round(run.hour_meter_end, 1),
        "Hours to service": lambda run: _tenth(run.hours_to_service),
        "Fuel, US gal": lambda run: round(run.fuel_gal, 1),
        "Air test due": lambda run: _day(run.air_test_due_on),
    }
    return frame_of(report.compressors, columns)


def banks_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a bank: usable, drawn, left, what a worst moment would take, and what recharges it after."""
    amounts = Amounts(units)
    columns: Columns[BankDay] = {
        "Bank": lambda bank: bank.name,
        "Supply": lambda bank: bank.role.value,
        f"Usable, {amounts.volume_unit}": lambda bank: amounts.volume(bank.usable_scf),
        f"Drawn, {amounts.volume_unit}": lambda bank: amounts.volume(bank.drawn_scf),
        f"Left, {amounts.volume_unit}": lambda bank: amounts.volume(bank.left_scf),
        f"Left, {amounts.pressure_unit}": lambda bank: amounts.pressure(bank.left_psi),
        f"Worst moment asks, {amounts.volume_unit}": lambda bank: amounts.volume(bank.worst_scf),
        f"To recharge, {amounts.volume_unit}": lambda bank: amounts.volume(bank.recharge_scf),
        "Recharge, min": lambda bank: "–" if bank.recharge_min is None else str(bank.recharge_min),
        "Recharged by": lambda bank: bank.recharged_by or "–",
    }
    return frame_of(report.banks, columns)


def tests_frame(tests: tuple[TestDue, ...], day: date) -> pd.DataFrame:
    """One row a test with its dates and source; overdue ones say so."""
    columns: Columns[TestDue] = {
        "Test": lambda test: test.kind,
        "Of": lambda test: test.what,
        "Tested": lambda test: _day(test.tested_on),
        "Due": lambda test: _day(test.due_on),
        "State": lambda test: "overdue" if test.overdue(day) else "in date" if test.due_on else "not known",
        "Source": lambda test: test.source,
    }
    return frame_of(tests, columns)


def _tenth(hours: float | None) -> str:
    return "–" if hours is None else f"{hours:.1f}"


def _day(day: date | None) -> str:
    return day.isoformat() if day else "–"
