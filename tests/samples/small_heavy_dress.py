"""One station, nine people, four dive items in heavy dress, on an invented slip in the Azores."""

from __future__ import annotations

from datetime import date, time

from planner.job import (
    AirPlant,
    Bank,
    Compressor,
    CrewRules,
    DiveItem,
    Job,
    Site,
    Station,
    VolumeTank,
    Water,
)
from planner.job.crew_rules import NEW_JOB_RULES
from tests.samples.shared import DAY, at, dived, diver, hand, heavy, worked
from tests.world.parts import PLAIN

SITE = Site(
    name="Pedra Funda slip: sunken winch barge",
    first_day=DAY,
    day_start=time(7, 0),
    day_end=time(19, 0),
    early_enough=time(18, 0),
    time_zone="Atlantic/Azores",
    latitude_deg=38.31,
    longitude_deg=-29.62,
    water=Water.SALT,
    water_temp_f=59.5,
    chamber_minutes_away=50,
)

PEOPLE = (
    hand("Inês Valadão", "supervisor", last_duty_end_min=at("1900", -1), past_work=(worked("0700", "1900"),)),
    hand("Grigor Hakobyan", "supervisor", "air console", "log keeper", "tender"),
    hand("Paloma Irureta", "air console", "log keeper", "tender"),
    hand("Yusuf Demirkan", "tender", "air console", "log keeper"),
    diver("Tomasz Wierzba", 100, "underwater burning", past_dives=(dived(52, 55, "1640", "I"),)),
    diver("Amina Odhiambo-Lund", 100, "underwater burning"),
    diver(
        "Kenji Morisaki",
        80,
        last_duty_end_min=at("2215", -1),
        past_dives=(dived(46, 80, "2135"),),
        past_work=(worked("1300", "2215"),),
    ),
    diver("Ruaridh Macaskill", 60),
    diver("Leilani Kahaku", 60, past_dives=(dived(38, 40, "1510", "E"), dived(24, 60, "1745"))),
)

ITEMS = (
    DiveItem(
        name="Sling the sunken winch",
        priority=1,
        depth_fsw=58,
        bottom_work_min=40,
        splittable=False,
        least_useful_min=40,
        reach_ft=40,
    ),
    DiveItem(
        name="Burn off the plate seam",
        priority=2,
        depth_fsw=46,
        bottom_work_min=85,
        least_useful_min=25,
        certificates=frozenset({"underwater burning"}),
        reach_ft=60,
    ),
    DiveItem(
        name="Clear the suction grid",
        priority=2,
        depth_fsw=38,
        bottom_work_min=110,
        least_useful_min=30,
        reach_ft=35,
    ),
    DiveItem(
        name="Survey the mooring blocks",
        priority=3,
        depth_fsw=24,
        bottom_work_min=80,
        least_useful_min=30,
        reach_ft=90,
    ),
)

AIR = AirPlant(
    compressors=(
        Compressor(
            name="Compressor 1",
            delivered_scfm=95,
            discharge_psi=175,
            hours_run=1204.5,
            service_at_hours=1250,
            fuel_gal_per_hour=2.4,
            air_tested_on=date(2027, 1, 20),
            relies_on="engine 1",
            load_factor=0.8,
        ),
    ),
    banks=(
        Bank(
            name="Bank A",
            bottles=8,
            floodable_cuft_each=1.76,
            pressure_psi=2750,
            working_pressure_psi=3000,
        ),
    ),
    tanks=(VolumeTank(name="Receiver 1", volume_cuft=30, pressure_psi=175, working_pressure_psi=200),),
    gauges_tested_on=date(2027, 1, 11),
)


#: What a new job begins with.
RULES = NEW_JOB_RULES


def job(rules: CrewRules = RULES) -> Job:
    """The job."""
    return Job(
        rules=rules,
        site=SITE,
        stations=(Station(name="Slip stage"),),
        people=PEOPLE,
        dive_items=ITEMS,
        outfits=(
            heavy("3", 200),
            heavy("7", 200),
            heavy("11", 250),
            heavy(
                "12", 200, state="defect open", state_note="Exhaust valve sticks", state_by="Paloma Irureta"
            ),
        ),
        air=AIR,
    )


def plain_job() -> Job:
    """The same without what the working day takes beside the dives (`tests.world.parts.PLAIN`)."""
    return job(RULES.replace(**PLAIN))
