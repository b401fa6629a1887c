"""A dive record a diver: what 29 CFR 1910.423(d) lists, filled as far as it is known, with room for the rest.

Beside each fact stands its paragraph. For construction 29 CFR 1926.1083 asks for the same by reference. What
46 CFR 197.482(b) and (c) ask of a logbook beyond it has its place too: the group or the last exposure on
every dive, the temperature of the air, gas embolism, injuries, departures from the rules. Compared with
public copies of the CFR (edition of 2015) on 29 November 2026.

From a plan it is a form made ready, and says so; only what is written down on the day makes it a record.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from openpyxl import Workbook

from planner.check.rule import SUBJECT_TO
from planner.hours.timesheets import Timesheets
from planner.hours.worked import WorkedDive, WorkedRecord, tables_words
from planner.job import UnitSystem
from planner.sheets.layout import Cell, PrintedSheet, facts_words, made_words, printed_book, unused_name
from planner.tables.gauge import depth_as_read_words
from planner.words.measures import Metric
from planner.words.schedule import (
    group_after_words,
    group_of_minutes_words,
    group_words,
    stop_words,
    table_row_words,
)
from planner.workbook.style import SOFT, Look

SOURCE = "29 CFR 1910.423(d), for construction 1926.1083; under the U.S. Coast Guard 46 CFR 197.482"
#: How long it is kept, and what an incident asks for beside it.
KEPT = (
    "Keep a record of a dive one year, five years after decompression sickness: 29 CFR 1910.440(b)(3)(iv). "
    "After decompression sickness a written evaluation within 45 days: 1910.423(e)(3); who is in hospital "
    "for 24 h or more is recorded with circumstances and extent: 1910.440(a)(2)."
)

#: 29 CFR 1910.423(d)(2): the further facts are asked for deeper than this or outside the no-stop limits.
DEEPER_FSW = 100

_LABEL = Look(size=8, ink=SOFT, down="top", wrap=True)
_VALUE = Look(size=9.5, wrap=True, down="top", edges="b")
_BLANK = "…"
_SURFACE = ("sea", "wind", "weather", "air temperature")
_WIDTHS = (42.0, 60.0, 42.0, 60.0)


def dive_record_book(sheets: Timesheets, *, made_at: datetime | None = None) -> Workbook:
    """A sheet a diver with a block a dive, on A4, not yet saved."""
    made, job_name = made_words(sheets.clock, made_at), sheets.records[0].job_name
    facts = facts_words(made, tables_words(sheets.records))
    printed = printed_book(f"Dive records, {job_name}", "A4", job_name, facts)
    taken: set[str] = set()
    dived = [(record, dive) for record in sheets.records for dive in record.dives]
    for person in dict.fromkeys(dive.row.person for _, dive in dived):
        own = [(r, d) for r, d in dived if d.row.person == person]
        logged = all(r.from_log for r, _ in own)
        basis = "from the log" if logged else "made ready from the plan, not yet a record"
        facts = facts_words("Dive record", basis, made, tables_words(r for r, _ in own), SOURCE)
        sheet = printed.sheet(diver_sheet_name(person, taken), _WIDTHS, title=person, facts=facts)
        for record, dive in own:
            with sheet.together():
                _dive(sheet, record, dive)
        sheet.words(f"{KEPT} {SUBJECT_TO}")
        sheet.end()
    if not dived:
        sheet = printed.sheet("No dives", _WIDTHS, title="Dive records")
        sheet.words("Nobody dives in these days, so there is no dive record.", Look())
        sheet.end()
    return printed.book


def diver_sheet_name(person: str, taken: set[str]) -> str:
    """A sheet's name for a diver, unlike those taken, without the letters that a workbook forbids."""
    clean = "".join("-" if c in "[]:*?/\\" else c for c in " ".join(person.split())).replace("'", "’")
    return unused_name(clean, taken)


