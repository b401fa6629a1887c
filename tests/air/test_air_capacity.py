"""What compressors, tanks and banks deliver."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.air.supply import (
    bank_scf,
    compressor_scfm,
    delivered_psi,
    density_ratio,
    pressure_ratio,
    primary_capacity_scfm,
    primary_tank_scf,
    stored_scf,
    tank_scf,
)
from planner.job import AirPlant, AirRole, Bank, Compressor, VolumeTank
from tests.world.lock import compressor, job, plant


def test_twin_cylinders() -> None:
    """0.399 × 2 × (2800 − 250)/14.7 = 138.4 scf. Source: gas volume formula, U.S. Navy Diving Manual."""
    assert stored_scf(0.399, 2, 2800, 250) == pytest.approx(138.4, abs=0.05)


def test_bank_keeps_back_regulator_and_manifold() -> None:
    """P_min = regulator minimum + manifold pressure. Source: U.S. Navy Diving Manual, gas volume formula."""
    bank = Bank(
        name="B",
        bottles=2,
        floodable_cuft_each=0.399,
        pressure_psi=2800,
        working_pressure_psi=3000,
        regulator_min_psi=150,
    )
    assert bank_scf(bank, 100) == pytest.approx(138.4, abs=0.05)
    assert bank_scf(bank.replace(on_line=False), 100) == 0
    assert bank_scf(bank.replace(pressure_psi=200), 100) == 0


def test_standard_atmosphere_at_5000_ft() -> None:
    """843 mb at 5,000 ft against 1,013 at sea level. Source: U.S. Navy Diving Manual, altitude chapter."""
    assert pressure_ratio(5000) == pytest.approx(843 / 1013, abs=0.0005)
    assert pressure_ratio(0) == 1


def test_density_by_absolute_temperature() -> None:
    """Ideal gas: 100 °F against a rating at 68 °F is 527.67/559.67 of the density; cold is never a gain."""
    assert density_ratio(0, 100, 68) == pytest.approx(527.67 / 559.67)
    assert density_ratio(0, 20, 68) == 1
    assert density_ratio(0, None, 68) == 1


def test_measured_here_is_not_derated_again() -> None:
    """A delivery measured at the site already has altitude and temperature in it; the load factor stays."""
    rated = Compressor(name="C", delivered_scfm=100, discharge_psi=175, load_factor=0.8)
    assert compressor_scfm(rated, 5000, None) == pytest.approx(100 * 0.8 * 843 / 1013, abs=0.05)
    assert compressor_scfm(rated.replace(measured_here=True), 5000, 110) == pytest.approx(80)


def test_only_primary_on_line_and_strong_enough_counts() -> None:
    """Compressors work in parallel when they are primary, on line, and reach the manifold pressure."""
    weak = compressor("weak", psi=100)
    off = compressor("off").replace(on_line=False)
    reserve = compressor("reserve", role=AirRole.RESERVE)
    job_of = job(air=AirPlant(compressors=(compressor("C1"), compressor("C2"), weak, off, reserve)))
    assert primary_capacity_scfm(job_of, 90) == 180
    assert primary_capacity_scfm(job_of, 104) == 120
    assert primary_capacity_scfm(job_of, 200) == 0
    assert delivered_psi(job_of, AirRole.PRIMARY) == 175


def test_tank_keeps_back_the_manifold_pressure() -> None:
    """A tank of 20 cu ft at 175 psi above a manifold of 92 psi holds 20 × 83/14.7 scf."""
    tank = VolumeTank(name="T", volume_cuft=20, pressure_psi=175)
    assert tank_scf(tank, 92) == pytest.approx(20 * 83 / 14.7)
    assert tank_scf(tank.replace(least_psi=20), 92) == pytest.approx(20 * 63 / 14.7)
    assert tank_scf(tank.replace(on_line=False), 92) == 0
    assert primary_tank_scf(job(), 92) == pytest.approx(20 * 83 / 14.7)


def test_negative_volumes_are_refused() -> None:
    """Negative volumes and pressures never get into a job, nor into the formula."""
    with pytest.raises(ValidationError):
        VolumeTank(name="T", volume_cuft=-20, pressure_psi=175)
    with pytest.raises(ValidationError):
        Bank(name="B", bottles=1, floodable_cuft_each=-1, pressure_psi=1, working_pressure_psi=1)
    with pytest.raises(ValidationError):
        Compressor(name="C", delivered_scfm=-1, discharge_psi=175)
    with pytest.raises(ValueError, match="negative"):
        stored_scf(-1, 2, 2800, 250)


def test_a_bank_holds_its_pressure_less_the_regulator() -> None:
    """A primary bank delivers what is left over its regulator's minimum."""
    bank = plant().banks[0].replace(role=AirRole.PRIMARY)
    assert delivered_psi(job(air=AirPlant(banks=(bank,))), AirRole.PRIMARY) == 2600 - 220
    assert delivered_psi(job(air=AirPlant()), AirRole.PRIMARY) == 0


_COMPRESSORS = st.lists(
    st.builds(
        Compressor,
        name=st.just("C"),
        role=st.sampled_from(list(AirRole)),
        delivered_scfm=st.floats(0.1, 500),
        discharge_psi=st.floats(1, 500),
        on_line=st.booleans(),
        load_factor=st.floats(0.1, 1),
    ),
    max_size=4,
)


@given(_COMPRESSORS, _COMPRESSORS, st.floats(0, 400))
def test_more_compressors_never_give_less(few: list[Compressor], more: list[Compressor], psi: float) -> None:
    """Adding compressors never lowers the capacity at any pressure."""
    before = primary_capacity_scfm(job(air=AirPlant(compressors=tuple(few))), psi)
    after = primary_capacity_scfm(job(air=AirPlant(compressors=(*few, *more))), psi)
    assert after >= before - 1e-9


@given(_COMPRESSORS, st.floats(0, 400), st.floats(0, 100))
def test_more_pressure_never_gives_more(machines: list[Compressor], psi: float, more: float) -> None:
    """A higher manifold pressure never raises the capacity."""
    plant_of = job(air=AirPlant(compressors=tuple(machines)))
    assert primary_capacity_scfm(plant_of, psi + more) <= primary_capacity_scfm(plant_of, psi)


@given(st.integers(0, 10_000), st.integers(1, 2000), st.floats(-20, 130), st.floats(0, 10))
def test_higher_or_warmer_never_gives_more(altitude: int, up: int, temp: float, warmer: float) -> None:
    """Thin or warm air never raises a delivery."""
    here = density_ratio(altitude, temp, 68)
    assert density_ratio(altitude + up, temp, 68) < here
    assert density_ratio(altitude, temp + warmer, 68) <= here
