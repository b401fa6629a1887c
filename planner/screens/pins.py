"""Pins: those that settle what was moved by hand, a pin in words, and the list that takes them out again."""

from __future__ import annotations

from dataclasses import dataclass, replace

import streamlit as st

from planner.day import keeps_pin
from planner.day.by_hand import Move, Takes
from planner.job import Job, Pin, PinKind, UnitSystem
from planner.job.cross_pins import pin_contradictions
from planner.job.duties import BRIEFING, DIVER, STANDBY_TENDER
from planner.plan.model import Dive, Plan
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.planning import NOT_APPLIED
from planner.screens.wording import plain
from planner.words.measures import count_words, time_words
from planner.words.plan import pinned_words
from planner.workbook.columns import says_in

_DIVE_FIELDS = ("person", "station", "start_min", "end_min", "bottom_time_min", "free_min")


@dataclass(frozen=True)
class Settled:
    """What a move comes to in pins."""

    new: tuple[Pin, ...]
    """Pins that the job has not yet."""
    replaced: tuple[Pin, ...]
    """Pins of the job that the move contradicts."""
    not_pinned: tuple[str, ...] = ()
    """What no pin can settle, in sentences."""

    def put_into(self, job: Job) -> Job:
        return job.replace(pins=(*(p for p in job.pins if p not in self.replaced), *self.new))


def settled(job: Job, plan: Plan, after: Plan, move: Move) -> Settled:
    """The pins that settle a move, and those of the job that they take the place of.

    A pin that the dive on show keeps and the moved one no longer keeps is replaced; what else it settles
    goes into the new one.
    """
    new: list[Pin] = [] if move.away is None else [move.away]
    replaced: list[Pin] = []
    not_pinned: list[str] = []
    for dive in plan.dives:
        pins, stale = _of_dive(job, plan, dive, after, move)
        new, replaced = new + pins, replaced + stale
    if move.along and not replace(move, free_min=None).nothing:
        not_pinned.append("What moves along is not pinned: a new plan may place it otherwise.")
    if move.briefing_min is not None and move.start_min is not None:
        pins, stale = _briefed(job, plan, after, move.briefing_min, move.start_min)
        new, replaced = new + pins, replaced + stale
    elif move.task is not None and move.start_min is not None:
        new.append(Pin(kind=PinKind.STARTS, item=move.task, start_min=move.start_min))
        own = [p for p in job.pins if p.kind is PinKind.STARTS and p.item == move.task]
        replaced += [p for p in own if not p.allows(move.start_min)]
    for take in (t for t in move.takes if t.duty != DIVER):
        held = _held(after, take)
        every: set[str | None] = {d.id for d in after.dives if d.item == take.item}
        if take.dive not in held:
            not_pinned.append(
                f"Who lends a hand as {take.duty} at the bench of {take.item} is not pinned: a pin settles "
                "who holds the post while the divers are in the water."
            )
        elif len(move.takes) > 1 and not held >= (every or {None}):
            not_pinned.append(
                f"Who is {take.duty} on which dive of {take.item} is not pinned: a pin settles a post for "
                "every dive of an item."
            )
        else:
            new.append(Pin(kind=PinKind.HOLDS, item=take.item, duty=take.duty, person=take.now))
            posts = [p for p in job.pins if p.kind is PinKind.HOLDS]
            was = (take.item, take.duty, take.was)
            replaced += [p for p in posts if (p.item, p.duty, p.person) == was]
    fresh = dict.fromkeys(p for p in new if p not in job.pins)
    return Settled(tuple(fresh), tuple(dict.fromkeys(replaced)), tuple(dict.fromkeys(not_pinned)))


def _briefed(job: Job, plan: Plan, after: Plan, was_min: int, now_min: int) -> tuple[list[Pin], list[Pin]]:
    """Pins for a briefing that was moved, and those of the job that they take the place of: one for all where
    everybody whom it would bind is in it, else one each."""

    def bound(at_min: int) -> set[str]:
        return {
            s.person
            for s in after.duties
            if s.duty == BRIEFING
            and any(
                o.start_min <= at_min < o.end_min and o.overlaps(s.start_min, s.end_min)
                for o in job.on_site[s.person]
            )
        }

    moved = [s.person for s in plan.duties if s.duty == BRIEFING and s.start_min == was_min]
    everyone = bound(now_min) <= set(moved)
    stale = [
        p
        for p in job.pins
        if p.kind is PinKind.BRIEFED and p.start_min == was_min and (p.person is None or p.person in moved)
    ]
    names = [None] if everyone else sorted(moved)
    return [Pin(kind=PinKind.BRIEFED, person=name, start_min=now_min) for name in names], stale


def _held(after: Plan, take: Takes) -> set[str | None]:
    """The dives of an item (None: the task) on which the one who takes a post holds it.

    Who only dresses and undresses the standby diver does not: the same as the rule ``pins-kept`` says.
    """
    wet = {d.id: d for d in after.dives}
    mine = [s for s in after.duties if (s.item, s.duty, s.person) == (take.item, take.duty, take.now)]
    return {
        s.dive
        for s in mine
        if s.duty != STANDBY_TENDER
        or (dive := wet.get(s.dive or "")) is None
        or (dive.leave_surface_min < s.end_min and s.start_min < dive.reach_surface_min)
    }


