"""Diving above sea level: equivalent depth, depth of stops, group on arrival, the wait before going higher.

Equivalent depth and stop depth follow the altitude chapter of the U.S. Navy Diving Manual: depth times the
ratio of the pressures, and stops times its inverse. Pressures are those of the U.S. Standard Atmosphere, 1976
(lowest layer), which gives the 843 mb of the manual's example at 5,000 ft.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from planner.errors import TableRefusal
from planner.job.units import METRES_PER_FOOT
from planner.tables.intervals import EXCEPTIONAL_WAIT_MIN, FLIGHT_ALTITUDE_FT, known_group
from planner.tables.published import published, rank_after

SEA_LEVEL_MB = 1013.25
SEA_LEVEL_UP_TO_FT = 300
"""Altitudes up to here are dived as sea level (U.S. Navy Diving Manual, altitude chapter)."""

GROUPS_COUNT_MIN = 24 * 60
"""Table 9-6, note 1: the wait goes by the highest group of that many minutes before the last dive's end."""

_LAPSE_PER_METRE = 0.0065 / 288.15
_EXPONENT = 5.25588
"""g M / (R L) of the U.S. Standard Atmosphere, 1976."""


def pressure_mb(altitude_ft: float) -> float:
    """Pressure of the standard atmosphere in millibars."""
    return float(SEA_LEVEL_MB * (1 - _LAPSE_PER_METRE * altitude_ft * METRES_PER_FOOT) ** _EXPONENT)


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


@cache
def pressure_ratio(altitude_ft: int) -> float:
    """Pressure at the altitude to work with, as a share of sea level; 1 where nothing is corrected."""
    worked = table_altitude_ft(altitude_ft)
    return pressure_mb(worked) / SEA_LEVEL_MB if worked else 1.0


def equivalent_depth_fsw(depth_fsw: float, altitude_ft: int) -> float:
    """Sea-level equivalent depth, not yet rounded up to a row of the tables (stands for table 9-4)."""
    return depth_fsw / pressure_ratio(altitude_ft)


def stop_held_at_fsw(stop_depth_fsw: int, altitude_ft: int) -> float:
    """Depth at which a stop of the sea-level tables is taken at altitude, to 0.1 fsw."""
    return round(stop_depth_fsw * pressure_ratio(altitude_ft), 1)


def group_on_arrival(altitude_ft: int) -> str | None:
    """Repetitive group of a person who has just come up by that many feet (table 9-5, next 1,000 ft up).

    None up to 300 ft.
    """
    worked = table_altitude_ft(altitude_ft)
    return published().arrival_group[worked] if worked else None


def wait_before_altitude_min(group_after: str | None, rise_ft: int = FLIGHT_ALTITUDE_FT) -> int:
    """Minutes to wait after a dive before going up by ``rise_ft`` (table 9-6, next 1,000 ft up).

    A commercial flight is the 8,000 ft column. A dive without a printed group waits the 48 hours of an
    exceptional exposure, the longest wait of the table.
    """
    if group_after is None:
        return EXCEPTIONAL_WAIT_MIN
    known_group(group_after)
    if not 0 <= rise_ft <= 10_000:
        raise TableRefusal(f"Table 9-6 ends at 10,000 ft; a rise of {rise_ft:,} ft is outside it.")
    if rise_ft == 0:
        return 0
    return published().wait_before_altitude_min[group_after][math.ceil(rise_ft / 1000) * 1000]


class FlightWait(NamedTuple):
    """A wait before going higher, from a diver's dives. Minutes on one clock, whichever the dives are on."""

    ended_min: int
    """End of the last dive."""
    group: str | None
    """The group that decides; None: none printed, the 48 hours."""
    until_min: int


def flight_wait(dives: Iterable[tuple[int, str | None]], rise_ft: int = FLIGHT_ALTITUDE_FT) -> FlightWait:
    """Until when a diver does not fly (or go up by ``rise_ft``) after a series of dives.

    From the end of the last dive, the wait of the highest group that any dive ended with in the 24 hours
    before that end (table 9-6, note 1); and never sooner than any single dive's own wait after its own end.
    NOAA Diving Center newsletter, October 1999: after 60 fsw for 60 min, 6:10 on the surface and 30 fsw for
    20 min the first dive's group decides, and the wait counts from the end of the second.

    Parameters
    ----------
    dives
        When each dive ended (out of the water, or out of the chamber) and the group that it left, None where
        none is printed; dives before the job among them.

    Raises
    ------
    ValueError
        No dive.
    """
    made = tuple(dives)
    ended_min = max(end for end, _ in made)
    counted = [group for end, group in made if end >= ended_min - GROUPS_COUNT_MIN]
    waits = ((ended_min, max(counted, key=rank_after)), *made)
    until = [(end + wait_before_altitude_min(group, rise_ft), group) for end, group in waits]
    until_min, group = max(until, key=lambda one: one[0])
    return FlightWait(ended_min, group, until_min)
