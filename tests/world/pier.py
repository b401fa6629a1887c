"""A tidal quay with two ladders and seventeen people, and a plan for its day put together by hand.

Groups and schedules come from the tables. The sheets are tested and looked at with it.
"""

from __future__ import annotations

from datetime import date, time

from planner.job import (
    After,
    AirPlant,
    AirRole,
    Bank,
    Compressor,
    CrewNeed,
    DiveItem,
    Gear,
    Job,
    OutfitState,
    Person,
    Site,
    Station,
    SurfaceItem,
    TideMark,
    VolumeTank,
    WaterWindow,
)
from planner.job.duties import (
    CONSOLE,
    DIVER,
    ENTRY_DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.plan import Leftover, Plan, Reason
from tests.world.parts import PLAIN_RULES, Day, at, heavy, light, person, told_stages

STRIP, FIT = "Strip old zinc anodes", "Fit new anodes, panels 1–6"
SURVEY, SCREEN, CHAIN = "Survey sheet piling, row C", "Clear intake screen", "Replace fender chain"
RIG, SCRAP = "Rig crane and slings", "Load out scrap"
NORTH, SOUTH = "North ladder", "South ladder"


def diver(name: str, rating_fsw: int = 100, **facts: object) -> Person:
    """One who dives and tends."""
    return person(
        name, DIVER, TENDER, depth_rating_fsw=rating_fsw, medical_expires=date(2027, 1, 31), **facts
    )


PEOPLE = (
    person("Ana Reyes", "supervisor"),
    person("Tomasz Żuk", "supervisor", "tender"),
    diver("Bruno Aalto"),
    diver("Ивана Петрова"),
    diver("Γιώργος Λάμπρου"),
    diver("李 明"),
    diver("Chidi Okonkwo"),
    diver("Maeve Doyle"),
    person("Sofia Lindqvist", "tender", "log keeper", "air console"),
    person("Rui Matos", "tender"),
    person("Hana Sato", "tender"),
    person("Pieter van den Berg-Oosterhuis", "air console", "log keeper"),
    person("Lucía Ferrer", "air console", "log keeper"),
    person("Omar Haddad", "tender", "rigger"),
    person("Jun Park", "tender", "rigger", "crane operator"),
    person("Ewa Nowak", "tender"),
    person("Old Tom", "tender"),
)


def pier_job() -> Job:
    """A tidal quay, two ladders, seventeen people, one day."""
    return Job(
        rules=PLAIN_RULES,
        site=Site(
            name="Quay wall 7, Port of Merrow",
            first_day=date(2026, 3, 3),
            time_zone="Europe/Lisbon",
            latitude_deg=41.2,
            longitude_deg=-8.7,
            day_start=time(7),
            day_end=time(19),
        ),
        stations=(Station(name=NORTH), Station(name=SOUTH)),
        people=PEOPLE,
        dive_items=(
            DiveItem(name=STRIP, priority=1, depth_fsw=33, bottom_work_min=130, least_useful_min=30),
            DiveItem(
                name=FIT,
                priority=2,
                depth_fsw=33,
                bottom_work_min=180,
                least_useful_min=30,
                after=(After(item=STRIP),),
            ),
            DiveItem(
                name=SURVEY,
                priority=2,
                depth_fsw=58,
                bottom_work_min=40,
                splittable=False,
                gear=Gear.LIGHT,
                needs_slack=True,
            ),
            DiveItem(
                name=SCREEN,
                depth_fsw=42,
                bottom_work_min=39,
                gear=Gear.LIGHT,
                enclosed_space=True,
                least_useful_min=20,
            ),
            DiveItem(name=CHAIN, priority=4, depth_fsw=28, bottom_work_min=60, splittable=False),
        ),
        surface_items=(
            SurfaceItem(
                name=RIG,
                duration_min=60,
                crew=(CrewNeed(duty="rigger"), CrewNeed(duty="crane operator")),
            ),
            SurfaceItem(
                name=SCRAP,
                priority=5,
                duration_min=60,
                crew=(CrewNeed(duty="rigger"), CrewNeed(duty="crane operator")),
                after=(After(item=STRIP),),
            ),
        ),
        water_windows=(
            WaterWindow(start_min=at(10, 10), end_min=at(11, 40), label="slack"),
            WaterWindow(start_min=at(16, 20), end_min=at(17, 45), label="slack"),
        ),
        tide_marks=(
            TideMark(minute=at(10, 52), level_ft=11.2, high=True),
            TideMark(minute=at(17, 4), level_ft=2.1, high=False),
        ),
        outfits=(
            heavy("H1", "101", inspection_due=date(2026, 6, 1), umbilical_length_ft=300),
            heavy("H2", "102", inspection_due=date(2026, 6, 1), umbilical_length_ft=300),
            heavy("H3", "103"),
            heavy(
                "H4", "104", straps_no="107", state=OutfitState.DEFECT_OPEN, state_note="strap buckle cracked"
            ),
            light("L1", "21", size="M"),
            light("L2", "22", size="L"),
            light("L3", "23", size="L"),
        ),
        air=AirPlant(
            compressors=(
                Compressor(
                    name="Quay compressor",
                    delivered_scfm=95,
                    discharge_psi=175,
                    hours_run=1820.5,
                    service_at_hours=1830,
                    fuel_gal_per_hour=1.6,
                    air_tested_on=date(2025, 11, 20),
                ),
            ),
            banks=(
                Bank(
                    name="Standby bank",
                    role=AirRole.RESERVE,
                    bottles=6,
                    floodable_cuft_each=1.5,
                    pressure_psi=2250,
                    working_pressure_psi=2400,
                ),
            ),
            tanks=(VolumeTank(name="Receiver", volume_cuft=30, pressure_psi=150),),
        ),
    )


def pier_plan(job: Job) -> Plan:
    """Six dives and two surface tasks for `pier_job`; two items stay unfinished."""
    day = Day(job)
    rigging = {"rigger": "Omar Haddad", "crane operator": "Jun Park"}
    pieter, lucia = "Pieter van den Berg-Oosterhuis", "Lucía Ferrer"
    ana = {SUPERVISOR: "Ana Reyes", CONSOLE: pieter, LOG_KEEPER: pieter}
    north = {STANDBY: "Ивана Петрова", STANDBY_TENDER: ("Ewa Nowak", "Old Tom"), **ana}
    rui_hana = {TENDER: ("Rui Matos", "Hana Sato")}
    omar_sofia = {TENDER: ("Omar Haddad", "Sofia Lindqvist")}
    day.task(RIG, at(7), rigging)
    day.dive("N1", STRIP, NORTH, at(7, 30), 75, {"Bruno Aalto": "H1"}, {**rui_hana, **north}, "H2")
    day.dive("N2", STRIP, NORTH, at(8, 50), 57, {"Chidi Okonkwo": "H3"}, {**omar_sofia, **north}, "H2")
    light_crew = {TENDER: "Jun Park", STANDBY: "Maeve Doyle", STANDBY_TENDER: "李 明", **ana}
    day.dive("S1", SURVEY, SOUTH, at(10, 15), 41, {"Γιώργος Λάμπρου": "L1"}, light_crew, "L2")
    second_crew = {
        **rui_hana,
        STANDBY: "Bruno Aalto",
        STANDBY_TENDER: ("Omar Haddad", "Old Tom"),
        SUPERVISOR: "Tomasz Żuk",
        CONSOLE: lucia,
        LOG_KEEPER: "Sofia Lindqvist",
    }
    day.dive("N3", FIT, NORTH, at(10, 50), 100, {"Ивана Петрова": "H2"}, second_crew, "H1")
    inside = {"Maeve Doyle": ("L2", DIVER), "李 明": ("L3", ENTRY_DIVER)}
    entry_crew = {
        TENDER: ("Ewa Nowak", "Jun Park"),
        STANDBY: "Γιώργος Λάμπρου",
        STANDBY_TENDER: "Chidi Okonkwo",
        **ana,
    }
    day.dive("S2", SCREEN, SOUTH, at(12, 15), 40, inside, entry_crew, "L1")
    last_hands = ("Ewa Nowak", "Old Tom")
    last_crew = {**second_crew, STANDBY: "李 明", STANDBY_TENDER: last_hands, LOG_KEEPER: lucia}
    day.dive("N4", FIT, NORTH, at(13, 40), 50, {"Chidi Okonkwo": "H3"}, last_crew, "H1")
    day.task(SCRAP, at(13, 20), rigging)
    done = sum(d.work_min for d in day.dives if d.item == FIT)
    return day.plan(
        told_stages(job, (4040, 4100), (892, 892), (0, 0), (14, 14), (50, 48), (3, 2), (6000, 4000)),
        (
            Leftover(
                item=FIT,
                planned_min=done,
                needed_min=180,
                reasons=(
                    Reason(
                        rule="outfit-one-wearer",
                        sentence="H3 is not dry again for a third dive before the day closes at 19:00.",
                    ),
                ),
            ),
            Leftover(
                item=CHAIN,
                planned_min=0,
                needed_min=60,
                reasons=(
                    Reason(
                        rule="crew-tenders",
                        sentence="Two tenders a diver are asked for in heavy dress; after 14:52 only one is "
                        "free for the whole 110 minutes that this dive needs.",
                    ),
                    Reason(rule=None, sentence="One more tender from 14:00 on would fit it."),
                ),
            ),
        ),
        seconds=30.0,
        seed=7,
        workers=2,
    )
