"""The published tables as they stand in `data/`, read once.

All of them are tables of the U.S. Navy Diving Manual, Revision 7 (SS521-AG-PRO-010, 1 December 2016), a
public document of the U.S. Government. Each loader names its table. Nothing in here rounds or decides.
"""

from __future__ import annotations

import csv
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import NamedTuple

from planner.errors import TableRefusal
from planner.job.bounds import GROUPS

GROUP_RANK: MappingProxyType[str | None, int] = MappingProxyType(
    {None: 0, **{group: rank for rank, group in enumerate(GROUPS, start=1)}}
)
"""Rank of a group before a dive: 0 for a clean diver, 16 for Z."""

NO_GROUP_RANK = len(GROUPS) + 1
"""Rank of a dive for which table 9-9 prints no group: worse than Z."""

ALLOWED_CLASSES = frozenset({"normal", "surdo2_recommended"})
"""Classes of table 9-9 that may be planned; every other class is an exceptional exposure."""


def rank_after(group_after: str | None) -> int:
    """Rank of the group that a dive leaves; None there means that none is printed, the worst."""
    return NO_GROUP_RANK if group_after is None else GROUP_RANK[group_after]


def next_deeper(depths: Sequence[int], depth_fsw: int) -> int:
    """Exact or next deeper of the depths of a table. TableRefusal past the last one."""
    index = bisect_left(depths, depth_fsw)
    if index == len(depths):
        raise TableRefusal(f"The air tables end at {depths[-1]} fsw; {depth_fsw} fsw is deeper.")
    return depths[index]


class NoStopRow(NamedTuple):
    """One depth of table 9-7 or 2A-1. ``limit_min`` None: the no-stop time is unlimited."""

    depth_fsw: int
    limit_min: int | None
    columns: tuple[tuple[str, int | None], ...]
    """Group and its longest bottom time, in order; None stands for ``*``, the highest group reachable."""


class StopRow(NamedTuple):
    """One row of table 9-9. Seconds for times of travel, minutes for stops."""

    depth_fsw: int
    time_min: int
    oxygen: bool
    """False: air all the way. True: air to 40 fsw, oxygen at 30 and 20 fsw."""
    time_to_first_stop_s: int
    stops: tuple[tuple[int, int], ...]
    """Depth in fsw and minutes, deepest first."""
    ascent_s: int
    chamber_periods: float
    group: str | None
    """None: no group is printed."""
    exposure: str

    @property
    def exceptional(self) -> bool:
        return self.exposure not in ALLOWED_CLASSES


Residuals = dict[str, int | None]
"""Residual nitrogen time in minutes for each group of one depth; None: undetermined."""


@dataclass(frozen=True)
class Tables:
    """Every table that the program looks things up in."""

    depths: tuple[int, ...]
    """Depths of tables 9-7 and 9-8, in order; from 30 fsw on those of table 9-9 too."""
    no_stop: dict[int, NoStopRow]
    no_stop_one_foot: dict[int, NoStopRow]
    residual: dict[int, Residuals]
    residual_one_foot: dict[int, Residuals]
    use_30_fsw: frozenset[tuple[int, str]]
    """Cells of table 9-8 that send the reader to the 30 fsw row (depth, group)."""
    stops: dict[int, tuple[tuple[StopRow, StopRow], ...]]
    """Table 9-9: for each depth the rows in order of bottom time, each as (air, air and oxygen)."""
    credit: dict[str, tuple[tuple[int, int, str], ...]]
    """Table 9-8, upper part: for each group at surfacing (from, to, group at the end), minutes."""
    arrival_group: dict[int, str]
    wait_before_altitude_min: dict[str, dict[int, int]]


def _rows(name: str) -> Iterator[dict[str, str]]:
    text = resources.files("planner.tables").joinpath("data", name).read_text(encoding="ascii")
    return iter(csv.DictReader(text.splitlines()))


