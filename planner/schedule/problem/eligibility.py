"""What each person brings to the day: hours, nitrogen, fitness for an item, outfits that fit."""

from __future__ import annotations

import math
from datetime import date, timedelta

from planner.gear import outfit_fits, why_not_ready
from planner.job import DiveItem, Gear, Job, Person, Pin, PinKind, Span
from planner.job.duties import DIVER, duty_qualifies
from planner.schedule.problem.duty_hours import first_rested_min, rest_windows_asked
from planner.schedule.problem.problem import Problem, ShareTakers


def duty_hours(job: Job, person: Person) -> tuple[Span, ...]:
    spans = _without(job.available(person), [p for p in job.pins if p.kind is PinKind.AWAY], person.name)
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


def _without(spans: tuple[Span, ...], away_pins: list[Pin], person: str) -> tuple[Span, ...]:
    """Hours less the stretches that pins take away."""
    for pin in away_pins:
        if pin.person != person or pin.window is None:
            continue
        first, last = pin.window
        cut: list[Span] = []
        for span in spans:
            if span.start_min < min(first, span.end_min):
                cut.append(Span(start_min=span.start_min, end_min=min(first, span.end_min)))
            if max(last, span.start_min) < span.end_min:
                cut.append(Span(start_min=max(last, span.start_min), end_min=span.end_min))
        spans = tuple(cut)
    return spans


def stays_up(job: Job, item: DiveItem) -> set[str]:
    """People whom a pin keeps out of the water for an item."""
    return {p.person or "" for p in job.pins if p.kind is PinKind.STAYS_UP and p.item in (None, item.name)}


def job_dates(job: Job) -> tuple[date, ...]:
    """Every calendar day on which work of the job may begin."""
    last = job.clock.day_of(job.day_windows[-1].end_min - 1)
    count = (last - job.site.first_day).days + 1
    return tuple(job.site.first_day + timedelta(days=k) for k in range(count))


def unfit_to_dive(
    job: Job, person: Person, item: DiveItem, day: date | None = None
) -> tuple[str, str] | None:
    """The rule that keeps a person from an item on a day (the first when not given), and why in words."""
    day, name = day or job.site.first_day, person.name
    if not duty_qualifies(person.duties, DIVER):
        return "duty-qualified", f"{name} is not a diver"
    if person.depth_rating_fsw < item.depth_fsw:
        return "depth-rating", f"{name} is rated to {person.depth_rating_fsw} fsw"
    if person.medical_expires is not None and person.medical_expires < day:
        return "medical", f"{name}'s medical ran out on {person.medical_expires}"
    missing = sorted(
        item.certificates - {c.name for c in person.certificates if c.expires is None or c.expires >= day}
    )
    if missing:
        return "certificates", f"{name} holds no valid certificate for {', '.join(missing)}"
    return None


def outfits_for(job: Job, item: DiveItem, person: Person, day: date | None = None) -> frozenset[str]:
    """Outfits that a person may wear on an item: ready on the day, matched, of the kind, size and length."""
    day = day or job.site.first_day
    return frozenset(o.name for o in job.outfits if outfit_fits(o, item, person, day) is None)


def unfit_dates(job: Job, item: DiveItem, person: Person) -> frozenset[int]:
    """Calendar days of the job (0 the first) on which a person may not go down to an item."""
    return frozenset(
        k
        for k, day in enumerate(job_dates(job))
        if unfit_to_dive(job, person, item, day) is not None or not outfits_for(job, item, person, day)
    )


def usable_outfits(problem: Problem, kind: Gear, date_index: int = 0) -> tuple[str, ...]:
    """Names of the outfits of a kind that may be worn on a day: ready and with one number."""
    day = problem.job.site.first_day + timedelta(days=date_index)
    return tuple(o.name for o in problem.job.outfits if o.kind is kind and why_not_ready(o, day) is None)


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
    fit = {
        p.name: {i.name for i in items if len(unfit_dates(job, i, p)) < dates}
        for p in job.people
        if hours[p.name]
    }
    up = {i.name: stays_up(job, i) for i in items}
    return ShareTakers(
        dives=tuple(p for p, own in fit.items() if any(p not in up[i] for i in own)),
        standing_by=tuple(p for p, own in fit.items() if own),
    )
