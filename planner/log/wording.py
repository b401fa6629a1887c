"""The day log in words: entries, what applies to each diver now, what comes after."""

from __future__ import annotations

from collections.abc import Iterator

from planner.job.job import Job
from planner.job.units import PRESSURE_KEPT, UnitSystem
from planner.log.day_log import ActualDay, DayLog, Entry, Kind, Written
from planner.log.exposures import (
    ActualExposure,
    AfterLastDive,
    actual_exposures,
    after_dives,
    on_row_until_min,
)
from planner.log.hold_points import point_words
from planner.log.way_up import stop_words
from planner.table_sets import carried_words, table_words
from planner.words.measures import (
    Metric,
    depth_words,
    dive_depth_words,
    own_depth_words,
    own_pressure_words,
    standby_minutes_words,
)
from planner.words.schedule import whole_schedule_words


def entry_text(entry: Entry, job: Job, units: UnitSystem = UnitSystem.FEET) -> str:
    """One entry in a line: ``09:11 leave bottom, dive 1``; metres stand beside the feet."""
    if entry.kind is Kind.HOLD_POINT:
        what = f"inspection, {entry.thing}" if entry.dive is None else f"dive {entry.dive}, {entry.thing}"
        did = f"; done by {' and '.join(entry.done_by)}" if entry.done_by else ""
        signed = f"Signed by {' and '.join(entry.people)}{did}"
        return f"{job.clock.hhmm(entry.at_min)} {entry.kind}, {what}: {point_words(entry, job)} {signed}"
    parts = [f"{job.clock.hhmm(entry.at_min)} {entry.kind}"]
    if entry.dive is not None:
        parts.append(f"dive {entry.dive}")
    parts += entry.people
    parts += [part for part in (entry.duty, entry.item, entry.thing) if part]
    if entry.depth_fsw is not None:
        metric = Metric.BEHIND  # what was typed in metres stands first all the same
        parts.append(own_depth_words(entry, UnitSystem.FEET, reads=units, metric=metric))
    if entry.pressure_psi is not None:
        own = own_pressure_words(entry, UnitSystem.FEET, "pressure_psi", units, measure=PRESSURE_KEPT)
        parts.append(own)
    if entry.hours_run is not None:
        parts.append(f"hour meter {entry.hours_run:g}")
    if entry.minutes is not None:
        parts.append(f"{entry.minutes} min")
    if entry.text:
        parts.append(entry.text)
    return ", ".join(parts)


def written_text(written: Written, log: DayLog, job: Job, units: UnitSystem = UnitSystem.FEET) -> str:
    """An entry with its number, who wrote it, and what it corrects or is corrected by."""
    what = entry_text(written.entry, job, units)
    if written.entry.kind is Kind.TAKEN_BACK:
        what = f"entry {written.corrects} taken back"
    elif written.corrects is not None:
        what += f" (instead of entry {written.corrects})"
    by = log.corrected_by(written.number)
    struck = "" if by is None else f" [does not hold: entry {by.number}]"
    when = written.written_at.astimezone(job.clock.zone)
    return f"{written.number}. {what}; {written.written_by}, {when:%d %b %H:%M}{struck}"


def headline(one: ActualExposure, job: Job) -> str:
    """Where a diver stands against the plan's row, in one sentence."""
    if one.exposure is None:
        return (
            f"No row of these tables applies: {one.refusal.rstrip('.')}. Act on the official tables and the "
            "emergency procedure at once."
        )
    row = f"row {whole_schedule_words(one.exposure.schedule)}"
    if one.off_row:
        return f"Off the plan's row. Now applies: {row}."
    until = on_row_until_min(one, job)
    if until is not None:
        dive = one.dive
        planned = ""
        if dive.planned is not None:
            leaves = dive.leave_surface_min + dive.planned.bottom_time_min
            planned = f"Leave the bottom at {job.clock.hhmm(leaves)} as planned; "
        return f"{planned}the plan's row holds until {job.clock.hhmm(until)}. Now: {row}."
    return f"As planned: {row}." if one.planned is not None else f"Not planned. Applies: {row}."


