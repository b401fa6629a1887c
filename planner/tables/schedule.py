"""A row of the decompression tables as the rest of the program sees it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.job.base import Part

NO_STOP = "no-stop"
ON_AIR = "air"
ON_OXYGEN = "air and oxygen"
IN_CHAMBER = "surface decompression"

AIR = "air"
OXYGEN = "oxygen"

ASCENT_S_PER_FSW = 2
"""Seconds for a foot at the table's ascent rate, 30 fsw a minute (U.S. Navy Diving Manual, table 9-9)."""

UNLIMITED_MIN = 1440
"""Longest bottom time planned where the no-stop time is unlimited: a day."""


class Stop(Part):
    """One decompression stop in the water."""

    depth_fsw: Annotated[int, Field(ge=0, le=220)]
    minutes: Annotated[int, Field(ge=0)]
    gas: str = AIR
    held_at_fsw: float | None = None
    """Depth at which the stop is taken where that is not ``depth_fsw``: at altitude."""

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
    time_min: int
    """Bottom time of the row; for a no-stop row the no-stop limit (1440 where it is unlimited)."""
    stops: tuple[Stop, ...] = ()
    time_to_first_stop_s: int = 0
    """For a schedule without stops in the water: time to the surface."""
    ascent_s: int
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
    def unlimited(self) -> bool:
        """A row without a no-stop limit."""
        return self.way_up == NO_STOP and self.time_min == UNLIMITED_MIN

    @property
    def decompression(self) -> bool:
        """Whether the dive is outside the no-stop limits."""
        return self.way_up != NO_STOP
