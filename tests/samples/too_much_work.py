"""A job that cannot all be done, each item for a reason of its own, on an invented breakwater."""

from __future__ import annotations

from datetime import date, time

from planner.job import (
    After,
    AirPlant,
    Bank,
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
)
from planner.job.crew_rules import NEW_JOB_RULES
from tests.samples.shared import DAY, dived, diver, hand, heavy, light, span
from tests.world.parts import PLAIN

SITE = Site(
    name="Punta Ceniza breakwater: everything at once",
    first_day=DAY,
    day_start=time(7, 0),
    day_end=time(17, 0),
    time_zone="America/Lima",
    latitude_deg=-12.46,
    longitude_deg=-77.93,
    water_temp_f=66.0,
    chamber_minutes_away=30,
)
OUTER, INNER = "Outer stage", "Inner stage"

PEOPLE = (
    hand("Rosaura Quispe", "supervisor"),
    hand("Bertrand Okafor", "supervisor", "air console", "log keeper", "tender"),
    hand("Mirjam Toivonen", "air console", "log keeper", "tender"),
    hand("Chokri Mansouri", "tender", "rigger"),
    hand("Ilse Vandenbroeck", "tender", "rigger"),
    diver("Wayra Condori", 80),
    diver("Stellan Bergqvist", 80, past_dives=(dived(50, 70, "2010"),)),
    diver("Parisa Golzari", 60),
    diver("Nkosana Mabuza", 60),
)

DIVES = (
    DiveItem(
        name="Recover the deep sinker",  # nobody is rated for the depth
        priority=1,
        depth_fsw=96,
        bottom_work_min=15,
        splittable=False,
        least_useful_min=15,
    ),
    DiveItem(
        name="Weld the test coupon",  # a certificate that nobody holds
        priority=1,
        depth_fsw=28,
        bottom_work_min=40,
        certificates=frozenset({"wet welding, class A"}),
    ),
    DiveItem(
        name="Set the tie bolts",  # the window is shorter than the work
        priority=1,
        depth_fsw=34,
        bottom_work_min=60,
        splittable=False,
        least_useful_min=60,
        windows=(span("0930", "1010"),),
    ),
    DiveItem(
        name="Cut the bent pile",  # past the no-stop limit, and not to be split
        priority=1,
        depth_fsw=68,
        bottom_work_min=75,
        splittable=False,
        least_useful_min=75,
    ),
    DiveItem(
        name="Lift the keel block",  # more tenders and divers than one station has
        priority=2,
        depth_fsw=30,
        bottom_work_min=30,
        divers=3,
        splittable=False,
        least_useful_min=30,
        station=INNER,
    ),
    DiveItem(
        name="Bed the keel block",  # waits for the lift
        priority=2,
        depth_fsw=30,
        bottom_work_min=25,
        gear=Gear.LIGHT,
        after=(After(item="Lift the keel block", lag_min=20),),
    ),
    DiveItem(
        name="Clear the debris field",  # more minutes than the day has
        priority=3,
        depth_fsw=32,
        bottom_work_min=900,
        least_useful_min=30,
        longest_bottom_min=75,  # a fresh diver each hour and a quarter, all alike: common practice
        station=OUTER,
    ),
    DiveItem(
        name="Photograph the toe",  # can be done
        priority=2,
        depth_fsw=26,
        bottom_work_min=30,
        gear=Gear.LIGHT,
        least_useful_min=30,
    ),
)

SURFACE = (
    SurfaceItem(
        name="Rig the face ladders",  # a duty that nobody holds
        priority=2,
        duration_min=60,
        crew=(CrewNeed(duty="rope access lead"), CrewNeed(duty="rigger")),
    ),
)


#: What a new job begins with.
RULES = NEW_JOB_RULES


def job(rules: CrewRules = RULES) -> Job:
    """The job."""
    return Job(
        rules=rules,
        site=SITE,
        stations=(Station(name=OUTER), Station(name=INNER)),
        people=PEOPLE,
        dive_items=DIVES,
        surface_items=SURFACE,
        outfits=(heavy("2", 200), heavy("4", 200), heavy("6", 250), light("31", 200), light("32", 200)),
        air=AirPlant(
            compressors=(
                Compressor(
                    name="Compressor 1",
                    delivered_scfm=130,
                    discharge_psi=190,
                    hours_run=512,
                    service_at_hours=750,
                    fuel_gal_per_hour=3.3,
                    air_tested_on=date(2027, 2, 2),
                    relies_on="engine 1",
                ),
            ),
            banks=(
                Bank(
                    name="Bank A",
                    bottles=10,
                    floodable_cuft_each=1.76,
                    pressure_psi=2900,
                    working_pressure_psi=3000,
                ),
            ),
            tanks=(VolumeTank(name="Receiver", volume_cuft=35, pressure_psi=190, working_pressure_psi=200),),
            gauges_tested_on=date(2027, 1, 18),
        ),
    )


def plain_job() -> Job:
    """The same without what the working day takes beside the dives (`tests.world.parts.PLAIN`)."""
    return job(RULES.replace(**PLAIN))