def exposure_lines(
    one: ActualExposure, job: Job, now_min: int, units: UnitSystem = UnitSystem.FEET
) -> Iterator[str]:
    """Everything about one diver of one dive, the most pressing first."""
    hhmm, dive = job.clock.hhmm, one.dive
    yield headline(one, job)
    yield from one.flags
    due = stop_words(dive, one.schedule, job, units)
    if due:
        yield due
    depth = dive_depth_words(job, dive.item.name, one.series_depth_fsw, units)
    if one.series_depth_fsw == dive.logged_depth_fsw and dive.logged_m is not None:
        depth = depth_words(one.series_depth_fsw, units, typed_m=dive.logged_m)
    told = f"{depth} for {one.series_bottom_min} min"
    if dive.leave_bottom_min is None and dive.in_water:
        told += f" if the diver left the bottom now ({hhmm(now_min)})"
    after = f"group {one.group_after}" if one.group_after else "no group"
    yield f"{told}; {carried_words(one.group_before)} at leave surface, {after} after."
    up = one.up_at_min()
    if dive.in_water and up is not None:
        yield f"Reaches the surface at {hhmm(up)}."
    out = one.out_at_min()
    if dive.out_of_chamber_min is not None:
        yield f"Out of the chamber at {hhmm(dive.out_of_chamber_min)}."
    elif out is not None and out != up:
        yield f"Out of the chamber at {hhmm(out)} by the row; it counts when it is logged."
    if one.outside_policy and one.exposure is not None:
        yield "The job's own rules do not plan this row; it applies because of what happened."


def after_lines(one: AfterLastDive, job: Job, units: UnitSystem = UnitSystem.FEET) -> Iterator[str]:
    """What holds for one person after surfacing."""

    def at(minute: int) -> str:
        other_day = job.clock.day_of(minute) != job.site.first_day
        return job.clock.hhmm(minute, with_day=other_day)

    group = f"group {one.group}" if one.group else "no group printed"
    yield f"Surfaced {at(one.surfaced_min)}, {group}; clean {at(one.clean_at_min)}."
    if one.chamber_until_min is not None:
        yield f"Stays near the chamber until {at(one.chamber_until_min)} (29 CFR 1910.423(b)(2))."
    if one.dive_from_min is None:
        yield f"No more dives today: {one.no_dive_because}."
    else:
        yield f"May dive again from {at(one.dive_from_min)}."
    depth = f"at {depth_words(one.standby_depth_fsw, units)}"
    if one.standby_from_min is None:
        yield f"Cannot stand by {depth}."
    else:
        least = f"{job.rules.standby_no_stop_min} {standby_minutes_words(job.rules)}"
        yield f"May stand by {depth} from {at(one.standby_from_min)} (at least {least} left)."
    if one.fly_from_min is None:
        yield job.tables.no_flight_rows
    else:
        called = table_words(job.tables.called["before_altitude"])
        yield f"Does not fly before {at(one.fly_from_min)} ({called}, highest group of 24 hours)."


def day_text(day: ActualDay, now_min: int) -> str:
    """The whole state of the day: divers in the water, after their dives, dives to come."""
    job, lines = day.job, []
    for one in actual_exposures(day, now_min):
        mark = "!! " if one.off_row else ""
        lines.append(f"{mark}Dive {one.dive.id}, {one.dive.item.name}: {one.person}, {one.dive.whereabouts}")
        lines += [f"   {line}" for line in exposure_lines(one, job, now_min)]
    for rest in after_dives(day, now_min):
        lines.append(f"{rest.person} after the dive")
        lines += [f"   {line}" for line in after_lines(rest, job)]
    for dive in day.to_come():
        people = " and ".join(d.person for d in dive.divers)
        lines.append(
            f"To come: dive {dive.id}, {dive.item}, {job.clock.hhmm(dive.leave_surface_min)}, {people}"
        )
    return "\n".join(lines)
