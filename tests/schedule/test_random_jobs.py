"""Small random jobs: plans hold, easier jobs never do less, tiny ones agree with trying everything."""

from __future__ import annotations

from itertools import product

from hypothesis import strategies as st

from planner.check import check
from planner.job import CrewNeed, Job, SurfaceItem
from planner.job.duties import STANDBY
from planner.schedule import solve
from planner.schedule.problem.matching import fill_posts
from tests.schedule.day import PEOPLE, item, job, person
from tests.world.random_cases import held_for

dive_items = st.builds(
    lambda n, depth, work, split, rank: item(
        f"Item {n}", depth, work, splittable=split, priority=rank, least_useful_min=10
    ),
    st.integers(1, 3),
    st.integers(15, 95),
    st.integers(5, 90),
    st.booleans(),
    st.integers(1, 5),
)
jobs = st.lists(dive_items, min_size=1, max_size=3, unique_by=lambda i: i.name).map(lambda own: job(*own))


def work_done(made: Job) -> tuple[float, bool]:
    """Weighted work of the best plan found, and whether that is proven."""
    outcome = solve(made, seconds=4, workers=1, only_work=True)
    if outcome.plan is None:
        return 0.0, True
    stage = outcome.plan.stages[0]
    return stage.value, stage.proven


@held_for(jobs, quick=5, long=40)
def test_every_plan_holds(made: Job) -> None:
    """Whatever the job, the plan passes the verdict, or there is none and every item has a reason."""
    outcome = solve(made, seconds=0.3, workers=1)
    if outcome.plan is None:
        assert set(outcome.reasons) == {i.name for i in made.items}
    else:
        assert check(made, outcome.plan) == ()


@held_for(jobs, st.sampled_from(["tender", "diver"]), quick=5, long=40)
def test_one_more_person_never_does_less(made: Job, duty: str) -> None:
    """A job made easier by one more person never does less (where both are proven)."""
    before, proven = work_done(made)
    after, proven_too = work_done(made.replace(people=(*made.people, person("Zed", duty))))
    if proven and proven_too:
        assert after >= before


tasks = st.lists(
    st.tuples(st.integers(1, 3), st.sampled_from(["a", "b", "c"]), st.integers(1, 2)), min_size=1, max_size=3
)


@held_for(tasks, quick=5, long=40)
def test_tiny_surface_jobs_agree_with_trying_everything(own: list[tuple[int, str, int]]) -> None:
    """Earliest end of up to three tasks: the same as over all starts and all choices of people."""
    people = (person("P", "a", "b"), person("Q", "b", "c"), person("R", "a", "c"))
    items = tuple(
        SurfaceItem(name=f"T{k}", duration_min=length, crew=(CrewNeed(duty=duty, count=count),))
        for k, (length, duty, count) in enumerate(own)
    )
    made = job(people=people, surface_items=items)
    holders = {d: [p.name for p in people if d in p.duties] for d in "abc"}
    horizon = sum(length for length, _, _ in own)
    best = None
    for starts in product(range(horizon), repeat=len(own)):
        end = max(s + length for s, (length, _, _) in zip(starts, own, strict=True))
        if best is not None and end >= best:
            continue
        if _can_be_manned(starts, own, holders):
            best = end
    outcome = solve(made, seconds=4)
    assert outcome.plan is not None
    assert best is not None
    assert outcome.plan.end_min - 420 == best


def _can_be_manned(
    starts: tuple[int, ...], own: list[tuple[int, str, int]], holders: dict[str, list[str]]
) -> bool:
    """Whether people can be named, each staying for the whole of a task (all choices tried)."""
    spells = [(s, s + length, duty, count) for s, (length, duty, count) in zip(starts, own, strict=True)]

    def place(k: int, busy: list[tuple[str, int, int]]) -> bool:
        if k == len(spells):
            return True
        start, end, duty, count = spells[k]
        free = [p for p in holders[duty] if not any(q == p and s < end and start < e for q, s, e in busy)]
        if count == 1:
            return any(place(k + 1, [*busy, (p, start, end)]) for p in free)
        return len(free) >= 2 and any(
            place(k + 1, [*busy, (p, start, end), (q, start, end)])
            for i, p in enumerate(free)
            for q in free[i + 1 :]
        )

    return place(0, [])


def test_matching_finds_a_choice_that_greed_misses() -> None:
    """Two posts, one person fits both and one only the first: each gets one."""
    assert fill_posts([["both", "first"], ["both"]]) == ["first", "both"]
    assert fill_posts([["both"], ["both"]]) is None


def test_the_crew_of_the_tests_is_just_enough() -> None:
    """Seven people carry one dive in heavy dress (common practice), the standby diver dressed before the
    diver by two who have a post on the dive; eight can dress both at once. With six nothing is planned."""
    assert solve(job(item()), seconds=3, workers=1, only_work=True).plan is not None
    seven = tuple(p for p in PEOPLE if p.name != "Gus")
    plan = solve(job(item(), people=seven), seconds=3, workers=1, only_work=True).plan
    assert plan is not None
    (standing,) = [s for s in plan.duties if s.duty == STANDBY]
    assert standing.start_min + 30 <= plan.dives[0].dress_start_min
    for gone in seven[:4]:
        left = tuple(p for p in seven if p is not gone)
        assert solve(job(item(), people=left), seconds=2).plan is None
