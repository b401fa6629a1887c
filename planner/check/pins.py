"""Whether a plan keeps what was pinned."""

from __future__ import annotations

from collections.abc import Iterator

from planner.check.facts import Facts, KnownDive
from planner.check.rule import JOB_DATA, Basis, Rule, convicts_by
from planner.job.duties import BRIEFING, DIVER
from planner.job.pins import Pin, PinKind
from planner.plan.finding import Finding
from planner.words.plan import pinned_words

#: Why minutes are kept free.
FREE_BEHIND = "common practice: time in hand behind a dive that may overrun"


@convicts_by(
    Rule(
        "pins-kept",
        "Everything that is pinned holds: the start of an item, who dives it or stays up, where and how "
        "long, who holds a duty for it, when a person is away, from when people are briefed, and how long a "
        "station stays free behind a dive.",
        f"{JOB_DATA}; {FREE_BEHIND}",
        Basis.ARITHMETIC,
    )
)
def pins_kept(facts: Facts) -> Iterator[Finding]:
    for number, pin in enumerate(facts.job.pins, start=1):
        for sentence in _broken(facts, pin):
            yield Finding("pins-kept", sentence, f"pin {number} ({pin.kind})")


def _broken(facts: Facts, pin: Pin) -> Iterator[str]:
    if pin.kind is PinKind.STARTS:
        yield from _starts(facts, pin)
    elif pin.kind is PinKind.DIVES:
        if not any(_is_it(facts, known, pin) for known in facts.dives):
            when = "" if pin.window is None else _when(facts, pin)
            yield f"No dive on {pin.item} {pinned_words(pin, when) or 'is planned'}."
    elif pin.kind is PinKind.STAYS_UP:
        for known in facts.dives:
            in_water = any(diver.person == pin.person for diver in known.divers())
            if in_water and pin.item in (None, known.item.name):
                yield f"{pin.person} is pinned to stay up and dives on {known.item.name}, {known.where}."
    elif pin.kind is PinKind.HOLDS:
        yield from _holds(facts, pin)
    elif pin.kind is PinKind.BRIEFED:
        yield from _briefed(facts, pin)
    elif pin.kind is PinKind.KEEPS_FREE:
        for known in facts.dives:
            if known.item.name == pin.item and (told := _not_free(facts, known, pin.free_min or 0)):
                yield told
    elif pin.window is not None:
        start, end = pin.window
        for spell in facts.spells_of_person.get(pin.person or "", ()):
            if spell.start_min < end and start < spell.end_min:
                yield (
                    f"{pin.person} is away {facts.stretch(start, end)} and has the duty {spell.duty} "
                    f"{facts.stretch(spell.start_min, spell.end_min)}."
                )


def _starts(facts: Facts, pin: Pin) -> Iterator[str]:
    starts = [k.dive.leave_surface_min for k in facts.dives if k.item.name == pin.item]
    starts += [task.start_min for task, item in facts.tasks if item.name == pin.item]
    if not starts:
        yield f"{pin.item} is pinned to start {_when(facts, pin)} and is not planned."
    elif not pin.allows(min(starts)):
        yield f"{pin.item} is pinned to start {_when(facts, pin)} and starts {facts.at(min(starts))}."


def _not_free(facts: Facts, known: KnownDive, minutes: int) -> str:
    """What begins at a dive's station too soon behind it, in a sentence; blank where nothing does.

    They are counted from the end of the turnaround, which begins as the last diver reaches the surface.
    """
    up, at = known.water[1], known.dive.station
    until = up + facts.job.rules.station_turnaround_min + minutes
    begins = [
        (k.water[0], f"{k.where} leaves the surface")
        for k in facts.dives
        if k is not known and k.dive.station == at
    ]
    begins += [(task.start_min, f"{item.name} starts") for task, item in facts.tasks if item.station == at]
    begins = [(start, what) for start, what in begins if up <= start < until]
    behind = f"{minutes} min are to stay free at {at} behind {known.where}, until {facts.at(until)}"
    if begins:
        start, what = min(begins)
        return f"{behind}; {what} {facts.at(start)}."
    day = [d for d in facts.job.day_windows if d.start_min <= known.water[0] < d.end_min]
    if day and until > day[0].end_min:
        return f"{behind}; the day ends {facts.at(day[0].end_min)}."
    return ""


def _is_it(facts: Facts, known: KnownDive, pin: Pin) -> bool:
    working = {diver.person for diver in known.dive.divers if diver.duty == DIVER}
    bottom_time = known.bottom_time_min
    return (
        known.item.name == pin.item
        and (pin.person is None or pin.person in working)
        and pin.station in (None, known.dive.station)
        and pin.allows(known.dive.leave_surface_min)
        and pin.bottom_time_min in (None, bottom_time)
        and not (pin.free_min and _not_free(facts, known, pin.free_min))
    )


def _holds(facts: Facts, pin: Pin) -> Iterator[str]:
    duty = pin.duty or ""
    for known in facts.dives:
        # Who lends a hand at the standby diver's dressing or undressing only does not hold the duty.
        leave, (_, end) = known.dive.leave_surface_min, known.span_of(duty, facts.job.rules.chamber_watch_min)
        if known.item.name == pin.item and not any(
            spell.person == pin.person and leave < spell.end_min and spell.start_min < end
            for spell in facts.holders(known, duty)
        ):
            yield f"{pin.person} is pinned to the duty {pin.duty} and does not hold it on {known.where}."
    for _, item in facts.tasks:
        if item.name == pin.item and not any(
            spell.dive is None and spell.item == pin.item and spell.duty == pin.duty
            for spell in facts.spells_of_person.get(pin.person or "", ())
        ):
            yield f"{pin.person} is pinned to the duty {pin.duty} and does not hold it for {item.name}."


def _briefed(facts: Facts, pin: Pin) -> Iterator[str]:
    at = pin.start_min or 0
    for name in facts.spells_of_person:
        here = [s for s in facts.job.on_site[name] if s.start_min <= at < s.end_min]
        asked = facts.job.briefing_min(facts.people[name], at)
        if pin.person not in (None, name) or not here or not asked:
            continue
        own = facts.begun_in(name, here[0])
        works = any(s.duty != BRIEFING for s in own)
        if works and not any(
            s.duty == BRIEFING and s.start_min == at and s.end_min - at >= asked for s in own
        ):
            yield f"{name} is to be briefed from {facts.at(at)} for {asked} min and is not."


def _when(facts: Facts, pin: Pin) -> str:
    times = " and ".join(facts.at(minute) for minute in dict.fromkeys(pin.window or ()))
    return f"between {times}" if " and " in times else f"at {times}"
