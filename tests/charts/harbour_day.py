"""A made-up day at a harbour wall with a plan put together by hand: what the chart and page tests look at.

Schedules come from the tables; times are chosen so that blocks overlap (a diver dresses while another is
in the water) and one person holds console and log at once.
"""

from __future__ import annotations

import math
from datetime import date

from planner.job import (
    CrewNeed,
    DiveItem,
    Job,
    Outfit,
    PastDive,
    Person,
    Site,
    Station,
    SurfaceItem,
    TideMark,
    WaterWindow,
)
from planner.job.duties import CONSOLE, DIVER, LOG_KEEPER, STANDBY, STANDBY_TENDER, SUPERVISOR, TENDER
from planner.plan.model import (
    Dive,
    DiverExposure,
    DutySpell,
    Leftover,
    Plan,
    Reason,
    Stage,
    Status,
    SurfaceTask,
)
from planner.tables import Exposure, group_after_interval, options_for, plan_exposure

DIVERS = ("Ines Faro", "Marek Ruud", "Tomas Lind")
DECK = ("Joana Pell", "Ole Brandt", "Pia Sund", "Rui Salva", "Vera Holm", "Yan Dacre")


def harbour_job() -> Job:
    """One station, nine people, two dive items, one job on deck."""
    divers = [
        Person(
            name=n, duties=frozenset({DIVER, TENDER}), depth_rating_fsw=130, medical_expires=date(2028, 1, 1)
        )
        for n in DIVERS
    ]
    deck = [
        Person(name=n, duties=frozenset({TENDER, CONSOLE, LOG_KEEPER, SUPERVISOR, "rigger"})) for n in DECK
    ]
    divers[2] = divers[2].replace(past_dives=(PastDive(depth_fsw=50, bottom_time_min=60, surfaced_min=-60),))
    return Job(
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
            DiveItem(name="Sheet pile weld", depth_fsw=58, bottom_work_min=90, priority=1, needs_slack=False),
            DiveItem(name="Anode count", depth_fsw=40, bottom_work_min=30, priority=3),
        ),
        surface_items=(
            SurfaceItem(name="Shift the stage", duration_min=60, crew=(CrewNeed(duty="rigger", count=2),)),
        ),
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
        outfits=tuple(
            Outfit(name=f"Set {n}", kind="heavy dress", helmet_no=n, breastplate_no=n, straps_no=n)  # type: ignore[arg-type]
            for n in ("11", "12", "14")
        ),
    )


def _dive(job: Job, number: str, item: str, leave: int, bottom: int, person: str, outfit: str) -> Dive:
    work = job.dive_item(item)
    exposure: Exposure = plan_exposure(work.depth_fsw, bottom, None, options_for(job, work))
    down = math.ceil(work.depth_fsw / job.rules.descent_fsw_per_min)
    surface = leave + bottom + math.ceil(exposure.schedule.ascent_s / 60)
    return Dive(
        id=number,
        item=item,
        station="Barge",
        dress_start_min=leave - 30,
        leave_surface_min=leave,
        reach_bottom_min=leave + down,
        leave_bottom_min=leave + bottom,
        reach_surface_min=surface,
        undressed_min=surface + 20,
        depth_fsw=work.depth_fsw,
        bottom_time_min=bottom,
        work_min=bottom - down,
        divers=(
            DiverExposure(
                person=person,
                outfit=outfit,
                equivalent_min=exposure.equivalent_min,
                group_after=exposure.group_after,
                schedule=exposure.schedule,
            ),
        ),
    )


def _crew(dive: Dive, standby: str, since: int) -> list[DutySpell]:
    diver = dive.divers[0]

    def spell(person: str, duty: str, start: int, end: int, outfit: str | None = None) -> DutySpell:
        return DutySpell(
            person=person,
            duty=duty,
            start_min=start,
            end_min=end,
            dive=dive.id,
            item=dive.item,
            station=dive.station,
            outfit=outfit,
        )

    whole = (dive.dress_start_min, dive.undressed_min)
    bench = (since, dive.reach_surface_min)
    tenders = DECK[1:3] if dive.id == "1" else DECK[3:5]
    return [
        spell(diver.person, DIVER, *whole, diver.outfit),
        *(spell(name, TENDER, *whole) for name in tenders),
        spell(DECK[0], SUPERVISOR, *bench),
        spell(standby, STANDBY, *bench, "Set 14"),
        spell(DIVERS[2] if standby != DIVERS[2] else DIVERS[1], STANDBY_TENDER, *bench),
        spell(DECK[5], CONSOLE, *bench),
        spell(DECK[5], LOG_KEEPER, *bench),
    ]


def harbour_plan(job: Job | None = None) -> Plan:
    """Two dives that overlap in dressing, a task on deck in the afternoon, and some work left."""
    job = job or harbour_job()
    first = _dive(job, "1", "Sheet pile weld", 8 * 60, 55, DIVERS[0], "Set 11")
    second = _dive(job, "2", "Anode count", 9 * 60 + 10, 31, DIVERS[1], "Set 12")
    return Plan(
        job_name=job.site.name,
        status=Status.FEASIBLE,
        stages=(
            Stage(
                name="work finished",
                unit="weighted minutes",
                value=984,
                bound=1020,
                maximise=True,
                proven=False,
            ),
            Stage(name="finish", unit="minute of the job", value=840, bound=840, maximise=False, proven=True),
        ),
        dives=(first, second),
        surface_tasks=(SurfaceTask(item="Shift the stage", start_min=13 * 60, end_min=14 * 60),),
        duties=(
            *_crew(first, DIVERS[2], first.dress_start_min),
            *_crew(second, DIVERS[2], first.reach_surface_min),
            DutySpell(person=DECK[1], duty="rigger", start_min=780, end_min=840, item="Shift the stage"),
            DutySpell(person=DECK[3], duty="rigger", start_min=780, end_min=840, item="Shift the stage"),
        ),
        leftovers=(
            Leftover(
                item="Sheet pile weld",
                planned_min=first.work_min,
                needed_min=90,
                reasons=(
                    Reason(rule="dives-a-day", sentence="No diver has a second dive left that is clear."),
                ),
            ),
        ),
        seconds=12.0,
        workers=2,
    )


def group_of(person: str, plan: Plan, minutes_after: int) -> str | None:
    """The group that table 9-8 gives a person some minutes after his dive in the plan."""
    for dive in plan.dives:
        for diver in dive.divers:
            if diver.person == person and diver.group_after is not None:
                return group_after_interval(diver.group_after, minutes_after)
    raise KeyError(person)
