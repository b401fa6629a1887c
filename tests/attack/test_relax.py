"""Relax and attack: what the check accepts of a small world, the scheduler's model has room for.

For each rule the job of `tests.schedule.test_each_rule_decides` (or of the tests of hours) in which that rule
alone decides, on its right side; and a random job for each switch of the attack. Its plan is moved at random,
and each moved plan that the check accepts is fixed in the model. A model that shuts one out is narrower than
the check there, and what it finds must not be called proven.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from planner.check import RULES, check
from planner.check.stages import OVERTIME
from planner.job import Job, Policy, Span
from planner.job.cross_checks import cross_faults
from planner.job.duties import STANDBY_TENDER, TENDER, DutyPair
from planner.plan import Plan, Status
from planner.schedule import first_plan, solve
from planner.schedule.problem.prepare import prepare
from tests.attack.base_job import Switch, rules
from tests.attack.crew_switches import hand_over, minutes_in_hand, past_dives
from tests.attack.jobs import SWITCHES, job_with
from tests.attack.replay import Replay, overtime_of_its_ends
from tests.attack.run import Walk
from tests.attack.water_switches import altitude, stops, surface_decompression, tide
from tests.attack.work_switches import two_divers
from tests.schedule.day import item, job
from tests.schedule.test_each_rule_decides import BY_CONSTRUCTION, OF_PLANT_AND_GEAR, PAIRS
from tests.schedule.test_hours_rules import CASES, ruled
from tests.schedule.test_policies import chamber_job
from tests.world.changed import shifted, with_person

#: Moved plans that the check is asked about, of each job.
MOVES, MANY = 20, 120

Made = Callable[[], Job]


def _right(rule: str) -> Made:
    return lambda: PAIRS[rule][1]


def _held(rule: str) -> Made:
    return lambda: ruled(CASES[rule].without(), **CASES[rule].asked)


def _held_short(rule: str) -> Made:
    """The same with one short dive: late on the day all the same, and found in a moment."""
    return lambda: _held(rule)().replace(dive_items=(item("A", 30, 40),))


def _stops() -> Job:
    return chamber_job(Policy.IN_WATER_STOPS)


def _through_the_chamber() -> Job:
    return chamber_job(Policy.SURFACE_DECOMPRESSION)


def _standing() -> Job:
    """A dive with standing work around it on a day that has time to spare."""
    made = job(item("A", 30, 40))
    return rules(made, station_set_up_min=20, station_strike_min=10, inspection_heavy_min=5, cleaning_min=5)


def _called_together() -> Job:
    """Two dives, one briefing for the whole crew, one who comes at nine."""
    made = rules(job(item("A", 30, 40), item("B", 25, 30)), briefing_min=15, one_briefing=True)
    return with_person(made, "Gus", available=(Span(start_min=540, end_min=made.day_windows[0].end_min),))


#: Rule → a small job in which it decides.
WORLDS: dict[str, Made] = {
    **{rule: _right(rule) for rule in PAIRS},
    **{rule: _held(rule) for rule in CASES},
    **{rule: _held_short(rule) for rule in ("rest-10-in-24", "rest-six-hours")},
    "day-blocks": _standing,
    "one-briefing": _called_together,
    "table-row": _stops,
    "in-the-chamber": _through_the_chamber,
    "chamber-one-at-a-time": _through_the_chamber,
}

#: Rules that the model does not state, and why.
NOT_STATED = {
    **dict.fromkeys(BY_CONSTRUCTION - WORLDS.keys(), "what a plan is made from: there is nothing to choose"),
    **dict.fromkeys(OF_PLANT_AND_GEAR, "stated by air limits and outfits: the switches of air below"),
    "chamber-gas": "stated as sums over the day, each exact: tests/schedule/test_policies.py",
    "rest-between-days": "needs two days: the switch several_days below",
}


def start_of(job: Job) -> Plan | None:
    """A plan of the job that holds, made in a moment; None where nothing can be planned."""
    plan = first_plan(job) or solve(job, seconds=2, workers=1, only_work=True).plan
    return None if plan is None else plan.replace(stages=())


def shut_out(job: Job, plan: Plan, moves: int) -> tuple[int, list[str]]:
    """How many moved plans of a job hold, and those of them that the model has no room for."""
    replay = Replay(job)
    held, told = 0, []
    for moved, _, how in Walk(job, Random(1), [plan], moves):
        held += 1
        why = replay.shuts_out(moved)
        if why is not None:
            told.append(f"{how}: {why}")
    return held, told


def test_every_rule_has_a_world_or_a_reason() -> None:
    """Each rule of the catalogue is attacked here, or it is told why the model has nothing to say of it."""
    assert WORLDS.keys() | NOT_STATED.keys() == set(RULES)


@pytest.mark.parametrize("rule", sorted(WORLDS))
def test_the_model_has_room_for_what_the_check_accepts(rule: str) -> None:
    """Moved plans that hold are in the model of the job in which the rule decides."""
    job = WORLDS[rule]()
    plan = start_of(job)
    assert plan is not None
    held, told = shut_out(job, plan, MOVES)
    assert held > 0
    assert told == []


#: What makes the minutes in hand of a plan hard to see for a model.
OF_MINUTES_IN_HAND = (stops, surface_decompression, past_dives, two_divers, tide, altitude)


def in_hand_seen(switch: Switch, moves: int) -> int:
    """How many moved plans with that switch on have no more in hand than the model allows."""
    held = 0
    for seed in range(2100, 2112):
        job = minutes_in_hand(Random(f"{seed} margin"), job_with(switch, seed))
        plan = None if cross_faults(job) else start_of(job)
        if plan is not None:
            own, told = shut_out(job, plan, moves)
            held += own
            assert told == [] or not Replay(job).problem.as_wide_as_the_check, seed
        if held > moves:
            break
    return held


def test_no_plan_has_more_in_hand_than_the_model_sees() -> None:
    """The minutes short of the margin, as the check counts them, are no fewer than the model allows."""
    assert in_hand_seen(stops, MOVES // 2) > 0


@pytest.mark.long
@pytest.mark.parametrize("switch", OF_MINUTES_IN_HAND, ids=lambda s: str(s.__name__))
def test_no_plan_has_more_in_hand_than_the_model_sees_at_length(switch: Switch) -> None:
    """The same for everything that makes them hard to see, with more moves."""
    assert in_hand_seen(switch, MANY) > MOVES


def _hands_in_a_pair() -> Job:
    """A dive whose diver and standby diver may be dressed by the same two."""
    made = job(item("A", 30, 40))
    return rules(made, pairs=(*made.rules.pairs, DutyPair(duty=STANDBY_TENDER, with_duty=TENDER)))


@pytest.mark.parametrize(
    "made", [WORLDS["day-blocks"], WORLDS["standby-dressing"], WORLDS["hand-over"], _hands_in_a_pair]
)
def test_no_plan_has_less_overtime_than_its_ends_ask_for(made: Made) -> None:
    """Moved plans that hold, with an ordinary day of 45 min: none has less overtime than is told of those
    who are there when it begins and when it ends, nor than a model that counts support duties holds."""
    job = rules(made(), overtime_after_min=45)
    plan, problem, told = start_of(job), prepare(job), []
    replay = Replay(job)
    assert plan is not None
    for moved, values, how in Walk(job, Random(2), [plan], 4 * MOVES):
        if moved.dives:
            told.append((overtime_of_its_ends(problem, moved), values[OVERTIME.name], how))
            assert not problem.as_wide_as_the_check or replay.shuts_out(moved) is None, how
    assert told and all(0 < bound <= value for bound, value, _ in told), told


def test_the_replay_shuts_out_what_breaks_a_rule() -> None:
    """A plan with a dive a day too early is outside the model: the replay can say no."""
    job = WORLDS["precedence"]()
    plan = start_of(job)
    assert plan is not None
    replay = Replay(job)
    assert replay.shuts_out(plan) is None
    late = shifted(plan, plan.dives[0].id, 60)
    assert check(job, late)
    assert replay.shuts_out(late) is not None


# ------------------------------------------------------------------ on the safe side

#: Where the model is narrower than the check → a job of that kind, and why the model stays so.
SAFE_SIDE: dict[str, tuple[Made, str]] = {
    "hand-over in mid-dive": (
        lambda: rules(PAIRS["hand-over"][1], hand_over_min=5, hand_over_lead_min=5),
        "one person holds a post for a whole dive in the model; whom a hand-over would help is for the "
        "supervisor to see",
    ),
}

#: Switches that turn such a thing on.
SAFE_SWITCHES = (hand_over,)


@pytest.mark.parametrize("kind", SAFE_SIDE)
def test_on_the_safe_side_nothing_is_called_proven_best(kind: str) -> None:
    """Where the model may leave out plans that the check accepts, a plan is the best of those looked for."""
    plan = solve(SAFE_SIDE[kind][0](), seconds=4, workers=1).plan
    assert plan is not None
    assert plan.status in (Status.LOOKED_FOR, Status.FEASIBLE)


@pytest.mark.long
@pytest.mark.parametrize("switch", SWITCHES, ids=lambda s: str(s.__name__))
def test_the_model_has_room_with_each_switch(switch: Switch) -> None:
    """Moved plans of random jobs with the switch on that hold are in the model, or nothing is proven."""
    held = 0
    for seed in range(2000, 2012):
        job = job_with(switch, seed)
        if cross_faults(job):
            continue
        plan = start_of(job)
        if plan is None:
            continue
        own, told = shut_out(job, plan, MANY)
        held += own
        if told and (switch in SAFE_SWITCHES or not Replay(job).problem.as_wide_as_the_check):
            continue
        assert told == [], seed
        if held > MANY:
            break
    assert held > 0
