"""A set of decompression tables: what it prints, what it lacks, and every look-up that is reading alone.

A set is a folder (`planner.table_sets.folder`); its rows stand here as they are printed. Nothing is borrowed
from another set: what this one lacks is refused with its name.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from planner.errors import TableRefusal

NO_STOP = "no-stop"
ON_AIR = "air"
ON_OXYGEN = "air and oxygen"
IN_CHAMBER = "surface decompression"
WAYS_UP = (NO_STOP, ON_AIR, ON_OXYGEN, IN_CHAMBER)

MINUTES, FACTOR, INTERVALS = "minutes by group and depth", "factor on bottom time", "intervals"
"""How a set counts a repetitive dive: residual minutes are added to its bottom time; its bottom time is
multiplied by a factor that falls with the interval; or there is none until a least interval is over."""

MSW_TO_FSW = 33.08 / 10.13
"""Feet of seawater in a metre of seawater: 1 fsw = 1/33.08 atm, 1 msw = 1/10.13 atm (NOAA Diving Manual)."""

FLIGHT_ALTITUDE_FT = 8000
"""Cabin of a commercial flight: the column for it in a table of waits before altitude."""

SEA_LEVEL_UP_TO_FT = 300
"""Altitudes up to here are dived as sea level (U.S. Navy Diving Manual, altitude chapter)."""

GROUPS_COUNT_MIN = 24 * 60
"""A wait goes by the highest group of that many minutes before the last dive's end (the same manual, table
9-6, note 1)."""


_Text = Annotated[str, Field(min_length=1, max_length=400)]
_Minutes = Annotated[int, Field(ge=0, le=10_080)]


class AsPrinted(BaseModel):
    """A fault of the print itself, kept as printed: the row by its first cells, and what is wrong with it."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    file: _Text
    row: _Text
    why: _Text


class Head(BaseModel):
    """`set.toml`: what the set is and how it is read."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    name: _Text
    edition: _Text
    publisher: _Text
    last_updated: date
    transcribed_by: _Text
    checked_by: _Text
    notes: Annotated[str, Field(max_length=4000)] = ""
    units: Literal["fsw", "msw"]
    depth_grid: Annotated[tuple[Annotated[int, Field(ge=1, le=400)], ...], Field(min_length=1)]
    deepest_planned: Annotated[int, Field(ge=1, le=400)]
    depth_rounding: Literal["next deeper"]
    time_rounding: Literal["next longer"]
    ascent_per_min: Annotated[float, Field(gt=0, le=100)]
    descent_per_min_at_most: Annotated[int, Field(ge=1, le=200)]
    groups: Annotated[tuple[Annotated[str, Field(pattern=r"^[A-Z]$")], ...], Field(min_length=1)]
    same_dive_under_min: Annotated[int, Field(ge=1, le=1440)]
    clean_without_group_min: _Minutes
    residual: Literal["minutes by group and depth", "factor on bottom time", "intervals"]
    ways_up: Annotated[
        tuple[Literal["no-stop", "air", "air and oxygen", "surface decompression"], ...], Field(min_length=1)
    ]
    oxygen_in_water: Literal["at 30 and 20 fsw, 5 min of air after every 30"] | None = None
    chamber: Literal["50 and 40 fsw, 5 min from 40 fsw, periods of 30 min"] | None = None
    """The procedures that `planner.tables` lays out: a set with these ways up says that they are its own too,
    so that none is borrowed."""
    altitude: bool
    flight_waits: bool
    planned_exposures: tuple[str, ...] = ()
    tables: Mapping[str, str]
    as_printed: tuple[AsPrinted, ...] = ()


class NoStopRow(NamedTuple):
    """One depth of the no-stop table. ``limit_min`` None: the no-stop time is unlimited."""

    depth_fsw: int
    limit_min: int | None
    columns: tuple[tuple[str, int | None], ...]
    """Group and its longest bottom time, in order; None stands for ``*``, the highest group reachable."""


class StopRow(NamedTuple):
    """One row of the table of stops. Seconds for times of travel, minutes for stops."""

    depth_fsw: int
    time_min: int
    oxygen: bool
    """False: air all the way. True: oxygen at the stops that the set gives for it."""
    time_to_first_stop_s: int
    stops: tuple[tuple[int, int], ...]
    """Depth in fsw and minutes, deepest first."""
    ascent_s: int
    chamber_periods: float
    group: str | None
    """None: no group is printed."""
    exceptional: bool
    """A class of exposure that is never planned."""
    exposure: str


class Counted(NamedTuple):
    """How a bottom time counts in the tables for what a diver carries: minutes added, hundredths of it."""

    added_min: int = 0
    hundredths: int = 100

    def equivalent_min(self, bottom_time_min: int) -> int:
        """Equivalent single dive time, a part of a minute rounded up."""
        return self.added_min - (-bottom_time_min * self.hundredths // 100)

    def bottom_time_min(self, equivalent_min: int) -> int:
        """The longest bottom time that counts as no more than that; not above 0: none does."""
        return (equivalent_min - self.added_min) * 100 // self.hundredths


Residuals = Mapping[str, int | None]
"""Residual nitrogen time in minutes for each group of one depth. None: undetermined, the dive has no limit
and the group stays. A group that is missing: the set prints no dive for it at that depth."""


class FlightWait(NamedTuple):
    """A wait before going higher, from a diver's dives. Minutes on one clock, whichever the dives are on."""

    ended_min: int
    """End of the last dive."""
    group: str | None
    """The group that decides; None: none printed, the longest wait."""
    until_min: int


