"""The sample jobs: current, in order, and what they promise."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.job import Gear
from planner.job.cross_checks import cross_faults
from planner.workbook.job_reader import read_job
from tests.make_sample_jobs import SAMPLES, main
from tests.samples import small_heavy_dress, tidal_pier

FOLDER = Path(__file__).parents[2] / "sample_jobs"


@pytest.mark.parametrize("name", list(SAMPLES))
def test_the_committed_sample_is_what_the_script_makes(name: str) -> None:
    """Remake them with ``python -m tests.make_sample_jobs``."""
    assert read_job(FOLDER / f"{name}.xlsx") == SAMPLES[name]()


def test_remaking_the_samples_changes_nothing(tmp_path: Path) -> None:
    """Two runs give the same bytes."""
    first = {p.name: p.read_bytes() for p in main(tmp_path / "a")}
    second = {p.name: p.read_bytes() for p in main(tmp_path / "b")}
    assert first == second
    assert set(first) == {p.name for p in FOLDER.glob("*.xlsx")}


@pytest.mark.parametrize("name", list(SAMPLES))
def test_samples_are_without_contradiction(name: str) -> None:
    """Nothing to put right before planning."""
    assert cross_faults(SAMPLES[name]()) == ()


def test_the_small_sample_is_one_station_nine_people_four_items() -> None:
    """As described: heavy dress, some of it with yesterday's dives carried in."""
    job = small_heavy_dress.job()
    assert (len(job.stations), len(job.people), len(job.dive_items)) == (1, 9, 4)
    assert {item.gear for item in job.dive_items} == {Gear.HEAVY}
    assert any(person.past_dives for person in job.people)


def test_the_pier_is_two_stations_sixteen_people_with_slack_and_surface_work() -> None:
    """Seven dive items in both kinds of dress, three surface items with duties of their own, an order."""
    job = tidal_pier.job()
    assert (len(job.stations), len(job.people)) == (2, 16)
    assert (len(job.dive_items), len(job.surface_items)) == (7, 3)
    assert {item.gear for item in job.dive_items} == set(Gear)
    assert any(item.needs_slack for item in job.dive_items)
    assert job.water_windows
    assert any(item.after for item in job.dive_items)
    assert {"rigger", "crane operator"} <= set(job.duties)
