"""Items that the plant cannot carry even alone: known before there is a plan, and never against the plan."""

from __future__ import annotations

import pytest

from planner.air import item_air_finding
from planner.check.air import air_findings
from planner.job import AirPlant, AirRole, Job
from tests.world.lock import STOPS_100, compressor, dive, job, plan, plant, reserve

DEEP = dive("2", start=660, item="Deep sill", depth=100, bottom=45, schedule=STOPS_100)

_PLANTS = {
    "good": plant(),
    "short": plant().replace(compressors=(compressor("C", 45),), tanks=()),
    "weak": plant().replace(compressors=(compressor("C", 200, 91),)),
    "empty bank": reserve(pressure_psi=1600),
    "off line": reserve(on_line=False),
    "shared": reserve(relies_on="engine 1"),
    "small reserve compressor": plant().replace(
        banks=(), compressors=(*plant().compressors, compressor("R", 60, role=AirRole.RESERVE))
    ),
}

_RULE = {
    "good": None,
    "short": "air-primary-flow",
    "weak": "air-primary-pressure",
    "empty bank": "air-reserve",
    "off line": "air-reserve",
    "shared": "air-reserve-independent",
    "small reserve compressor": "air-reserve",
}


def _job(air: AirPlant) -> Job:
    # Only heavy outfits with 300 ft of hose: the item's pressure is then the dive's own.
    return job(air=air)


@pytest.mark.parametrize("name", list(_PLANTS))
def test_an_item_is_judged_like_its_dive(name: str) -> None:
    """What an item breaks alone is the first thing that a plan with that one dive breaks."""
    of = _job(_PLANTS[name])
    item = of.dive_item("Deep sill")
    found = item_air_finding(of, item, STOPS_100)
    assert (found.rule if found else None) == _RULE[name]
    in_plan = [b.rule for b in air_findings(of, plan(DEEP))]
    assert in_plan[:1] == ([_RULE[name]] if _RULE[name] else [])


def test_no_plant_no_judgement() -> None:
    """Without an air plant nothing is convicted."""
    assert item_air_finding(job(air=AirPlant()), job().dive_item("Deep sill"), STOPS_100) is None
