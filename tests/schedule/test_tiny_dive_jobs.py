"""Tiny dive jobs: the scheduler against trying everything, and jobs made easier, which never do less."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations, product

from hypothesis import strategies as st

from planner.check import check
from planner.job import DiveItem, Job
from planner.job.duties import STANDBY, TENDER
from planner.plan.model import Status
from planner.schedule import solve
from planner.schedule.crews.assignment import name_crew
from planner.schedule.draft.build import build_plan, exposures_of
from planner.schedule.draft.draft import Draft, DraftDive
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from tests.schedule.day import PEOPLE, item, job, person
from tests.world.random_cases import held_for

DIVERS = ("Ciro", "Dana", "Efe")

#: (item, bottom time, diver, standby) of each dive, in order.
Choice = tuple[tuple[int, int, str, str], ...]


def draft(problem: Problem, choice: Choice) -> Draft | None:
    """The dives of a choice, the first as soon and the last as late as can be; None where they do not fit.

    Waiting longer never harms a diver's nitrogen or a standby's, so a choice that does not hold like this
    holds at no other times. The crew of the tests carries one dive at a time from dressing to undressed.
    """
    placed: list[DraftDive] = []
    at = problem.window.start_min
    for number, (work, bottom, diver, standby) in enumerate(choice):
        data = problem.dives[work]
        water = bottom + -(-data.item.depth_fsw // 30)
        whole = data.dressing_min + water + data.undressing_min
        dress = at
        if number and number == len(choice) - 1:
            dress = problem.window.end_min - whole
        if dress < at or dress + whole > problem.window.end_min:
            return None
        leave = dress + data.dressing_min
        one = DraftDive(
            work, "North", dress, leave, bottom, leave + water, dress + whole, dress,
            ((diver, "diver"),), (standby,), standby_from_min=dress, standby_to_min=dress + whole,
        )  # fmt: skip
        placed.append(one)
        at = one.undressed_min
    return Draft(tuple(placed), ())


def holds(made: Job, problem: Problem, choice: Choice) -> bool:
    """Whether the check has nothing against the choice, with any crew."""
    placed = draft(problem, choice)
    if placed is None:
        return False
    try:
        exposures_of(problem, placed)
    except Exception as refused:  # the tables refuse such a dive: that is the answer
        if type(refused).__name__ == "TableRefusal":
            return False
        raise
    crew = name_crew(problem, placed, readable=False)
    if crew is None:
        return False
    plan = build_plan(problem, placed, crew, status=Status.CONSTRUCTIVE)
    about_itself = {"leftovers-told", "objective-values"}
    return all(f.rule in about_itself for f in check(made, plan))


def pairs() -> Iterator[tuple[str, str]]:
    yield from permutations(DIVERS, 2)


def value(problem: Problem, choice: Choice) -> int:
    return sum(
        problem.dives[k].weight * (bottom - problem.dives[k].descent_min) for k, bottom, _, _ in choice
    )


def best_of_all(made: Job, choices: list[Choice]) -> int:
    """The most weighted work of a choice that holds; 0 where none does."""
    problem = prepare(made)
    for choice in sorted(choices, key=lambda c: -value(problem, c)):
        if holds(made, problem, choice):
            return value(problem, choice)
    return 0


def solved(made: Job) -> tuple[int, bool]:
    outcome = solve(made, seconds=6, workers=1, only_work=True)
    if outcome.plan is None:
        return 0, True
    assert check(made, outcome.plan) == ()
    stage = outcome.plan.stages[0]
    return round(stage.value), stage.proven


whole_items = st.builds(
    lambda depth, work, rank: (depth, work, rank),
    st.integers(30, 90),
    st.integers(10, 60),
    st.integers(1, 5),
)


@held_for(whole_items, whole_items, st.integers(90, 260), st.sampled_from([40, 70, 100]), quick=4, long=40)
def test_two_items_agree_with_trying_everything(
    one: tuple[int, int, int], other: tuple[int, int, int], day_min: int, rated: int
) -> None:
    """Two items in one go each: over every order, diver and standby, the same most work as the scheduler."""
    people = tuple(p.replace(depth_rating_fsw=rated) if p.name == "Efe" else p for p in PEOPLE)
    items = tuple(
        item(f"Item {k}", depth, work, priority=rank, splittable=False)
        for k, (depth, work, rank) in enumerate((one, other))
    )
    made = shorter(job(*items, people=people), day_min)
    problem = prepare(made)
    bottoms = [w.item.bottom_work_min + w.descent_min for w in problem.dives]
    choices: list[Choice] = [((k, bottoms[k], d, s),) for k in (0, 1) for d, s in pairs()]
    for (d, s), (e, t) in product(pairs(), pairs()):
        choices += [((0, bottoms[0], d, s), (1, bottoms[1], e, t))]
        choices += [((1, bottoms[1], d, s), (0, bottoms[0], e, t))]
    found, proven = solved(made)
    most = best_of_all(made, choices)
    assert found >= most
    assert not proven or found == most


@held_for(st.integers(40, 90), st.integers(30, 120), st.integers(120, 300), quick=4, long=40)
def test_a_split_item_does_no_less_than_any_split_on_a_grid(depth: int, work: int, day_min: int) -> None:
    """One item in one or two dives, pieces in steps of 5 min: nothing on that grid beats the scheduler."""
    made = shorter(job(item("Item", depth, work, least_useful_min=10)), day_min)
    down = prepare(made).dives[0].descent_min
    pieces = [w for w in range(10, work + 1) if w % 5 == 0 or w == work]
    choices: list[Choice] = [((0, w + down, d, s),) for w in pieces for d, s in [("Ciro", "Dana")]]
    teams = [
        (("Ciro", "Dana"), t) for t in (("Dana", "Ciro"), ("Ciro", "Dana"), ("Efe", "Dana"), ("Efe", "Ciro"))
    ]
    for first, second in product(pieces, pieces):
        if first + second <= work:
            choices += [((0, first + down, *one), (0, second + down, *two)) for one, two in teams]
    found, _ = solved(made)
    problem = prepare(made)
    # Only what would beat the scheduler needs trying.
    better = [c for c in choices if value(problem, c) > found]
    assert best_of_all(made, better) <= found


def shorter(made: Job, minutes: int) -> Job:
    """The day from 07:00 and that long."""
    end = made.site.day_start.replace(hour=7 + minutes // 60, minute=minutes % 60)
    return made.replace(site=made.site.replace(day_end=end))


hard_days = st.builds(
    lambda own, minutes: shorter(job(*own), minutes),
    st.lists(
        st.builds(
            lambda n, depth, work: item(f"Item {n}", depth, work, least_useful_min=10),
            st.integers(1, 2),
            st.integers(30, 90),
            st.integers(20, 80),
        ),
        min_size=1,
        max_size=2,
        unique_by=lambda i: i.name,
    ),
    st.integers(100, 240),
)


def easier(made: Job, how: str) -> Job:
    rules = made.rules
    if how == "one more diver":
        return made.replace(people=(*made.people, person("Zed", "diver")))
    if how == "one more tender":
        return made.replace(people=(*made.people, person("Zed", "tender")))
    if how == "a longer day":
        minutes = made.day_windows[0].end_min - made.day_windows[0].start_min + 45
        return shorter(made, minutes)
    if how == "a lower minimum":
        # but for tenders: fewer take longer to dress a diver
        kept = (STANDBY, TENDER)
        lower = tuple(r if r.duty in kept else r.replace(count=max(0, r.count - 1)) for r in rules.minima)
        return made.replace(rules=rules.replace(minima=lower))
    items = tuple(i.replace(depth_fsw=max(10, i.depth_fsw - 10)) for i in made.dive_items)
    assert how == "shallower work"
    return made.replace(dive_items=items)


@held_for(
    hard_days,
    st.sampled_from(
        ["one more diver", "one more tender", "a longer day", "a lower minimum", "shallower work"]
    ),
    quick=4,
    long=40,
)
def test_an_easier_dive_job_never_does_less(made: Job, how: str) -> None:
    """One more person, a longer day, a lower minimum, shallower work: never less (where both are proven)."""
    before, proven = solved(made)
    after, proven_too = solved(easier(made, how))
    if proven and proven_too:
        assert after >= before


def test_the_trying_finds_what_is_known() -> None:
    """By hand: 40 min at 60 fsw take 30 + 1 + 40 + 2 + 20 min in heavy dress; one minute short, nothing."""
    one: DiveItem = item("Item", 60, 40, splittable=False)
    whole = prepare(job(one)).dives[0]
    length = whole.dressing_min + whole.descent_min + 40 + 2 + whole.undressing_min
    choice: Choice = ((0, 40 + whole.descent_min, "Ciro", "Dana"),)
    for minutes, most in ((length, 40), (length - 1, 0)):
        made = shorter(job(one), minutes)
        assert best_of_all(made, [choice]) == most * whole.weight
        assert solved(made) == (most * whole.weight, True)
