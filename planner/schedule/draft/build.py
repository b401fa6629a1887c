"""From a draft and its crew to the finished `Plan`, with the exposures taken from the tables again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from planner.day import (
    AfterDive,
    AtLeave,
    at_leave,
    chamber_ascent_min,
    diver_row,
    left_over,
    water_ascent_min,
    with_briefings,
)
from planner.job.duties import STANDBY
from planner.plan.model import Dive, DutySpell, Plan, Reason, Stage, Status, SurfaceTask
from planner.schedule.draft.draft import Crew, Draft, DraftDive
from planner.schedule.problem.problem import Problem
from planner.table_sets import TableSet
from planner.tables import Exposure, plan_exposure
from planner.tables.schedule import NO_STOP

#: The divers of a dive in the order of its seats: each at leave surface, and the exposure by the tables.
Exposures = list[tuple[AtLeave, Exposure]]


def build_plan(
    problem: Problem,
    draft: Draft,
    crew: Crew,
    *,
    status: Status,
    stages: tuple[Stage, ...] = (),
    reasons: Mapping[str, tuple[Reason, ...]] | None = None,
    seconds: float = 0.0,
    seed: int = 0,
    workers: int = 0,
) -> Plan:
    """The plan of a draft. Every group, residual nitrogen time and schedule comes from the tables."""
    dives: list[Dive] = []
    duties: list[DutySpell] = []
    for k, (one, exposures) in enumerate(zip(draft.dives, exposures_of(problem, draft), strict=True)):
        data, name = problem.dives[one.work], f"D{k + 1}"
        spells = [(p, duty, one.dress_start_min, one.held_until_min) for p, duty in one.seats]
        spells += [(p, STANDBY, *one.standing) for p in one.standby]
        duties += [
            DutySpell(
                person=person,
                duty=duty,
                start_min=start,
                end_min=end,
                dive=name,
                item=data.item.name,
                station=one.station,
                outfit=crew.outfits[k, person],
            )
            for person, duty, start, end in spells
        ]
        dives.append(
            Dive(
                id=name,
                item=data.item.name,
                station=one.station,
                dress_start_min=one.dress_start_min,
                leave_surface_min=one.leave_surface_min,
                reach_bottom_min=one.leave_surface_min + data.descent_min,
                leave_bottom_min=one.leave_surface_min + one.bottom_time_min,
                reach_surface_min=one.reach_surface_min,
                undressed_min=one.undressed_min,
                out_of_chamber_min=one.out_of_chamber_min,
                depth_fsw=data.item.depth_fsw,
                bottom_time_min=one.bottom_time_min,
                work_min=one.bottom_time_min - data.descent_min,
                divers=tuple(
                    diver_row(person, duty, crew.outfits[k, person], state, exposure)
                    for (person, duty), (state, exposure) in zip(one.seats, exposures, strict=True)
                ),
            )
        )
    for spell in crew.spells:
        dive = None if spell.dive is None else dives[spell.dive]
        task = None if spell.task is None else problem.tasks[draft.tasks[spell.task].task].item.name
        duties.append(
            DutySpell(
                person=spell.person,
                duty=spell.duty,
                start_min=spell.start_min,
                end_min=spell.end_min,
                item=(task or "") if dive is None else dive.item,
                station=None if dive is None else dive.station,
                dive=None if dive is None else dive.id,
            )
        )
    plan = Plan(
        job_name=problem.job.site.name,
        status=status,
        stages=stages,
        dives=tuple(dives),
        surface_tasks=tuple(
            SurfaceTask(
                item=problem.tasks[t.task].item.name,
                start_min=t.start_min,
                end_min=t.start_min + problem.tasks[t.task].item.duration_min,
            )
            for t in draft.tasks
        ),
        duties=tuple(sorted(duties, key=lambda d: (d.start_min, d.dive or "", d.duty, d.person))),
        seconds=round(seconds, 2),
        seed=seed,
        workers=workers,
    )
    plan = with_briefings(problem.job, plan)
    otherwise = "Not placed in this plan; the search has not yet shown whether it could be."
    return plan.replace(leftovers=left_over(plan, problem.job, reasons or {}, otherwise))


def exposures_of(problem: Problem, draft: Draft) -> list[Exposures]:
    """For each dive of a draft, in order: its divers' states and exposures, from the groups of the day.

    Raises
    ------
    TableRefusal
        The tables or the policy refuse a dive.
    """
    carried = dict(problem.brought_in)
    out = []
    for one in draft.dives:
        found = _exposures(problem, one, one.leave_surface_min, carried)
        carried |= _after(problem.job.tables, one, one.out_min, found)
        out.append(found)
    return out


def _exposures(problem: Problem, one: DraftDive, leave_min: int, carried: dict[str, AfterDive]) -> Exposures:
    """The divers of one dive, leaving the surface at a minute."""
    data = problem.dives[one.work]
    states = [at_leave(carried.get(person), leave_min) for person, _ in one.seats]
    depth = data.item.depth_fsw
    return [(s, plan_exposure(depth, one.bottom_time_min, s.group, data.options)) for s in states]


def _after(tables: TableSet, one: DraftDive, out_min: int, exposures: Exposures) -> dict[str, AfterDive]:
    """What a dive leaves its divers with."""
    return {
        person: AfterDive(tables, out_min, exposure.group_after)
        for (person, _), (_, exposure) in zip(one.seats, exposures, strict=True)
    }


def with_true_ascents(problem: Problem, draft: Draft) -> Draft:
    """The draft with every way up as the tables give it for the divers' real groups.

    The model takes a diver's group as an upper bound, so a dive may have been given a longer way up than its
    divers need. Such a dive keeps its time of reaching the surface and leaves it later: all that follows
    stays as it was, and nobody is held longer.
    """
    carried = dict(problem.brought_in)
    dives = []
    for one in draft.dives:
        leave = one.leave_surface_min
        while True:
            exposures = _exposures(problem, one, leave, carried)
            schedules = [e.schedule for _, e in exposures]
            spare = one.reach_surface_min - leave - one.bottom_time_min - water_ascent_min(schedules)
            if spare <= 0:
                break
            leave += spare
        shift, inside = leave - one.leave_surface_min, chamber_ascent_min(schedules)
        out = None if inside is None else leave + one.bottom_time_min + inside
        carried |= _after(problem.job.tables, one, one.reach_surface_min if out is None else out, exposures)
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
                deco=any(s.way_up != NO_STOP for s in schedules),
                out_of_chamber_min=out,
            )
        )
    return Draft(tuple(sorted(dives, key=lambda d: (d.leave_surface_min, d.station))), draft.tasks)
