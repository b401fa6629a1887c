"""Ways up in the schedule: the policy decides, and the chamber is a resource with its operator."""

from __future__ import annotations

from datetime import time

import pytest

from planner.air.chamber import decompression_scf, ready_scf
from planner.check import check
from planner.job import AirPlant, Compressor, Gear, Job, Pin, PinKind, Policy, StandbyWayUp, TideMark
from planner.job.duties import CHAMBER_OPERATOR, DEFAULT_MINIMA, DIVER, STANDBY
from planner.job.presets import PRESETS
from planner.plan import DiverExposure, unchecked
from planner.schedule import Outcome, first_plan, solve
from planner.sheets.bill import standbys
from tests.schedule.day import PEOPLE, item, job, outfit, person


def most_work(made: Job) -> Outcome:
    """What the search for the most work comes to, with one worker."""
    return solve(made, seconds=6, workers=1, only_work=True)


def chamber_job(policy: Policy, *, stops_max_min: int = 60, oxygen: bool = False) -> Job:
    """Eleven people with two chamber operators; one deep item that is long for a dive without stops."""
    people = (
        *PEOPLE,
        person("Fia", "diver", "tender"),
        person("Ada", "chamber operator"),
        person("Bela", "chamber operator", "tender"),
    )
    made = job(
        item("Deep", 78, 50, gear=Gear.LIGHT, splittable=False),
        people=people,
        outfits=tuple(outfit(n, Gear.LIGHT) for n in range(1, 5)),
    )
    site = made.site.replace(
        policy=policy,
        in_water_stop_max_min=stops_max_min,
        oxygen_in_water=oxygen,
        chamber_minutes_away=0,
        day_end=time(17),
    )
    return made.replace(site=site)


def test_no_stop_policy_leaves_what_needs_stops() -> None:
    """78 fsw allows 39 min without stops (table 9-7, 80 fsw): 50 min in one dive stay undone."""
    outcome = most_work(chamber_job(Policy.NO_STOP))
    assert outcome.plan is None
    assert outcome.reasons["Deep"][0].rule == "way-up-policy"


def test_in_water_stops_do_it_with_a_chamber_operator() -> None:
    """52 min of bottom time: 80/55, 24 min at 20 fsw (table 9-9), the operator on until an hour after."""
    made = chamber_job(Policy.IN_WATER_STOPS)
    outcome = most_work(made)
    assert outcome.plan is not None
    (dive,) = outcome.plan.dives
    schedule = dive.divers[0].schedule
    assert (schedule.depth_fsw, schedule.time_min, schedule.stop_min) == (80, 55, 24)
    (operator,) = (s for s in outcome.plan.duties if s.duty == "chamber operator")
    assert operator.end_min == dive.reach_surface_min + made.rules.chamber_watch_min
    assert check(made, outcome.plan) == ()


def test_the_limit_on_stops_is_kept() -> None:
    """The same dive with at most 20 min of stops allowed is left."""
    outcome = most_work(chamber_job(Policy.IN_WATER_STOPS, stops_max_min=20))
    assert outcome.plan is None


def test_oxygen_in_the_water_shortens_the_stops() -> None:
    """80/55 on oxygen at 20 fsw: 13 min instead of 24 (table 9-9)."""
    outcome = most_work(chamber_job(Policy.IN_WATER_STOPS, oxygen=True))
    assert outcome.plan is not None
    assert outcome.plan.dives[0].divers[0].schedule.stop_min == 13


def test_surface_decompression_uses_the_chamber() -> None:
    """The diver surfaces, goes into the chamber, and is out half a period later."""
    made = chamber_job(Policy.SURFACE_DECOMPRESSION)
    outcome = most_work(made)
    assert outcome.plan is not None
    (dive,) = outcome.plan.dives
    assert dive.divers[0].schedule.way_up == "surface decompression"
    assert dive.out_of_chamber_min is not None
    assert dive.out_of_chamber_min > dive.reach_surface_min
    assert check(made, outcome.plan) == ()


