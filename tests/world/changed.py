"""Copies of a job or a plan with one thing changed."""

from __future__ import annotations

from datetime import time, timedelta
from typing import Any

from pydantic import BaseModel

from planner.job import Job, PastDive
from planner.plan import Plan
from planner.words.plan import CLOCK_UNIT


def with_person(job: Job, name: str, **changes: Any) -> Job:
    return job.replace(people=tuple(p.replace(**changes) if p.name == name else p for p in job.people))


def with_item(job: Job, name: str, **changes: Any) -> Job:
    return job.replace(
        dive_items=tuple(i.replace(**changes) if i.name == name else i for i in job.dive_items),
        surface_items=tuple(i.replace(**changes) if i.name == name else i for i in job.surface_items),
    )


def with_outfit(job: Job, name: str, **changes: Any) -> Job:
    return job.replace(outfits=tuple(o.replace(**changes) if o.name == name else o for o in job.outfits))


def with_site(job: Job, **changes: Any) -> Job:
    return job.replace(site=job.site.replace(**changes))


def with_rules(job: Job, **changes: Any) -> Job:
    return job.replace(rules=job.rules.replace(**changes))


def with_dive(plan: Plan, dive_id: str, **changes: Any) -> Plan:
    return plan.replace(dives=tuple(d.replace(**changes) if d.id == dive_id else d for d in plan.dives))


def with_diver(plan: Plan, dive_id: str, person: str, /, **changes: Any) -> Plan:
    dive = next(d for d in plan.dives if d.id == dive_id)
    divers = tuple(d.replace(**changes) if d.person == person else d for d in dive.divers)
    return with_dive(plan, dive_id, divers=divers)


def with_spells(plan: Plan, dive_id: str | None, duty: str, holder: str, /, **changes: Any) -> Plan:
    """The spells of that person in that duty and dive changed."""
    return plan.replace(
        duties=tuple(
            s.replace(**changes) if (s.dive, s.duty, s.person) == (dive_id, duty, holder) else s
            for s in plan.duties
        )
    )


def without(plan: Plan, dive_id: str | None, duty: str, person: str) -> Plan:
    """The spells of that person in that duty and dive taken out."""
    return plan.replace(
        duties=tuple(s for s in plan.duties if (s.dive, s.duty, s.person) != (dive_id, duty, person))
    )


def shifted(plan: Plan, dive_id: str, minutes: int) -> Plan:
    """A dive with all its duties moved in time."""
    dive = next(d for d in plan.dives if d.id == dive_id)
    names = ("dress_start", "leave_surface", "reach_bottom", "leave_bottom", "reach_surface", "undressed")
    moved = with_dive(plan, dive_id, **{f"{n}_min": getattr(dive, f"{n}_min") + minutes for n in names})
    if dive.out_of_chamber_min is not None:
        moved = with_dive(moved, dive_id, out_of_chamber_min=dive.out_of_chamber_min + minutes)
    return moved.replace(
        duties=tuple(
            s.replace(start_min=s.start_min + minutes, end_min=s.end_min + minutes)
            if s.dive == dive_id
            else s
            for s in moved.duties
        )
    )


def past(depth_fsw: int, bottom_time_min: int, surfaced_min: int, group: str | None = None) -> PastDive:
    return PastDive(
        depth_fsw=depth_fsw, bottom_time_min=bottom_time_min, surfaced_min=surfaced_min, group_after=group
    )


#: Fields that are minutes of the job's clock; every other ``…_min`` is so many minutes.
CLOCK_FIELDS = frozenset(
    (
        *("start_min", "end_min", "from_min", "minute", "surfaced_min", "arrived_min", "briefed_until_min"),
        *("last_duty_end_min", "worn_until_min", "dress_start_min", "leave_surface_min", "reach_bottom_min"),
        *("leave_bottom_min", "reach_surface_min", "undressed_min", "out_of_chamber_min"),
    )
)


def days_later(plan: Plan, job: Job, days: int) -> tuple[Plan, Job]:
    """The same work on the same dates in a job that began so many days sooner; the days between are its own
    too. Below 0 it begins after the work."""
    first_day = job.site.first_day - timedelta(days=days)
    own = with_site(job, first_day=first_day, days=job.site.days + max(0, days))
    return _moved(plan, own, 1440 * days)


def hours_later(plan: Plan, job: Job, minutes: int) -> tuple[Plan, Job]:
    """The same work so many minutes later in the day, with the working day."""

    def later(at: time) -> time:
        return time(*divmod((at.hour * 60 + at.minute + minutes) % 1440, 60))

    site = job.site
    own = with_site(job, day_start=later(site.day_start), day_end=later(site.day_end))
    return _moved(plan, own, minutes)


def _moved(plan: Plan, job: Job, by_min: int) -> tuple[Plan, Job]:
    stages = tuple(
        s.replace(value=s.value + by_min, bound=s.bound + by_min) if s.unit == CLOCK_UNIT else s
        for s in plan.stages
    )
    return _on_clock(plan, by_min).replace(stages=stages), _on_clock(job, by_min)


def _on_clock(part: Any, by_min: int) -> Any:
    if isinstance(part, tuple):
        return tuple(_on_clock(one, by_min) for one in part)
    if not isinstance(part, BaseModel):
        return part
    changed = {}
    for name in type(part).model_fields:
        old = getattr(part, name)
        new = old + by_min if name in CLOCK_FIELDS and old is not None else _on_clock(old, by_min)
        if new is not old and new != old:
            changed[name] = new
    return part.replace(**changed) if changed else part  # type: ignore[attr-defined]