def _no_stop(name: str) -> dict[int, NoStopRow]:
    """Table 9-7, and 2A-1 in one-foot steps."""
    found = {}
    for row in _rows(name):
        depth = int(row["depth_fsw"])
        limit = int(row["no_stop_limit_min"]) if row["no_stop_limit_min"] else None
        columns = tuple((g, None if row[g] == "*" else int(row[g])) for g in GROUPS if row[g])
        found[depth] = NoStopRow(depth, limit, columns)
    return found


def _residual(name: str) -> tuple[dict[int, Residuals], frozenset[tuple[int, str]]]:
    """Table 9-8, lower part, and 2A-2 in one-foot steps."""
    found: dict[int, Residuals] = {}
    sent_on = set()
    for row in _rows(name):
        depth = int(row["depth_fsw"])
        cells: Residuals = {}
        for group in GROUPS:
            if row[group] == "use_30_fsw":
                sent_on.add((depth, group))
            else:
                cells[group] = None if row[group] == "undetermined" else int(row[group])
        found[depth] = cells
    return found, frozenset(sent_on)


def _stops() -> dict[int, tuple[tuple[StopRow, StopRow], ...]]:
    """Table 9-9."""
    rows: dict[tuple[int, int], dict[bool, StopRow]] = {}
    columns = [(depth, f"stop_{depth}_fsw_min") for depth in range(130, 10, -10)]
    for row in _rows("air_decompression.csv"):
        oxygen = row["breathing"] == "air_o2"
        stop_row = StopRow(
            int(row["depth_fsw"]),
            int(row["bottom_time_min"]),
            oxygen,
            int(row["time_to_first_stop_s"]),
            tuple((depth, int(row[name])) for depth, name in columns if row[name]),
            int(row["total_ascent_s"]),
            float(row["chamber_o2_periods"]),
            row["repetitive_group"] or None,
            row["exposure"],
        )
        rows.setdefault((stop_row.depth_fsw, stop_row.time_min), {})[oxygen] = stop_row
    by_depth: dict[int, list[tuple[StopRow, StopRow]]] = {}
    for (depth, _), pair in sorted(rows.items()):
        by_depth.setdefault(depth, []).append((pair[False], pair[True]))
    return {depth: tuple(pairs) for depth, pairs in by_depth.items()}


def _credit() -> dict[str, tuple[tuple[int, int, str], ...]]:
    """Table 9-8, upper part."""
    found: dict[str, list[tuple[int, int, str]]] = {}
    for row in _rows("surface_interval_credit.csv"):
        cell = (int(row["interval_from_min"]), int(row["interval_to_min"]), row["group_after_interval"])
        found.setdefault(row["group_at_surfacing"], []).append(cell)
    return {group: tuple(sorted(cells)) for group, cells in found.items()}


def _waits() -> dict[str, dict[int, int]]:
    """Table 9-6."""
    return {
        row["repetitive_group"]: {
            int(name.removesuffix("_ft")): int(cell) for name, cell in row.items() if name.endswith("_ft")
        }
        for row in _rows("surface_interval_before_altitude.csv")
    }


@cache
def published() -> Tables:
    """The tables, read from the package's data on the first call and kept."""
    residual, sent_on = _residual("residual_nitrogen.csv")
    residual_one_foot, _ = _residual("residual_nitrogen_shallow.csv")
    no_stop = _no_stop("no_decompression.csv")
    return Tables(
        depths=tuple(no_stop),
        no_stop=no_stop,
        no_stop_one_foot=_no_stop("no_decompression_shallow.csv"),
        residual=residual,
        residual_one_foot=residual_one_foot,
        use_30_fsw=sent_on,
        stops=_stops(),
        credit=_credit(),
        # Table 9-5.
        arrival_group={
            int(r["altitude_ft"]): r["repetitive_group"] for r in _rows("altitude_arrival_group.csv")
        },
        wait_before_altitude_min=_waits(),
    )
