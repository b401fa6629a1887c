"""How long a dive may last from a diver's group, and how long the way up takes: tables, remembered."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from planner.errors import TableRefusal
from planner.tables import Exposure, ExposureOptions, plan_exposure
from planner.tables.schedule import IN_CHAMBER, NO_STOP


@lru_cache(maxsize=50_000)
def exposure_or_none(
    depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions
) -> Exposure | None:
    """What the tables say, or None where they (or the job's policy) refuse."""
    try:
        return plan_exposure(depth_fsw, bottom_time_min, group, options)
    except TableRefusal:
        return None


@lru_cache(maxsize=20_000)
def longest_min(
    depth_fsw: int, group: str | None, options: ExposureOptions, no_stop: bool, at_most_min: int
) -> int:
    """Longest bottom time up to ``at_most_min`` that is allowed; 0 when none is.

    ``no_stop``: only dives without stops, because the crew was named for one. Found by halving: a longer
    bottom time is never allowed where a shorter one is not.
    """

    def allowed(minutes: int) -> bool:
        found = exposure_or_none(depth_fsw, minutes, group, options)
        return found is not None and (not no_stop or found.schedule.way_up == NO_STOP)

    low, high = 0, at_most_min
    while low < high:
        middle = (low + high + 1) // 2
        if allowed(middle):
            low = middle
        else:
            high = middle - 1
    return low


def in_chamber(exposure: Exposure) -> bool:
    """Whether the diver decompresses in the chamber."""
    return exposure.schedule.way_up == IN_CHAMBER


def surface_min(exposures: Sequence[Exposure]) -> int:
    """Whole minutes from leave bottom to the surface: the longest of the divers' ways up, rounded up."""
    return math.ceil(max(e.schedule.water_ascent_s for e in exposures) / 60)


def chamber_out_min(exposures: Sequence[Exposure]) -> int:
    """Whole minutes from leave bottom until the last diver is out of pressure, in the water or after it."""
    inside = [e.schedule.ascent_s for e in exposures if in_chamber(e)]
    return math.ceil(max(inside) / 60) if inside else surface_min(exposures)


__all__ = ["NO_STOP", "chamber_out_min", "exposure_or_none", "in_chamber", "longest_min", "surface_min"]
