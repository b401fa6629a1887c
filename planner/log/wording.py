"""The day log in words: entries, what applies to each diver now, what comes after."""

from __future__ import annotations

from collections.abc import Iterator

from planner.job.job import Job
from planner.log.day_log import ActualDay, DayLog, Entry, Kind, Written
from planner.log.exposures import (
    ActualExposure,
    AfterLastDive,
    actual_exposures,
    after_dives,
    on_row_until_min,
)
from planner.words.measures import standby_minutes_words
from planner.words.schedule import whole_schedule_words


def entry_text(entry: Entry, job: Job) -> str:
    """One entry in a line: ``09:11 leave bottom, dive 1``."""
    parts = [f"{job.clock.hhmm(entry.at_min)} {entry.kind}"]
    if entry.dive is not None:
        parts.append(f"dive {entry.dive}")
    parts += entry.people
    parts += [part for part in (entry.duty, entry.item, entry.thing) if part]
    if entry.depth_fsw is not None:
        parts.append(f"{entry.depth_fsw} fsw")
    if entry.pressure_psi is not None:
        parts.append(f"{entry.pressure_psi:g} psi")
    if entry.hours_run is not None:
        parts.append(f"hour meter {entry.hours_run:g}")
    if entry.minutes is not None:
        parts.append(f"{entry.minutes} min")
    if entry.text:
        parts.append(entry.text)
    return ", ".join(parts)


def written_text(written: Written, log: DayLog, job: Job) -> str:
    """An entry with its number, who wrote it, and what it corrects or is corrected by."""
    what = entry_text(written.entry, job)
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


def exposure_lines(one: ActualExposure, job: Job, now_min: int) -> Iterator[str]:
    """Everything about one diver of one dive, the most pressing first."""
    hhmm, dive = job.clock.hhmm, one.dive
    yield headline(one, job)
    yield from one.flags
    told = f"{one.series_depth_fsw} fsw for {one.series_bottom_min} min"
    if dive.leave_bottom_min is None and dive.in_water:
        told += f" if the diver left the bottom now ({hhmm(now_min)})"
    group = f"group {one.group_before}" if one.group_before else "clean"
    after = f"group {one.group_after}" if one.group_after else "no group"
    yield f"{told}; {group} at leave surface, {after} after."
    up = one.up_at_min()
    if dive.in_water and up is not None:
        yield f"Reaches the surface at {hhmm(up)}."
    out = one.out_at_min()
    if out is not None and out != up:
        yield f"Out of the chamber at {hhmm(out)}."
    if one.outside_policy and one.exposure is not None:
        yield "The job's own rules do not plan this row; it applies because of what happened."


def after_lines(one: AfterLastDive, job: Job) -> Iterator[str]:
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
    depth = f"at {one.standby_depth_fsw} fsw"
    if one.standby_from_min is None:
        yield f"Cannot stand by {depth}."
    else:
        least = f"{job.rules.standby_no_stop_min} {standby_minutes_words(job.rules)}"
        yield f"May stand by {depth} from {at(one.standby_from_min)} (at least {least} left)."
    yield f"Does not fly before {at(one.fly_from_min)} (table 9-6, note 1)."


def day_text(day: ActualDay, now_min: int) -> str:
    """The whole state of the day: divers in the water, after their dives, dives to come."""
    job, lines = day.job, []
    for one in actual_exposures(day, now_min):
        where = "in the water" if one.dive.in_water else "surfaced"
        mark = "!! " if one.off_row else ""
        lines.append(f"{mark}Dive {one.dive.id}, {one.dive.item.name}: {one.person}, {where}")
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
