"""What the tables offer from one depth and one group: bottom times in order, each with its schedule.

Built once for a depth, a group and a set of options, then looked up by bisection. `modes` keeps the few
that are worth choosing between, for the scheduler.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from planner.errors import TableRefusal
from planner.job import Policy
from planner.table_sets import IN_CHAMBER, ON_AIR, ON_OXYGEN, Counted, NoStopRow, StopRow, TableSet
from planner.table_sets.table_set import positive_depth
from planner.tables.gauge import depth_as_read_words
from planner.tables.options import ExposureOptions
from planner.tables.rows import (
    BREAK_MIN,
    OXYGEN_STOPS_FSW,
    TableEntry,
    air_breaks,
    chamber_schedule,
    in_water_schedule,
    no_stop_schedule,
)
from planner.tables.schedule import UNLIMITED_MIN, TableAnswer, TableSchedule, Way

LAST_ROW = "that is longer than the last row of the tables for this depth"
OVER_A_DAY = f"bottom times over {UNLIMITED_MIN} min are not planned"
NEEDS_STOPS = "that needs decompression stops, and the job allows dives without stops only"
EXCEPTIONAL = "that is an exceptional exposure, which is never planned"
NO_CHAMBER_AT_ALTITUDE = "that needs surface decompression, which is not planned at altitude"


Row = NoStopRow | tuple[StopRow, StopRow | None]
"""A row of the no-stop table, or of the table of stops as (air, air and oxygen)."""


class Printed(NamedTuple):
    """One printed time: the greatest equivalent time, how a bottom time counts in it, what it leads to."""

    upto_min: int
    counted: Counted
    row: Row
    group_after: str | None


def entry_for(depth_fsw: int, options: ExposureOptions) -> TableEntry:
    """The entry for a depth that the rules and the tables allow; else TableRefusal."""
    positive_depth(depth_fsw)
    entry = TableEntry(depth_fsw, options)
    if entry.corrected_fsw > options.greatest_depth_fsw:
        raise TableRefusal(
            f"{depth_as_read_words(depth_fsw, entry.corrected_fsw)} is deeper than the "
            f"{options.greatest_depth_fsw} fsw that the rules allow."
        )
    deepest = options.tables.deepest_planned_fsw
    if entry.entry_fsw > deepest:
        how = f" ({depth_fsw} fsw entered as {entry.entry_fsw} fsw)" if entry.entry_fsw != depth_fsw else ""
        raise TableRefusal(
            f"Dives deeper than {deepest} fsw are exceptional exposures and are not planned{how}."
            if options.tables.stops
            else f"{options.tables.title} ends at {deepest} fsw; deeper is not planned{how}."
        )
    return entry


def way(depth_fsw: int, group: str | None, options: ExposureOptions) -> Way:
    """The way for a depth and the group before the dive (None: clean)."""
    key = (depth_fsw, group)
    found = options.ways.get(key)
    if found is None:
        found = options.ways[key] = _build(entry_for(depth_fsw, options), group)
    return found


def row_depth_fsw(entry: TableEntry, group: str | None) -> int:
    """Depth of the row, or of the one to which the residual times send the reader."""
    row_depth = entry.row_fsw
    return row_depth if group is None else entry.tables.sent_on.get((row_depth, group), row_depth)


def no_stop_row(entry: TableEntry, group: str | None = None) -> NoStopRow:
    """The row that says how long a dive may be without stops, in one-foot steps where asked for."""
    tables = entry.tables
    if entry.options.one_foot and entry.entry_fsw in tables.no_stop_one_foot:
        return tables.no_stop_one_foot[entry.entry_fsw]
    return tables.no_stop[row_depth_fsw(entry, group)]


def _build(entry: TableEntry, group: str | None) -> Way:
    if group is not None:
        entry.tables.known_carried(group)
    try:
        counted = entry.tables.counted(row_depth_fsw(entry, group), group)
    except TableRefusal as refused:
        return Way((), (), str(refused).rstrip("."))
    if counted is None:
        assert group is not None, "a clean diver's time counts as it is"
        return _undetermined(entry, no_stop_row(entry, group), group)
    printed = _printed(entry, group, counted)
    if entry.options.next_longer_row:
        printed = _next_longer(printed)
    return _allowed(entry, printed, group)


def _undetermined(entry: TableEntry, row: NoStopRow, group: str) -> Way:
    """Residual time *undetermined*: no limit at that depth, and the group stays as it was."""
    schedule = no_stop_schedule(entry, row, True, "no_stop")
    note = f"Residual nitrogen time is undetermined for group {group} at this depth: the group stays {group}."
    step = TableAnswer(Counted(), schedule.replace(notes=(*schedule.notes, note)), group)
    return Way((UNLIMITED_MIN,), (step,), OVER_A_DAY, True)


def _printed(entry: TableEntry, group: str | None, counted: Counted) -> list[Printed]:
    """Every printed time for the depth: the groups of the no-stop table, then the longer rows with stops."""
    tables = entry.tables
    row_depth, row = row_depth_fsw(entry, group), no_stop_row(entry, group)
    in_row: Counted | None = counted
    if row.depth_fsw != row_depth:
        in_row = tables.counted(row.depth_fsw, group, one_foot=True)
    if in_row is None:
        raise AssertionError(f"group {group} is undetermined at {row.depth_fsw} fsw and not at {row_depth}")
    unlimited_min = in_row.equivalent_min(UNLIMITED_MIN)
    printed = [
        Printed(unlimited_min if longest is None else longest, in_row, row, after)
        for after, longest in row.columns
    ]
    printed += [
        Printed(pair[0].time_min, counted, pair, pair[0].group)
        for pair in tables.stops.get(row_depth, ())
        if pair[0].stops and pair[0].time_min > (row.limit_min or 0)
    ]
    least = tables.least_group_after(group)
    if least is None:
        return printed
    rank = tables.rank_after
    return [
        one._replace(group_after=least) if rank(one.group_after) < rank(least) else one for one in printed
    ]


def _unlimited(row: Row) -> bool:
    return isinstance(row, NoStopRow) and row.limit_min is None


def _next_longer(printed: list[Printed]) -> list[Printed]:
    """Each printed time leads to what its successor leads to; the last one only where it is unlimited."""
    shifted = [
        own._replace(row=longer.row, group_after=longer.group_after) for own, longer in pairwise(printed)
    ]
    return [*shifted, printed[-1]] if _unlimited(printed[-1].row) else shifted


def _allowed(entry: TableEntry, printed: list[Printed], group: str | None) -> Way:
    """The printed times that policy, margin and classes allow, as bottom times."""
    options = entry.options
    no_stop_max = max((p.upto_min for p in printed if isinstance(p.row, NoStopRow)), default=0)
    limits: list[int] = []
    steps: list[TableAnswer] = []
    schedules: dict[int, TableSchedule] = {}
    refusal = LAST_ROW
    unlimited = False
    for one in printed:
        if _unlimited(one.row):
            upto, unlimited, refusal = one.upto_min, True, OVER_A_DAY
        elif isinstance(one.row, NoStopRow):
            upto = min(one.upto_min, no_stop_max - options.margin_min)
        else:
            refused = refused_row(one.row, entry)
            if refused:
                refusal = refused
                break
            upto = one.upto_min - options.margin_min
        bottom = one.counted.bottom_time_min(upto)
        # A time below the one before it adds nothing: that one already leads to less decompression.
        if bottom > (limits[-1] if limits else 0):
            if id(one.row) not in schedules:
                schedules[id(one.row)] = _schedule(entry, one.row, group)
            limits.append(bottom)
            steps.append(TableAnswer(one.counted, schedules[id(one.row)], one.group_after))
    return Way(tuple(limits), tuple(steps), refusal + _strictness(options), unlimited)


def _strictness(options: ExposureOptions) -> str:
    """What makes the answer stricter than the tables, for the end of a refusal."""
    stricter = []
    if options.next_longer_row:
        stricter.append("next longer schedule")
    if options.margin_min:
        stricter.append(f"margin of {options.margin_min} min")
    return f" ({', '.join(stricter)})" if stricter else ""


def in_water_stops_min(row: StopRow) -> int:
    """Minutes at the stops of a row, air breaks included."""
    stops = sum(minutes for _, minutes in row.stops)
    if not row.oxygen:
        return stops
    return stops + BREAK_MIN * air_breaks(sum(m for depth, m in row.stops if depth in OXYGEN_STOPS_FSW))


def refused_row(pair: tuple[StopRow, StopRow | None], entry: TableEntry) -> str:
    """Why a row with stops may not be used; empty where it may."""
    options = entry.options
    row = pair[1] if options.oxygen_in_water else pair[0]
    if options.policy is Policy.NO_STOP:
        return NEEDS_STOPS
    wanted = ON_OXYGEN if options.oxygen_in_water else ON_AIR
    if options.policy is Policy.SURFACE_DECOMPRESSION:
        wanted = IN_CHAMBER
    if row is None or wanted not in options.tables.ways_up:
        return options.tables.lacks(wanted).rstrip(".")
    if row.exceptional:
        return EXCEPTIONAL
    if options.policy is Policy.SURFACE_DECOMPRESSION:
        return NO_CHAMBER_AT_ALTITUDE if entry.at_altitude else _too_late_for_chamber(pair[0], options)
    minutes = in_water_stops_min(row)
    if minutes > options.in_water_stop_max_min:
        return f"that needs {minutes} min of stops, and the job allows {options.in_water_stop_max_min} min"
    return ""


def _too_late_for_chamber(row: StopRow, options: ExposureOptions) -> str:
    """Why the diver would not be in the chamber in time; empty where he is."""
    leaves_fsw = min((fsw for fsw, _ in row.stops if fsw not in OXYGEN_STOPS_FSW), default=row.depth_fsw)
    if options.on_deck is None or options.in_time_from(leaves_fsw):
        return ""
    return f"that needs surface decompression, {options.on_deck.sum_words(leaves_fsw)}"


def _schedule(entry: TableEntry, row: Row, group: str | None) -> TableSchedule:
    options, repetitive = entry.options, group is not None
    if isinstance(row, NoStopRow):
        one_foot = options.one_foot and row is entry.tables.no_stop_one_foot.get(row.depth_fsw)
        return no_stop_schedule(entry, row, repetitive, "no_stop_one_foot" if one_foot else "no_stop")
    if options.policy is Policy.SURFACE_DECOMPRESSION:
        return chamber_schedule(entry, row[0], repetitive)
    in_water = row[1] if options.oxygen_in_water else row[0]
    assert in_water is not None, "a row without oxygen is refused before"
    return in_water_schedule(entry, in_water, repetitive)


class Mode(NamedTuple):
    """One exposure to choose.

    Any bottom time from 1 to ``bottom_time_max_min`` is allowed from ``group_before``; none of them takes
    longer than ``ascent_min`` or ends higher than ``group_after``.
    """

    group_before: str | None
    group_after: str | None
    """None: no group is printed."""
    bottom_time_max_min: int
    ascent_min: int
    """Total ascent, rounded up to the minute."""
    way_up: str
    schedule: TableSchedule
    row_from_min: int
    """From the group before, bottom times up to this one need less: no stops, or an earlier row."""
    row_ends_min: int
    """From the group before, the longest bottom time with that schedule."""


def modes(depth_fsw: int, options: ExposureOptions) -> tuple[Mode, ...]:
    """Every exposure at a depth that no other one beats, for each group before the dive, clean first.

    A longer bottom time never has a shorter ascent or a lower group (the tests hold the tables to that), so
    each mode is honest for all bottom times below its own.

    Raises
    ------
    TableRefusal
        A depth that the tables or the rules do not allow.
    """
    found: list[Mode] = []
    tables = options.tables
    for group in (None, *tables.carried):
        own: list[Mode] = []
        offered = way(depth_fsw, group, options)
        for k, bottom in enumerate(offered.bottom_max_min):
            _, schedule, group_after = offered.steps[k]
            ascent_min = -(-schedule.ascent_s // 60)
            begins, ends = offered.row_of(k)
            if own and _no_worse(tables, ascent_min, group_after, own[-1]):
                begins = min(begins, own.pop().row_from_min)
            own.append(Mode(group, group_after, bottom, ascent_min, schedule.way_up, schedule, begins, ends))
        found += own
    return tuple(found)


def _no_worse(tables: TableSet, ascent_min: int, group_after: str | None, shorter: Mode) -> bool:
    """Whether a longer bottom time with that way up costs nothing more than a shorter mode."""
    return ascent_min <= shorter.ascent_min and tables.rank_after(group_after) <= tables.rank_after(
        shorter.group_after
    )
