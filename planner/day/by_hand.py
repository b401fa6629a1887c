"""A plan changed by hand: times, a station, who dives, who holds a post, who swaps; and what follows from it.

Only what was asked is changed; times that follow from it and what the tables say of every dive are worked out
again. No rule is weighed in here: whether the changed plan holds is for the check alone to say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.day.briefings import with_briefings
from planner.day.dive import (
    DiveTimes,
    Moment,
    chamber_ascent_min,
    descent_min,
    held_from_to,
    still_in_dress,
    times_of,
    water_ascent_min,
)
from planner.day.divers import AfterDive, AtLeave, allowed_exposure, at_leave, brought_in, diver_row
from planner.day.plan import bench_starts, depth_of, left_over, tasks_later
from planner.job import DiveItem, Item, Job, OutfitState, Pin
from planner.job.duties import BRIEFING, DIVER, DRESSED_DUTIES, duty_qualifies
from planner.plan.model import Dive, DiverExposure, DutySpell, Plan, Status
from planner.tables import Exposure, options_for

#: Said of an item that is left over only because of the move.
BY_HAND = "A dive or a task on it was moved by hand."


def worked_out(plan: Plan, job: Job, before: Plan) -> Plan:
    """The plan with everything that follows from its leaving times, bottom times and divers.

    Parameters
    ----------
    plan
        Dives and people as they are to be; its ways up, groups and leftovers may be those of before.
    before
        The plan whose dives the posts of ``plan`` still stand by.
    """
    carried = brought_in(job)
    dives: dict[str, Dive] = {}
    for dive in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id)):
        dives[dive.id] = _followed(dive, job, carried)
    plan = plan.replace(dives=tuple(dives[d.id] for d in plan.dives))
    told = {left.item: left.reasons for left in plan.leftovers}
    moved_plan = plan.replace(
        status=Status.FEASIBLE,
        stages=(),
        duties=_moved_posts(plan, before),
        leftovers=left_over(plan, job, told, BY_HAND),
    )
    return with_briefings(job, moved_plan, _briefed_otherwise(before, job))


def _briefed_otherwise(plan: Plan, job: Job) -> tuple[DutySpell, ...]:
    """Briefings that do not lie where they follow from the duties: held, or moved by hand. They stay."""
    follow = {s for s in with_briefings(job, plan).duties if s.duty == BRIEFING}
    return tuple(s for s in plan.duties if s.duty == BRIEFING and s not in follow)


def _followed(dive: Dive, job: Job, carried: dict[str, AfterDive]) -> Dive:
    """A dive as its times and divers make it; what its divers take from it goes into ``carried``."""
    item = job.dive_item(dive.item)
    depth, options = depth_of(job, item, dive), options_for(job, item)
    bottom_time = dive.leave_bottom_min - dive.leave_surface_min
    found: dict[str, tuple[AtLeave, Exposure | None]] = {}
    for diver in dive.divers:
        state = at_leave(carried.get(diver.person), dive.leave_surface_min)
        known = state.hindrance is None
        exposure = allowed_exposure(depth, bottom_time, state.group, options) if known else None
        found[diver.person] = (state, exposure)
    schedules = [e.schedule for _, e in found.values() if e is not None]
    up = dive.reach_surface_min
    if schedules:
        up = dive.leave_bottom_min + water_ascent_min(schedules)
    inside = chamber_ascent_min(schedules)
    reached = dive.leave_surface_min + descent_min(depth, job.rules)
    out = None if inside is None else dive.leave_bottom_min + inside
    for person, (_, exposure) in found.items():
        after = None if exposure is None else exposure.group_after
        carried[person] = AfterDive(job.tables, up if out is None else out, after, exposure is not None)
    return dive.replace(
        depth_fsw=depth,
        reach_bottom_min=reached,
        work_min=dive.leave_bottom_min - reached,
        reach_surface_min=up,
        undressed_min=dive.undressed_min + up - dive.reach_surface_min,
        out_of_chamber_min=out,
        divers=tuple(_exposed(d, *found[d.person]) for d in dive.divers),
    )


def _exposed(diver: DiverExposure, state: AtLeave, exposure: Exposure | None) -> DiverExposure:
    if exposure is None:
        # What the tables refuse is told by the verdict; the row before stands for it.
        return diver.replace(group_before=state.group, surface_interval_min=state.interval_min)
    return diver_row(diver.person, diver.duty, diver.outfit, state, exposure)


def _moved_posts(plan: Plan, before: Plan) -> tuple[DutySpell, ...]:
    """Posts held over a dive, moved with it."""
    old, new = _times(before), _times(plan)
    moved = (
        _follows(s, old[s.dive], new[s.dive]) if s.dive in old and s.dive in new else s for s in plan.duties
    )
    return still_in_dress(plan.duties, moved)


def _times(plan: Plan) -> dict[str, DiveTimes]:
    bench = bench_starts(plan.dives)
    return {d.id: times_of(d, bench[d.id]) for d in plan.dives}


def _follows(spell: DutySpell, old: DiveTimes, new: DiveTimes) -> DutySpell:
    hangs = held_from_to(spell, old)
    start, end = hangs.span(new)
    if hangs.end is Moment.SURFACE and spell.start_min >= old.reach_surface_min:
        # Who helps a standby diver out of dress begins when the dive is up, however long it lasts.
        start = spell.start_min + new.reach_surface_min - old.reach_surface_min
    if hangs.end is Moment.SURFACE and spell.end_min <= old.leave_surface_min:
        # And into dress: done before the dive leaves the surface.
        end = spell.end_min + new.leave_surface_min - old.leave_surface_min
    if start >= end:
        # The dive lies within another one on its station: its crew starts at dressing, and the verdict
        # tells of two dives at once instead of a duty that ends before it starts.
        start = min(new.dress_start_min, end - 1)
    return spell.replace(start_min=start, end_min=end)


@dataclass(frozen=True)
class Takes:
    """One person takes a post from another."""

    item: str
    """The item of the dive or of the task."""
    duty: str
    was: str
    now: str
    """The duty, who holds it, who is to hold it."""
    dive: str | None = None
    """Id of the dive; None for a task on deck."""


@dataclass(frozen=True)
class Move:
    """What is moved; what is None stays."""

    dive: str | None = None
    task: str | None = None
    """Id of the dive, or item of the task on deck, that is moved; both None when only people change."""
    briefing_min: int | None = None
    """Start of the briefing that is moved, of all who are in it."""
    start_min: int | None = None
    """Job minute of leaving the surface, or of the start of the task or the briefing."""
    bottom_time_min: int | None = None
    """Minutes from leave surface to leave bottom."""
    station: str | None = None
    """From where the dive is made."""
    free_min: int | None = None
    """Minutes that its station is to stay free behind the dive: a pin alone, the plan stays as it is."""
    takes: tuple[Takes, ...] = ()
    """Who takes which post from whom."""
    away: Pin | None = None
    """A break: its pin, by which the person has no duty from when to when."""
    along: bool = False
    """What follows on the dive or the task moves by as much as its end does (`follow`)."""

    @property
    def nothing(self) -> bool:
        return (
            not self.takes
            and self.away is None
            and all(
                part is None for part in (self.start_min, self.bottom_time_min, self.station, self.free_min)
            )
        )


def may_dive(job: Job, item: DiveItem, duty: str = DIVER) -> tuple[str, ...]:
    """People for a duty in dress: rated to the item's depth, with its certificates and the duty's.

    Hours and limits are for the verdict.
    """
    return tuple(
        p.name
        for p in job.people
        if duty_qualifies(p.duties, duty)
        and p.depth_rating_fsw >= item.depth_fsw
        and item.certificates | job.rules.certificates_for(duty) <= {c.name for c in p.certificates}
    )


def may_hold(job: Job, item: Item, duty: str) -> tuple[str, ...]:
    """People who may be posted to a duty on the item."""
    if isinstance(item, DiveItem) and duty in DRESSED_DUTIES:
        return may_dive(job, item, duty)
    asked = job.rules.certificates_for(duty)
    return tuple(
        p.name
        for p in job.people
        if duty_qualifies(p.duties, duty) and asked <= {c.name for c in p.certificates}
    )


def swap(plan: Plan, one: str, other: str, dives: tuple[str, ...], tasks: tuple[str, ...]) -> Move:
    """Two people in each other's posts, on the dives and the tasks that are named.

    A post that both hold on the same dive stays as it is: there is nothing to swap in it.
    """
    takes: dict[Takes, None] = {}
    for spell in plan.duties:
        named = spell.item in tasks if spell.dive is None else spell.dive in dives
        if not named or spell.person not in (one, other):
            continue
        now = other if spell.person == one else one
        if not any(_same_post(spell, s) and s.person == now for s in plan.duties):
            takes[Takes(spell.item, spell.duty, spell.person, now, spell.dive)] = None
    return Move(takes=tuple(takes))


def _same_post(one: DutySpell, other: DutySpell) -> bool:
    return (one.dive, one.item, one.duty) == (other.dive, other.item, other.duty)


def moved(plan: Plan, job: Job, move: Move, count_breaches: Callable[[Plan], int]) -> Plan:
    """The plan with the move made.

    Parameters
    ----------
    count_breaches
        How many rules a plan breaks: whoever comes into dress gets the outfit with which it breaks fewest.
    """
    if move.away is not None:
        away = job.replace(pins=(*job.pins, move.away))
        made = with_briefings(away, plan, _briefed_otherwise(plan, job))
        return made.replace(status=Status.FEASIBLE, stages=())
    if move.briefing_min is not None:
        return _briefing_moved(plan, move)
    timed = worked_out(_task_moved(_dive_moved(plan, move), move), job, plan)
    if move.along:
        by_min = _end_min(timed, move) - _end_min(plan, move)
        timed = worked_out(_later(timed, follow(plan, job, move), by_min), job, timed)
    if not move.takes:
        return timed
    best = worked_out(_taken(timed, move.takes), job, timed)
    for take in move.takes:
        if take.dive is not None and take.duty in DRESSED_DUTIES and count_breaches(best):
            tried = [_dressed(best, take, outfit) for outfit in _outfits(best, job, take)]
            best = min((best, *(worked_out(p, job, best) for p in tried)), key=count_breaches)
    return best


@dataclass(frozen=True)
class Following:
    """Dives by id and tasks by item that follow on something."""

    dives: frozenset[str] = frozenset()
    tasks: frozenset[str] = frozenset()


def follow(plan: Plan, job: Job, move: Move) -> Following:
    """What follows on the dive or the task of a move, on the same day.

    That is whatever starts no earlier and shares a person, an outfit or the station with it, or comes after
    its item; and so on from there.
    """
    begins: dict[tuple[str, str | None], tuple[int, str, str | None]] = {
        **{("dive", d.id): (d.dress_start_min, d.item, d.station) for d in plan.dives},
        **{("task", t.item): (t.start_min, t.item, None) for t in plan.surface_tasks},
    }
    first = ("dive", move.dive) if move.dive is not None else ("task", move.task)
    if first not in begins:
        return Following()
    from_min = begins[first][0]
    day_end = min((w.end_min for w in job.day_windows if w.end_min >= from_min), default=from_min)
    later = sorted((k for k, b in begins.items() if from_min <= b[0] <= day_end), key=lambda k: begins[k][0])
    held: set[str] = set()
    items: set[str] = set()
    found: list[tuple[str, str | None]] = []
    for key in [first, *(k for k in later if k != first)]:
        _, item, station = begins[key]
        own = [s for s in plan.duties if (s.dive == key[1] if key[0] == "dive" else _on_deck(s, item))]
        uses = {f"station {station}"} if station is not None else set()
        uses |= {f"person {s.person}" for s in own} | {f"outfit {s.outfit}" for s in own if s.outfit}
        if key == first or held & uses or any(a.item in items for a in job.item(item).after):
            found.append(key)
            held |= uses
            items.add(item)
    dives, tasks = ({str(k[1]) for k in found[1:] if k[0] == what} for what in ("dive", "task"))
    return Following(frozenset(dives), frozenset(tasks))


def _on_deck(spell: DutySpell, task: str) -> bool:
    return spell.dive is None and spell.item == task and spell.duty != BRIEFING


def _end_min(plan: Plan, move: Move) -> int:
    """When what is moved ends: at the surface, or the task done."""
    ends = [d.reach_surface_min for d in plan.dives if d.id == move.dive]
    ends += [t.end_min for t in plan.surface_tasks if t.item == move.task]
    return max(ends, default=0)


def _later(plan: Plan, following: Following, by_min: int) -> Plan:
    """Dives and tasks that follow, with the tasks' duties, so many minutes later; under 0 for earlier."""
    dives = tuple(d.later(by_min) if d.id in following.dives else d for d in plan.dives)
    return tasks_later(plan.replace(dives=dives), following.tasks, by_min)


