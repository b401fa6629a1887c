"""A table set read from its folder: `set.toml` and CSV files, every fault with file and line.

Reading says what cannot be read; `planner.table_sets.soundness` says what cannot be true. The files, column
by column: docs/table-sets.md. Nothing in here decides how a dive is made.
"""

from __future__ import annotations

import csv
import hashlib
import io
import math
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from planner.errors import Fault
from planner.table_sets.table_set import (
    FACTOR,
    IN_CHAMBER,
    INTERVALS,
    MINUTES,
    MSW_TO_FSW,
    NO_STOP,
    ON_AIR,
    ON_OXYGEN,
    Head,
    NoStopRow,
    Residuals,
    StopRow,
    TableSet,
    hundredths,
)

HEAD = "set.toml"
NO_STOP_CSV, NO_STOP_FOOT_CSV = "no_stop.csv", "no_stop_one_foot.csv"
RESIDUAL_CSV, RESIDUAL_FOOT_CSV = "residual.csv", "residual_one_foot.csv"
INTERVALS_CSV, STOPS_CSV = "intervals.csv", "stops.csv"
ARRIVAL_CSV, BEFORE_CSV = "arrival_at_altitude.csv", "before_altitude.csv"
TIME_LEFT_CSV = "time_left.csv"
"""Adjusted no-stop limits, where a publisher prints them: kept to hold limits and residual times against."""

ALWAYS = (NO_STOP_CSV, INTERVALS_CSV)
LARGEST_FILE_BYTES = 2_000_000
BREATHINGS = {"air": False, "air_o2": True}
UNDETERMINED, NO_DIVE = "undetermined", "none"


def fault(
    file: str, line: int, sentence: str, found: object = "", allowed: str = "what the set prints"
) -> Fault:
    """A fault placed by file and line."""
    return Fault(f"{file}, line {line}", str(found), allowed, sentence)


@dataclass
class Reading:
    """What came out of a folder. ``tables`` None: it could not be read, and ``faults`` says why."""

    id: str
    head: Head | None = None
    tables: TableSet | None = None
    faults: list[Fault] = field(default_factory=list)
    lines: dict[tuple[Any, ...], int] = field(default_factory=dict)
    """Where each row stands: (file, key of the row) to its line."""
    time_left: dict[tuple[int, str], int] = field(default_factory=dict)
    printed_rows: dict[str, dict[str, int]] = field(default_factory=dict)
    """For each file its rows by their cells joined, to find those that the head names."""

    def tell(self, file: str, line: int, sentence: str, found: object = "", allowed: str = "") -> None:
        self.faults.append(fault(file, line, sentence, found, allowed or "what the set prints"))

    def line(self, file: str, *key: object) -> int:
        """The line of a row; 1 where it has none."""
        return self.lines.get((file, *key), 1)


def folder_files(folder: Path | Traversable) -> dict[str, bytes]:
    """The files of a set by name; OSError where the folder cannot be read."""
    return {
        part.name: part.read_bytes()
        for part in sorted(folder.iterdir(), key=lambda p: p.name)
        if part.is_file() and not part.name.startswith(".")
    }


def checksum(files: Mapping[str, bytes]) -> str:
    """SHA-256 over names and contents, in order of the names; line ends do not count."""
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(name.encode() + b"\0" + files[name].replace(b"\r\n", b"\n") + b"\0")
    return digest.hexdigest()


def read_files(id: str, files: Mapping[str, bytes]) -> Reading:
    reading = Reading(id)
    head = reading.head = _head(reading, files.get(HEAD))
    if head is None:
        return reading
    expected = _expected(head)
    for name in sorted(expected - files.keys()):
        reading.tell(name, 1, f"The set names itself to have {name}, which is missing.", "", "the file")
    known = {HEAD, *expected, *_may_be_there(head)}
    for name in sorted(files.keys() - known):
        reading.tell(name, 1, f"{name} is no file of this set.", name, ", ".join(sorted(known)))
    if reading.faults:
        return reading
    tables = _tables(reading, head, files)
    if not reading.faults:
        reading.tables = tables
    return reading


def _expected(head: Head) -> set[str]:
    return {
        *ALWAYS,
        *([RESIDUAL_CSV] if head.residual == MINUTES else []),
        *([STOPS_CSV] if set(head.ways_up) - {NO_STOP} else []),
        *([ARRIVAL_CSV] if head.altitude else []),
        *([BEFORE_CSV] if head.flight_waits else []),
    }


