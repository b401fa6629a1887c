"""Depth, tables, residual nitrogen, intervals, and limits of a day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from functools import partial

from planner.check.facts import Facts, KnownDive, TrueExposure
from planner.check.rule import NAVY, Basis, Rule, convicts_by
from planner.job.bounds import DEEPEST_FSW, SHORT_BOTTOM_MIN
from planner.job.tide import deepest_fsw, depth_with_tide_fsw
from planner.plan.finding import Finding
from planner.plan.model import DiverExposure
from planner.table_sets import carrying_words, table_words
from planner.tables import Exposure
from planner.tables.profile import ascent_s
from planner.tables.schedule import TableSchedule
from planner.words.measures import depth_limit_words, dive_depth_words
from planner.words.schedule import whole_schedule_words


@convicts_by(
    Rule(
        "depth-of-item",
        "A dive is planned to the depth of its item; where that follows the tide, at least to the charted "
        "depth and the greatest level from leave surface to leave bottom, rounded up, and no deeper than at "
        "the highest water of the tide table.",
        "the job's own data; half a cosine between high and low water: common practice",
        Basis.ARITHMETIC,
    )
)
def depth_of_item(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        wrong = _wrong_depth(facts, known)
        if wrong is not None:
            yield Finding("depth-of-item", wrong, known.where)


@convicts_by(
    Rule(
        "greatest-depth",
        "No dive is deeper than the job's greatest depth, what the gauge reads and its corrections together; "
        "one deeper than 190 fsw has a bottom time of at most 30 minutes.",
        "29 CFR 1910.425(b)(1)",
        Basis.REGULATION,
        limits=("greatest_depth_fsw",),
    )
)
def greatest_depth(facts: Facts) -> Iterator[Finding]:
    greatest = facts.job.rules.greatest_depth_fsw
    for known in facts.dives:
        depth, bottom_time = known.greatest_fsw, known.bottom_time_min
        if depth > greatest:
            most = depth_limit_words(facts.job.rules, facts.job.site.units, "greatest_depth_fsw")
            wrong = f"{known.depth_words} is deeper than this job's greatest depth of {most}."
        elif depth > DEEPEST_FSW and bottom_time > SHORT_BOTTOM_MIN:
            wrong = (
                f"{bottom_time} min of bottom time at {known.depth_words}; deeper than {DEEPEST_FSW} fsw at "
                f"most {SHORT_BOTTOM_MIN} min."
            )
        else:
            continue
        yield Finding("greatest-depth", wrong, known.where)


def _wrong_depth(facts: Facts, known: KnownDive) -> str | None:
    """What is wrong with the depth a dive is planned to, in a sentence; None when nothing."""
    item, dive = known.item, known.dive
    lies = partial(dive_depth_words, facts.job, item.name)
    planned = f"It is planned to {lies(dive.depth_fsw)}"
    if not item.depth_follows_tide:
        if dive.depth_fsw == item.depth_fsw:
            return None
        return f"{planned}; {item.name} lies at {lies(item.depth_fsw)}."
    down = dive.leave_surface_min, dive.leave_bottom_min
    needed = depth_with_tide_fsw(facts.job, item, *down)
    if needed is None:
        return f"The depth of {item.name} follows the tide, which is not known {facts.stretch(*down)}."
    if dive.depth_fsw < needed:
        return (
            f"{planned}; with the tide {item.name} lies at {lies(needed)} at some time "
            f"{facts.stretch(*down)} (charted {lies(item.depth_fsw)})."
        )
    deepest = deepest_fsw(facts.job, item)
    if dive.depth_fsw > deepest:
        return f"{planned}; {item.name} lies at {lies(deepest)} at the highest water."
    return None


@convicts_by(
    Rule(
        "same-dive-under-ten",
        "Less on the surface than the tables' shortest interval (mostly ten minutes) does not part two "
        "dives: nobody leaves the surface again so soon after reaching it.",
        f"{NAVY}, table 9-8",
        Basis.PUBLISHED_TABLE,
        by_tables=("intervals",),
    ),
    Rule(
        "no-group-no-dive",
        "After a schedule for which the tables print no repetitive group, and by tables that ask for a least "
        "interval alone, a diver makes no other dive until clean.",
        f"{NAVY}, table 9-9 (from memory); clean 48 h after it, the longest wait of table 9-6",
        Basis.PUBLISHED_TABLE,
        by_tables=("no_stop", "stops", "intervals"),
    ),
    Rule(
        "way-up-policy",
        "Every diver comes up in a way that the job's policy allows: within the no-stop limits, or with no "
        "more stops than the policy permits; exceptional exposures are never planned.",
        f"{NAVY}, tables 9-7 and 9-9; the policy is the job's",
        Basis.PUBLISHED_TABLE,
        by_tables=("no_stop", "stops"),
    ),
    Rule(
        "residual-nitrogen",
        "Each diver's group (or factor) before the dive, residual nitrogen time, equivalent single dive time "
        "and group after it follow from all earlier dives, an arrival at altitude, and the minutes on the "
        "surface between them.",
        f"{NAVY}, tables 9-5 and 9-8",
        Basis.PUBLISHED_TABLE,
        by_tables=("arrival_at_altitude", "intervals", "residual"),
    ),
    Rule(
        "table-row",
        "Each diver's schedule is the row of the tables for the depth or next deeper and for the "
        "equivalent single dive time or next longer, never between rows.",
        f"{NAVY}, tables 9-7 and 9-9",
        Basis.PUBLISHED_TABLE,
        by_tables=("no_stop", "stops"),
    ),
)
def tables(facts: Facts) -> Iterator[Finding]:
    own = facts.job.tables
    for true in facts.exposures.all:
        where = f"{true.known.where}, {true.person}"
        if true.too_soon:
            leave = true.known.dive.leave_surface_min
            came_up = facts.people[true.person].arrived_min == leave - (true.interval_min or 0)
            yield Finding(
                "same-dive-under-ten",
                f"{true.person} leaves the surface {facts.at(leave)}, {true.interval_min} min after "
                + (
                    f"arriving at altitude; {table_words(own.called['intervals'])} begins at "
                    f"{own.same_dive_under_min} min."
                    if came_up
                    else "surfacing from the dive before; under "
                    f"{own.same_dive_under_min} min is the same dive."
                ),
                where,
            )
        if true.blocked_by is not None:
            yield Finding(
                "no-group-no-dive",
                f"{own.why_no_dive(true.blocked_by.group)} {true.person} is clean at "
                f"{facts.at(true.blocked_by.clean_at_min())}; this dive leaves the surface "
                f"{facts.at(true.known.dive.leave_surface_min)}.",
                where,
            )
        too_deep = true.known.greatest_fsw > facts.job.rules.greatest_depth_fsw
        if true.refusal is not None and not too_deep:
            yield Finding("way-up-policy", true.refusal, where)
        if true.exposure is not None:
            planned = next(d for d in true.known.dive.divers if d.person == true.person)
            yield from _nitrogen(true, true.exposure, planned, where)
            yield from _row(true.exposure.schedule, planned.schedule, true, where)
            yield from _profile(true.exposure, where)


def _nitrogen(
    true: TrueExposure, exposure: Exposure, planned: DiverExposure, where: str
) -> Iterator[Finding]:
    pairs = (
        ("group before", planned.group_before, true.group_before),
        ("residual nitrogen time", planned.residual_nitrogen_min, exposure.residual_nitrogen_min),
        ("equivalent single dive time", planned.equivalent_min, exposure.equivalent_min),
        ("group after", planned.group_after, exposure.group_after),
    )
    wrong = [f"{what} {_told(have)}, not {_told(want)}" for what, have, want in pairs if have != want]
    interval = planned.surface_interval_min
    if interval != true.interval_min:
        wrong.append(f"surface interval {_told(interval)}, not {_told(true.interval_min)}")
    if wrong:
        yield Finding("residual-nitrogen", f"The plan has {'; '.join(wrong)}.", where)


def _told(value: str | int | None) -> str:
    return "none" if value is None else str(value)


def _profile(exposure: Exposure, where: str) -> Iterator[Finding]:
    """The stretches of the way up, summed, come to the total ascent that the table prints."""
    laid_out, printed = ascent_s(exposure.segments), exposure.schedule.ascent_s
    if laid_out != printed:
        yield Finding(
            "table-row",
            f"The way up laid out stretch by stretch takes {laid_out} s, the table {printed} s.",
            where,
        )


def _row(want: TableSchedule, have: TableSchedule, true: TrueExposure, where: str) -> Iterator[Finding]:
    if have.model_dump(exclude={"notes"}) != want.model_dump(exclude={"notes"}):
        bottom_time = true.known.bottom_time_min
        yield Finding(
            "table-row",
            f"The plan uses {whole_schedule_words(have)}. {true.known.depth_fsw} fsw for {bottom_time} min"
            f"{f' {carrying_words(true.group_before)}' if true.group_before else ''} is "
            f"{whole_schedule_words(want)}.",
            where,
        )


@convicts_by(
    Rule(
        "surface-interval",
        "Between two planned dives a diver spends at least the job's least surface interval on the surface.",
        limits=("least_surface_interval_min",),
    )
)
def surface_interval(facts: Facts) -> Iterator[Finding]:
    least = facts.job.rules.least_surface_interval_min
    for true in facts.exposures.all:
        if not true.since_planned_dive or true.interval_min is None or true.too_soon:
            continue
        if true.interval_min < least:
            yield Finding(
                "surface-interval",
                f"{true.person} has {true.interval_min} min on the surface before leaving it "
                f"{facts.at(true.known.dive.leave_surface_min)}; this job asks for {least}.",
                f"{true.known.where}, {true.person}",
            )


@convicts_by(
    Rule(
        "dives-a-day",
        "Nobody makes more dives in a calendar day than the job allows.",
        limits=("dives_a_day",),
    ),
    Rule(
        "bottom-minutes-a-day",
        "Nobody's bottom times of a calendar day add up to more than the job allows.",
        limits=("bottom_minutes_a_day",),
    ),
)
def dives_of_a_day(facts: Facts) -> Iterator[Finding]:
    """Rules ``dives-a-day`` and ``bottom-minutes-a-day``; dives earlier on the same day count."""
    bottoms: dict[tuple[str, date], list[int]] = defaultdict(list)
    clock, rules = facts.job.clock, facts.job.rules
    for known in facts.dives:
        day = clock.day_of(known.dive.leave_surface_min)
        bottom_time = known.bottom_time_min
        for diver in known.divers():
            if diver.person in facts.people:
                bottoms[diver.person, day].append(bottom_time)
    for person in facts.job.people:
        for past in person.past_dives:
            key = (person.name, clock.day_of(past.surfaced_min))
            if key in bottoms:
                bottoms[key].append(past.bottom_time_min)
    for (name, day), times in bottoms.items():
        where = f"{name}, {day.isoformat()}"
        if len(times) > rules.dives_a_day:
            yield Finding(
                "dives-a-day", f"{name} makes {len(times)} dives; {rules.dives_a_day} a day at most.", where
            )
        if sum(times) > rules.bottom_minutes_a_day:
            yield Finding(
                "bottom-minutes-a-day",
                f"{name}'s bottom times add up to {sum(times)} min; {rules.bottom_minutes_a_day} at most.",
                where,
            )
