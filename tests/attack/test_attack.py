"""Small random jobs, every switch: each search ends with a checked plan or an honest no, no bound is beaten.

`python -m tests.attack --jobs 200 --moves 1500` is the whole of it; here are the first seeds.
"""

from __future__ import annotations

from random import Random

import pytest

from planner.check import check
from planner.job.cross_checks import cross_faults
from planner.plan import Plan, Stage
from planner.schedule import solve
from tests.attack.bounds_seen import BoundsSeen
from tests.attack.claims import broken_bound, values_of
from tests.attack.jobs import SWITCHES, random_job
from tests.attack.moves import neighbour
from tests.attack.run import Walk, attack
from tests.world.sample_plans import planned

QUICK_SEEDS = (3, 8)
#: The last three once ended with nothing: one who is away on a day, pins that a plan by rule of thumb breaks
#: where air is left to the check.
LONG_SEEDS = (*range(40, 56), 243, 349, 370)


def test_every_switch_is_on_somewhere() -> None:
    """Two hundred seeds turn on each switch, and no job contradicts itself."""
    seen: set[str] = set()
    for seed in range(200):
        job, on = random_job(seed)
        seen.update(on)
        assert cross_faults(job) == ()
        assert 2 <= len(job.dive_items) <= 4
        assert 6 <= len(job.people) <= 12
    assert seen == {switch.__name__ for switch in SWITCHES}


def test_a_seed_repeats_and_a_switch_less_changes_one_thing() -> None:
    """The same seed is the same job; without its pin it is that job without the pin."""
    seed = next(s for s in range(200) if random_job(s)[1][-1:] == ("pin_away",))
    job, on = random_job(seed)
    assert random_job(seed) == (job, on)
    without, fewer = random_job(seed, without="pin_away")
    assert fewer == on[:-1]
    assert without.replace(pins=job.pins) == job


def test_moves_are_made_and_some_hold() -> None:
    """From a sample's plan the moves give both plans that hold and plans that the check convicts."""
    job, plan = planned("small heavy dress")
    random = Random(1)
    verdicts = set()
    for _ in range(60):
        found = neighbour(random, job, plan)
        if found is not None:
            verdicts.add(check(job, found[0]) == ())
    assert verdicts == {True, False}


def test_a_bound_that_is_too_tight_is_beaten() -> None:
    """A finish told as proven a quarter of an hour after the one there is loses against the plan itself."""
    job, plan = planned("small heavy dress")
    values = values_of(job, plan)
    true = tuple(
        Stage(name=n, unit="", value=values[n], bound=values[n], maximise=more, proven=True)
        for n, more in (("work finished", True), ("finish", False))
    )
    late = true[1].replace(value=values["finish"] + 15, bound=values["finish"] + 15)
    assert broken_bound(true, values) is None
    assert "finish" in str(broken_bound((true[0], late), values))
    # worse in the stage before: no witness
    assert broken_bound((true[0].replace(value=values["work finished"] + 1), late), values) is None


def test_two_plans_of_one_job_are_put_against_each_other() -> None:
    """A bound told with one plan and beaten by another is found whichever of the two comes first."""
    job, plan = planned("small heavy dress")
    value = values_of(job, plan)["work finished"]
    low = Stage(name="work finished", unit="", value=value - 9, bound=value - 9, maximise=True, proven=True)
    liar = plan.replace(stages=(low,))
    for order in ((plan, liar), (liar, plan)):
        seen = BoundsSeen()
        for one in order:
            seen.see(job, one, "here")
        assert len(seen.beaten) == 1
        assert "work finished" in seen.beaten[0]


def test_a_walk_goes_on_from_plan_to_plan() -> None:
    """A walk asks the check as often as it was told to, and what it gives holds."""
    job, plan = planned("small heavy dress")
    walk = Walk(job, Random(2), [plan.replace(stages=())], 30)
    given: list[Plan] = [moved for moved, _, _ in walk]
    assert walk.asked == 30
    assert given
    assert all(check(job, moved) == () for moved in given)


@pytest.mark.parametrize("seed", QUICK_SEEDS)
def test_no_plan_beats_what_a_search_proved(seed: int) -> None:
    """A few jobs, one worker, a hundred moves each: nothing refused, nothing beaten, the status honest."""
    assert attack(seed, moves=100, seconds=0.6, easier=1).findings == ()


@pytest.mark.long
@pytest.mark.parametrize("seed", LONG_SEEDS)
def test_no_plan_beats_what_a_search_proved_at_length(seed: int) -> None:
    """More jobs and moves, with the plans of easier jobs among the attackers."""
    assert attack(seed, moves=300, seconds=2.0, easier=3).findings == ()


def test_the_search_repeats() -> None:
    """One worker: the same seed gives the same stages, so that a finding can be looked at again."""
    job, _ = random_job(QUICK_SEEDS[0])
    first, again = (solve(job, seconds=0.5, workers=1, seed=1, only_work=True) for _ in range(2))
    assert first.plan is not None
    assert again.plan is not None
    assert first.plan.stages == again.plan.stages
