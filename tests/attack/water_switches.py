"""Switches of the day, its water and the ways up (`tests.attack.jobs`)."""

from __future__ import annotations

from datetime import date
from random import Random

from planner.job import (
    Gate,
    Job,
    Policy,
    Span,
    TideMark,
    WaterWindow,
)
from planner.table_sets.shelf import SHIPPED
from tests.attack.base_job import START, one_item, rules, site


def several_days(random: Random, job: Job) -> Job:
    return site(job, days=2)


def daylight(random: Random, job: Job) -> Job:
    """Short days at 60 degrees north, one item that may be dived in the dark."""
    first, *rest = job.dive_items
    lit = site(job, daylight_only=True, latitude_deg=60.0, longitude_deg=0.0, first_day=date(2027, 1, 12))
    return lit.replace(dive_items=(first.replace(in_the_dark=True), *rest))


def slack_windows(random: Random, job: Job) -> Job:
    """One item in slack water only, with two windows a day, the second at one station."""
    start = START + random.randint(20, 90)
    later = start + random.randint(100, 200)
    windows = (
        WaterWindow(start_min=start, end_min=start + random.randint(30, 80)),
        WaterWindow(
            start_min=later, end_min=later + random.randint(30, 80), stations=(job.stations[0].name,)
        ),
    )
    return one_item(random, job, needs_slack=True).replace(water_windows=windows)


def tide(random: Random, job: Job) -> Job:
    """A tide table over all days, and an item whose depth follows it."""
    first, step, high = random.randint(-300, 0), 372, random.random() < 0.5
    marks = []
    for k in range(12):
        level = random.uniform(8, 14) if high else random.uniform(0.5, 3)
        marks.append(TideMark(minute=first + k * step, level_ft=round(level, 1), high=high))
        high = not high
    return one_item(random, job, depth_follows_tide=True).replace(tide_marks=tuple(marks))


def altitude(random: Random, job: Job) -> Job:
    return site(job, altitude_ft=random.choice((1500, 4200)))


def item_windows(random: Random, job: Job) -> Job:
    start = START + random.randint(30, 150)
    return one_item(random, job, windows=(Span(start_min=start, end_min=start + random.randint(60, 200)),))


def gates(random: Random, job: Job) -> Job:
    """An intake tagged out in two stretches, the second held by another, for one or two of the items."""
    items = tuple(i.name for i in job.dive_items[: random.choice((1, 2))])
    start, first, second = START + random.randint(0, 90), random.randint(60, 150), random.randint(60, 200)
    later = start + first + random.choice((0, 0, 30))
    held = ((start, start + first, "Ira"), (later, later + second, "Jon"))
    return job.replace(
        gates=tuple(
            Gate(what="intake tagged out", items=items, held_by=by, start_min=s, end_min=e)
            for s, e, by in held
        )
    )


def stops(random: Random, job: Job) -> Job:
    """Stops in the water, a chamber near, one item long enough to need them."""
    near = site(
        job,
        policy=Policy.IN_WATER_STOPS,
        in_water_stop_max_min=random.choice((15, 40)),
        oxygen_in_water=random.random() < 0.3,
        chamber_minutes_away=random.choice((0, 4)),
    )
    return one_item(random, near, depth_fsw=68, bottom_work_min=55)


def other_tables(random: Random, job: Job) -> Job:
    """The other shipped set: no stops, other limits, groups and intervals."""
    return site(job, table_set=SHIPPED[1])


def surface_decompression(random: Random, job: Job) -> Job:
    near = site(job, policy=Policy.SURFACE_DECOMPRESSION, chamber_minutes_away=0)
    return one_item(random, near, depth_fsw=75, bottom_work_min=50)


def lowered_trigger(random: Random, job: Job) -> Job:
    return rules(site(job, chamber_minutes_away=0), chamber_trigger_fsw=random.choice((30, 45, 57)))


def deep(random: Random, job: Job) -> Job:
    """An item deeper than 100 fsw, a chamber at the dive location, somebody to operate it."""
    near = site(job, chamber_minutes_away=0)
    return one_item(random, near, depth_fsw=random.choice((102, 112)), bottom_work_min=12)
