"""A plan with one thing in it moved by hand: another diver, another time, another holder of a post.

Only what was asked is changed; times that follow from it (reaching the bottom, the way up, the posts held
over the dive) and what the tables say of every dive are worked out again, so that the verdict speaks of
the move and not of loose ends. No solver in here: that a move breaks a rule is for the verdict to say.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from planner.job import DiveItem, Job, Outfit, Pin, PinKind
from planner.job.clock import parse_clock
from planner.job.cross_pins import pin_findings
from planner.job.words import DIVER, ENTRY_DIVER, STANDBY, TENDER, WATER_DUTIES, duty_qualifies
from planner.plan.exposures import TrueExposure, TrueExposures
from planner.plan.facts import Facts, KnownDive
from planner.plan.model import Dive, DiverExposure, DutySpell, Leftover, Plan, Reason, Status

#: Said of an item that is left over only because of the move.
BY_HAND = "A dive on it was moved by hand."


@dataclass(frozen=True)
class Move:
    """What is moved on one dive; what is None stays.

    Parameters
    ----------
    dive
        Id of the dive.
    diver
        Who dives now and who is to dive instead.
    leave_surface_min
        Job minute of leaving the surface.
    bottom_time_min
        Minutes from leave surface to leave bottom.
    holder
        A support duty, who holds it now, and who is to hold it instead.
    """

    dive: str
    diver: tuple[str, str] | None = None
    leave_surface_min: int | None = None
    bottom_time_min: int | None = None
    holder: tuple[str, str, str] | None = None

    @property
    def nothing(self) -> bool:
        """Whether all stays as it is."""
        asked = (self.diver, self.leave_surface_min, self.bottom_time_min, self.holder)
        return all(part is None for part in asked)


def may_dive(job: Job, item: DiveItem) -> tuple[str, ...]:
    """Divers rated to the item's depth who hold its certificates; hours and limits are for the verdict."""
    return tuple(
        p.name
        for p in job.people
        if DIVER in p.duties
        and p.depth_rating_fsw >= item.depth_fsw
        and item.certificates <= {c.name for c in p.certificates}
    )


def may_hold(job: Job, item: DiveItem, duty: str) -> tuple[str, ...]:
    """People who may be posted to a support duty on the item."""
    if duty == STANDBY:
        return may_dive(job, item)
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


def moved(plan: Plan, job: Job, move: Move, count_breaches: Callable[[Plan], int]) -> Plan:
    """The plan with the move made.

    Parameters
    ----------
    count_breaches
        How many rules a plan breaks: a new diver gets the outfit with which it breaks fewest.
    """
    timed = _timed(plan, job, move)
    if move.holder is not None:
        timed = _held(timed, move.dive, *move.holder)
    if move.diver is None:
        return timed
    was, now = move.diver
    own = next(d.outfit for d in _dive(plan, move.dive).divers if d.person == was)
    kind = job.dive_item(_dive(plan, move.dive).item).gear
    outfits = [own, *(o.name for o in job.outfits if o.kind is kind and o.name != own and _ready(o))]
    tried = [_worked_out(_swapped(timed, move.dive, was, now, o), job, timed) for o in outfits]
    return min(tried, key=count_breaches)


def _ready(outfit: Outfit) -> bool:
    return outfit.state.value == "ready"


def _dive(plan: Plan, name: str) -> Dive:
    return next(d for d in plan.dives if d.id == name)


def _timed(plan: Plan, job: Job, move: Move) -> Plan:
    def shifted(dive: Dive) -> Dive:
        if dive.id != move.dive:
            return dive
        leave = dive.leave_surface_min if move.leave_surface_min is None else move.leave_surface_min
        bottom = dive.bottom_time_min if move.bottom_time_min is None else move.bottom_time_min
        by = leave - dive.leave_surface_min
        longer = by + bottom - dive.bottom_time_min
        out = dive.out_of_chamber_min
        return dive.replace(
            dress_start_min=dive.dress_start_min + by,
            leave_surface_min=leave,
            leave_bottom_min=leave + bottom,
            bottom_time_min=bottom,
            reach_surface_min=dive.reach_surface_min + longer,
            undressed_min=dive.undressed_min + longer,
            out_of_chamber_min=None if out is None else out + longer,
        )

    return _worked_out(plan.replace(dives=tuple(shifted(d) for d in plan.dives)), job, plan)


def _held(plan: Plan, dive: str, duty: str, was: str, now: str) -> Plan:
    spells = tuple(
        s.replace(person=now) if (s.dive, s.duty, s.person) == (dive, duty, was) else s for s in plan.duties
    )
    return plan.replace(duties=spells)


