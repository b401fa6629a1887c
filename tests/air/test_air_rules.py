"""Each air rule: one plan that keeps it, one that breaks it."""

from __future__ import annotations

from datetime import date

import pytest

from planner.air import air_report, air_to_tick
from planner.air.demand import DemandStep
from planner.air.running import (
    hose_test,
    months_later,
    plant_tests,
)
from planner.air.supply import ATMOSPHERE_PSI, supply_steps
from planner.check import RULES
from planner.check.air import AIR_CHECKS, air_findings
from planner.job import AirPlant, AirRole, Bank, Job, VolumeTank
from planner.job.duties import STANDBY
from planner.plan.unchecked import NO_PLANT
from planner.sheets.sources import to_tick
from tests.world.lock import STOPS_100, compressor, dive, job, outfit, plan, plant, reserve

SHALLOW = dive()
DEEP = dive("2", start=660, item="Deep sill", depth=100, bottom=45, schedule=STOPS_100)


def _broken(job_of: Job, *dives: object) -> list[str]:
    return [b.rule for b in air_findings(job_of, plan(*(dives or (SHALLOW, DEEP))))]  # type: ignore[arg-type]


def test_the_good_plant_breaks_nothing() -> None:
    """Two compressors, tests in date, an independent bank: no breach and nothing to tick."""
    assert air_findings(job(), plan(SHALLOW, DEEP)) == ()
    assert air_to_tick(plan(SHALLOW, DEEP), job()) == ()


def test_primary_flow() -> None:
    """Diver and standby at 100 fsw need 2 × 24.2 scfm (6 acfm): 50 scfm carry it, 45 do not.

    Source: 29 CFR 1910.425(c)(3); flow formula of the U.S. Navy Diving Manual.
    """
    enough = plant().replace(compressors=(compressor("C", 50),), tanks=())
    short = plant().replace(compressors=(compressor("C", 45),), tanks=())
    assert "air-primary-flow" not in _broken(job(air=enough))
    found = [b for b in air_findings(job(air=short), plan(SHALLOW, DEEP)) if b.rule == "air-primary-flow"]
    assert [b.where for b in found] == ["2"]
    assert "48.4 scfm" in found[0].sentence
    assert "45.0 scfm" in found[0].sentence
    assert "425(c)(3)" in RULES[found[0].rule].source


def test_two_stations_need_air_for_both() -> None:
    """Two dives of 60 fsw at once need 4 × 16.9 scfm; air for one is not air for both."""
    plant_of = plant().replace(compressors=(compressor("C", 60),), tanks=())
    other = dive("2", station="South", divers=(("Cy", "H1"),))
    later = dive("2", start=700)
    assert "air-primary-flow" not in _broken(job(air=plant_of), SHALLOW, later)
    assert _broken(job(air=plant_of), SHALLOW, other).count("air-primary-flow") == 2


def test_tank_carries_a_short_peak_and_bank_a_long_one() -> None:
    """A tank of 20 cu ft cannot carry 3.4 scfm for 48 min at 100 fsw, a primary bank can."""
    lacking = plant().replace(compressors=(compressor("C", 45),))
    assert "air-primary-flow" in _broken(job(air=lacking))
    big = lacking.replace(tanks=(VolumeTank(name="T", volume_cuft=60, pressure_psi=175),))
    assert "air-primary-flow" not in _broken(job(air=big))
    bank = plant().banks[0].replace(name="B2", role=AirRole.PRIMARY)
    banked = lacking.replace(tanks=(), banks=(*plant().banks, bank))
    assert "air-primary-flow" not in _broken(job(air=banked))


def filled_again(of: str, scfm: float) -> AirPlant:
    """A compressor, and a tank or a bank of 100 scf over 100 psi that is filled at the same flow."""
    cuft = 100 * ATMOSPHERE_PSI / 50
    if of == "tank":
        tank = VolumeTank(name="T", volume_cuft=cuft, pressure_psi=150)
        return AirPlant(compressors=(compressor("C", scfm),), tanks=(tank,))
    bank = Bank(
        name="B",
        role=AirRole.PRIMARY,
        bottles=1,
        floodable_cuft_each=cuft,
        pressure_psi=150,
        working_pressure_psi=150,
        regulator_min_psi=0,
        recharge_scfm=scfm,
    )
    return AirPlant(compressors=(compressor("C", scfm),), banks=(bank,))


