"""Small made-up jobs for the scheduler's tests (invented; every case changes one thing)."""

from __future__ import annotations

from datetime import date, time
from typing import Any

from planner.job import (
    DiveItem,
    Gear,
    Job,
    Outfit,
    Person,
    Site,
    Station,
)
from tests.world import parts


def person(name: str, *duties: str, rated_fsw: int = 100, **facts: Any) -> Person:
    rated = rated_fsw if "diver" in duties else 0
    return parts.person(name, *duties, depth_rating_fsw=rated, **facts)


def outfit(number: int, kind: Gear = Gear.HEAVY, **facts: Any) -> Outfit:
    made = parts.heavy if kind is Gear.HEAVY else parts.light
    return made(f"{kind.value} {number}", str(number), **facts)


PEOPLE = (
    person("Ines", "supervisor", "air console", "log keeper"),
    person("Marek", "air console", "log keeper", "tender"),
    person("Ola", "tender"),
    person("Bo", "tender"),
    person("Gus", "tender"),
    person("Ciro", "diver", "tender"),
    person("Dana", "diver", "tender"),
    person("Efe", "diver", "tender"),
)


def job(*items: DiveItem, people: tuple[Person, ...] = PEOPLE, **changes: object) -> Job:
    """A one-station day from 07:00 to 15:00, eight people: just enough for one heavy dive at a time, with two
    hands for its diver and two for the standby diver."""
    site = Site(
        name="Test quay",
        first_day=date(2027, 3, 16),
        day_start=time(7),
        day_end=time(15),
        time_zone="UTC",
    )
    made = Job(
        rules=parts.PLAIN_RULES,
        site=site,
        stations=(Station(name="North"),),
        people=people,
        dive_items=items,
        outfits=tuple(outfit(n) for n in (1, 2, 3)),
    )
    return made.replace(**changes)


def item(name: str = "Work", depth_fsw: int = 40, work_min: int = 40, **facts: Any) -> DiveItem:
    return DiveItem.model_validate(
        {"name": name, "depth_fsw": depth_fsw, "bottom_work_min": work_min, **facts}
    )
