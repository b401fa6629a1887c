"""An invented day with one station for the air tests: its job and a plan, built by hand."""

from __future__ import annotations

import math
from datetime import date

from planner.job import (
    AirPlant,
    AirRole,
    Bank,
    Compressor,
    DiveItem,
    Gear,
    Job,
    Outfit,
    Person,
    Site,
    Station,
    VolumeTank,
)
from planner.plan.model import Dive, DiverExposure, DutySpell, Plan, Status
from planner.tables.schedule import Stop, TableSchedule

DAY = date(2027, 5, 4)

NO_STOP_60 = TableSchedule(table="9-7", way_up="no-stop", depth_fsw=60, time_min=63, ascent_s=120)
#: 100 fsw for 45 min on air: 36 min at 20 fsw, ascent 39:20 (worked example 14: tables 9-8 and 9-9).
STOPS_100 = TableSchedule(
    table="9-9",
    way_up="air",
    depth_fsw=100,
    time_min=45,
    stops=(Stop(depth_fsw=20, minutes=36),),
    time_to_first_stop_s=160,
    ascent_s=39 * 60 + 20,
)


def plant() -> AirPlant:
    """Two compressors of 60 scfm and 175 psi, a small tank, a reserve bank with nothing shared."""
    return AirPlant(
        compressors=(
            Compressor(
                name="C1",
                delivered_scfm=60,
                discharge_psi=175,
                hours_run=940,
                service_at_hours=1000,
                fuel_gal_per_hour=2,
                air_tested_on=date(2027, 2, 1),
                relies_on="engine 1",
            ),
            Compressor(
                name="C2",
                delivered_scfm=60,
                discharge_psi=175,
                air_tested_on=date(2027, 2, 1),
                relies_on="engine 2",
            ),
        ),
        banks=(
            Bank(
                name="B1",
                bottles=6,
                floodable_cuft_each=1.526,
                pressure_psi=2600,
                working_pressure_psi=3000,
                recharge_scfm=12,
                recharged_by="charging compressor",
            ),
        ),
        tanks=(VolumeTank(name="T1", volume_cuft=20, pressure_psi=175),),
        gauges_tested_on=date(2027, 3, 1),
    )


def outfit(name: str, number: str, **more: object) -> Outfit:
    """A heavy outfit with 300 ft of hose, tested this year."""
    return Outfit(
        name=name,
        kind=Gear.HEAVY,
        helmet_no=number,
        breastplate_no=number,
        straps_no=number,
        umbilical_length_ft=300,
        hose_tested_on=date(2026, 11, 1),
    ).replace(**more)


def job(**changes: object) -> Job:
    """One station at sea level, two heavy outfits, one light, an item of 60 and one of 100 fsw."""
    return Job(
        site=Site(name="Lock gate", first_day=DAY, time_zone="UTC"),
        stations=(Station(name="North"),),
        people=tuple(Person(name=n, duties=frozenset({"diver", "tender"})) for n in ("Ana", "Bo", "Cy")),
        dive_items=(
            DiveItem(name="Gate sill", depth_fsw=60, bottom_work_min=40),
            DiveItem(name="Deep sill", depth_fsw=100, bottom_work_min=40),
        ),
        outfits=(
            outfit("H1", "11"),
            outfit("H2", "12"),
            Outfit(
                name="L1",
                kind=Gear.LIGHT,
                helmet_no="7",
                umbilical_length_ft=300,
                hose_tested_on=date(2026, 11, 1),
            ),
        ),
        air=plant(),
    ).replace(**changes)


def dive(
    name: str = "1",
    *,
    start: int = 480,
    item: str = "Gate sill",
    depth: int = 60,
    bottom: int = 40,
    schedule: TableSchedule = NO_STOP_60,
    divers: tuple[tuple[str, str], ...] = (("Ana", "H1"),),
    station: str = "North",
) -> Dive:
    """A dive that starts dressing at ``start`` and leaves the surface 30 minutes later."""
    leave = start + 30
    up = leave + bottom + math.ceil(schedule.ascent_s / 60)
    return Dive(
        id=name,
        item=item,
        station=station,
        dress_start_min=start,
        leave_surface_min=leave,
        reach_bottom_min=leave + math.ceil(depth / 60),
        leave_bottom_min=leave + bottom,
        reach_surface_min=up,
        undressed_min=up + 20,
        depth_fsw=depth,
        bottom_time_min=bottom,
        work_min=bottom - math.ceil(depth / 60),
        divers=tuple(
            DiverExposure(
                person=person, outfit=worn, equivalent_min=bottom, group_after="H", schedule=schedule
            )
            for person, worn in divers
        ),
    )


def plan(*dives: Dive, standby: tuple[str, str] | None = ("Bo", "H2")) -> Plan:
    """A plan of these dives, each with the same standby diver."""
    spells = [
        DutySpell(
            person=standby[0],
            duty="standby diver",
            start_min=d.dress_start_min,
            end_min=d.reach_surface_min,
            dive=d.id,
            item=d.item,
            station=d.station,
            outfit=standby[1],
        )
        for d in dives
        if standby is not None
    ]
    return Plan(
        job_name="Lock gate", status=Status.CONSTRUCTIVE, stages=(), dives=dives, duties=tuple(spells)
    )


def reserve(**changes: object) -> AirPlant:
    """The plant with its bank changed."""
    return plant().replace(banks=(plant().banks[0].replace(**changes),))


def compressor(name: str, scfm: float = 60, psi: float = 175, role: AirRole = AirRole.PRIMARY) -> Compressor:
    return Compressor(name=name, delivered_scfm=scfm, discharge_psi=psi, role=role)
