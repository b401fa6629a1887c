"""A dive's profile as data: every stretch from leave surface until the diver is out of pressure."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from planner.tables.rows import BREAK_MIN, PERIOD_MIN, SHIFT_TO_OXYGEN_S, air_breaks
from planner.tables.schedule import (
    AIR,
    ASCENT_S_PER_FSW,
    CHAMBER_FIRST_FSW,
    COMPRESSION_S,
    IN_CHAMBER,
    OXYGEN,
    Stop,
    TableSchedule,
    chamber_legs,
    on_deck_s,
)

DESCENT = "descent"
BOTTOM = "bottom"
TRAVEL = "travel"
STOP = "stop"
ON_OXYGEN_STOP = "oxygen"
AIR_BREAK = "air break"
SURFACE_INTERVAL = "surface interval"
CHAMBER = "chamber"


class Segment(NamedTuple):
    """One stretch of a dive. Seconds from leave surface; depth in fsw (in the chamber: its pressure)."""

    kind: str
    start_s: int
    end_s: int
    start_depth_fsw: float
    end_depth_fsw: float
    gas: str = AIR
    table_fsw: int | None = None
    """Depth that the tables print for the stop it ends at, where the diver is held at another one."""

    @property
    def seconds(self) -> int:
        return self.end_s - self.start_s


class _Line:
    """Segments laid end to end."""

    def __init__(self, ascent_fsw_per_min: float) -> None:
        self.ascent_fsw_per_min = ascent_fsw_per_min
        self.segments: list[Segment] = []
        self.at_s = 0
        self.depth_fsw: float = 0

    def add(
        self, kind: str, seconds: int, to_fsw: float, gas: str = AIR, *, table_fsw: int | None = None
    ) -> None:
        """The next stretch; one of no length is left out."""
        if seconds > 0:
            end_s = self.at_s + seconds
            self.segments.append(Segment(kind, self.at_s, end_s, self.depth_fsw, to_fsw, gas, table_fsw))
            self.at_s = end_s
        self.depth_fsw = to_fsw

    def to_stop(self, kind: str, seconds: int, stop: Stop, gas: str = AIR) -> None:
        """The next stretch, which ends where a stop is held."""
        table_fsw = None if stop.held_at_fsw is None else stop.depth_fsw
        self.add(kind, seconds, stop.held_fsw, gas, table_fsw=table_fsw)


def profile(
    depth_fsw: int, bottom_time_min: int, schedule: TableSchedule, descent_fsw_per_min: int = 60
) -> tuple[Segment, ...]:
    """Lay out a dive.

    Travel to the first stop takes the time the table prints for its row. The move to each later stop belongs
    to that stop's minutes, as in the table. A bottom time shorter than the descent leaves no time on the
    bottom; the depth is drawn as reached all the same, since that is the depth the row is for.

    Parameters
    ----------
    depth_fsw
        Depth dived, not that of the row.
    bottom_time_min
        Leave surface to leave bottom.
    """
    line = _Line(schedule.ascent_fsw_per_min)
    bottom_s = bottom_time_min * 60
    descent_s = min(bottom_s, math.ceil(depth_fsw * 60 / descent_fsw_per_min))
    line.add(DESCENT, descent_s, depth_fsw)
    line.add(BOTTOM, bottom_s - descent_s, depth_fsw)
    if schedule.way_up == IN_CHAMBER:
        _through_the_chamber(line, schedule)
    else:
        _in_the_water(line, schedule)
    return tuple(line.segments)


def _in_the_water(line: _Line, schedule: TableSchedule) -> None:
    if not schedule.stops:
        line.add(TRAVEL, schedule.ascent_s, 0)
        return
    line.to_stop(TRAVEL, schedule.time_to_first_stop_s, schedule.stops[0])
    end_s = line.at_s - schedule.time_to_first_stop_s + schedule.ascent_s
    on_air = [stop for stop in schedule.stops if stop.gas != OXYGEN]
    on_oxygen = [stop for stop in schedule.stops if stop.gas == OXYGEN]
    _air_stops(line, schedule)
    if on_oxygen:
        if on_air:
            line.to_stop(TRAVEL, SHIFT_TO_OXYGEN_S, on_oxygen[0])
        _oxygen_stops(line, schedule)
    line.add(TRAVEL, end_s - line.at_s, 0, OXYGEN if on_oxygen else AIR)


def _move_s(line: _Line, to_fsw: float) -> int:
    return math.ceil((line.depth_fsw - to_fsw) * 60 / line.ascent_fsw_per_min - 1e-9)


def _air_stops(line: _Line, schedule: TableSchedule) -> None:
    for stop in schedule.stops:
        if stop.gas == OXYGEN:
            continue
        move_s = _move_s(line, stop.held_fsw)
        line.to_stop(TRAVEL, move_s, stop)
        line.to_stop(STOP, stop.minutes * 60 - move_s, stop)


def _oxygen_stops(line: _Line, schedule: TableSchedule) -> None:
    """Oxygen at 30 and 20 fsw with its air breaks, which do not count as oxygen time."""
    stops = [stop for stop in schedule.stops if stop.gas == OXYGEN]
    breaks_left = air_breaks(sum(stop.minutes for stop in stops))
    to_break_s = PERIOD_MIN * 60
    for stop in stops:
        move_s = _move_s(line, stop.held_fsw)
        line.to_stop(TRAVEL, move_s, stop, OXYGEN)
        to_break_s -= move_s
        left_s = stop.minutes * 60 - move_s
        while left_s:
            stretch_s = min(left_s, to_break_s) if breaks_left else left_s
            line.to_stop(ON_OXYGEN_STOP, stretch_s, stop, OXYGEN)
            left_s -= stretch_s
            to_break_s -= stretch_s
            if breaks_left and to_break_s == 0:
                line.to_stop(AIR_BREAK, BREAK_MIN * 60, stop)
                breaks_left -= 1
                to_break_s = PERIOD_MIN * 60


def _through_the_chamber(line: _Line, schedule: TableSchedule) -> None:
    if schedule.stops:
        line.to_stop(TRAVEL, schedule.time_to_first_stop_s, schedule.stops[0])
        _air_stops(line, schedule)
        leaves_fsw = schedule.stops[-1].depth_fsw
    else:
        leaves_fsw = schedule.depth_fsw
    line.add(TRAVEL, leaves_fsw * ASCENT_S_PER_FSW, 0)
    line.add(SURFACE_INTERVAL, on_deck_s(leaves_fsw), 0)
    line.add(CHAMBER, COMPRESSION_S, CHAMBER_FIRST_FSW)
    for leg in chamber_legs(schedule.chamber_periods):
        line.add(CHAMBER, leg.seconds, leg.end_fsw, leg.gas)


def total_s(segments: Iterable[Segment], *kinds: str) -> int:
    """Seconds of the segments of the given kinds; of all of them when no kind is given."""
    return sum(s.seconds for s in segments if not kinds or s.kind in kinds)


def ascent_s(segments: Iterable[Segment]) -> int:
    """Seconds from leave bottom to the end: what must equal the schedule's total ascent."""
    return total_s(s for s in segments if s.kind not in (DESCENT, BOTTOM))