def test_out_of_dress_and_into_the_chamber_in_time() -> None:
    """U.S. Navy Diving Manual: 5 min from leaving 40 fsw to 50 fsw in the chamber, of which the way up and
    the compression take 1:50. A light helmet takes 2 min, so the chamber may be a minute away and not two;
    heavy dress takes 20 unless the crew has measured less. What is refused is told with its sum."""
    made = chamber_job(Policy.SURFACE_DECOMPRESSION)
    near = made.replace(site=made.site.replace(chamber_minutes_away=1))
    plan = first_plan(near)
    assert plan is not None
    assert check(near, plan) == ()
    assert plan.dives[0].out_of_chamber_min is not None
    far = made.replace(site=made.site.replace(chamber_minutes_away=2))
    assert {b.rule for b in check(far, plan)} == {"chamber-in-time"}
    (reason,) = most_work(far).reasons["Deep"]
    assert reason.rule == "chamber-in-time"
    assert "2 min out of light helmet, 2 min to the chamber" in reason.sentence
    assert "5:50 in all" in reason.sentence
    heavy = made.replace(
        dive_items=(made.dive_items[0].replace(gear=Gear.HEAVY),),
        outfits=tuple(outfit(n) for n in range(1, 5)),
    )
    alone = most_work(heavy)
    assert alone.plan is None
    assert [r.rule for r in alone.reasons["Deep"]] == ["chamber-in-time"]
    measured = heavy.replace(rules=heavy.rules.replace(chamber_heavy_min=3))
    found = first_plan(measured)
    assert found is not None
    assert check(measured, found) == ()
    assert any("out of heavy dress in 3 min" in tick for tick in unchecked(measured, found))


def test_one_decompression_at_a_time() -> None:
    """Two such dives never have people in the chamber together."""
    made = chamber_job(Policy.SURFACE_DECOMPRESSION)
    made = made.replace(dive_items=(made.dive_items[0], made.dive_items[0].replace(name="Deep too")))
    outcome = most_work(made)
    assert outcome.plan is not None
    stays = sorted((d.reach_surface_min, d.out_of_chamber_min or 0) for d in outcome.plan.dives)
    assert len(stays) == 2
    assert stays[0][1] <= stays[1][0]
    assert check(made, outcome.plan) == ()


@pytest.mark.parametrize(("primary", "dives"), [(2, 2), (1, 1), (0, 0)])
def test_the_chamber_has_gas_for_so_many_decompressions(primary: int, dives: int) -> None:
    """chamber-gas: two dives through the chamber are planned only where its primary air holds both.

    Ready air and one decompression: `planner.air.chamber`, by hand in tests/check/test_chamber_gas.py.
    """
    made = chamber_job(Policy.SURFACE_DECOMPRESSION)
    made = made.replace(dive_items=(made.dive_items[0], made.dive_items[0].replace(name="Deep too")))
    (one,) = {d.schedule.chamber_periods for d in solved_alone(made)}
    locks = AirPlant(chamber_inner_cuft=200, chamber_outer_cuft=70)
    ready, each = ready_scf(locks), decompression_scf(locks, (one,))
    air = locks.replace(
        chamber_primary_scf=ready + primary * each + 1, chamber_secondary_scf=ready + each + 1
    )
    outcome = most_work(made.replace(air=air))
    assert len(outcome.plan.dives if outcome.plan else ()) == dives
    if outcome.plan is not None:
        assert check(made.replace(air=air), outcome.plan) == ()
    else:
        assert {r.rule for reasons in outcome.reasons.values() for r in reasons} == {"chamber-gas"}


def solved_alone(made: Job) -> tuple[DiverExposure, ...]:
    """Exposures of the first item's dive where nothing else is to be done."""
    outcome = most_work(made.replace(dive_items=made.dive_items[:1]))
    assert outcome.plan is not None
    return tuple(d for dive in outcome.plan.dives for d in dive.divers)


def test_no_chamber_no_stops() -> None:
    """Without a chamber at the location nothing outside the no-stop limits is planned."""
    made = chamber_job(Policy.IN_WATER_STOPS)
    outcome = most_work(made.replace(site=made.site.replace(chamber_minutes_away=None)))
    assert outcome.plan is None


def test_the_tide_makes_the_row_deeper() -> None:
    """A charted 38 fsw with up to 6 ft of tide above it is planned on the 45 fsw row (table 9-7)."""
    marks = (
        TideMark(minute=-60, level_ft=0.5, high=False),
        TideMark(minute=310, level_ft=6.0, high=True),
        TideMark(minute=680, level_ft=0.5, high=False),
        TideMark(minute=1050, level_ft=6.0, high=True),
        TideMark(minute=1500, level_ft=0.5, high=False),
    )
    made = job(item(depth_fsw=38, work_min=40, depth_follows_tide=True), tide_marks=marks)
    outcome = most_work(made)
    assert outcome.plan is not None
    (dive,) = outcome.plan.dives
    assert dive.depth_fsw > 40
    assert dive.divers[0].schedule.depth_fsw == 45
    assert check(made, outcome.plan) == ()


