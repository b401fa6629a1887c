"""The stages of the objective, added up by hand from the sound plan of these tests.

People-hours: the crew of dives 1 and 3 is there 293 (Ana, Dan, Tia, Uwe, Yan), 273 (Cal, Sam), 303 (Pia) and
353 min (Tom, who rigs from 07:00), that of dive 2 58 (three) and 68 min (six), Rob 240 and Cat 60.

Way up at 30 fsw/min (U.S. Navy Diving Manual, Revision 7, table 9-7): 2:00 from 60 fsw, twice; 1:20 from
40 fsw for two, each rounded up to 2 min: 8 min. Groups at surfacing, A as 1: 8 + 5 + 5 + 11 for H, E, E, K.
Dives: Ana two, Bo one and one before the job, Cruz one, Dan and Eli none; standing by: Dan two, Eli one.
"""

from __future__ import annotations

from typing import Any

import pytest

from planner.check import check
from planner.check.facts import Facts
from planner.check.stages import (
    CHANGED_DUTIES,
    StageKind,
    between_dives_min,
    minutes_short,
    share_takers,
    stage_kinds,
)
from planner.job import Job, Pin, PinKind, WorkSpell
from planner.job.duties import DIVER, TENDER
from planner.plan import Plan, Stage, Status
from planner.schedule.problem.prepare import prepare
from tests.world.chamber_day import through_the_chamber
from tests.world.changed import with_diver, with_item, with_person, with_rules, with_spells
from tests.world.longer_days import over_two_days
from tests.world.parts import at, span
from tests.world.quay import SOUTH, WRAP, a_job, a_plan
from tests.world.sample_plans import SAMPLES

PLAN, JOB = a_plan(), a_job()
PEOPLE_MIN = 5 * 293 + 2 * 273 + 303 + 353 + 3 * 58 + 6 * 68 + 240 + 60
BY_HAND = {
    "work finished": 1520,
    "finish": at(12, 53),
    "overtime": 0,
    "decompression": 8,
    "nitrogen": 8 + 5 + 5 + 11,
    "same diver": 0,
    "fair shares": (2 - 0) + (2 - 0),
    "people-hours": PEOPLE_MIN,
}


def stage(kind: StageKind, value: float) -> Stage:
    """A stage that is not proven."""
    bound = 1_000_000 if kind.maximise else -1
    return Stage(
        name=kind.name, unit=kind.unit, value=value, bound=bound, maximise=kind.maximise, proven=False
    )


def told(plan: Plan, job: Job, values: dict[str, int], **changes: Any) -> Plan:
    """The plan with every stage of its job, as one whose search has ended."""
    stages = tuple(stage(kind, values[kind.name]) for kind in stage_kinds(job))
    return plan.replace(stages=stages, **{"status": Status.FEASIBLE, **changes})


def broken(plan: Plan, job: Job) -> set[tuple[str, str]]:
    return {(b.rule, b.where) for b in check(job, plan)}


def test_every_stage_is_added_up_again() -> None:
    """The values by hand hold; each of them a minute, a group or a turn off is convicted, by its stage."""
    assert PEOPLE_MIN == 3549
    assert broken(told(PLAN, JOB, BY_HAND), JOB) == set()
    for kind in stage_kinds(JOB):
        for off in (-1, 1):
            wrong = {**BY_HAND, kind.name: BY_HAND[kind.name] + off}
            assert broken(told(PLAN, JOB, wrong), JOB) == {("objective-values", f"stage {kind.name}")}


def test_overtime_is_what_passes_the_ordinary_day() -> None:
    """With an ordinary day of five hours Tom is there 53 and Pia 3 min longer."""
    job = with_rules(JOB, overtime_after_min=300)
    assert broken(told(PLAN, job, {**BY_HAND, "overtime": 56}), job) == set()
    assert broken(told(PLAN, job, BY_HAND), job) == {("objective-values", "stage overtime")}


def test_the_way_up_through_the_chamber_counts_to_its_end() -> None:
    """U.S. Navy Diving Manual, Revision 7, table 9-9: surface decompression ends in the chamber.

    The third dive leaves the bottom at 12:36 and is out of the chamber at 12:59: 23 min in place of 2.
    """
    plan, job = through_the_chamber()
    finding = "stage decompression"
    values = {**BY_HAND, "work finished": 1600, "finish": at(12, 58), "decompression": 6 + 23}
    assert ("objective-values", finding) not in broken(told(plan, job, values), job)
    assert ("objective-values", finding) in broken(told(plan, job, {**values, "decompression": 8}), job)


