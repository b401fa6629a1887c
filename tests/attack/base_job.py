"""A small random job with no switch on, and how a switch changes one. Invented people and places."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, time
from random import Random

from planner.job import (
    DiveItem,
    Gear,
    Job,
    Outfit,
    Person,
    Pin,
    Site,
    Station,
)
from planner.job.duties import (
    CHAMBER_OPERATOR,
    CONSOLE,
    DIVER,
    LOG_KEEPER,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from tests.world.parts import PLAIN_RULES, heavy, light, person

Switch = Callable[[Random, Job], Job]

NAMES = ("Ada", "Bo", "Cem", "Dag", "Eli", "Fay", "Gus", "Hal", "Ida", "Jon", "Kai", "Lea")
CUTTING, RIGGER = "Cutting", "rigger"
DAY = date(2027, 3, 16)
START = 7 * 60


def base_job(random: Random) -> Job:
    """Six to twelve people, two to four dive items, one or two stations, a short day, default rules."""
    gear = random.choice((Gear.HEAVY, Gear.LIGHT, Gear.LIGHT))
    hours = random.randint(4, 9)
    site = Site(
        name="Attacked quay",
        first_day=DAY,
        day_start=time(START // 60),
        day_end=time(START // 60 + hours, random.choice((0, 20, 45))),
        time_zone="UTC",
        daylight_only=False,
    )
    stations = random.choice((1, 1, 2))
    return Job(
        rules=PLAIN_RULES,
        site=site,
        stations=tuple(Station(name=n) for n in ("North", "South")[:stations]),
        people=tuple(_people(random, gear, stations)),
        dive_items=tuple(_item(random, f"Item {k + 1}", gear) for k in range(random.randint(2, 4))),
        outfits=tuple(_outfits(random, gear, stations)),
    )


def _people(random: Random, gear: Gear, stations: int) -> Iterator[Person]:
    """Enough for one dive in that gear, and up to twelve in all."""
    roles: list[tuple[str, ...]] = [(SUPERVISOR, CONSOLE), (CONSOLE, LOG_KEEPER, TENDER)]
    roles += [(DIVER, TENDER)] * random.randint(2, 3)
    roles += [(TENDER,)] * (2 if gear is Gear.HEAVY else 1)
    more: tuple[tuple[str, ...], ...] = (
        (SUPERVISOR, LOG_KEEPER, CONSOLE),
        (CONSOLE, LOG_KEEPER),
        (DIVER, TENDER),
        (DIVER,),
        (TENDER, STANDBY_TENDER),
        (CHAMBER_OPERATOR, TENDER),
    )
    if stations == 2:
        roles += [(SUPERVISOR, LOG_KEEPER, CONSOLE), (CONSOLE, LOG_KEEPER)]
    least = max(6, len(roles))
    while len(roles) < random.randint(least, 12):
        roles.append(random.choice(more))
    for name, duties in zip(NAMES, roles, strict=False):
        rated = {"depth_rating_fsw": random.choice((60, 130, 130))} if DIVER in duties else {}
        yield person(name, *duties, medical_expires=date(2028, 1, 1) if rated else None, **rated)


def _item(random: Random, name: str, gear: Gear) -> DiveItem:
    return DiveItem(
        name=name,
        depth_fsw=random.choice((18, 25, 33, 40, 47, 52, 58)),
        bottom_work_min=random.choice((12, 20, 31, 45, 60, 75)),
        priority=random.randint(1, 5),
        splittable=random.random() < 0.6,
        least_useful_min=random.choice((5, 10, 20)),
        gear=gear,
    )


def _outfits(random: Random, gear: Gear, stations: int) -> Iterator[Outfit]:
    make = heavy if gear is Gear.HEAVY else light
    for number in range(1, random.randint(1 + stations, 3 + stations) + 1):
        yield make(f"Set {number}", str(number))


def site(job: Job, **changes: object) -> Job:
    return job.replace(site=job.site.replace(**changes))


def rules(job: Job, **changes: object) -> Job:
    return job.replace(rules=job.rules.replace(**changes))


def pinned(job: Job, pin: Pin) -> Job:
    return job.replace(pins=(*job.pins, pin))


def one_item(random: Random, job: Job, **changes: object) -> Job:
    """One of the dive items changed."""
    chosen = random.choice(job.dive_items).name
    return job.replace(
        dive_items=tuple(i.replace(**changes) if i.name == chosen else i for i in job.dive_items)
    )
