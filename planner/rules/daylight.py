"""Sunrise and sunset at the site, by the astral library, rounded to the safe side."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta

from astral import Observer
from astral.sun import elevation, sunrise, sunset

from planner.job.base import Span
from planner.job.clock import MINUTES_A_DAY
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
    noon = datetime.combine(day, datetime.min.time(), zone) + timedelta(hours=12)
    try:
        rise = sunrise(observer, date=day, tzinfo=zone)
        down = sunset(observer, date=day, tzinfo=zone)
    except ValueError:
        # astral says so when the sun stays on one side of the horizon all day
        up_all_day = elevation(observer, noon) > HORIZON_DEG
        return Span(start_min=start, end_min=end) if up_all_day else None
    first = math.ceil(_minute(job, rise))
    last = math.floor(_minute(job, down))
    if last <= first:
        last += MINUTES_A_DAY
    return Span(start_min=first, end_min=last)


def _minute(job: Job, moment: datetime) -> float:
    return (moment - job.clock.origin).total_seconds() / 60
