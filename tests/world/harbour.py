"""A made-up day at a harbour wall: what the chart and page tests look at.

Schedules come from the tables; times are chosen so that blocks overlap (a diver dresses while another is
in the water) and one person holds console and log at once.
"""

from __future__ import annotations

from datetime import date

from planner.job import (
    CrewNeed,
    DiveItem,
    Job,
    PastDive,
    Site,
    Station,
    SurfaceItem,
    TideMark,
    WaterWindow,
)
from planner.job.duties import (
    CONSOLE,
    DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.plan import Leftover, Plan, Reason, Stage
from tests.world.parts import PLAIN_RULES, Day, at, heavy, person

WELD, COUNT, SHIFT = "Sheet pile weld", "Anode count", "Shift the stage"
DIVERS = ("Ines Faro", "Marek Ruud", "Tomas Lind")
DECK = ("Joana Pell", "Ole Brandt", "Pia Sund", "Rui Salva", "Vera Holm", "Yan Dacre")


def harbour_job() -> Job:
    """One station, nine people, two dive items, one job on deck."""
    fit = {"depth_rating_fsw": 130, "medical_expires": date(2028, 1, 1)}
    divers = [person(n, DIVER, TENDER, **fit) for n in DIVERS]
    deck = [person(n, TENDER, CONSOLE, LOG_KEEPER, SUPERVISOR, "rigger") for n in DECK]
    divers[2] = divers[2].replace(past_dives=(PastDive(depth_fsw=50, bottom_time_min=60, surfaced_min=-60),))
    return Job(
        rules=PLAIN_RULES,
        site=Site(
            name="Saltholm harbour wall",
            first_day=date(2027, 3, 16),
            time_zone="Europe/Copenhagen",
            latitude_deg=55.6,
            longitude_deg=12.7,
        ),
        stations=(Station(name="Barge"),),
        people=(*divers, *deck),
        dive_items=(
            DiveItem(name=WELD, depth_fsw=58, bottom_work_min=90, priority=1, needs_slack=False),
            DiveItem(name=COUNT, depth_fsw=40, bottom_work_min=30, priority=3),
        ),
        surface_items=(SurfaceItem(name=SHIFT, duration_min=60, crew=(CrewNeed(duty="rigger", count=2),)),),
        water_windows=(
            WaterWindow(start_min=8 * 60, end_min=10 * 60),
            WaterWindow(start_min=14 * 60, end_min=15 * 60 + 30, stations=("Barge",)),
        ),
        tide_marks=(
            TideMark(minute=3 * 60, level_ft=1.0, high=False),
            TideMark(minute=9 * 60, level_ft=5.0, high=True),
            TideMark(minute=15 * 60, level_ft=0.5, high=False),
            TideMark(minute=21 * 60, level_ft=4.5, high=True),
        ),
        outfits=tuple(heavy(f"Set {n}", n) for n in ("11", "12", "14")),
    )


def harbour_plan(job: Job | None = None) -> Plan:
    """Two dives that overlap in dressing, a task on deck in the afternoon, and some work left."""
    day = Day(job or harbour_job())
    bench = {
        SUPERVISOR: DECK[0],
        STANDBY: DIVERS[2],
        STANDBY_TENDER: DIVERS[1],
        CONSOLE: DECK[5],
        LOG_KEEPER: DECK[5],
    }
    first = day.dive(
        "1", WELD, "Barge", at(8), 55, {DIVERS[0]: "Set 11"}, {TENDER: DECK[1:3], **bench}, "Set 14"
    )
    day.dive(
        "2", COUNT, "Barge", at(9, 10), 31, {DIVERS[1]: "Set 12"}, {TENDER: DECK[3:5], **bench}, "Set 14"
    )
    day.task(SHIFT, at(13), {"rigger": (DECK[1], DECK[3])})
    stages = (
        Stage(
            name="work finished", unit="weighted minutes", value=984, bound=1020, maximise=True, proven=False
        ),
        Stage(name="finish", unit="minute of the job", value=840, bound=840, maximise=False, proven=True),
    )
    reason = Reason(rule="dives-a-day", sentence="No diver has a second dive left that is clear.")
    left = Leftover(item=WELD, planned_min=first.work_min, needed_min=90, reasons=(reason,))
    return day.plan(stages, (left,), seconds=12.0, workers=2)
