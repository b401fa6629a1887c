"""Gear of a station for heavy dress in deep dives and dives with stops: an in-water stage, and a spare hose
for the standby diver (29 CFR 1910.425(c)(5)(i), (ii)).
"""

from __future__ import annotations

from datetime import date

from planner.air.running import HOSE_TEST_MONTHS, months_later
from planner.job import DiveItem, Gear, Job, Station, UnitSystem
from planner.tables.gauge import greatest_depth_fsw
from planner.words.measures import down_and_out_words, length_words, own_length_words

STATION_GEAR_SOURCE = (
    "extra breathing gas hose for the standby diver, in-water stage: 29 CFR 1910.425(c)(5)(i), (ii); hose "
    "tested yearly: 29 CFR 1910.430(c)(1)(iii); down and out to the work: common practice"
)


def asks_station_gear(job: Job, item: DiveItem, depth_fsw: int, *, stops: bool) -> bool:
    """Whether a dive asks for a stage and a spare hose: by its depth, or by its stops."""
    return stage_asked(job, item) and (stops or deep_in_heavy_dress(job, item, depth_fsw))


def deep_in_heavy_dress(job: Job, item: DiveItem, depth_fsw: int) -> bool:
    """Whether a dive asks for a stage and a spare hose by its depth alone (as read; the gauge's corrections
    are added). False where the job asks for neither."""
    trigger = job.rules.stage_deeper_than_fsw
    return stage_asked(job, item) and greatest_depth_fsw(job.site, depth_fsw) > trigger


def stage_asked(job: Job, item: DiveItem) -> bool:
    """Whether dives of an item ask for a stage and a spare hose when they are deep or have stops."""
    return item.gear is Gear.HEAVY and job.rules.stage_deeper_than_fsw > 0


def spare_hose_needed_ft(item: DiveItem, depth_fsw: int) -> int:
    """Hose down to a dive's depth, then out to the work, ft: as for the umbilical of an outfit."""
    return depth_fsw + item.reach_ft


def station_lacks(
    station: Station,
    item: DiveItem,
    depth_fsw: int,
    day: date,
    last_day: date | None = None,
    units: UnitSystem = UnitSystem.FEET,
) -> str | None:
    """What a station lacks for such a dive, in words; None when it has all. What is not given is not there.

    Parameters
    ----------
    day, last_day
        First and last day on which the hose must be within the year of its test.
    units
        The job's.
    """
    needed, length = spare_hose_needed_ft(item, depth_fsw), station.spare_hose_length_ft
    tested = station.spare_hose_tested_on
    lacking = [] if station.in_water_stage else ["no in-water stage"]
    if not length:
        lacking.append("no spare hose")
    else:
        if length < needed:
            lacking.append(
                f"a spare hose of {own_length_words(station, units, 'spare_hose_length_ft')}, "
                f"{length_words(needed, units, needed=True).removesuffix(' ft')} needed "
                f"({down_and_out_words(item, depth_fsw, units)})"
            )
        if tested is None:
            lacking.append("no day of the spare hose's test")
        elif not tested <= day <= (last_day or day) <= months_later(tested, HOSE_TEST_MONTHS):
            lacking.append(f"a spare hose last tested {tested}, a year at most before the dive")
    return "; ".join(lacking) or None