def test_a_night_between_two_working_days_is_no_duty() -> None:
    """With dive 3 on the next day each day counts by itself: 867 and 717 min for its crew."""
    plan, job = over_two_days()
    first = 5 * 93 + 2 * 73 + 103 + 153
    second = 6 * 83 + 2 * 63 + 93
    both = first + second + 3 * 58 + 6 * 68 + 240 + 60
    assert both == 2466
    # Ana is clean again: group F after 31 min
    values = {
        **BY_HAND,
        "finish": 1440 + at(8, 23),
        "nitrogen": 8 + 5 + 5 + 6,
        "people-hours": both,
    }
    assert broken(told(plan, job, values), job) == set()
    wrong = {**values, "people-hours": PEOPLE_MIN}
    assert broken(told(plan, job, wrong), job) == {("objective-values", "stage people-hours")}


@pytest.mark.parametrize(("diver", "beyond"), [("Ana", 0), ("Tia", 1)])
def test_divers_beyond_one_team(diver: str, beyond: int) -> None:
    """Ana makes both dives on the piles: none beyond one team. With another on the second: one."""
    plan = with_spells(with_diver(PLAN, "3", "Ana", person=diver), "3", DIVER, "Ana", person=diver)
    job = with_item(JOB, WRAP, same_diver=True)
    finding = ("objective-values", "stage same diver")
    assert finding not in broken(told(plan, job, {**BY_HAND, "same diver": beyond}), job)
    assert finding in broken(told(plan, job, {**BY_HAND, "same diver": beyond + 1}), job)
    # Where it is not asked for there is no such stage.
    assert not any(s.name == "same diver" for s in told(PLAN, JOB, BY_HAND).stages)


@pytest.mark.parametrize("later_min", [0, 1, 1440])
def test_minutes_between_dives(later_min: int) -> None:
    """The two dives on the piles: the first is up at 09:13, the second leaves at 12:00, 167 min later; a
    minute or a day more where it leaves later. What lies between dives of other items is not counted; a third
    dive beside one of them neither adds nor takes."""
    piles = [d for d in PLAN.dives if d.item == WRAP]
    assert [d.id for d in piles] == ["1", "3"]
    gap = piles[1].leave_surface_min - piles[0].reach_surface_min
    assert gap == at(12) - at(9, 13)
    times = ("dress_start", "leave_surface", "reach_bottom", "leave_bottom", "reach_surface", "undressed")
    later = {f"{t}_min": getattr(piles[1], f"{t}_min") + later_min for t in times}
    plan = PLAN.replace(dives=tuple(d.replace(**later) if d.id == "3" else d for d in PLAN.dives))
    job = with_item(JOB, WRAP, in_one_go=True)
    assert between_dives_min(Facts(job, plan)) == gap + later_min
    beside = plan.replace(dives=(*plan.dives, piles[0].replace(id="9", station=SOUTH)))
    assert between_dives_min(Facts(job, beside)) == gap + later_min
    assert between_dives_min(Facts(JOB, plan)) == 0


def test_in_one_go_is_a_stage_where_it_is_asked_for() -> None:
    """Told with its value it holds, a minute off it is convicted; without the wish there is no such stage,
    nor where the item is one dive only."""
    job = with_item(JOB, WRAP, in_one_go=True)
    finding = ("objective-values", "stage in one go")
    assert finding not in broken(told(PLAN, job, {**BY_HAND, "in one go": 167}), job)
    assert finding in broken(told(PLAN, job, {**BY_HAND, "in one go": 166}), job)
    names = [kind.name for kind in stage_kinds(with_item(job, WRAP, same_diver=True))]
    assert names.index("in one go") == names.index("same diver") + 1
    for other in (JOB, with_item(job, WRAP, splittable=False)):
        assert "in one go" not in {kind.name for kind in stage_kinds(other)}


def test_changed_duties_are_counted_where_the_plan_in_force_is_known() -> None:
    """Vic and Wes in place of Tom and Tia on the third dive: two duties given, two taken away."""
    before = PLAN
    for old, new in (("Tom", "Vic"), ("Tia", "Wes")):
        before = with_spells(before, "3", TENDER, old, person=new)
    own = told(PLAN, JOB, BY_HAND)
    for count, expected in ((4, set()), (3, {("objective-values", "stage changed duties")})):
        stages = (own.stages[0], stage(CHANGED_DUTIES, count), *own.stages[1:])
        plan = own.replace(stages=stages)
        found = {(b.rule, b.where) for b in check(JOB, plan, in_force=before)}
        assert found == expected
        # without the plan in force there is nothing to count it by
        assert broken(plan, JOB) == set()
    assert {b.rule for b in check(JOB, own, in_force=before)} == {"objective-stages"}