def _dive_moved(plan: Plan, move: Move) -> Plan:
    def shifted(dive: Dive) -> Dive:
        if dive.id != move.dive:
            return dive
        leave = dive.leave_surface_min if move.start_min is None else move.start_min
        bottom = dive.bottom_time_min if move.bottom_time_min is None else move.bottom_time_min
        there, longer = dive.later(leave - dive.leave_surface_min), bottom - dive.bottom_time_min
        out = there.out_of_chamber_min
        return there.replace(
            station=move.station or dive.station,
            leave_bottom_min=leave + bottom,
            bottom_time_min=bottom,
            reach_surface_min=there.reach_surface_min + longer,
            undressed_min=there.undressed_min + longer,
            out_of_chamber_min=None if out is None else out + longer,
        )

    def stationed(spell: DutySpell) -> DutySpell:
        there = move.station is not None and spell.dive is not None and spell.dive == move.dive
        return spell.replace(station=move.station) if there else spell

    return plan.replace(
        dives=tuple(shifted(d) for d in plan.dives), duties=tuple(stationed(s) for s in plan.duties)
    )


def _briefing_moved(plan: Plan, move: Move) -> Plan:
    by = 0 if move.start_min is None or move.briefing_min is None else move.start_min - move.briefing_min
    duties = (
        s.later(by) if s.duty == BRIEFING and s.start_min == move.briefing_min else s for s in plan.duties
    )
    in_order = sorted(duties, key=lambda s: (s.start_min, s.dive or "", s.duty, s.person))
    return plan.replace(status=Status.FEASIBLE, stages=(), duties=tuple(in_order))


