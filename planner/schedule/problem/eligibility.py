"""What each person brings to the day: hours, nitrogen, fitness for an item, outfits that fit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

from planner.air.bailout import asks_for_bailout, needed_psi
from planner.check.rest import rest_windows_asked
from planner.gear.outfits import outfit_fits
from planner.job import DiveItem, Gear, Job, Person, PinKind, Span
from planner.job.duties import DIVER, STANDBY, duty_qualifies
from planner.schedule.problem.duty_hours import first_rested_min
from planner.schedule.problem.problem import Problem, ShareTakers
from planner.tables import Mode, modes, options_for
from planner.tables.schedule import NO_STOP
from planner.words.measures import own_depth_words


def duty_hours(job: Job, person: Person) -> tuple[Span, ...]:
    """When a person may hold a duty: on site, rested, and briefed."""
    spans = []
    for own in _rested(job, person):
        pinned = job.briefed_at_min(person, own.start_min)
        start = (own.start_min if pinned is None else pinned) + job.briefing_min(person, own.start_min)
        if start < own.end_min and (pinned is None or pinned >= own.start_min):
            spans.append(Span(start_min=start, end_min=own.end_min))
    return tuple(spans)


def _rested(job: Job, person: Person) -> tuple[Span, ...]:
    spans = job.on_site[person.name]
    if person.past_work and rest_windows_asked(job):
        starts = [first_rested_min(job, person, s.start_min, s.end_min) for s in spans]
        spans = tuple(
            Span(start_min=start, end_min=span.end_min)
            for start, span in zip(starts, spans, strict=True)
            if start < span.end_min
        )
    if person.last_duty_end_min is None:
        return spans
    rested = person.last_duty_end_min + job.rules.rest_before_duty_min
    return tuple(
        Span(start_min=max(s.start_min, rested), end_min=s.end_min) for s in spans if s.end_min > rested
    )


def stays_up(job: Job, item: DiveItem) -> set[str]:
    """People whom a pin keeps out of the water for an item."""
    return {p.person or "" for p in job.pins if p.kind is PinKind.STAYS_UP and p.item in (None, item.name)}


def job_dates(job: Job) -> tuple[date, ...]:
    """Every calendar day on which work of the job may begin."""
    last = job.clock.day_of(job.day_windows[-1].end_min - 1)
    count = (last - job.site.first_day).days + 1
    return tuple(job.site.first_day + timedelta(days=k) for k in range(count))


def uncertified(job: Job, person: Person, duty: str, day: date) -> list[str]:
    """Certificates that the job asks of a duty and a person does not hold on a day."""
    valid = {c.name for c in person.certificates if c.expires is None or c.expires >= day}
    return sorted(job.rules.certificates_for(duty) - valid)


def certified_until(job: Job) -> dict[tuple[str, str], int]:
    """(person, duty) → job minute until which the certificates that the duty asks for are valid.

    Only of those who lack one, or whose certificate runs out while the job lasts.
    """
    dates, opening = job_dates(job), job.day_windows[0].start_min
    asked = {duty for duty in job.duties if job.rules.certificates_for(duty)}
    asked |= {row.duty for row in job.rules.duty_certificates}
    out: dict[tuple[str, str], int] = {}
    for person in job.people:
        for duty in asked:
            valid = next((k for k, day in enumerate(dates) if uncertified(job, person, duty, day)), None)
            if valid is not None:
                out[person.name, duty] = max(opening, job.clock.day_start(valid)) if valid else opening
    return out


def unfit_to_dive(
    job: Job, person: Person, item: DiveItem, day: date | None = None, duty: str = DIVER
) -> tuple[str, str] | None:
    """The rule that keeps a person from an item on a day (the first when not given), and why in words.

    Parameters
    ----------
    duty
        As what he would be there.
    """
    day, name = day or job.site.first_day, person.name
    if not duty_qualifies(person.duties, DIVER):
        return "duty-qualified", f"{name} is not a diver"
    if person.depth_rating_fsw < item.depth_fsw:
        return (
            "depth-rating",
            f"{name} is rated to {own_depth_words(person, job.site.units, 'depth_rating_fsw')}",
        )
    if person.medical_expires is not None and person.medical_expires < day:
        return "medical", f"{name}'s medical ran out on {person.medical_expires}"
    missing = sorted(
        item.certificates - {c.name for c in person.certificates if c.expires is None or c.expires >= day}
    )
    if missing:
        return "certificates", f"{name} holds no valid certificate for {', '.join(missing)}"
    missing = uncertified(job, person, duty, day)
    if missing:
        return "duty-certificates", f"as {duty} {name} would need a valid {', '.join(missing)}"
    return None


def outfits_for(job: Job, item: DiveItem, person: Person, day: date | None = None) -> frozenset[str]:
    """Outfits that a person may wear on an item: ready on the day, matched, of the kind, size and length."""
    day, hazard_ft = day or job.site.first_day, job.hazard_ft(item.name)
    return frozenset(o.name for o in job.outfits if outfit_fits(o, item, person, day, hazard_ft) is None)


def bottled(job: Job, item: DiveItem, ways: Sequence[Mode]) -> tuple[frozenset[str], bool]:
    """Outfits with a bailout bottle that is enough, and whether others are for some of the ways up only.

    Every way up of the tables that has stops, or none, as these do is looked at: a diver with less nitrogen
    than a way up allows goes by another.

    Parameters
    ----------
    ways
        Ways up of a dive of the item.
    """
    kind = frozenset(o.name for o in job.outfits if o.kind is item.gear)
    stops = {m.way_up != NO_STOP for m in ways}
    if not asks_for_bailout(job, item, item.depth_fsw, decompression=True in stops):
        return kind, False
    every = modes(item.depth_fsw, options_for(job, item)) if ways else ()
    schedules = [m.schedule for m in every if (m.way_up != NO_STOP) in stops]
    always, sometimes = set(), False
    for outfit in job.outfits:
        if outfit.name not in kind or not outfit.carries_bailout:
            continue
        needed, shown = needed_psi(job, outfit, item.depth_fsw, schedules), outfit.bailout_psi or 0.0
        if all(shown >= psi for psi in needed):
            always.add(outfit.name)
        else:
            sometimes = sometimes or any(shown >= psi for psi in needed)
    return frozenset(always), sometimes


def unfit_dates(
    job: Job, item: DiveItem, person: Person, duty: str = DIVER, *, outfits: frozenset[str] | None = None
) -> frozenset[int]:
    """Calendar days of the job (0 the first) on which a person may not go down to an item, or stand by.

    ``outfits``: those that may be worn on it, where it is not all.
    """
    return frozenset(
        k
        for k, day in enumerate(job_dates(job))
        if unfit_to_dive(job, person, item, day, duty) is not None
        or not (own := outfits_for(job, item, person, day))
        or (outfits is not None and not own & outfits)
    )


def usable_outfits(problem: Problem, kind: Gear, date_index: int = 0) -> tuple[str, ...]:
    """Names of the outfits of a kind that may be worn on a day: ready and with one number."""
    day = problem.job.site.first_day + timedelta(days=date_index)
    return tuple(o.name for o in problem.job.outfits if o.kind is kind and o.ready_on(day))


def share_takers(job: Job, hours: dict[str, tuple[Span, ...]]) -> ShareTakers:
    """Between whom dives and turns standing by are shared: whoever is fit for an item on a day of the job.

    Items that follow the tide count at the lowest water.

    Parameters
    ----------
    hours
        When each person may hold a duty.
    """
    lowest = min((mark.level_ft for mark in job.tide_marks), default=0.0)
    items = [
        item.replace(depth_fsw=max(1, math.ceil(item.depth_fsw + lowest - 1e-9)))
        if item.depth_follows_tide
        else item
        for item in job.dive_items
    ]
    dates = len(job_dates(job))
    there = [p for p in job.people if hours[p.name]]

    def takes(person: Person, duty: str) -> bool:
        return any(
            len(unfit_dates(job, item, person, duty)) < dates
            for item in items
            if duty == STANDBY or person.name not in stays_up(job, item)
        )

    return ShareTakers(
        dives=tuple(p.name for p in there if takes(p, DIVER)),
        standing_by=tuple(p.name for p in there if takes(p, STANDBY)),
    )
