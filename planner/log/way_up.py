"""The way up as it is logged: stops beside the row's, the five-minute clock, decompression left out.

What is due is told; what was left out names the published procedure, which decides, with the licensed
person. Surface decompression: 40 fsw left to 50 fsw in the chamber in five minutes (U.S. Navy Diving Manual,
chapter 9; what it counts from without a stop at 40 fsw: `planner.tables.schedule`). The first step of the
procedure for omitted decompression is given partly from memory and says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from planner.day import water_ascent_min
from planner.job import Job, UnitSystem
from planner.job.bounds import CHAMBER_REACH_MIN
from planner.log.day_log import ActualDive, ActualStop, Kind
from planner.table_sets import DEFAULT_ID
from planner.tables import TableSchedule
from planner.tables.schedule import (
    CHAMBER_FIRST_FSW,
    IN_CHAMBER,
    LEAVES_WATER_FROM_FSW,
    OXYGEN,
    Stop,
    chamber_s,
    on_deck_s,
    to_chamber_s,
)
from planner.words.measures import Metric
from planner.words.schedule import stop_depth_words

#: Logged minutes may be one off: a minute less than the row is no decompression left out.
LOGGED_WITHIN_MIN = 1

#: Deepest omitted stop up to which the procedure goes by the minutes on the surface, fsw. From memory.
SHALLOW_STOPS_FSW = 30


@dataclass(frozen=True)
class StopDue:
    """A stop of the row beside what is logged of it."""

    stop: Stop
    """The row's, at its depth of the tables."""
    made: ActualStop | None
    """What is logged of it; None when nothing is."""
    leave_at_min: int | None
    """When its time is over, job minutes; None until it has begun. The first stop's time begins at the stop,
    a later one's when the stop before is left; air breaks come on top."""

    @property
    def short_min(self) -> int:
        """Minutes by which it was left too soon, as far as logged minutes can tell."""
        if self.made is None or self.made.left_min is None or self.leave_at_min is None:
            return 0
        short = self.leave_at_min - self.made.left_min
        return short if short > LOGGED_WITHIN_MIN else 0

    @property
    def held(self) -> bool:
        """Whether it is logged as made to its end."""
        return self.made is not None and self.made.left_min is not None and not self.short_min


def stops_due(dive: ActualDive, schedule: TableSchedule | None) -> tuple[StopDue, ...]:
    """The row's stops in the water, deepest first, each with what is logged of it."""
    due: list[StopDue] = []
    before: StopDue | None = None
    for stop in () if schedule is None else schedule.stops:
        if stop.minutes == 0:
            continue
        depths = {stop.depth_fsw, int(stop.held_fsw), ceil(stop.held_fsw)}
        made = next((s for s in dive.stops if s.depth_fsw in depths), None)
        begun = None if made is None else made.reached_min
        if begun is not None and before is not None and before.made and before.made.left_min is not None:
            begun = before.made.left_min
        before = StopDue(stop, made, None if begun is None else begun + stop.minutes)
        due.append(before)
    return tuple(due)


def next_steps(dive: ActualDive, schedule: TableSchedule | None) -> tuple[tuple[Kind, int | None], ...]:
    """What comes next on a dive, the likely one first: kind of entry and depth of the stop."""
    if dive.leave_bottom_min is None:
        reached = dive.reach_bottom_min is not None
        return ((Kind.LEAVE_BOTTOM if reached else Kind.REACH_BOTTOM, None),)
    if dive.in_water:
        for due in stops_due(dive, schedule):
            if due.made is None:
                return (Kind.REACH_STOP, ceil(due.stop.held_fsw)), (Kind.REACH_SURFACE, None)
            if due.made.left_min is None:
                return (Kind.LEAVE_STOP, due.made.depth_fsw), (Kind.REACH_SURFACE, None)
        return ((Kind.REACH_SURFACE, None),)
    if dive.out_of_chamber_min is not None:
        return ()
    if dive.at_chamber_depth_min is not None:
        return ((Kind.OUT_OF_CHAMBER, None),)
    through = schedule is not None and schedule.way_up == IN_CHAMBER
    return ((Kind.AT_CHAMBER_DEPTH, None),) if through else ()


