"""The sample jobs, plain, with plans by rule of thumb, each planned once in a run of the tests."""

from __future__ import annotations

from functools import cache

from planner.job import Job
from planner.plan import Plan
from planner.schedule import first_plan
from tests.samples import small_heavy_dress, three_day_outfall, tidal_pier, too_much_work

SAMPLES = {
    "small heavy dress": small_heavy_dress.plain_job,
    "three day outfall": three_day_outfall.plain_job,
    "tidal pier": tidal_pier.plain_job,
    "too much work": too_much_work.plain_job,
}


@cache
def planned(name: str) -> tuple[Job, Plan]:
    """A sample with its first plan."""
    job = SAMPLES[name]()
    plan = first_plan(job)
    assert plan is not None
    return job, plan
