"""A re-timed day as a full plan, so that it can be checked, shown and printed like any other."""

from __future__ import annotations

from planner.day import dressing_of, left_over, still_in_dress, with_briefings
from planner.job.duties import BRIEFING
from planner.plan.model import DutySpell, Plan, Status, SurfaceTask
from planner.whatif.retime import DrawnDay
from planner.whatif.ties import TiedPlan


def plan_of(tied: TiedPlan, day: DrawnDay) -> Plan:
    """The plan that a re-timed day comes to, without any claim on how good it is.

    The work counted is what was done on the bottom, never more than the item needs as planned.
    """
    plan, job = tied.plan, tied.job
    dives, tasks, duties = [], [], []
    down = {run.piece.dive.id for run in day.runs if run.made and run.piece.dive is not None}
    for run in day.runs:
        if not run.made:
            continue
        if run.piece.dive is not None:
            dives.append(run.as_dive())
        else:
            tasks.append(
                SurfaceTask(
                    item=run.piece.item.name, start_min=run.times.leave_surface_min, end_min=run.up_min
                )
            )
        for held in run.piece.held:
            start, end = held.hangs.span(run.times)
            if held.dressed_from is not None and held.dressed_from not in down:
                start = run.times.leave_surface_min - dressing_of(job, run.piece.item)[0]
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
        duties=tuple(
            sorted(
                still_in_dress(plan.duties, duties),
                key=lambda d: (d.start_min, d.dive or "", d.duty, d.person),
            )
        ),
    )
    # However the day goes, the crew's one briefing was held when they were called for.
    held = [s for s in plan.duties if s.duty == BRIEFING and job.one_briefing_days]
    made = with_briefings(job, made, held)
    return made.replace(leftovers=left_over(made, job, {}, "Under this draw: less work done."))