def _may_be_there(head: Head) -> tuple[str, ...]:
    return (
        NO_STOP_FOOT_CSV,
        *([RESIDUAL_FOOT_CSV] if head.residual == MINUTES else []),
        *([TIME_LEFT_CSV] if head.residual != INTERVALS else []),
    )


def _head(reading: Reading, content: bytes | None) -> Head | None:
    if content is None:
        reading.tell(HEAD, 1, "The folder has no set.toml.", "", "the file that names the set")
        return None
    try:
        text = content.decode("utf-8")
        head = Head.model_validate(tomllib.loads(text))
    except UnicodeDecodeError:
        reading.tell(HEAD, 1, "set.toml is not text in UTF-8.")
        return None
    except tomllib.TOMLDecodeError as wrong:
        at = re.search(r"at line (\d+)", str(wrong))
        reading.tell(HEAD, int(at[1]) if at else text.count("\n") + 1, f"set.toml is not TOML: {wrong}.")
        return None
    except ValidationError as wrong:
        for error in wrong.errors():
            key = str(error["loc"][0]) if error["loc"] else ""
            told = {"missing": f"set.toml does not say {key}.", "extra_forbidden": f"set.toml has no {key}."}
            found = "" if error["type"] == "missing" else error["input"]
            reading.tell(
                HEAD,
                line_of(text, key),
                told.get(error["type"], f"{key}: {error['msg']}."),
                found,
                error["msg"],
            )
        return None
    for wrong_sentence, key in _head_contradictions(head):
        reading.tell(HEAD, line_of(text, key), wrong_sentence, getattr(head, key))
    return None if reading.faults else head


def line_of(text: str, key: str) -> int:
    """The line of `set.toml` on which a key stands; the last one where it is missing."""
    lines = text.splitlines()
    pattern = re.compile(rf"^\s*(\[+\s*)?{re.escape(key)}\s*[=\].]")
    return next((n for n, line in enumerate(lines, start=1) if pattern.match(line)), max(1, len(lines)))


def _head_contradictions(head: Head) -> Iterator[tuple[str, str]]:
    if len(set(head.groups)) != len(head.groups):
        yield "A group stands twice.", "groups"
    if list(head.depth_grid) != sorted(set(head.depth_grid)):
        yield "The depths of the grid do not rise.", "depth_grid"
    if head.deepest_planned > head.depth_grid[-1]:
        yield "Dives would be planned past the last depth of the grid.", "deepest_planned"
    if NO_STOP not in head.ways_up or len(set(head.ways_up)) != len(head.ways_up):
        yield "The ways up name no-stop, and each way once.", "ways_up"
    if ON_AIR not in head.ways_up and set(head.ways_up) - {NO_STOP}:
        yield "Oxygen and the chamber stand on the rows for air.", "ways_up"
    with_stops = set(head.ways_up) - {NO_STOP}
    if with_stops and not head.planned_exposures:
        yield "A set with stops says which classes of exposure are planned.", "planned_exposures"
    for way_up, procedure in ((ON_OXYGEN, "oxygen_in_water"), (IN_CHAMBER, "chamber")):
        if (way_up in head.ways_up) != bool(getattr(head, procedure)):
            yield f"A set with {way_up}, and no other, says its {procedure}.", procedure
    if set(head.ways_up) & {ON_OXYGEN, IN_CHAMBER} and (head.units, head.ascent_per_min) != ("fsw", 30):
        yield "Oxygen and the chamber are laid out at 30 fsw a minute only.", "ascent_per_min"
    if head.altitude and head.residual != MINUTES:
        yield "Groups on arrival at altitude are read with residual minutes only.", "altitude"
    missing = {name.removesuffix(".csv") for name in _expected(head)} - head.tables.keys()
    if missing:
        yield f"How the publisher calls its table is not said: {', '.join(sorted(missing))}.", "tables"


