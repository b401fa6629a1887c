"""The air report: hours, fuel, banks, peaks; faults of a plant."""

from __future__ import annotations

from datetime import date

import pytest

from planner.air import AirReport, air_report, reserve_flow_scfm, reserve_scf, running
from planner.air import report as reports
from planner.air import reserve as reserves
from planner.air.reserve import (
    independent_reserve,
    reserve_capacity_scfm,
    reserve_worst,
)
from planner.check import air_findings
from planner.job import AirPlant, AirRole, Site, Station
from tests.world import quay
from tests.world.lock import STOPS_100, compressor, dive, job, plan, plant, reserve

SHALLOW = dive()
DEEP = dive("2", start=660, item="Deep sill", depth=100, bottom=45, schedule=STOPS_100)


def _report(**changes: object) -> AirReport:
    return air_report(plan(SHALLOW, DEEP), job(**changes))


def test_running_hours() -> None:
    """Warm-up 15 min before the first diver on air (08:25) to the last off (12:57): 287 min."""
    run = _report().compressors[0]
    assert run.days[0].start_min == 8 * 60 + 25 - 15
    assert run.days[0].end_min == 12 * 60 + 57
    assert run.running_min == 287
    assert run.hour_meter_end == pytest.approx(940 + 287 / 60)


def test_standby_minutes_and_machines_not_on_line() -> None:
    """Standby minutes go on the meter; a machine that is not on line does not run."""
    machines = (compressor("C1").replace(standby_min=30), compressor("C2").replace(on_line=False))
    runs = _report(air=plant().replace(compressors=machines)).compressors
    assert [r.running_min for r in runs] == [317, 0]
    assert runs[1].hour_meter_end == 0


def test_service_date() -> None:
    """55.2 h left at 4.78 h a day: the meter passes 1,000 on the 12th day from there."""
    run = _report().compressors[0]
    assert run.hours_to_service == pytest.approx(1000 - 940 - 287 / 60)
    assert run.service_due_on == date(2027, 5, 16)
    assert not run.service_overdue


def test_service_within_the_plan() -> None:
    """A meter that passes the service during the plan is due that day."""
    machines = (compressor("C").replace(hours_run=998, service_at_hours=1000),)
    run = _report(air=plant().replace(compressors=machines)).compressors[0]
    assert run.service_overdue
    assert run.service_due_on == date(2027, 5, 4)


def test_a_meter_that_stops_at_the_service() -> None:
    """287 min and 13 of standby are 5 h: from 995 to 1,000 sharp; the next day's run passes the service."""
    machines = (compressor("C").replace(hours_run=995, standby_min=13, service_at_hours=1000),)
    run = _report(air=plant().replace(compressors=machines)).compressors[0]
    assert (run.hour_meter_end, run.hours_to_service) == (1000, 0)
    assert not run.service_overdue
    assert run.service_due_on == date(2027, 5, 5)


def test_fuel() -> None:
    """2 gal/h at full load all the time: 287 min; a machine that burns half unloaded burns less."""
    full = _report().compressors[0]
    assert full.fuel_gal == pytest.approx(2 * 287 / 60)
    half = compressor("C").replace(fuel_gal_per_hour=2, unloaded_fuel_part=0.5)
    run = _report(air=plant().replace(compressors=(half,))).compressors[0]
    day = run.days[0]
    assert run.fuel_gal == pytest.approx(2 * (287 * 0.5 + 272 * 0.5 * day.load) / 60)
    assert 0 < day.load < 1


def test_load_is_mean_demand_over_capacity() -> None:
    """Load: gas drawn over what the primary gives from first on to last off (272 min, 120 scfm)."""
    report = _report()
    assert report.compressors[0].days[0].load == pytest.approx(report.scf / (272 * 120))


def test_reserve_bank_is_not_drawn() -> None:
    """The reserve stays whole; told are the gas that the worst way up would take and the refill."""
    bank = _report().banks[0]
    assert bank.drawn_scf == 0
    assert bank.left_psi == 2600
    assert bank.worst_scf == pytest.approx(1726.1, abs=0.1)
    assert bank.recharge_scf == pytest.approx(400 * 8 * 1.526 / 14.7)
    assert bank.recharge_min == 28  # 332 scf at 12 scfm, rounded up
    assert bank.recharged_by == "charging compressor"