@pytest.mark.parametrize("of", ["tank", "bank"])
def test_what_is_filled_again_holds_no_more_than_it_did(of: str) -> None:
    """A source of 100 scf over the manifold is drawn empty, then filled for hours with far more than that: of
    the 200 scf that the next dive takes beyond the compressor's 10 scfm, 100 are short (arithmetic)."""
    psi, air = 100.0, filled_again(of, 10)
    steps = (
        DemandStep(0, 20, 15, 0, 0, 0, psi),
        # on line with nobody on air for a while, then a gap
        DemandStep(20, 80, 0, 0, 0, 0, psi),
        DemandStep(600, 620, 20, 0, 0, 0, psi),
    )
    first, _, last = supply_steps(steps, job(air=air), required=True)
    drawn = [s.from_tank_scf if of == "tank" else s.from_bank_scf for s in (first, last)]
    assert drawn == [pytest.approx(100), pytest.approx(100)]
    assert first.short_scf == pytest.approx(0)
    assert last.short_scf == pytest.approx(100)


@pytest.mark.parametrize("of", ["tank", "bank"])
def test_what_is_filled_again_gets_what_flows_into_it(of: str) -> None:
    """Of 100 scf 70 are drawn; ten minutes with nobody on air at 5 scfm bring 50 back, so 80 of the 100 that
    the next dive takes beyond the compressor's 5 scfm are there and 20 are short (arithmetic)."""
    psi, air = 100.0, filled_again(of, 5)
    steps = (DemandStep(0, 7, 15, 0, 0, 0, psi), DemandStep(17, 27, 15, 0, 0, 0, psi))
    found = supply_steps(steps, job(air=air), required=True)
    assert [s.from_tank_scf if of == "tank" else s.from_bank_scf for s in found] == [
        pytest.approx(70),
        pytest.approx(80),
    ]
    assert [s.short_scf for s in found] == [pytest.approx(0), pytest.approx(20)]


def test_air_short_once_the_diver_is_up_is_told_of_his_dive() -> None:
    """A bank alone carries 12 scfm at the surface for 5 min before and 2 after, 33.8 at 60 fsw for bottom
    time and way up (6 acfm each for diver and standby). With 12 scf too little for 40 min it runs out while
    the second diver is up and his helmet still closed: his dive is told, not the shorter ones before and
    after it, for which it is charged again; the third begins to dress as the second's air goes off."""
    scf = 5 * 12 + 42 * 2 * 6 * 93 / 33 + 2 * 12 - 12
    cuft, least = 14.0, 220 + 72  # regulator minimum and manifold
    bank = Bank(
        name="B2",
        role=AirRole.PRIMARY,
        bottles=1,
        floodable_cuft_each=cuft,
        pressure_psi=least + scf * ATMOSPHERE_PSI / cuft,
        working_pressure_psi=3000,
        regulator_min_psi=220,
        recharge_scfm=100,
    )
    short = [dive(str(n), start=start, bottom=30) for n, start in ((1, 400), (3, 674), (4, 900))]
    dives = (*short, dive("2", start=600))
    air = plant().replace(compressors=(), tanks=(), banks=(*plant().banks, bank))
    found = [b for b in air_findings(job(air=air), plan(*dives)) if b.rule == "air-primary-flow"]
    assert [b.where for b in found] == ["2"]
    assert "At Tue 11:12 divers, standby and tools need 12.0 scfm" in found[0].sentence


def test_primary_pressure() -> None:
    """100 fsw with 300 ft of hose needs 92 psi at the manifold (TM 5-4220-225-14): 91 is too little."""
    weak = plant().replace(compressors=(compressor("C", 200, 91),))
    just = plant().replace(compressors=(compressor("C", 200, 92),))
    assert "air-primary-pressure" not in _broken(job(air=just))
    found = [b for b in air_findings(job(air=weak), plan(SHALLOW, DEEP)) if b.rule == "air-primary-pressure"]
    assert [b.where for b in found] == ["2"]
    assert "92 psi" in found[0].sentence
    assert "91 psi" in found[0].sentence