class _CsvFile:
    """One CSV file: its columns held to what they must be, its cells read with their lines."""

    def __init__(
        self, reading: Reading, files: Mapping[str, bytes], name: str, columns: Sequence[str]
    ) -> None:
        self.reading, self.name = reading, name
        self.rows: list[tuple[int, dict[str, str]]] = []
        try:
            text = files[name].decode("utf-8-sig")
        except UnicodeDecodeError:
            self.tell(1, f"{name} is not text in UTF-8.")
            return
        source = csv.reader(io.StringIO(text, newline=""), strict=True)
        try:
            lines = [(source.line_num, cells) for cells in source]
        except csv.Error as wrong:
            self.tell(source.line_num, f"This is not CSV: {wrong}.")
            return
        head = [cell.strip() for cell in lines[0][1]] if lines else []
        if head != list(columns):
            self.tell(1, "The columns are not those of this table.", ",".join(head), ",".join(columns))
            return
        for number, cells in lines[1:]:
            if len(cells) != len(columns):
                self.tell(
                    number, "The row does not have a cell for each column.", len(cells), str(len(columns))
                )
            else:
                self.rows.append((number, dict(zip(columns, (c.strip() for c in cells), strict=True))))
        if not self.rows and not reading.faults:
            self.tell(1, f"{name} has no rows.")
        reading.printed_rows[name] = {", ".join(row.values()): number for number, row in self.rows}

    def tell(self, line: int, sentence: str, found: object = "", allowed: str = "") -> None:
        self.reading.tell(self.name, line, sentence, found, allowed)

    def keyed(self, line: int, *key: object) -> None:
        """Keep where a row stands; one that stands twice is a fault."""
        if (self.name, *key) in self.reading.lines:
            before = self.reading.lines[self.name, *key]
            self.tell(line, f"The row stands twice; the first is on line {before}.", ", ".join(map(str, key)))
        self.reading.lines.setdefault((self.name, *key), line)

    def group(self, line: int, head: Head, group: str) -> str:
        """A group of the set, told where it is none."""
        if group not in head.groups:
            self.tell(line, "There is no such group.", group, ", ".join(head.groups))
        return group

    def whole(self, line: int, row: Mapping[str, str], column: str) -> int:
        """A whole number, not negative; -1 after a fault."""
        cell = row[column]
        if cell.isascii() and cell.isdigit() and len(cell) <= 6:
            return int(cell)
        self.tell(line, f"{column} is no whole number.", cell, "a whole number")
        return -1


def _tables(reading: Reading, head: Head, files: Mapping[str, bytes]) -> TableSet:
    depth = f"depth_{head.units}"
    factor = MSW_TO_FSW if head.units == "msw" else 1.0
    printed_msw: dict[int, int] = {}

    def row_fsw(printed: int) -> int:
        """A row's depth, a metric one rounded down: the next fsw goes to the next row."""
        own = math.floor(printed * factor + 1e-9)
        printed_msw[own] = printed
        return own

    def stop_fsw(printed: int) -> int:
        """A stop's depth, a metric one rounded up."""
        own = math.ceil(printed * factor - 1e-9)
        printed_msw[own] = printed
        return own

    def no_stop(name: str) -> dict[int, NoStopRow]:
        found: dict[int, NoStopRow] = {}
        table = _CsvFile(reading, files, name, (depth, "no_stop_limit_min", *head.groups))
        for line, row in table.rows:
            own = row_fsw(table.whole(line, row, depth))
            table.keyed(line, own)
            limit = table.whole(line, row, "no_stop_limit_min") if row["no_stop_limit_min"] else None
            columns = tuple(
                (g, None if row[g] == "*" else table.whole(line, row, g)) for g in head.groups if row[g]
            )
            found[own] = NoStopRow(own, limit, columns)
        return found

    def residual(name: str) -> tuple[dict[int, Residuals], dict[tuple[int, str], int]]:
        found: dict[int, Residuals] = {}
        sent_on: dict[tuple[int, str], int] = {}
        table = _CsvFile(reading, files, name, (depth, *head.groups))
        for line, row in table.rows:
            own = row_fsw(table.whole(line, row, depth))
            table.keyed(line, own)
            cells: dict[str, int | None] = {}
            for group in head.groups:
                cell = row[group]
                elsewhere = re.fullmatch(rf"use_(\d{{1,3}})_{head.units}", cell)
                if elsewhere:
                    sent_on[own, group] = row_fsw(int(elsewhere[1]))
                elif cell != NO_DIVE:
                    cells[group] = None if cell == UNDETERMINED else table.whole(line, row, group)
            found[own] = cells
        return found, sent_on

    shallow = NO_STOP_FOOT_CSV in files
    limits = no_stop(NO_STOP_CSV)
    residuals, sent_on = residual(RESIDUAL_CSV) if head.residual == MINUTES else ({}, {})
    credit = CREDIT[head.residual](reading, head, files)
    if TIME_LEFT_CSV in files:
        factors = {carried for cells in credit.values() for *_, carried in cells}
        columns = head.groups if head.residual == MINUTES else tuple(sorted(factors, key=hundredths))
        _time_left(_CsvFile(reading, files, TIME_LEFT_CSV, (depth, *columns)), reading, head, row_fsw)
    if head.residual == MINUTES and shallow != (RESIDUAL_FOOT_CSV in files):
        reading.tell(
            NO_STOP_FOOT_CSV if shallow else RESIDUAL_FOOT_CSV, 1, "One-foot tables come both or not at all."
        )
    return TableSet(
        id=reading.id,
        head=head,
        units=head.units,
        checksum=checksum(files),
        called=dict(head.tables),
        ways_up=frozenset(head.ways_up),
        altitude=head.altitude,
        flight_waits=head.flight_waits,
        groups=head.groups,
        residual_method=head.residual,
        ascent_per_min=head.ascent_per_min,
        descent_fsw_per_min_at_most=math.floor(head.descent_per_min_at_most * factor),
        deepest_planned_fsw=row_fsw(head.deepest_planned),
        same_dive_under_min=head.same_dive_under_min,
        clean_without_group_min=head.clean_without_group_min,
        depths=tuple(limits),
        no_stop=limits,
        residual=residuals,
        sent_on=sent_on,
        credit=credit,
        no_stop_one_foot=no_stop(NO_STOP_FOOT_CSV) if shallow else {},
        residual_one_foot=residual(RESIDUAL_FOOT_CSV)[0] if RESIDUAL_FOOT_CSV in files else {},
        stops=_stops(reading, head, files, row_fsw, stop_fsw) if STOPS_CSV in files else {},
        printed_msw=printed_msw if head.units == "msw" else {},
        arrival_group=_arrival(reading, head, files) if head.altitude else {},
        waits_before_altitude_min=_waits(reading, head, files) if head.flight_waits else {},
    )


