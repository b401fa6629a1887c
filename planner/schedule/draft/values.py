"""The value of each stage of the objective on a draft and its crew, and the duties that a draft gives.

Worked out from times and names alone, so that they can be compared with what a model says.
"""

from __future__ import annotations

from itertools import pairwise

from planner.job.duties import DIVER, STANDBY
from planner.plan.changed import HeldDuty
from planner.schedule.draft.build import exposures_of
from planner.schedule.draft.draft import Crew, Draft
from planner.schedule.problem.problem import Problem

#: Duties as they are compared with those of a plan in force.
HeldDuties = frozenset[HeldDuty]


def work_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Priority-weighted minutes of work."""
    under = sum(
        problem.dives[d.work].weight * (d.bottom_time_min - problem.dives[d.work].descent_min)
        for d in draft.dives
    )
    above = sum(problem.tasks[t.task].weight * problem.tasks[t.task].item.duration_min for t in draft.tasks)
    return under + above


def margin_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Minutes missing to the margin wanted, summed over the dives, each by the diver who has the fewest."""
    short = 0
    for one, exposures in zip(draft.dives, exposures_of(problem, draft), strict=True):
        left = min((e.row_left_min for _, e in exposures), default=0)
        short += max(0, problem.dives[one.work].margin_min - left)
    return short


def finish_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Minute of the job at which the last diver is undressed and the last task done, as it counts."""
    ends = [d.undressed_min for d in draft.dives]
    ends += [t.start_min + problem.tasks[t.task].item.duration_min for t in draft.tasks]
    return problem.job.finish_counted_min(max(ends)) if ends else 0


def decompression_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Minutes on the way up, summed over everyone in the water."""
    return sum(-(-e.schedule.ascent_s // 60) for each in exposures_of(problem, draft) for _, e in each)


def nitrogen_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Repetitive groups at surfacing as numbers (A is 1), summed over everyone in the water."""
    rank_after = problem.job.tables.rank_after
    return sum(rank_after(e.group_after) for each in exposures_of(problem, draft) for _, e in each)


def shares_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Spread of dives over the divers plus spread of turns standing by, past dives counted."""
    past = {p.name: len(p.past_dives) for p in problem.people}
    down = {p: past[p] for p in problem.share_takers.dives}
    by = dict.fromkeys(problem.share_takers.standing_by, 0)
    for dive in draft.dives:
        for p, _ in dive.seats:
            down[p] = down.get(p, past[p]) + 1
        for p in dive.standby:
            by[p] = by.get(p, 0) + 1
    return sum(max(v.values()) - min(v.values()) if v else 0 for v in (down, by))


def slots_of(problem: Problem, item: str) -> int:
    """How many dives an item may be split into, over all its depths."""
    return sum(problem.dives[k].slots for k in problem.by_item[item])


def same_diver_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Different working divers less one team, summed over those items."""
    beyond = 0
    for work in problem.items_under:
        if work.item.same_diver:
            works = problem.by_item[work.item.name]
            own = [d for d in draft.dives if d.work in works]
            different = {p for d in own for p, duty in d.seats if duty == DIVER}
            beyond += max(0, len(different) - work.item.divers)
    return beyond


def one_go_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Minutes between the dives of each item that is preferred in one go, summed."""
    between = 0
    for work in problem.items_under:
        if work.item.in_one_go:
            works = problem.by_item[work.item.name]
            own = [d for d in draft.dives if d.work in works]
            for before, after in pairwise(sorted(own, key=lambda d: d.leave_surface_min)):
                # One team an item: its dives follow one another.
                between += max(0, after.leave_surface_min - before.reach_surface_min)
    return between


def person_days(problem: Problem, draft: Draft, crew: Crew) -> dict[tuple[str, int], tuple[int, int]]:
    """(person, working day) → start of the first duty, or of the briefing before it, and last end of duty."""
    spells = [(s.person, s.start_min, s.end_min) for s in crew.spells]
    spells += [(person, start, end) for person, start, end, _ in draft.water_spells()]
    out: dict[tuple[str, int], tuple[int, int]] = {}
    for person, start, end in spells:
        key = person, problem.day_of(start)
        first, last = out.get(key, (start, end))
        out[key] = min(first, start), max(last, end)
    firsts: dict[str, list[int]] = {}
    for (person, _), (first, _) in out.items():
        firsts.setdefault(person, []).append(first)
    job, calls = problem.job, problem.job.calls(firsts)
    return {
        (person, day): (job.briefed_from_min(job.person(person), first, calls), last)
        for (person, day), (first, last) in out.items()
    }


def people_value(problem: Problem, draft: Draft, crew: Crew) -> int:
    """Minutes from first duty to last, summed over people and their working days."""
    return sum(last - first for first, last in person_days(problem, draft, crew).values())


def dive_numbers(draft: Draft) -> list[int]:
    """For each dive of a draft: which of its item's dives it is, from 0."""
    seen: dict[int, int] = {}
    out = []
    # With a plan in force each item has one depth (`planner.schedule.problem.prepare`): a work is an item.
    for dive in draft.dives:
        out.append(seen.get(dive.work, 0))
        seen[dive.work] = out[-1] + 1
    return out


def named_in_draft(problem: Problem, draft: Draft) -> HeldDuties:
    """Duties of the divers and standby divers."""
    out = set()
    for dive, number in zip(draft.dives, dive_numbers(draft), strict=True):
        item = problem.dives[dive.work].item.name
        out |= {(p, duty, item, number) for p, duty in dive.seats}
        out |= {(p, STANDBY, item, number) for p in dive.standby}
    return frozenset(out)


def duties_of_draft(problem: Problem, draft: Draft, crew: Crew) -> HeldDuties:
    """Every duty of a draft and its crew, as it is compared."""
    numbers = dive_numbers(draft)
    support = set()
    for spell in crew.spells:
        if spell.dive is not None:
            item = problem.dives[draft.dives[spell.dive].work].item.name
            support.add((spell.person, spell.duty, item, numbers[spell.dive]))
        else:
            task = draft.tasks[spell.task or 0].task
            support.add((spell.person, spell.duty, problem.tasks[task].item.name, 0))
    return named_in_draft(problem, draft) | support


def changes_value(problem: Problem, in_force: HeldDuties, draft: Draft, crew: Crew) -> int:
    """Changed duties of a draft and its crew."""
    return len(in_force ^ duties_of_draft(problem, draft, crew))
