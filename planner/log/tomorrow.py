"""Tomorrow starts from today: the next day's job, made from the job, the plan and the log of this one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from planner.job.base import Clock, Span
from planner.job.job import Job
from planner.job.people import PastDive, Person, WorkSpell
from planner.job.pins import Pin, PinKind
from planner.log.day_log import ActualDay, DayLog, Kind
from planner.log.happened import (
    air_after,
    dives_by_person,
    ended_min,
    hours_worked,
    outfits_after,
    standby_minutes,
)
from planner.log.left_over import DoneWork, gates_left, minutes_left, shifted, work_left
from planner.plan.model import Plan


@dataclass(frozen=True)
class NextDay:
    """The next day's job, and what a person must look at in it."""

    job: Job
    notes: tuple[str, ...]


def next_day(job: Job, log: DayLog, plan: Plan) -> NextDay:
    """The job of the day after the first day of this one.

    People bring their dives with the groups that they left, the hours they worked and the end of their last
    duty. Outfits and air sources bring defects and the last readings. Work that is not done stays, with the
    minutes that are left. A job of several days goes on with the days that remain; after its last day comes
    one more, with everybody on site at the same hours. Windows typed for moments that are past are kept as
    they are, so that nothing is planned into them; the notes name them.
    """
    day = ActualDay(job, plan, log)
    end_min = max([w.end_min for w in job.day_windows[:1]] + [e.at_min for e in log.entries])
    notes: list[str] = list(_open_ends(day))
    done = (i.name for i in job.items if minutes_left(day, i) == 0)
    settled = DoneWork(done={name: ended_min(day, name, {}, end_min) for name in done})
    dive_items, surface_items = work_left(day, settled)
    dives, worked = dives_by_person(day, end_min), hours_worked(day, end_min)
    stood_by = standby_minutes(day, end_min)
    people = tuple(
        _person(p, dives.get(p.name, ()), worked.get(p.name), stood_by.get(p.name, 0)) for p in job.people
    )
    today = job.replace(
        people=people,
        dive_items=dive_items,
        surface_items=surface_items,
        gates=gates_left(job, {i.name for i in (*dive_items, *surface_items)}),
        outfits=outfits_after(day),
        air=air_after(day),
        pins=(),
    )
    first_day = job.site.first_day + timedelta(days=1)
    following = shifted(today, first_day, max(1, job.site.days - 1))
    if job.site.days == 1:
        following = following.replace(people=tuple(_same_hours(p, following.clock) for p in following.people))
        if any(p.available for p in following.people):
            notes.append("People's hours on site are taken over from today to the same hours; look at them.")
    following = following.replace(
        pins=_pins(job, following), people=tuple(_stays_away(p, day) for p in following.people)
    )
    notes += _notes(day, following)
    return NextDay(following, tuple(notes))


def _person(person: Person, dives: Sequence[PastDive], worked: Span | None, stood_by_min: int) -> Person:
    changes: dict[str, Any] = {
        "past_dives": (*person.past_dives, *dives),
        "past_standby_min": person.past_standby_min + stood_by_min,
    }
    if worked is not None:
        spell = WorkSpell(start_min=worked.start_min, end_min=worked.end_min)
        changes["past_work"] = (*person.past_work, spell)
        changes["last_duty_end_min"] = max(worked.end_min, person.last_duty_end_min or worked.end_min)
    return person.replace(**changes)


def _same_hours(person: Person, clock: Clock) -> Person:
    """Yesterday's hours on site at the same time of today by the clock on the wall."""

    def next_day_min(minute: int) -> int:
        return clock.minute(clock.at(minute).replace(tzinfo=None) + timedelta(days=1))

    moved = tuple(
        Span(start_min=next_day_min(s.start_min), end_min=next_day_min(s.end_min)) for s in person.available
    )
    return person.replace(available=moved)


def _stays_away(person: Person, day: ActualDay) -> Person:
    """One who was logged as sick is not planned again until a person gives him hours."""
    if person.name not in day.sick():
        return person
    gone = Span(start_min=-1440, end_min=-1439)
    return person.replace(available=(gone,))


def _pins(before: Job, following: Job) -> tuple[Pin, ...]:
    """Pins without a time still hold where their item is still there; those of a moment are past."""
    items = {i.name for i in following.items}
    lasting = (PinKind.STAYS_UP, PinKind.HOLDS, PinKind.KEEPS_FREE)
    return tuple(
        p
        for p in before.pins
        if p.kind in lasting and p.start_min is None and (p.item is None or p.item in items)
    )


def _open_ends(day: ActualDay) -> list[str]:
    clock = day.job.clock
    told = [
        f"Dive {d.id} has no reach surface in the log (leave surface {clock.hhmm(d.leave_surface_min)}); its "
        "divers bring nothing of it into tomorrow. Complete the log first."
        for d in day.in_water()
    ]
    never = [d.id for d in day.to_come()]
    if never:
        told.append(f"Not logged, so counted as not made: dive {', '.join(never)}.")
    return told


def _notes(day: ActualDay, following: Job) -> list[str]:
    told: list[str] = []
    sick = sorted(day.sick())
    if sick:
        told.append(f"Logged as sick and not planned until given hours on site: {', '.join(sick)}.")
    planned = {t.item for t in day.plan.surface_tasks}
    unsure = sorted(planned & {i.name for i in following.surface_items})
    if unsure:
        told.append(f"Planned above water and not logged as done, so still to do: {', '.join(unsure)}.")
    if following.pins != day.job.pins:
        told.append("Pins of a moment of today are gone.")
    opening = following.day_windows[0].start_min
    lapsed = [
        i.name
        for i in following.items
        if (allowed := following.allowed_spans(i)) is not None and all(w.end_min <= opening for w in allowed)
    ]
    if lapsed:
        told.append(f"No window is left, give new ones: {', '.join(lapsed)}.")
    needs_slack = any(i.needs_slack for i in following.dive_items)
    if needs_slack and not any(w.end_min > opening for w in following.water_windows):
        told.append("No slack water is given for the new day: load the tide table or type the windows.")
    read = {e.thing for e in day.log.of_kind(Kind.AIR_READING) if e.hours_run is not None}
    unread = [c.name for c in following.air.compressors if c.name not in read]
    if unread:
        told.append(f"No hour meter was read today, the old reading stands: {', '.join(unread)}.")
    held = {e.thing for e in day.log.of_kind(Kind.DEFECT)}
    open_now = [x for x in (o.name for o in following.outfits) if x in held]
    if open_now:
        told.append(f"Out of the plan with a defect of today: {', '.join(open_now)}.")
    return told
