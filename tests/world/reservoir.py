"""A reservoir kept in metres: two days of stops in the water, one of them in the night."""

from __future__ import annotations

from datetime import date, time

from planner.job import (
    AirPlant,
    Compressor,
    DiveItem,
    Job,
    PastDive,
    Policy,
    Site,
    Station,
    UnitSystem,
)
from planner.job.duties import (
    CHAMBER_OPERATOR,
    CONSOLE,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.plan import Plan
from tests.world.parts import PLAIN_RULES, Day, at, heavy, person, told_stages
from tests.world.pier import diver

SEAL = "Free the gate's lower seal"


def deep_job() -> Job:
    """A reservoir kept in metres: two days of stops in the water, one of them in the night."""
    return Job(
        rules=PLAIN_RULES,
        site=Site(
            name="Bottom outlet, Lake Orrin dam",
            first_day=date(2026, 6, 8),
            days=2,
            day_start=time(16),
            day_end=time(2),
            time_zone="Europe/Zurich",
            latitude_deg=46.5,
            longitude_deg=9.8,
            daylight_only=False,
            policy=Policy.IN_WATER_STOPS,
            in_water_stop_max_min=60,
            chamber_minutes_away=0,
            units=UnitSystem.METRIC,
        ),
        stations=(Station(name="Barge"),),
        people=(
            person("Ingrid Moe", "supervisor"),
            diver("Paulo Dias", 190),
            diver("Aino Virtanen", 190),
            diver(
                "Karim Benali",
                190,
                past_dives=(PastDive(depth_fsw=60, bottom_time_min=40, surfaced_min=-300),),
            ),
            person("Lena Fuchs", "tender"),
            person("Marek Novák", "tender"),
            person("Yusuf Demir", "tender", "air console", "log keeper"),
            person("Beatriz Lobo", "air console", "log keeper"),
            person("Olaf Berg", "chamber operator"),
        ),
        dive_items=(DiveItem(name=SEAL, depth_fsw=95, bottom_work_min=80, least_useful_min=20),),
        outfits=(heavy("H1", "101"), heavy("H2", "102"), heavy("H3", "103")),
        air=AirPlant(
            compressors=(Compressor(name="Barge compressor", delivered_scfm=120, discharge_psi=200),)
        ),
    )


def deep_plan(job: Job) -> Plan:
    """One dive with stops on each of two evenings for `deep_job`."""
    day = Day(job)
    pair = ("Paulo Dias", "Aino Virtanen")
    for number, (name, standby) in enumerate((pair, pair[::-1]), start=1):
        posts = {
            TENDER: ("Lena Fuchs", "Marek Novák"),
            STANDBY: standby,
            STANDBY_TENDER: ("Yusuf Demir", "Karim Benali"),
            SUPERVISOR: "Ingrid Moe",
            CONSOLE: "Beatriz Lobo",
            LOG_KEEPER: "Beatriz Lobo",
            CHAMBER_OPERATOR: "Olaf Berg",
        }
        leave = at(22, 40, number - 1)
        day.dive(f"Dive {number}", SEAL, job.stations[0].name, leave, 42, {name: f"H{number}"}, posts, "H3")
    stages = told_stages(job, (320, 320), (2902, 2902), (0, 0), (80, 80), (28, 28), (1, 0), (2316, 1900))
    return day.plan(stages, seconds=30.0, seed=7, workers=2)