def test_a_standby_for_130_fsw_counts_as_the_policy() -> None:
    """Table 9-7 has 12 min at 130 fsw: fewer than the 15 kept for a standby, so nobody dives. Counted as a
    policy of 10 min of stops, table 9-9 has 130/20 with 8: the dive is planned, the standby with 20 min."""
    people = tuple(p.replace(depth_rating_fsw=150) if "diver" in p.duties else p for p in PEOPLE)
    made = job(item(depth_fsw=130, work_min=5), people=(*people, person("Ada", "chamber operator")))
    made = made.replace(
        site=made.site.replace(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=10, chamber_minutes_away=0)
    )
    assert made.rules.standby_no_stop_min == 15
    nobody = most_work(made)
    assert nobody.plan is None
    (reason,) = nobody.reasons["Work"]
    assert reason.rule == "standby-able-to-go"
    assert "12 no-stop minutes" in reason.sentence
    assert "may count as the job's policy" in reason.sentence
    counted = made.replace(rules=made.rules.replace(standby_way_up=StandbyWayUp.POLICY))
    found = most_work(counted).plan
    assert found is not None
    assert check(counted, found) == ()
    (standby,) = {s.person for s in found.duties if s.duty == STANDBY}
    assert standbys(found, counted, found.dives[0]).startswith(f"{standby}: 20 min left")
    assert first_plan(counted) is not None
    # and 12 are enough where the job says so
    fewer = made.replace(rules=made.rules.replace(standby_no_stop_min=12))
    plan = most_work(fewer).plan
    assert plan is not None
    assert any("12 min left" in tick for tick in unchecked(fewer, plan))


@pytest.mark.parametrize("team", [None, "three", "five", "six"])
def test_a_lowered_trigger_brings_an_operator_into_the_plan(team: str | None) -> None:
    """29 CFR 1910.423(c): 40 fsw under a trigger of 39 takes an operator until the watch is over, whatever
    the rows say; without one on site the item is left for that. Under a trigger of 40 fsw nobody asks."""
    made = job(item(depth_fsw=40), people=(*PEOPLE, person("Ada", "chamber operator")))
    rows = PRESETS[team].minima if team else tuple(r for r in DEFAULT_MINIMA if r.duty != CHAMBER_OPERATOR)
    low = made.replace(
        site=made.site.replace(chamber_minutes_away=0),
        rules=made.rules.replace(minima=rows, chamber_trigger_fsw=39, chamber_watch_min=75),
    )
    outcome = most_work(low)
    assert outcome.plan is not None
    assert check(low, outcome.plan) == ()
    (dive,) = outcome.plan.dives
    (operator,) = (s for s in outcome.plan.duties if s.duty == CHAMBER_OPERATOR)
    assert operator.person == "Ada"
    assert operator.start_min == dive.leave_surface_min
    assert operator.end_min == dive.reach_surface_min + 75
    alone = most_work(low.replace(people=PEOPLE))
    assert alone.plan is None
    assert [r.rule for r in alone.reasons["Work"]] == ["crew-chamber-operator"]
    at_trigger = low.replace(rules=low.rules.replace(chamber_trigger_fsw=40), people=PEOPLE)
    found = most_work(at_trigger).plan
    assert found is not None
    assert CHAMBER_OPERATOR not in {s.duty for s in found.duties}


@pytest.mark.parametrize(
    ("delivered_scfm", "apart"), [(26, True), (30, False), pytest.param(60, False, marks=pytest.mark.long)]
)
def test_air_where_one_dive_comes_up_as_the_next_goes_down(delivered_scfm: int, apart: bool) -> None:
    """air-primary-flow: at a hand-over two heavy divers are on air, 28.9 scfm at most with the standby sent
    down; a plant of 26 keeps them apart, one of 30 does not."""
    hands = (*(person(f"Hand {k}", "tender") for k in range(5)), person("Fay", "diver", "tender"))
    plant = AirPlant(
        compressors=(
            Compressor(name="Primary", delivered_scfm=delivered_scfm, discharge_psi=200),
            Compressor(name="Reserve", delivered_scfm=60, discharge_psi=200, role="reserve"),
        )
    )
    made = job(
        item("A", 30, 40),
        item("B", 30, 40),
        people=(*PEOPLE, *hands),
        outfits=tuple(outfit(n) for n in range(1, 6)),
        air=plant,
    )
    outcome = solve(made, seconds=0.6, workers=1)
    assert outcome.plan is not None
    assert check(made, outcome.plan) == ()
    first, second = sorted(outcome.plan.dives, key=lambda d: d.leave_surface_min)
    assert (second.leave_surface_min > first.reach_surface_min) is apart


