"""Copies of a job or a plan with one thing changed."""

from __future__ import annotations

from typing import Any

from planner.job import Job, PastDive
from planner.plan import Plan


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
