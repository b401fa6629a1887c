"""Minutes of a way up as the schedule counts them."""

from __future__ import annotations

from planner.tables import Mode


def water_ascent_min(mode: Mode) -> int:
    """Minutes from leave bottom to reach surface, rounded up."""
    return -(-mode.schedule.water_ascent_s // 60)
