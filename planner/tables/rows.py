"""From a published row to the schedule of one dive: ascent times, stops, oxygen, chamber."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from planner.table_sets import (
    IN_CHAMBER,
    NO_STOP,
    ON_AIR,
    ON_OXYGEN,
    NoStopRow,
    StopRow,
    TableSet,
    table_words,
)
from planner.tables.altitude import (
    equivalent_depth_fsw,
    pressure_ratio,
    stop_held_at_fsw,
)
from planner.tables.gauge import corrected_depth_fsw, fixed_reference_fsw
from planner.tables.options import ExposureOptions
from planner.tables.schedule import (
    AIR,
    ASCENT_S_PER_FSW,
    OXYGEN,
    UNLIMITED_MIN,
    Stop,
    TableSchedule,
    chamber_s,
    to_chamber_s,
)

SHIFT_TO_OXYGEN_S = 20
"""Travel from a 40 fsw stop to oxygen at 30 fsw, which the oxygen time does not include (table 9-9)."""

PERIOD_MIN, BREAK_MIN, NO_BREAK_UP_TO_MIN = 30, 5, 35
"""In the water: 5 min of air after every 30 min of oxygen, none when 35 min or less remain (manual)."""

OXYGEN_STOPS_FSW = (30, 20)

NO_GROUP_NOTE = "No repetitive group is printed: no repetitive dive until clean."
CHAMBER_NOTE = (
    "At most 5 min to 50 fsw in the chamber, from leaving 40 fsw (from leave bottom where the dive is "
    "shallower). The chamber's times are partly from memory: compare them with the official procedure."
)


def air_breaks(oxygen_min: int) -> int:
    """Air breaks within one stretch of oxygen in the water."""
    return max(0, math.ceil((oxygen_min - NO_BREAK_UP_TO_MIN) / PERIOD_MIN))


@dataclass(frozen=True)
class TableEntry:
    """How the tables are entered for a depth: corrections made, and the words that say so."""

    depth_fsw: int
    options: ExposureOptions

    @property
    def tables(self) -> TableSet:
        return self.options.tables

    @cached_property
    def corrected_fsw(self) -> int:
        """Greatest depth: what is read, and the corrections of the gauge (`planner.tables.gauge`)."""
        options = self.options
        return corrected_depth_fsw(
            self.depth_fsw,
            options.altitude_ft,
            pneumofathometer=options.pneumofathometer_correction,
            fixed_reference=options.fixed_reference_gauge,
        )

    @cached_property
    def at_altitude(self) -> bool:
        return self.tables.worked_altitude_ft(self.options.altitude_ft) > 0

    @cached_property
    def entry_fsw(self) -> int:
        """Whole fsw to enter the tables with, rounded up."""
        exact = equivalent_depth_fsw(self.corrected_fsw, self.options.altitude_ft)
        return math.ceil(exact - 1e-9)

    @cached_property
    def row_fsw(self) -> int:
        """Exact or next deeper depth of the no-stop table."""
        return self.tables.next_deeper(self.entry_fsw)

    @cached_property
    def notes(self) -> tuple[str, ...]:
        options, notes = self.options, []
        fixed = options.fixed_reference_gauge and self.at_altitude
        if fixed:
            more = fixed_reference_fsw(options.altitude_ft)
            notes.append(f"Gauge with a fixed one-atmosphere reference: {more} fsw added at this altitude.")
        if options.pneumofathometer_correction:
            notes.append(
                f"Pneumofathometer correction: {self.depth_fsw} fsw read as {self.corrected_fsw} fsw"
                f"{', both together' if fixed else ''}."
            )
        if self.at_altitude:
            exact = equivalent_depth_fsw(self.corrected_fsw, options.altitude_ft)
            worked_ft = self.tables.worked_altitude_ft(options.altitude_ft)
            called = self.tables.called.get("equivalent_depth")
            in_place = f" in place of {table_words(called)}" if called else ""
            notes.append(
                f"Equivalent depth at {worked_ft:,} ft: {exact:.1f} fsw "
                f"(computed{in_place}, pressure ratio {pressure_ratio(options.altitude_ft):.4f})."
            )
        if options.next_longer_row:
            notes.append("Arduous or cold: next longer schedule (common practice).")
        if options.margin_min:
            notes.append(f"Margin: every limit and row less {options.margin_min} min.")
        return tuple(notes)

    def travel_s(self, printed_s: int, from_fsw: float, to_fsw: float) -> int:
        """Seconds of an ascent: as printed at sea level, from the depths at altitude."""
        if not self.at_altitude:
            return printed_s
        return self.tables.travel_s(from_fsw, to_fsw)

    def held_at_fsw(self, stop_fsw: int) -> float | None:
        return stop_held_at_fsw(stop_fsw, self.options.altitude_ft) if self.at_altitude else None

    def laid_out(self, row_fsw: int) -> dict[str, Any]:
        """The row's depth, as a metric set prints it too, and the set's rate."""
        return {
            "depth_fsw": row_fsw,
            "depth_msw": self.tables.printed_msw.get(row_fsw),
            "ascent_fsw_per_min": self.tables.ascent_fsw_per_min,
        }

    def cited(self, table: str, repetitive: bool) -> str:
        """How the publisher calls the tables used; ``table`` is a file of the set, without its ending."""
        called = self.tables.called
        numbers = {called.get("equivalent_depth", "equivalent depth")} if self.at_altitude else set()
        if repetitive:
            file = "residual_one_foot" if table == "no_stop_one_foot" else "residual"
            numbers.add(called.get(file, called["intervals"]))
        return ", ".join(sorted({*numbers, called[table]}))


def no_stop_schedule(entry: TableEntry, row: NoStopRow, repetitive: bool, table: str) -> TableSchedule:
    """Straight to the surface; ``table`` is the file that prints the row, without its ending."""
    ascent_s = entry.travel_s(entry.tables.travel_s(row.depth_fsw, 0), entry.corrected_fsw, 0)
    notes = entry.notes
    if row.limit_min is None:
        notes = (*notes, "No-stop time is unlimited at this depth.")
    return TableSchedule(
        table=entry.cited(table, repetitive),
        way_up=NO_STOP,
        **entry.laid_out(row.depth_fsw),
        time_min=UNLIMITED_MIN if row.limit_min is None else row.limit_min,
        time_to_first_stop_s=ascent_s,
        ascent_s=ascent_s,
        notes=notes,
    )


def in_water_schedule(entry: TableEntry, row: StopRow, repetitive: bool) -> TableSchedule:
    """Stops in the water on air, or on air and oxygen (table 9-9 of the U.S. Navy Diving Manual)."""
    stops = []
    for depth, minutes in row.stops:
        gas = OXYGEN if row.oxygen and depth in OXYGEN_STOPS_FSW else AIR
        held, msw = entry.held_at_fsw(depth), entry.tables.printed_msw.get(depth)
        stops.append(Stop(depth_fsw=depth, minutes=minutes, gas=gas, held_at_fsw=held, depth_msw=msw))
    first_s = entry.travel_s(row.time_to_first_stop_s, entry.corrected_fsw, stops[0].held_fsw)
    ascent_s = row.ascent_s
    if entry.at_altitude:
        at_stops_s = row.ascent_s - row.time_to_first_stop_s - entry.tables.travel_s(stops[-1].depth_fsw, 0)
        ascent_s = first_s + at_stops_s + entry.travel_s(0, stops[-1].held_fsw, 0)
    notes = entry.notes
    if row.exposure == "surdo2_recommended" and not row.oxygen:
        stops_table = table_words(entry.tables.called["stops"]).capitalize()
        notes = (
            *notes,
            f"{stops_table} recommends oxygen in the water or surface decompression for this schedule.",
        )
    if row.group is None:
        notes = (*notes, NO_GROUP_NOTE)
    return TableSchedule(
        table=entry.cited("stops", repetitive),
        way_up=ON_OXYGEN if row.oxygen else ON_AIR,
        **entry.laid_out(row.depth_fsw),
        time_min=row.time_min,
        stops=tuple(stops),
        time_to_first_stop_s=first_s,
        ascent_s=ascent_s,
        notes=notes,
    )


def chamber_schedule(entry: TableEntry, row: StopRow, repetitive: bool) -> TableSchedule:
    """Stops on air down to 40 fsw, then oxygen in the chamber (table 9-9)."""
    stops = tuple(Stop(depth_fsw=d, minutes=m) for d, m in row.stops if d not in OXYGEN_STOPS_FSW)
    if stops:
        first_s = row.time_to_first_stop_s
        leaves_fsw = stops[-1].depth_fsw
    else:
        first_s = row.depth_fsw * ASCENT_S_PER_FSW
        leaves_fsw = row.depth_fsw
    in_water_s = sum(stop.minutes for stop in stops) * 60 + (first_s if stops else 0)
    notes = (
        *entry.notes,
        CHAMBER_NOTE,
    )
    if row.group is None:
        notes = (*notes, NO_GROUP_NOTE)
    return TableSchedule(
        table=entry.cited("stops", repetitive),
        way_up=IN_CHAMBER,
        **entry.laid_out(row.depth_fsw),
        time_min=row.time_min,
        stops=stops,
        time_to_first_stop_s=first_s,
        ascent_s=in_water_s + to_chamber_s(leaves_fsw) + chamber_s(row.chamber_periods),
        chamber_periods=row.chamber_periods,
        notes=notes,
    )
