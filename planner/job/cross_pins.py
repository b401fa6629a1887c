"""Contradictions of the pins: among themselves, and with the people and the work."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from planner.job.contradiction import (
    IN_FEET,
    Contradiction,
    Path,
    Says,
    clock_of,
    known_duties,
    unknown_reference,
    wall_clock,
)
from planner.job.duties import DIVER, DRESSED_DUTIES, duty_qualifies
from planner.job.job import Job
from planner.job.people import Person
from planner.job.pins import MAY_GIVE, MUST_GIVE, Pin, PinKind
from planner.job.work import DiveItem, Item, SurfaceItem

_FIELDS = ("item", "person", "duty", "station", "start_min", "end_min", "bottom_time_min", "free_min")
_WORDS = {
    "start_min": "a time",
    "end_min": "an end",
    "bottom_time_min": "a bottom time",
    "free_min": "minutes free",
}


def pin_contradictions(job: Job, says: Says = IN_FEET) -> Iterator[Contradiction]:
    """All of them."""
    whole: list[tuple[Path, Pin]] = []
    for i, pin in enumerate(job.pins):
        path: Path = ("pins", i)
        own = [*_shape(path, pin, job), *_names(path, pin, job)]
        yield from own
        if not own:
            whole.append((path, pin))
    for path, pin in whole:
        yield from _possible(path, pin, job, says)
    for (path, pin), (other_path, other) in combinations(whole, 2):
        told = _clash(pin, other) or _briefed_twice(job, pin, other)
        if told is not None:
            yield Contradiction(other_path, other.kind.value, "pins that can hold together", told, (path,))


def _shape(path: Path, pin: Pin, job: Job) -> Iterator[Contradiction]:
    given = {field for field in _FIELDS if getattr(pin, field) is not None}
    must, may = MUST_GIVE[pin.kind], MAY_GIVE[pin.kind]
    for field in _FIELDS:
        word = _WORDS.get(field, f"a {field}" if field != "item" else "an item")
        if field in must - given:
            yield Contradiction((*path, field), "", word, f"A pin of the kind {pin.kind} needs {word}.")
        elif field in given - must - may:
            yield Contradiction(
                (*path, field),
                str(getattr(pin, field)),
                "blank",
                f"A pin of the kind {pin.kind} has no use for {word}.",
                ((*path, "kind"),),
            )
    if pin.kind is PinKind.DIVES and given == {"item"}:
        yield Contradiction(
            (*path, "person"),
            "",
            "a person, a station, a time, a bottom time or minutes free",
            f"This pin does not say what is settled about {pin.item}.",
        )
    if pin.end_min is not None and pin.start_min is None:
        yield Contradiction((*path, "start_min"), "", "a time", "A pin with an end needs a start.")
    window = pin.window if pin.end_min is not None else None
    if window is not None and (
        window[1] < window[0] or (pin.kind is PinKind.AWAY and window[1] == window[0])
    ):
        clock = wall_clock(job)
        yield Contradiction(
            (*path, "end_min"),
            f"{clock.hhmm(window[0], with_day=True)} to {clock.hhmm(window[1], with_day=True)}",
            "an end after the start",
            "The pin's time ends before it starts.",
            ((*path, "start_min"),),
        )


def _names(path: Path, pin: Pin, job: Job) -> Iterator[Contradiction]:
    standing = job.standing_items if clock_of(job) is not None else ()
    known = {
        "item": [item.name for item in (*job.items, *standing)],
        "person": [person.name for person in job.people],
        "station": [station.name for station in job.stations],
        "duty": known_duties(job),
    }
    for what, names in known.items():
        typed = getattr(pin, what)
        if typed is not None:
            yield from unknown_reference((*path, what), typed, names, what)
    if pin.kind in (PinKind.DIVES, PinKind.KEEPS_FREE) and pin.item in {
        item.name for item in (*job.surface_items, *standing)
    }:
        yield Contradiction(
            (*path, "item"), pin.item, "a dive item", f"Nobody dives on {pin.item}: it is done above water."
        )


def _possible(path: Path, pin: Pin, job: Job, says: Says) -> Iterator[Contradiction]:
    if pin.kind is PinKind.DIVES:
        yield from _diver(path, pin, job, says)
    if pin.kind is PinKind.HOLDS:
        yield from _holder(path, pin, job, says)
    if pin.kind in (PinKind.STARTS, PinKind.DIVES) and pin.item is not None:
        yield from _time(path, pin, job.item(pin.item), job)
    if pin.kind is PinKind.BRIEFED and clock_of(job) is not None:
        yield from _briefing(path, pin, job)


def _briefing(path: Path, pin: Pin, job: Job) -> Iterator[Contradiction]:
    at, clock = pin.start_min or 0, wall_clock(job)
    names = [p.name for p in job.people] if pin.person is None else [pin.person]
    if not any(s.start_min <= at < s.end_min for name in names for s in job.on_site[name]):
        who = "nobody" if pin.person is None else f"{pin.person} is not"
        yield Contradiction(
            (*path, "start_min"),
            clock.hhmm(at, with_day=True),
            "a time at which they are on site",
            f"A briefing is pinned to a time at which {who}{' is' if pin.person is None else ''} on site.",
        )


def _diver(path: Path, pin: Pin, job: Job, says: Says) -> Iterator[Contradiction]:
    item = job.dive_item(pin.item or "")
    if pin.station is not None and item.station not in (None, pin.station):
        yield Contradiction(
            (*path, "station"),
            pin.station,
            item.station or "",
            f"{item.name} is dived from {item.station} only.",
            ((*path, "item"),),
        )
    if pin.person is None:
        return
    person = job.person(pin.person)
    why = None
    if not duty_qualifies(person.duties, DIVER):
        why = "is no diver"
    elif person.depth_rating_fsw < item.depth_fsw:
        why = (
            f"is rated to {says.depth(person.depth_rating_fsw)}, and it lies at {says.depth(item.depth_fsw)}"
        )
    else:
        missing = _without(person, item.certificates | job.rules.certificates_for(DIVER))
        if missing:
            why = f"has no certificate for {missing}"
    if why is not None:
        yield Contradiction(
            (*path, "person"),
            person.name,
            "a diver who may dive the item",
            f"{person.name} is pinned to dive {item.name} and {why}.",
            ((*path, "item"),),
        )


def _without(person: Person, asked: frozenset[str]) -> str:
    """The certificates that a person has not got, of any date, in words; "" where none is lacking."""
    return ", ".join(sorted(asked - {certificate.name for certificate in person.certificates}))


def _holder(path: Path, pin: Pin, job: Job, says: Says) -> Iterator[Contradiction]:
    person, duty, item = job.person(pin.person or ""), pin.duty or "", job.item(pin.item or "")
    if duty == DIVER:
        yield Contradiction(
            (*path, "duty"),
            duty,
            f"a duty above water; for a diver a pin of the kind {PinKind.DIVES}",
            "Divers change from dive to dive, so nobody can be pinned to all dives of an item.",
        )
    elif missing := _without(person, job.rules.certificates_for(duty)):
        yield Contradiction(
            (*path, "person"),
            person.name,
            f"a person with the certificates that a {duty} holds",
            f"{person.name} is pinned to the duty {duty} and has no certificate for {missing}.",
            ((*path, "duty"),),
        )
    elif not duty_qualifies(person.duties, duty):
        yield Contradiction(
            (*path, "person"),
            person.name,
            f"a person who may hold the duty {duty}",
            f"{person.name} is pinned to a duty that he or she may not hold: {duty}.",
            ((*path, "duty"),),
        )
    elif isinstance(item, SurfaceItem) and duty not in {need.duty for need in item.crew}:
        yield Contradiction(
            (*path, "duty"),
            duty,
            ", ".join(need.duty for need in item.crew),
            f"{item.name} asks for no {duty}.",
            ((*path, "item"),),
        )
    elif isinstance(item, DiveItem) and duty in DRESSED_DUTIES and person.depth_rating_fsw < item.depth_fsw:
        yield Contradiction(
            (*path, "person"),
            person.name,
            f"a {duty} rated for the depth",
            f"{person.name} is rated to {says.depth(person.depth_rating_fsw)}, and {item.name} lies at "
            f"{says.depth(item.depth_fsw)}.",
            ((*path, "item"),),
        )


def _time(path: Path, pin: Pin, item: Item, job: Job) -> Iterator[Contradiction]:
    window, clock = pin.window, clock_of(job)
    if window is None or clock is None:
        return
    spans = [(day.start_min, day.end_min) for day in job.day_windows]
    where = "the working hours"
    allowed = job.allowed_spans(item)
    if allowed and any(start <= window[1] and window[0] < end for start, end in spans):
        spans = [(own.start_min, own.end_min) for own in allowed]
        where = f"the windows of {item.name}"
        if job.gate_spans(item.name):
            where = f"the times of {', '.join(job.gate_spans(item.name))}"
    if not any(start <= window[1] and window[0] < end for start, end in spans):
        told = " to ".join(clock.hhmm(minute, with_day=True) for minute in dict.fromkeys(window))
        yield Contradiction(
            (*path, "start_min"),
            told,
            ", ".join(f"{clock.hhmm(s, with_day=True)} to {clock.hhmm(e, with_day=True)}" for s, e in spans),
            f"{item.name} is pinned to a time outside {where}.",
            ((*path, "item"),),
        )


def _clash(one: Pin, other: Pin) -> str | None:
    """Why two pins cannot hold together, in a sentence; None when they may."""
    for dives, also in ((one, other), (other, one)):
        if dives.kind is not PinKind.DIVES or dives.person is None or dives.person != also.person:
            continue
        if also.kind is PinKind.STAYS_UP and also.item in (None, dives.item):
            return f"{dives.person} is pinned to dive {dives.item}, and to stay up."
        if also.kind is PinKind.AWAY and _inside(dives, also):
            return f"{dives.person} is pinned to dive {dives.item} while away."
    if one.kind is other.kind is PinKind.STARTS and one.item == other.item and _apart(one, other):
        return f"{one.item} is pinned to start at two different times."
    same_minute = one.window is not None and one.window == other.window and one.window[0] == one.window[1]
    if one.kind is other.kind is PinKind.DIVES and one.item != other.item and same_minute:
        if one.person is not None and one.person == other.person:
            return f"{one.person} is pinned to dive {one.item} and {other.item} at the same time."
        if one.station is not None and one.station == other.station:
            return f"{one.item} and {other.item} are pinned to one station at the same time."
    return None


def _briefed_twice(job: Job, one: Pin, other: Pin) -> str | None:
    if not one.kind is other.kind is PinKind.BRIEFED or one.start_min == other.start_min:
        return None
    for person in (p.name for p in job.people):
        both = {one.person, other.person} <= {None, person}
        times = [pin.start_min or 0 for pin in (one, other)]
        if both and any(all(s.start_min <= at < s.end_min for at in times) for s in job.on_site[person]):
            return f"{person} is pinned to be briefed at two different times."
    return None


def _inside(dives: Pin, away: Pin) -> bool:
    gone = away.window
    return (
        dives.window is not None
        and gone is not None
        and gone[0] <= dives.window[0]
        and dives.window[1] < gone[1]
    )


def _apart(one: Pin, other: Pin) -> bool:
    first, second = one.window, other.window
    return first is not None and second is not None and (first[1] < second[0] or second[1] < first[0])
