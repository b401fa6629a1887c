"""Depth, tables, residual nitrogen, intervals, limits of a day, and the chamber."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from planner.check.exposures import TrueExposure, TrueExposures
from planner.check.facts import Facts, KnownDive
from planner.job.bounds import CHAMBER_REACH_MIN, DEEPEST_FSW, SHORT_BOTTOM_MIN
from planner.job.duties import STANDBY
from planner.job.tide import deepest_fsw, depth_with_tide_fsw
from planner.plan.finding import Finding
from planner.plan.model import DiverExposure
from planner.tables import SAME_DIVE_UNDER_MIN, Exposure
from planner.tables.past_dives import past_watches
from planner.tables.profile import ascent_s
from planner.tables.schedule import NO_STOP, TableSchedule


def depth_rules(facts: Facts) -> Iterator[Finding]:
    """Rules ``depth-of-item`` and ``greatest-depth``."""
    greatest = facts.job.rules.greatest_depth_fsw
    for known in facts.dives:
        depth = known.depth_fsw
        wrong = _wrong_depth(facts, known)
        if wrong is not None:
            yield Finding("depth-of-item", wrong, known.where)
        bottom_time = known.dive.leave_bottom_min - known.dive.leave_surface_min
        if depth > greatest:
            yield Finding(
                "greatest-depth",
                f"{depth} fsw is deeper than this job's greatest depth of {greatest} fsw.",
                known.where,
            )
        elif depth > DEEPEST_FSW and bottom_time > SHORT_BOTTOM_MIN:
            yield Finding(
                "greatest-depth",
                f"{bottom_time} min of bottom time at {depth} fsw; deeper than {DEEPEST_FSW} fsw at most "
                f"{SHORT_BOTTOM_MIN} min.",
                known.where,
            )


def _wrong_depth(facts: Facts, known: KnownDive) -> str | None:
    """What is wrong with the depth a dive is planned to, in a sentence; None when nothing."""
    item, dive = known.item, known.dive
    planned = f"It is planned to {dive.depth_fsw} fsw"
    if not item.depth_follows_tide:
        if dive.depth_fsw == item.depth_fsw:
            return None
        return f"{planned}; {item.name} lies at {item.depth_fsw} fsw."
    down = dive.leave_surface_min, dive.leave_bottom_min
    needed = depth_with_tide_fsw(facts.job, item, *down)
    if needed is None:
        return f"The depth of {item.name} follows the tide, which is not known {facts.stretch(*down)}."
    if dive.depth_fsw < needed:
        return (
            f"{planned}; with the tide {item.name} lies at {needed} fsw at some time "
            f"{facts.stretch(*down)} (charted {item.depth_fsw} fsw)."
        )
    deepest = deepest_fsw(facts.job, item)
    if dive.depth_fsw > deepest:
        return f"{planned}; {item.name} lies at {deepest} fsw at the highest water."
    return None


def table_rules(facts: Facts, exposures: TrueExposures) -> Iterator[Finding]:
    """Rules ``same-dive-under-ten``, ``no-group-no-dive``, ``way-up-policy``, ``residual-nitrogen``,
    ``table-row``."""
    for true in exposures.all:
        where = f"{true.known.where}, {true.person}"
        if true.too_soon:
            yield Finding(
                "same-dive-under-ten",
                f"{true.person} leaves the surface {facts.at(true.known.dive.leave_surface_min)}, "
                f"{true.interval_min} min after surfacing from the dive before; under "
                f"{SAME_DIVE_UNDER_MIN} min is the same dive.",
                where,
            )
        if true.blocked_until_min is not None:
            yield Finding(
                "no-group-no-dive",
                f"The tables print no group for {true.person}'s dive before, so no dive until clean at "
                f"{facts.at(true.blocked_until_min)}; this one leaves the surface "
                f"{facts.at(true.known.dive.leave_surface_min)}.",
                where,
            )
        too_deep = true.known.depth_fsw > facts.job.rules.greatest_depth_fsw
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
    if interval != true.interval_min and (interval is not None or true.group_before is not None):
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
        bottom_time = true.known.dive.leave_bottom_min - true.known.dive.leave_surface_min
        yield Finding(
            "table-row",
            f"The plan uses {_schedule(have)}; {true.known.depth_fsw} fsw for {bottom_time} min"
            f"{f' in group {true.group_before}' if true.group_before else ''} is {_schedule(want)}.",
            where,
        )


def _schedule(row: TableSchedule) -> str:
    stops = ", ".join(f"{s.minutes} min at {s.depth_fsw} fsw on {s.gas}" for s in row.stops) or "no stops"
    chamber = f", {row.chamber_periods:g} chamber periods" if row.chamber_periods else ""
    return (
        f"{row.depth_fsw} fsw / {row.time_min} min of table {row.table} ({row.way_up}: {stops}, ascent "
        f"{row.ascent_s // 60}:{row.ascent_s % 60:02d}{chamber})"
    )


def interval_rules(facts: Facts, exposures: TrueExposures) -> Iterator[Finding]:
    """Rule ``surface-interval``."""
    least = facts.job.rules.least_surface_interval_min
    for true in exposures.all:
        if not true.since_planned_dive or true.interval_min is None or true.too_soon:
            continue
        if true.interval_min < least:
            yield Finding(
                "surface-interval",
                f"{true.person} has {true.interval_min} min on the surface before leaving it "
                f"{facts.at(true.known.dive.leave_surface_min)}; this job asks for {least}.",
                f"{true.known.where}, {true.person}",
            )


def daily_rules(facts: Facts) -> Iterator[Finding]:
    """Rules ``dives-a-day`` and ``bottom-minutes-a-day``; dives earlier on the same day count."""
    bottoms: dict[tuple[str, date], list[int]] = defaultdict(list)
    clock, rules = facts.job.clock, facts.job.rules
    for known in facts.dives:
        day = clock.day_of(known.dive.leave_surface_min)
        bottom_time = known.dive.leave_bottom_min - known.dive.leave_surface_min
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


def _needs_chamber(known: KnownDive, facts: Facts, decompression: bool) -> str | None:
    """Why a dive needs a chamber, in words; None when it does not."""
    trigger = facts.job.rules.chamber_trigger_fsw
    if known.depth_fsw > trigger:
        return f"{known.depth_fsw} fsw is deeper than {trigger} fsw"
    return "the dive is outside the no-stop limits" if decompression else None


def chamber_rules(facts: Facts, exposures: TrueExposures) -> Iterator[Finding]:
    """Rules ``chamber-at-location`` and ``chamber-watch``."""
    away = facts.job.site.chamber_minutes_away
    watch = facts.job.rules.chamber_watch_min
    watches: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    for person in facts.job.people:
        for surfaced, end in past_watches(person, facts.job.rules):
            watches[person.name].append((surfaced, end, "a dive before the job"))
    for known in facts.dives:
        reason = _needs_chamber(known, facts, exposures.decompression(known.dive.id))
        if reason is not None and (away is None or away > CHAMBER_REACH_MIN):
            place = "there is none in reach" if away is None else f"the nearest is {away} min away"
            yield Finding(
                "chamber-at-location",
                f"A chamber is needed within {CHAMBER_REACH_MIN} min because {reason}; {place}.",
                known.where,
            )
        for true in exposures.of_dive(known.dive.id):
            outside = true.exposure is not None and true.exposure.schedule.way_up != NO_STOP
            if _needs_chamber(known, facts, outside) is not None:
                # nobody dives or stands by between the water and the chamber either
                start, end = known.dive.reach_surface_min, known.dive.out_min + watch
                watches[true.person].append((start, end, known.where))
    for known in facts.dives:
        for diver in known.divers():
            yield from _in_watch(facts, watches, diver.person, known, known.water, "leaves the surface")
        for spell in facts.holders(known, STANDBY):
            stretch = (spell.start_min, spell.end_min)
            yield from _in_watch(facts, watches, spell.person, known, stretch, "stands by")


def _in_watch(
    facts: Facts,
    watches: dict[str, list[tuple[int, int, str]]],
    person: str,
    known: KnownDive,
    stretch: tuple[int, int],
    does: str,
) -> Iterator[Finding]:
    for start, end, dive in watches.get(person, ()):
        if dive != known.where and start < stretch[1] and stretch[0] < end:
            yield Finding(
                "chamber-watch",
                f"{person} {does} {facts.at(stretch[0])} and belongs near the chamber "
                f"{facts.stretch(start, end)} after {dive}.",
                f"{known.where}, {person}",
            )
