"""Three days, one station, ten people in light helmets: an invented outfall on the Dalmatian coast.

Hours of rest, meal breaks and the standby diver's own dressing are switched on.
"""

from __future__ import annotations

from datetime import date, time

from planner.job import (
    After,
    AirPlant,
    Compressor,
    CrewNeed,
    CrewRules,
    DiveItem,
    Gear,
    Job,
    Site,
    Station,
    SurfaceItem,
    VolumeTank,
    Water,
)
from planner.job.crew_rules import NEW_JOB_RULES
from tests.samples.shared import DAY, at, dived, diver, hand, light, worked
from tests.world.parts import PLAIN

SITE = Site(
    name="Uvala Vrulja outfall: new riser saddle",
    first_day=DAY,
    days=3,
    day_start=time(6, 30),
    day_end=time(17, 30),
    early_enough=time(16, 0),
    time_zone="Europe/Zagreb",
    latitude_deg=43.41,
    longitude_deg=16.88,
    water=Water.SALT,
    water_temp_f=57.0,
    chamber_minutes_away=35,
)

PEOPLE = (
    hand(
        "Dunja Perišin", "supervisor", last_duty_end_min=at("1800", -1), past_work=(worked("0630", "1800"),)
    ),
    hand("Radek Holub", "supervisor", "air console", "log keeper", "tender", "standby's tender"),
    hand("Selma Kadrić", "air console", "log keeper", "tender", "standby's tender"),
    hand("Oisín Brannigan", "tender", "standby's tender", "air console", "log keeper", "deck hand"),
    hand("Mirela Tataru", "tender", "standby's tender", "deck hand"),
    hand("Jonas Ekdahl", "tender", "standby's tender", "deck hand"),
    diver("Ante Grubišić", 130, "underwater cutting", past_dives=(dived(48, 50, "1615"),)),
    diver("Zuzana Brezina", 130, "underwater cutting"),
    diver("Teo Lanzafame", 100, more=("tender", "standby's tender")),
    diver("Hana Obrecht", 100, more=("tender", "standby's tender")),
)

ITEMS = (
    DiveItem(
        name="Open the diffuser ports",
        priority=1,
        depth_fsw=62,
        bottom_work_min=130,
        least_useful_min=25,
        gear=Gear.LIGHT,
        reach_ft=60,
    ),
    DiveItem(
        name="Cut back the broken riser",
        priority=1,
        depth_fsw=54,
        bottom_work_min=100,
        least_useful_min=25,
        gear=Gear.LIGHT,
        certificates=frozenset({"underwater cutting"}),
        reach_ft=50,
    ),
    DiveItem(
        name="Bed the riser saddle",
        priority=2,
        depth_fsw=56,
        bottom_work_min=90,
        least_useful_min=30,
        in_one_go=True,
        gear=Gear.LIGHT,
        after=(After(item="Cut back the broken riser", lag_min=60),),
        reach_ft=50,
    ),
    DiveItem(
        name="Tap the pipe for hollow ground",
        priority=3,
        depth_fsw=38,
        bottom_work_min=180,
        least_useful_min=40,
        gear=Gear.LIGHT,
        reach_ft=120,
    ),
    DiveItem(
        name="Bag the scoured toe",
        priority=3,
        depth_fsw=70,
        bottom_work_min=90,
        least_useful_min=20,
        gear=Gear.LIGHT,
        reach_ft=70,
    ),
)

TASKS = (
    SurfaceItem(
        name="Mix and pump the saddle grout",
        priority=2,
        duration_min=120,
        crew=(CrewNeed(duty="deck hand", count=2),),
        after=(After(item="Bed the riser saddle"),),
    ),
)

AIR = AirPlant(
    compressors=(
        Compressor(
            name="Compressor A",
            delivered_scfm=60,
            discharge_psi=190,
            hours_run=311.0,
            service_at_hours=500,
            fuel_gal_per_hour=1.6,
            air_tested_on=date(2027, 2, 2),
            relies_on="engine A",
        ),
        Compressor(
            name="Compressor B",
            delivered_scfm=60,
            discharge_psi=190,
            hours_run=87.5,
            service_at_hours=500,
            fuel_gal_per_hour=1.6,
            air_tested_on=date(2027, 2, 2),
            role="reserve",
            relies_on="engine B",
        ),
    ),
    tanks=(VolumeTank(name="Receiver A", volume_cuft=12, pressure_psi=190, working_pressure_psi=250),),
    gauges_tested_on=date(2027, 1, 20),
)

RULES = NEW_JOB_RULES.replace(
    rest_in_24h_min=600,
    rest_in_7d_min=4620,
    meal_break_after_min=360,
    standby_dressed_max_min=240,
)


def job(rules: CrewRules = RULES) -> Job:
    """The job."""
    return Job(
        site=SITE,
        stations=(Station(name="Work barge"),),
        people=PEOPLE,
        dive_items=ITEMS,
        surface_items=TASKS,
        outfits=(light("21", 300), light("22", 300), light("24", 250)),
        air=AIR,
        rules=rules,
    )


def plain_job() -> Job:
    """The same without what the working day takes beside the dives (`tests.world.parts.PLAIN`)."""
    return job(RULES.replace(**{**PLAIN, "meal_break_min": RULES.meal_break_min}))
