"""Air and gear exactly at what is asked, and a little to either side."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from planner.air import air_report, item_air_finding
from planner.air.flow import PSI_PER_FSW, ascent_legs, demand_manifold_psi
from planner.air.running import months_later
from planner.air.station_gear import HOSE_TEST_MONTHS, spare_hose_needed_ft, station_lacks
from planner.job import Station
from planner.tables import Stop
from tests.world.lock import DEEP_SILL, STOPS_100, compressor, dive, item, job, plan, plant, reserve

DIVED = date(2027, 5, 4)


def _station(**facts: object) -> Station:
    has = {"in_water_stage": True, "spare_hose_length_ft": 100, "spare_hose_tested_on": DIVED}
    return Station(name="North", **{**has, **facts})


@pytest.mark.parametrize(
    ("depth_fsw", "over_psi"),
    [(60, 90), (61, 135), (130, 135), (131, 165), (190, 165), (191, 165), (220, 165)],
)
def test_pressure_over_the_bottom_by_depth(depth_fsw: int, over_psi: int) -> None:
    """90 psi to 60 fsw, 135 to 130, 165 to 190 (the rows are quoted in `planner.air.flow`); past the last row
    the last one's."""
    assert demand_manifold_psi(depth_fsw) == pytest.approx(PSI_PER_FSW * depth_fsw + over_psi)


@pytest.mark.parametrize(("length_ft", "lacks"), [(100, False), (99, True), (101, False)])
def test_a_spare_hose_reaches_down_and_out(length_ft: int, lacks: bool) -> None:
    """60 fsw down and 40 ft out are 100 ft of hose: that much is enough, a foot less is not."""
    assert spare_hose_needed_ft(item(), 60) == 100
    told = station_lacks(_station(spare_hose_length_ft=length_ft), item(), 60, DIVED)
    assert (told is not None) == lacks
    if told is not None:
        assert f"a spare hose of {length_ft} ft, 100 needed" in told


@pytest.mark.parametrize(
    ("tested", "last_day", "lacks"),
    [
        (date(2026, 5, 4), None, False),
        (date(2026, 5, 3), None, True),
        (date(2026, 5, 4), date(2027, 5, 5), True),
        (date(2026, 5, 5), date(2027, 5, 5), False),
        (DIVED, None, False),
        (date(2027, 5, 5), None, True),
        (None, None, True),
    ],
)
def test_a_spare_hose_is_tested_within_the_year(
    tested: date | None, last_day: date | None, lacks: bool
) -> None:
    """On the day a year after its test it is still in date, on the next not, nor before its test; a dive over
    midnight is held to the day on which it ends."""
    assert months_later(date(2026, 5, 4), HOSE_TEST_MONTHS) == DIVED
    assert (
        station_lacks(_station(spare_hose_tested_on=tested), item(), 60, DIVED, last_day) is not None
    ) == lacks


def test_what_a_station_lacks_is_told_together() -> None:
    """No stage, no hose: both; a hose without a day of its test: that."""
    told = station_lacks(_station(in_water_stage=False, spare_hose_length_ft=0), item(), 60, DIVED)
    assert told == "no in-water stage; no spare hose"
    assert (
        station_lacks(_station(spare_hose_tested_on=None), item(), 60, DIVED)
        == "no day of the spare hose's test"
    )


@pytest.mark.parametrize(
    ("bottles", "cuft", "psi", "whole"),
    [(8, 1.526, 2600, True), (1, 0.004, 2600, True), (8, 1.526, 60, False)],
)
def test_a_bank_of_little_carries_the_way_up_and_an_empty_one_nothing(
    bottles: int, cuft: float, psi: float, whole: bool
) -> None:
    """The worst way up is all drawn from the one bank of the reserve, of however little; from one whose
    pressure is under what the manifold holds, nothing is."""
    plant = reserve(bottles=bottles, floodable_cuft_each=cuft, pressure_psi=psi)
    report = air_report(plan(dive()), job(air=plant))
    [bank] = report.banks
    assert report.reserve_worst is not None
    assert report.reserve_worst.stored_scf > 0
    assert bank.worst_scf == (report.reserve_worst.stored_scf if whole else 0)


def test_service_is_due_when_days_like_these_have_run_the_meter_up() -> None:
    """Two days of dives, unlike in length: day after day of their mean, the meter passes the service hours on
    the day told. The days are counted here one by one."""
    days = job(site=job().site.replace(days=2))
    report = air_report(plan(dive(), dive("2", start=480 + 1440, bottom=30)), days)
    run = report.compressors[0]
    assert len(run.days) == 2
    meter, day = run.days[-1].hour_meter_end, run.days[-1].day
    a_day = (meter - 940) / 2
    while meter <= 1000:
        meter, day = meter + a_day, day + timedelta(days=1)
    assert run.service_due_on == day


@pytest.mark.parametrize("minutes_in_hand", [-1, 1])
def test_service_falls_on_the_day_on_which_the_meter_passes_it(minutes_in_hand: int) -> None:
    """A long day and a short one: a service a minute of running before the long day ends is due on it, a
    minute after that on the short one, whatever their mean."""
    days, own = job(site=job().site.replace(days=2)), plan(dive(), dive("2", start=480 + 1440, bottom=5))
    first, second = air_report(own, days).compressors[0].days
    service = first.hour_meter_end + minutes_in_hand / 60
    used = plant().compressors[0].replace(service_at_hours=service)
    again = days.replace(air=plant().replace(compressors=(used, *plant().compressors[1:])))
    due = air_report(own, again).compressors[0].service_due_on
    assert due == (first.day if minutes_in_hand < 0 else second.day)


@pytest.mark.parametrize("seconds", [1, 59, 60, 61, 119, 120, 121, 180, 181])
def test_the_way_to_the_first_stop_is_rounded_up_to_the_minute(seconds: int) -> None:
    """61 s are two minutes on air: never less than the way takes."""
    legs = ascent_legs(100, STOPS_100.replace(time_to_first_stop_s=seconds))
    assert (legs[0].minutes, legs[0].from_fsw, legs[0].to_fsw) == (-(-seconds // 60), 100, 20)


def test_a_stop_of_no_minutes_is_passed_by() -> None:
    """Of stops of 0 min at 40 fsw and 5 min at 30 the way up goes to 30 in one, and stays there; the diver
    leaves the water from the last."""
    stops = (Stop(depth_fsw=40, minutes=0), Stop(depth_fsw=30, minutes=5))
    schedule = STOPS_100.replace(stops=stops, time_to_first_stop_s=120, ascent_s=480)
    legs = ascent_legs(100, schedule)
    assert [(leg.minutes, leg.from_fsw, leg.to_fsw) for leg in legs] == [
        (2, 100, 30),
        (5, 30, 30),
        (1, 30, 0),
    ]
    assert schedule.leaves_water_fsw == 30


@pytest.mark.parametrize(
    ("scfm", "tank", "short"), [(45, False, True), (45, True, False), (60, False, False)]
)
def test_a_primary_short_of_flow_needs_something_stored(scfm: float, tank: bool, short: bool) -> None:
    """Diver and standby at 100 fsw ask for 48.4 scfm (two of 24.2, as in `test_air_rules.py`): 45 do with a
    tank beside, for as long as the plan's own check finds; without one they are told."""
    tanks = plant().tanks if tank else ()
    air = plant().replace(compressors=(compressor("C", scfm, relies_on="engine 1"),), tanks=tanks)
    deep = job(air=air).dive_item(DEEP_SILL)
    found = item_air_finding(job(air=air), deep, STOPS_100)
    assert (found is not None and found.rule == "air-primary-flow") == short
