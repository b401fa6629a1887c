"""Sunrise and sunset at the site, by the astral library, rounded to the safe side."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta

from astral import Observer
from astral.sun import elevation, sunrise, sunset

from planner.job.base import MINUTES_A_DAY, Span
from planner.job.job import Job

#: Elevation of the sun's centre at sunrise and sunset: refraction 34', half the sun's disk 16'
#: (the usual convention of almanacs).
HORIZON_DEG = -0.833


def daylight(job: Job) -> tuple[Span, ...] | None:
    """When the sun is up over the site, on every day of the job and the day after it.

    Sunrise is rounded up and sunset down to the minute. Where the sun does not set, the span is the whole
    day; where it does not rise, the day has none.

    Returns
    -------
    tuple of Span or None
        Job minutes, in order. None when the job gives no latitude and longitude: then nobody can say.
    """
    site = job.site
    if site.latitude_deg is None or site.longitude_deg is None:
        return None
    observer = Observer(site.latitude_deg, site.longitude_deg, 0.0)
    spans = []
    for index in range(site.days + 1):
        span = _sun_up(job, observer, site.first_day + timedelta(days=index), index)
        if span is not None:
            spans.append(span)
    return tuple(spans)


def _sun_up(job: Job, observer: Observer, day: date, index: int) -> Span | None:
    zone = job.clock.zone
    start, end = job.clock.day_start(index), job.clock.day_start(index + 1)
    try:
        rise = sunrise(observer, date=day, tzinfo=zone)
        down = sunset(observer, date=day, tzinfo=zone)
    except ValueError:
        # astral says so when one of the two does not fall on that day: by the poles, and where the clock on
        # the wall is hours away from the sun
        return _watched(job, observer, start, end)
    first = math.ceil(_minute(job, rise))
    last = math.floor(_minute(job, down))
    if last <= first:
        last += MINUTES_A_DAY
    return Span(start_min=first, end_min=last)


def _watched(job: Job, observer: Observer, start_min: int, end_min: int) -> Span | None:
    """The longest stretch of a day, in whole minutes, in which the sun is up; None when it never is."""
    best: tuple[int, int] | None = None
    since: int | None = None
    for minute in range(start_min, end_min + 1):
        up = minute < end_min and _sun_deg(observer, job.clock.at(minute)) > HORIZON_DEG
        if up and since is None:
            since = minute
        elif not up and since is not None:
            if best is None or minute - since > best[1] - best[0]:
                best = (since, minute - 1 if minute < end_min else minute)
            since = None
    return None if best is None or best[0] >= best[1] else Span(start_min=best[0], end_min=best[1])


def _sun_deg(observer: Observer, moment: datetime) -> float:
    """True elevation of the sun's centre, without refraction: that is in the horizon's own number."""
    return float(elevation(observer, moment, with_refraction=False))


def _minute(job: Job, moment: datetime) -> float:
    return (moment - job.clock.origin).total_seconds() / 60
