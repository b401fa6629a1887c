"""Whether an entry can be true beside the log so far.

What cannot have happened (a time in the future, reach surface before leave bottom, a name that nobody
carries) is refused with a sentence. What should not have happened but did (deeper than the rule, someone not
on the watchbill) is kept, for the log is a record, and flagged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.errors import Fault
from planner.job.bounds import DEEPEST_FSW, DEEPEST_SHORT_FSW
from planner.job.duties import DIVER, duty_qualifies
from planner.job.job import Job
from planner.job.names import unknown_name
from planner.log.day_log import DIVE_TIMES, OF_A_DIVE, ActualDay, ActualDive, DayLog, Entry, Kind
from planner.plan.model import Plan
from planner.tables import SAME_DIVE_UNDER_MIN
from planner.tables.gauge import depth_as_read_words, greatest_depth_fsw

#: Minutes that an entry may lie ahead of the clock: the end of a minute is logged as the next one.
AHEAD_MIN = 1

#: Deeper than this nobody dives on air; a depth beyond it is a slip of the finger.
NO_DEPTH_PAST_FSW = 400


@dataclass(frozen=True)
class Judged:
    """What is wrong with an entry: ``faults`` keep it out, ``flags`` go with it."""

    faults: tuple[Fault, ...]
    flags: tuple[str, ...]


def judge(
    entry: Entry, job: Job, plan: Plan, log: DayLog, now_min: int, *, corrects: int | None = None
) -> Judged:
    """Hold an entry against the job, the plan, the log so far and the clock.

    Parameters
    ----------
    now_min
        Job minute that the clock on the wall shows.
    corrects
        Number of the entry that this one stands in for.
    """
    base = log if corrects is None else log.without(corrects)
    return Judged(
        tuple(_faults(entry, ActualDay(job, plan, base), log, now_min, corrects)),
        tuple(_flags(entry, ActualDay(job, plan, base))),
    )


def _faults(entry: Entry, day: ActualDay, log: DayLog, now_min: int, corrects: int | None) -> Iterator[Fault]:
    clock = day.job.clock
    if entry.at_min > now_min + AHEAD_MIN:
        yield Fault(
            entry.kind,
            clock.hhmm(entry.at_min, with_day=True),
            f"{clock.hhmm(now_min, with_day=True)} or earlier",
            "That time has not come yet; only what has happened is logged.",
        )
    if corrects is not None:
        old = log.numbered(corrects)
        if old is None:
            yield Fault("correction", str(corrects), "the number of an entry", "There is no such entry.")
            return
        by = log.corrected_by(corrects)
        if by is not None:
            yield Fault(
                "correction",
                str(corrects),
                f"entry {by.number}",
                f"Entry {corrects} was corrected already by {by.written_by}.",
            )
            return
    if entry.kind is Kind.TAKEN_BACK:
        if corrects is None:
            yield Fault("taken back", "", "the entry that is taken back", "Say which entry is taken back.")
        else:
            yield from _whole_without(day, log, corrects)
        return
    yield from _names(entry, day.job)
    yield from _needed(entry)
    if entry.kind in OF_A_DIVE:
        yield from _dive(entry, day)


def _names(entry: Entry, job: Job) -> Iterator[Fault]:
    """Names that nothing in the job carries."""
    known: tuple[tuple[str, tuple[str | None, ...], list[str]], ...] = (
        ("person", entry.people, [p.name for p in job.people]),
        ("item", (entry.item,), [i.name for i in job.items]),
        ("duty", (entry.duty,), list(job.duties)),
        ("station", (entry.station,), [s.name for s in job.stations]),
        ("outfit or air source", (entry.thing,), things(job)),
        ("outfit", entry.outfits, [o.name for o in job.outfits]),
    )
    for what, typed, names in known:
        for name in typed:
            if name is not None and name not in names:
                allowed, sentence = unknown_name(what, name, names)
                yield Fault(entry.kind, name, allowed, sentence)


def things(job: Job) -> list[str]:
    """What a defect or a reading can be about: outfits, compressors, banks, tanks."""
    air = job.air
    sources = (*air.compressors, *air.banks, *air.tanks)
    return [*(o.name for o in job.outfits), *(s.name for s in sources)]


def _needed(entry: Entry) -> Iterator[Fault]:
    """What an entry of its kind must say."""
    missing: dict[Kind, tuple[bool, str]] = {
        Kind.DEPTH: (entry.depth_fsw is None, "the depth"),
        Kind.TOOK_OVER: (len(entry.people) != 1 or entry.duty is None, "one person and the duty"),
        Kind.AIR_READING: (
            entry.thing is None or (entry.pressure_psi is None and entry.hours_run is None),
            "the source, and its pressure or its hour meter",
        ),
        Kind.ITEM_DONE: (entry.item is None, "the item"),
        Kind.DELAY: (not entry.minutes, "how many minutes"),
        Kind.DEFECT: (entry.thing is None or not entry.text.strip(), "what has the defect, and what it is"),
        Kind.SICK: (len(entry.people) != 1, "one person"),
        Kind.NOTE: (not entry.text.strip(), "a text"),
    }
    lacks, what = missing.get(entry.kind, (False, ""))
    if lacks:
        yield Fault(entry.kind, "", what, f"This entry needs {what}.")
    if entry.depth_fsw is not None and entry.depth_fsw > NO_DEPTH_PAST_FSW:
        yield Fault(
            entry.kind,
            f"{entry.depth_fsw} fsw",
            f"up to {NO_DEPTH_PAST_FSW} fsw",
            "Nobody dives that deep on air: a slip of the finger?",
        )


def _dive(entry: Entry, day: ActualDay) -> Iterator[Fault]:
    """The times of a dive: each once, in order, and nobody in the water twice."""
    dive_id = entry.dive
    if dive_id is None:
        yield Fault(entry.kind, "", "the dive", "Say which dive it is.")
        return
    begun = day.dive(dive_id)
    if entry.kind is Kind.LEAVE_SURFACE:
        yield from _leaving(entry, dive_id, begun, day)
    elif begun is None:
        yield Fault(
            f"dive {dive_id}",
            entry.kind,
            "leave surface first",
            f"Leave surface of dive {dive_id} is not logged, so {entry.kind} cannot be.",
        )
    yield from _order(entry, dive_id, day)


def _order(entry: Entry, dive_id: str, day: ActualDay) -> Iterator[Fault]:
    clock = day.job.clock
    logged = {e.kind: e.at_min for e in day.log.of_dive(dive_id) if e.kind in DIVE_TIMES}
    if entry.kind in logged:
        yield Fault(
            f"dive {dive_id}",
            clock.hhmm(entry.at_min),
            "a correction of the entry that stands",
            f"{str(entry.kind).capitalize()} of dive {dive_id} is logged already, "
            f"at {clock.hhmm(logged[entry.kind])}.",
        )
        return
    if entry.kind is Kind.REACH_SURFACE and Kind.LEAVE_BOTTOM not in logged:
        yield Fault(
            f"dive {dive_id}",
            entry.kind,
            "leave bottom first",
            f"Leave bottom of dive {dive_id} is not logged; the bottom time hangs on it. Log it first, with "
            "the time it had.",
        )
    if entry.kind not in DIVE_TIMES:
        return
    place = DIVE_TIMES.index(entry.kind)
    for kind, at_min in logged.items():
        before = DIVE_TIMES.index(kind) < place
        if (before and entry.at_min < at_min) or (not before and entry.at_min > at_min):
            side = "before" if before else "after"
            yield Fault(
                f"dive {dive_id}",
                f"{entry.kind} {clock.hhmm(entry.at_min)}",
                f"{clock.hhmm(at_min)} or {'later' if before else 'earlier'}",
                f"{str(entry.kind).capitalize()} of dive {dive_id} would lie {side} {kind} "
                f"({clock.hhmm(at_min)}). If that one is wrong, correct it first.",
            )


def _leaving(entry: Entry, dive_id: str, begun: ActualDive | None, day: ActualDay) -> Iterator[Fault]:
    planned = day.planned.get(dive_id)
    if planned is None and (entry.item is None or not entry.people):
        yield Fault(
            f"dive {dive_id}",
            "",
            "an item and who dives",
            f"Dive {dive_id} is not on the watchbill: say what it is for and who is in the water.",
        )
        return
    if entry.item is not None and entry.item not in {i.name for i in day.job.dive_items}:
        yield Fault(f"dive {dive_id}", entry.item, "a dive item", f"{entry.item} is no work under water.")
    for other in day.dives:
        both = sorted(set(day.divers_of(entry)) & set(other.people))
        if begun is None and both and other.id != dive_id and _meet(entry.at_min, other):
            yield Fault(
                f"dive {dive_id}",
                both[0],
                f"reach surface of dive {other.id} first",
                f"{both[0]} is still in the water on dive {other.id} by the log.",
            )


def _meet(at_min: int, other: ActualDive) -> bool:
    up = other.reach_surface_min
    return other.leave_surface_min <= at_min and (up is None or at_min < up)


def _whole_without(day: ActualDay, log: DayLog, corrects: int) -> Iterator[Fault]:
    """Taking an entry back must not leave later times of its dive hanging in the air."""
    old = log.numbered(corrects)
    if old is None or old.entry.dive is None or old.entry.kind not in DIVE_TIMES:
        return
    place = DIVE_TIMES.index(old.entry.kind)
    if old.entry.kind is Kind.REACH_BOTTOM:
        return
    # a depth rests on leave surface alone
    alone = old.entry.kind is Kind.LEAVE_SURFACE
    rest = [e.kind for e in day.log.of_dive(old.entry.dive) if e.kind in OF_A_DIVE]
    needs = [k for k in rest if (alone if k is Kind.DEPTH else DIVE_TIMES.index(k) > place)]
    if needs:
        yield Fault(
            f"dive {old.entry.dive}",
            f"entry {corrects}, {old.entry.kind}",
            "the later entries of the dive taken back first",
            f"{str(needs[0]).capitalize()} of dive {old.entry.dive} rests on it. Take that one back first, "
            "or correct the time.",
        )


def _flags(entry: Entry, day: ActualDay) -> Iterator[str]:
    on_bill = {spell.person for spell in day.plan.duties}
    for name in entry.people:
        if name not in on_bill:
            yield f"{name} is not on the watchbill."
    if entry.kind is Kind.LEAVE_SURFACE and entry.dive is not None:
        yield from _diver_flags(entry, entry.dive, day)
    if entry.kind is Kind.TOOK_OVER and entry.people and entry.duty is not None:
        person = next((p for p in day.job.people if p.name == entry.people[0]), None)
        if person is not None and not duty_qualifies(person.duties, entry.duty):
            yield f"{person.name} is not listed for the duty {entry.duty}."
    if entry.depth_fsw is not None:
        yield from depth_flags(entry.depth_fsw, day.job, day.dive(entry.dive) if entry.dive else None)


def depth_flags(depth_fsw: int, job: Job, dive: ActualDive | None) -> Iterator[str]:
    """What a logged depth breaks; it is kept all the same."""
    greatest, real_fsw = job.rules.greatest_depth_fsw, greatest_depth_fsw(job.site, depth_fsw)
    told = depth_as_read_words(depth_fsw, real_fsw)
    if real_fsw > greatest:
        yield f"{told} is deeper than this job's greatest depth of {greatest} fsw."
    if real_fsw > DEEPEST_SHORT_FSW:
        yield f"{told} is deeper than any dive on air may be (220 fsw: 29 CFR 1910.425(b)(1))."
    elif real_fsw > DEEPEST_FSW:
        yield "Deeper than 190 fsw the bottom time is 30 min at most (29 CFR 1910.425(b)(1))."
    if dive is not None and depth_fsw > dive.taken_depth_fsw:
        yield f"{depth_fsw} fsw is deeper than planned for {dive.item.name} ({dive.taken_depth_fsw} fsw)."


def _diver_flags(entry: Entry, dive_id: str, day: ActualDay) -> Iterator[str]:
    planned = day.planned.get(dive_id)
    if planned is None:
        yield f"Dive {dive_id} is not on the watchbill."
    item = entry.item or (planned.item if planned else None)
    depth = next((i.depth_fsw for i in day.job.dive_items if i.name == item), 0)
    sick = day.sick()
    for name in day.divers_of(entry):
        person = next((p for p in day.job.people if p.name == name), None)
        if person is None:
            continue
        if not duty_qualifies(person.duties, DIVER):
            yield f"{name} is not listed as a diver."
        elif person.depth_rating_fsw < depth:
            yield f"{name} is rated to {person.depth_rating_fsw} fsw; the work lies at {depth} fsw."
        if name in sick:
            yield f"{name} was logged as sick at {day.job.clock.hhmm(sick[name])}."
        for other in day.dives:
            up = other.reach_surface_min
            if up is not None and name in other.people and 0 <= entry.at_min - up < SAME_DIVE_UNDER_MIN:
                yield (
                    f"{name} was {entry.at_min - up} min on the surface: under {SAME_DIVE_UNDER_MIN} min "
                    "both dives count as one (table 9-8)."
                )
    station = planned.station if planned else entry.station
    busy = [d for d in day.dives if d.station == station and d.id != dive_id and _meet(entry.at_min, d)]
    for other in busy:
        yield f"Dive {other.id} is in the water on the same station."
