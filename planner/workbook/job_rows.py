"""A job as the rows of its workbook: figures in the workbook's units, times as local wall time."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time, timedelta

from planner.job.base import Part, Span
from planner.job.clock import Clock
from planner.job.crew_rules import CrewRules
from planner.job.job import Job
from planner.job.pins import Pin
from planner.job.words import BUILT_IN_DUTIES, UnitSystem
from planner.job.work import SurfaceItem
from planner.workbook.columns import Column, Kind, Sheet
from planner.workbook.columns_gear import AIR, BANKS, BENCH_STEPS, COMPRESSORS, OUTFITS, TANKS
from planner.workbook.columns_people import CERTIFICATES, HOURS_WORKED, ON_SITE, PAST_DIVES, PEOPLE
from planner.workbook.columns_rules import CREW_MINIMA, DUTY_PAIRS, PRIORITIES, RULES, weight_field
from planner.workbook.columns_site import SITE, STATIONS, TIDE, WATER_WINDOWS
from planner.workbook.columns_work import DIVE_WORK, NOT_TOGETHER, ORDER, PINS, SURFACE_WORK, WINDOWS
from planner.workbook.job_layout import CellValue, RowValues

_NEEDS_QUOTES = re.compile(r'[;"\r\n]')
#: First year that a spreadsheet's date cells hold without doubt (the 1900 date system has a false leap day).
_FIRST_DATE_CELL_YEAR = 1901


def join_names(names: Iterable[str]) -> str:
    """Names in one cell, split by semicolons; one that holds a semicolon itself stands in quotes."""
    return "; ".join('"' + n.replace('"', '""') + '"' if _NEEDS_QUOTES.search(n) else n for n in names)


def in_duty_order(duties: Iterable[str]) -> list[str]:
    """Built-in duties in their usual order, then the others by name."""
    order = {duty: index for index, duty in enumerate(BUILT_IN_DUTIES)}
    return sorted(duties, key=lambda duty: (order.get(duty, len(order)), duty))


def cell_value(column: Column, value: object, units: UnitSystem) -> CellValue:
    """One value of a model as its cell holds it."""
    if value is None or value == "":
        return None
    if isinstance(value, bool):
        yes, no = column.choices if column.kind is Kind.CHOICE else ("yes", "no")
        return yes if value else no
    if isinstance(value, int | float):
        return column.measure.typed(value, units) if column.measure else value
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, date):
        return value if value.year >= _FIRST_DATE_CELL_YEAR else value.isoformat()
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, frozenset):
        return join_names(in_duty_order(value)) or None
    if isinstance(value, tuple):
        return join_names(value) or None
    return str(value)


def settings_row(sheet: Sheet, values: Mapping[str, object], units: UnitSystem) -> RowValues:
    """The values of a sheet of settings, by field."""
    return {c.field: cell_value(c, values.get(c.field), units) for c in sheet.columns}


def part_row(sheet: Sheet, part: Part, units: UnitSystem, **more: CellValue) -> RowValues:
    """One row from the fields of a model, with what is not one of its fields."""
    fields = dict(part)
    own = {c.field: cell_value(c, fields.get(c.field), units) for c in sheet.columns if c.field not in more}
    return {**own, **more}


def wall_time(clock: Clock, minute: int) -> tuple[date, str]:
    """Day and time of a job minute; with its offset on a night when that time of day comes twice."""
    moment = clock.at(minute)
    day, wall = moment.date(), moment.time()
    if clock.minute_on(day, wall.replace(fold=0)) == minute:
        return day, f"{wall:%H:%M}"
    return day, moment.isoformat(timespec="minutes").partition("T")[2]


def span_cells(clock: Clock, span: Span) -> dict[str, CellValue]:
    """Day, from, until, and the day it ends where that is another."""
    day, start = wall_time(clock, span.start_min)
    last, end = wall_time(clock, span.end_min)
    until_day: date | None = None if last == day else last
    if last == day + timedelta(days=1) and end == "00:00" and span.end_min > span.start_min:
        until_day, end = None, "24:00"
    return {"day": day, "from": start, "until": end, "until_day": until_day}


def _moment_cells(clock: Clock, minute: int) -> dict[str, CellValue]:
    day, at = wall_time(clock, minute)
    return {"day": day, "from": at}


def rule_rows(rules: CrewRules, units: UnitSystem) -> dict[str, Sequence[RowValues]]:
    """The rows of the sheets of rules."""
    values = dict(rules)
    values.update({weight_field(i + 1): rules.priority_weights[i] for i in range(PRIORITIES)})
    return {
        CREW_MINIMA.name: [part_row(CREW_MINIMA, row, units) for row in rules.minima],
        DUTY_PAIRS.name: [part_row(DUTY_PAIRS, pair, units) for pair in rules.pairs],
        RULES.name: [settings_row(RULES, values, units)],
        BENCH_STEPS.name: [part_row(BENCH_STEPS, step, units) for step in rules.bench_steps],
    }


def job_rows(job: Job, units: UnitSystem | None = None) -> dict[str, Sequence[RowValues]]:
    """All rows of a job's workbook, by sheet name.

    Parameters
    ----------
    units
        Units of the figures; None: the job's own. In feet they are the inside figures, to the last digit.
    """
    units = units or job.site.units
    return {
        SITE.name: [settings_row(SITE, dict(job.site), units)],
        STATIONS.name: [part_row(STATIONS, s, units) for s in job.stations],
        **_people_rows(job, units),
        **_work_rows(job, units),
        WATER_WINDOWS.name: [
            part_row(WATER_WINDOWS, w, units, **span_cells(job.clock, w)) for w in job.water_windows
        ],
        TIDE.name: [
            {**part_row(TIDE, mark, units), **_moment_cells(job.clock, mark.minute)}
            for mark in job.tide_marks
        ],
        OUTFITS.name: [part_row(OUTFITS, o, units) for o in job.outfits],
        AIR.name: [settings_row(AIR, dict(job.air), units)],
        COMPRESSORS.name: [part_row(COMPRESSORS, c, units) for c in job.air.compressors],
        BANKS.name: [part_row(BANKS, b, units) for b in job.air.banks],
        TANKS.name: [part_row(TANKS, t, units) for t in job.air.tanks],
        **rule_rows(job.rules, units),
    }


def _people_rows(job: Job, units: UnitSystem) -> dict[str, Sequence[RowValues]]:
    clock = job.clock
    people: list[RowValues] = []
    for person in job.people:
        day, at = (None, None)
        if person.last_duty_end_min is not None:
            day, at = wall_time(clock, person.last_duty_end_min)
        people.append(part_row(PEOPLE, person, units, last_duty_day=day, last_duty_time=at))
    past_dives: list[RowValues] = []
    for person in job.people:
        for dive in person.past_dives:
            day, at = wall_time(clock, dive.surfaced_min)
            past_dives.append(
                {**part_row(PAST_DIVES, dive, units, day=day), "from": at, "person": person.name}
            )
    return {
        PEOPLE.name: people,
        CERTIFICATES.name: [
            part_row(CERTIFICATES, c, units, person=p.name) for p in job.people for c in p.certificates
        ],
        PAST_DIVES.name: past_dives,
        HOURS_WORKED.name: [
            {"person": p.name, **span_cells(clock, spell)} for p in job.people for spell in p.past_work
        ],
        ON_SITE.name: [
            {"person": p.name, **span_cells(clock, span)} for p in job.people for span in p.available
        ],
    }


def _work_rows(job: Job, units: UnitSystem) -> dict[str, Sequence[RowValues]]:
    return {
        DIVE_WORK.name: [part_row(DIVE_WORK, item, units) for item in job.dive_items],
        SURFACE_WORK.name: [
            part_row(SURFACE_WORK, item, units, crew=_crew(item)) for item in job.surface_items
        ],
        WINDOWS.name: [
            {"item": item.name, **span_cells(job.clock, window)}
            for item in job.items
            for window in item.windows
        ],
        ORDER.name: [
            {"item": item.name, "after": after.item, "lag_min": after.lag_min}
            for item in job.items
            for after in item.after
        ],
        NOT_TOGETHER.name: [
            {"item": item.name, "other": other} for item in job.items for other in item.not_together_with
        ],
        PINS.name: [{**part_row(PINS, pin, units), **_pin_cells(job.clock, pin)} for pin in job.pins],
    }


def _pin_cells(clock: Clock, pin: Pin) -> dict[str, CellValue]:
    if pin.start_min is not None and pin.end_min is not None:
        return span_cells(clock, Span(start_min=pin.start_min, end_min=pin.end_min))
    if pin.start_min is not None:
        return _moment_cells(clock, pin.start_min)
    if pin.end_min is not None:
        until_day, until = wall_time(clock, pin.end_min)
        return {"until": until, "until_day": until_day}
    return {}


def _crew(item: SurfaceItem) -> str | None:
    return join_names(f"{need.duty} {need.count}" for need in item.crew) or None