def test_hose_never_works_above_its_marking() -> None:
    """A hose marked for 90 psi is not used at 92; one marked for 50 that nobody wears does no harm."""
    idle = outfit("H3", "13", hose_working_psi=50)
    marked = job(
        outfits=(outfit("H1", "11", hose_working_psi=90), outfit("H2", "12", hose_working_psi=100), idle)
    )
    found = [b for b in air_findings(marked, plan(DEEP)) if b.rule == "air-primary-pressure"]
    assert len(found) == 1
    assert "outfit H1 works at 90 psi" in found[0].sentence


def test_reserve() -> None:
    """10 min at 100 fsw, then the way up with 36 min at 20 fsw, diver and standby, by hand: 1,726 scf.

    Mean depth of each leg, minutes rounded up: U.S. Navy Diving Manual 8-2.2.1; free flow of 8 acfm: 8-2.2.2;
    on line: 29 CFR 1910.425(c)(4).
    """
    by_hand = 2 * 8 * (10 * 133 / 33 + 3 * (60 + 33) / 33 + 36 * (20 + 33) / 33 + 1 * (10 + 33) / 33)
    assert by_hand == pytest.approx(1726.1, abs=0.1)
    assert "air-reserve" not in _broken(job())
    found = air_findings(job(air=reserve(pressure_psi=1600)), plan(DEEP))
    assert [b.rule for b in found] == ["air-reserve"]
    assert "1726 scf for 10 min at depth and the way up" in found[0].sentence
    assert "Tue 12:15" in found[0].sentence  # leave bottom: the worst moment


def test_no_reserve_or_one_that_is_not_on_line() -> None:
    """A bank that is not on line is no reserve, and neither is none."""
    for air in (reserve(on_line=False), plant().replace(banks=())):
        found = air_findings(job(air=air), plan(SHALLOW))
        assert [b.rule for b in found] == ["air-reserve"]
        assert "No reserve is on line." in found[0].sentence


def test_reserve_compressor_must_carry_the_flow_and_the_pressure() -> None:
    """2 × 8 acfm at 100 fsw are 64.5 scfm: a reserve compressor of 65 scfm and 92 psi carries both, 64 scfm
    or 91 psi do not."""

    def with_reserve(scfm: float, psi: float) -> Job:
        spare = compressor("R", scfm, psi, AirRole.RESERVE)
        return job(air=plant().replace(banks=(), compressors=(*plant().compressors, spare)))

    assert "air-reserve" not in _broken(with_reserve(65, 92), DEEP)
    assert "air-reserve" in _broken(with_reserve(64, 92), DEEP)
    assert "air-reserve" in _broken(with_reserve(65, 91), DEEP)


def test_reserve_is_independent() -> None:
    """A bank on the engine that also drives the primary fails with it: on line and independent,
    29 CFR 1910.425(c)(4)."""
    shared = job(air=reserve(relies_on="Engine 2, hand wheel"))
    assert _broken(job(air=reserve(relies_on="hand wheel"))) == []
    found = air_findings(shared, plan(DEEP))
    assert [b.rule for b in found] == ["air-reserve-independent"]
    assert "B1 relies on engine 2" in found[0].sentence


def test_second_reserve_makes_up_for_a_shared_one() -> None:
    """Where the independent part alone is enough, a shared source beside it does no harm."""
    banks = (
        plant().banks[0].replace(relies_on="engine 1"),
        plant().banks[0].replace(name="B2", relies_on=""),
    )
    assert _broken(job(air=plant().replace(banks=banks))) == []


@pytest.mark.parametrize(
    ("tested", "broken"), [(date(2026, 11, 4), False), (date(2026, 11, 3), True), (date(2025, 1, 1), True)]
)
def test_air_test(tested: date, broken: bool) -> None:
    """Compressor air is tested every 6 months: 29 CFR 1910.430(b)(4). The dive is on 4 May 2027."""
    machines = tuple(c.replace(air_tested_on=tested) for c in plant().compressors)
    assert ("air-test-due" in _broken(job(air=plant().replace(compressors=machines)))) is broken