def _of_dive(job: Job, plan: Plan, dive: Dive, after: Plan, move: Move) -> tuple[list[Pin], list[Pin]]:
    """Pins for what the move changes of one dive's time, station and working divers, and those of the job
    that they take the place of."""
    come = [t.now for t in move.takes if t.dive == dive.id and t.duty == DIVER]
    asked: dict[str, object] = {}
    if move.dive == dive.id:
        given = (move.start_min, move.bottom_time_min, move.station, move.free_min)
        names = ("start_min", "bottom_time_min", "station", "free_min")
        asked = {name: value for name, value in zip(names, given, strict=True) if value is not None}
    if not come and not asked:
        return [], []
    now = next(d for d in after.dives if d.id == dive.id)
    stale = [p for p in job.pins if p.item == dive.item and _told_by(p, dive) and not _told_by(p, now)]
    fields: dict[str, object] = {}
    for pin in stale:
        if pin.kind is PinKind.DIVES:
            fields |= {f: getattr(pin, f) for f in _DIVE_FIELDS if getattr(pin, f) is not None}
    if "start_min" in asked:
        fields.pop("end_min", None)
    if come:
        fields["person"] = come[0]
    fields |= asked
    pins = [_telling(dive.item, fields, plan, now)]
    pins += [_telling(dive.item, {**asked, "person": person}, plan, now) for person in come[1:]]
    return pins, stale


def _telling(item: str, fields: dict[str, object], plan: Plan, now: Dive) -> Pin:
    """A pin on a dive that the plan before does not keep already: with the dive's time where it must be."""
    pin = Pin.model_validate({"kind": PinKind.DIVES, "item": item, **fields})
    for field, value in (("start_min", now.leave_surface_min), ("station", now.station)):
        if not any(d.item == item and _told_by(pin, d) for d in plan.dives):
            break
        fields = {**fields, field: value}
        pin = Pin.model_validate({"kind": PinKind.DIVES, "item": item, **fields})
    return pin


def _told_by(pin: Pin, dive: Dive) -> bool:
    """Whether a dive is what a pin of its item asks for."""
    if pin.kind is PinKind.STARTS:
        return pin.allows(dive.leave_surface_min)
    return pin.kind is PinKind.DIVES and keeps_pin(dive, pin)


def contradictions(job: Job, units: UnitSystem = UnitSystem.FEET) -> tuple[str, ...]:
    """What the job's own reader would say against its pins, in these units: it would not open again."""
    return tuple(finding.sentence for finding in pin_contradictions(job, says_in(units)))


def pin_text(job: Job, pin: Pin) -> str:
    where = f"{pin.item}" if pin.item else "anything"
    when = _when(job, pin)
    if pin.kind is PinKind.HOLDS:
        on_deck = pin.item not in {item.name for item in job.dive_items}
        return f"{pin.person} is {pin.duty} on {'' if on_deck else 'every dive of '}{pin.item}"
    if pin.kind is PinKind.STAYS_UP:
        return f"{pin.person} does not dive on {where}"
    if pin.kind is PinKind.AWAY:
        return f"{pin.person} is away {when}"
    if pin.kind is PinKind.BRIEFED:
        return f"{pin.person or 'Everybody on site then'} is briefed {when}"
    if pin.kind is PinKind.STARTS:
        return f"{pin.item} starts {when}"
    if pin.kind is PinKind.KEEPS_FREE:
        return f"behind every dive on {pin.item} its station stays free for {pin.free_min} min"
    return f"a dive on {pin.item} {pinned_words(pin, when)}"


def _when(job: Job, pin: Pin) -> str:
    if pin.window is None:
        return ""
    first, last = (time_words(job, m) for m in pin.window)
    return f"at {first}" if first == last else f"{first} to {last}"


#: With more pins than that the list is folded until it is asked for.
OPEN_UP_TO = 4


def list_pins(here: Desk, job: Job) -> None:
    """Every pin of the job with a button that removes it; nothing where nothing is pinned."""
    if not job.pins:
        return
    count = len(job.pins)
    why_not = "The search is going on; stop it first." if here.solving else None
    why_not = why_not or (NOT_APPLIED if here.edits.typed else None)
    with st.expander(f"Pinned: {count_words(count, 'thing')}", expanded=count <= OPEN_UP_TO):
        with st.container(gap=None):
            for number, pin in enumerate(job.pins):
                with st.container(horizontal=True, vertical_alignment="center", key=f"pin_{number}"):
                    chrome.button("pin_off", _remove, here, job, (pin,), of=number, why_not=why_not)
                    note = f"  \n:gray[{plain(pin.note)}]" if pin.note else ""
                    text = pin_text(job, pin)
                    st.markdown(f"{plain(text[:1].upper() + text[1:])}.{note}", width="stretch")
        if count > 1:
            chrome.button("pins_off", _remove, here, job, job.pins, why_not=why_not)


def _remove(here: Desk, job: Job, pins: tuple[Pin, ...]) -> None:
    left = tuple(p for p in job.pins if p not in pins)
    what = f"pin removed: {pin_text(job, pins[0])}" if len(pins) == 1 else "all pins removed"
    here.change(job.replace(pins=left), what)
