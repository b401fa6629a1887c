"""A station at a glance: who is down, how long, minutes left to the plan and to the row, what comes next.

Pure; the screen draws it and lets its clocks run. Minutes are job minutes; what is left is rounded down.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from planner.job import UnitSystem
from planner.job.job import Job
from planner.log.day_log import ActualDay, ActualDive, Entry, Kind
from planner.log.exposures import ActualExposure, actual_exposures, on_row_until_min
from planner.log.way_up import chamber_by_min, next_steps, stops_due
from planner.plan.model import Dive
from planner.tables import TableSchedule
from planner.words.measures import depth_words


class Tone(StrEnum):
    """How a card or a figure is coloured, beside its word."""

    WAITING = "waiting"
    GOOD = "good"
    WATCH = "watch"
    BAD = "bad"


@dataclass(frozen=True)
class Figure:
    """One large number of a card."""

    minutes: int
    """What it shows, in whole minutes."""
    name: str
    """What it counts."""
    tone: Tone
    """Its colour."""
    since: datetime | None = None
    """Where it runs on by itself: the moment that it counts from."""


@dataclass(frozen=True)
class StationCard:
    station: str
    dive: str | None
    """Id of the dive that it tells of; None where none is to come."""
    what: str
    people: tuple[str, ...]
    """The item of that dive, and its divers."""
    word: str
    tone: Tone
    """Where it stands."""
    figures: tuple[Figure, ...] = ()
    """Its large numbers, the most pressing last."""
    coming: tuple[str, ...] = ()
    """The next two events, with their times where the plan or the row gives them."""


def station_cards(day: ActualDay, now: datetime, units: UnitSystem) -> tuple[StationCard, ...]:
    """A card for each station of the job, in its order; stops that come next are told in these units."""
    clock = day.job.clock
    # What is left is never told too long: the minute that has begun counts as over.
    now_min = clock.minute(now) + int(clock.at(clock.minute(now)) < now)
    found = actual_exposures(day, now_min)
    return tuple(
        _card(day, s.name, [o for o in found if o.dive.station == s.name], now_min, units)
        for s in day.job.stations
    )


def _card(
    day: ActualDay, station: str, own: list[ActualExposure], now_min: int, units: UnitSystem
) -> StationCard:
    to_chamber = [o for o in own if not o.dive.in_water and next_steps(o.dive, o.schedule)]
    for exposures, card_of in (([o for o in own if o.dive.in_water], _in_water), (to_chamber, _out_of_water)):
        if exposures:
            dive = exposures[-1].dive
            of_dive = [o for o in exposures if o.dive.id == dive.id]
            coming_next = tuple(_coming(day, dive, of_dive, units))
            return replace(card_of(day, dive, of_dive, now_min), coming=coming_next)
    coming = next((d for d in day.to_come() if d.station == station), None)
    if coming is None:
        return StationCard(station, None, "", (), "no dive to come", Tone.WAITING)
    return _to_come(day.job, coming, now_min)


def _to_come(job: Job, dive: Dive, now_min: int) -> StationCard:
    left = dive.leave_surface_min - now_min
    late = Figure(-left, "min past the plan", Tone.WATCH)
    figure = Figure(left, "min to leave surface", Tone.WAITING) if left >= 0 else late
    people = tuple(d.person for d in dive.divers)
    coming = (f"{Kind.LEAVE_SURFACE} {job.clock.hhmm(dive.leave_surface_min)}", str(Kind.REACH_BOTTOM))
    return StationCard(
        dive.station, dive.id, dive.item, people, "nobody down", Tone.WAITING, (figure,), coming
    )


def _in_water(day: ActualDay, dive: ActualDive, own: list[ActualExposure], now_min: int) -> StationCard:
    figures = [_running(day.job, dive.leave_surface_min, "since leave surface")]
    off = any(o.off_row for o in own)
    if dive.leave_bottom_min is not None:
        figures.append(_running(day.job, dive.leave_bottom_min, "since leave bottom"))
        figures += _stop_left(dive, own, now_min)
        word, tone = ("off the row", Tone.BAD) if off else ("coming up", Tone.GOOD)
        return _of(dive, word, tone, figures)
    if dive.reach_bottom_min is not None:
        figures.append(_running(day.job, dive.reach_bottom_min, "on the bottom"))
    word, tone = ("on the plan", Tone.GOOD) if dive.planned is not None else ("not planned", Tone.WATCH)
    leaves = _leaves_min(dive)
    if leaves is not None:
        left = leaves - now_min
        if left <= 0:
            word, tone = ("leave the bottom" if left == 0 else "over the plan"), Tone.WATCH
        figures.append(_left(left, "left by the plan", "over the plan", Tone.WATCH))
    until = [u for o in own if (u := on_row_until_min(o, day.job)) is not None]
    if off:
        word, tone = "off the row", Tone.BAD
        figures.append(Figure(0, "min left on the row", Tone.BAD))
    elif until:
        figures.append(_left(min(until) - now_min, "left on the row", "off the row", Tone.BAD))
    return _of(dive, word, tone, figures)


def _out_of_water(day: ActualDay, dive: ActualDive, own: list[ActualExposure], now_min: int) -> StationCard:
    if dive.at_chamber_depth_min is not None:
        figures = [_running(day.job, dive.at_chamber_depth_min, "in the chamber")]
        return _of(dive, "in the chamber", Tone.GOOD, figures)
    by = [b for o in own if (b := chamber_by_min(dive, o.schedule)) is not None]
    figures = [] if not by else [_left(min(by) - now_min, "left to the chamber", "late", Tone.BAD)]
    late = bool(by) and min(by) < now_min
    return _of(dive, "to the chamber", Tone.BAD if late else Tone.WATCH, figures)


def _of(dive: ActualDive, word: str, tone: Tone, figures: list[Figure]) -> StationCard:
    return StationCard(dive.station, dive.id, dive.item.name, dive.people, word, tone, tuple(figures))


def _running(job: Job, from_min: int, name: str) -> Figure:
    return Figure(0, name, Tone.WAITING, job.clock.at(from_min))


def _left(minutes: int, name: str, over: str, tone_over: Tone) -> Figure:
    if minutes < 0:
        return Figure(-minutes, f"min {over}", tone_over)
    return Figure(minutes, f"min {name}", Tone.GOOD if minutes else tone_over)


def _leaves_min(dive: ActualDive) -> int | None:
    """When the plan leaves the bottom, its bottom time counted from leave surface as it was."""
    return None if dive.planned is None else dive.leave_surface_min + dive.planned.bottom_time_min


def _stop_left(dive: ActualDive, own: list[ActualExposure], now_min: int) -> Iterator[Figure]:
    """Minutes left at the stop where the divers are, by the diver who stays longest."""
    ends = [
        due.leave_at_min
        for o in own
        for due in stops_due(dive, o.schedule)
        if due.made is not None and due.made.left_min is None and due.leave_at_min is not None
    ]
    if ends:
        # Rounded up: a stop is never too short, and `now_min` is the minute that has begun.
        left = max(0, max(ends) - now_min + 1)
        yield Figure(left, "min left at the stop", Tone.WATCH if left else Tone.GOOD)


def steps_ahead(
    day: ActualDay, dive: ActualDive, schedule: TableSchedule | None, many: int = 2
) -> tuple[tuple[Kind, int | None], ...]:
    """The next events of a dive on its likely way, as many as asked for: kind, and depth of a stop."""
    ahead: list[tuple[Kind, int | None]] = []
    now: ActualDive | None = dive
    while now is not None and len(ahead) < many and (steps := next_steps(now, schedule)):
        kind, depth_fsw = steps[0]
        ahead.append(steps[0])
        # Its minute does not matter to what follows.
        day = day.with_entry(
            Entry(kind=kind, at_min=dive.leave_surface_min, dive=dive.id, depth_fsw=depth_fsw)
        )
        now = day.dive(dive.id)
    return tuple(ahead)


def _coming(day: ActualDay, dive: ActualDive, own: list[ActualExposure], units: UnitSystem) -> Iterator[str]:
    """The next two in words, with the minute where it is known."""
    longest = max(own, key=lambda o: 0 if o.schedule is None else o.schedule.ascent_s)
    times = {
        Kind.LEAVE_BOTTOM: _leaves_min(dive),
        Kind.REACH_SURFACE: longest.up_at_min(),
        Kind.AT_CHAMBER_DEPTH: chamber_by_min(dive, longest.schedule),
        Kind.OUT_OF_CHAMBER: longest.out_at_min(),
    }
    for kind, depth_fsw in steps_ahead(day, dive, longest.schedule):
        at = times.get(kind)
        depth = "" if depth_fsw is None else f" {depth_words(depth_fsw, units)}"
        yield f"{kind}{depth}" + ("" if at is None else f" {day.job.clock.hhmm(at)}")
