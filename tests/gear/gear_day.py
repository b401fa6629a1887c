"""An invented day with one station for the gear tests: outfits, people, an item, a plan built by hand."""

from __future__ import annotations

from datetime import date

from planner.job import DiveItem, Gear, Job, Outfit, OutfitState, Person, Site, Station
from planner.plan.model import Dive, DiverExposure, DutySpell, Plan, Status
from planner.tables.schedule import TableSchedule

DAY = date(2027, 5, 4)
NO_STOP_60 = TableSchedule(table="9-7", way_up="no-stop", depth_fsw=60, time_min=63, ascent_s=120)


def heavy(name: str, number: str, **more: object) -> Outfit:
    """A matched heavy set, ready, 300 ft of hose."""
    return Outfit(
        name=name,
        kind=Gear.HEAVY,
        helmet_no=number,
        breastplate_no=number,
        straps_no=number,
        size="L",
        umbilical_length_ft=300,
        inspected_on=date(2027, 4, 1),
        inspection_due=date(2027, 7, 1),
        hose_tested_on=date(2026, 11, 1),
    ).replace(**more)


def item(**changes: object) -> DiveItem:
    """Work at 60 fsw, 40 ft out."""
    return DiveItem(name="Gate sill", depth_fsw=60, bottom_work_min=40, reach_ft=40).replace(**changes)


def job(**changes: object) -> Job:
    """Six people, three heavy outfits of which one is out, one light."""
    return Job(
        site=Site(name="Lock gate", first_day=DAY, time_zone="UTC"),
        stations=(Station(name="North"),),
        people=(
            Person(name="Ana", duties=frozenset({"diver"}), outfit_size="L"),
            Person(name="Bo", duties=frozenset({"diver"}), outfit_size="L"),
            Person(name="Cy", duties=frozenset({"tender"})),
            Person(name="Di", duties=frozenset({"tender"})),
            Person(name="Ed", duties=frozenset({"tender"})),
            Person(name="Fay", duties=frozenset({"supervisor"})),
        ),
        dive_items=(item(),),
        outfits=(
            heavy("H1", "11"),
            heavy("H2", "12"),
            heavy(
                "H3",
                "13",
                state=OutfitState.DEFECT_OPEN,
                state_note="port cracked",
                state_by="Cy",
                state_on=date(2027, 5, 2),
            ),
            Outfit(name="L1", kind=Gear.LIGHT, helmet_no="7", umbilical_length_ft=300),
        ),
    ).replace(**changes)


def plan(start: int = 480, outfit: str = "H1", standby_outfit: str = "H2") -> Plan:
    """One dive of Ana with two tenders, Bo standing by with Ed, Fay in charge."""
    leave, bottom = start + 30, 42
    dive = Dive(
        id="1",
        item="Gate sill",
        station="North",
        dress_start_min=start,
        leave_surface_min=leave,
        reach_bottom_min=leave + 1,
        leave_bottom_min=leave + bottom,
        reach_surface_min=leave + bottom + 2,
        undressed_min=leave + bottom + 22,
        depth_fsw=60,
        bottom_time_min=bottom,
        work_min=bottom - 1,
        divers=(
            DiverExposure(
                person="Ana", outfit=outfit, equivalent_min=bottom, group_after="H", schedule=NO_STOP_60
            ),
        ),
    )
    posts = (
        ("Ana", "diver", outfit, dive.undressed_min),
        ("Cy", "tender", None, dive.undressed_min),
        ("Di", "tender", None, dive.undressed_min),
        ("Bo", "standby diver", standby_outfit, dive.reach_surface_min),
        ("Ed", "standby's tender", None, dive.reach_surface_min),
        ("Fay", "supervisor", None, dive.reach_surface_min),
    )
    spells = tuple(
        DutySpell(
            person=person,
            duty=duty,
            start_min=start,
            end_min=end,
            dive="1",
            item="Gate sill",
            station="North",
            outfit=worn,
        )
        for person, duty, worn, end in posts
    )
    return Plan(job_name="Lock gate", status=Status.CONSTRUCTIVE, stages=(), dives=(dive,), duties=spells)
