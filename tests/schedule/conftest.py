"""No plan that holds beats a bound: each plan that a search in these tests finds, against each bound told."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest

from planner.job import Job
from planner.plan import Finding, Plan
from planner.schedule.search.incumbent import Incumbent
from tests.attack.bounds_seen import BoundsSeen

SEEN = BoundsSeen()
SOLVING = sys.modules[Incumbent.__module__]


@pytest.fixture(autouse=True)
def no_plan_beats_a_bound(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Every plan that the scheduler gives to the check and that holds is remembered for the whole run."""
    check = SOLVING.check

    def and_remembered(job: Job, plan: Plan, **beside: Plan | None) -> tuple[Finding, ...]:
        findings = check(job, plan, **beside)
        if not findings:
            SEEN.see(job, plan, request.node.nodeid)
        return findings

    monkeypatch.setattr(SOLVING, "check", and_remembered)
    yield
    beaten, SEEN.beaten = SEEN.beaten, []
    assert not beaten, "\n".join(beaten)