LOW_AT_NOON = (
    TideMark(minute=30, level_ft=0.0, high=False),
    TideMark(minute=400, level_ft=12.0, high=True),
    TideMark(minute=770, level_ft=0.0, high=False),
    TideMark(minute=1140, level_ft=12.0, high=True),
    TideMark(minute=1510, level_ft=0.0, high=False),
)


def test_low_water_gives_a_longer_dive() -> None:
    """Charted 38 fsw, up to 12 ft of tide: 121 min are within the 45 fsw row (125 min no-stop, table 9-7)
    and not within the 50 fsw row (92 min): one dive lies around low water, at 12:50, and is planned at 45."""
    made = job(
        item(depth_fsw=38, work_min=120, splittable=False, depth_follows_tide=True), tide_marks=LOW_AT_NOON
    )
    made = made.replace(site=made.site.replace(day_end=time(17)))
    outcome = most_work(made)
    assert outcome.plan is not None
    assert check(made, outcome.plan) == ()
    (dive,) = outcome.plan.dives
    assert dive.depth_fsw == 45
    assert 540 < dive.leave_surface_min < 770
    again = solve(made, seconds=3, workers=1, in_force=outcome.plan)
    assert again.plan is not None
    assert {s.name: s.value for s in again.plan.stages}["changed duties"] == 0


def test_an_item_at_two_depths_of_the_tide_is_one_item() -> None:
    """Split over high and low water: its work and no more, and a pinned start is that of its first dive."""
    made = job(
        item(depth_fsw=38, work_min=200, least_useful_min=30, depth_follows_tide=True),
        tide_marks=LOW_AT_NOON,
        pins=(Pin(kind=PinKind.STARTS, item="Work", start_min=480, end_min=500),),
    )
    made = made.replace(site=made.site.replace(day_end=time(18)))
    outcome = most_work(made)
    assert outcome.plan is not None
    assert check(made, outcome.plan) == ()
    assert outcome.plan.worked_min("Work") == 200
    first, *others = sorted(outcome.plan.dives, key=lambda d: d.leave_surface_min)
    assert 480 <= first.leave_surface_min <= 500
    assert {d.depth_fsw for d in (first, *others)} > {first.depth_fsw}


def test_the_rule_of_thumb_keeps_the_depths_of_an_item_apart() -> None:
    """The plan at once of an item at several depths of the tide takes each dive's times from its own rows."""
    made = job(
        item(depth_fsw=60, work_min=160, least_useful_min=10, depth_follows_tide=True), tide_marks=LOW_AT_NOON
    )
    made = made.replace(site=made.site.replace(day_end=time(18)))
    plan = first_plan(made)
    assert plan is not None
    assert check(made, plan) == ()
    assert len({d.depth_fsw for d in plan.dives}) > 1


def test_the_standby_has_the_longer_hose() -> None:
    """standby-hose: of umbilicals of 300 and 200 ft the diver wears the shorter; where the sizes give him the
    longer one, there is no plan."""
    made = job(item(), outfits=(outfit(1, umbilical_length_ft=300), outfit(2, umbilical_length_ft=200)))
    plan = solve(made, seconds=3, workers=1, only_work=True).plan
    assert plan is not None and check(made, plan) == ()
    assert {d.outfit for d in plan.dives[0].divers} == {"heavy dress 2"}
    sizes = made.replace(
        outfits=tuple(o.replace(size=s) for o, s in zip(made.outfits, ("L", "M"), strict=True)),
        people=tuple(
            p.replace(outfit_size="L" if p.name == "Ciro" else "M") if DIVER in p.duties else p
            for p in made.people
        ),
        pins=tuple(Pin(kind=PinKind.STAYS_UP, item="Work", person=name) for name in ("Dana", "Efe")),
    )
    assert solve(sizes, seconds=3).plan is None
