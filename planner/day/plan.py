"""A whole plan by the clock: when each crew takes over, depths with the tide, times moved, work left."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping

from planner.job.base import joined
from planner.job.job import Job
from planner.job.tide import deepest_fsw, depth_with_tide_fsw
from planner.job.work import DiveItem
from planner.plan.model import Dive, DutySpell, Leftover, Plan, Reason


def bench_starts(dives: Iterable[Dive]) -> dict[str, int]:
    """Dive → when its station's crew takes over: at dressing, or when the dive before it has surfaced."""
    last_up: dict[str, int] = {}
    starts: dict[str, int] = {}
    for dive in sorted(dives, key=lambda d: (d.leave_surface_min, d.id)):
        before = last_up.get(dive.station, dive.dress_start_min)
        starts[dive.id] = max(dive.dress_start_min, before)
        last_up[dive.station] = max(before, dive.reach_surface_min)
    return starts


def depth_of(job: Job, item: DiveItem, dive: Dive) -> int:
    """Depth of a dive in fsw: that of the item, with the tide never shallower than it is at that time.

    An item whose depth follows the tide keeps a planned depth that is deeper, as far as the highest water has
    it.
    """
    deepest = deepest_fsw(job, item)
    needed = depth_with_tide_fsw(job, item, dive.leave_surface_min, dive.leave_bottom_min)
    return min(deepest, max(deepest if needed is None else needed, dive.depth_fsw))


def plan_later(plan: Plan, by_min: int) -> Plan:
    """A plan with every time moved by some minutes, under 0 for earlier."""
    return plan.replace(
        dives=tuple(d.later(by_min) for d in plan.dives),
        surface_tasks=tuple(t.later(by_min) for t in plan.surface_tasks),
        duties=tuple(s.later(by_min) for s in plan.duties),
    )


def tasks_later(plan: Plan, items: Container[str], by_min: int) -> Plan:
    """A plan with some surface tasks, and the duties of them, moved by some minutes."""
    return plan.replace(
        surface_tasks=tuple(t.later(by_min) if t.item in items else t for t in plan.surface_tasks),
        duties=tuple(s.later(by_min) if s.dive is None and s.item in items else s for s in plan.duties),
    )


def on_duty_min(spells: Iterable[DutySpell]) -> int:
    """Minutes on duty in one person's duties; two held at once count once."""
    return sum(end - start for start, end in joined((s.start_min, s.end_min) for s in spells))


def weighted_min(plan: Plan, job: Job) -> int:
    """Minutes done times the weight of each item's priority."""
    weights = job.rules.priority_weights
    return sum(weights[item.priority - 1] * plan.worked_min(item.name) for item in job.items)


def weighted_needed_min(job: Job) -> int:
    """Minutes asked for times the weight of each item's priority."""
    weights = job.rules.priority_weights
    return sum(weights[i.priority - 1] * i.needed_min for i in job.items)


def left_over(
    plan: Plan, job: Job, reasons: Mapping[str, tuple[Reason, ...]], otherwise: str
) -> tuple[Leftover, ...]:
    """What a plan leaves undone, in the order of the job's items, each with its reasons or a sentence."""
    unknown = (Reason(rule=None, sentence=otherwise),)
    done = {item.name: plan.worked_min(item.name) for item in job.items}
    return tuple(
        Leftover(
            item=item.name,
            planned_min=done[item.name],
            needed_min=item.needed_min,
            reasons=reasons.get(item.name) or unknown,
        )
        for item in job.items
        if done[item.name] < item.needed_min
    )