def test_the_list_of_stages_is_whole_and_in_order() -> None:
    """No stage missing, doubled, foreign or out of turn; unit and direction are those of the stage."""
    whole = told(PLAN, JOB, BY_HAND)
    stages = whole.stages
    for wrong in (
        stages[:-1],
        stages[1:],
        (*stages[:2], *stages[3:]),
        (*stages[:2], stages[1], *stages[2:]),
        (*stages, stages[-1]),
        (stages[1], stages[0], *stages[2:]),
        (*stages[:6], stages[6].replace(name="beauty")),
        (stages[0].replace(unit="minutes"), *stages[1:]),
        (*stages[:6], stages[6].replace(maximise=True, bound=1e6)),
    ):
        assert {rule for rule, _ in broken(whole.replace(stages=wrong), JOB)} == {"objective-stages"}


def test_a_plan_without_stages_claims_nothing() -> None:
    """``stages: []`` with "proven best" is convicted; a plan moved by hand tells none and claims no proof."""
    bare = PLAN.replace(stages=())
    assert broken(bare.replace(status=Status.PROVEN_BEST), JOB) == {("objective-stages", "plan")}
    assert broken(bare.replace(status=Status.FEASIBLE), JOB) == set()
    for count in range(8):
        first = told(PLAN, JOB, BY_HAND).stages[:count]
        assert broken(PLAN.replace(stages=first, status=Status.CONSTRUCTIVE), JOB) == set()


def test_proven_is_what_meets_its_bound() -> None:
    """Proven without meeting the bound, a value past its bound, a part of a minute: convicted."""
    whole = told(PLAN, JOB, BY_HAND)
    finish = whole.stages[1]
    for wrong in (
        finish.replace(proven=True),
        finish.replace(bound=finish.value + 1),
        finish.replace(value=finish.value + 0.3),
        finish.replace(bound=finish.value - 0.3, proven=True),
    ):
        stages = (whole.stages[0], wrong, *whole.stages[2:])
        assert broken(whole.replace(stages=stages), JOB) == {("objective-values", "stage finish")}
    stages = (whole.stages[0], finish.replace(bound=finish.value, proven=True), *whole.stages[2:])
    assert broken(whole.replace(stages=stages), JOB) == set()


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_turns_are_shared_between_the_same_people_for_both(name: str) -> None:
    """Check and scheduler, each by its own arithmetic, share the turns between the same people."""
    job = SAMPLES[name]()
    diver = next(p for p in job.people if "diver" in p.duties)
    start = job.day_windows[0].start_min
    for changed in (
        job,
        with_person(job, diver.name, depth_rating_fsw=1),
        with_person(job, diver.name, last_duty_end_min=start + 3000),
        job.replace(pins=(Pin(kind=PinKind.STAYS_UP, person=diver.name),)),
        job.replace(
            pins=(
                Pin(
                    kind=PinKind.AWAY, person=diver.name, start_min=start, end_min=job.day_windows[-1].end_min
                ),
            )
        ),
        job.replace(pins=(Pin(kind=PinKind.AWAY, person=diver.name, start_min=start, end_min=start + 60),)),
    ):
        found, own = prepare(changed).share_takers, share_takers(changed)
        assert (set(found.dives), set(found.standing_by)) == own


@pytest.mark.parametrize(("wanted_min", "short_min"), [(3, 0), (4, 1), (10, 7), (25, 3 + 22)])
def test_minutes_in_hand_by_hand(wanted_min: int, short_min: int) -> None:
    """Rows of 63, 163 and 63 min for 41, 41 and 60 leave 22, 122 and 3 min; what is missing is added up."""
    job = with_rules(JOB, margin_wanted_min=wanted_min)
    assert minutes_short(Facts(job, PLAN)) == short_min


@pytest.mark.parametrize("rules", [{"rest_in_24h_min": 600}, {"rest_in_7d_min": 4620}])
def test_who_cannot_rest_enough_shares_no_turns(rules: dict[str, int]) -> None:
    """Ana has worked for a week without a break when the job begins, is there for nine hours and away three
    times in between: by either of the two rules no minute is left for her; without one she has her turns."""
    past = (WorkSpell(start_min=-7 * 1440, end_min=at(7)),)
    away = tuple(
        Pin(kind=PinKind.AWAY, person="Ana", start_min=start, end_min=start + 60)
        for start in (at(9), at(12), at(14))
    )
    job = with_person(JOB, "Ana", past_work=past, available=(span(at(7), at(16)),)).replace(pins=away)
    assert "Ana" in share_takers(job)[0]
    assert "Ana" not in share_takers(with_rules(job, **rules))[0]
