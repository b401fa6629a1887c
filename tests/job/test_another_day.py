"""A job moved to another day, to practise on: nothing but dates changes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest

from planner.job import Job
from planner.job.another_day import for_practice, moved_to
from planner.job.cross_checks import cross_faults
from tests.samples.small_heavy_dress import plain_job
from tests.world.quay import with_air

LATER = date(2027, 11, 3)


def _dates(value: Any) -> Iterator[date]:
    if isinstance(value, date):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _dates(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _dates(one)


@pytest.mark.parametrize("job", [plain_job(), with_air()], ids=["sample", "quay"])
def test_every_date_moves_by_as_many_days(job: Job) -> None:
    """The first day, certificates, inspections; the minutes of windows and past dives stay."""
    found = moved_to(job, LATER)
    by = LATER - job.site.first_day
    assert list(_dates(found.model_dump())) == [d + by for d in _dates(job.model_dump())]
    assert found.site.first_day == LATER
    assert [w.start_min for w in found.water_windows] == [w.start_min for w in job.water_windows]
    assert tuple(cross_faults(found)) == tuple(cross_faults(job)) == ()


def test_there_and_back_is_the_same_job() -> None:
    """Nothing is lost on the way; the same day gives the same job."""
    job = plain_job()
    assert for_practice(for_practice(job, LATER), LATER).site.name == f"{job.site.name} (practice)"
    assert moved_to(moved_to(job, LATER), job.site.first_day) == job
    assert moved_to(job, job.site.first_day) == job
    assert moved_to(job, job.site.first_day + timedelta(days=1)) != job
