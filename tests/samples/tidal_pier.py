"""Two stations, sixteen people, seven dive items and three surface items, on an invented tidal pier."""

from __future__ import annotations

from datetime import date, time

from planner.job import (
    After,
    AirPlant,
    AirRole,
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
    TideMark,
    VolumeTank,
    WaterWindow,
)
from planner.job.crew_rules import NEW_JOB_RULES
from tests.samples.shared import DAY, at, dived, diver, hand, heavy, light, span, worked
from tests.world.parts import PLAIN

SITE = Site(
    name="Garreg Lefain pier: berth repair",
    first_day=DAY,
    day_start=time(6, 45),
    day_end=time(18, 45),
    early_enough=time(17, 30),
    time_zone="Europe/London",
    latitude_deg=51.38,
    longitude_deg=-4.71,
    water_temp_f=46.5,
    chamber_minutes_away=85,
)
NORTH, SOUTH = "North stage", "South stage"
_CONSOLE = ("air console", "log keeper")

PEOPLE = (
    hand("Catrin Llewelyn", "supervisor"),
    hand("Olufemi Adebanjo", "supervisor", *_CONSOLE),
    hand("Нина Береговая", "supervisor", "tender", *_CONSOLE),
    hand("Mateus Quaresma", *_CONSOLE, "tender"),
    hand("Freya Thorsdatter", *_CONSOLE, "tender"),
    hand("Huw Pritchard-Rao", "tender", "rigger"),
    hand("Salma Benchekroun", "tender", "rigger"),
    hand("Iosefa Tuilagi-Moe", "crane operator", "rigger", available=(span("0645", "1500"),)),
    hand("Dagny Eklöf", "tender", "rigger"),
    diver("Marek Sobotka", 100, "confined space", past_dives=(dived(44, 60, "1725", "H"),)),
    diver("Aroha Ngatai", 100, "confined space"),
    diver("Emeka Nwachukwu", 80, "confined space", last_duty_end_min=at("2030", -1)),
    diver("Sunniva Aasland", 80, past_dives=(dived(31, 95, "1810"),), past_work=(worked("0700", "1900"),)),
    diver("Joaquín Etxeberria", 80),
    diver("Νεφέλη Αρβανίτη", 60),
    diver("Tevita Fonua", 60, more=("tender", "rigger")),
)

SURFACE = (
    SurfaceItem(
        name="Land the lifting frame",
        priority=1,
        duration_min=45,
        crew=(CrewNeed(duty="crane operator"), CrewNeed(duty="rigger", count=2)),
        windows=(span("0700", "1030"),),
    ),
    SurfaceItem(
        name="Set the pump on the deck",
        priority=2,
        duration_min=40,
        crew=(CrewNeed(duty="crane operator"), CrewNeed(duty="rigger")),
        not_together_with=("Grout bags under the footing",),
    ),
    SurfaceItem(
        name="Splice the mooring pennants",
        priority=4,
        duration_min=50,
        crew=(CrewNeed(duty="rigger", count=2),),
    ),
)

