"""People-hours, the same diver preferred, and the duties that a plan in force keeps: smallest jobs in which
one of them alone decides, and that no later stage gives up what an earlier one settled."""

from __future__ import annotations

import sys
import threading
from functools import cache

import pytest
from hypothesis import strategies as st

from planner.check import check
from planner.job import CrewNeed, Job, Person, Pin, PinKind, Span, SurfaceItem
from planner.job.duties import DIVER
from planner.plan import DutySpell, Plan, Stage, Status, SurfaceTask, changed_duties
from planner.schedule import first_plan, solve
from planner.schedule.greedy.local_search import LocalSearch
from planner.schedule.model.bounds import PeopleBound
from planner.schedule.problem.prepare import prepare
from planner.schedule.solve import _Run
from tests.attack.claims import as_key, values_of
from tests.schedule.day import PEOPLE, item, job, person
from tests.world.random_cases import held_for

EIGHT, NINE, TWO, THREE = 480, 540, 840, 900
BASE = job(item("A", 40, 40), item("B", 30, 30))


def lift(name: str, *windows: tuple[int, int], duration_min: int = 60) -> SurfaceItem:
    """A task for one rigger."""
    spans = tuple(Span(start_min=a, end_min=b) for a, b in windows)
    return SurfaceItem(name=name, duration_min=duration_min, windows=spans, crew=(CrewNeed(duty="rigger"),))


def riggers(*names: str) -> tuple[Person, ...]:
    return tuple(person(n, "rigger") for n in names)


@cache
def planned(made: Job, in_force: Plan | None = None, seconds: float = 3.0) -> tuple[Plan, dict[str, Stage]]:
    """A checked plan and its stages by name; searched for once."""
    plan = solve(made, seconds=seconds, workers=1, in_force=in_force).plan
    assert plan is not None
    assert check(made, plan) == ()
    return plan, {s.name: s for s in plan.stages}


def on_site_min(plan: Plan) -> int:
    """From first duty to last, added up again (one day)."""
    people = {s.person for s in plan.duties}
    own = [plan.duties_of(p) for p in people]
    return sum(max(s.end_min for s in each) - min(s.start_min for s in each) for each in own)


def test_two_come_for_an_hour_each() -> None:
    """Two lifts six hours apart: one rigger would be there 7 h, two are there for an hour each."""
    plan, stages = planned(
        job(
            people=riggers("Gül", "Ian"),
            surface_items=(lift("Early", (EIGHT, NINE)), lift("Late", (TWO, THREE))),
        )
    )
    assert on_site_min(plan) == stages["people-hours"].value == stages["people-hours"].bound == 120
    assert {s.person for s in plan.duties} == {"Gül", "Ian"}


def test_one_rigger_waits() -> None:
    """With one rigger it is the 7 h from the first lift's start to the last one's end, and proven."""
    _, stages = planned(
        job(people=riggers("Gül"), surface_items=(lift("Early", (EIGHT, NINE)), lift("Late", (TWO, THREE))))
    )
    assert (stages["people-hours"].value, stages["people-hours"].bound) == (420, 420)


def test_work_moves_to_where_people_are_there_anyway() -> None:
    """A lift at any time moves next to the one bound to the afternoon: 2 h, not 7, the same finish."""
    plan, stages = planned(
        job(people=riggers("Gül"), surface_items=(lift("Any"), lift("Late", (TWO, THREE))))
    )
    assert stages["finish"].value == THREE
    assert on_site_min(plan) == 120
    assert stages["people-hours"].proven


def test_the_watch_waits_for_the_undressing_between_two_dives() -> None:
    """Two dives take 07:00 to 09:44, 164 min. While a diver and the standby diver dress together all eight
    are there, for the second dive until 08:52, 112 min; then seven until it surfaces at 09:24, and six
    undress (diver, standby diver, two tenders each): counted by hand 8 x 112 + 7 x 32 + 6 x 20 min, and
    proven, since between the dives the watch waits while the diver is undressed.

    From the work alone, the same standby diver for both dives, who stays dressed: with no other wish before
    the people-hours, eight until 07:30, seven until 09:24, and six, the one hand less undressing; proven, and
    none below what is counted before the search.
    """
    made = job(item("A", 30, 30), item("B", 30, 30))
    plan, stages = planned(made)
    assert plan.dives[-1].undressed_min - plan.dives[0].dress_start_min == 164
    assert on_site_min(plan) == 8 * 112 + 7 * 32 + 6 * 20
    assert stages["people-hours"].proven
    first = made.replace(rules=made.rules.replace(stage_order=("finish", "people-hours")))
    plan, stages = planned(first)
    optimum = 8 * 30 + 7 * 114 + 6 * 20
    assert on_site_min(plan) == optimum
    assert stages["people-hours"].proven
    assert PeopleBound(prepare(made)).all_the_work_min() == optimum


