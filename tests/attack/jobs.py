"""Small random jobs, each with a few switches on: one switch turns on one thing that the rules speak of.

A switch draws from a stream of its own, so the same seed without it is the same job but for that one thing: a
job that is easier (or harder) by one rule alone. Invented people and places.
"""

from __future__ import annotations

from random import Random

from planner.job import (
    DiveItem,
    Job,
    Pin,
    PinKind,
)
from planner.job.cross_checks import cross_faults
from planner.job.duties import (
    CONSOLE,
    DIVER,
    SUPERVISOR,
    TENDER,
)
from tests.attack.base_job import START, Switch, base_job, pinned
from tests.attack.crew_switches import (
    another_order,
    briefing,
    certificates,
    day_blocks,
    dive_limits,
    early_enough,
    hand_over,
    length_of_dives,
    minutes_in_hand,
    more_standby_with_stops,
    one_briefing,
    operator,
    pairs,
    papers,
    past_dives,
    preset,
    relief,
    rest_and_meals,
    short_hours,
    standby_dressing,
    standby_minutes,
    turnaround,
)
from tests.attack.water_switches import (
    altitude,
    daylight,
    deep,
    gates,
    item_windows,
    lowered_trigger,
    other_tables,
    several_days,
    slack_windows,
    stops,
    surface_decompression,
    tide,
)
from tests.attack.work_switches import (
    ample_air,
    both_gears,
    bottles,
    enclosed,
    in_one_go,
    on_deck,
    one_station_items,
    order_of_work,
    primary_bank,
    same_diver,
    stages_at_stations,
    turnarounds,
    two_divers,
    weak_compressor,
)


def pin_start(random: Random, job: Job) -> Job:
    start = START + random.randint(40, 200)
    chosen = random.choice(job.dive_items).name
    return pinned(job, Pin(kind=PinKind.STARTS, item=chosen, start_min=start, end_min=start + 40))


def pin_diver(random: Random, job: Job) -> Job:
    person = random.choice([p for p in job.people if DIVER in p.duties])
    chosen = random.choice(job.dive_items).name
    return pinned(job, Pin(kind=PinKind.DIVES, item=chosen, person=person.name))


def pin_up(random: Random, job: Job) -> Job:
    person = random.choice([p for p in job.people if DIVER in p.duties])
    return pinned(job, Pin(kind=PinKind.STAYS_UP, person=person.name))


def pin_duty(random: Random, job: Job) -> Job:
    duty = random.choice((CONSOLE, TENDER, SUPERVISOR))
    able = [p.name for p in job.people if duty in p.duties]
    chosen = random.choice(job.dive_items).name
    return pinned(job, Pin(kind=PinKind.HOLDS, item=chosen, duty=duty, person=random.choice(able)))


def pin_away(random: Random, job: Job) -> Job:
    start = START + random.randint(0, 240)
    gone = random.choice(job.people).name
    return pinned(job, Pin(kind=PinKind.AWAY, person=gone, start_min=start, end_min=start + 45))


def pin_block(random: Random, job: Job) -> Job:
    block = random.choice((*job.standing_items, *job.items))
    if isinstance(block, DiveItem):
        return job
    start = START + random.randint(0, 90)
    return pinned(job, Pin(kind=PinKind.STARTS, item=block.name, start_min=start, end_min=start + 60))


def pin_briefing(random: Random, job: Job) -> Job:
    person = random.choice((None, random.choice(job.people).name))
    return pinned(job, Pin(kind=PinKind.BRIEFED, person=person, start_min=START + random.randint(0, 30)))


def pin_free(random: Random, job: Job) -> Job:
    """Minutes kept free behind every dive of an item, or behind one of them."""
    chosen, kind = random.choice(job.dive_items).name, random.choice((PinKind.KEEPS_FREE, PinKind.DIVES))
    return pinned(job, Pin(kind=kind, item=chosen, free_min=random.choice((1, 10, 30, 60))))


#: Every switch; applied in this order, each where its own stream says so.
SWITCHES: tuple[Switch, ...] = (
    several_days,
    daylight,
    slack_windows,
    tide,
    altitude,
    item_windows,
    gates,
    stops,
    surface_decompression,
    other_tables,
    deep,
    lowered_trigger,
    operator,
    preset,
    more_standby_with_stops,
    pairs,
    standby_minutes,
    standby_dressing,
    hand_over,
    minutes_in_hand,
    early_enough,
    another_order,
    turnaround,
    briefing,
    one_briefing,
    length_of_dives,
    relief,
    day_blocks,
    short_hours,
    rest_and_meals,
    dive_limits,
    past_dives,
    certificates,
    papers,
    on_deck,
    order_of_work,
    two_divers,
    enclosed,
    same_diver,
    in_one_go,
    one_station_items,
    both_gears,
    turnarounds,
    bottles,
    stages_at_stations,
    ample_air,
    weak_compressor,
    primary_bank,
    pin_start,
    pin_diver,
    pin_up,
    pin_block,
    pin_briefing,
    pin_duty,
    pin_away,
    pin_free,
)

#: How many switches a job has on, about.
ON = 6


def random_job(seed: int, *, without: str = "") -> tuple[Job, tuple[str, ...]]:
    """The job of a seed, and the names of the switches that are on; ``without`` one of them left out.

    A switch whose job would contradict itself (two pins that clash) stays off.
    """
    job = base_job(Random(f"{seed} base"))
    on = []
    for switch in SWITCHES:
        name = switch.__name__
        random = Random(f"{seed} {name}")
        if random.random() >= ON / len(SWITCHES) or name == without:
            continue
        changed = switch(random, job)
        if not cross_faults(changed):
            job = changed
            on.append(name)
    return job, tuple(on)


def job_with(switch: Switch, seed: int) -> Job:
    """The base job of a seed with one switch on, and two who may operate a chamber."""
    job = operator(Random(f"{seed} operator"), base_job(Random(f"{seed} base")))
    return switch(Random(f"{seed} {switch.__name__}"), job)
