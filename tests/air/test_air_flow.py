"""Flow and manifold pressure against published figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.air.flow import (
    FREE_FLOW_LEAST_ACFM,
    acfm_of,
    ascent_legs,
    demand_manifold_psi,
    diver_scfm,
    emergency_scfm,
    heavy_manifold_psi,
    item_manifold_psi,
    manifold_psi,
    scfm_at,
)
from planner.air.reserve import emergency_legs
from planner.job import AirPlant, DiveItem, Gear, Policy
from planner.tables import ExposureOptions, TableSchedule, plan_exposure
from tests.world.lock import job, outfit


@pytest.mark.parametrize(("depth", "scfm"), [(60, 3.95), (100, 5.64), (130, 6.92), (190, 9.46)])
def test_demand_helmet_flow(depth: int, scfm: float) -> None:
    """1.4 acfm at depth. Source: flow formula of the U.S. Navy Diving Manual; numbers computed from it."""
    assert scfm_at(1.4, depth) == pytest.approx(scfm, abs=0.006)
    assert diver_scfm(AirPlant(), Gear.LIGHT, depth) == pytest.approx(scfm, abs=0.006)


@pytest.mark.parametrize(("depth", "scfm"), [(60, 12.7), (100, 18.1), (130, 22.2), (190, 30.4)])
def test_free_flow_helmet_flow(depth: int, scfm: float) -> None:
    """4.5 acfm at depth. Source: 29 CFR 1910.430(h) with the same formula."""
    assert scfm_at(FREE_FLOW_LEAST_ACFM, depth) == pytest.approx(scfm, abs=0.06)


def test_heavy_dress_is_planned_at_six() -> None:
    """6 acfm for hard work in heavy dress (common practice), which is over the legal 4.5."""
    assert acfm_of(AirPlant(), Gear.HEAVY) == 6.0


def test_free_flow_never_under_the_legal_least() -> None:
    """29 CFR 1910.430(h): 4.5 acfm for a free-flow helmet at any depth, whatever the plant's field says."""
    plant = AirPlant(light_acfm=1.4, light_free_flow=True)
    assert acfm_of(plant, Gear.LIGHT) == 4.5
    with pytest.raises(ValueError, match="greater than or equal to 4"):
        AirPlant(heavy_acfm=4.4)


@pytest.mark.parametrize(("hose", "psi"), [(300, 92.0), (600, 104.0)])
def test_heavy_manifold_pressure(hose: int, psi: float) -> None:
    """Heavy free-flow set at 100 fsw: 92 psig with 300 ft, 104 with 600. U.S. Army TM 5-4220-225-14."""
    assert heavy_manifold_psi(100, hose) == pytest.approx(psi)


def test_unknown_or_middling_hose_counts_as_the_longer() -> None:
    """No length, or one between the two of the source, takes the pressure of 600 ft (the safe side)."""
    assert heavy_manifold_psi(100) == heavy_manifold_psi(100, 400) == pytest.approx(104)
    assert heavy_manifold_psi(100, 900) == pytest.approx(0.74 * 100 + 42)


@pytest.mark.parametrize(("depth", "psi"), [(60, 116.7), (100, 179.5), (130, 192.9), (190, 249.6)])
def test_demand_manifold_pressure(depth: int, psi: float) -> None:
    """0.445 D + overbottom 90 / 135 / 135 / 165. Source: U.S. Navy Diving Manual."""
    assert demand_manifold_psi(depth) == pytest.approx(psi, abs=0.06)


def test_free_flow_light_helmet_pressure() -> None:
    """0.445 D + 100: the top of the 50 to 100 psi over the bottom that is common practice."""
    assert manifold_psi(AirPlant(light_free_flow=True), Gear.LIGHT, 100) == pytest.approx(144.5)


def test_negative_flow_is_refused() -> None:
    """A flow or a depth below 0 is an error, not a number."""
    with pytest.raises(ValueError, match="negative"):
        scfm_at(-1, 60)
    with pytest.raises(ValueError, match="negative"):
        scfm_at(1, -60)