def chamber_by_min(dive: ActualDive, schedule: TableSchedule | None) -> int | None:
    """Last minute at which the divers must be at 50 fsw in the chamber; None when the clock does not run.

    From the minute at which the last stop was left; without stops from leave bottom. Where the stop's end is
    not logged, back from the surface.
    """
    if schedule is None or schedule.way_up != IN_CHAMBER or dive.leave_bottom_min is None:
        return None
    due = stops_due(dive, schedule)
    if not due:
        return dive.leave_bottom_min + to_chamber_s(schedule.leaves_water_fsw) // 60
    last = due[-1].made
    if last is not None and last.left_min is not None:
        return last.left_min + to_chamber_s(due[-1].stop.depth_fsw) // 60
    if dive.reach_surface_min is None:
        return None
    return dive.reach_surface_min + (on_deck_s(schedule.leaves_water_fsw) + 30) // 60


@dataclass(frozen=True)
class LeftOut:
    """Decompression that was left out by the log.

    ``deepest_fsw`` is the deepest stop of it; None when no stop was due and the ascent alone was too fast.
    """

    sentence: str
    deepest_fsw: int | None = None


def left_out(dive: ActualDive, schedule: TableSchedule | None) -> LeftOut | None:
    """What the log shows to be missing of the row's way up in the water; None when nothing is."""
    if schedule is None or dive.leave_bottom_min is None:
        return None
    due = stops_due(dive, schedule)
    if dive.reach_surface_min is not None:
        needed = water_ascent_min([schedule])
        took = dive.reach_surface_min - dive.leave_bottom_min
        if took < needed - LOGGED_WITHIN_MIN:
            missing = [d.stop.depth_fsw for d in due if not d.held]
            what = "stops were left out" if due else "the ascent was too fast"
            sentence = f"Up {took} min after leave bottom; the row takes {needed} min: {what}."
            return LeftOut(sentence, max(missing or [d.stop.depth_fsw for d in due], default=None))
    short = next((d for d in due if d.short_min), None)
    if short is None:
        return None
    depth = short.stop.depth_fsw
    return LeftOut(f"The stop at {depth} fsw was left {short.short_min} min before its end.", depth)


_CHAPTER = "U.S. Navy Diving Manual, Revision 7, chapter 9"
_DECIDES = (
    "From memory, not an instruction of this program: open the manual; it and the licensed person in charge "
    "decide."
)


def omitted_words(
    dive: ActualDive, schedule: TableSchedule | None, job: Job, now_min: int
) -> tuple[str, ...]:
    """What a person must know of decompression that was left out: the published procedure, its first step."""
    found = left_out(dive, schedule)
    if found is None:
        return ()
    if job.tables.id != DEFAULT_ID:
        return found.sentence, _of_its_own("omitted decompression", job)
    away = job.site.chamber_minutes_away
    chamber = away is not None and away <= CHAMBER_REACH_MIN
    until = now_min if dive.at_chamber_depth_min is None else dive.at_chamber_depth_min
    up = dive.reach_surface_min
    on_surface = None if up is None else max(0, until - up)
    step = _first_step(found.deepest_fsw, on_surface, chamber=chamber)
    deepest = found.deepest_fsw
    stop = "no stop was due" if deepest is None else f"deepest stop left out {deepest} fsw"
    surface = "" if on_surface is None else f", {on_surface} min on the surface"
    return (
        found.sentence,
        f"Published procedure: omitted decompression, {_CHAPTER}; with any symptom the diver is treated "
        "instead (chapter 17).",
        f"Its first step for a diver without symptoms ({stop}{surface}): {step}. {_DECIDES}",
    )


def _of_its_own(procedure: str, job: Job) -> str:
    """What is said where the job's tables are not those whose procedures stand here: none is borrowed."""
    return (
        f"The procedure for {procedure} is that of {job.tables.title}; it is not in this program. The "
        "licensed person in charge decides."
    )


