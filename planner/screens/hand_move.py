"""A plan with something in it moved by hand: times, a station, who dives, who holds a post, who swaps.

Only what was asked is changed; what follows from it is worked out again in `planner.screens.hand_follow`.
No solver in here: that a move breaks a rule is for the verdict to say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from planner.job import DiveItem, Gear, Item, Job, Outfit, SurfaceItem
from planner.job.base import parse_clock
from planner.job.duties import DIVER, STANDBY, WATER_DUTIES, duty_qualifies
from planner.plan.model import Dive, DiverExposure, DutySpell, Plan
from planner.screens.hand_follow import worked_out

#: Duties that are held in an outfit.
DRESSED = WATER_DUTIES | {STANDBY}


@dataclass(frozen=True)
class Takes:
    """One person takes a post from another.

    Parameters
    ----------
    item
        The item of the dive or of the task.
    duty, was, now
        The duty, who holds it, who is to hold it.
    dive
        Id of the dive; None for a task on deck.
    """

    item: str
    duty: str
    was: str
    now: str
    dive: str | None = None


@dataclass(frozen=True)
class Move:
    """What is moved; what is None stays.

    Parameters
    ----------
    dive, task
        Id of the dive, or item of the task on deck, that is moved; both None when only people change.
    start_min
        Job minute of leaving the surface, or of the task's start.
    bottom_time_min
        Minutes from leave surface to leave bottom.
    station
        From where the dive is made.
    takes
        Who takes which post from whom.
    """

    dive: str | None = None
    task: str | None = None
    start_min: int | None = None
    bottom_time_min: int | None = None
    station: str | None = None
    takes: tuple[Takes, ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether all stays as it is."""
        return not self.takes and all(
            part is None for part in (self.start_min, self.bottom_time_min, self.station)
        )


def may_dive(job: Job, item: DiveItem, duty: str = DIVER) -> tuple[str, ...]:
    """People for a duty in dress: rated to the item's depth, with its certificates.

    Hours and limits are for the verdict.
    """
    return tuple(
        p.name
        for p in job.people
        if duty_qualifies(p.duties, duty)
        and p.depth_rating_fsw >= item.depth_fsw
        and item.certificates <= {c.name for c in p.certificates}
    )


def may_hold(job: Job, item: Item, duty: str) -> tuple[str, ...]:
    """People who may be posted to a duty on the item."""
    if isinstance(item, DiveItem) and duty in DRESSED:
        return may_dive(job, item, duty)
    return tuple(p.name for p in job.people if duty_qualifies(p.duties, duty))


def read_time(job: Job, text: str, near_min: int) -> int:
    """``0700`` or ``07:00`` as a job minute, in the working day in which ``near_min`` lies.

    Raises
    ------
    ValueError
        When the text is no time of day.
    """
    wall = parse_clock(text)
    day = job.clock.day_of(near_min)
    on = [job.clock.minute_on(day + timedelta(days=d), wall) for d in (0, -1, 1)]
    window = next((w for w in job.day_windows if w.start_min <= near_min <= w.end_min), None)
    inside = [m for m in on if window is not None and window.start_min <= m <= window.end_min]
    return (inside or on)[0]


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
    timed = worked_out(_task_moved(_dive_moved(plan, move), move), job, plan)
    if not move.takes:
        return timed
    best = worked_out(_taken(timed, move.takes), job, timed)
    for take in move.takes:
        if take.dive is not None and take.duty in DRESSED:
            tried = [_dressed(best, take, outfit) for outfit in _outfits(best, job, take)]
            best = min((best, *(worked_out(p, job, best) for p in tried)), key=count_breaches)
    return best


def _dive_moved(plan: Plan, move: Move) -> Plan:
    def shifted(dive: Dive) -> Dive:
        if dive.id != move.dive:
            return dive
        leave = dive.leave_surface_min if move.start_min is None else move.start_min
        bottom = dive.bottom_time_min if move.bottom_time_min is None else move.bottom_time_min
        by = leave - dive.leave_surface_min
        longer = by + bottom - dive.bottom_time_min
        out = dive.out_of_chamber_min
        return dive.replace(
            station=move.station or dive.station,
            dress_start_min=dive.dress_start_min + by,
            leave_surface_min=leave,
            leave_bottom_min=leave + bottom,
            bottom_time_min=bottom,
            reach_surface_min=dive.reach_surface_min + longer,
            undressed_min=dive.undressed_min + longer,
            out_of_chamber_min=None if out is None else out + longer,
        )

    def stationed(spell: DutySpell) -> DutySpell:
        there = move.station is not None and spell.dive is not None and spell.dive == move.dive
        return spell.replace(station=move.station) if there else spell

    return plan.replace(
        dives=tuple(shifted(d) for d in plan.dives), duties=tuple(stationed(s) for s in plan.duties)
    )


def _task_moved(plan: Plan, move: Move) -> Plan:
    task = next((t for t in plan.surface_tasks if t.item == move.task), None)
    if task is None or move.start_min is None:
        return plan
    by = move.start_min - task.start_min
    return plan.replace(
        surface_tasks=tuple(
            t.replace(start_min=t.start_min + by, end_min=t.end_min + by) if t.item == move.task else t
            for t in plan.surface_tasks
        ),
        duties=tuple(
            s.replace(start_min=s.start_min + by, end_min=s.end_min + by)
            if s.dive is None and s.item == move.task
            else s
            for s in plan.duties
        ),
    )


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
    kind: Gear = job.dive_item(take.item).gear
    worn = {s.outfit for s in plan.duties if s.person == take.now and s.dive != take.dive}
    fit = [o.name for o in job.outfits if o.kind is kind and _ready(o)]
    return sorted(fit, key=lambda name: name not in worn)


def _ready(outfit: Outfit) -> bool:
    return outfit.state.value == "ready"


def crew_of(job: Job, item: str) -> tuple[str, ...]:
    """Duties that a task on deck asks for."""
    found = job.item(item)
    return tuple(need.duty for need in found.crew) if isinstance(found, SurfaceItem) else ()