def table_altitude_ft(altitude_ft: int) -> int:
    """The altitude to work with: 0 up to 300 ft, else the next full 1,000 ft.

    The manual leaves some dives between 300 and 1,000 ft uncorrected; here all of them are corrected.

    Raises
    ------
    TableRefusal
        Below sea level or above 10,000 ft, where the tables end.
    """
    if not 0 <= altitude_ft <= 10_000:
        raise TableRefusal(
            f"The altitude tables run from 0 to 10,000 ft; {altitude_ft:,} ft is outside them."
        )
    return 0 if altitude_ft <= SEA_LEVEL_UP_TO_FT else math.ceil(altitude_ft / 1000) * 1000


@dataclass(frozen=True, eq=False)
class TableSet:
    """One set, whole. Minutes; depths in fsw, a metric set's rows rounded to the safe side.

    Two are the same only where they are one object: `planner.table_sets.table_set` keeps one for each id.
    """

    id: str
    head: Head
    """What the set says of itself."""
    units: str
    checksum: str
    """SHA-256 of the folder's files, hexadecimal."""
    called: Mapping[str, str]
    """How the publisher calls each table, by its file: ``no_stop``: ``9-7``."""
    ways_up: frozenset[str]
    altitude: bool
    flight_waits: bool
    groups: tuple[str, ...]
    """Repetitive groups from the least nitrogen to the most."""
    residual_method: str
    """`MINUTES`, `FACTOR` or `INTERVALS`."""
    ascent_per_min: float
    """In the set's own unit."""
    descent_fsw_per_min_at_most: int
    deepest_planned_fsw: int
    same_dive_under_min: int
    """A surface interval shorter than this does not begin a new dive."""
    clean_without_group_min: int
    """Minutes until a diver counts as clean after a dive for which no group is printed."""
    depths: tuple[int, ...]
    no_stop: Mapping[int, NoStopRow]
    residual: Mapping[int, Residuals]
    """Empty where repeats are counted another way."""
    sent_on: Mapping[tuple[int, str], int]
    """Cells of the residual times that send the reader to a deeper row: (depth, group) to that depth."""
    credit: Mapping[str, tuple[tuple[int, int, str], ...]]
    """For each group at surfacing (from, to, what is carried at the end of the interval), minutes."""
    no_stop_one_foot: Mapping[int, NoStopRow] = field(default_factory=dict)
    residual_one_foot: Mapping[int, Residuals] = field(default_factory=dict)
    stops: Mapping[int, tuple[tuple[StopRow, StopRow | None], ...]] = field(default_factory=dict)
    """For each depth the rows in order of bottom time, each as (air, air and oxygen)."""
    printed_msw: Mapping[int, int] = field(default_factory=dict)
    """What a metric set prints for a depth of a row or a stop in fsw: a row is rounded down, a stop up."""
    arrival_group: Mapping[int, str] = field(default_factory=dict)
    waits_before_altitude_min: Mapping[str, Mapping[int, int]] = field(default_factory=dict)

    def __repr__(self) -> str:
        return f"<tables {self.id}>"

    @property
    def title(self) -> str:
        """``U.S. Navy Diving Manual, Revision 7``: what every sheet prints."""
        return f"{self.head.name}, {self.head.edition}"

    @property
    def mark(self) -> str:
        """The first eight digits of the checksum: enough to tell two copies apart."""
        return self.checksum[:8]

    @property
    def printed(self) -> str:
        """Title and checksum, for the foot of a sheet."""
        return f"{self.title}, checksum {self.mark}"

    @cached_property
    def _ranks(self) -> dict[str | None, int]:
        return {None: 0, **{group: rank for rank, group in enumerate(self.groups, start=1)}}

    def rank(self, group: str | None) -> int:
        """Rank of a group; 0 for a clean diver."""
        return self._ranks[group]

    @cached_property
    def carried(self) -> tuple[str, ...]:
        """What a diver may carry into a dive, least first: the groups, or the factors (``1.3``)."""
        if self.residual_method != FACTOR:
            return self.groups
        return tuple(sorted({c for cells in self.credit.values() for *_, c in cells}, key=hundredths))

    @cached_property
    def _carried_ranks(self) -> dict[str | None, int]:
        return {None: 0, **{one: rank for rank, one in enumerate(self.carried, start=1)}}

    def rank_before(self, carried: str | None) -> int:
        """Rank of what is carried into a dive; 0 for a clean diver."""
        return self._carried_ranks[carried]

    def rank_after(self, group_after: str | None) -> int:
        """Rank of the group that a dive leaves; None there means that none is printed, the worst."""
        return len(self.groups) + 1 if group_after is None else self._ranks[group_after]

    def known_group(self, group: str) -> str:
        """The group itself. TableRefusal when the set has no such group."""
        if group is None or group not in self._ranks:
            raise TableRefusal(
                f"There is no repetitive group {group!r}: the tables have {self.groups_words}."
            )
        return group

    def known_carried(self, carried: str) -> str:
        """What is carried itself. TableRefusal when the set counts no such group or factor."""
        if self.residual_method != FACTOR:
            return self.known_group(carried)
        if carried not in self._carried_ranks:
            raise TableRefusal(
                f"There is no factor {carried!r}: {self.title} has {', '.join(self.carried)}. A group goes "
                "with the surface interval since it."
            )
        return carried

    def counted(self, row_fsw: int, carried: str | None, *, one_foot: bool = False) -> Counted | None:
        """How a bottom time counts at a row for what a diver carries: the one place that knows the method.

        None where the table says *undetermined*.

        Raises
        ------
        TableRefusal
            No dive is printed for the group there, or none is made within the least interval.
        """
        if carried is None:
            return Counted()
        self.known_carried(carried)
        if self.residual_method == FACTOR:
            return Counted(hundredths=hundredths(carried))
        if self.residual_method == INTERVALS:
            raise TableRefusal(self.why_no_dive(carried))
        cells = (self.residual_one_foot if one_foot else self.residual)[row_fsw]
        if carried not in cells:
            raise TableRefusal(self.no_dive(row_fsw, carried))
        minutes = cells[carried]
        return None if minutes is None else Counted(minutes)

    def least_group_after(self, carried: str | None) -> str | None:
        """The lowest group that a dive can leave to a diver who carries that; None: any.

        Residual minutes see to it themselves. A factor does not, so no dive leaves a group from which less
        would be carried than was brought into it (own reading, on the safe side).
        """
        if carried is None or self.residual_method != FACTOR:
            return None
        least = hundredths(carried)
        return next(g for g in self.groups if hundredths(self.credit[g][0][2]) >= least)

    def no_dive_min(self, group_after: str | None) -> int:
        """Minutes on the surface before which no dive is made at all; 0 where a repetitive one may be."""
        if group_after is None or self.residual_method == INTERVALS:
            return self.minutes_until_clean(group_after)
        return 0

    def why_no_dive(self, group_after: str | None) -> str:
        """The sentence for a dive within `no_dive_min`."""
        if group_after is None:
            return "The tables print no group for the dive before, so no dive until clean."
        least = self.minutes_until_clean(group_after)
        return (
            f"{self.title} allows no other dive within {least // 60}:{least % 60:02} of one that leaves "
            f"group {group_after} ({table_words(self.called['intervals'])})."
        )

    @property
    def groups_words(self) -> str:
        """``A to O, and Z``."""
        runs: list[list[str]] = []
        for group in self.groups:
            if runs and len(group) == 1 and ord(group) == ord(runs[-1][-1]) + 1:
                runs[-1].append(group)
            else:
                runs.append([group])
        words = [run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]
        return ", and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)

    def needs(self, way_up: str) -> None:
        """TableRefusal, by name, where the set has no rows for a way up."""
        if way_up not in self.ways_up:
            raise TableRefusal(self.lacks(way_up))

    def lacks(self, way_up: str) -> str:
        """The sentence that says so."""
        rows = {ON_AIR: "stops in the water", ON_OXYGEN: "oxygen in the water"}.get(way_up, way_up)
        return f"{self.title} has no rows for {rows}."

    def next_deeper(self, depth_fsw: int) -> int:
        """Exact or next deeper of the depths. TableRefusal past the last one."""
        index = bisect_left(self.depths, depth_fsw)
        if index == len(self.depths):
            raise TableRefusal(f"The air tables end at {self.depths[-1]} fsw; {depth_fsw} fsw is deeper.")
        return self.depths[index]

    def no_stop_limit(self, depth_fsw: int) -> int | None:
        """No-stop limit in minutes at the exact or next deeper row; None: unlimited.

        Raises
        ------
        TableRefusal
            Depth not above 0, or past the last row.
        """
        return self.no_stop[self.next_deeper(positive_depth(depth_fsw))].limit_min

    def residual_nitrogen(self, depth_fsw: int, group: str) -> int | None:
        """Residual nitrogen time in minutes, at the exact or next deeper row, where it is counted so.

        None where the table says *undetermined*. Where it sends the reader to a deeper row, the time of that
        row, which belongs with that row's limit; `planner.tables.standby_minutes_left` minds that.

        Raises
        ------
        TableRefusal
            No such group, depth not above 0, past the last row, or no dive is printed for the group there.
        """
        row = self.next_deeper(positive_depth(depth_fsw))
        counted = self.counted(self.sent_on.get((row, self.known_group(group)), row), group)
        return None if counted is None else counted.added_min

    def no_dive(self, depth_fsw: int, group: str) -> str:
        """The sentence for a cell that prints no dive."""
        return (
            f"{self.title} prints no dive to {depth_fsw} fsw for group {group} "
            f"({table_words(self.called['residual'])})."
        )

    @cached_property
    def _ends(self) -> dict[str, tuple[tuple[int, ...], tuple[str | None, ...]]]:
        return {
            group: (tuple(to for _, to, _ in cells), (*(after for _, _, after in cells), None))
            for group, cells in self.credit.items()
        }

    def group_after_interval(self, group: str, minutes: int) -> str | None:
        """What is left after a surface interval: a group, or the factor where the set counts by one.

        Parameters
        ----------
        group
            Group at surfacing.
        minutes
            Whole minutes from reach surface to leave surface.

        Returns
        -------
        str or None
            What is carried at the end of the interval; None when the diver is clean.

        Raises
        ------
        TableRefusal
            No such group.
        ValueError
            Under `same_dive_under_min`: that is the same dive, not a new one.
        """
        found = self._ends.get(group)
        if found is None:
            self.known_group(group)
            raise AssertionError(f"group {group} has no intervals")
        if minutes < self.same_dive_under_min:
            if minutes < 0:
                raise ValueError(f"A surface interval cannot be negative ({minutes} min).")
            raise ValueError(
                f"A surface interval of {minutes} min is under {self.same_dive_under_min} min: the dives on "
                "both sides of it count as one dive."
            )
        ends, after = found
        return after[bisect_left(ends, minutes)]

    def minutes_to_group(self, group: str, target: str | None) -> int:
        """Least surface interval after which ``target`` or less is carried; None asks for clean.

        At least `same_dive_under_min`, since a shorter interval is not one.
        """
        self.known_group(group)
        if target is not None:
            wanted = self.rank_before(self.known_carried(target))
            for start, _, after in self.credit[group]:
                if self.rank_before(after) <= wanted:
                    return start
        return self._ends[group][0][-1] + 1

    def minutes_until_clean(self, group_after: str | None) -> int:
        """Minutes on the surface after which the next dive is not repetitive.

        ``group_after`` as an exposure gives it: None means that no group was printed.
        """
        if group_after is None:
            return self.clean_without_group_min
        return self.minutes_to_group(group_after, None)

    def group_on_arrival(self, altitude_ft: int) -> str | None:
        """Group of a person who has just come up by that many feet (next 1,000 ft up); None up to 300 ft.

        Raises
        ------
        TableRefusal
            The set has no altitude rows, or ends below that altitude.
        """
        worked = self.worked_altitude_ft(altitude_ft)
        return self.arrival_group[worked] if worked else None

    def worked_altitude_ft(self, altitude_ft: int) -> int:
        """`table_altitude_ft`, refused above sea level where the set has no altitude rows."""
        worked = table_altitude_ft(altitude_ft)
        if worked and not self.altitude:
            raise TableRefusal(f"{self.title} has no altitude rows: it is not dived at {altitude_ft:,} ft.")
        return worked

    def wait_before_altitude_min(self, group_after: str | None, rise_ft: int = FLIGHT_ALTITUDE_FT) -> int:
        """Minutes to wait after a dive before going up by ``rise_ft`` (next 1,000 ft up).

        A dive without a printed group waits as long as the diver takes to count as clean, the longest wait.

        Raises
        ------
        TableRefusal
            The set prints no such waits, or the rise is past them.
        """
        if not self.flight_waits:
            raise TableRefusal(self.no_flight_rows)
        if group_after is None:
            return self.clean_without_group_min
        self.known_group(group_after)
        if not 0 <= rise_ft <= 10_000:
            raise TableRefusal(
                f"{table_words(self.called['before_altitude']).capitalize()} ends at 10,000 ft; a rise of "
                f"{rise_ft:,} ft is outside it."
            )
        if rise_ft == 0:
            return 0
        return self.waits_before_altitude_min[group_after][math.ceil(rise_ft / 1000) * 1000]

    @property
    def no_flight_rows(self) -> str:
        """What is said in place of a wait before flying where the set prints none."""
        return f"{self.title} prints no wait before flying."

    def flight_wait(self, dives: Iterable[tuple[int, str | None]]) -> FlightWait:
        """Until when a diver does not fly after a series of dives.

        From the end of the last dive, the wait of the highest group that any dive ended with in the 24 hours
        before that end (table 9-6, note 1, U.S. Navy Diving Manual); and never sooner than any single dive's
        own wait after its own end. NOAA Diving Center newsletter, October 1999: after 60 fsw for 60 min, 6:10
        on the surface and 30 fsw for 20 min the first dive's group decides, and the wait counts from the end
        of the second.

        Parameters
        ----------
        dives
            When each dive ended (out of the water, or out of the chamber) and the group that it left, None
            where none is printed; dives before the job among them.

        Raises
        ------
        TableRefusal
            The set prints no such waits.
        ValueError
            No dive.
        """
        made = tuple(dives)
        ended_min = max(end for end, _ in made)
        counted = [group for end, group in made if end >= ended_min - GROUPS_COUNT_MIN]
        waits = ((ended_min, max(counted, key=self.rank_after)), *made)
        until = [(end + self.wait_before_altitude_min(group), group) for end, group in waits]
        until_min, group = max(until, key=lambda one: one[0])
        return FlightWait(ended_min, group, until_min)

    @property
    def ascent_fsw_per_min(self) -> float:
        """The set's rate of ascent."""
        return self.ascent_per_min * (MSW_TO_FSW if self.units == "msw" else 1)

    def travel_s(self, from_fsw: float, to_fsw: float) -> int:
        """Seconds of an ascent at the set's rate, rounded up; from the printed metres of a metric set."""
        if self.units == "msw":
            from_fsw, to_fsw = (self.printed_msw.get(d, d / MSW_TO_FSW) for d in (from_fsw, to_fsw))  # type: ignore[call-overload]
        return math.ceil((from_fsw - to_fsw) * 60 / self.ascent_per_min - 1e-9)


def positive_depth(depth_fsw: int) -> int:
    """The depth itself; TableRefusal for one that is not under water."""
    if depth_fsw <= 0:
        raise TableRefusal(f"A depth must be more than 0 fsw; {depth_fsw} fsw is not.")
    return depth_fsw


def hundredths(factor: str) -> int:
    """``1.3``: 130."""
    return round(float(factor) * 100)


def carried_words(carried: str | None) -> str:
    """``group C``, ``factor 1.3`` or ``clean``: what is carried into a dive, for a sentence."""
    if carried is None:
        return "clean"
    return f"factor {carried}" if carried[:1].isdigit() else f"group {carried}"


def carrying_words(carried: str) -> str:
    """``in group C`` or ``with factor 1.3``: how a diver is called who carries that into a dive."""
    return f"{'with' if carried[:1].isdigit() else 'in'} {carried_words(carried)}"


def table_words(called: str) -> str:
    """``table 9-7``; a publisher's own word stays: ``chart 1``."""
    return f"table {called}" if called[:1].isdigit() else called
