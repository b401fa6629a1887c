"""Entries of a day log for a dive that went as planned."""

from __future__ import annotations

from planner.log.day_log import Entry, Kind
from planner.plan.model import Dive


def as_planned(dive: Dive, late_min: int = 0) -> tuple[Entry, ...]:
    """The four times of a dive, the surface reached so many minutes later."""
    times = {
        Kind.LEAVE_SURFACE: dive.leave_surface_min,
        Kind.REACH_BOTTOM: dive.reach_bottom_min,
        Kind.LEAVE_BOTTOM: dive.leave_bottom_min,
        Kind.REACH_SURFACE: dive.reach_surface_min + late_min,
    }
    return tuple(Entry(kind=kind, at_min=at, dive=dive.id) for kind, at in times.items())
