"""The chamber's gas: the manual's figures by hand, the rule both ways, and a plan that keeps to it."""

from __future__ import annotations

import pytest

from planner.air.chamber import (
    decompression_scf,
    item_chamber_finding,
    needs_chamber,
    oxygen_scf,
    pressing_scf,
    ready_scf,
    ventilation_scf,
)
from planner.check import check
from planner.job import AirPlant, Job
from planner.table_sets import IN_CHAMBER, NO_STOP, ON_AIR, ON_OXYGEN
from tests.world.chamber_day import through_the_chamber, two_through_the_chamber
from tests.world.lock import NO_STOP_60, STOPS_100, job

LOCKS = AirPlant(chamber_inner_cuft=200, chamber_outer_cuft=70)
READY = 5 * 270 + 4224


def with_gas(made: Job, primary: float, secondary: float, oxygen: float | None = None) -> Job:
    """The job with this much gas for its chamber of 200 and 70 cu ft, and nothing else changed."""
    gas = {"chamber_primary_scf": primary, "chamber_secondary_scf": secondary, "chamber_oxygen_scf": oxygen}
    return made.replace(air=made.air.replace(chamber_inner_cuft=200, chamber_outer_cuft=70, **gas))


def rules(
    made: tuple[object, Job], primary: float, secondary: float, oxygen: float | None = None
) -> set[str]:
    plan, job_of = made
    return {f.rule for f in check(with_gas(job_of, primary, secondary, oxygen), plan)}  # type: ignore[arg-type]


def test_ready_for_a_treatment() -> None:
    """Both locks once to 165 fsw (5 atmospheres of their volume) and an hour of 70.4 scfm, 4,224 scf.

    Source: U.S. Navy Diving Manual (Rev 4) 22-4.1, secondary supply: 5 V(inner) + 5 V(outer) + 4,224.
    """
    assert ready_scf(LOCKS) == pytest.approx(READY) == 5574


def test_half_a_period_by_hand() -> None:
    """15 min on oxygen at 50 fsw, then 100 s to the surface (30 fsw a minute): air and oxygen of one diver.

    Ventilation 12.5 acfm for a diver on oxygen, 2 on air or with a dump: U.S. Navy Diving Manual (Rev 4)
    22-5.4.1; 0.3 acfm of oxygen by mask: the same manual, from memory.
    """
    up = 100 / 60 * 2 * (25 + 33) / 33
    assert ventilation_scf(LOCKS, 0.5) == pytest.approx(15 * 12.5 * 83 / 33 + up)
    dumped = LOCKS.replace(chamber_oxygen_dumped=True)
    assert ventilation_scf(dumped, 0.5) == pytest.approx(15 * 2 * 83 / 33 + up)
    assert oxygen_scf(LOCKS, 0.5) == pytest.approx(15 * 0.3 * 83 / 33)
    assert oxygen_scf(LOCKS.replace(chamber_mask_acfm=0.6), 0.5) == pytest.approx(15 * 0.6 * 83 / 33)


def test_a_period_has_fifteen_minutes_at_50_and_fifteen_at_40() -> None:
    """The first period: 15 min at 50 fsw, 15 at 40 with the way between them (20 s).

    Source: table 9-9, chamber periods.
    """
    move_min = 20 / 60
    by_hand = 0.3 * (15 * 83 + move_min * 78 + (15 - move_min) * 73) / 33
    assert oxygen_scf(LOCKS, 1) == pytest.approx(by_hand)


def test_two_divers_share_the_pressing() -> None:
    """The locks go to 50 fsw once for all divers of a dive; each is ventilated for."""
    assert pressing_scf(LOCKS) == pytest.approx(270 * 50 / 33)
    assert decompression_scf(LOCKS, (0.5, 0.5)) == pytest.approx(
        270 * 50 / 33 + 2 * ventilation_scf(LOCKS, 0.5)
    )
    assert decompression_scf(LOCKS, ()) == 0


ONE = decompression_scf(LOCKS, (0.5,))


@pytest.mark.parametrize(
    ("primary", "secondary", "oxygen", "broken"),
    [
        (READY + ONE + 0.01, READY + ONE + 0.01, 11.33, False),
        (READY + ONE - 0.01, READY + ONE + 0.01, 11.33, True),
        (READY + ONE + 0.01, READY + ONE - 0.01, 11.33, True),
        (READY + ONE + 0.01, READY + ONE + 0.01, 11.31, True),
        (READY + ONE + 0.01, READY + ONE + 0.01, None, False),
    ],
)
def test_one_dive_through_the_chamber(
    primary: float, secondary: float, oxygen: float | None, broken: bool
) -> None:
    """chamber-gas: primary and secondary each for the dive and an hour after, 46 CFR 197.340(a)(3), (b)(4);
    oxygen for half a period, 11.32 scf."""
    assert rules(through_the_chamber(), primary, secondary, oxygen) == ({"chamber-gas"} if broken else set())


def test_the_primary_holds_the_day_and_the_secondary_one_dive() -> None:
    """Two decompressions of a day: both of the primary, one of the secondary, both of the oxygen."""
    two = two_through_the_chamber(21)
    assert rules(two, READY + 2 * ONE + 0.01, READY + ONE + 0.01, 22.64) == set()
    assert rules(two, READY + 2 * ONE - 0.01, READY + ONE + 0.01, 22.64) == {"chamber-gas"}
    assert rules(two, READY + 2 * ONE + 0.01, READY + ONE + 0.01, 22.63) == {"chamber-gas"}


def test_what_is_not_given_convicts_nobody() -> None:
    """Without the chamber's volumes or supplies nothing is judged: a person ticks it."""
    assert check(through_the_chamber()[1], through_the_chamber()[0]) == ()


def test_an_item_is_left_out_where_even_one_dive_lacks_gas() -> None:
    """Stops and depth past the trigger ask for the ready air; a no-stop dive at 60 fsw asks for none."""
    low = with_gas(job(), READY - 1, READY)
    sill, deep = low.dive_items
    assert item_chamber_finding(low, sill, NO_STOP_60) is None
    found = item_chamber_finding(low, deep, STOPS_100)
    assert found is not None and found.rule == "chamber-gas"
    assert "5574 scf of primary air, 5573 scf are on hand" in found.sentence
    assert item_chamber_finding(with_gas(job(), READY, READY), deep, STOPS_100) is None


@pytest.mark.parametrize(("depth_fsw", "needed"), [(100, False), (101, True)])
def test_the_chamber_at_the_trigger_itself(depth_fsw: int, needed: bool) -> None:
    """29 CFR 1910.423(c)(1): deeper than 100 fsw; a dive to that very depth without stops needs none."""
    assert needs_chamber(job(), depth_fsw, NO_STOP_60) is needed


@pytest.mark.parametrize("way_up", [NO_STOP, ON_AIR, ON_OXYGEN, IN_CHAMBER])
def test_every_way_up_with_decompression_needs_the_chamber(way_up: str) -> None:
    """29 CFR 1910.423(c)(1): outside the no-stop limits, at any depth."""
    assert needs_chamber(job(), 60, NO_STOP_60.replace(way_up=way_up)) is (way_up != NO_STOP)
