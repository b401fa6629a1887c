"""What follows from a thing moved by hand: the way up, posts, groups, what is left over.

Times that follow from a move and what the tables say of every dive are worked out again, so that the
verdict speaks of the move and not of loose ends.
"""

from __future__ import annotations

import math

from planner.check.exposures import TrueExposure, TrueExposures
from planner.check.facts import Facts, KnownDive
from planner.job import Job
from planner.job.duties import TENDER, WATER_DUTIES
from planner.plan.model import Dive, DiverExposure, DutySpell, Leftover, Plan, Reason, Status

#: Said of an item that is left over only because of the move.
BY_HAND = "A dive or a task on it was moved by hand."


def worked_out(plan: Plan, job: Job, before: Plan) -> Plan:
    """The plan with everything that follows from its leaving times, bottom times and divers.

    Parameters
    ----------
    before
        The plan whose dives the posts of ``plan`` still stand by.
    """
    # A longer way up moves a diver's next dive's group, which moves that dive's way up: once for each dive.
    for _ in range(len(plan.dives) + 1):
        again = _once(plan, job)
        if again == plan:
            break
        plan = again
    return plan.replace(
        status=Status.FEASIBLE,
        stages=(),
        duties=_spells(plan, before, job),
        leftovers=tuple(_leftovers(plan, job)),
    )


def _once(plan: Plan, job: Job) -> Plan:
    facts = Facts(plan, job)
    exposures = TrueExposures(facts)
    return plan.replace(
        dives=tuple(
            _followed(facts.dive_by_id[d.id], exposures, job) if d.id in facts.dive_by_id else d
            for d in plan.dives
        )
    )


def _followed(known: KnownDive, exposures: TrueExposures, job: Job) -> Dive:
    dive = known.dive
    bottom = dive.leave_surface_min + math.ceil(known.depth_fsw / job.rules.descent_fsw_per_min)
    ascent, chamber = exposures.ascent_min(dive.id), exposures.chamber_min(dive.id)
    surface = dive.reach_surface_min if ascent is None else dive.leave_bottom_min + ascent
    told = {e.person: e for e in exposures.of_dive(dive.id)}
    return dive.replace(
        depth_fsw=known.depth_fsw,
        reach_bottom_min=bottom,
        work_min=dive.leave_bottom_min - bottom,
        reach_surface_min=surface,
        undressed_min=dive.undressed_min + surface - dive.reach_surface_min,
        out_of_chamber_min=None if chamber is None else dive.leave_bottom_min + chamber,
        divers=tuple(_exposed(d, told.get(d.person)) for d in dive.divers),
    )


def _exposed(diver: DiverExposure, true: TrueExposure | None) -> DiverExposure:
    if true is None:
        return diver
    known = diver.replace(group_before=true.group_before, surface_interval_min=true.interval_min)
    if true.exposure is None:
        # What the tables refuse is told by the verdict; the row before stands for it.
        return known
    return known.replace(
        residual_nitrogen_min=true.exposure.residual_nitrogen_min,
        equivalent_min=true.exposure.equivalent_min,
        group_after=true.exposure.group_after,
        schedule=true.exposure.schedule,
    )


def _spells(plan: Plan, before: Plan, job: Job) -> tuple[DutySpell, ...]:
    """Posts held over a dive, moved with it."""
    old, new = Facts(before, job).dive_by_id, Facts(plan, job).dive_by_id
    return tuple(
        _follows(s, old[s.dive], new[s.dive], job) if s.dive in old and s.dive in new else s
        for s in plan.duties
    )


def _follows(spell: DutySpell, old: KnownDive, new: KnownDive, job: Job) -> DutySpell:
    watch = job.rules.chamber_watch_min
    was, now = old.span_of(spell.duty, watch), new.span_of(spell.duty, watch)
    if spell.duty in WATER_DUTIES or spell.duty == TENDER:
        # A diver is not free before he is out of the chamber.
        in_water = spell.duty in WATER_DUTIES
        was = (was[0], max(was[1], old.dive.out_min) if in_water else was[1])
        now = (now[0], max(now[1], new.dive.out_min) if in_water else now[1])
    start = now[0] if spell.start_min == was[0] else spell.start_min + now[0] - was[0]
    end = now[1] if spell.end_min == was[1] else spell.end_min + now[1] - was[1]
    if start >= end:
        # The dive lies within another one on its station: its crew starts at dressing, and the verdict
        # tells of two dives at once instead of a duty that ends before it starts.
        start = min(new.dive.dress_start_min, end - 1)
    return spell.replace(start_min=start, end_min=end)


def _leftovers(plan: Plan, job: Job) -> list[Leftover]:
    told = {left.item: left for left in plan.leftovers}
    facts = Facts(plan, job)
    found = []
    for item in job.items:
        done, needed = facts.worked_min(item.name), facts.needed_min(item.name)
        if done < needed:
            reasons = told[item.name].reasons if item.name in told else (Reason(rule=None, sentence=BY_HAND),)
            found.append(Leftover(item=item.name, planned_min=done, needed_min=needed, reasons=reasons))
    return found