@held_for(
    st.lists(st.tuples(st.integers(15, 60), st.integers(5, 60), st.booleans()), min_size=1, max_size=3),
    st.sampled_from(PEOPLE),
    st.booleans(),
    quick=5,
    long=40,
)
def test_no_plan_takes_fewer_people_hours_than_its_bound(
    own: list[tuple[int, int, bool]], twin: Person, two: bool
) -> None:
    """The plan by rule of thumb and the one with the most work know nothing of the bound; where they do all
    the work they take no less."""
    items = [item(f"I{k}", depth, work, splittable=split) for k, (depth, work, split) in enumerate(own)]
    made = job(*items, people=(*PEOPLE, twin.replace(name="Twin")) if two else PEOPLE)
    bound = PeopleBound(prepare(made)).all_the_work_min()
    for plan in (first_plan(made), solve(made, seconds=2, workers=1, only_work=True).plan):
        if plan is not None and not plan.leftovers:
            assert on_site_min(plan) >= bound


def two_windows(*, same_diver: bool) -> Job:
    """An item in 20 fsw that takes a dive in the morning and one in the afternoon, and three divers."""
    spans = (Span(start_min=EIGHT, end_min=EIGHT + 45), Span(start_min=TWO, end_min=TWO + 45))
    return job(
        item("Wall", 20, 60, windows=spans, least_useful_min=30, same_diver=same_diver),
        site=BASE.site.replace(day_end=BASE.site.day_end.replace(hour=16)),
    )


def divers(plan: Plan) -> set[str]:
    return {d.person for dive in plan.dives for d in dive.divers}


def test_the_same_diver_goes_down_again() -> None:
    """Without the wish fair shares give the two dives to two divers; with it one makes both, and proven."""
    apart, stages = planned(two_windows(same_diver=False))
    assert len(divers(apart)) == 2
    assert "same diver" not in stages
    together, stages = planned(two_windows(same_diver=True))
    assert len(divers(together)) == 1
    assert (stages["same diver"].value, stages["same diver"].bound) == (0, 0)
    assert (
        list(stages).index("nitrogen") < list(stages).index("same diver") < list(stages).index("fair shares")
    )


def test_the_wish_costs_no_work_and_no_time() -> None:
    """60 fsw, 100 min without stops: one diver cannot do it all as soon as two can (table 9-7 ends at 63 min,
    table 9-8 adds residual nitrogen), so two go down: one beyond one team."""
    made = job(item(depth_fsw=60, work_min=100, same_diver=True))
    _, plain = planned(job(item(depth_fsw=60, work_min=100)))
    plan, stages = planned(made)
    assert len(divers(plan)) == 2
    assert stages["same diver"].value == 1
    for name in ("work finished", "finish", "overtime", "decompression", "nitrogen"):
        assert stages[name].value == plain[name].value


def test_a_plan_in_force_is_kept() -> None:
    """Planned again beside itself, from another seed: nobody's duties change, and that is proven."""
    plan, before = planned(BASE)
    again = solve(BASE, seconds=6, workers=1, in_force=plan, seed=5).plan
    assert again is not None
    assert changed_duties(plan, again).count == 0
    stages = {s.name: s for s in again.stages}
    assert stages["changed duties"].proven
    assert stages["work finished"].value == before["work finished"].value


def swapped(plan: Plan, one: str, other: str) -> Plan:
    """The plan with two people in each other's place; only its duties matter here."""
    names = {one: other, other: one}
    return plan.replace(
        duties=tuple(s.replace(person=names.get(s.person, s.person)) for s in plan.duties),
        stages=(),
    )


def test_kept_duties_come_before_fair_shares() -> None:
    """In force is a day on which one of three alike divers makes both dives; the new plan leaves it so,
    whoever it is, although shares would be fairer."""
    plan, _ = planned(two_windows(same_diver=True))
    (lone,) = divers(plan)
    for other in sorted({"Ciro", "Dana", "Efe"} - {lone}):
        in_force = swapped(plan, lone, other)
        again, stages = planned(two_windows(same_diver=False), in_force)
        assert divers(again) == {other}
        assert stages["changed duties"].value == 0


@pytest.mark.long
def test_only_what_must_change_does() -> None:
    """Ola is away all day: each of her duties passes to somebody else, and no more than that changes."""
    crew = (*PEOPLE, person("Zoe", "tender"))
    made = BASE.replace(people=crew)
    plan, _ = planned(made)
    # Dressing the standby diver and undressing him are one duty of that dive.
    hers = {(s.duty, s.dive, s.item) for s in plan.duties if s.person == "Ola"}
    assert hers
    away = Pin(kind=PinKind.AWAY, person="Ola", start_min=0, end_min=1440)
    again, stages = planned(made.replace(pins=(away,)), plan)
    changed = changed_duties(plan, again)
    assert all(s.person != "Ola" for s in again.duties)
    assert stages["changed duties"].value == changed.count
    assert stages["changed duties"].bound <= changed.count
    # Zoe, or whoever else is free, can take them all: never more than hers twice over.
    assert changed.count == 2 * len(hers)


