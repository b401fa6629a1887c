"""A small job and a plan for it, both made by hand, that hold every rule.

The table numbers were read off the published tables, not computed: 60 fsw for 41 min is group H (table 9-7),
H after 2:47 on the surface is E (table 9-8), residual nitrogen time of E at 60 fsw is 29 min, so the second
dive of 31 min is an equivalent 60 min, within the no-stop limit of 63 and group K; 40 fsw for 41 min is
group E. Ascent at 30 fsw a minute: 2:00 from 60 fsw, 1:20 from 40 fsw. Names and places are invented.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, time
from typing import Any

from planner.job import (
    After,
    Certificate,
    CrewMinimum,
    CrewNeed,
    CrewRules,
    DiveItem,
    Gear,
    Job,
    Outfit,
    PastDive,
    Person,
    Site,
    Span,
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
from planner.tables import TableSchedule

NORTH, SOUTH = "North side", "South side"
WRAP, ANODES, GATE = "Wrap piles", "Read anodes", "Seal the gate"
RIG, SCRAP = "Rig the stage", "Load scrap"
RIGGER, CRANE, BOAT = "rigger", "crane driver", "boat driver"
TICKET = "diver's ticket"


def at(hour: int, minute: int = 0) -> int:
    """Job minute of a wall time on the first day."""
    return hour * 60 + minute


def span(start: int, end: int) -> Span:
    return Span(start_min=start, end_min=end)


def _diver(name: str, **more: Any) -> Person:
    return Person(
        name=name,
        duties=frozenset({DIVER}),
        depth_rating_fsw=100,
        certificates=(Certificate(name=TICKET, expires=date(2026, 12, 31)),),
        medical_expires=date(2026, 9, 30),
        **more,
    )


def _hand(name: str, *duties: str, **more: Any) -> Person:
    return Person(name=name, duties=frozenset(duties), **more)


def _heavy(name: str, number: str) -> Outfit:
    return Outfit(
        name=name,
        kind=Gear.HEAVY,
        helmet_no=number,
        breastplate_no=number,
        straps_no=number,
        inspection_due=date(2026, 8, 1),
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
            _hand("Sam", SUPERVISOR),
            _hand("Sol", SUPERVISOR),
            _hand("Ned", SUPERVISOR),
            *(_hand(n, TENDER) for n in ("Tia", "Uwe", "Vic", "Wes", "Xan")),
            _hand("Tom", TENDER, last_duty_end_min=-600),
            *(_hand(n, CONSOLE, LOG_KEEPER) for n in ("Cal", "Kim")),
            _hand("Pia", CHAMBER_OPERATOR),
            _hand("Rob", RIGGER, available=(span(at(7), at(18)),)),
            _hand("Cat", CRANE),
            _hand("Ben", BOAT),
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
            _heavy("H1", "11"),
            _heavy("H2", "12"),
            *(Outfit(name=n, kind=Gear.LIGHT, helmet_no=n) for n in ("L1", "L2", "L3")),
        ),
        rules=CrewRules(
            minima=(
                *CrewRules().minima,
                CrewMinimum(
                    duty=CHAMBER_OPERATOR, count=1, deeper_than_fsw=50, source="this job, for the test"
                ),
                CrewMinimum(duty=BOAT, count=1, gear=Gear.LIGHT, source="this job, for the test"),
            )
        ),
    )


FIRST_ROW = TableSchedule(
    table="9-7", way_up="no-stop", depth_fsw=60, time_min=63, time_to_first_stop_s=120, ascent_s=120
)
SECOND_ROW = FIRST_ROW.replace(table="9-7, 9-8")
SHALLOW_ROW = TableSchedule(
    table="9-7", way_up="no-stop", depth_fsw=40, time_min=163, time_to_first_stop_s=80, ascent_s=80
)


def _dives() -> tuple[Dive, ...]:
    return (
        Dive(
            id="1",
            item=WRAP,
            station=NORTH,
            dress_start_min=at(8),
            leave_surface_min=at(8, 30),
            reach_bottom_min=at(8, 31),
            leave_bottom_min=at(9, 11),
            reach_surface_min=at(9, 13),
            undressed_min=at(9, 33),
            depth_fsw=58,
            bottom_time_min=41,
            work_min=40,
            divers=(
                DiverExposure(
                    person="Ana", outfit="H1", equivalent_min=41, group_after="H", schedule=FIRST_ROW
                ),
            ),
        ),
        Dive(
            id="2",
            item=ANODES,
            station=SOUTH,
            dress_start_min=at(8, 20),
            leave_surface_min=at(8, 35),
            reach_bottom_min=at(8, 36),
            leave_bottom_min=at(9, 16),
            reach_surface_min=at(9, 18),
            undressed_min=at(9, 28),
            depth_fsw=36,
            bottom_time_min=41,
            work_min=40,
            divers=(
                DiverExposure(
                    person="Bo",
                    outfit="L1",
                    surface_interval_min=635,
                    equivalent_min=41,
                    group_after="E",
                    schedule=SHALLOW_ROW,
                ),
                DiverExposure(
                    person="Cruz",
                    duty=ENTRY_DIVER,
                    outfit="L2",
                    equivalent_min=41,
                    group_after="E",
                    schedule=SHALLOW_ROW,
                ),
            ),
        ),
        Dive(
            id="3",
            item=WRAP,
            station=NORTH,
            dress_start_min=at(11, 30),
            leave_surface_min=at(12),
            reach_bottom_min=at(12, 1),
            leave_bottom_min=at(12, 31),
            reach_surface_min=at(12, 33),
            undressed_min=at(12, 53),
            depth_fsw=58,
            bottom_time_min=31,
            work_min=30,
            divers=(
                DiverExposure(
                    person="Ana",
                    outfit="H1",
                    group_before="E",
                    surface_interval_min=167,
                    residual_nitrogen_min=29,
                    equivalent_min=60,
                    group_after="K",
                    schedule=SECOND_ROW,
                ),
            ),
        ),
    )


def _crew(dive: Dive, **posts: str) -> Iterable[DutySpell]:
    """Spells of a dive: people by post, ``tender`` several split by a blank."""

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

    for diver in dive.divers:
        yield spell(diver.person, diver.duty, dive.dress_start_min, dive.undressed_min, diver.outfit)
    for name in posts["tender"].split():
        yield spell(name, TENDER, dive.dress_start_min, dive.undressed_min)
    station = {
        SUPERVISOR: posts["supervisor"],
        STANDBY_TENDER: posts["standby_tender"],
        CONSOLE: posts["console"],
        LOG_KEEPER: posts["console"],
    }
    if "boat" in posts:
        station[BOAT] = posts["boat"]
    for duty, name in station.items():
        yield spell(name, duty, dive.dress_start_min, dive.reach_surface_min)
    name, outfit = posts["standby"].split()
    yield spell(name, STANDBY, dive.dress_start_min, dive.reach_surface_min, outfit)
    if "chamber" in posts:
        yield spell(posts["chamber"], CHAMBER_OPERATOR, dive.leave_surface_min, dive.reach_surface_min + 60)


def _surface(item: str, start: int, end: int, **people: str) -> Iterable[DutySpell]:
    for duty, person in people.items():
        yield DutySpell(person=person, duty=duty.replace("_", " "), start_min=start, end_min=end, item=item)


def a_plan() -> Plan:
    """The plan by hand; the stages: 16 × 70 + 4 × 40 + 4 × 30 + 2 × 60 = 1520, and the last end 12:53."""
    one, two, three = _dives()
    north = {
        "supervisor": "Sam",
        "tender": "Tom Tia",
        "standby": "Dan H2",
        "standby_tender": "Uwe",
        "console": "Cal",
        "chamber": "Pia",
    }
    return Plan(
        job_name="Test Quay",
        status=Status.FEASIBLE,
        stages=(
            Stage(
                name="work finished",
                unit="weighted min",
                value=1520,
                bound=1640,
                maximise=True,
                proven=False,
            ),
            Stage(name="finish", unit="job min", value=at(12, 53), bound=700, maximise=False, proven=False),
        ),
        dives=(one, two, three),
        surface_tasks=(
            SurfaceTask(item=RIG, start_min=at(7), end_min=at(7, 30)),
            SurfaceTask(item=SCRAP, start_min=at(10), end_min=at(11)),
        ),
        duties=(
            *_surface(RIG, at(7), at(7, 30), rigger="Rob", tender="Tom"),
            *_crew(one, **north),
            *_crew(
                two,
                supervisor="Sol",
                tender="Vic Wes",
                standby="Eli L3",
                standby_tender="Xan",
                console="Kim",
                boat="Ben",
            ),
            *_surface(SCRAP, at(10), at(11), rigger="Rob", crane_driver="Cat"),
            *_crew(three, **north),
        ),
        leftovers=(
            Leftover(
                item=GATE,
                planned_min=0,
                needed_min=30,
                reasons=(Reason(rule="dives-a-day", sentence="Ana makes two dives already."),),
            ),
        ),
        seconds=0.1,
        seed=1,
        workers=1,
    )