@pytest.mark.parametrize(("tested", "broken"), [(date(2026, 5, 4), False), (date(2026, 5, 3), True)])
def test_hose_test(tested: date, broken: bool) -> None:
    """Hoses are tested yearly: 29 CFR 1910.430(c)(1)(iii)."""
    outfits = (outfit("H1", "11", hose_tested_on=tested), outfit("H2", "12"))
    assert ("hose-test-due" in _broken(job(outfits=outfits), SHALLOW)) is broken


def test_a_hose_that_nobody_uses_may_be_out_of_date() -> None:
    """Only hoses in the plan count."""
    idle = outfit("H3", "13", hose_tested_on=date(2020, 1, 1))
    assert _broken(job(outfits=(*job().outfits, idle))) == []


@pytest.mark.parametrize(("tested_to", "broken"), [(300, False), (299, True)])
def test_hose_test_pressure(tested_to: float, broken: bool) -> None:
    """A hose of 200 psi is tested to 1.5 times that: 29 CFR 1910.430(c)(1)(iii)."""
    outfits = (outfit("H1", "11", hose_working_psi=200, hose_test_psi=tested_to), outfit("H2", "12"))
    assert ("hose-test-due" in _broken(job(outfits=outfits), SHALLOW)) is broken


@pytest.mark.parametrize(("tested", "broken"), [(date(2026, 11, 4), False), (date(2026, 11, 3), True)])
def test_gauge_test(tested: date, broken: bool) -> None:
    """Depth gauges are tested every 6 months: 29 CFR 1910.430(g)."""
    assert ("gauge-test-due" in _broken(job(air=plant().replace(gauges_tested_on=tested)))) is broken


def test_a_missing_date_is_a_question_not_a_finding() -> None:
    """What is not known goes on the list for a person to tick."""
    untold = plant().replace(
        gauges_tested_on=None, compressors=tuple(c.replace(air_tested_on=None) for c in plant().compressors)
    )
    outfits = (outfit("H1", "11", hose_tested_on=None, umbilical_length_ft=0), outfit("H2", "12"))
    told = job(air=untold, outfits=outfits)
    assert air_findings(told, plan(SHALLOW)) == ()
    asks = air_to_tick(plan(SHALLOW), told)
    assert len(asks) == 5
    assert any("compressor C1" in a for a in asks)
    assert any("depth gauges" in a for a in asks)
    assert sum("H1" in a for a in asks) == 2


def test_no_plant_is_asked_once() -> None:
    """Without any compressor or bank nothing is convicted; one question stands on the list."""
    bare = job(air=AirPlant())
    assert air_findings(bare, plan(SHALLOW, DEEP)) == ()
    assert air_to_tick(plan(SHALLOW, DEEP), bare) == (NO_PLANT,)
    asks = to_tick(bare, air_report(plan(SHALLOW, DEEP), bare))
    assert [ask for ask in asks if "air" in ask.casefold() and "plant" in ask] == [NO_PLANT]


def test_chamber_gas_that_is_not_given_is_for_a_person_to_tick() -> None:
    """A dive with stops needs the chamber's air, one through it its oxygen too; one without stops neither."""
    untold = {"chamber_primary_scf": None, "chamber_oxygen_scf": None}
    without = job(air=plant().replace(**untold))
    only_oxygen = job(air=plant().replace(chamber_oxygen_scf=None))
    schedule = STOPS_100.replace(stops=(), chamber_periods=1.0, ascent_s=2300, time_to_first_stop_s=200)
    sur_d = dive("2", start=660, item="Deep sill", depth=100, bottom=45, schedule=schedule)
    assert air_to_tick(plan(SHALLOW), without) == ()
    for made, one, gas in (
        (without, DEEP, "Air for the chamber is"),
        (without, sur_d, "Air and oxygen for the chamber are"),
        (only_oxygen, sur_d, "Oxygen for the chamber is"),
    ):
        assert air_to_tick(plan(one), made) == (f"{gas} not counted in the air plan.",)
    assert air_to_tick(plan(DEEP, sur_d), job()) == ()


