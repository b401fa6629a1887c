"""Bailout bottles: the pressure a bottle must show and what it gives (U.S. Navy Diving Manual 8-2.2.1)."""

from __future__ import annotations

import pytest

from planner.air.bailout import (
    asks_for_bailout,
    bailout_scf,
    bottle_minutes,
    bottle_psi,
    bottles_carried,
    first_leg,
    needed_psi,
)
from planner.air.flow import Leg
from planner.job import DiveItem, Gear, Job, Policy
from planner.tables import ExposureOptions, modes
from planner.tables.schedule import NO_STOP, ON_AIR, TableSchedule
from tests.world.changed import with_item, with_outfit, with_rules, with_site
from tests.world.parts import light
from tests.world.quay import a_job, a_plan

JOB = a_job()
PIPE = DiveItem(name="Pipe", depth_fsw=36, bottom_work_min=20, gear=Gear.LIGHT)


def schedule(depth_fsw: int, bottom_min: int, way_up: str) -> TableSchedule:
    """The shortest row of a way up that holds a bottom time, clean."""
    options = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=120)
    found = [
        m for m in modes(depth_fsw, options) if m.way_up == way_up and m.bottom_time_max_min >= bottom_min
    ]
    return min((m for m in found if m.group_before is None), key=lambda m: m.bottom_time_max_min).schedule


def test_the_manuals_example_at_depth() -> None:
    """190 fsw, 1.4 acfm, three minutes at depth: 28.38 scf, before any ascent (example of 8-2.2.1)."""
    assert bailout_scf(1.4, 190, 3, None) == pytest.approx(28.38, abs=0.005)


def test_the_ascent_counts_at_its_mean_depth() -> None:
    """From 190 to 40 fsw in 5 min: mean depth 115 fsw, 1.4 × 148/33 × 5 = 31.39 scf more."""
    up = Leg(0, 5, 190, 40)
    assert bailout_scf(1.4, 190, 3, up) == pytest.approx(28.38 + 31.39, abs=0.02)


def test_pressure_that_the_bottle_must_show() -> None:
    """V/FV × 14.7 + 135 + 0.445 × first stop: 40 scf out of 0.4 cu ft, first stop 20 fsw, is 1,613.9 psi."""
    assert bottle_psi(40, 0.4, 20) == pytest.approx(1470 + 135 + 8.9)


def test_a_stop_ends_the_way_that_the_bottle_carries() -> None:
    """78 fsw for 47 min stops first at 20 fsw after 2 min (80/50, table 9-9); without stops 3 min up."""
    stops, none = schedule(78, 47, ON_AIR), schedule(78, 20, NO_STOP)
    assert first_leg(78, stops) == Leg(0, 2, 78, 20)
    assert first_leg(78, none) == Leg(0, 3, 78, 0)


def test_a_stop_where_he_is_leaves_no_way() -> None:
    """Held at 20 fsw at once the diver has no way to go on his bottle (manual 8-2.2.1: to the first stop)."""
    held = schedule(78, 47, ON_AIR).replace(time_to_first_stop_s=0)
    assert held.stops[0].depth_fsw == 20
    assert first_leg(20, held) is None


def test_less_gas_to_a_stop_and_more_pressure_left_there() -> None:
    """At 78 fsw, bottle of 0.4 cu ft: 3 min of 4.71 scfm, then 2 min at 49 fsw or 3 min at 39 fsw."""
    outfit = light("L9", bailout_cuft=0.4)
    with_stop, without = needed_psi(JOB, outfit, 78, [schedule(78, 47, ON_AIR), schedule(78, 20, NO_STOP)])
    flow = 1.4 / 33
    assert with_stop == pytest.approx((3 * 111 + 2 * 82) * flow / 0.4 * 14.7 + 135 + 0.445 * 20)
    assert without == pytest.approx((3 * 111 + 3 * 72) * flow / 0.4 * 14.7 + 135)


def test_minutes_that_a_bottle_gives() -> None:
    """2,800 psi in 0.4 cu ft at 78 fsw: (2,800 − 135 − 34.7) × 0.4/14.7 = 71.6 scf, at 4.71 scfm 15.2 min."""
    assert bottle_minutes(JOB, light("L9", bailout_cuft=0.4, bailout_psi=2800), 78) == pytest.approx(
        15.2, abs=0.05
    )
    assert bottle_minutes(JOB, light("L9", bailout_cuft=None, bailout_psi=None), 78) == 0


@pytest.mark.parametrize(
    ("facts", "depth", "decompression", "asked"),
    [
        ({}, 100, False, False),
        ({}, 101, False, True),
        ({}, 60, True, True),
        ({"enclosed_space": True}, 36, False, True),
        ({"gear": Gear.HEAVY}, 150, True, False),
    ],
)
def test_when_the_rules_ask_for_a_bottle(
    facts: dict[str, object], depth: int, decompression: bool, asked: bool
) -> None:
    """Deeper than 100 fsw or with stops, not in heavy gear: 29 CFR 1910.425(c)(4); no straight way up: the
    U.S. Navy Diving Manual."""
    item = PIPE.replace(**facts)
    assert asks_for_bailout(JOB, item, depth, decompression=decompression) is asked
    off = with_rules(JOB, bailout_min=0)
    assert not asks_for_bailout(off, item, depth, decompression=decompression)


def test_the_gauges_correction_counts_for_the_depth() -> None:
    """100 fsw read by pneumofathometer is 101 fsw: a bottle is asked for."""
    corrected = with_site(JOB, pneumofathometer_correction=True)
    assert asks_for_bailout(corrected, PIPE, 100, decompression=False)
    assert not asks_for_bailout(
        with_site(JOB, pneumofathometer_correction=False), PIPE, 100, decompression=False
    )


def test_a_free_flow_helmet_empties_it_sooner() -> None:
    """At 4.5 acfm (29 CFR 1910.430(h)) a bottle gives 1.4/4.5 of the minutes."""
    free: Job = JOB.replace(air=JOB.air.replace(light_free_flow=True))
    outfit = light("L9")
    assert bottle_minutes(free, outfit, 60) == pytest.approx(bottle_minutes(JOB, outfit, 60) * 1.4 / 4.5)


def test_who_carries_none_and_is_asked_for_none_is_not_on_the_list() -> None:
    """Dive 2 is in an enclosed space, where each light outfit is asked for a bottle; once it is open water
    only one that carries a bottle stands there."""
    plan = a_plan()
    dive = next(d for d in plan.dives if d.id == "2")
    bare = with_outfit(JOB, "L1", bailout_cuft=None, bailout_psi=None)
    asked = {(b.outfit.name, b.asked) for b in bottles_carried(plan, bare, dive)}
    assert {("L1", True), ("L2", True)} <= asked
    open_water = with_item(bare, dive.item, enclosed_space=False)
    told = {(b.outfit.name, b.asked) for b in bottles_carried(plan, open_water, dive)}
    assert ("L2", False) in told
    assert "L1" not in {name for name, _ in told}
