"""What no plan can beat, told before any search: by hand on one dive, met by samples, beaten by no plan."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from ortools.sat.python import cp_model

from planner.check import check
from planner.cores import MOST_WORKERS, workers_here
from planner.job import Gear, Job, PastDive, Pin, PinKind, Policy, Span
from planner.job.duties import STANDBY, STANDBY_TENDER, TENDER, CrewMinimum, DutyPair
from planner.schedule import Progress, solve
from planner.schedule.draft.values import decompression_value, nitrogen_value
from planner.schedule.greedy.local_search import LocalSearch
from planner.schedule.model.bounds import PeopleBound, least_dived_min, least_finish_min
from planner.schedule.model.deadline import LEAST_STEP_S, SECONDS_A_COUNTED, Deadline
from planner.schedule.model.ends import overtime_at_the_ends
from planner.schedule.model.most_work import most_work
from planner.schedule.model.overtime import least_overtime_min, least_overtime_over_days, overtime_bound
from planner.schedule.problem.least import (
    least_beyond_one_team,
    least_decompression_min,
    least_nitrogen,
    least_shares,
    least_short_min,
    work_there_is,
)
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from planner.schedule.solve import first_plan
from tests.attack.claims import values_of
from tests.bench.ladder import Rung, ladder_job
from tests.schedule.day import PEOPLE, item, job, person
from tests.world.changed import with_rules, with_site
from tests.world.sample_plans import planned

ONE = job(item("A", 30, 40, splittable=False))


def of_all(told: Callable[[Problem, int], int], made: Job) -> int:
    """What is told of a job with all of its work done."""
    problem = prepare(made)
    return told(problem, work_there_is(problem))


def test_one_dive_by_hand() -> None:
    """One dive to 30 fsw for 41 min of bottom time by a clean diver: one minute up at 30 fsw a minute, group
    C (U.S. Navy Diving Manual, Rev. 7, table 9-7); dressed in 30 min from 07:00, undressed 20 min after."""
    problem, work = prepare(ONE), 40 * prepare(ONE).dives[0].weight
    assert work == work_there_is(problem)
    assert least_decompression_min(problem, work) == 1
    assert least_finish_min(problem, work) == 420 + 30 + 41 + 1 + 20
    draft = LocalSearch(problem).first()
    assert least_nitrogen(problem, work) == nitrogen_value(problem, draft)
    assert least_decompression_min(problem, work) == decompression_value(problem, draft)


def test_no_more_work_than_the_divers_can_make() -> None:
    """One of three divers goes down, once a day: 63 min on the bottom without stops (60 fsw, table 9-7), one
    of them on the way down at 60 fsw a minute. With a second dive all of the work has room. Of a day's bottom
    minutes 62 of each 63 are work at most, so 102 are enough for 100 min of it and 101 are not."""
    stay = tuple(Pin(kind=PinKind.STAYS_UP, person=name) for name in ("Dana", "Efe"))
    made = job(item("A", 60, 100), pins=stay)
    weight = prepare(made).dives[0].weight
    once = with_rules(made, dives_a_day=1)
    assert most_work(prepare(once)) == 62 * weight
    plan = solve(once, seconds=1.0, workers=1, only_work=True).plan
    assert plan is not None and plan.stages[0].value == plan.stages[0].bound == 62 * weight
    assert most_work(prepare(made)) == work_there_is(prepare(made)) == 100 * weight
    assert most_work(prepare(with_rules(made, bottom_minutes_a_day=102))) == 100 * weight
    short = most_work(prepare(with_rules(made, bottom_minutes_a_day=101)))
    assert short == int(101 * 62 / 63 * weight) < 100 * weight


def test_no_more_work_than_a_bench_has_time_for() -> None:
    """Eight people have one heavy dive on the bench at a time. One of 40 min of work at 30 fsw takes 92 min
    from dressing to undressed: 480 min have room for five such dives and 20 min of a sixth."""
    items = tuple(item(f"A{k}", 30, 40, splittable=False) for k in range(7))
    problem = prepare(job(*items))
    weight = problem.dives[0].weight
    assert work_there_is(problem) == 7 * 40 * weight
    assert most_work(problem) == int(480 * 40 * weight / 92)


def test_less_work_takes_less() -> None:
    """With half of two like items' work one of them is enough; with none nothing is."""
    problem = prepare(job(item("A", 30, 40), item("B", 30, 40)))
    whole = work_there_is(problem)
    half = least_nitrogen(problem, whole // 2)
    assert least_nitrogen(problem, whole) == 2 * half > 0
    assert least_nitrogen(problem, 0) == least_decompression_min(problem, 0) == 0


def test_a_finish_of_less_than_all_the_work() -> None:
    """Of two like items of 40 min at 30 fsw one is enough for half of the work: it ends as one alone does
    (above), less the second dive. A tenth of it is 8 min of work, cut as fine as one likes: 8 × 42 / 40 min
    of water. Where one item has more weight, it is the one that is done."""
    both = prepare(job(item("A", 30, 40, splittable=False), item("B", 30, 40, splittable=False)))
    whole = work_there_is(both)
    assert least_finish_min(both, whole // 2) == 420 + 30 + 42 + 20 < least_finish_min(both, whole)
    assert least_finish_min(both, whole // 10) == 420 + 30 + math.ceil(8 * 42 / 40) + 20
    assert least_finish_min(both, 0) == both.window.start_min
    first = prepare(job(item("A", 30, 40, priority=1), item("B", 30, 80, priority=5)))
    heavy = first.dives[0].weight * 40
    assert least_finish_min(first, heavy) == 420 + 30 + 42 + 20


def test_the_margin_that_the_tables_cannot_give() -> None:
    """An item that cannot be split, at 60 fsw for 55 min of work: 56 min on the bottom leave 7 of its no-stop
    limit of 63 min (table 9-7), five short of a margin of 12 min."""
    made = job(item("A", 60, 55, splittable=False, margin_wanted_min=12))
    problem = prepare(made)
    least = least_short_min(problem, work_there_is(problem))
    ends = max(m.row_ends_min for m in problem.dives[0].modes if m.bottom_time_max_min >= 56)
    assert least == max(0, 12 - (ends - 56))


def test_one_dive_among_several_is_no_even_share() -> None:
    """One dive among three divers is one more than the others have, and one stands by for it: two turns. Of
    whoever has a dive less behind him the others' is made up."""
    problem = prepare(ONE)
    assert least_shares(problem, work_there_is(problem)) == 2
    behind = (PastDive(depth_fsw=30, bottom_time_min=10, surfaced_min=-5000, group_after="A"),)
    others = tuple(
        p.replace(past_dives=behind) if "diver" in p.duties and p.name != "Ciro" else p for p in PEOPLE
    )
    evened = prepare(ONE.replace(people=others))
    assert least_shares(evened, work_there_is(evened)) == 1


def test_beside_a_plan_in_force_the_smaller_crew_counts() -> None:
    """Two standby divers are asked for on a dive with stops, one on a dive without; beside a plan in force
    the search offers the larger crew only. A plan without stops that holds takes fewer people-hours than were
    told then of any (724 beside 661)."""
    two = CrewMinimum(duty=STANDBY, count=2, decompression=True, source="the test")
    made = job(item("A", 60, 40, splittable=False))
    made = with_rules(made, minima=(*made.rules.minima, two))
    more = (person("Nia", "tender", "chamber operator"), person("Ugo", "tender", "diver"))
    stops = made.site.replace(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, chamber_minutes_away=0)
    made = made.replace(people=(*made.people, *more), site=stops)
    plan = solve(made, seconds=1.0, workers=1).plan
    assert plan is not None
    for problem in (prepare(made), prepare(made, {})):
        assert PeopleBound(problem).all_the_work_min() <= values_of(made, plan)["people-hours"]
    assert PeopleBound(prepare(made)).all_the_work_min() > 0


# ------------------------------------------------------------------ overtime

SEVEN = tuple(p for p in PEOPLE if p.name != "Gus")


def test_overtime_of_a_hand_with_another_duty_is_no_more_than_a_plan_takes() -> None:
    """The job allows standby's tender and tender in one person, so the two who dress the diver dress the
    standby diver too, and six people do the day. What is told of those who must be there at both its ends
    counted their hands again, 370 min beside the 332 of a plan that holds."""
    made = job(item("A", 30, 40), people=SEVEN)
    pair = DutyPair(duty=STANDBY_TENDER, with_duty=TENDER)
    made = with_rules(made, pairs=(*made.rules.pairs, pair), overtime_after_min=30)
    plan = solve(made, seconds=2.0, workers=1).plan
    assert plan is not None and not check(made, plan)
    values = values_of(made, plan)
    assert values["finish"] == 512
    # One dive of 92 min from dressing until undressed: with that finish it begins 07:00 at the latest.
    told = overtime_bound(prepare(made), finish_min=512, latest_start_min=512 - 92)
    assert 0 < told <= values["overtime"]


def test_overtime_where_fewer_are_there_than_would_dress_both_at_once() -> None:
    """Seven people for a dive that would have eight with the standby diver dressed beside the diver: he is
    dressed before, and the day of all seven is told (the run ended with an error)."""
    made = with_rules(job(item("A", 30, 40), people=SEVEN), overtime_after_min=30)
    plan = solve(made, seconds=2.0, workers=1).plan
    assert plan is not None
    stages = {s.name: s for s in plan.stages}
    assert 0 < stages["overtime"].bound <= stages["overtime"].value


def test_overtime_before_the_finish() -> None:
    """An officer's own order with the overtime before the finish, on a day with standing work: planned, with
    a bound that the plan does not beat (the run ended with an error)."""
    made = job(item("A", 30, 40))
    made = with_rules(made, station_set_up_min=20, overtime_after_min=60, stage_order=("overtime", "finish"))
    plan = solve(made, seconds=2.0, workers=1).plan
    assert plan is not None
    assert [s.name for s in plan.stages][:3] == ["work finished", "overtime", "finish"]
    assert 0 < plan.stages[1].bound <= plan.stages[1].value


def test_the_hands_of_the_standby_diver_count_at_both_ends_of_a_day() -> None:
    """One dive in heavy dress, eight people, an ordinary day of an hour: 92 min from dressing to undressed.
    Eight have a duty at its start (supervisor, console and log, standby's tender, diver, two tenders, standby
    diver, and a second hand to dress him); the diver, his tenders, the standby diver and two hands, six, stay
    for all of it, and one of the watch until the divers are up, 20 min less: 6 × 32 + 12 min of overtime. Two
    set up 20 min before; the eighth, who is gone by then, may be one of them."""
    made = with_rules(job(item("A", 30, 40)), overtime_after_min=60)
    assert overtime_at_the_ends(prepare(made), 92, 0) == 6 * 32 + 12
    standing = prepare(with_rules(made, station_set_up_min=20, set_up_hands=2))
    assert overtime_at_the_ends(standing, 92, 20) == 6 * 32 + 12 + 20


def test_overtime_of_a_plain_day_by_who_can_hold_what() -> None:
    """Without standing work too: nine people for dives of eight, 07:00 to 15:36 without a gap, an ordinary
    day of 480 min. The five who undress the last diver are there for all of it, 36 min past; two of the nine
    can only lead or keep console and log, so that one of them is on the last watch and was on the first, 16
    past. A plan of the same job has that (below); by numbers alone it is 6 min less."""
    made = ladder_job(Rung(9, 1, 5, gear=Gear.HEAVY))
    problem = prepare(made)
    by_duty = overtime_at_the_ends(problem, 516, 516)
    assert by_duty == 5 * 36 + 16
    assert overtime_bound(problem, finish_min=936, latest_start_min=420) == by_duty - 6


@pytest.mark.long
def test_overtime_of_a_plain_day_is_proven() -> None:
    """The plan of that day has no more overtime than is told, and the search says so."""
    plan = solve(ladder_job(Rung(9, 1, 5, gear=Gear.HEAVY)), seconds=12.0, workers=1).plan
    assert plan is not None
    stage = next(s for s in plan.stages if s.name == "overtime")
    assert stage.proven and stage.value == 5 * 36 + 16


def test_overtime_told_from_the_work_alone() -> None:
    """The same without a search: six who are there for all of its 92 min, and one of the watch. A second
    dive behind it makes the day longer, and a plan of both takes no less."""
    one = with_rules(job(item("A", 30, 40)), overtime_after_min=60)
    assert of_all(least_overtime_min, one) == 6 * 32 + 12
    two = with_rules(job(item("A", 30, 40), item("B", 30, 30)), overtime_after_min=60)
    plan = solve(two, seconds=1.0, workers=1).plan
    assert plan is not None
    assert 6 * 32 + 12 < of_all(least_overtime_min, two) <= values_of(two, plan)["overtime"]


def test_windows_that_lie_apart_make_the_day_long() -> None:
    """A dive of 42 min of water from 07:30 to 08:30 is dressed for by 07:18 at the latest (30 min), one from
    13:30 on is undressed at 14:32 at the earliest (20 min): 434 min for two dives of 92. Six people are there
    for all of it. A minute off a window is a minute off that."""
    late = (Span(start_min=810, end_min=900),)

    def dived(ends_at: int) -> Job:
        first = item("A", 30, 40, splittable=False, windows=(Span(start_min=450, end_min=ends_at),))
        return job(first, item("B", 30, 40, splittable=False, windows=late))

    assert of_all(least_dived_min, dived(510)) == (810 + 42 + 20) - (510 - 42 - 30) == 434
    assert of_all(least_dived_min, dived(511)) == 433
    made = with_rules(dived(510), overtime_after_min=400)
    told = of_all(least_overtime_min, made)
    assert told >= 6 * 34
    plan = solve(made, seconds=1.0, workers=1).plan
    assert plan is not None and check(made, plan) == ()
    assert told <= values_of(made, plan)["overtime"]


def test_an_item_that_its_first_window_cannot_hold() -> None:
    """100 min of work at 30 fsw are 102 min in the water. Of the hour from 08:00 and the 90 min from 13:00
    the first holds 60: the last dive is up at 13:42 at the earliest, the first is down by 08:48."""
    windows = (Span(start_min=480, end_min=540), Span(start_min=780, end_min=870))
    split = job(item("A", 30, 100, least_useful_min=5, windows=windows))
    assert of_all(least_dived_min, split) == (822 + 20) - (528 - 30)
    # where a dive has 50 min at least, none ends sooner in the second window, nor begins later in the first
    longer = job(item("A", 30, 100, least_useful_min=50, windows=windows))
    assert of_all(least_dived_min, longer) == (780 + 52 + 20) - (540 - 52 - 30)


def test_overtime_over_several_days_by_hand() -> None:
    """One dive of 42 min of water, dressed in 30 min and undressed in 20, over two days with an ordinary day
    of an hour: on the first day alone 92 min, with six there for all of it (above; one of the watch is left
    out, who is gone where the standby diver is dressed before). Spread over both at least 42 + 2 × 50 min, 71
    a day, and six are 11 min past the hour on each."""
    two = with_site(with_rules(job(item("A", 30, 40)), overtime_after_min=60), days=2)
    problem = prepare(two)
    assert least_overtime_over_days(problem, problem.days[0].end_min) == 6 * 32
    assert least_overtime_over_days(problem) == 2 * 6 * 11
    # in a plan that must be over before it can be, there is nothing to tell
    assert least_overtime_over_days(problem, problem.days[0].start_min + 60) == 0


@pytest.mark.parametrize("order", [("finish", "overtime"), ("overtime", "finish")])
def test_no_plan_of_several_days_has_less_overtime_than_is_told(order: tuple[str, ...]) -> None:
    """Two dives over two days, with the finish first and with the overtime first: no plan of a search has
    less, nor one by rule of thumb with any order of its items, each held to its own finish."""
    made = with_rules(job(item("A", 30, 60), item("B", 40, 50)), overtime_after_min=120, stage_order=order)
    two = with_site(made, days=2)
    problem = prepare(two)
    found = [solve(two, seconds=2.0, workers=1).plan, *(first_plan(two, seed=seed) for seed in range(4))]
    for plan in found:
        assert plan is not None
        values = values_of(two, plan)
        assert values["work finished"] == work_there_is(problem)
        told = least_overtime_over_days(problem, values["finish"])
        assert least_overtime_over_days(problem) <= told <= values["overtime"]
    assert found[0] is not None
    stage = next(s for s in found[0].stages if s.name == "overtime")
    assert (stage.bound > 0) == (order[0] == "finish") and stage.bound <= stage.value


@pytest.mark.parametrize("ordinary_min", [120, 240, 480])
def test_the_sample_of_three_days_is_none_better_than_is_told(ordinary_min: int) -> None:
    """Its plan, judged by shorter ordinary days: no less overtime than is told of any plan as early."""
    made, plan = planned("three day outfall")
    shorter = with_rules(made, overtime_after_min=ordinary_min)
    problem, values = prepare(shorter), values_of(shorter, plan)
    assert values["work finished"] == work_there_is(problem)
    told = least_overtime_over_days(problem, values["finish"])
    assert told <= values["overtime"] and (told > 0) == (ordinary_min == 120)


def test_one_diver_cannot_do_more_than_his_dives_a_day() -> None:
    """Two dives a day, and 100 min at 60 fsw, where a dive without stops has 63 min on the bottom (table 9-7,
    60 fsw): two dives, one diver is enough. With one dive a day a second diver is needed."""
    made = job(item("A", 60, 100, same_diver=True))
    assert least_beyond_one_team(prepare(made)) == 0
    once = with_rules(made, dives_a_day=1)
    assert least_beyond_one_team(prepare(once)) == 1
    plan = solve(once, seconds=1.0, workers=1).plan
    assert plan is not None
    stage = next(s for s in plan.stages if s.name == "same diver")
    assert stage.bound == stage.value == 1


@pytest.mark.parametrize("sample", ["small heavy dress", "too much work"])
def test_no_sample_beats_what_is_told_before(sample: str) -> None:
    """The samples' plans are none better in any stage than what is told of their work without a search."""
    made, plan = planned(sample)
    problem = prepare(made)
    values = values_of(made, plan)
    assert values["work finished"] <= most_work(problem)
    assert (sample == "too much work") == (most_work(problem) < work_there_is(problem))
    for name, least in (
        ("decompression", least_decompression_min),
        ("nitrogen", least_nitrogen),
        ("minutes in hand", least_short_min),
        ("fair shares", least_shares),
    ):
        assert name not in values or least(problem, values["work finished"]) <= values[name], name
    assert least_nitrogen(problem, values["work finished"]) > 0
    if values["work finished"] == work_there_is(problem):
        assert 0 < least_overtime_min(problem, work_there_is(problem)) <= values["overtime"]


def test_a_search_without_time_tells_them_all_the_same() -> None:
    """With next to no time every stage has the bound that is known of the work."""
    made = job(item("A", 40, 40), item("B", 30, 30))
    problem, plan = prepare(made), solve(made, seconds=0.01, workers=1).plan
    assert plan is not None
    bounds = {s.name: s.bound for s in plan.stages}
    work = work_there_is(problem)
    assert bounds["work finished"] == work
    assert bounds["finish"] >= least_finish_min(problem, work_there_is(problem)) > problem.window.start_min
    assert bounds["nitrogen"] >= least_nitrogen(problem, work) > 0
    assert bounds["people-hours"] > 0


def test_a_deadline_counted_by_steps_leaves_the_clock_alone() -> None:
    """What a solve took is counted at the measured rate; by the clock nothing is."""
    counted, clock = Deadline(10.0), Deadline(10.0, counted=False)
    counted.reserve_s = 1.0
    assert counted.left_s == 9.0
    assert 9.0 < clock.left_s < 10.0
    assert SECONDS_A_COUNTED > 1


def test_past_the_deadline_a_step_has_half_a_second() -> None:
    """By the clock a step that must end with an answer gets no more than what is left, and half a second past
    it; counted by steps it gets what it asks for, whatever the clock says."""
    for deadline, seconds in ((Deadline(0.0, counted=False), LEAST_STEP_S), (Deadline(0.0), math.inf)):
        solver = cp_model.CpSolver()
        deadline.step(solver, 8.0)
        assert solver.parameters.max_time_in_seconds == seconds
        assert solver.parameters.max_deterministic_time == 8.0 / SECONDS_A_COUNTED


def test_looking_on_changes_nothing() -> None:
    """One worker: a search that shows each better plan comes to the same as one that shows none."""
    made = job(item("A", 40, 40), item("B", 30, 30))
    seen: list[Progress] = []
    plans = [solve(made, seconds=1.0, workers=1, on_progress=told).plan for told in (None, seen.append)]
    assert seen
    assert plans[0] is not None and plans[1] is not None
    assert (plans[0].dives, plans[0].duties) == (plans[1].dives, plans[1].duties)


def test_workers_default_to_the_cores() -> None:
    """At least two, so that only who asks for one has a run that repeats, and no more than pay."""
    assert 2 <= workers_here() <= MOST_WORKERS