def _first_step(deepest_fsw: int | None, on_surface_min: int | None, *, chamber: bool) -> str:
    """First step of the procedure in the manual's table of omitted decompression.

    The hour's watch, the minute longer, the seven minutes and the half as long again stand in exam questions
    after the manual for the Navy's own supervisors (seen 29 Nov 2026); deeper than 30 fsw is from memory.
    """
    if deepest_fsw is None:
        return "watch the diver on the surface for an hour"
    if on_surface_min is None:
        return "back to the stop that was left too soon, its time made up"
    if deepest_fsw > SHALLOW_STOPS_FSW:
        return (
            "recompression in the chamber on a treatment table"
            if chamber
            else "back down to the first stop, the stops at 30 and 20 fsw half as long again"
        )
    if on_surface_min < 1:
        return "back to the stop at once, a minute longer there"
    return (
        "into the chamber: surface decompression, or a treatment table when over 7 min on the surface"
        if chamber
        else "back to the stop, the stops at 30 and 20 fsw half as long again"
    )


def clock_words(dive: ActualDive, schedule: TableSchedule | None, job: Job, now_min: int) -> tuple[str, ...]:
    """The five-minute clock while it runs; empty when it does not."""
    by = chamber_by_min(dive, schedule)
    if by is None or schedule is None or dive.at_chamber_depth_min is not None or now_min > by:
        return ()
    return (
        f"{CHAMBER_FIRST_FSW} fsw in the chamber by {job.clock.hhmm(by)}, {by - now_min} min left: five "
        f"minutes from {_leaves_fsw(schedule)} fsw.",
    )


def chamber_missed_words(
    dive: ActualDive, schedule: TableSchedule | None, job: Job, now_min: int
) -> tuple[str, ...]:
    """More than the five minutes to the chamber, or out of it too soon: what it is, and the procedure."""
    by, at = chamber_by_min(dive, schedule), dive.at_chamber_depth_min
    if by is None or schedule is None:
        return ()
    over = (now_min if at is None else at) - by
    if over > 0:
        return (
            f"{over} min over the five from {_leaves_fsw(schedule)} fsw to {CHAMBER_FIRST_FSW} fsw in the "
            f"chamber ({job.clock.hhmm(by)}).",
            _of_its_own("an interval exceeded", job)
            if job.tables.id != DEFAULT_ID
            else f"Published procedure: surface decompression, interval exceeded, {_CHAPTER}. Its first "
            "step: more oxygen at the first depth when little over, a treatment table when longer. "
            f"{_DECIDES}",
        )
    if at is None or dive.out_of_chamber_min is None:
        return ()
    inside, needed = dive.out_of_chamber_min - at, chamber_s(schedule.chamber_periods) // 60
    if inside >= needed - LOGGED_WITHIN_MIN:
        return ()
    return (
        f"Out of the chamber {inside} min after {CHAMBER_FIRST_FSW} fsw; the row takes {needed} min.",
        _of_its_own("omitted decompression", job)
        if job.tables.id != DEFAULT_ID
        else f"Published procedure: omitted decompression, {_CHAPTER}. {_DECIDES}",
    )


def _leaves_fsw(schedule: TableSchedule) -> int:
    """Where the five minutes begin."""
    return min(LEAVES_WATER_FROM_FSW, schedule.leaves_water_fsw)


def stop_words(
    dive: ActualDive,
    schedule: TableSchedule | None,
    job: Job,
    units: UnitSystem = UnitSystem.FEET,
) -> str:
    """What is due at the stop where the divers are, or at the next; blank when there is none."""
    if dive.leave_bottom_min is None or not dive.in_water:
        return ""
    for due in stops_due(dive, schedule):
        minutes = f"{due.stop.minutes} min on {due.stop.gas}"
        more = ", air breaks on top" if due.stop.gas == OXYGEN else ""
        if due.made is None:
            return f"Next stop {stop_depth_words(due.stop, units, Metric.BEHIND)}, {minutes}{more}."
        if due.made.left_min is None and due.leave_at_min is not None:
            at = job.clock.hhmm(due.leave_at_min)
            stop = stop_depth_words(due.stop, units, Metric.BEHIND)
            return f"At the stop of {stop}, {minutes}: not left before {at}{more}."
    return ""
