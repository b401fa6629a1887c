"""Demand through the day, and the profile behind it."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.air.demand import demand_steps, dive_manifold_psi, dive_scf
from planner.air.flow import ascent_legs, dive_legs
from planner.air.item import dive_demand_scfm, standby_reserve_scfm
from planner.job import CrewMinimum, CrewRules, DiveItem, Gear
from planner.tables.schedule import Stop, TableSchedule
from tests.world.lock import STOPS_100, dive, job, plan

DEEP = dive("2", start=660, item="Deep sill", depth=100, bottom=45, schedule=STOPS_100)


def _at(minute: int, *dives: object, **more: object):  # type: ignore[no-untyped-def]
    steps = demand_steps(plan(*dives), job(**more))
    return next(s for s in steps if s.start_min <= minute < s.end_min)


def test_bottom_flow_of_diver_and_standby() -> None:
    """At 60 fsw 6 acfm is 6 × 93/33 = 16.9 scfm for the diver, and as much for the standby sent down."""
    step = _at(520, dive())
    assert step.divers_scfm == pytest.approx(6 * 93 / 33)
    assert step.bench_scfm == pytest.approx(6)
    assert step.expected_scfm == pytest.approx(6 * 93 / 33 + 6)
    assert step.required_scfm == pytest.approx(2 * 6 * 93 / 33)
    assert step.manifold_psi == pytest.approx(0.50 * 60 + 42)


def test_air_is_on_before_leave_surface() -> None:
    """From helmet on (5 min before leave surface: common practice, from memory) the helmet draws air."""
    steps = demand_steps(plan(dive()), job())
    assert steps[0].start_min == dive().leave_surface_min - 5
    assert steps[0].divers_scfm == pytest.approx(6)
    assert steps[-1].end_min == dive().reach_surface_min + 2


def test_stops_count_at_their_own_depth() -> None:
    """36 min at 20 fsw (table 9-9, 100 fsw for 45 min) draw 6 × 53/33 scfm, not the bottom's flow."""
    at_stop = _at(DEEP.leave_bottom_min + 10, DEEP)
    assert at_stop.divers_scfm == pytest.approx(6 * 53 / 33)
    travelling = _at(DEEP.leave_bottom_min, DEEP)
    assert travelling.divers_scfm == pytest.approx(6 * 133 / 33)


def test_two_stations_add_up() -> None:
    """Dives in the water at the same time draw together."""
    other = dive("2", station="South", divers=(("Cy", "H1"),))
    alone, both = _at(520, dive()), _at(520, dive(), other)
    assert both.required_scfm == pytest.approx(2 * alone.required_scfm)


def test_tools_draw_while_on_the_bottom() -> None:
    """A tool's flow counts from reach bottom to leave bottom."""
    items = (DiveItem(name="Gate sill", depth_fsw=60, bottom_work_min=40, tool_air_scfm=50),)
    first = dive()
    assert _at(first.reach_bottom_min, first, dive_items=items).tools_scfm == 50
    assert _at(first.leave_bottom_min, first, dive_items=items).tools_scfm == 0
    assert _at(first.leave_surface_min, first, dive_items=items).tools_scfm == 0


def test_light_helmet_draws_what_its_kind_draws() -> None:
    """A demand helmet at 60 fsw draws 3.95 scfm (1.4 acfm, U.S. Navy Diving Manual)."""
    light = dive(divers=(("Ana", "L1"),))
    steps = demand_steps(plan(light, standby=None), job())
    assert max(s.divers_scfm for s in steps) == pytest.approx(3.95, abs=0.006)
    assert dive_manifold_psi(light, plan(light, standby=None), job()) == pytest.approx(116.7)


def test_air_of_a_dive_by_hand() -> None:
    """42 min at 60 fsw, 7 min at the surface in the helmet, all at 6 acfm; the standby diver on the bench
    5 + 42 + 2 min: on air from helmet on to helmet off as the diver is, not while he undresses."""
    first = dive()
    by_hand = 42 * 6 * 93 / 33 + 7 * 6 + (5 + 42 + 2) * 6
    assert dive_scf(first, plan(first), job()) == pytest.approx(by_hand)


def test_legs_of_a_no_stop_dive() -> None:
    """No stop: bottom, then one leg to the surface as long as the table's ascent."""
    legs = dive_legs(dive())
    assert [(leg.minutes, leg.from_fsw, leg.to_fsw) for leg in legs] == [(40, 60, 60), (2, 60, 0)]


def test_legs_of_a_stop_dive() -> None:
    """Ascent 39:20 with 36 min at 20 fsw (table 9-9): 3 min up, 36 at the stop, 1 to the surface."""
    legs = ascent_legs(100, STOPS_100)
    assert [(leg.minutes, leg.from_fsw, leg.to_fsw) for leg in legs] == [
        (3, 100, 20),
        (36, 20, 20),
        (1, 20, 0),
    ]


