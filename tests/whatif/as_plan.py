"""A re-timed day as a full plan, so that it can be checked, shown and printed like any other."""

from __future__ import annotations

from planner.day import chamber_ascent_min, diver_row, left_over
from planner.plan.model import Dive, DutySpell, Plan, Status, SurfaceTask
from planner.whatif.retime import DrawnDay, Run
from planner.whatif.ties import TiedPlan


def plan_of(tied: TiedPlan, day: DrawnDay) -> Plan:
    """The plan that a re-timed day comes to, without any claim on how good it is.

    The work counted is what was done on the bottom, never more than the item needs as planned.
    """
    plan, job = tied.plan, tied.job
    dives, tasks, duties = [], [], []
    for run in day.runs:
        if not run.made:
            continue
        if run.piece.dive is not None:
            dives.append(_dive(run, run.piece.dive))
        else:
            tasks.append(
                SurfaceTask(
                    item=run.piece.item.name, start_min=run.times.leave_surface_min, end_min=run.up_min
                )
            )
        for held in run.piece.held:
            start, end = held.hangs.span(run.times)
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
    return made.replace(leftovers=left_over(made, job, {}, "Under this draw: less work done."))


def _dive(run: Run, dive: Dive) -> Dive:
    descent, times = dive.reach_bottom_min - dive.leave_surface_min, run.times
    facts = zip(dive.divers, run.states, run.exposures, strict=True)
    bottom = times.leave_bottom_min - times.leave_surface_min
    inside = chamber_ascent_min(e.schedule for e in run.exposures) is not None
    return Dive(
        id=dive.id,
        item=dive.item,
        station=dive.station,
        dress_start_min=times.dress_start_min,
        leave_surface_min=times.leave_surface_min,
        reach_bottom_min=times.leave_surface_min + descent,
        leave_bottom_min=times.leave_bottom_min,
        reach_surface_min=times.reach_surface_min,
        undressed_min=times.undressed_min,
        depth_fsw=run.depth_fsw,
        bottom_time_min=bottom,
        work_min=bottom - descent,
        divers=tuple(diver_row(d.person, d.duty, d.outfit, s, e) for d, s, e in facts),
        out_of_chamber_min=times.out_min if inside else None,
    )