def test_primary_bank_is_drawn() -> None:
    """Banks alone: the day's gas comes out of them, and the pressure falls by scf × 14.7 / volume."""
    bank = plant().banks[0].replace(name="P", role=AirRole.PRIMARY, bottles=20)
    air = AirPlant(banks=(bank, plant().banks[0]))
    report = _report(air=air)
    first = report.banks[0]
    assert first.drawn_scf == pytest.approx(report.scf)
    assert first.left_psi == pytest.approx(2600 - report.scf * 14.7 / (20 * 1.526))
    assert first.left_scf == pytest.approx(first.usable_scf - report.scf)
    assert air_findings(job(air=air), plan(SHALLOW, DEEP)) == ()


def test_primary_banks_share_what_is_drawn() -> None:
    """Twenty bottles and ten of the same pressure: two thirds and one third of the day's gas (arithmetic)."""
    large = plant().banks[0].replace(name="P", role=AirRole.PRIMARY, bottles=20)
    banks = (large, large.replace(name="Q", bottles=10), plant().banks[0])
    report = _report(air=AirPlant(banks=banks))
    assert [b.drawn_scf for b in report.banks] == [
        pytest.approx(report.scf * 2 / 3),
        pytest.approx(report.scf / 3),
        0,
    ]
    assert report.banks[0].left_psi == pytest.approx(report.banks[1].left_psi)


def test_a_bank_gives_no_more_than_it_has() -> None:
    """One bottle cannot give the day's gas: it is empty down to what regulator and manifold keep, 220 and 92
    psi, and the load of a compressor that is too small is full load."""
    small = plant().banks[0].replace(name="P", role=AirRole.PRIMARY, bottles=1)
    machine = compressor("C", 5).replace(fuel_gal_per_hour=2, unloaded_fuel_part=0.5)
    report = _report(air=AirPlant(compressors=(machine,), banks=(small,)))
    (bank,) = report.banks
    assert bank.drawn_scf == bank.usable_scf and bank.left_scf == 0
    assert bank.left_psi == pytest.approx(220 + 92)
    (day,) = report.compressors[0].days
    assert day.load == 1
    assert day.fuel_gal == pytest.approx(2 * (287 * 0.5 + 272 * 0.5) / 60)


def test_no_charging_compressor_no_time() -> None:
    """Without a compressor that charges it, no time to recharge can be told."""
    assert _report(air=reserve(recharge_scfm=0)).banks[0].recharge_min is None


def test_peak_and_least_margin() -> None:
    """Peak: diver and standby at 100 fsw; margin against two compressors of 60 scfm."""
    report = _report()
    assert report.peak is not None and report.least_margin is not None
    assert report.peak.demand.start_min == DEEP.leave_surface_min
    assert report.peak.flow_scfm == pytest.approx(2 * 6 * 133 / 33)
    assert report.least_margin.margin_scfm == pytest.approx(120 - 2 * 6 * 133 / 33)


def test_report_of_each_dive() -> None:
    """Pressure needed against delivered, gas and peak flow, dive by dive."""
    shallow, deep = _report().dives
    assert (shallow.needed_psi, deep.needed_psi) == (pytest.approx(72), pytest.approx(92))
    assert deep.delivered_psi == 175
    assert deep.delivered_psi >= deep.needed_psi
    assert deep.reserve_scf == pytest.approx(1726.1, abs=0.1)
    assert shallow.scf + deep.scf == pytest.approx(_report().scf)


def test_report_without_plant_and_without_dives() -> None:
    """Both ends of nothing still give a report."""
    bare = air_report(plan(SHALLOW), job(air=AirPlant()))
    assert not bare.plant_given
    assert bare.scf > 0
    assert bare.least_margin is not None and bare.least_margin.capacity_scfm == 0
    idle = air_report(plan(), job())
    assert idle.peak is None and idle.reserve_worst is None
    assert idle.compressors[0].running_min == 0
    assert idle.compressors[0].service_due_on is None
    assert idle.fuel_gal == 0


def test_two_days_are_counted_apart() -> None:
    """Each working day has its own warm-up; the meter adds them."""
    site = Site(name="Lock gate", first_day=date(2027, 5, 4), days=2, time_zone="UTC")
    two = plan(SHALLOW, dive("2", start=480 + 1440))
    run = air_report(two, job(site=site)).compressors[0]
    assert [d.day for d in run.days] == [date(2027, 5, 4), date(2027, 5, 5)]
    assert [d.running_min for d in run.days] == [64, 64]
    assert run.hour_meter_end == pytest.approx(940 + 128 / 60)


