"""A row of the decompression tables as the rest of the program sees it, and the chamber's part of it.

Surface decompression on oxygen, from the last water stop into the chamber and out again; a person must
compare it with the official procedure. Seen in public copies on 29 November 2026: 5 minutes from leaving 40
fsw to 50 fsw in the chamber; periods of 30 min of oxygen, the first one 15 min at 50 and 15 min at 40 fsw,
the next three at 40, more at 30; 5 min of air between them; the move from 50 to 40 fsw belongs to the time;
then chamber air and up at 30 fsw a minute (U.S. Navy Diving Manual, Revision 4, Change A, 14-6 and 14-7,
helium-oxygen; study cards after Revision 7 say so of air). Half a period 15 min at 50 fsw, compression at
most 100 fsw a minute, which is 30 s, the way up from 40 fsw at most 40 fsw a minute (those cards); counted
here are 30, the longer way. From memory: without a 40 fsw stop the interval counts from passing 40 fsw, or
from leave bottom where the dive is shallower.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, NamedTuple

from pydantic import Field

from planner.errors import TableRefusal
from planner.job.base import Part
from planner.job.bounds import DEEPEST_SHORT_FSW
from planner.table_sets import IN_CHAMBER as IN_CHAMBER
from planner.table_sets import NO_STOP as NO_STOP
from planner.table_sets import ON_AIR as ON_AIR
from planner.table_sets import ON_OXYGEN as ON_OXYGEN
from planner.table_sets import Counted

AIR = "air"
OXYGEN = "oxygen"

ASCENT_FSW_PER_MIN = 30.0
"""Ascent of the shipped stops and of every way through the chamber (U.S. Navy Diving Manual, table 9-9)."""

ASCENT_S_PER_FSW = 2
"""Seconds for a foot at that rate."""

UNLIMITED_MIN = 1440
"""Longest bottom time planned where the no-stop time is unlimited: a day."""


class Stop(Part):
    """One decompression stop in the water."""

    depth_fsw: Annotated[int, Field(ge=0, le=DEEPEST_SHORT_FSW)]
    minutes: Annotated[int, Field(ge=0)]
    gas: str = AIR
    held_at_fsw: float | None = None
    """Depth at which the stop is taken where that is not ``depth_fsw``: at altitude."""
    depth_msw: int | None = None
    """What a metric set prints for ``depth_fsw``."""

    @property
    def held_fsw(self) -> float:
        """Depth at which the diver is held."""
        return self.depth_fsw if self.held_at_fsw is None else self.held_at_fsw


class TableSchedule(Part):
    """The row of the tables a dive is planned by.

    ``ascent_s`` is the table's total ascent in seconds. For surface decompression it runs from leave bottom
    until the diver has left the chamber's pressure; at altitude it is worked out from the depths.
    """

    table: str
    """Numbers of the tables used, for example ``9-7, 9-8``."""
    way_up: str
    """``no-stop``, ``air``, ``air and oxygen`` or ``surface decompression``."""
    depth_fsw: int
    depth_msw: int | None = None
    """What a metric set prints for ``depth_fsw``."""
    time_min: int
    """Bottom time of the row; for a no-stop row the no-stop limit (1440 where it is unlimited)."""
    stops: tuple[Stop, ...] = ()
    time_to_first_stop_s: int = 0
    """For a schedule without stops in the water: time to the surface."""
    ascent_s: int
    ascent_fsw_per_min: float = ASCENT_FSW_PER_MIN
    """The set's rate, at which a diver moves from stop to stop."""
    chamber_periods: float = 0.0
    notes: tuple[str, ...] = ()

    @property
    def stop_min(self) -> int:
        """Minutes of stops in the water, without air breaks."""
        return sum(stop.minutes for stop in self.stops)

    @property
    def water_ascent_s(self) -> int:
        """Seconds from leave bottom to reaching the surface.

        The whole ascent, but for surface decompression: there the surface comes before the interval on deck
        and the chamber, after the stops in the water, if any, and the way up from the last of them.
        """
        if self.way_up != IN_CHAMBER:
            return self.ascent_s
        if not self.stops:
            return ASCENT_S_PER_FSW * self.depth_fsw
        return self.time_to_first_stop_s + 60 * self.stop_min + ASCENT_S_PER_FSW * self.stops[-1].depth_fsw

    @property
    def leaves_water_fsw(self) -> int:
        """Where the way up to the surface begins: at the last stop, or at the depth of the row."""
        return self.stops[-1].depth_fsw if self.stops else self.depth_fsw

    @property
    def unlimited(self) -> bool:
        """A row without a no-stop limit."""
        return self.way_up == NO_STOP and self.time_min == UNLIMITED_MIN

    @property
    def decompression(self) -> bool:
        """Whether the dive is outside the no-stop limits."""
        return self.way_up != NO_STOP


class TableAnswer(NamedTuple):
    """One answer of the tables."""

    counted: Counted
    """How the bottom time counts."""
    schedule: TableSchedule
    group_after: str | None


