"""A re-timed day as a full plan, so that it can be checked, shown and printed like any other."""

from __future__ import annotations

from planner.plan.model import (
    Dive,
    DiverExposure,
    DutySpell,
    Leftover,
    Plan,
    Reason,
    Status,
    SurfaceTask,
)
from planner.whatif.order import Order
from planner.whatif.retime import Day, Run, in_chamber


def plan_of(order: Order, day: Day) -> Plan:
    """The plan that a re-timed day comes to, without any claim on how good it is.

    The work counted is what was done on the bottom, never more than the item needs as planned.
    """
    plan, job = order.plan, order.job
    dives, tasks, duties = [], [], []
    for run in day.runs:
        if not run.made:
            continue
        if run.piece.dive is not None:
            dives.append(_dive(run, run.piece.dive))
        else:
            tasks.append(
                SurfaceTask(item=run.piece.item.name, start_min=run.leave_min, end_min=run.surface_min)
            )
        for held in run.piece.held:
            start = run.at(held.start) + held.start_offset_min
            end = run.at(held.end) + held.end_offset_min
            if start < end:
                duties.append(
                    DutySpell.model_validate({**held.spell.model_dump(), "start_min": start, "end_min": end})
                )
    made = Plan(
        job_name=plan.job_name,
        status=Status.FEASIBLE,
        stages=(),
        dives=tuple(dives),
        surface_tasks=tuple(tasks),
        duties=tuple(sorted(duties, key=lambda d: (d.start_min, d.dive or "", d.duty, d.person))),
    )
    needed = {i.name: i.bottom_work_min for i in job.dive_items}
    needed |= {i.name: i.duration_min for i in job.surface_items}
    leftovers = tuple(
        Leftover(
            item=name,
            planned_min=made.worked_min(name),
            needed_min=minutes,
            reasons=(
                Reason(rule=None, sentence=f"Under this draw: {day.causes.get(name, 'less work done')}."),
            ),
        )
        for name, minutes in needed.items()
        if made.worked_min(name) < minutes
    )
    return made.replace(leftovers=leftovers)


def _dive(run: Run, dive: Dive) -> Dive:
    descent = dive.reach_bottom_min - dive.leave_surface_min
    divers = []
    facts = zip(dive.divers, run.exposures, run.groups_before, run.intervals, strict=True)
    for diver, exposure, group, interval in facts:
        divers.append(
            DiverExposure(
                person=diver.person,
                duty=diver.duty,
                outfit=diver.outfit,
                group_before=group,
                surface_interval_min=interval,
                residual_nitrogen_min=exposure.residual_nitrogen_min,
                equivalent_min=exposure.equivalent_min,
                group_after=exposure.group_after,
                schedule=exposure.schedule,
            )
        )
    return Dive(
        id=dive.id,
        item=dive.item,
        station=dive.station,
        dress_start_min=run.dress_min,
        leave_surface_min=run.leave_min,
        reach_bottom_min=run.leave_min + descent,
        leave_bottom_min=run.leave_bottom_min,
        reach_surface_min=run.surface_min,
        undressed_min=run.undressed_min,
        depth_fsw=run.depth_fsw,
        bottom_time_min=run.leave_bottom_min - run.leave_min,
        work_min=run.leave_bottom_min - run.leave_min - descent,
        divers=tuple(divers),
        out_of_chamber_min=run.out_min if any(in_chamber(e) for e in run.exposures) else None,
    )
