"""Items that the plant cannot carry even alone: known before there is a plan, and never against the plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.air import item_air_finding
from planner.check.air import air_findings
from planner.job import AirPlant, AirRole, Job
from planner.workbook.job_reader import read_job
from tests.world.lock import NO_STOP_60, STOPS_100, compressor, dive, job, plan, plant, reserve

CASE = Path(__file__).parents[1] / "cases" / "tiny_reserve_bank.xlsx"
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


def test_a_bank_of_45_scf_brings_nobody_up() -> None:
    """`tests/cases/tiny_reserve_bank.xlsx`: two people at 58 fsw for 10 min and 2 min of way up need
    2 × 8 × (10 × 91 + 2 × 62)/33 = 501 scf (U.S. Navy Diving Manual 8-2.2.1, 8-2.2.2); the bank holds 45."""
    told: list[str] = []
    tiny = read_job(CASE, told=told.append)
    assert pytest.approx(501, abs=0.5) == 2 * 8 * (10 * 91 + 2 * 62) / 33
    row = NO_STOP_60.replace(depth_fsw=60)
    found = item_air_finding(tiny, tiny.dive_item("Sling the sunken winch"), row)
    assert found is not None and found.rule == "air-reserve"
    assert "banks must give 501 scf" in found.sentence and "holds 45 scf" in found.sentence
    reserve, newer_rules = told  # two sheets of this workbook know less than today's: Air and Rules
    assert "opened with 10 min at depth and 8 acfm" in reserve and "sheet Air" in reserve
    assert "its sheet Rules is opened with" in newer_rules and "8 acfm" not in newer_rules


def test_no_plant_no_judgement() -> None:
    """Without an air plant nothing is convicted."""
    assert item_air_finding(job(air=AirPlant()), job().dive_item("Deep sill"), STOPS_100) is None