def _task_moved(plan: Plan, move: Move) -> Plan:
    task = next((t for t in plan.surface_tasks if t.item == move.task), None)
    if task is None or move.start_min is None:
        return plan
    return tasks_later(plan, {task.item}, move.start_min - task.start_min)


def _taken(plan: Plan, takes: tuple[Takes, ...]) -> Plan:
    """All posts changed at once, each in the outfit that goes with the post."""
    by_post = {(t.dive, t.item, t.duty, t.was): t.now for t in takes}

    def seat(dive: Dive, diver: DiverExposure) -> DiverExposure:
        now = by_post.get((dive.id, dive.item, diver.duty, diver.person))
        return diver if now is None else diver.replace(person=now)

    def spell(old: DutySpell) -> DutySpell:
        now = by_post.get((old.dive, old.item, old.duty, old.person))
        return old if now is None else old.replace(person=now)

    return plan.replace(
        dives=tuple(d.replace(divers=tuple(seat(d, x) for x in d.divers)) for d in plan.dives),
        duties=tuple(spell(s) for s in plan.duties),
    )


def _dressed(plan: Plan, take: Takes, outfit: str) -> Plan:
    """The plan with the one who takes a post in that outfit."""

    def seat(diver: DiverExposure) -> DiverExposure:
        mine = (diver.duty, diver.person) == (take.duty, take.now)
        return diver.replace(outfit=outfit) if mine else diver

    return plan.replace(
        dives=tuple(
            d.replace(divers=tuple(seat(x) for x in d.divers)) if d.id == take.dive else d for d in plan.dives
        ),
        duties=tuple(
            s.replace(outfit=outfit) if (s.dive, s.duty, s.person) == (take.dive, take.duty, take.now) else s
            for s in plan.duties
        ),
    )


def _outfits(plan: Plan, job: Job, take: Takes) -> list[str]:
    """Ready outfits of the item's kind, those that the person wears elsewhere in the plan first."""
    kind = job.dive_item(take.item).gear
    worn = {s.outfit for s in plan.duties if s.person == take.now and s.dive != take.dive}
    fit = [o.name for o in job.outfits if o.kind is kind and o.state is OutfitState.READY]
    return sorted(fit, key=lambda name: name not in worn)
