"""Whether an entry can be true beside the log so far.

What cannot have happened (a time in the future, reach surface before leave bottom, a name that nobody
carries) is refused with a sentence. What should not have happened but did (deeper than the rule, someone not
on the watchbill) is kept, for the log is a record, and flagged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.check.people import missing_for_duty
from planner.errors import Fault
from planner.job.bounds import DEEPEST_FSW, DEEPEST_SHORT_FSW
from planner.job.duties import DIVER, duty_qualifies
from planner.job.job import Job
from planner.job.names import unknown_name
from planner.job.people import Person
from planner.log.day_log import IN_ORDER, OF_A_DIVE, STOP_TIMES, ActualDay, ActualDive, DayLog, Entry, Kind
from planner.log.hold_points import signature_faults, signature_flags, unsigned_flags
from planner.plan.model import Plan
from planner.table_sets import table_words
from planner.tables.gauge import depth_as_read_words, greatest_depth_fsw
from planner.words.measures import Metric, depth_limit_words, depth_words, dive_depth_words, own_depth_words

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
    if entry.kind is Kind.HOLD_POINT and len(entry.people) == 1:
        yield from signature_faults(entry, day)


def _names(entry: Entry, job: Job) -> Iterator[Fault]:
    """Names that nothing in the job carries."""
    known: tuple[tuple[str, tuple[str | None, ...], list[str]], ...] = (
        ("person", (*entry.people, *entry.done_by), [p.name for p in job.people]),
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
        Kind.REACH_STOP: (entry.depth_fsw is None, "the depth of the stop"),
        Kind.LEAVE_STOP: (entry.depth_fsw is None, "the depth of the stop"),
        Kind.TOOK_OVER: (len(entry.people) != 1 or entry.duty is None, "one person and the duty"),
        Kind.AIR_READING: (
            entry.thing is None or (entry.pressure_psi is None and entry.hours_run is None),
            "the source, and its pressure or its hour meter",
        ),
        Kind.ITEM_DONE: (entry.item is None, "the item"),
        Kind.DELAY: (not entry.minutes, "how many minutes"),
        Kind.DEFECT: (entry.thing is None or not entry.text.strip(), "what has the defect, and what it is"),
        Kind.HOLD_POINT: (
            len(entry.people) != 1 or entry.thing is None or entry.step is None,
            "the outfit, the step and one name",
        ),
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


#: What must be logged of a dive before an entry of a kind can be; a stop is left that was reached.
_RESTS_ON: dict[Kind, Kind] = {
    Kind.REACH_STOP: Kind.LEAVE_BOTTOM,
    Kind.LEAVE_STOP: Kind.REACH_STOP,
    Kind.REACH_SURFACE: Kind.LEAVE_BOTTOM,
    Kind.AT_CHAMBER_DEPTH: Kind.REACH_SURFACE,
    Kind.OUT_OF_CHAMBER: Kind.AT_CHAMBER_DEPTH,
}


def _other_stop(one: Entry, other: Entry) -> bool:
    """Whether both are times of a stop, and of two stops."""
    return one.kind in STOP_TIMES and other.kind in STOP_TIMES and one.depth_fsw != other.depth_fsw


def _order(entry: Entry, dive_id: str, day: ActualDay) -> Iterator[Fault]:
    clock = day.job.clock
    logged = [e for e in day.log.of_dive(dive_id) if e.kind in IN_ORDER and not _other_stop(entry, e)]
    same = next((e for e in logged if e.kind is entry.kind), None)
    if same is not None:
        yield Fault(
            f"dive {dive_id}",
            clock.hhmm(entry.at_min),
            "a correction of the entry that stands",
            f"{_named(same)} of dive {dive_id} is logged already, at {clock.hhmm(same.at_min)}.",
        )
        return
    needed = _RESTS_ON.get(entry.kind)
    if needed is not None and needed not in {e.kind for e in logged}:
        hangs = "; the bottom time hangs on it" if entry.kind is Kind.REACH_SURFACE else ""
        yield Fault(
            f"dive {dive_id}",
            entry.kind,
            f"{needed} first",
            f"{str(needed).capitalize()} of dive {dive_id} is not logged{hangs}. Log it first, with "
            "the time it had.",
        )
    if entry.kind not in IN_ORDER:
        return
    place = IN_ORDER.index(entry.kind)
    for other in logged:
        before = IN_ORDER.index(other.kind) < place
        if (before and entry.at_min < other.at_min) or (not before and entry.at_min > other.at_min):
            side, at = "before" if before else "after", clock.hhmm(other.at_min)
            yield Fault(
                f"dive {dive_id}",
                f"{entry.kind} {clock.hhmm(entry.at_min)}",
                f"{at} or {'later' if before else 'earlier'}",
                f"{_named(entry)} of dive {dive_id} would lie {side} {other.kind} "
                f"({at}). If that one is wrong, correct it first.",
            )


def _named(entry: Entry) -> str:
    """``Reach surface``; ``Leave stop 20 fsw``."""
    depth = f" {entry.depth_fsw} fsw" if entry.kind in STOP_TIMES else ""
    return str(entry.kind).capitalize() + depth


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
    found = log.numbered(corrects)
    if found is None or found.entry.dive is None:
        return
    old = found.entry
    needs = [e for e in day.log.of_dive(found.entry.dive) if e.kind in OF_A_DIVE and _hangs_on(e, old)]
    if needs:
        yield Fault(
            f"dive {old.dive}",
            f"entry {corrects}, {old.kind}",
            "the later entries of the dive taken back first",
            f"{_named(needs[0])} of dive {old.dive} rests on it. Take that one back first, "
            "or correct the time.",
        )


def _hangs_on(later: Entry, old: Entry) -> bool:
    """Whether an entry of the same dive cannot stand without another."""
    if later.kind is Kind.DEPTH:
        return old.kind is Kind.LEAVE_SURFACE
    if old.kind is Kind.REACH_STOP:
        return later.kind is Kind.LEAVE_STOP and later.depth_fsw == old.depth_fsw
    if old.kind in (Kind.REACH_BOTTOM, Kind.LEAVE_STOP) or old.kind not in IN_ORDER:
        return False
    return IN_ORDER.index(later.kind) > IN_ORDER.index(old.kind)


def _flags(entry: Entry, day: ActualDay) -> Iterator[str]:
    on_bill = {spell.person for spell in day.plan.duties}
    for name in entry.people:
        if name not in on_bill:
            yield f"{name} is not on the watchbill."
    if entry.kind is Kind.LEAVE_SURFACE and entry.dive is not None:
        yield from _diver_flags(entry, entry.dive, day)
        yield from unsigned_flags(entry.dive, day)
    if entry.kind is Kind.HOLD_POINT:
        yield from signature_flags(entry, day)
    if entry.kind is Kind.TOOK_OVER and entry.people and entry.duty is not None:
        person = next((p for p in day.job.people if p.name == entry.people[0]), None)
        if person is not None and not duty_qualifies(person.duties, entry.duty):
            yield f"{person.name} is not listed for the duty {entry.duty}."
        if person is not None:
            yield from _paper_flags(entry, day, person, entry.duty)
    if entry.depth_fsw is not None and entry.kind not in STOP_TIMES:
        yield from depth_flags(entry.depth_fsw, day.job, day.dive(entry.dive) if entry.dive else None)


def _paper_flags(entry: Entry, day: ActualDay, person: Person, duty: str) -> Iterator[str]:
    missing = missing_for_duty(day.job.rules, person, duty, day.job.clock.day_of(entry.at_min))
    if missing:
        yield f"{person.name} has no valid certificate for {', '.join(missing)}, asked of a {duty}."


def depth_flags(depth_fsw: int, job: Job, dive: ActualDive | None) -> Iterator[str]:
    """What a logged depth breaks; it is kept all the same."""
    greatest, real_fsw = job.rules.greatest_depth_fsw, greatest_depth_fsw(job.site, depth_fsw)
    told = depth_as_read_words(depth_fsw, real_fsw)
    if real_fsw > greatest:
        most = depth_limit_words(job.rules, job.site.units, "greatest_depth_fsw")
        yield f"{told} is deeper than this job's greatest depth of {most}."
    if real_fsw > DEEPEST_SHORT_FSW:
        yield f"{told} is deeper than any dive on air may be (220 fsw: 29 CFR 1910.425(b)(1))."
    elif real_fsw > DEEPEST_FSW:
        yield "Deeper than 190 fsw the bottom time is 30 min at most (29 CFR 1910.425(b)(1))."
    if dive is not None and depth_fsw > dive.taken_depth_fsw:
        planned = dive_depth_words(job, dive.item.name, dive.taken_depth_fsw)
        logged = depth_words(depth_fsw, job.site.units, Metric.FIRST)
        yield f"{logged} is deeper than planned for {dive.item.name} ({planned})."


def _diver_flags(entry: Entry, dive_id: str, day: ActualDay) -> Iterator[str]:
    planned = day.planned.get(dive_id)
    if planned is None:
        yield f"Dive {dive_id} is not on the watchbill."
    item = entry.item or (planned.item if planned else None)
    for what, held in day.job.gate_spans(item or "").items():
        if not any(s.start_min <= entry.at_min < s.end_min for s in held):
            yield f"{what} is not held at {day.job.clock.hhmm(entry.at_min)}."
    depth = next((i.depth_fsw for i in day.job.dive_items if i.name == item), 0)
    sick, same_dive = day.sick(), day.job.tables.same_dive_under_min
    for name in day.divers_of(entry):
        person = next((p for p in day.job.people if p.name == name), None)
        if person is None:
            continue
        if not duty_qualifies(person.duties, DIVER):
            yield f"{name} is not listed as a diver."
        elif person.depth_rating_fsw < depth:
            rated = own_depth_words(person, day.job.site.units, "depth_rating_fsw")
            lies = dive_depth_words(day.job, item or "", depth)
            yield f"{name} is rated to {rated}; the work lies at {lies}."
        yield from _paper_flags(entry, day, person, DIVER)
        if name in sick:
            yield f"{name} was logged as sick at {day.job.clock.hhmm(sick[name])}."
        for other in day.dives:
            up = other.reach_surface_min
            if up is not None and name in other.people and 0 <= entry.at_min - up < same_dive:
                yield (
                    f"{name} was {entry.at_min - up} min on the surface: under {same_dive} min "
                    f"both dives count as one ({table_words(day.job.tables.called['intervals'])})."
                )
    station = planned.station if planned else entry.station
    busy = [d for d in day.dives if d.station == station and d.id != dive_id and _meet(entry.at_min, d)]
    for other in busy:
        yield f"Dive {other.id} is in the water on the same station."
