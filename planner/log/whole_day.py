"""A day as one plan: what has happened with its actual times, then what is planned for the rest of it."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterable

from planner.job.job import Job
from planner.job.work import DiveItem
from planner.log.applies import Applies, applies
from planner.log.history import Held
from planner.log.projected import Happened
from planner.plan.model import (
    Dive,
    DiverExposure,
    DutySpell,
    Leftover,
    Plan,
    Reason,
    Status,
)
from planner.tables.schedule import IN_CHAMBER

#: A dive's name: letters, then its number.
_NUMBERED = re.compile(r"^(\D*)(\d+)$")

_DIVE_TIMES = (
    "dress_start_min",
    "leave_surface_min",
    "reach_bottom_min",
    "leave_bottom_min",
    "reach_surface_min",
    "undressed_min",
)


def moved(plan: Plan, by_min: int) -> Plan:
    """A plan with every minute moved."""
    if by_min == 0:
        return plan
    return plan.replace(
        dives=tuple(_moved(d, by_min) for d in plan.dives),
        surface_tasks=tuple(
            t.replace(start_min=t.start_min + by_min, end_min=t.end_min + by_min) for t in plan.surface_tasks
        ),
        duties=tuple(
            s.replace(start_min=s.start_min + by_min, end_min=s.end_min + by_min) for s in plan.duties
        ),
    )


def _moved(dive: Dive, by_min: int) -> Dive:
    times = {name: getattr(dive, name) for name in (*_DIVE_TIMES, "out_of_chamber_min")}
    return dive.replace(**{name: at + by_min for name, at in times.items() if at is not None})


def whole_day(past: Happened, rest: Plan | None, before: Plan) -> Plan:
    """What has happened and the rest, as one plan of the day's job.

    Dives of the rest get numbers that neither the plan before nor the log has used, so that a number means
    one dive for ever.

    Parameters
    ----------
    rest
        The plan of the rest in the minutes of the day's job; None for what has happened alone.
    before
        The plan that was in force.
    """
    job = past.day.job
    by_dive: dict[str, list[Applies]] = defaultdict(list)
    for one in applies(past.day, past.now_min):
        by_dive[one.dive.id].append(one)
    made = [_dive(own, job) for own in by_dive.values() if all(_row_of(a) is not None for a in own)]
    dives, duties = list(made), [_spell(s, past) for s in past.spells]
    tasks = list(past.tasks)
    if rest is not None:
        names = _new_numbers(rest, (d.id for d in (*before.dives, *made)))
        dives += [d.replace(id=names[d.id]) for d in rest.dives]
        duties += [s.replace(dive=names[s.dive]) if s.dive is not None else s for s in rest.duties]
        tasks += rest.surface_tasks
    whole = Plan(
        job_name=before.job_name,
        status=Status.FEASIBLE if rest is None else rest.status,
        stages=(),
        dives=tuple(dives),
        surface_tasks=tuple(tasks),
        duties=tuple(duties),
        seconds=0.0 if rest is None else rest.seconds,
        seed=0 if rest is None else rest.seed,
        workers=0 if rest is None else rest.workers,
    )
    # the stages of the rest speak of the rest alone, so the whole day claims no proof
    status = Status.FEASIBLE if whole.status is Status.PROVEN_BEST else whole.status
    return whole.replace(status=status, leftovers=tuple(_leftovers(whole, rest, past)))


def _row_of(one: Applies) -> DiverExposure | None:
    """The exposure as the plan writes it; None when neither the tables nor the plan have a row."""
    worn = dict(zip(one.dive.people, one.dive.outfits, strict=False))
    outfit = worn.get(one.person) or (one.planned.outfit if one.planned else "")
    if one.exposure is None:
        return one.planned
    return DiverExposure(
        person=one.person,
        duty=one.planned.duty if one.planned else "diver",
        outfit=outfit,
        group_before=one.group_before,
        surface_interval_min=one.interval_min,
        residual_nitrogen_min=one.exposure.residual_nitrogen_min,
        equivalent_min=one.exposure.equivalent_min,
        group_after=one.exposure.group_after,
        schedule=one.exposure.schedule,
    )


def _dive(own: list[Applies], job: Job) -> Dive:
    dive = own[0].dive
    up = dive.reach_surface_min
    left = dive.leave_bottom_min if dive.leave_bottom_min is not None else up
    assert up is not None and left is not None
    reached = dive.reach_bottom_min
    if reached is None:
        down = math.ceil(dive.depth_fsw / job.rules.descent_fsw_per_min)
        reached = min(left, dive.leave_surface_min + down)
    rows = [row for row in (_row_of(a) for a in own) if row is not None]
    chamber = [
        a.out_at_min() or up for a in own if a.schedule is not None and a.schedule.way_up == IN_CHAMBER
    ]
    return Dive(
        id=dive.id,
        item=dive.item.name,
        station=dive.station,
        dress_start_min=dive.dress_start_min(job),
        leave_surface_min=dive.leave_surface_min,
        reach_bottom_min=reached,
        leave_bottom_min=left,
        reach_surface_min=up,
        undressed_min=dive.undressed_min(job, up),
        depth_fsw=dive.depth_fsw,
        bottom_time_min=left - dive.leave_surface_min,
        work_min=left - reached,
        divers=tuple(rows),
        out_of_chamber_min=max(chamber, default=None),
    )


def _spell(held: Held, past: Happened) -> DutySpell:
    dive = past.day.dive(held.dive) if held.dive is not None else None
    return DutySpell(
        person=held.person,
        duty=held.duty,
        start_min=held.start_min,
        end_min=held.end_min,
        dive=held.dive,
        item=held.item,
        station=None if dive is None else dive.station,
        outfit=held.outfit,
    )


def _new_numbers(rest: Plan, used: Iterable[str]) -> dict[str, str]:
    """Names for the dives of the rest that go on where those used before end: ``D9`` is followed by D10."""
    parts = [found.groups() for name in used if (found := _NUMBERED.match(name))]
    heads = Counter(head for head, _ in parts)
    head = heads.most_common(1)[0][0] if heads else ""
    following = max((int(number) for own, number in parts if own == head), default=0) + 1
    order = sorted(rest.dives, key=lambda d: (d.leave_surface_min, d.id))
    return {dive.id: f"{head}{following + n}" for n, dive in enumerate(order)}


def _leftovers(whole: Plan, rest: Plan | None, past: Happened) -> Iterable[Leftover]:
    job = past.day.job
    told = {left.item: left.reasons for left in rest.leftovers} if rest is not None else {}
    for item in job.items:
        if isinstance(item, DiveItem):
            needed = item.bottom_work_min
        else:
            needed = next(s.duration_min for s in job.surface_items if s.name == item.name)
        done = whole.worked_min(item.name)
        if done >= needed:
            continue
        reasons = told.get(item.name)
        if item.name in past.day.items_done:
            reasons = (Reason(rule=None, sentence="Logged as done with fewer minutes than planned."),)
        yield Leftover(
            item=item.name,
            planned_min=done,
            needed_min=needed,
            reasons=reasons or (Reason(rule=None, sentence="No more of it is planned today."),),
        )
