"""Generated jobs of growing size for the benchmark (invented; seeded, so each rung is always the same)."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, time

from planner.job import DiveItem, Gear, Job, Outfit, Person, Site, Station
from tests.world.parts import PLAIN_RULES


@dataclass(frozen=True)
class Rung:
    """A size: people, stations, dive items, days; the gear of all dives."""

    people: int
    stations: int
    items: int
    days: int = 1
    gear: Gear = Gear.LIGHT

    @property
    def name(self) -> str:
        days = f", {self.days} days" if self.days > 1 else ""
        gear = f", {self.gear.value}" if self.gear is Gear.HEAVY else ""
        return f"{self.people} people, {self.stations} station(s), {self.items} items{gear}{days}"


RUNGS = (
    Rung(8, 1, 4),
    Rung(9, 1, 4),
    Rung(9, 1, 6),
    Rung(9, 1, 4, gear=Gear.HEAVY),
    Rung(9, 1, 5, gear=Gear.HEAVY),
    Rung(9, 1, 6, gear=Gear.HEAVY),
    Rung(16, 2, 6),
    Rung(16, 2, 8),
    Rung(32, 2, 14),
    Rung(32, 4, 20),
    Rung(64, 4, 40),
)

#: Past what a model can hold: a jobsite of six stations, and a week.
RUNGS_PAST_A_MODEL = (Rung(96, 6, 60), Rung(32, 2, 60, days=7))


def _outfit(gear: Gear, number: int) -> Outfit:
    if gear is Gear.LIGHT:
        return Outfit(name=f"Light {number}", kind=gear, helmet_no=str(number))
    one = str(number)
    return Outfit(name=f"Heavy {number}", kind=gear, helmet_no=one, breastplate_no=one, straps_no=one)


def ladder_job(rung: Rung, *, seed: int = 1) -> Job:
    """A job of a rung: one kind of gear, crews with mixed duties, depths 25 to 75 fsw, day 07:00 to 19:00."""
    rng = random.Random(1000 * rung.people + 10 * rung.items + seed)
    people = []
    for k in range(rung.people):
        kind = k % 8
        duties = {
            0: {"supervisor", "air console", "log keeper"},
            1: {"air console", "log keeper", "tender"},
            2: {"tender"},
            3: {"tender", "diver"},
            4: {"diver", "tender"},
            5: {"diver", "tender", "supervisor"},
            6: {"tender", "air console", "log keeper"},
            7: {"diver", "tender"},
        }[kind]
        people.append(
            Person(
                name=f"P{k + 1:02d}",
                duties=frozenset(duties),
                depth_rating_fsw=rng.choice((60, 80, 100)) if "diver" in duties else 0,
            )
        )
    items = tuple(
        DiveItem(
            name=f"Item {k + 1:02d}",
            depth_fsw=rng.randrange(25, 76),
            bottom_work_min=rng.randrange(20, 91),
            least_useful_min=15,
            priority=rng.randrange(1, 6),
            gear=rung.gear,
        )
        for k in range(rung.items)
    )
    outfits = tuple(_outfit(rung.gear, k + 1) for k in range(4 * rung.stations))
    site = Site(
        name=rung.name,
        first_day=date(2027, 3, 16),
        days=rung.days,
        day_start=time(7),
        day_end=time(19),
        time_zone="UTC",
    )
    return Job(
        rules=PLAIN_RULES,
        site=site,
        stations=tuple(Station(name=f"Station {k + 1}") for k in range(rung.stations)),
        people=tuple(people),
        dive_items=items,
        outfits=outfits,
    )