def _time_left(table: _CsvFile, reading: Reading, head: Head, row_fsw: Callable[[int], int]) -> None:
    for line, row in table.rows:
        own = row_fsw(table.whole(line, row, f"depth_{head.units}"))
        table.keyed(line, own)
        for carried, cell in row.items():
            if cell and carried != f"depth_{head.units}":
                reading.time_left[own, carried] = table.whole(line, row, carried)


Credit = dict[str, tuple[tuple[int, int, str], ...]]


def _credit(reading: Reading, head: Head, files: Mapping[str, bytes]) -> Credit:
    """Group or factor left after each interval."""
    left = "group_after_interval" if head.residual == MINUTES else "factor_after_interval"
    columns = ("group_at_surfacing", left, "interval_from_min", "interval_to_min")
    table = _CsvFile(reading, files, INTERVALS_CSV, columns)
    found: dict[str, list[tuple[int, int, str]]] = {}
    for line, row in table.rows:
        before, after = row[columns[0]], row[columns[1]]
        table.group(line, head, before)
        if head.residual == MINUTES:
            table.group(line, head, after)
        elif not re.fullmatch(r"[1-9](\.\d{1,2})?", after) or float(after) <= 1:
            table.tell(line, "A factor is over 1, in hundredths at most.", after, "1.1, 1.25 and so on")
            continue
        else:
            after = f"{float(after):g}"
        table.keyed(line, before, after)
        cell = (table.whole(line, row, columns[2]), table.whole(line, row, columns[3]), after)
        found.setdefault(before, []).append(cell)
    return {group: tuple(sorted(cells)) for group, cells in found.items()}


def _least_intervals(reading: Reading, head: Head, files: Mapping[str, bytes]) -> Credit:
    """Until the least interval is over the group stays; after it the diver is clean."""
    columns = ("group_at_surfacing", "least_interval_min")
    table = _CsvFile(reading, files, INTERVALS_CSV, columns)
    found: Credit = {}
    for line, row in table.rows:
        group = table.group(line, head, row[columns[0]])
        table.keyed(line, group, group)
        found[group] = ((head.same_dive_under_min, table.whole(line, row, columns[1]) - 1, group),)
    return found


#: How `intervals.csv` is read, for each way to count repeats.
CREDIT: Mapping[str, Callable[[Reading, Head, Mapping[str, bytes]], Credit]] = {
    MINUTES: _credit,
    FACTOR: _credit,
    INTERVALS: _least_intervals,
}