def test_later_stages_keep_what_earlier_ones_settled() -> None:
    """Each stage's value is that of the finished plan, and the stages before are as good as without it."""
    plan, _ = planned(BASE)
    in_force = swapped(plan, "Ciro", "Dana")
    again, stages = planned(BASE, in_force)
    assert list(stages)[:3] == ["work finished", "changed duties", "finish"]
    assert list(stages)[-2:] == ["fair shares", "people-hours"]
    assert stages["changed duties"].value == changed_duties(in_force, again).count
    assert stages["people-hours"].value == on_site_min(again)
    assert stages["finish"].value == again.end_min
    for stage in stages.values():
        assert stage.bound >= stage.value if stage.maximise else stage.bound <= stage.value


@pytest.mark.long
def test_what_is_left_goes_to_the_stages_that_are_open(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four dives with half a second left at the end of the list and the people-hours open: they are searched
    again, one worker twice the same, and no stage is worse for it. The plan by rule of thumb, which is worse,
    is not taken then."""
    made = job(item("A", 30, 50), item("B", 40, 40), item("C", 50, 30), item("D", 60, 25))

    def searched(least_s: float) -> tuple[_Run, Plan]:
        monkeypatch.setattr(sys.modules[_Run.__module__], "ROUND_LEAST_S", least_s)
        run = _Run(made, 6.0, 1, 0, None, threading.Event(), None)
        plan = run.run(False).plan
        assert plan is not None
        return run, plan

    (run, plan), (_, again), (once, first) = searched(0.2), searched(0.2), searched(9.0)
    best = run.best
    assert best.rounds >= 1 and not once.best.rounds and not first.stages[-1].proven
    assert best.left_s < once.best.left_s
    assert (plan.dives, plan.duties, plan.stages) == (again.dives, again.duties, again.stages)
    assert as_key(values_of(made, plan)) <= as_key(values_of(made, first))
    for stage, before in zip(plan.stages, first.stages, strict=True):
        assert stage.maximise or stage.bound >= before.bound
    best.settled = []
    assert best.take(LocalSearch(best.problem).first(), readable=False)
    assert [best.value(goal) for goal in best.goals] == [s.value for s in plan.stages]


def test_one_worker_and_a_seed_repeat_beside_a_plan_in_force() -> None:
    """The same duties and times again."""
    plan, _ = planned(BASE)
    in_force = swapped(plan, "Ciro", "Efe")
    one, two = (solve(BASE, seconds=0.5, workers=1, seed=3, in_force=in_force).plan for _ in range(2))
    assert one is not None
    assert two is not None
    assert (one.dives, one.duties) == (two.dives, two.duties)


def test_a_hurried_search_tells_its_changes_as_they_are() -> None:
    """However little time: what is told of the changes is what the plan changes."""
    plan, _ = planned(BASE)
    in_force = swapped(plan, "Ciro", "Efe")
    hurried = solve(BASE, seconds=0.2, workers=1, in_force=in_force).plan
    assert hurried is not None
    assert check(BASE, hurried) == ()
    told = next(s for s in hurried.stages if s.name == "changed duties")
    assert told.value == changed_duties(in_force, hurried).count
    assert told.bound <= told.value
    assert (hurried.status is Status.PROVEN_BEST) == all(s.proven for s in hurried.stages)


HANDS = ("P", "Q", "R", "gone")
held_before = st.lists(st.sets(st.sampled_from(HANDS), max_size=3), min_size=3, max_size=3)


@held_for(held_before, st.lists(st.integers(1, 2), min_size=3, max_size=3), quick=6, long=30)
def test_fewest_changes_of_surface_work(before: list[set[str]], counts: list[int]) -> None:
    """Three tasks at any time of the day for three people who can all do them: whoever held a task and is
    still there can keep it, so the fewest changes are those of the numbers alone."""
    crew = tuple(person(n, "hand") for n in HANDS if n != "gone")
    tasks = tuple(
        SurfaceItem(name=f"T{k}", duration_min=30, crew=(CrewNeed(duty="hand", count=count),))
        for k, count in enumerate(counts)
    )
    in_force = Plan(
        job_name="before",
        status=Status.FEASIBLE,
        stages=(),
        surface_tasks=tuple(SurfaceTask(item=t.name, start_min=480, end_min=510) for t in tasks),
        duties=tuple(
            DutySpell(person=p, duty="hand", start_min=480, end_min=510, item=f"T{k}")
            for k, held in enumerate(before)
            for p in sorted(held)
        ),
    )
    fewest = 0
    for held, count in zip(before, counts, strict=True):
        kept = min(count, len(held - {"gone"}))
        fewest += len(held) + count - 2 * kept
    plan, stages = planned(job(people=crew, surface_items=tasks), in_force, seconds=4)
    assert changed_duties(in_force, plan).count == fewest
    assert stages["changed duties"].bound == fewest


def test_a_diver_of_the_plan_in_force_who_is_gone() -> None:
    """A name that the job no longer holds is taken away and nothing else: the plan is made all the same."""
    plan, _ = planned(BASE)
    gone = plan.dives[0].divers[0].person
    left = BASE.replace(people=(*(p for p in PEOPLE if p.name != gone), person("New", "diver", "tender")))
    again, stages = planned(left, plan, seconds=1.0)
    changed = changed_duties(plan, again)
    assert stages["changed duties"].value == changed.count
    assert {d for p, d, *_ in changed.taken if p == gone} >= {DIVER}
