"""The standing work of a dived day: blocks that follow from a job's rules and gear, on deck around the dives.

Nobody types them in: they follow from the crew rules, the outfits and the compressors, each with its minutes
and people, and a block of 0 min or of nobody is not planned. Which dives a block concerns, and that it
is done before the first dressing or after the last undressing, is the rule ``day-blocks``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from enum import StrEnum

from planner.job.base import MINUTES_A_DAY, Span
from planner.job.duties import CONSOLE, TENDER, duty_qualifies
from planner.job.gear import TENDERS, Gear
from planner.job.given import GivenJob
from planner.job.work import CrewNeed, DiveItem, SurfaceItem


class Block(StrEnum):
    """What is done, in words."""

    INSPECTION = "Inspecting and connecting"
    SET_UP = "Setting up"
    WARM_UP = "Compressors warming up"
    STRIKE = "Striking"
    CLEANING = "Cleaning and stowing"

    @property
    def opens(self) -> bool:
        """Whether it is done before the dives that it concerns, and not after them."""
        return self not in (Block.STRIKE, Block.CLEANING)


class StandingItem(SurfaceItem):
    """One block of one working day."""

    block: Block
    day: int
    """Which working day, 0 the first."""
    gear: Gear | None = None
    """Of which kind of gear; None where it is not of one."""
    due: bool = False
    """It is to be done although no dive to come asks for it: those that did are over."""

    @property
    def key(self) -> str:
        """The block without its day."""
        return standing_key(self.block, self.station or self.gear)

    def concerns(self, item: DiveItem, station: str) -> bool:
        """Whether a dive of its day on an item from a station asks for it."""
        return self.station in (None, station) and self.gear in (None, item.gear)


def standing_key(block: Block, of: str | None) -> str:
    """``Setting up, North side``."""
    return f"{block.value}, {of}" if of else block.value


def standing_items(job: GivenJob) -> Iterator[StandingItem]:
    """Every block that a day of the job may hold, day by day."""
    for day in range(job.site.days):
        for station in job.stations:
            yield from _block(job, day, Block.SET_UP, job.rules.station_set_up_min, station=station.name)
            yield from _block(job, day, Block.STRIKE, job.rules.station_strike_min, station=station.name)
        for gear in dict.fromkeys(item.gear for item in job.dive_items):
            yield from _block(job, day, Block.INSPECTION, _inspection_min(job, day, gear), gear=gear)
            yield from _block(job, day, Block.CLEANING, job.rules.cleaning_min, gear=gear)
        warm_up = max((c.warm_up_min for c in job.air.compressors if c.on_line), default=0)
        yield from _block(job, day, Block.WARM_UP, warm_up)


def _block(
    job: GivenJob,
    day: int,
    block: Block,
    minutes: int,
    *,
    station: str | None = None,
    gear: Gear | None = None,
) -> Iterator[StandingItem]:
    duty, count = _crew(job, block, gear)
    key = standing_key(block, station or gear)
    due = next((d for d in job.blocks_due if d.key == key), None)
    if not minutes or not count or not job.dive_items or key in job.blocks_done:
        return
    window = job.day_windows[day]
    if due is not None:
        window = Span(start_min=max(window.start_min, due.from_min), end_min=window.end_min)
    when = f", {job.clock.day_of(window.start_min):%a %d %b}" if job.site.days > 1 else ""
    yield StandingItem(
        name=f"{key}{when}",
        priority=5,
        windows=(window,),
        station=station,
        duration_min=min(MINUTES_A_DAY, minutes),  # as long as a surface item may be
        crew=(CrewNeed(duty=duty, count=count),),
        block=block,
        day=day,
        gear=gear,
        due=due is not None,
    )


def _crew(job: GivenJob, block: Block, gear: Gear | None) -> tuple[str, int]:
    """Duty and how many: never more than the team has, and one where it has none."""
    rules = job.rules
    if block is Block.WARM_UP:
        return CONSOLE, rules.warm_up_hands
    if block is Block.INSPECTION and gear is not None:
        return TENDER, TENDERS[gear] * _pairs(job, gear)
    hands = rules.set_up_hands if block in (Block.SET_UP, Block.STRIKE) else rules.cleaning_hands
    return TENDER, min(hands, max(1, _tenders(job)))


def _pairs(job: GivenJob, gear: Gear) -> int:
    return min(job.rules.inspection_pairs, max(1, _tenders(job) // TENDERS[gear]))


def _tenders(job: GivenJob) -> int:
    return sum(1 for person in job.people if duty_qualifies(person.duties, TENDER))


def _inspection_min(job: GivenJob, day: int, gear: Gear) -> int:
    """Minutes for every outfit of a kind that may be worn that day, so that any of them can be."""
    first = job.clock.day_of(job.day_windows[day].start_min)
    ready = sum(1 for outfit in job.outfits if outfit.kind is gear and outfit.ready_on(first))
    pairs = _pairs(job, gear)
    each = job.rules.inspection_heavy_min if gear is Gear.HEAVY else job.rules.inspection_light_min
    return math.ceil(ready / pairs) * each if pairs else 0
