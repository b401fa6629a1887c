"""A small job and a plan for it, both made by hand, that hold every rule.

The table numbers were read off the published tables, not computed: 60 fsw for 41 min is group H (table 9-7),
H after 2:47 on the surface is E (table 9-8), residual nitrogen time of E at 60 fsw is 29 min, so the second
dive of 31 min is an equivalent 60 min, within the no-stop limit of 63 and group K; 40 fsw for 41 min is
group E. Ascent at 30 fsw a minute: 2:00 from 60 fsw, 1:20 from 40 fsw. Names and places are invented.
"""

from __future__ import annotations

from datetime import date, time
from typing import Any

from planner.job import (
    After,
    AirPlant,
    Bank,
    Certificate,
    Compressor,
    CrewMinimum,
    CrewNeed,
    DiveItem,
    Gear,
    Job,
    PastDive,
    Person,
    Site,
    Station,
    SurfaceItem,
    WaterWindow,
)
from planner.job.duties import (
    CHAMBER_OPERATOR,
    CONSOLE,
    DIVER,
    ENTRY_DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.plan import (
    DiverExposure,
    Leftover,
    Plan,
    Reason,
    Stage,
    Status,
)
from planner.tables import TableSchedule
from tests.world.parts import PLAIN_RULES, at, crew, dive, heavy, light, person, span, task

NORTH, SOUTH = "North side", "South side"
WRAP, ANODES, GATE = "Wrap piles", "Read anodes", "Seal the gate"
RIG, SCRAP = "Rig the stage", "Load scrap"
RIGGER, CRANE, BOAT = "rigger", "crane driver", "boat driver"
TICKET = "diver's ticket"


INSPECTED = date(2026, 8, 1)


def _diver(name: str, **facts: Any) -> Person:
    ticket = Certificate(name=TICKET, expires=date(2026, 12, 31))
    return person(
        name,
        DIVER,
        depth_rating_fsw=100,
        certificates=(ticket,),
        medical_expires=date(2026, 9, 30),
        **facts,
    )


def a_job() -> Job:
    """Two stations, three dive items (one left over), two surface items."""
    return Job(
        site=Site(
            name="Test Quay",
            first_day=date(2026, 5, 12),
            time_zone="Europe/Lisbon",
            day_start=time(7, 0),
            day_end=time(19, 0),
            latitude_deg=38.7,
            longitude_deg=-9.15,
            stations_at_once=2,
            chamber_minutes_away=0,
        ),
        stations=(Station(name=NORTH), Station(name=SOUTH)),
        people=(
            _diver("Ana"),
            _diver("Bo", past_dives=(PastDive(depth_fsw=40, bottom_time_min=50, surfaced_min=-120),)),
            _diver("Cruz"),
            _diver("Dan"),
            _diver("Eli"),
            person("Sam", SUPERVISOR),
            person("Sol", SUPERVISOR),
            person("Ned", SUPERVISOR),
            *(person(n, TENDER) for n in ("Tia", "Uwe", "Vic", "Wes", "Xan", "Yan")),
            person("Tom", TENDER, last_duty_end_min=-600),
            *(person(n, CONSOLE, LOG_KEEPER) for n in ("Cal", "Kim")),
            person("Pia", CHAMBER_OPERATOR),
            person("Rob", RIGGER, available=(span(at(7), at(18)),)),
            person("Cat", CRANE),
            person("Ben", BOAT),
        ),
        dive_items=(
            DiveItem(
                name=WRAP,
                priority=1,
                depth_fsw=58,
                bottom_work_min=70,
                gear=Gear.HEAVY,
                certificates=frozenset({TICKET}),
                needs_slack=True,
                windows=(span(at(8), at(15)),),
                after=(After(item=RIG, lag_min=10),),
            ),
            DiveItem(
                name=ANODES,
                priority=3,
                depth_fsw=36,
                bottom_work_min=40,
                splittable=False,
                gear=Gear.LIGHT,
                enclosed_space=True,
                station=SOUTH,
                not_together_with=(SCRAP,),
            ),
            DiveItem(name=GATE, priority=2, depth_fsw=58, bottom_work_min=30, splittable=False),
        ),
        surface_items=(
            SurfaceItem(
                name=RIG, duration_min=30, crew=(CrewNeed(duty=RIGGER), CrewNeed(duty=TENDER)), priority=3
            ),
            SurfaceItem(
                name=SCRAP, duration_min=60, crew=(CrewNeed(duty=RIGGER), CrewNeed(duty=CRANE)), priority=4
            ),
        ),
        water_windows=(
            WaterWindow(start_min=at(8), end_min=at(10)),
            WaterWindow(start_min=at(11, 45), end_min=at(12, 10), stations=(NORTH,)),
            WaterWindow(start_min=at(12, 10), end_min=at(13, 30), stations=(NORTH,)),
        ),
        outfits=(
            heavy("H1", "11", inspection_due=INSPECTED),
            heavy("H2", "12", inspection_due=INSPECTED),
            *(light(n) for n in ("L1", "L2", "L3")),
        ),
        rules=PLAIN_RULES.replace(
            minima=(
                *PLAIN_RULES.minima,
                CrewMinimum(
                    duty=CHAMBER_OPERATOR, count=1, deeper_than_fsw=50, source="this job, for the test"
                ),
                CrewMinimum(duty=BOAT, count=1, gear=Gear.LIGHT, source="this job, for the test"),
            )
        ),
    )


AIR = AirPlant(
    compressors=(Compressor(name="Compressor 1", delivered_scfm=95, discharge_psi=175, hours_run=1204.5),),
    banks=(
        Bank(
            name="Bank A", bottles=8, floodable_cuft_each=1.76, pressure_psi=2750, working_pressure_psi=3000
        ),
    ),
)


def with_air() -> Job:
    """The job with an air plant."""
    return a_job().replace(air=AIR)


FIRST_ROW = TableSchedule(
    table="9-7", way_up="no-stop", depth_fsw=60, time_min=63, time_to_first_stop_s=120, ascent_s=120
)
SECOND_ROW = FIRST_ROW.replace(table="9-7, 9-8")
SHALLOW_ROW = TableSchedule(
    table="9-7", way_up="no-stop", depth_fsw=40, time_min=163, time_to_first_stop_s=80, ascent_s=80
)


def a_plan() -> Plan:
    """The plan by hand; the stages: 16 × 70 + 4 × 40 + 4 × 30 + 2 × 60 = 1520, and the last end 12:53.

    Dive 1: Ana on the piles, 08:30 to 09:13. Dive 2: Bo and Cruz, 08:35 to 09:18. Dive 3: Ana, 12:00.
    """
    job = a_job()
    ana = DiverExposure(person="Ana", outfit="H1", equivalent_min=41, group_after="H", schedule=FIRST_ROW)
    bo = DiverExposure(
        person="Bo",
        outfit="L1",
        surface_interval_min=635,
        equivalent_min=41,
        group_after="E",
        schedule=SHALLOW_ROW,
    )
    cruz = bo.replace(person="Cruz", duty=ENTRY_DIVER, outfit="L2", surface_interval_min=None)
    ana_again = ana.replace(
        group_before="E",
        surface_interval_min=167,
        residual_nitrogen_min=29,
        equivalent_min=60,
        group_after="K",
        schedule=SECOND_ROW,
    )
    one = dive("1", WRAP, NORTH, at(8, 30), 41, 58, [ana])
    two = dive("2", ANODES, SOUTH, at(8, 35), 41, 36, [bo, cruz], dressing_min=15, undressing_min=10)
    three = dive("3", WRAP, NORTH, at(12), 31, 58, [ana_again])
    north = {
        TENDER: ("Tom", "Tia"),
        SUPERVISOR: "Sam",
        STANDBY_TENDER: ("Uwe", "Yan"),
        CONSOLE: "Cal",
        LOG_KEEPER: "Cal",
        STANDBY: "Dan",
        CHAMBER_OPERATOR: "Pia",
    }
    south = {
        TENDER: ("Vic", "Wes"),
        SUPERVISOR: "Sol",
        STANDBY_TENDER: "Xan",
        CONSOLE: "Kim",
        LOG_KEEPER: "Kim",
        BOAT: "Ben",
        STANDBY: "Eli",
    }
    rig, rigging = task(job, RIG, at(7), {RIGGER: "Rob", TENDER: "Tom"})
    scrap, loading = task(job, SCRAP, at(10), {RIGGER: "Rob", CRANE: "Cat"})
    no_third = Reason(rule="dives-a-day", sentence="Ana makes two dives already.")
    return Plan(
        job_name="Test Quay",
        status=Status.CONSTRUCTIVE,
        stages=(
            Stage(
                name="work finished",
                unit="weighted minutes",
                value=1520,
                bound=1640,
                maximise=True,
                proven=False,
            ),
            Stage(
                name="finish",
                unit="minute of the job",
                value=at(12, 53),
                bound=700,
                maximise=False,
                proven=False,
            ),
        ),
        dives=(one, two, three),
        surface_tasks=(rig, scrap),
        duties=(
            *rigging,
            *crew(one, north, "H2"),
            *crew(two, south, "L3"),
            *loading,
            *crew(three, north, "H2"),
        ),
        leftovers=(Leftover(item=GATE, planned_min=0, needed_min=30, reasons=(no_third,)),),
        seconds=0.1,
        seed=1,
        workers=1,
    )