def test_air_breaks_are_spent_at_the_last_stop() -> None:
    """What an oxygen schedule's ascent has over its stops (air breaks) counts at the last stop's depth."""
    schedule = STOPS_100.replace(stops=(Stop(depth_fsw=20, minutes=20, gas="oxygen"),), ascent_s=1800)
    legs = ascent_legs(100, schedule)
    assert [(leg.minutes, leg.from_fsw) for leg in legs] == [(3, 100), (20, 20), (6, 20), (1, 20)]


def test_chamber_time_is_not_in_the_water() -> None:
    """Surface decompression: the air of the dive ends at the surface, 100 fsw at 30 fsw a minute (table 9-9)
    or a stop at 40 fsw and 1:20 later; the chamber's gas is its own."""
    schedule = STOPS_100.replace(
        way_up="surface decompression",
        stops=(),
        chamber_periods=1.0,
        ascent_s=2300,
        time_to_first_stop_s=200,
    )
    legs = ascent_legs(100, schedule)
    assert [(leg.minutes, leg.from_fsw, leg.to_fsw) for leg in legs] == [(4, 100, 0)]
    stop = schedule.replace(stops=(Stop(depth_fsw=40, minutes=5),), time_to_first_stop_s=120, ascent_s=2600)
    legs = ascent_legs(100, stop)
    assert [(leg.minutes, leg.from_fsw, leg.to_fsw) for leg in legs] == [
        (2, 100, 40),
        (5, 40, 40),
        (2, 40, 0),
    ]


def test_limits_before_there_is_a_plan() -> None:
    """An item's own numbers: two divers and a tool, a diver at the entry where rows ask, one standby."""
    item = DiveItem(
        name="Tunnel", depth_fsw=60, bottom_work_min=20, divers=2, tool_air_scfm=30, enclosed_space=True
    )
    each = 6 * 93 / 33
    assert dive_demand_scfm(job(), item) == pytest.approx(3 * each + 30)
    assert standby_reserve_scfm(job(), item) == pytest.approx(each)
    bare = job(rules=CrewRules(minima=()))
    assert dive_demand_scfm(bare, item) == pytest.approx(2 * each + 30)
    assert standby_reserve_scfm(bare, item) == 0
    rows = (
        CrewMinimum(duty="standby diver", count=1, per_diver=True, source="test"),
        CrewMinimum(duty="standby diver", count=4, gear=Gear.LIGHT, source="test"),
        CrewMinimum(duty="standby diver", count=4, deeper_than_fsw=60, source="test"),
    )
    assert standby_reserve_scfm(job(rules=CrewRules(minima=rows)), item) == pytest.approx(2 * each)


def test_limits_are_what_the_plan_asks_at_the_bottom() -> None:
    """The constants that a scheduler takes are the plan's own required flow at the bottom."""
    item = job().dive_item("Gate sill")
    step = _at(520, dive())
    assert dive_demand_scfm(job(), item) + standby_reserve_scfm(job(), item) == pytest.approx(
        step.required_scfm
    )


@given(st.integers(10, 189), st.integers(1, 30), st.sampled_from(list(Gear)))
def test_deeper_item_never_asks_less(depth: int, more: int, gear: Gear) -> None:
    """A deeper item never asks for less air."""
    here = DiveItem(name="Sill", depth_fsw=depth, bottom_work_min=20, gear=gear)
    deeper = here.replace(depth_fsw=depth + more)
    assert dive_demand_scfm(job(), deeper) > dive_demand_scfm(job(), here)
    assert standby_reserve_scfm(job(), deeper) > standby_reserve_scfm(job(), here)


@given(st.integers(10, 190), st.lists(st.tuples(st.integers(1, 12), st.integers(0, 40)), max_size=5))
def test_legs_join_and_last_at_least_the_schedule(depth: int, rows: list[tuple[int, int]]) -> None:
    """Legs follow each other without a gap, begin at the bottom, end at the surface, and are no shorter."""
    depths = sorted({d * 10 for d, _ in rows if d * 10 < depth}, reverse=True)
    stops = tuple(Stop(depth_fsw=d, minutes=m) for d, (_, m) in zip(depths, rows, strict=False))
    ascent = math.ceil(depth / 30 * 60) + sum(s.minutes for s in stops) * 60
    schedule = TableSchedule(
        table="9-9",
        way_up="air",
        depth_fsw=depth,
        time_min=20,
        stops=stops,
        time_to_first_stop_s=20,
        ascent_s=ascent,
    )
    legs = ascent_legs(depth, schedule, 100)
    assert legs[0].start_min == 100
    assert legs[0].from_fsw == depth
    assert legs[-1].to_fsw == 0
    assert legs[-1].end_min >= 100 + math.ceil(ascent / 60)
    for one, two in pairwise(legs):
        assert one.end_min == two.start_min


def test_no_dives_no_demand() -> None:
    """A plan without dives draws nothing."""
    assert demand_steps(plan(), job()) == ()