def _swapped(plan: Plan, dive: str, was: str, now: str, outfit: str) -> Plan:
    def seat(diver: DiverExposure) -> DiverExposure:
        return diver.replace(person=now, outfit=outfit) if diver.person == was else diver

    dives = tuple(
        d.replace(divers=tuple(seat(x) for x in d.divers)) if d.id == dive else d for d in plan.dives
    )
    spells = tuple(
        s.replace(person=now, outfit=outfit)
        if s.dive == dive and s.person == was and s.duty in WATER_DUTIES
        else s
        for s in plan.duties
    )
    return plan.replace(dives=dives, duties=spells)


def _worked_out(plan: Plan, job: Job, before: Plan) -> Plan:
    """The plan with everything that follows from its leaving times, bottom times and divers."""
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


def pinned(job: Job, plan: Plan, after: Plan, move: Move) -> tuple[tuple[Pin, ...], tuple[Pin, ...]]:
    """The pins that settle the move, and those of the job that they take the place of.

    A pin that the dive on show keeps and the moved one no longer keeps is replaced; what else it settles
    goes into the new one.
    """
    dive = _dive(plan, move.dive)
    now = _dive(after, move.dive)
    given: dict[str, object] = {}
    replaced: list[Pin] = []
    new: list[Pin] = []
    if move.diver or move.leave_surface_min is not None or move.bottom_time_min is not None:
        for pin in job.pins:
            if pin.item == dive.item and _tells_of(pin, dive) and not _tells_of(pin, now):
                replaced.append(pin)
                if pin.kind is PinKind.DIVES:
                    fields = ("person", "station", "start_min", "end_min", "bottom_time_min")
                    given |= {f: getattr(pin, f) for f in fields if getattr(pin, f) is not None}
        if move.diver is not None:
            given["person"] = move.diver[1]
        if move.leave_surface_min is not None:
            given["start_min"] = move.leave_surface_min
            given.pop("end_min", None)
        if move.bottom_time_min is not None:
            given["bottom_time_min"] = move.bottom_time_min
        new.append(Pin.model_validate({"kind": PinKind.DIVES, "item": dive.item, **given}))
    if move.holder is not None:
        duty, was, holder = move.holder
        replaced += [
            p
            for p in job.pins
            if p.kind is PinKind.HOLDS and (p.item, p.duty, p.person) == (dive.item, duty, was)
        ]
        new.append(Pin(kind=PinKind.HOLDS, item=dive.item, duty=duty, person=holder))
    return tuple(p for p in new if p not in job.pins), tuple(replaced)


def _tells_of(pin: Pin, dive: Dive) -> bool:
    """Whether a dive is what a pin of its item asks for."""
    if pin.kind is PinKind.STARTS:
        return pin.allows(dive.leave_surface_min)
    return (
        pin.kind is PinKind.DIVES
        and pin.person in (None, *(d.person for d in dive.divers if d.duty != ENTRY_DIVER))
        and pin.station in (None, dive.station)
        and pin.allows(dive.leave_surface_min)
        and pin.bottom_time_min in (None, dive.bottom_time_min)
    )


def with_pins(job: Job, new: tuple[Pin, ...], replaced: tuple[Pin, ...]) -> Job:
    """The job with the pins."""
    return job.replace(pins=(*(p for p in job.pins if p not in replaced), *new))


def contradictions(job: Job) -> tuple[str, ...]:
    """What the job's own reader would say against its pins: such a job would not open again."""
    return tuple(finding.sentence for finding in pin_findings(job))


def pin_text(job: Job, pin: Pin) -> str:
    """A pin in words."""
    if pin.kind is PinKind.HOLDS:
        return f"{pin.person} is {pin.duty} on every dive of {pin.item}"
    parts = []
    if pin.person is not None:
        parts.append(f"has {pin.person} among its divers")
    if pin.station is not None:
        parts.append(f"is made from {pin.station}")
    if pin.window is not None:
        first, last = (job.clock.hhmm(m, with_day=len(job.day_windows) > 1) for m in pin.window)
        parts.append(f"leaves the surface {first}" if first == last else f"leaves {first} to {last}")
    if pin.bottom_time_min is not None:
        parts.append(f"has a bottom time of {pin.bottom_time_min} min")
    if pin.kind is PinKind.STARTS:
        return f"{pin.item} {' and '.join(parts)} first"
    return f"a dive on {pin.item} {' and '.join(parts)}"
