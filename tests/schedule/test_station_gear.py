"""An in-water stage and a spare hose decide where heavy dress is dived deep or with stops
(29 CFR 1910.425(c)(5)(i), (ii))."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from planner.check import check
from planner.job import DiveItem, Job, Pin, PinKind, Policy, Station
from planner.schedule import first_plan, solve
from planner.schedule.problem.prepare import prepare
from planner.schedule.what_it_takes import candidates
from planner.sheets.gates import station_gear_lines
from tests.schedule.day import PEOPLE, item, job
from tests.world.changed import with_rules, with_site
from tests.world.parts import equipped, person

NORTH, SOUTH = Station(name="North"), Station(name="South")
RULE = "heavy-stage-and-hose"


def deep_job(*stations: Station, work: DiveItem | None = None, **asked: Any) -> Job:
    """One item of 50 min at 78 fsw in heavy dress: with stops in one dive, at most 39 min without (80/39)."""
    people = (*PEOPLE, person("Ada", "chamber operator"))
    made = job(work or item("Deep", 78, 50, splittable=False), people=people)
    made = with_site(
        made, policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, chamber_minutes_away=0, day_end=time(17)
    )
    return with_rules(made.replace(stations=stations), stage_deeper_than_fsw=100, **asked)


def test_without_a_stage_no_heavy_dive_with_stops() -> None:
    """The only station has neither stage nor hose: the item is left, the rule and what lacks are named."""
    outcome = solve(deep_job(NORTH), seconds=3)
    assert outcome.plan is None
    (reason,) = outcome.reasons["Deep"]
    assert reason.rule == RULE
    assert "North has no in-water stage; no spare hose" in reason.sentence


def test_without_a_stage_it_is_done_in_dives_without_stops() -> None:
    """To 100 fsw and without stops neither is asked for: the same minutes in two dives."""
    made = deep_job(NORTH, work=item("Deep", 78, 50))
    outcome = solve(made, seconds=6, only_work=True)
    assert outcome.plan is not None
    assert check(made, outcome.plan) == ()
    assert outcome.plan.worked_min("Deep") == 50
    assert not any(d.schedule.decompression for dive in outcome.plan.dives for d in dive.divers)


def test_a_dive_with_stops_goes_to_the_station_that_has_them() -> None:
    """Of two stations only South has stage and hose: search and rule of thumb put the dive there, and its
    sheet tells of both."""
    made = deep_job(NORTH, equipped("South"))
    for plan in (solve(made, seconds=6, only_work=True).plan, first_plan(made)):
        assert plan is not None
        assert check(made, plan) == ()
        (dive,) = plan.dives
        assert dive.station == "South"
        assert station_gear_lines(made, dive) == (
            "In-water stage ready",
            "Spare hose ready for the standby: 300 ft (78 ft needed), tested 2027-01-01",
        )


def test_pinned_to_the_other_station_it_is_not_dived_there() -> None:
    """A pin does not put the dive with stops on a station without a stage."""
    pin = Pin(kind=PinKind.DIVES, item="Deep", station="North")
    outcome = solve(deep_job(NORTH, equipped("South")).replace(pins=(pin,)), seconds=3)
    assert outcome.plan is None


def test_deeper_than_the_rule_says_every_dive_asks_for_them() -> None:
    """78 fsw with the limit at 60: even 20 min without stops are for South alone; 0 asks for none."""
    short = item("Deep", 78, 20, splittable=False)
    made = deep_job(NORTH, equipped("South"), work=short)
    assert {p.station for w in prepare(made).dives for p in w.placements} == {"North", "South"}
    (deep,) = prepare(with_rules(made, stage_deeper_than_fsw=60)).dives
    assert {p.station for p in deep.placements} == {"South"}
    off = with_rules(made, stage_deeper_than_fsw=0)
    assert all(p.with_stops for w in prepare(off).dives for p in w.placements)
    nowhere = solve(with_rules(deep_job(NORTH, work=short), stage_deeper_than_fsw=60), seconds=3)
    assert [r.rule for r in nowhere.reasons["Deep"]] == [RULE]


def test_a_hose_that_runs_out_at_midnight_is_on_the_safe_side() -> None:
    """Work from 20:00 to 04:00 with a hose tested a year before the first day: no stops, and nothing is
    called proven, since a dive before midnight would have kept the rule."""
    late = equipped("North", spare_hose_tested_on=date(2026, 3, 16))
    night = with_site(deep_job(late), day_start=time(20), day_end=time(4), daylight_only=False)
    assert not prepare(night).as_wide_as_the_check
    assert prepare(deep_job(late)).as_wide_as_the_check


def test_the_stage_is_offered() -> None:
    """Among what would make the item possible: a stage and a spare hose at the station."""
    told = {kind: sentence for kind, sentence, _ in candidates(deep_job(NORTH), "Deep")}
    assert told["stage North"] == "an in-water stage at North and a spare hose of 78 ft"
    assert "stage South" not in {k for k, *_ in candidates(deep_job(equipped("South")), "Deep")}


@pytest.mark.parametrize("turnarounds", [(15, 15, 15), (15, 15, 30)])
def test_a_dive_waits_for_outfits_that_are_still_worn(turnarounds: tuple[int, int, int]) -> None:
    """Three outfits, two of them on others until 10:00: the second to dress does so no sooner and no later,
    by rule of thumb and in the model, where turnarounds are alike and where they differ."""
    until = (None, 600, 600)
    made = job(item("A", 30, 40))
    outfits = (
        o.replace(worn_until_min=m, turnaround_min=t)
        for o, m, t in zip(made.outfits, until, turnarounds, strict=True)
    )
    made = made.replace(outfits=tuple(outfits))
    for plan in (first_plan(made), solve(made, seconds=2, workers=1).plan):
        assert plan is not None
        assert check(made, plan) == ()
        worn = [s for s in plan.duties if s.outfit is not None]
        assert max(s.start_min for s in worn) == 600