def _stop_columns(reading: Reading, head: Head, files: Mapping[str, bytes]) -> list[tuple[int, str]]:
    """Depth as printed and column of each stop, from the file's own first line, deepest first."""
    first = files[STOPS_CSV].decode("utf-8-sig", "replace").split("\n", 1)[0].strip()
    pattern = re.compile(rf"stop_(\d{{1,3}})_{head.units}_min")
    return [
        (int(found[1]), found[0]) for cell in first.split(",") if (found := pattern.fullmatch(cell.strip()))
    ]


def _stops(
    reading: Reading,
    head: Head,
    files: Mapping[str, bytes],
    row_fsw: Callable[[int], int],
    stop_fsw: Callable[[int], int],
) -> dict[int, tuple[tuple[StopRow, StopRow | None], ...]]:
    depth = f"depth_{head.units}"
    at = _stop_columns(reading, head, files)
    after = ("total_ascent_s", "chamber_o2_periods", "repetitive_group", "exposure")
    columns = (
        depth,
        "bottom_time_min",
        "breathing",
        "time_to_first_stop_s",
        *(name for _, name in at),
        *after,
    )
    table = _CsvFile(reading, files, STOPS_CSV, columns)
    rows: dict[tuple[int, int], dict[bool, StopRow]] = {}
    for line, row in table.rows:
        own, minutes = row_fsw(table.whole(line, row, depth)), table.whole(line, row, "bottom_time_min")
        breathing = row["breathing"]
        if breathing not in BREATHINGS or (breathing == "air_o2" and ON_OXYGEN not in head.ways_up):
            table.tell(line, "The set has no such breathing.", breathing, ", ".join(BREATHINGS))
            continue
        table.keyed(line, own, minutes, breathing)
        group = row["repetitive_group"]
        if group:
            table.group(line, head, group)
        periods = row["chamber_o2_periods"] or "0"
        if not re.fullmatch(r"\d{1,2}(\.[05])?", periods):
            table.tell(line, "Chamber periods come in halves.", periods, "0, 0.5, 1.0 and so on")
            periods = "0"
        rows.setdefault((own, minutes), {})[BREATHINGS[breathing]] = StopRow(
            own,
            minutes,
            BREATHINGS[breathing],
            table.whole(line, row, "time_to_first_stop_s"),
            tuple((stop_fsw(d), table.whole(line, row, name)) for d, name in at if row[name]),
            table.whole(line, row, "total_ascent_s"),
            float(periods),
            group or None,
            row["exposure"] not in head.planned_exposures,
            row["exposure"],
        )
    both = ON_OXYGEN in head.ways_up
    by_depth: dict[int, list[tuple[StopRow, StopRow | None]]] = {}
    for (own, minutes), pair in sorted(rows.items()):
        if len(pair) != 1 + both:
            line = reading.line(STOPS_CSV, own, minutes, "air" if False in pair else "air_o2")
            table.tell(line, "The row has no fellow for the other breathing.", f"{own} / {minutes}")
        elif False in pair:
            by_depth.setdefault(own, []).append((pair[False], pair.get(True)))
    return {own: tuple(pairs) for own, pairs in by_depth.items()}


def _arrival(reading: Reading, head: Head, files: Mapping[str, bytes]) -> dict[int, str]:
    table = _CsvFile(reading, files, ARRIVAL_CSV, ("altitude_ft", "repetitive_group"))
    found: dict[int, str] = {}
    for line, row in table.rows:
        feet = table.whole(line, row, "altitude_ft")
        table.keyed(line, feet)
        found[feet] = table.group(line, head, row["repetitive_group"])
    return found


ALTITUDES_FT = range(1000, 10_001, 1000)


def _waits(reading: Reading, head: Head, files: Mapping[str, bytes]) -> dict[str, dict[int, int]]:
    table = _CsvFile(
        reading, files, BEFORE_CSV, ("repetitive_group", *(f"{feet}_ft" for feet in ALTITUDES_FT))
    )
    found: dict[str, dict[int, int]] = {}
    for line, row in table.rows:
        group = table.group(line, head, row["repetitive_group"])
        table.keyed(line, group)
        found[group] = {feet: table.whole(line, row, f"{feet}_ft") for feet in ALTITUDES_FT}
    return found
