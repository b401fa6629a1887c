"""An invented day at a lock gate with one station: what the tests of air and gear look at."""

from __future__ import annotations

from datetime import date
from typing import Any

from planner.job import (
    AirPlant,
    AirRole,
    Bank,
    Compressor,
    DiveItem,
    Job,
    Outfit,
    OutfitState,
    Site,
    Station,
    VolumeTank,
)
from planner.job.duties import DIVER, STANDBY, STANDBY_TENDER, SUPERVISOR, TENDER
from planner.plan import Dive, DiverExposure, Plan, Status
from planner.tables import Stop, TableSchedule
from tests.world import parts

DAY = date(2027, 5, 4)
SILL, DEEP_SILL = "Gate sill", "Deep sill"
TESTED = {"umbilical_length_ft": 300, "hose_tested_on": date(2026, 11, 1)}

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


def compressor(
    name: str, scfm: float = 60, psi: float = 175, role: AirRole = AirRole.PRIMARY, **facts: Any
) -> Compressor:
    return Compressor(name=name, delivered_scfm=scfm, discharge_psi=psi, role=role, **facts)


def plant() -> AirPlant:
    """Two compressors of 60 scfm and 175 psi, a small tank, a reserve bank with nothing shared."""
    used = {"hours_run": 940, "service_at_hours": 1000, "fuel_gal_per_hour": 2}
    tested = date(2027, 2, 1)
    return AirPlant(
        compressors=(
            compressor("C1", air_tested_on=tested, relies_on="engine 1", **used),
            compressor("C2", air_tested_on=tested, relies_on="engine 2"),
        ),
        banks=(
            Bank(
                name="B1",
                bottles=8,
                floodable_cuft_each=1.526,
                pressure_psi=2600,
                working_pressure_psi=3000,
                recharge_scfm=12,
                recharged_by="charging compressor",
            ),
        ),
        tanks=(VolumeTank(name="T1", volume_cuft=20, pressure_psi=175),),
        gauges_tested_on=date(2027, 3, 1),
        chamber_inner_cuft=200,
        chamber_outer_cuft=70,
        chamber_primary_scf=12_000,
        chamber_secondary_scf=7_000,
        chamber_oxygen_scf=900,
    )


def reserve(**changes: Any) -> AirPlant:
    """The plant with its bank changed."""
    return plant().replace(banks=(plant().banks[0].replace(**changes),))


def outfit(name: str, number: str, **facts: Any) -> Outfit:
    """A matched heavy set, ready, with 300 ft of hose tested this year."""
    inspected = {"inspected_on": date(2027, 4, 1), "inspection_due": date(2027, 7, 1)}
    return parts.heavy(name, number, **{"size": "L", **inspected, **TESTED, **facts})


def item(**changes: Any) -> DiveItem:
    """Work at 60 fsw, 40 ft out."""
    return DiveItem(name=SILL, depth_fsw=60, bottom_work_min=40, reach_ft=40).replace(**changes)


def job(**changes: Any) -> Job:
    """One station at sea level, six people, three heavy outfits of which one is out, one light, an item of 60
    and one of 100 fsw."""
    cracked = {"state_note": "port cracked", "state_by": "Cy", "state_on": date(2027, 5, 2)}
    return Job(
        rules=parts.PLAIN_RULES,
        site=Site(name="Lock gate", first_day=DAY, time_zone="UTC"),
        stations=(Station(name="North"),),
        people=(
            parts.person("Ana", DIVER, outfit_size="L"),
            parts.person("Bo", DIVER, outfit_size="L"),
            *(parts.person(name, TENDER) for name in ("Cy", "Di", "Ed")),
            parts.person("Fay", SUPERVISOR),
        ),
        dive_items=(item(), DiveItem(name=DEEP_SILL, depth_fsw=100, bottom_work_min=40)),
        outfits=(
            outfit("H1", "11"),
            outfit("H2", "12"),
            outfit("H3", "13", state=OutfitState.DEFECT_OPEN, **cracked),
            parts.light("L1", "7", **TESTED),
        ),
        air=plant(),
    ).replace(**changes)


def dive(
    name: str = "1",
    *,
    start: int = 480,
    item: str = SILL,
    depth: int = 60,
    bottom: int = 40,
    schedule: TableSchedule = NO_STOP_60,
    divers: tuple[tuple[str, str], ...] = (("Ana", "H1"),),
    station: str = "North",
) -> Dive:
    """A dive that starts dressing at ``start`` and leaves the surface 30 minutes later."""
    told = [
        DiverExposure(person=who, outfit=worn, equivalent_min=bottom, group_after="H", schedule=schedule)
        for who, worn in divers
    ]
    return parts.dive(name, item, station, start + 30, bottom, depth, told)


def plan(*dives: Dive, standby: tuple[str, str] | None = ("Bo", "H2")) -> Plan:
    """A plan of these dives, each with the same crew and standby diver."""
    posts = {TENDER: ("Cy", "Di"), STANDBY_TENDER: "Ed", SUPERVISOR: "Fay"}
    who, worn = standby or ("", "")
    if standby:
        posts[STANDBY] = who
    return Plan(
        job_name="Lock gate",
        status=Status.CONSTRUCTIVE,
        stages=(),
        dives=dives,
        duties=tuple(s for d in dives for s in parts.crew(d, posts, worn)),
    )
