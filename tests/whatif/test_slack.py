"""What dives have to spare: a plan by hand and its samples, shifted minute by minute."""

from __future__ import annotations

import pytest

from planner import slack
from planner.check import check
from planner.day.by_hand import Move, moved, worked_out
from planner.job import Pin, PinKind
from planner.plan import Plan
from planner.whatif.slack import MOST_DIVES, MOST_MIN, SURVIVES_MIN, slack_told
from tests.world.changed import with_item, with_rules, with_site
from tests.world.quay import WRAP, a_job, a_plan
from tests.world.sample_plans import planned

JOB, PLAN = a_job(), a_plan()


def alone(dive: str, by_min: int) -> Plan:
    """The plan with one dive later."""
    start = next(d.leave_surface_min for d in PLAN.dives if d.id == dive)
    return moved(PLAN, JOB, Move(dive=dive, start_min=start + by_min), lambda _: 0)


def test_the_last_dive_slips_to_the_end_of_its_slack_water() -> None:
    """Dive 3 leaves the surface at 12:00 and is up 33 min later, in a slack that ends at 13:30: 57 min."""
    room = slack(JOB, PLAN).of("3").slip
    assert room.minutes == 57
    assert room.breaks is not None and room.breaks.rule == "slack-water"
    assert check(JOB, alone("3", 57)) == ()
    assert "slack-water" in {f.rule for f in check(JOB, alone("3", 58))}


def test_the_end_of_the_row_is_what_lasting_longer_meets() -> None:
    """Dive 3: equivalent 60 of the 63 min at 60 fsw (table 9-7): 3 min more, then it needs stops."""
    room = slack(JOB, PLAN).of("3").longer
    assert room.minutes == 3
    assert room.breaks is not None and room.breaks.rule == "way-up-policy"


def test_the_job_itself_is_not_what_breaks() -> None:
    """That an item would get more minutes than it needs is no reason: its work then takes longer."""
    for one in slack(JOB, PLAN).dives:
        assert one.longer.breaks is None or one.longer.breaks.rule != "work-not-exceeded"


def test_a_pinned_start_has_no_slip() -> None:
    """What is pinned to the minute may not slip by one."""
    start = PLAN.dives[0].leave_surface_min
    pinned = JOB.replace(pins=(Pin(kind=PinKind.STARTS, item=WRAP, start_min=start),))
    if check(pinned, PLAN.replace(stages=())):
        pytest.fail("the plan keeps the pin as it stands")
    room = slack(pinned, PLAN).dives[0].slip
    assert room.minutes == 0
    assert room.breaks is not None and room.breaks.rule == "pins-kept"


@pytest.mark.parametrize("name", ["small heavy dress", "too much work"])
def test_each_minute_told_holds_and_the_next_breaks(name: str) -> None:
    """What is told holds, the dive alone or all after it pushed along; a minute more does not."""
    job, plan = planned(name)
    bare = plan.replace(stages=())
    order, looked_at = sorted(bare.dives, key=lambda d: d.leave_surface_min), 0
    for k, one in enumerate(slack(job, plan).dives):
        after = {d.id for d in order[k:]}

        def holds(by_min: int, moving: set[str]) -> bool:
            dives = tuple(d.later(by_min) if d.id in moving else d for d in bare.dives)
            return not check(job, worked_out(bare.replace(dives=dives), job, bare))

        tasks = [t for t in bare.surface_tasks if t.start_min >= order[k].leave_surface_min]
        if tasks:
            continue
        looked_at += 1
        told = one.slip.minutes
        for by_min in {1, told // 2, told} - {0}:
            assert holds(by_min, after) or holds(by_min, {one.dive}), (one.dive, by_min)
        if one.slip.breaks is not None:
            assert not holds(told + 1, after) and not holds(told + 1, {one.dive})
    assert looked_at


def test_whoever_undresses_a_standby_begins_when_the_dive_is_up() -> None:
    """A dive that lasts longer takes the end of its watch along: nobody holds two posts for it."""
    job, plan = planned("three day outfall")
    dive = plan.dives[7]
    late = [s for s in plan.duties if s.dive == dive.id and s.start_min == dive.reach_surface_min]
    assert late
    longer = moved(plan, job, Move(dive=dive.id, bottom_time_min=dive.bottom_time_min + 5), lambda _: 0)
    up = next(d.reach_surface_min for d in longer.dives if d.id == dive.id)
    assert up >= dive.reach_surface_min + 5
    moved_late = [s for s in longer.duties if s.dive == dive.id and s.start_min == up]
    assert [(s.person, s.duty) for s in moved_late] == [(s.person, s.duty) for s in late]


def test_the_day_is_told_in_a_sentence() -> None:
    """A day that survives a quarter of an hour says so; one that does not names the dive and the rule."""
    found = slack(JOB, PLAN)
    worst = min(found.dives, key=lambda one: one.slip.minutes)
    if worst.slip.minutes >= SURVIVES_MIN:
        assert found.breaks_first is None
        assert found.words.startswith(f"A slip of {SURVIVES_MIN} min of any dive breaks no rule.")
    tight = with_site(JOB, day_end=JOB.clock.at(PLAN.end_min + 4).time())
    short = slack(tight, PLAN)
    assert short.breaks_first is not None
    assert short.breaks_first.slip.minutes <= 4
    assert "does not fit" in short.words and "day-window" in short.words


def test_what_breaks_first_is_told_with_the_dive_and_the_minute() -> None:
    """Later and longer each name the dive with the least room that ends, and the sentence of the rule; what
    the day's own sentence has told already does not come twice."""
    job, plan = planned("tidal pier")
    found = slack(job, plan)
    later = min((d for d in found.dives if d.slip.breaks), key=lambda d: d.slip.minutes)
    longer = min((d for d in found.dives if d.longer.breaks), key=lambda d: d.longer.minutes)
    assert later.slip.breaks and longer.longer.breaks and later != longer
    assert found.breaks_words == (
        f"Leaving later, {later.dive} breaks first, after {later.slip.minutes} min: "
        f"{later.slip.breaks.sentence} "
        f"Lasting longer, {longer.dive} breaks first, after {longer.longer.minutes} min: "
        f"{longer.longer.breaks.sentence}"
    )
    tight = with_site(JOB, day_end=JOB.clock.at(PLAN.end_min + 4).time())
    assert "Leaving later" not in slack(tight, PLAN).breaks_words
    assert slack(JOB, PLAN.replace(dives=(), duties=())).breaks_words == ""


def test_a_plan_without_dives_says_nothing() -> None:
    """No dive, no words."""
    assert slack(JOB, PLAN.replace(dives=(), duties=())).words == ""


def test_a_plan_of_many_dives_is_not_told() -> None:
    """Past so many dives screens and sheets leave it out; asked for, it is worked out."""
    many = PLAN.replace(dives=PLAN.dives * (MOST_DIVES // len(PLAN.dives) + 1))
    assert slack_told(JOB, many) is None
    assert slack_told(JOB, PLAN) == slack(JOB, PLAN)


def test_nothing_is_looked_at_past_an_hour() -> None:
    """Where nothing breaks, it says *or more*."""
    free = with_rules(with_item(JOB, WRAP, needs_slack=False), bottom_minutes_a_day=1440)
    for one in slack(free, PLAN).dives:
        for room in (one.slip, one.longer):
            assert 0 <= room.minutes <= MOST_MIN
            assert room.words.endswith("or more") is (room.breaks is None)