class Way(NamedTuple):
    """Greatest bottom times in rising order, what each leads to, and why nothing longer is given."""

    bottom_max_min: tuple[int, ...]
    steps: tuple[TableAnswer, ...]
    refusal: str
    unlimited: bool = False
    """The no-stop time is unlimited."""

    def row_of(self, step: int) -> tuple[int, int]:
        """The bottom times between which a step's schedule holds: over the first, up to the second."""
        first = last = step
        own = self.steps[step].schedule
        while first and self.steps[first - 1].schedule is own:
            first -= 1
        while last + 1 < len(self.steps) and self.steps[last + 1].schedule is own:
            last += 1
        return self.bottom_max_min[first - 1] if first else 0, self.bottom_max_min[last]


LEAVES_WATER_FROM_FSW = 40
SURFACE_INTERVAL_S = 300
COMPRESSION_S = 30
CHAMBER_FIRST_FSW, CHAMBER_NEXT_FSW = 50, 40
HALF_PERIOD_S, BREAK_S = 15 * 60, 5 * 60
MOST_PERIODS = 4
"""More periods are spent at 30 fsw; no schedule that may be planned has them."""


@dataclass(frozen=True)
class ChamberLeg:
    """One stretch in the chamber, seconds and fsw."""

    seconds: int
    start_fsw: int
    end_fsw: int
    gas: str


def to_chamber_s(leaves_fsw: int) -> int:
    """Seconds from leaving ``leaves_fsw`` (last stop, or the bottom) to 50 fsw in the chamber."""
    return max(0, leaves_fsw - LEAVES_WATER_FROM_FSW) * ASCENT_S_PER_FSW + SURFACE_INTERVAL_S


def on_deck_s(leaves_fsw: int) -> int:
    """Seconds between reaching the surface and the start of compression."""
    swim_up_s = min(leaves_fsw, LEAVES_WATER_FROM_FSW) * ASCENT_S_PER_FSW
    return SURFACE_INTERVAL_S - COMPRESSION_S - swim_up_s


@dataclass(frozen=True)
class OnDeck:
    """What a diver in some dress does between the surface and the chamber, in minutes."""

    dress: str
    out_of_dress_min: int
    way_min: int
    """From the place where he is undressed to the chamber."""

    def in_time(self, leaves_fsw: int) -> bool:
        """Whether he is at 50 fsw in the chamber in the five minutes that the procedure gives."""
        return 60 * (self.out_of_dress_min + self.way_min) <= on_deck_s(leaves_fsw)

    def sum_words(self, leaves_fsw: int) -> str:
        """The sum: ``from leaving 40 fsw to 50 fsw in the chamber: 1:20 up, 20 min out of dress, …``."""
        up_s = min(leaves_fsw, LEAVES_WATER_FROM_FSW) * ASCENT_S_PER_FSW
        total_s = up_s + 60 * (self.out_of_dress_min + self.way_min) + COMPRESSION_S

        def clock(seconds: int) -> str:
            return f"{seconds // 60}:{seconds % 60:02}"

        return (
            f"from leaving {min(leaves_fsw, LEAVES_WATER_FROM_FSW)} fsw to {CHAMBER_FIRST_FSW} fsw in the "
            f"chamber: {clock(up_s)} up, {self.out_of_dress_min} min out of {self.dress}, {self.way_min} min "
            f"to the chamber, {clock(COMPRESSION_S)} of compression, {clock(total_s)} in all; "
            f"{clock(SURFACE_INTERVAL_S)} at most"
        )


def chamber_legs(periods: float) -> tuple[ChamberLeg, ...]:
    """What happens in the chamber once it is at 50 fsw.

    Parameters
    ----------
    periods
        Oxygen periods of table 9-9, in halves.

    Raises
    ------
    TableRefusal
        More periods than this program lays out.
    """
    if not 0.5 <= periods <= MOST_PERIODS:
        raise TableRefusal(f"Surface decompression with {periods:g} chamber periods is not planned here.")
    legs = [ChamberLeg(HALF_PERIOD_S, CHAMBER_FIRST_FSW, CHAMBER_FIRST_FSW, OXYGEN)]
    depth = CHAMBER_FIRST_FSW
    for half in range(1, round(periods * 2)):
        if half == 1:
            move_s = (CHAMBER_FIRST_FSW - CHAMBER_NEXT_FSW) * ASCENT_S_PER_FSW
            legs.append(ChamberLeg(move_s, CHAMBER_FIRST_FSW, CHAMBER_NEXT_FSW, OXYGEN))
            legs.append(ChamberLeg(HALF_PERIOD_S - move_s, CHAMBER_NEXT_FSW, CHAMBER_NEXT_FSW, OXYGEN))
            depth = CHAMBER_NEXT_FSW
            continue
        if half % 2 == 0:
            legs.append(ChamberLeg(BREAK_S, depth, depth, AIR))
        legs.append(ChamberLeg(HALF_PERIOD_S, depth, depth, OXYGEN))
    legs.append(ChamberLeg(depth * ASCENT_S_PER_FSW, depth, 0, AIR))
    return tuple(legs)


def chamber_s(periods: float) -> int:
    """Seconds from 50 fsw in the chamber until the diver is out of pressure."""
    return sum(leg.seconds for leg in chamber_legs(periods))