def test_no_dives_nothing_said() -> None:
    """A plan without dives has no air to check."""
    assert air_findings(job(air=AirPlant()), plan()) == ()
    assert air_to_tick(plan(), job(air=AirPlant())) == ()


def test_every_rule_has_a_case_here() -> None:
    """Seven rules of the plant, and the chamber's gas (tests/check/test_chamber_gas.py)."""
    assert {rule.id for one in AIR_CHECKS for rule in one.rules} == {
        "air-primary-flow",
        "air-primary-pressure",
        "air-reserve",
        "air-reserve-independent",
        "chamber-gas",
        "air-test-due",
        "hose-test-due",
        "gauge-test-due",
    }


def test_months_end() -> None:
    """Six months after 31 August is the last day of February."""
    assert months_later(date(2026, 8, 31), 6) == date(2027, 2, 28)
    assert months_later(date(2027, 8, 31), 6) == date(2028, 2, 29)


def test_off_line_compressors_need_no_air_test() -> None:
    """A compressor that is not on line does not deliver breathing air."""
    off = compressor("C").replace(on_line=False)
    assert [t.kind for t in plant_tests(AirPlant(compressors=(off,)))] == ["gauges"]


def test_hose_is_named_by_its_number() -> None:
    """A hose with a number of its own is told by it."""
    assert hose_test(outfit("H1", "11", hose_no="K4")).what == "hose K4 of outfit H1"


def test_a_tiny_bank_is_no_reserve() -> None:
    """Two people at 60 fsw, 10 min there and 2 min up: 2 × 8 × (10 × 93 + 2 × 63)/33 = 512 scf, not 45.

    Minutes at depth, then the way up at mean depth: U.S. Navy Diving Manual 8-2.2.1; free flow: 8-2.2.2.
    """
    by_hand = 2 * 8 * (10 * 93 + 2 * 63) / 33
    needed_psi = by_hand * 14.7 / (8 * 1.526) + 220 + 72  # regulator minimum and manifold on top
    assert "air-reserve" not in _broken(job(air=reserve(pressure_psi=needed_psi + 0.1)), SHALLOW)
    for psi in (needed_psi - 0.1, 292 + 45 * 14.7 / (8 * 1.526)):
        found = air_findings(job(air=reserve(pressure_psi=psi)), plan(SHALLOW))
        assert [b.rule for b in found] == ["air-reserve"]
        assert "512 scf" in found[0].sentence


@pytest.mark.parametrize(("minutes", "acfm", "scf"), [(0, 8, 61), (3, 8, 196), (10, 8, 512), (10, 6, 384)])
def test_minutes_at_depth_and_flow_are_the_job_s_own(minutes: int, acfm: float, scf: int) -> None:
    """Minutes at depth and the flow of an emergency are read from the plant; heavy dress never goes under its
    own 6 acfm. By hand: 2 × flow × (minutes × 93 + 2 × 63)/33."""
    empty = reserve(pressure_psi=300).replace(reserve_minutes_at_depth=minutes, emergency_acfm=acfm)
    (found,) = air_findings(job(air=empty), plan(SHALLOW))
    assert f" {scf} scf for" in found.sentence
    less = air_findings(job(air=empty.replace(emergency_acfm=1.4)), plan(SHALLOW))[0].sentence
    assert f" {2 * 6 * (minutes * 93 + 2 * 63) / 33:.0f} scf for" in less


def test_every_standby_is_carried() -> None:
    """A second standby posted for the dive breathes from the reserve too: 29 CFR 1910.425(c)(4)."""
    posted = plan(SHALLOW)
    first = next(s for s in posted.duties if s.duty == STANDBY)
    two = posted.replace(duties=(*posted.duties, first.replace(person="Di", outfit=None)))
    short = job(air=reserve(pressure_psi=300))
    assert "512 scf" in air_findings(short, posted)[0].sentence
    assert "768 scf" in air_findings(short, two)[0].sentence
