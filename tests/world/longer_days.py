"""The sound plan stretched: over two days, with a third station, with a standby diver who dresses.

Read off the published tables: 60 fsw for 31 min is group F (table 9-7: to 28 min E, to 33 min F).
"""

from __future__ import annotations

from planner.job import Job, Station, TideMark, WaterWindow
from planner.plan import Plan
from tests.world.changed import shifted, with_dive, with_diver, with_item, with_rules, with_site
from tests.world.parts import at, span
from tests.world.quay import ANODES, FIRST_ROW, WRAP, a_job, a_plan

NEXT_DAY = 1440
EAST = "East side"


def over_two_days() -> tuple[Plan, Job]:
    """The second dive on the piles moved to 07:00 of the next day: North's crew rests in between.

    Tom's duties end 09:33 on the first day; Pia's watch by the chamber ends 10:13, and hers starts again at
    07:30: 1277 min, the least of all.
    """
    plan = shifted(a_plan(), "3", NEXT_DAY + at(7) - at(11, 30))
    plan = with_diver(
        plan,
        "3",
        "Ana",
        group_before=None,
        surface_interval_min=NEXT_DAY + at(7, 30) - at(9, 13),
        residual_nitrogen_min=0,
        equivalent_min=31,
        group_after="F",
        schedule=FIRST_ROW,
    )
    work, finish = plan.stages
    plan = plan.replace(stages=(work, finish.replace(value=NEXT_DAY + at(8, 23))))
    job = with_site(a_job(), days=2)
    job = with_item(job, WRAP, windows=(span(at(8), at(15)), span(NEXT_DAY + at(7), NEXT_DAY + at(15))))
    slack = WaterWindow(start_min=NEXT_DAY + at(7), end_min=NEXT_DAY + at(9))
    return plan, job.replace(water_windows=(*job.water_windows, slack))


def two_teams(later_min: int) -> tuple[Plan, Job]:
    """A second team like that of the anode dive, with its own people and gear, on a third station."""
    plan, job = a_plan(), a_job()
    double = {name: f"{name} too" for name in ("Bo", "Cruz", "Eli", "Sol", "Vic", "Wes", "Xan", "Kim", "Ben")}
    outfits = {name: f"{name} too" for name in ("L1", "L2", "L3")}
    people = tuple(p.replace(name=double[p.name], past_dives=()) for p in job.people if p.name in double)
    gear = tuple(o.replace(name=outfits[o.name]) for o in job.outfits if o.name in outfits)
    dive = plan.dives[1]
    divers = tuple(
        d.replace(person=double[d.person], outfit=outfits[d.outfit], surface_interval_min=None)
        for d in dive.divers
    )
    spells = tuple(
        s.replace(
            person=double[s.person],
            dive="4",
            station=EAST,
            outfit=outfits[s.outfit] if s.outfit else None,
        )
        for s in plan.duties
        if s.dive == "2"
    )
    work, finish = plan.stages
    plan = plan.replace(
        dives=(*plan.dives, dive.replace(id="4", station=EAST, divers=divers)),
        duties=(*plan.duties, *spells),
        # 4 × 40 min more
        stages=(work.replace(value=1680, bound=2000), finish),
    )
    job = with_item(with_site(job, stations_at_once=3), ANODES, station=None, not_together_with=())
    job = with_item(job, ANODES, splittable=True, bottom_work_min=80)
    job = job.replace(
        stations=(*job.stations, Station(name=EAST)),
        people=(*job.people, *people),
        outfits=(*job.outfits, *gear),
    )
    return shifted(plan, "4", later_min), job


def a_dressed_standby(limit_min: int) -> tuple[Plan, Job]:
    """The day with a limit on the time in dress.

    Dan and Eli dress 30 and 15 min before their divers go down, and undress in 20 and 10 min; a second hand,
    Yan, helps with the heavy dress. Dan is dressed from 08:30 to 09:13 and Eli from 08:35 to 09:18, 43 min
    each; Dan again 33 min.
    """
    return a_plan(), with_rules(a_job(), standby_dressed_max_min=limit_min)


def with_charted_depth(depth_fsw: int) -> tuple[Plan, Job]:
    """The piles charted 50 fsw deep; high water 8.4 ft at 06:00 and 18:00, low water 5.4 ft at 12:00.

    At 08:30, 150 of 360 min into the fall, the level is 6.9 + 1.5 cos(75°) = 7.29 ft, the greatest of the
    first dive, so 58 fsw. At 12:31 it is 6.9 − 1.5 cos(15.5°) = 5.45 ft, so 56 fsw for the second. At high
    water it is 59 fsw. Both dives are planned to ``depth_fsw``; the row is that for 60 fsw (55 is the next
    shallower), and the descent takes a minute.
    """
    plan = with_dive(with_dive(a_plan(), "1", depth_fsw=depth_fsw), "3", depth_fsw=depth_fsw)
    marks = (
        TideMark(minute=at(6), level_ft=8.4, high=True),
        TideMark(minute=at(12), level_ft=5.4, high=False),
        TideMark(minute=at(18), level_ft=8.4, high=True),
    )
    job = with_item(a_job().replace(tide_marks=marks), WRAP, depth_fsw=50, depth_follows_tide=True)
    return plan, job
