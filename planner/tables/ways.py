"""What the tables offer from one depth and one group: bottom times in order, each with its schedule.

Built once for a depth, a group and a set of options, then looked up by bisection.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import NamedTuple

from planner.errors import TableRefusal
from planner.job import Policy
from planner.tables.intervals import known_group
from planner.tables.options import ExposureOptions
from planner.tables.published import NoStopRow, Residuals, StopRow, published
from planner.tables.rows import (
    BREAK_MIN,
    UNLIMITED_MIN,
    Entry,
    air_breaks,
    chamber_schedule,
    in_water_schedule,
    no_stop_schedule,
)
from planner.tables.schedule import TableSchedule

DEEPEST_FSW = 190
"""Every row of table 9-9 past this depth is an exceptional exposure, and table 9-7 ends here."""


class Step(NamedTuple):
    """One answer of the tables."""

    residual_nitrogen_min: int
    schedule: TableSchedule
    group_after: str | None


class Way(NamedTuple):
    """Greatest bottom times in rising order, what each leads to, and why nothing longer is given."""

    bottom_max_min: tuple[int, ...]
    steps: tuple[Step, ...]
    refusal: str


class _Printed(NamedTuple):
    """One printed time of a depth: the greatest equivalent time, residual nitrogen, what it leads to."""

    upto_min: int
    residual_min: int
    row: NoStopRow | tuple[StopRow, StopRow]
    group_after: str | None


def next_deeper(depths: list[int] | dict[int, object], depth_fsw: int) -> int:
    """Exact or next deeper row. TableRefusal past the last one."""
    ordered = list(depths)
    index = bisect_left(ordered, depth_fsw)
    if index == len(ordered):
        raise TableRefusal(f"The air tables end at {ordered[-1]} fsw; {depth_fsw} fsw is deeper.")
    return ordered[index]


def checked_depth(depth_fsw: int, options: ExposureOptions) -> Entry:
    """The entry for a depth that the rules and the tables allow; else TableRefusal."""
    if depth_fsw <= 0:
        raise TableRefusal(f"A depth must be more than 0 fsw; {depth_fsw} fsw is not.")
    if depth_fsw > options.greatest_depth_fsw:
        raise TableRefusal(
            f"{depth_fsw} fsw is deeper than the {options.greatest_depth_fsw} fsw that the rules allow."
        )
    entry = Entry(depth_fsw, options)
    if entry.entry_fsw > DEEPEST_FSW:
        how = f" ({depth_fsw} fsw entered as {entry.entry_fsw} fsw)" if entry.entry_fsw != depth_fsw else ""
        raise TableRefusal(
            f"Dives deeper than {DEEPEST_FSW} fsw are exceptional exposures and are not planned{how}."
        )
    return entry


def way(depth_fsw: int, group: str | None, options: ExposureOptions) -> Way:
    """The way for a depth and the group before the dive (None: clean)."""
    key = (depth_fsw, group)
    found = options.ways.get(key)
    if found is None:
        found = options.ways[key] = _build(depth_fsw, group, options)
    return found


def _build(depth_fsw: int, group: str | None, options: ExposureOptions) -> Way:
    entry = checked_depth(depth_fsw, options)
    if group is not None:
        known_group(group)
    tables = published()
    row_depth = next_deeper(list(tables.no_stop), entry.entry_fsw)
    if group is not None and (row_depth, group) in tables.use_30_fsw:
        row_depth = 30
    if group is not None and tables.residual[row_depth][group] is None:
        return _undetermined(entry, tables.no_stop[row_depth], group)
    printed = _printed(entry, row_depth, group)
    if options.next_longer_row:
        printed = _next_longer(printed)
    return _allowed(entry, printed, group, options)


def _undetermined(entry: Entry, row: NoStopRow, group: str) -> Way:
    """Table 9-8 *undetermined*: no limit at that depth, and the group stays as it was."""
    schedule = no_stop_schedule(entry, row, True, "9-7")
    note = f"Residual nitrogen time is undetermined for group {group} at this depth: the group stays {group}."
    return Way((UNLIMITED_MIN,), (Step(0, schedule.replace(notes=(*schedule.notes, note)), group),), _A_DAY)


_A_DAY = f"bottom times longer than {UNLIMITED_MIN} min are not planned"


def _residual(residuals: Residuals, group: str | None) -> int:
    """Determined residual nitrogen time; the undetermined cells never come here."""
    return 0 if group is None else int(residuals[group] or 0)


def _printed(entry: Entry, row_depth: int, group: str | None) -> list[_Printed]:
    """Every printed time for the depth: the groups of table 9-7, then the rows of table 9-9."""
    tables = published()
    residual = _residual(tables.residual[row_depth], group)
    row, no_stop_residual = tables.no_stop[row_depth], residual
    if entry.options.one_foot_rows and entry.entry_fsw in tables.no_stop_one_foot:
        row = tables.no_stop_one_foot[entry.entry_fsw]
        no_stop_residual = _residual(tables.residual_one_foot[entry.entry_fsw], group)
    printed = [
        _Printed(
            UNLIMITED_MIN + no_stop_residual if longest is None else longest, no_stop_residual, row, after
        )
        for after, longest in row.columns
    ]
    for pair in tables.stops.get(row_depth, ()):
        if pair[0].stops:
            printed.append(_Printed(pair[0].time_min, residual, pair, pair[0].group))
    return printed


def _next_longer(printed: list[_Printed]) -> list[_Printed]:
    """Each printed time leads to the schedule after its own; an unlimited one stays."""
    shifted = []
    for own, longer in zip(printed, [*printed[1:], None], strict=True):
        if longer is not None:
            shifted.append(own._replace(row=longer.row, group_after=longer.group_after))
        elif isinstance(own.row, NoStopRow) and own.row.limit_min is None:
            shifted.append(own)
    return shifted


def _allowed(entry: Entry, printed: list[_Printed], group: str | None, options: ExposureOptions) -> Way:
    """The printed times that policy, margin and classes allow, as bottom times."""
    limits: list[int] = []
    steps: list[Step] = []
    refusal = "that is longer than the last row of the tables for this depth"
    no_stop_max = max((p.upto_min for p in printed if isinstance(p.row, NoStopRow)), default=0)
    made: dict[int, TableSchedule] = {}
    for one in printed:
        unlimited = isinstance(one.row, NoStopRow) and one.row.limit_min is None
        upto = one.upto_min
        if isinstance(one.row, NoStopRow):
            if not unlimited:
                upto = min(upto, no_stop_max - options.margin_min)
        else:
            why = _refused(one.row, entry)
            if why:
                refusal = why
                break
            upto -= options.margin_min
        bottom = upto - one.residual_min
        if bottom < 1 or (limits and bottom <= limits[-1]):
            continue
        schedule = made.get(id(one.row))
        if schedule is None:
            schedule = made[id(one.row)] = _schedule(entry, one.row, group is not None, options)
        limits.append(bottom)
        steps.append(Step(one.residual_min, schedule, one.group_after))
        if unlimited and one is printed[-1]:
            refusal = _A_DAY
    return Way(tuple(limits), tuple(steps), refusal)


def _refused(pair: tuple[StopRow, StopRow], entry: Entry) -> str:
    """Why a row with stops may not be used; empty where it may."""
    options = entry.options
    row = pair[1] if options.oxygen_in_water else pair[0]
    if options.policy is Policy.NO_STOP:
        return "that needs decompression stops, and the job allows dives without stops only"
    if row.exceptional:
        return "that is an exceptional exposure, which is never planned"
    if options.policy is Policy.SURFACE_DECOMPRESSION:
        if entry.at_altitude:
            return "that needs surface decompression, which is not planned at altitude"
        return ""
    stops = sum(minutes for _, minutes in row.stops)
    if row.oxygen:
        oxygen = sum(minutes for depth, minutes in row.stops if depth <= 30)
        stops += BREAK_MIN * air_breaks(oxygen)
    if stops > options.in_water_stop_max_min:
        return f"that needs {stops} min of stops, and the job allows {options.in_water_stop_max_min} min"
    return ""


def _schedule(
    entry: Entry, row: NoStopRow | tuple[StopRow, StopRow], repetitive: bool, options: ExposureOptions
) -> TableSchedule:
    if isinstance(row, NoStopRow):
        one_foot = options.one_foot_rows and published().no_stop_one_foot.get(row.depth_fsw) is row
        return no_stop_schedule(entry, row, repetitive, "2A-1" if one_foot else "9-7")
    if options.policy is Policy.SURFACE_DECOMPRESSION:
        return chamber_schedule(entry, row[0], repetitive)
    return in_water_schedule(entry, row[1] if options.oxygen_in_water else row[0], repetitive)
