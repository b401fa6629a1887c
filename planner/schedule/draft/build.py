"""From a draft and its crew to the finished `Plan`, with the exposures taken from the tables again."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.job.duties import STANDBY
from planner.plan.model import (
    Dive,
    DiverExposure,
    DutySpell,
    Leftover,
    Plan,
    Reason,
    Stage,
    Status,
    SurfaceTask,
)
from planner.schedule.draft.draft import Crew, Draft
from planner.schedule.problem.problem import Group, Problem
from planner.tables import Exposure, group_after_interval, plan_exposure
from planner.tables.schedule import IN_CHAMBER, NO_STOP


def build_plan(
    problem: Problem,
    draft: Draft,
    crew: Crew,
    *,
    status: Status,
    stages: tuple[Stage, ...] = (),
    reasons: dict[str, tuple[Reason, ...]] | None = None,
    seconds: float = 0.0,
    seed: int = 0,
    workers: int = 0,
) -> Plan:
    """The plan of a draft. Every group, residual nitrogen time and schedule comes from the tables."""
    dives: list[Dive] = []
    duties: list[DutySpell] = []
    ids = [f"D{k + 1}" for k in range(len(draft.dives))]
    last: dict[str, tuple[int, Group]] = dict(problem.entry_group)
    for k, one in enumerate(draft.dives):
        data = problem.dives[one.work]
        item = data.item
        divers = []
        for person, duty in one.seats:
            before, interval = _state(last.get(person), one.leave_surface_min)
            exposure: Exposure = plan_exposure(item.depth_fsw, one.bottom_time_min, before, data.options)
            divers.append(
                DiverExposure(
                    person=person,
                    duty=duty,
                    outfit=crew.outfits[k, person],
                    group_before=before,
                    surface_interval_min=interval,
                    residual_nitrogen_min=exposure.residual_nitrogen_min,
                    equivalent_min=exposure.equivalent_min,
                    group_after=exposure.group_after,
                    schedule=exposure.schedule,
                )
            )
            last[person] = (one.out_min, exposure.group_after)
            duties.append(
                DutySpell(
                    person=person,
                    duty=duty,
                    start_min=one.dress_start_min,
                    end_min=one.held_until_min,
                    dive=ids[k],
                    item=item.name,
                    station=one.station,
                    outfit=crew.outfits[k, person],
                )
            )
        duties += [
            DutySpell(
                person=person,
                duty=STANDBY,
                start_min=one.standing[0],
                end_min=one.standing[1],
                dive=ids[k],
                item=item.name,
                station=one.station,
                outfit=crew.outfits[k, person],
            )
            for person in one.standby
        ]
        dives.append(
            Dive(
                id=ids[k],
                item=item.name,
                station=one.station,
                dress_start_min=one.dress_start_min,
                leave_surface_min=one.leave_surface_min,
                reach_bottom_min=one.leave_surface_min + data.descent_min,
                leave_bottom_min=one.leave_surface_min + one.bottom_time_min,
                reach_surface_min=one.reach_surface_min,
                undressed_min=one.undressed_min,
                out_of_chamber_min=one.out_of_chamber_min,
                depth_fsw=item.depth_fsw,
                bottom_time_min=one.bottom_time_min,
                work_min=one.bottom_time_min - data.descent_min,
                divers=tuple(divers),
            )
        )
    tasks = tuple(
        SurfaceTask(
            item=problem.tasks[t.task].item.name,
            start_min=t.start_min,
            end_min=t.start_min + problem.tasks[t.task].item.duration_min,
        )
        for t in draft.tasks
    )
    for spell in crew.spells:
        if spell.dive is not None:
            about = draft.dives[spell.dive]
            name, station, dive_id = problem.dives[about.work].item.name, about.station, ids[spell.dive]
            where: tuple[str, str | None, str | None] = (name, station, dive_id)
        else:
            assert spell.task is not None
            where = (problem.tasks[draft.tasks[spell.task].task].item.name, None, None)
        duties.append(
            DutySpell(
                person=spell.person,
                duty=spell.duty,
                start_min=spell.start_min,
                end_min=spell.end_min,
                item=where[0],
                station=where[1],
                dive=where[2],
            )
        )
    plan = Plan(
        job_name=problem.job.site.name,
        status=status,
        stages=stages,
        dives=tuple(dives),
        surface_tasks=tasks,
        duties=tuple(sorted(duties, key=lambda d: (d.start_min, d.dive or "", d.duty, d.person))),
        seconds=round(seconds, 2),
        seed=seed,
        workers=workers,
    )
    return plan.replace(leftovers=leftovers(problem, plan, reasons or {}))


def exposures_of(problem: Problem, draft: Draft) -> list[dict[str, Exposure]]:
    """For each dive of a draft, in order: person → exposure by the tables, from the groups of the day."""
    last: dict[str, tuple[int, Group]] = dict(problem.entry_group)
    out = []
    for one in draft.dives:
        data = problem.dives[one.work]
        each = {
            person: plan_exposure(
                data.item.depth_fsw,
                one.bottom_time_min,
                _state(last.get(person), one.leave_surface_min)[0],
                data.options,
            )
            for person, _ in one.seats
        }
        for person, exposure in each.items():
            last[person] = (one.out_min, exposure.group_after)
        out.append(each)
    return out


def trued(problem: Problem, draft: Draft) -> Draft:
    """The draft with every way up as the tables give it for the divers' real groups.

    The model takes a diver's group as an upper bound, so a dive may have been given a longer way up than its
    divers need. Such a dive keeps its time of reaching the surface and leaves it later: all that follows
    stays as it was, and nobody is held longer.
    """
    last: dict[str, tuple[int, Group]] = dict(problem.entry_group)
    dives = []
    for one in draft.dives:
        data = problem.dives[one.work]
        leave = one.leave_surface_min
        while True:
            exposures = [
                plan_exposure(
                    data.item.depth_fsw,
                    one.bottom_time_min,
                    _state(last.get(person), leave)[0],
                    data.options,
                )
                for person, _ in one.seats
            ]
            ascent = max(math.ceil(e.schedule.water_ascent_s / 60) for e in exposures)
            spare = one.reach_surface_min - leave - one.bottom_time_min - ascent
            if spare <= 0:
                break
            leave += spare
        shift = leave - one.leave_surface_min
        inside = [e.schedule.ascent_s for e in exposures if e.schedule.way_up == IN_CHAMBER]
        out = leave + one.bottom_time_min + math.ceil(max(inside) / 60) if inside else None
        for (person, _), exposure in zip(one.seats, exposures, strict=True):
            last[person] = (one.reach_surface_min if out is None else out, exposure.group_after)
        stands = one.standby_from_min
        if stands == one.dress_start_min and not one.comes_dressed:
            stands += shift
        dives.append(
            replace(
                one,
                standby_from_min=stands,
                dress_start_min=one.dress_start_min + shift,
                leave_surface_min=leave,
                watch_start_min=max(one.watch_start_min, one.dress_start_min + shift),
                deco=any(e.schedule.way_up != NO_STOP for e in exposures),
                out_of_chamber_min=out,
            )
        )
    return Draft(tuple(sorted(dives, key=lambda d: (d.leave_surface_min, d.station))), draft.tasks)


def leftovers(problem: Problem, plan: Plan, reasons: dict[str, tuple[Reason, ...]]) -> tuple[Leftover, ...]:
    """What the plan leaves undone, with the reasons known so far."""
    unknown = (
        Reason(
            rule=None,
            sentence="Not placed in this plan; the search has not yet shown whether it could be.",
        ),
    )
    out = []
    for under in problem.items_under:
        planned, needed = plan.worked_min(under.item.name), under.item.bottom_work_min
        if planned < needed:
            name = under.item.name
            out.append(
                Leftover(
                    item=name, planned_min=planned, needed_min=needed, reasons=reasons.get(name, unknown)
                )
            )
    for above in problem.tasks:
        planned, needed = plan.worked_min(above.item.name), above.item.duration_min
        if planned < needed:
            name = above.item.name
            out.append(
                Leftover(
                    item=name, planned_min=planned, needed_min=needed, reasons=reasons.get(name, unknown)
                )
            )
    return tuple(out)


def _state(known: tuple[int, Group] | None, leave_min: int) -> tuple[Group, int | None]:
    """Group and surface interval of a diver at leave surface."""
    if known is None:
        return None, None
    surfaced, group = known
    interval = leave_min - surfaced
    if group is None:
        return None, interval
    return group_after_interval(group, interval), interval
