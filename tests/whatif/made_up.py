"""The samples with plans by rule of thumb, so that the tests of the what-ifs are quick."""

from __future__ import annotations

from functools import cache

from planner.job import Job
from planner.plan import Plan
from planner.schedule import first_plan
from tests.samples import small_heavy_dress, tidal_pier, too_much_work

SAMPLES = {
    "small heavy dress": small_heavy_dress.job,
    "tidal pier": tidal_pier.job,
    "too much work": too_much_work.job,
}


@cache
def planned(name: str) -> tuple[Job, Plan]:
    """A sample with its first plan."""
    job = SAMPLES[name]()
    plan = first_plan(job)
    assert plan is not None
    return job, plan
