"""The sound plan with a dive through the chamber, and with two of them.

Read off table 9-9: 60 fsw for an equivalent 65 min with surface decompression is half a chamber period, no
stop in the water, group L. By hand: 2:00 to the surface at 30 fsw a minute; to the chamber 0:40 from 60 to
40 fsw, 5:00 from there to 50 fsw in the chamber, 15:00 of oxygen and 1:40 up, 22:20 in all.
"""

from __future__ import annotations

from planner.job import Job, Policy, Station
from planner.job.duties import CHAMBER_OPERATOR, DIVER
from planner.plan import Plan
from planner.tables import TableSchedule
from tests.world.changed import (
    past,
    shifted,
    with_dive,
    with_diver,
    with_item,
    with_person,
    with_rules,
    with_site,
    with_spells,
)
from tests.world.parts import at
from tests.world.quay import NORTH, WRAP, a_job, a_plan

EAST, MORE = "East side", "Wrap more piles"
CHAMBER_ROW = TableSchedule(
    table="9-8, 9-9",
    way_up="surface decompression",
    depth_fsw=60,
    time_min=65,
    time_to_first_stop_s=120,
    ascent_s=22 * 60 + 20,
    chamber_periods=0.5,
)


def through_the_chamber(spell_end_min: int = at(12, 59)) -> tuple[Plan, Job]:
    """Dive 3 five minutes longer: 29 and 36 min at 60 fsw. Leave bottom 12:36, surface 12:38, undressed
    12:58, out of the chamber 12:59, its operator until 13:59. The chamber stands beside the stage, and this
    crew has a diver out of heavy dress for it in 3 min."""
    plan = with_dive(
        a_plan(),
        "3",
        leave_bottom_min=at(12, 36),
        reach_surface_min=at(12, 38),
        undressed_min=at(12, 58),
        out_of_chamber_min=at(12, 59),
        bottom_time_min=36,
        work_min=35,
    )
    plan = with_diver(plan, "3", "Ana", equivalent_min=65, group_after="L", schedule=CHAMBER_ROW)
    later = {at(12, 33): at(12, 38), at(12, 53): at(12, 58), at(13, 33): at(13, 59)}
    work, finish = plan.stages
    plan = plan.replace(
        duties=tuple(
            s.replace(start_min=later.get(s.start_min, s.start_min), end_min=later.get(s.end_min, s.end_min))
            if s.dive == "3"
            else s
            for s in plan.duties
        ),
        stages=(work.replace(value=1600), finish.replace(value=at(12, 58))),
    )
    plan = with_spells(plan, "3", DIVER, "Ana", end_min=spell_end_min)
    job = with_site(with_item(a_job(), WRAP, bottom_work_min=75), policy=Policy.SURFACE_DECOMPRESSION)
    return plan, with_rules(job, chamber_heavy_min=3)


def two_through_the_chamber(later_min: int, places: int = 1) -> tuple[Plan, Job]:
    """The same dive once more on a third station, with its own people and gear, that much later.

    Its diver comes in group E after 30 min on the surface (table 9-8: E from 10 min to 52 min).
    """
    plan, job = through_the_chamber()
    names = ("Ana", "Dan", "Sam", "Tom", "Tia", "Uwe", "Yan", "Cal", "Pia")
    outfits = ("H1", "H2")
    third = plan.dives[2]
    (ana,) = third.divers
    again = third.replace(
        id="4",
        item=MORE,
        station=EAST,
        divers=(ana.replace(person="Ana too", outfit="H1 too", surface_interval_min=30),),
    )
    spells = tuple(
        s.replace(
            dive="4",
            item=MORE,
            station=EAST,
            person=f"{s.person} too",
            outfit=f"{s.outfit} too" if s.outfit else None,
        )
        for s in plan.duties
        if s.dive == "3"
    )
    work, finish = plan.stages
    plan = plan.replace(
        dives=(*plan.dives, again),
        duties=(*plan.duties, *spells),
        # 16 × 35 min more
        stages=(
            work.replace(value=1600 + 560, bound=3000),
            finish.replace(value=at(12, 58) + later_min),
        ),
    )
    wrap = next(i for i in job.dive_items if i.name == WRAP)
    job = job.replace(
        stations=(*job.stations, Station(name=EAST)),
        dive_items=(*job.dive_items, wrap.replace(name=MORE, bottom_work_min=35)),
        people=(*job.people, *(p.replace(name=f"{p.name} too") for p in job.people if p.name in names)),
        outfits=(*job.outfits, *(o.replace(name=f"{o.name} too") for o in job.outfits if o.name in outfits)),
        water_windows=tuple(
            w.replace(stations=(NORTH, EAST)) if w.stations else w for w in job.water_windows
        ),
    )
    job = with_person(job, "Ana too", past_dives=(past(60, 5, at(11, 30) + later_min, "E"),))
    return shifted(plan, "4", later_min), with_site(job, chamber_places=places)


def operator_until(minute: int) -> tuple[Plan, Job]:
    """The dive through the chamber with its operator's duty ending at a minute."""
    plan, job = through_the_chamber()
    return with_spells(plan, "3", CHAMBER_OPERATOR, "Pia", end_min=minute), job


def out_of_heavy_dress(minutes: int, way_min: int = 0) -> tuple[Plan, Job]:
    """The dive through the chamber with a crew that takes that long, and that far from the chamber."""
    plan, job = through_the_chamber()
    return plan, with_site(with_rules(job, chamber_heavy_min=minutes), chamber_minutes_away=way_min)