def test_item_needs_the_longest_hose() -> None:
    """An item must be able to use any outfit of its kind, so the longest hose decides its pressure."""
    item = DiveItem(name="Sill", depth_fsw=100, bottom_work_min=20)
    short = job(outfits=(outfit("H1", "11"),))
    long = job(outfits=(outfit("H1", "11"), outfit("H2", "12", umbilical_length_ft=600)))
    assert item_manifold_psi(short, item) == pytest.approx(92)
    assert item_manifold_psi(long, item) == pytest.approx(104)


def test_one_hose_without_a_length_leaves_it_unknown() -> None:
    """A length of 0 is not known, so the item is taken to need what 600 ft of hose does."""
    item = DiveItem(name="Sill", depth_fsw=100, bottom_work_min=20)
    unknown = job(outfits=(outfit("H1", "11"), outfit("H2", "12", umbilical_length_ft=0)))
    assert item_manifold_psi(unknown, item) == pytest.approx(104)


@given(
    st.sampled_from(list(Gear)),
    st.booleans(),
    st.integers(0, 219),
    st.integers(0, 1200),
    st.integers(1, 30),
)
def test_deeper_never_needs_less(gear: Gear, free: bool, depth: int, hose: int, more: int) -> None:
    """Neither flow nor pressure ever falls with depth."""
    plant = AirPlant(light_free_flow=free)
    assert diver_scfm(plant, gear, depth + more) > diver_scfm(plant, gear, depth)
    deeper = manifold_psi(plant, gear, depth + more, hose)
    assert deeper > manifold_psi(plant, gear, depth, hose)


@given(st.integers(0, 220), st.integers(1, 1500), st.integers(1, 500))
def test_longer_hose_never_needs_less(depth: int, hose: int, more: int) -> None:
    """More hose never lowers the pressure that a heavy set needs."""
    assert heavy_manifold_psi(depth, hose + more) >= heavy_manifold_psi(depth, hose)


def test_three_minutes_at_190_fsw() -> None:
    """1.4 acfm at 190 fsw for three minutes: 28.38 scf, then the way up. Source: U.S. Navy Diving Manual
    8-2.2.1, the first part of its emergency gas example (worked at the flow of a demand helmet)."""
    plant = AirPlant(reserve_minutes_at_depth=3, emergency_acfm=1.4)
    row = TableSchedule(table="9-7", way_up="no-stop", depth_fsw=190, time_min=5, ascent_s=380)
    bottom, *up = emergency_legs(plant, 190, ascent_legs(190, row), 0, 0)
    assert bottom.minutes * emergency_scfm(plant, Gear.LIGHT, bottom.mean_fsw) == pytest.approx(
        28.38, abs=0.01
    )
    assert [(leg.start_min, leg.end_min, leg.mean_fsw) for leg in up] == [(3, 10, 95)]  # 6:20, rounded up


def test_flow_of_an_emergency() -> None:
    """Free flow of 8 acfm for a demand helmet, a heavy set's own flow where larger: manual 8-2.2.2."""
    assert emergency_scfm(AirPlant(), Gear.LIGHT, 0) == 8
    assert emergency_scfm(AirPlant(), Gear.HEAVY, 33) == 16
    assert emergency_scfm(AirPlant(heavy_acfm=10), Gear.HEAVY, 0) == 10


def test_a_stop_at_altitude_is_at_the_depth_where_the_diver_is_held() -> None:
    """At 5,000 ft the 20 fsw stop is taken at 16.6 fsw (manual, altitude chapter), here in whole fsw: 17."""
    options = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, altitude_ft=5000)
    schedule = plan_exposure(60, 45, None, options).schedule
    assert [stop.held_at_fsw for stop in schedule.stops] == [16.6]
    legs = ascent_legs(60, schedule)
    assert [(leg.from_fsw, leg.to_fsw) for leg in legs] == [(60, 17), (17, 17), (17, 0)]
