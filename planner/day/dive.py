"""One dive by the clock: its moments, its way up, and from when to when each of its duties is held."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from planner.job.crew_rules import CrewRules
from planner.job.duties import WATER_DUTIES, HeldOver, held_over
from planner.plan.model import Dive, DutySpell
from planner.tables import TableSchedule
from planner.tables.schedule import IN_CHAMBER


class Moment(Enum):
    """A moment of a dive that the start or the end of a duty hangs on."""

    DRESS = "dressing starts"
    LEAVE = "leave surface"
    BENCH = "the crew takes over the station"
    SURFACE = "reach surface"
    UNDRESSED = "undressed"
    OUT = "out of pressure"
    FREE = "undressed and out of pressure"


def descent_min(depth_fsw: int, rules: CrewRules) -> int:
    """Whole minutes from leave surface to reach bottom at the job's rate of descent, rounded up."""
    return math.ceil(depth_fsw / rules.descent_fsw_per_min)


def water_ascent_min(schedules: Iterable[TableSchedule]) -> int:
    """Whole minutes from leave bottom to reach surface: the longest of the divers' ways up, rounded up.

    Raises
    ------
    ValueError
        No schedule.
    """
    return math.ceil(max(s.water_ascent_s for s in schedules) / 60)


def chamber_ascent_min(schedules: Iterable[TableSchedule]) -> int | None:
    """Whole minutes from leave bottom until the last diver is out of the chamber; None: nobody is in it."""
    inside = [s.ascent_s for s in schedules if s.way_up == IN_CHAMBER]
    return math.ceil(max(inside) / 60) if inside else None


@dataclass(frozen=True)
class DiveTimes:
    """The moments of a dive, job minutes.

    ``bench_start_min`` is when the station's crew takes over for it: at dressing, or when the dive before on
    the station has surfaced. ``out_min`` is the end of pressure: at the surface, or out of the chamber.
    """

    dress_start_min: int
    leave_surface_min: int
    leave_bottom_min: int
    reach_surface_min: int
    undressed_min: int
    out_min: int
    bench_start_min: int

    @property
    def free_min(self) -> int:
        """When its divers are undressed and out of pressure."""
        return max(self.undressed_min, self.out_min)

    def at(self, moment: Moment) -> int:
        """Job minute of a moment."""
        return {
            Moment.DRESS: self.dress_start_min,
            Moment.LEAVE: self.leave_surface_min,
            Moment.BENCH: self.bench_start_min,
            Moment.SURFACE: self.reach_surface_min,
            Moment.UNDRESSED: self.undressed_min,
            Moment.OUT: self.out_min,
            Moment.FREE: self.free_min,
        }[moment]


def times_of(dive: Dive, bench_start_min: int | None = None) -> DiveTimes:
    """The moments of a planned dive; the crew takes over at dressing where nothing else is said."""
    return DiveTimes(
        dive.dress_start_min,
        dive.leave_surface_min,
        dive.leave_bottom_min,
        dive.reach_surface_min,
        dive.undressed_min,
        dive.out_min,
        dive.dress_start_min if bench_start_min is None else bench_start_min,
    )


def duty_moments(duty: str) -> tuple[Moment, Moment]:
    """The moments between which a duty of a dive is held; the watch by the chamber comes on top of OUT."""
    over = held_over(duty)
    if over is HeldOver.DRESSING:
        return Moment.DRESS, Moment.FREE if duty in WATER_DUTIES else Moment.UNDRESSED
    if over is HeldOver.CHAMBER:
        return Moment.LEAVE, Moment.OUT
    return Moment.BENCH, Moment.SURFACE


@dataclass(frozen=True)
class HeldFromTo:
    """A duty held from a moment of its dive to another, each with minutes before (under 0) or after it."""

    start: Moment
    start_offset_min: int
    end: Moment
    end_offset_min: int

    def span(self, times: DiveTimes) -> tuple[int, int]:
        """From when to when it is held on a dive with those times; empty where that is no stretch."""
        return times.at(self.start) + self.start_offset_min, times.at(self.end) + self.end_offset_min


def held_from_to(spell: DutySpell, times: DiveTimes) -> HeldFromTo:
    """What a planned duty hangs on, so that it can be moved with its dive.

    Parameters
    ----------
    spell
        A duty of the dive.
    times
        The dive as the spell was planned for it.
    """
    start, end = duty_moments(spell.duty)
    return HeldFromTo(start, spell.start_min - times.at(start), end, spell.end_min - times.at(end))
