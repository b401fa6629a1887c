"""One dive by the clock: its moments, its way up, and from when to when each of its duties is held."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from planner.job.crew_rules import CrewRules
from planner.job.duties import DIVER, STANDBY, STANDBY_TENDER, WATER_DUTIES, HeldOver, held_over
from planner.job.pins import Pin
from planner.plan.model import Dive, DutySpell
from planner.tables import TableSchedule
from planner.tables.schedule import IN_CHAMBER


class Moment(Enum):
    """A moment of a dive that the start or the end of a duty hangs on, by its name in `DiveTimes`."""

    DRESS = "dress_start_min"
    LEAVE = "leave_surface_min"
    BENCH = "bench_start_min"
    SURFACE = "reach_surface_min"
    UNDRESSED = "undressed_min"
    OUT = "out_min"
    FREE = "free_min"


def keeps_pin(dive: Dive, pin: Pin) -> bool:
    """Whether a dive of the item of a pin on dives has what it settles, but for minutes free behind it."""
    return (
        pin.person in (None, *(d.person for d in dive.divers if d.duty == DIVER))
        and pin.station in (None, dive.station)
        and pin.allows(dive.leave_surface_min)
        and pin.bottom_time_min in (None, dive.bottom_time_min)
    )


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
        minute: int = getattr(self, moment._value_)  # not .value: asked thousands of times a drawn day
        return minute


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
    """What a planned duty hangs on, so that it can be moved with its dive (here as the duty was planned)."""
    start, end = duty_moments(spell.duty)
    if spell.duty in (STANDBY, STANDBY_TENDER):
        # Dressing hangs on leave surface, undressing on reach surface; who comes dressed takes over.
        dresses = spell.duty == STANDBY and spell.start_min <= times.dress_start_min
        if spell.start_min >= times.reach_surface_min:
            start = Moment.SURFACE
        elif dresses or spell.end_min <= times.leave_surface_min:
            start = Moment.DRESS if spell.start_min < times.dress_start_min else Moment.LEAVE
        before = Moment.DRESS if spell.end_min <= times.dress_start_min else Moment.LEAVE
        end = before if spell.end_min <= times.leave_surface_min else Moment.SURFACE
    return HeldFromTo(start, spell.start_min - times.at(start), end, spell.end_min - times.at(end))


def comes_dressed_from(duties: Iterable[DutySpell]) -> dict[DutySpell, DutySpell]:
    """The standby divers' stretches that go on in dress from another on the station, each with that one."""
    standing = [s for s in duties if s.duty == STANDBY]
    ended = {(s.person, s.outfit, s.station, s.end_min): s for s in standing}
    found = {s: ended.get((s.person, s.outfit, s.station, s.start_min)) for s in standing}
    return {s: before for s, before in found.items() if before is not None and before.dive != s.dive}


def still_in_dress(before: Iterable[DutySpell], after: Iterable[DutySpell]) -> tuple[DutySpell, ...]:
    """Moved duties, in which whoever went on in dress from one dive to the next does so without a gap, and
    one who lends a hand and then takes over the watch holds the duty once."""
    links = {(s.person, s.dive): was.dive for s, was in comes_dressed_from(before).items()}
    spells = list(after)
    ends = {(s.person, s.dive): s.end_min for s in spells if s.duty == STANDBY}
    for k, spell in enumerate(spells):
        end = ends.get((spell.person, links.get((spell.person, spell.dive))))
        if spell.duty == STANDBY and end is not None and end < spell.end_min:
            spells[k] = spell.replace(start_min=end)
    last: dict[tuple[str, str, str | None], int] = {}
    for k in sorted(range(len(spells)), key=lambda k: spells[k].start_min):
        spell = spells[k]
        held = last.get((spell.person, spell.duty, spell.dive), spell.start_min)
        if spell.duty == STANDBY_TENDER and spell.start_min < held < spell.end_min:
            spells[k] = spell.replace(start_min=held)
        last[spell.person, spell.duty, spell.dive] = max(held, spell.end_min)
    return tuple(spells)