def _dive(sheet: PrintedSheet, record: WorkedRecord, worked: WorkedDive) -> None:
    clock, dive = record.clock, worked.dive
    when = clock.at(dive.leave_surface_min)
    title = f"Dive {dive.id} · {when:%A} {when.day} {when:%B %Y}"
    sheet.line([(title, 4, Look(size=11, bold=True, edges="b", heavy="b"))], 18)
    held: dict[str, list[str]] = {}
    for spell in record.spells:
        if spell.dive == dive.id and spell.duty not in held.get(spell.person, ()):
            held.setdefault(spell.person, []).append(spell.duty)
    team = [f"{person} ({', '.join(duties)})" for person, duties in held.items()]
    pairs = [
        ("Person in charge (1)(i)", ", ".join(record.in_charge_of(dive.id)) or _BLANK),
        ("Location (1)(ii)", f"{record.job_name}, {dive.station}".strip(", ")),
        ("Team (1)(i)", "; ".join(team) or _BLANK),
        ("Diving mode (1)(iii)", f"surface-supplied air, {worked.gear}".removesuffix(", ")),
        ("Nature of the work (1)(iv)", dive.item or _BLANK),
        ("Under water (1)(v)", f"{_water(record)}; visibility {_BLANK} current {_BLANK}".lstrip("; ")),
        ("Surface conditions (1)(v)", " ".join(f"{of} {_BLANK}" for of in _SURFACE)),
        ("Duty", worked.row.duty),
        ("Leave surface (1)(ii)", f"{clock.hhmm(dive.leave_surface_min)} ({record.time_zone})"),
        ("Reach surface (1)(ii)", clock.hhmm(dive.reach_surface_min)),
        ("Greatest depth (1)(vi)", _depth(record, worked)),
        ("Bottom time (1)(vi)", f"{dive.bottom_time_min} min"),
    ]
    _pairs(sheet, pairs)
    if worked.row.schedule.decompression or worked.greatest_depth_fsw > DEEPER_FSW:
        _pairs(sheet, _further(record, worked))
    else:
        words = (
            f"Within the no-stop limits and not deeper than {DEEPER_FSW} fsw: profile and table are not "
            f"asked for; for the log: {table_row_words(worked.row.schedule)}, group "
            f"{group_of_minutes_words(worked.row.group_after, dive.bottom_time_min)}. Since the last "
            f"exposure: {_since_last(worked)}; group before: {group_words(worked.row.group_before)}."
        )
        sheet.words(words)
    said = "; ".join(_reported(record, worked)) or "none □   seen □ ………………"
    pairs = [
        ("Signs of decompression sickness or gas embolism, depth and time of onset (3)(i)", said),
        ("Treatment and its results (3)(ii)", _BLANK),
        ("Injury or illness: date, time, circumstances, extent (1910.440(a)(2))", _BLANK),
        ("Departures from the rules: why, which, what was done (46 CFR 197.482(c))", _BLANK),
    ]
    _pairs(sheet, pairs)
    signed = Look(size=7.5, ink=SOFT, down="bottom")
    sheet.line([("Person in charge, signed", 2, signed), ("Diver, signed", 2, signed)], 26)
    sheet.line([(None, 4, Look(edges="t"))], 10)


def _water(record: WorkedRecord) -> str:
    """The water as the job has it; its temperature is left open where the job does not know it."""
    words = record.water_words
    return words if "°" in words else f"{words}; temperature {_BLANK}".lstrip("; ")


def _since_last(worked: WorkedDive) -> str:
    interval_min = worked.row.surface_interval_min
    return "none known" if interval_min is None else f"{interval_min} min"


def _depth(record: WorkedRecord, worked: WorkedDive) -> str:
    """The greatest depth, what was read beside it; in metres first in a job that is kept in them."""
    words = depth_as_read_words(worked.dive.depth_fsw, worked.greatest_depth_fsw)
    return f"{worked.greatest_depth_m:g} m, {words}" if record.units is UnitSystem.METRIC else words


def _reported(record: WorkedRecord, worked: WorkedDive) -> Iterator[str]:
    """What the diver reported by the log between this dive and his next."""
    person, left = worked.row.person, worked.dive.leave_surface_min
    later = [d.dive.leave_surface_min for d in record.dives if d.row.person == person]
    until = min((minute for minute in later if minute > left), default=None)
    for name, at, text in record.sick:
        if name == person and left <= at and (until is None or at < until):
            yield f"{record.clock.hhmm(at, with_day=True)} {text or 'reported sick'}"


def _further(record: WorkedRecord, worked: WorkedDive) -> list[tuple[str, str]]:
    clock, dive, row = record.clock.hhmm, worked.dive, worked.row
    made = [stop for stop in row.schedule.stops if stop.minutes]
    stops = ", ".join(stop_words(stop, record.units, Metric.BEHIND, air_named=True) for stop in made)
    profile = (
        f"leave surface {clock(dive.leave_surface_min)}, reach bottom {clock(dive.reach_bottom_min)}, leave "
        f"bottom {clock(dive.leave_bottom_min)}, {stops or 'no stops'}, reach surface "
        f"{clock(dive.reach_surface_min)}"
    )
    if worked.out_of_chamber_min is not None:
        profile += f", out of the chamber {clock(worked.out_of_chamber_min)}"
    table = f"{table_row_words(row.schedule)}, {row.schedule.way_up}; changes {_BLANK}"
    groups = f"{group_words(row.group_before)} before, {group_after_words(row.group_after)} after"
    return [
        ("Depth, time and gas (2)(i)", profile),
        ("Table used, changes to it (2)(ii)", table),
        ("Since the last exposure (2)(iii)", _since_last(worked)),
        ("Group before and after (2)(iii)", groups),
    ]


def _pairs(sheet: PrintedSheet, pairs: list[tuple[str, str]]) -> None:
    """Labels and values, two a row."""
    for start in range(0, len(pairs), 2):
        cells: list[Cell] = []
        for place, (label, value) in enumerate(pairs[start : start + 2]):
            cells += [(label, 1, _LABEL.but(indent=place)), (value, 1, _VALUE)]
        sheet.line(cells)
