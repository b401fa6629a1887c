"""Diving above sea level: equivalent depth and depth of stops.

Equivalent depth and stop depth follow the altitude chapter of the U.S. Navy Diving Manual: depth times the
ratio of the pressures, and stops times its inverse. Pressures are those of the U.S. Standard Atmosphere, 1976
(lowest layer), which gives the 843 mb of the manual's example at 5,000 ft.
"""

from __future__ import annotations

from functools import cache

from planner.job.units import METRES_PER_FOOT
from planner.table_sets import table_altitude_ft

SEA_LEVEL_MB = 1013.25
_LAPSE_PER_METRE = 0.0065 / 288.15
_EXPONENT = 5.25588
"""g M / (R L) of the U.S. Standard Atmosphere, 1976."""


def pressure_mb(altitude_ft: float) -> float:
    """Pressure of the standard atmosphere in millibars."""
    return float(SEA_LEVEL_MB * (1 - _LAPSE_PER_METRE * altitude_ft * METRES_PER_FOOT) ** _EXPONENT)


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