DIVES = (
    DiveItem(
        name="Sling the lost ladder",
        priority=1,
        depth_fsw=42,
        bottom_work_min=45,
        splittable=False,
        least_useful_min=45,
        gear=Gear.HEAVY,
        needs_slack=True,
        station=SOUTH,
        after=(After(item="Land the lifting frame", lag_min=15),),
        reach_ft=50,
    ),
    DiveItem(
        name="Anodes, dolphin 4",
        priority=1,
        depth_fsw=31,
        bottom_work_min=115,
        least_useful_min=30,
        gear=Gear.LIGHT,
        needs_slack=True,
        station=NORTH,
        reach_ft=70,
    ),
    DiveItem(
        name="Pile wraps, bay 2",
        priority=2,
        depth_fsw=22,
        bottom_work_min=150,
        least_useful_min=30,
        gear=Gear.LIGHT,
        station=NORTH,
        tool_air_scfm=12,
        reach_ft=40,
    ),
    DiveItem(
        name="Grout bags under the footing",
        priority=2,
        depth_fsw=40,
        bottom_work_min=80,
        least_useful_min=30,
        gear=Gear.HEAVY,
        station=SOUTH,
        after=(After(item="Set the pump on the deck", lag_min=30),),
        reach_ft=60,
    ),
    DiveItem(
        name="Clear the intake chamber",
        priority=2,
        depth_fsw=18,
        bottom_work_min=35,
        splittable=False,
        least_useful_min=35,
        gear=Gear.LIGHT,
        certificates=frozenset({"confined space"}),
        enclosed_space=True,
        reach_ft=45,
    ),
    DiveItem(
        name="Scour survey, toe wall",
        priority=3,
        depth_fsw=36,
        bottom_work_min=45,
        least_useful_min=20,
        gear=Gear.LIGHT,
        windows=(span("0900", "1500"),),
        reach_ft=110,
    ),
    DiveItem(
        name="Fender bolts, berth face",
        priority=4,
        depth_fsw=12,
        bottom_work_min=70,
        least_useful_min=30,
        gear=Gear.LIGHT,
        not_together_with=("Splice the mooring pennants",),
        reach_ft=30,
    ),
)

AIR = AirPlant(
    compressors=(
        Compressor(
            name="Compressor North",
            delivered_scfm=120,
            discharge_psi=190,
            hours_run=3310,
            service_at_hours=3500,
            fuel_gal_per_hour=3.1,
            air_tested_on=date(2026, 12, 9),
            relies_on="engine N",
            load_factor=0.85,
        ),
        Compressor(
            name="Compressor South",
            role=AirRole.PRIMARY,
            delivered_scfm=95,
            discharge_psi=190,
            hours_run=842.25,
            service_at_hours=1000,
            fuel_gal_per_hour=2.4,
            air_tested_on=date(2026, 12, 9),
            relies_on="engine S",
            load_factor=0.85,
        ),
    ),
    banks=(
        Bank(
            name="Reserve bank",
            bottles=12,
            floodable_cuft_each=1.76,
            pressure_psi=2850,
            working_pressure_psi=3000,
        ),
    ),
    tanks=(VolumeTank(name="Receiver", volume_cuft=45, pressure_psi=190, working_pressure_psi=200),),
    gauges_tested_on=date(2026, 11, 24),
)


#: What a new job begins with.
RULES = NEW_JOB_RULES


def job(rules: CrewRules = RULES) -> Job:
    """The job. Slack runs from some 50 minutes before high and low water to as long after."""
    return Job(
        rules=rules,
        site=SITE,
        stations=(Station(name=NORTH), Station(name=SOUTH)),
        people=PEOPLE,
        dive_items=DIVES,
        surface_items=SURFACE,
        water_windows=(
            WaterWindow(start_min=at("1010"), end_min=at("1200"), label="low slack"),
            WaterWindow(start_min=at("1620"), end_min=at("1800"), label="high slack", stations=(NORTH,)),
            WaterWindow(start_min=at("1635"), end_min=at("1745"), label="high slack", stations=(SOUTH,)),
        ),
        tide_marks=(
            TideMark(minute=at("0452"), level_ft=24.6, high=True),
            TideMark(minute=at("1104"), level_ft=4.3, high=False),
            TideMark(minute=at("1711"), level_ft=25.1, high=True),
            TideMark(minute=at("2328"), level_ft=3.9, high=False),
        ),
        outfits=(
            heavy("5", 200),
            heavy("9", 200),
            heavy("14", 250),
            light("21", 250),
            light("22", 250),
            light("23", 250),
            light("24", 300),
            light("26", 250),
            light(
                "27",
                200,
                state="in repair",
                state_note="Side block away for service",
                state_by="Freya Thorsdatter",
            ),
        ),
        air=AIR,
    )


def plain_job() -> Job:
    """The same without what the working day takes beside the dives (`tests.world.parts.PLAIN`)."""
    return job(RULES.replace(**PLAIN))
