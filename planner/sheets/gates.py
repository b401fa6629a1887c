"""The sheet *Gates*: isolations, permits and hazards that work waits for, and who holds each; and the same
in words for a dive's own sheets.
"""

from __future__ import annotations

from planner.air.station_gear import asks_station_gear, spare_hose_needed_ft
from planner.job import Job
from planner.job.work import Gate
from planner.plan.model import Dive
from planner.sheets.bill import Bill
from planner.sheets.layout import Column, Table
from planner.tables.schedule import NO_STOP
from planner.words.measures import length_words, own_length_words, span_words
from planner.workbook.style import Look

TO_CONFIRM = "to be confirmed"

_TEXT = Look(size=9, edges="b", wrap=True)
_NOTE = (
    "Nobody leaves the surface for an item before the supervisor has seen each of its rows held, by the one "
    "who is named, and written it down. Where no time is given nothing is known: confirm it before the dive. "
    "Whoever holds it gives it back only after the supervisor says that everyone is out of the water."
)


def held_words(gate: Gate, job: Job) -> str:
    """When a gate is held: ``08:00–15:30``, or that it is to be confirmed."""
    if gate.span is None:
        return TO_CONFIRM
    start, end, clock = gate.span.start_min, gate.span.end_min, job.clock
    if clock.day_of(start) == clock.day_of(end):
        return span_words(job, start, end)
    return f"{clock.hhmm(start, with_day=True)}–{clock.hhmm(end, with_day=True)}"


def gates_of_item(job: Job, item: str) -> tuple[str, ...]:
    """A line for each gate of an item: what is held, by whom, when."""
    return tuple(
        f"{what}: " + "; ".join(f"{row.held_by or 'NOBODY NAMED'}, {held_words(row, job)}" for row in rows)
        for what, rows in job.gates_of(item).items()
    )


def station_gear_lines(job: Job, dive: Dive) -> tuple[str, ...]:
    """The stage and the spare hose that a dive in heavy dress asks for; empty where it asks for none."""
    item, units = job.dive_item(dive.item), job.site.units
    stops = any(d.schedule.way_up != NO_STOP for d in dive.divers)
    if not asks_station_gear(job, item, dive.depth_fsw, stops=stops):
        return ()
    station = next(s for s in job.stations if s.name == dive.station)
    hose = f"Spare hose {station.spare_hose_no}".strip()
    there = own_length_words(station, units, "spare_hose_length_ft")
    needed = length_words(spare_hose_needed_ft(item, dive.depth_fsw), units, needed=True)
    return (
        "In-water stage ready",
        f"{hose} ready for the standby: {there} ({needed} needed), tested {station.spare_hose_tested_on}",
    )


def held_lines(job: Job, dive: Dive) -> tuple[str, ...]:
    """What must stand ready and be held before anyone leaves the surface for a dive, each to be ticked."""
    return tuple(f"☐ {line}" for line in (*station_gear_lines(job, dive), *gates_of_item(job, dive.item)))


def write_gates(bill: Bill) -> None:
    """Add the sheet *Gates* to the book, where the job names any."""
    job = bill.job
    if not job.gates:
        return

    def hazard(gate: Gate) -> str:
        if gate.hazard_distance_ft is None:
            return "–"
        return f"{own_length_words(gate, job.site.units, 'hazard_distance_ft')}: hoses shorter"

    table: Table[Gate] = Table(
        (
            Column("What is held", 50, lambda g: g.what, _TEXT.but(bold=True, size=10)),
            Column("Held by", 36, lambda g: g.held_by or "NOBODY NAMED", _TEXT.but(bold=True)),
            Column("Held", 32, lambda g: held_words(g, job), _TEXT),
            Column("Items", 54, lambda g: ", ".join(g.items), _TEXT),
            Column("Hazard from the station", 30, hazard, _TEXT),
            Column("Note", 44, lambda g: g.note, _TEXT),
            Column("Seen held, at, by", 36, lambda g: "☐", Look(size=11, edges="lrtb")),
        ),
        heads_points=23,
        points=22,
    )
    sheet = bill.printed.listed("Gates", table, job.gates)
    sheet.words(_NOTE, points=24)
    sheet.end()