def test_overdue_tests_by_day() -> None:
    """Tests that have run out on a day; the air tests of 1 February hold to 1 August."""
    report = _report()
    assert not any(t.overdue(date(2027, 8, 1)) for t in report.tests)
    assert [t.kind for t in report.tests if t.overdue(date(2027, 8, 2))] == ["air", "air"]


def test_the_spare_hose_of_a_station_dived_from_is_a_test_due() -> None:
    """Hoses are tested each year (29 CFR 1910.430(c)): the spare one too, where anyone dives beside it."""
    hose = {"spare_hose_length_ft": 300, "spare_hose_no": "S9", "spare_hose_tested_on": date(2027, 1, 4)}
    stations = (Station(name="North", **hose), Station(name="South", **hose))
    dues = {due.what: due for due in _report(stations=stations).tests}
    assert dues["spare hose S9 of North"].due_on == date(2028, 1, 4)
    assert "spare hose S9 of South" not in dues


def test_sources_are_told() -> None:
    """The formulas of the numbers stand beside them."""
    said = " ".join(_report().sources)
    assert "TM 5-4220-225-14" in said
    assert "1910.430(h)" in said
    assert "U.S. Standard Atmosphere 1976" in said


def test_reserve_constants_match_the_plan() -> None:
    """Before a plan: the same gas and flow that the plan's own worst moment asks for."""
    item = job().dive_item("Deep sill")
    worst = reserve_worst(plan(DEEP), job())
    assert worst is not None
    assert reserve_scf(job(), item, STOPS_100) == pytest.approx(worst.scf)
    assert reserve_flow_scfm(job(), item) == pytest.approx(worst.scfm)
    assert worst.at_min == DEEP.leave_bottom_min


def test_reserve_of_two_stations_at_once() -> None:
    """Two dives in the water need both ways up from one reserve."""
    other = dive("3", start=665, item="Deep sill", depth=100, bottom=45, schedule=STOPS_100, station="South")
    one, both = reserve_worst(plan(DEEP), job()), reserve_worst(plan(DEEP, other), job())
    assert one is not None and both is not None
    assert both.scf == pytest.approx(2 * one.scf)
    assert both.dives == ("2", "3")


def test_reserve_compressor_leaves_less_to_the_bank() -> None:
    """What a reserve compressor carries does not come out of the bank."""
    spare = compressor("R", 20, role=AirRole.RESERVE)
    with_spare = job(air=plant().replace(compressors=(*plant().compressors, spare)))
    need = reserve_worst(plan(DEEP), with_spare)
    assert need is not None
    assert reserve_capacity_scfm(with_spare, need.manifold_psi) == 20
    assert need.stored_scf < need.scf
    legs = ((10, 133), (3, 93), (36, 53), (1, 43))
    assert need.stored_scf == pytest.approx(sum(m * (2 * 8 * depth / 33 - 20) for m, depth in legs))


def test_independent_reserve_drops_shared_sources() -> None:
    """Only sources that share nothing with the primary stay."""
    assert independent_reserve(plant()).banks == plant().banks
    assert independent_reserve(reserve(relies_on="ENGINE 1 ")).banks == ()


def test_a_test_says_what_it_is_of() -> None:
    """Air is taken from a machine, a hose is tested itself."""
    air, hose = (running.TestDue(kind, "Compressor 1", None, None, "x") for kind in ("air", "hose"))
    assert (air.of, hose.of) == ("the air of Compressor 1", "the Compressor 1")


def test_on_the_way_up_only_what_is_left_of_it_counts() -> None:
    """Ten minutes into the stop of 36 min at 20 fsw (worked example 14): no leg that lies behind, and the
    rest of the way up to the surface."""
    at_min = DEEP.leave_bottom_min + 13
    legs = reserves._to_surface(DEEP, at_min, plant())
    assert (legs[0].start_min, legs[0].from_fsw) == (at_min, 20)
    assert all(leg.end_min > leg.start_min for leg in legs)
    assert sum(leg.end_min - leg.start_min for leg in legs) == DEEP.reach_surface_min - at_min


def test_the_outfits_of_a_dive_are_those_of_its_own_divers_and_standbys() -> None:
    """Dive 1 of the day by hand: Ana in H1, Dan stands by in H2; the light outfits are dive 2's."""
    by_hand = quay.a_plan()
    assert reports.outfits_worn(by_hand.dives[0], by_hand) == ("H1", "H2")
