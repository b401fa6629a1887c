"""The model's limits on air are never wider than the check: what they let into the water holds in a plan."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.air import item_air_finding
from planner.check.air import air_findings
from planner.job import AirPlant, AirRole, Station
from planner.schedule.problem.air_limits import air_limits
from planner.tables import Mode
from tests.world.lock import NO_STOP_60, STOPS_100, compressor, dive, job, plan, plant

_SCHEDULES = {"Gate sill": NO_STOP_60, "Deep sill": STOPS_100}
_DEPTHS = {"Gate sill": 60, "Deep sill": 100}


def _mode(name: str) -> Mode:
    row = _SCHEDULES[name]
    return Mode(None, "H", row.time_min, -(-row.ascent_s // 60), row.way_up, row, 0, row.time_min)


@given(
    st.sampled_from(["Gate sill", "Deep sill"]),
    st.sampled_from(["Gate sill", "Deep sill"]),
    st.integers(0, 140),
    st.integers(320, 3000),
    st.integers(0, 30),
    st.integers(-60, 60),
)
def test_two_dives_that_the_model_lets_into_the_water_have_their_reserve(
    one: str, other: str, spare_scfm: int, bank_psi: int, minutes: int, later_min: int
) -> None:
    """air-reserve: two stations at once, any reserve of a compressor and a bank, any minutes at depth."""
    spare = (compressor("R", spare_scfm, role=AirRole.RESERVE),) if spare_scfm else ()
    air = AirPlant(
        compressors=(compressor("C", 400), *spare),
        banks=(plant().banks[0].replace(pressure_psi=bank_psi),),
        reserve_minutes_at_depth=minutes,
    )
    made = job(air=air, stations=(Station(name="North"), Station(name="South")))
    items = [
        (item, (_mode(item.name),) if item_air_finding(made, item, _SCHEDULES[item.name]) is None else ())
        for item in made.dive_items
    ]
    limits = air_limits(made, items)
    index = {item.name: k for k, (item, modes) in enumerate(items) if modes}
    if one not in index or other not in index:
        return
    if any(c.amount[index[one]] + c.amount[index[other]] > c.capacity for c in limits.ceilings):
        return
    dives = [
        dive(
            str(number),
            start=600 + number * later_min,
            item=name,
            depth=_DEPTHS[name],
            bottom=40,
            schedule=_SCHEDULES[name],
            station=station,
        )
        for number, (name, station) in enumerate(((one, "North"), (other, "South")), start=1)
    ]
    assert [f.rule for f in air_findings(made, plan(*dives)) if "reserve" in f.rule] == []


@pytest.mark.parametrize(("bank_psi", "together"), [(2200, True), (1500, False)])
def test_two_shallow_dives_share_one_bank(bank_psi: int, together: bool) -> None:
    """Two dives at 60 fsw need 2 × 512 scf of the bank (U.S. Navy Diving Manual 8-2.2.1, by hand): 12.208 cu
    ft over 312 psi hold 1,568 scf at 2,200 psi, 987 at 1,500."""
    made = job(air=plant().replace(banks=(plant().banks[0].replace(pressure_psi=bank_psi),)))
    made = made.replace(stations=(Station(name="North"), Station(name="South")))
    items = [(item, (_mode(item.name),) if item.depth_fsw == 60 else ()) for item in made.dive_items]
    (first, *_) = (k for k, (_, modes) in enumerate(items) if modes)
    limits = air_limits(made, items)
    assert all(2 * c.amount[first] <= c.capacity for c in limits.ceilings) is together
    assert limits.exact is together
    assert air_limits(made.replace(site=made.site.replace(stations_at_once=1)), items).exact
