"""Multi-skill project scheduling: published optima as an outside check of the scheduler.

Instances and values: mspsp/NOTICE.md (MiniZinc benchmark collection; Young, Feydy and Schutt, CP 2017).
"""

from __future__ import annotations

import pytest

from planner.check import check
from planner.schedule import solve
from tests.schedule.mspsp_job import LARGE, PUBLISHED_BEST, SMALL, job_of

pytestmark = pytest.mark.long


@pytest.mark.parametrize("name", SMALL)
def test_small_instances_reach_the_published_optimum(name: str) -> None:
    """The end of the last task equals the proven optimum."""
    made = job_of(name)
    outcome = solve(made, seconds=30)
    assert outcome.plan is not None
    assert outcome.plan.leftovers == ()
    assert outcome.plan.end_min == PUBLISHED_BEST[name]
    assert check(made, outcome.plan) == ()


@pytest.mark.parametrize("name", LARGE)
def test_large_instances_never_beat_or_contradict_the_optimum(name: str) -> None:
    """No plan ends before the proven optimum, and no bound of ours passes it."""
    made = job_of(name)
    outcome = solve(made, seconds=6)
    assert outcome.plan is not None
    assert outcome.plan.end_min >= PUBLISHED_BEST[name]
    finish = next(s for s in outcome.plan.stages if s.name == "finish")
    assert finish.bound <= PUBLISHED_BEST[name]
    assert check(made, outcome.plan) == ()
