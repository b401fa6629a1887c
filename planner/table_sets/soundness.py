"""Soundness of a table set before use: what no true table can say, each fault with file and line.

The checks hold for tables of any nation: deeper or longer never gives less, stops and travel add up to the
total, groups follow each other, intervals have neither hole nor overlap, a no-stop limit is the last time
without stops, and residual times agree with the times that lead to their groups.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from planner.errors import Fault
from planner.table_sets.folder import (
    ALTITUDES_FT,
    ARRIVAL_CSV,
    BEFORE_CSV,
    HEAD,
    INTERVALS_CSV,
    NO_STOP_CSV,
    NO_STOP_FOOT_CSV,
    RESIDUAL_CSV,
    RESIDUAL_FOOT_CSV,
    STOPS_CSV,
    TIME_LEFT_CSV,
    UNDETERMINED,
    Reading,
    fault,
    read_files,
)
from planner.table_sets.table_set import (
    FACTOR,
    IN_CHAMBER,
    MINUTES,
    MSW_TO_FSW,
    NoStopRow,
    Residuals,
    StopRow,
    TableSet,
    carried_words,
    hundredths,
)

AIR_BREAK_S, OXYGEN_PERIOD_MIN, NO_BREAK_UP_TO_MIN, SHIFT_S = 300, 30, 35, 20
"""Oxygen in the water: 5 min of air after every 30 min, none while 35 or less are left, and 20 s of travel
to it (U.S. Navy Diving Manual, Revision 7, table 9-9; its own totals confirm it)."""

OXYGEN_STOPS_FSW = (30, 20)


#: Where a row stands: its file, and what tells it from the file's others; a file alone is its first line.
Place = tuple[str, *tuple[object, ...]]


class Wrong(NamedTuple):
    """What a row cannot say."""

    at: Place
    sentence: str
    found: object = ""
    allowed: str = "what the set prints"


@dataclass(frozen=True)
class Soundness:
    """The report on one set."""

    reading: Reading
    faults: tuple[Fault, ...]
    told: tuple[str, ...]
    """Faults of the print itself that the set names: kept as printed."""
    counted: tuple[tuple[str, int], ...] = ()
    """Rows of each file."""

    @property
    def sound(self) -> bool:
        return not self.faults


def examine(id: str, files: Mapping[str, bytes]) -> Soundness:
    """Read a set from its files and judge it."""
    reading = read_files(id, files)
    if reading.tables is None or reading.head is None:
        return Soundness(reading, tuple(reading.faults), ())
    found = [
        fault(one.at[0], reading.line(*one.at), one.sentence, one.found, one.allowed)
        for one in _all(reading.tables, reading.time_left)
    ]
    exempt: dict[str, str] = {}
    faults: list[Fault] = []
    for known in reading.head.as_printed:
        rows = reading.printed_rows.get(known.file, {})
        lines = [n for cells, n in rows.items() if f"{cells}, ".startswith(f"{known.row}, ")]
        where = f"{known.file}, line {lines[0]}" if len(lines) == 1 else ""
        if not any(one.where == where and one.sentence == ADDS_UP for one in found):
            faults.append(
                fault(HEAD, 1, "A fault of the print is named that is none.", f"{known.file}: {known.row}")
            )
        exempt[where] = f"{where}: {known.why}"
    faults += [one for one in found if one.where not in exempt or one.sentence != ADDS_UP]
    counted = tuple((name, len(rows)) for name, rows in sorted(reading.printed_rows.items()))
    return Soundness(reading, tuple(faults), tuple(exempt.values()), counted)


def _all(tables: TableSet, time_left: Mapping[tuple[int, str], int]) -> Iterator[Wrong]:
    """Every check of soundness."""
    yield from _grid(tables)
    yield from _no_stop(tables)
    yield from _residuals(tables)
    yield from _time_left(tables, time_left)
    yield from _intervals(tables)
    yield from _stops(tables)
    yield from _longer_and_deeper(tables)
    yield from _no_stop_group(tables)
    yield from _altitude(tables)


def _grid(tables: TableSet) -> Iterator[Wrong]:
    """The files hold the depths that the set says, in order."""
    factor = MSW_TO_FSW if tables.units == "msw" else 1.0
    grid = [int(depth * factor + 1e-9) for depth in tables.head.depth_grid]
    files = [(NO_STOP_CSV, list(tables.no_stop)), (RESIDUAL_CSV, list(tables.residual))]
    for name, rows in files if tables.residual_method == MINUTES else files[:1]:
        yield from _rising(name, rows)
        for depth in sorted(set(grid) - set(rows)):
            yield Wrong((name,), "A depth of the grid has no row.", "", f"a row for {depth} fsw")
        for depth in sorted(set(rows) - set(grid)):
            yield Wrong((name, depth), "The depth is not one of the grid.", depth)
    for depth in sorted(tables.stops.keys() - tables.no_stop.keys()):
        if not all(air.exceptional for air, _ in tables.stops[depth]):
            row = (STOPS_CSV, depth, tables.stops[depth][0][0].time_min, "air")
            yield Wrong(row, "A depth outside the grid has rows that may be planned.", depth)
    yield from _rising(NO_STOP_FOOT_CSV, list(tables.no_stop_one_foot))
    if tables.residual_method != MINUTES:
        return
    yield from _rising(RESIDUAL_FOOT_CSV, list(tables.residual_one_foot))
    for depth in sorted(tables.no_stop_one_foot.keys() ^ tables.residual_one_foot.keys()):
        yield Wrong((NO_STOP_FOOT_CSV,), "The one-foot tables do not hold the same depths.", depth)


def _rising(name: str, depths: Sequence[int]) -> Iterator[Wrong]:
    for before, depth in pairwise(depths):
        if depth <= before:
            yield Wrong((name, depth), "The depths do not rise.", depth, f"over {before}")


def _no_stop(tables: TableSet) -> Iterator[Wrong]:
    """Longer is a higher group, deeper is never longer, the last time is the limit."""
    for name, rows in ((NO_STOP_CSV, tables.no_stop), (NO_STOP_FOOT_CSV, tables.no_stop_one_foot)):
        before: NoStopRow | None = None
        for depth, row in rows.items():
            at = (name, depth)
            times = [minutes for _, minutes in row.columns if minutes is not None]
            stars = [group for group, minutes in row.columns if minutes is None]
            if not times or any(later <= earlier for earlier, later in pairwise(times)):
                yield Wrong(at, "The times do not rise with the group.", times, "rising")
            ranks = [tables.rank(group) for group, _ in row.columns]
            if ranks and ranks != list(range(ranks[0], ranks[0] + len(ranks))):
                yield Wrong(at, "A group is left out between two others.", [g for g, _ in row.columns])
            if stars and (row.columns[-1][1] is not None or len(stars) > 1 or row.limit_min is not None):
                yield Wrong(at, "A star stands last, once, and only without a limit.", ", ".join(stars))
            if row.limit_min is None and not stars:
                yield Wrong(at, "A depth without a limit needs its highest group, a star.")
            if row.limit_min is not None and times and times[-1] != row.limit_min:
                yield Wrong(at, "The longest time is not the no-stop limit.", times[-1], str(row.limit_min))
            if before is not None:
                yield from _no_longer(at, row, before)
            before = row
    for depth in tables.no_stop_one_foot.keys() & tables.no_stop.keys():
        if tables.no_stop_one_foot[depth] != tables.no_stop[depth]:
            yield Wrong((NO_STOP_FOOT_CSV, depth), f"The row is not that of {NO_STOP_CSV}.", depth)


def _no_longer(at: Place, row: NoStopRow, shallower: NoStopRow) -> Iterator[Wrong]:
    if shallower.limit_min is not None and (row.limit_min is None or row.limit_min > shallower.limit_min):
        yield Wrong(at, "The limit is longer than that of the depth before.", row.limit_min or "")
    above = dict(shallower.columns)
    for group, minutes in row.columns:
        longest = above.get(group)
        if minutes is not None and longest is not None and minutes > longest:
            yield Wrong(
                at,
                f"Group {group} is reached later than at the depth before.",
                minutes,
                f"{longest} at most",
            )


def _residuals(tables: TableSet) -> Iterator[Wrong]:
    """A higher group is more time, a deeper row never more, and never less than the time that led to it."""
    for name, rows, limits in (
        (RESIDUAL_CSV, tables.residual, tables.no_stop),
        (RESIDUAL_FOOT_CSV, tables.residual_one_foot, tables.no_stop_one_foot),
    ):
        before: dict[str, int | None] = dict.fromkeys(tables.groups)
        for depth, cells in rows.items():
            at = (name, depth)
            sent = {g for g in tables.groups if name == RESIDUAL_CSV and (depth, g) in tables.sent_on}
            yield from _one_depth(at, cells, sent, tables)
            for group, minutes in cells.items():
                sentence = _against_shallower(group, minutes, before)
                if sentence:
                    yield Wrong(at, sentence, minutes or "")
            before = {g: cells.get(g, -1) for g in tables.groups if g not in sent} | {
                g: before.get(g) for g in sent
            }
            led = dict(limits[depth].columns) if depth in limits else {}
            for group, time in led.items():
                minutes = cells.get(group)
                if group in cells and time is not None and (minutes is None or minutes < time):
                    sentence = f"Group {group} has less than the time that leads to it."
                    yield Wrong(at, sentence, minutes or UNDETERMINED, f"{time} at least")
    for (depth, group), other in tables.sent_on.items():
        if other <= depth or tables.residual.get(other, {}).get(group) is None:
            yield Wrong((RESIDUAL_CSV, depth), f"Group {group} is sent to a row that does not answer.", other)
    for depth in tables.residual_one_foot.keys() & tables.residual.keys():
        if tables.residual_one_foot[depth] != tables.residual[depth]:
            yield Wrong((RESIDUAL_FOOT_CSV, depth), f"The row is not that of {RESIDUAL_CSV}.", depth)


def _against_shallower(group: str, minutes: int | None, before: Mapping[str, int | None]) -> str:
    """What is wrong with a residual time after that of the depth before (None: undetermined, -1: no dive)."""
    shallower = before[group]
    if shallower is None:
        return ""
    if shallower < 0:
        return f"Group {group} has a dive here and none at the depth before."
    if minutes is None:
        return f"Group {group} is undetermined below a depth where it is not."
    return f"Group {group} has more than at the depth before." if minutes > shallower else ""


def _one_depth(at: Place, cells: Residuals, sent: set[str], tables: TableSet) -> Iterator[Wrong]:
    highest, ended = 0, ""
    for group in tables.groups:
        if group in sent:
            continue
        if group not in cells:
            ended = ended or "none"
        elif ended == "none":
            yield Wrong(at, f"Group {group} has a dive and a lower group has none.")
        elif cells[group] is None:
            ended = ended or "undetermined"
        elif ended == "undetermined":
            yield Wrong(at, f"Group {group} is determined and a lower group is not.")
        else:
            minutes = cells[group] or 0
            if minutes <= highest:
                yield Wrong(
                    at, f"Group {group} has no more than the group below.", minutes, f"over {highest}"
                )
            highest = minutes


def _time_left(tables: TableSet, time_left: Mapping[tuple[int, str], int]) -> Iterator[Wrong]:
    """An adjusted limit is the bottom time that counts as the limit."""
    factor = tables.residual_method == FACTOR
    how = "limit over factor" if factor else "limit less residual time"
    for (depth, carried), minutes in time_left.items():
        limit, counted = tables.no_stop.get(depth), None
        if limit is not None and (factor or tables.residual.get(depth, {}).get(carried) is not None):
            counted = tables.counted(depth, carried)
        expected = None
        if counted is not None and limit is not None and limit.limit_min is not None:
            expected = counted.bottom_time_min(limit.limit_min)
        if minutes != expected:
            sentence = f"For {carried_words(carried)}: {how} is not the adjusted limit."
            yield Wrong((TIME_LEFT_CSV, depth), sentence, minutes, str(expected))


def _intervals(tables: TableSet) -> Iterator[Wrong]:
    """From the least on, one after another to the lowest; a higher group never falls sooner."""
    for group in tables.groups:
        if group not in tables.credit:
            yield Wrong((INTERVALS_CSV,), f"Group {group} has no intervals.", "", "each group's own")
            continue
        due = tables.same_dive_under_min
        ranks = [tables.rank_before(after) for _, _, after in tables.credit[group]]
        for start, end, after in tables.credit[group]:
            at = (INTERVALS_CSV, group, after)
            if end < start:
                yield Wrong(at, "The interval ends before it begins.", f"{start} to {end}")
            if start != due:
                word = "hole before" if start > due else "overlap with the one before"
                yield Wrong(at, f"The intervals of group {group} have a {word}.", start, str(due))
            due = end + 1
        if tables.residual_method == FACTOR:
            for (_, _, before), (_, _, after) in pairwise(tables.credit[group]):
                if hundredths(after) >= hundredths(before):
                    at = (INTERVALS_CSV, group, after)
                    yield Wrong(at, f"The factors of group {group} do not fall.", after, before)
        elif tables.residual_method == MINUTES and ranks != list(range(tables.rank(group), 0, -1)):
            at = (INTERVALS_CSV, group, tables.credit[group][0][2])
            words = " ".join(after for _, _, after in tables.credit[group])
            yield Wrong(at, f"Group {group} does not fall group by group.", words)
    for lower, higher in pairwise(g for g in tables.groups if g in tables.credit):
        for start, _, after in tables.credit[higher]:
            least = tables.minutes_to_group(lower, after)
            if start < least:
                sentence = f"Group {higher} falls to {after} sooner than group {lower}."
                yield Wrong((INTERVALS_CSV, higher, after), sentence, start, f"{least} at least")
        ends = [tables.credit[g][-1][1] for g in (lower, higher)]
        if ends[1] < ends[0]:
            at = (INTERVALS_CSV, higher, tables.credit[higher][-1][2])
            yield Wrong(at, f"Group {higher} is clean sooner than group {lower}.", ends[1])
    for group, cells in tables.credit.items():
        if cells[-1][1] >= tables.clean_without_group_min:
            sentence = f"Group {group} is clean later than a dive without a group."
            at, most = (INTERVALS_CSV, group, cells[-1][2]), tables.clean_without_group_min - 1
            yield Wrong(at, sentence, cells[-1][1], f"{most} at most")


ADDS_UP = "Stops and travel do not add up to the total ascent."


def _stops(tables: TableSet) -> Iterator[Wrong]:
    """Each row in itself: its first row, its first stop, stops without a gap, the sum."""
    grid = {
        d for pairs in tables.stops.values() for pair in pairs for row in pair if row for d, _ in row.stops
    }
    for depth, pairs in tables.stops.items():
        for row in (row for pair in pairs for row in pair if row):
            yield from _one_row(tables, row, grid)
        for air, oxygen in pairs:
            at: Place = (STOPS_CSV, depth, air.time_min, "air_o2")
            if oxygen is not None and _fellows(air) != _fellows(oxygen):
                yield Wrong(at, "Group, class, periods or deep stops are not those on air.")
            if oxygen is not None and sum(m for _, m in oxygen.stops) > sum(m for _, m in air.stops):
                yield Wrong(at, "Oxygen takes longer than air.")
        if depth not in tables.no_stop:
            continue
        limit = tables.no_stop[depth].limit_min
        longest = max((p[0].time_min for p in pairs if not p[0].stops), default=None)
        shortest = min((p[0].time_min for p in pairs if p[0].stops), default=None)
        if longest is not None and longest != limit:
            at = (STOPS_CSV, depth, longest, "air")
            yield Wrong(at, "The last time without stops is not the limit.", longest, str(limit))
        if limit is None or (shortest is not None and shortest <= limit):
            at = (STOPS_CSV, depth, pairs[0][0].time_min, "air")
            yield Wrong(at, "Stops begin within the no-stop limit.", shortest or "", f"over {limit}")


def _place(row: StopRow) -> Place:
    return STOPS_CSV, row.depth_fsw, row.time_min, "air_o2" if row.oxygen else "air"


def _fellows(row: StopRow) -> tuple[object, ...]:
    deep = tuple(stop for stop in row.stops if stop[0] not in OXYGEN_STOPS_FSW)
    return row.group, row.exposure, row.chamber_periods, deep


def _one_row(tables: TableSet, row: StopRow, grid: set[int]) -> Iterator[Wrong]:
    at = _place(row)
    first_s = row.time_to_first_stop_s
    if not row.stops:
        if first_s != row.ascent_s or row.ascent_s != tables.travel_s(row.depth_fsw, 0):
            yield Wrong(at, "The way up without stops is not depth over rate.", row.ascent_s)
        return
    first, last = row.stops[0][0], row.stops[-1][0]
    if [d for d, _ in row.stops] != sorted(
        (d for d in grid if last <= d <= first), reverse=True
    ) or last != min(grid):
        yield Wrong(at, "A stop is left out.", [d for d, _ in row.stops], "down to the last one")
    if any(minutes < 1 for _, minutes in row.stops):
        yield Wrong(at, "A stop is under a minute.", row.stops)
    if first_s != tables.travel_s(row.depth_fsw, first):
        yield Wrong(
            at,
            "Travel to the first stop is not way over rate.",
            first_s,
            str(tables.travel_s(row.depth_fsw, first)),
        )
    total = first_s + sum(m for _, m in row.stops) * 60 + tables.travel_s(last, 0) + _oxygen_s(row)
    if total != row.ascent_s:
        yield Wrong(at, ADDS_UP, row.ascent_s, str(total))
    if IN_CHAMBER in tables.ways_up and row.chamber_periods <= 0:
        yield Wrong(at, "A row with stops has no chamber periods.", row.chamber_periods, "0.5 or more")


def _oxygen_s(row: StopRow) -> int:
    """Seconds of a row on oxygen beyond stops and travel."""
    if not row.oxygen:
        return 0
    extra = SHIFT_S if row.stops[0][0] > max(OXYGEN_STOPS_FSW) else 0
    oxygen = sum(m for d, m in row.stops if d in OXYGEN_STOPS_FSW)
    while oxygen > NO_BREAK_UP_TO_MIN:
        extra += AIR_BREAK_S
        oxygen -= OXYGEN_PERIOD_MIN
    return extra


_MEASURES: tuple[tuple[str, Callable[[TableSet, StopRow], float]], ...] = (
    ("minutes of stops", lambda _, row: sum(m for _, m in row.stops)),
    ("total ascent", lambda _, row: row.ascent_s),
    ("group", lambda tables, row: tables.rank_after(row.group)),
    ("chamber periods", lambda _, row: row.chamber_periods),
)


def _longer_and_deeper(tables: TableSet) -> Iterator[Wrong]:
    """The next longer row, and the row of the next deeper depth for the same time, never give less."""
    depths = sorted(tables.stops)
    for place, depth in enumerate(depths):
        for side in (0, 1):
            rows = [row for pair in tables.stops[depth] if (row := pair[side]) is not None]
            for shorter, longer in pairwise(rows):
                yield from _less(tables, shorter, longer, "the row before")
            if place + 1 == len(depths):
                continue
            below = [row for pair in tables.stops[depths[place + 1]] if (row := pair[side]) is not None]
            for row in rows:
                entered = next((one for one in below if one.time_min >= row.time_min), None)
                if entered is not None:
                    where = f"{depth} fsw for {row.time_min} min"
                    yield from _less(tables, row, entered, where)


def _less(tables: TableSet, less: StopRow, more: StopRow, than: str) -> Iterator[Wrong]:
    for name, measure in _MEASURES:
        if measure(tables, more) < measure(tables, less):
            found = f"{more.depth_fsw}/{more.time_min}"
            yield Wrong(_place(more), f"The {name} is less than {than}.", found)


def _no_stop_group(tables: TableSet) -> Iterator[Wrong]:
    """A row of the table of stops that has none leaves the group of the no-stop table."""
    for depth, pairs in tables.stops.items():
        if depth not in tables.no_stop:
            continue
        own = dict(tables.no_stop[depth].columns)
        for air, _ in pairs:
            if not air.stops and (air.group is None or own.get(air.group) != air.time_min):
                yield Wrong(_place(air), "The group is not that of the no-stop table.", air.group)


def _altitude(tables: TableSet) -> Iterator[Wrong]:
    """Every thousand feet; higher never a lower group, nor a shorter wait."""
    if tables.altitude:
        if list(tables.arrival_group) != list(ALTITUDES_FT):
            yield Wrong(
                (ARRIVAL_CSV,), "The altitudes are not every 1,000 ft to 10,000.", list(tables.arrival_group)
            )
        for low, high in pairwise(tables.arrival_group):
            if tables.rank(tables.arrival_group[high]) < tables.rank(tables.arrival_group[low]):
                yield Wrong((ARRIVAL_CSV, high), "The group is lower than further down.", high)
    if tables.flight_waits:
        for group in tables.groups:
            if group not in tables.waits_before_altitude_min:
                yield Wrong((BEFORE_CSV,), f"Group {group} has no waits.")
        rows = [
            (g, tables.waits_before_altitude_min[g])
            for g in tables.groups
            if g in tables.waits_before_altitude_min
        ]
        for group, waits in rows:
            if list(waits.values()) != sorted(waits.values()):
                yield Wrong((BEFORE_CSV, group), "A higher altitude waits less.", list(waits.values()))
            if waits and max(waits.values()) > tables.clean_without_group_min:
                yield Wrong((BEFORE_CSV, group), "A wait is longer than that of a dive without a group.")
        for (_, less), (group, more) in pairwise(rows):
            if any(more[feet] < less[feet] for feet in less):
                yield Wrong((BEFORE_CSV, group), f"Group {group} waits less than a lower one.")
