"""Whatever a plan holds, the check answers with breaches, never with a traceback."""

from __future__ import annotations

from typing import Any

import hypothesis.strategies as st

from planner.check import RULES, air_findings, check
from planner.job import PastDive, Pin, PinKind, Policy, WorkSpell
from planner.job.base import Part
from planner.plan import DutySpell, Plan, unchecked
from tests.world.changed import with_item, with_person, with_rules, with_site
from tests.world.longer_days import with_charted_depth
from tests.world.quay import AIR, ANODES, GATE, NORTH, RIG, SOUTH, WRAP, a_job, a_plan
from tests.world.random_cases import held_for

JOB, PLAN = a_job(), a_plan()

MINUTES = st.one_of(st.integers(300, 1300), st.integers(-50_000, 50_000), st.integers())
NAMES = st.one_of(
    st.sampled_from(
        [p.name for p in JOB.people]
        + [WRAP, ANODES, GATE, RIG, NORTH, SOUTH, "H1", "L1", "1", "2", "diver", "supervisor", "rigger"]
    ),
    st.text(max_size=5),
)


def _value(name: str, old: object) -> st.SearchStrategy[Any]:
    """New values for a field of a plan's part."""
    if isinstance(old, bool):
        return st.booleans()
    if name.endswith("_min") or isinstance(old, int):
        return MINUTES
    if isinstance(old, float):
        return st.floats()
    if isinstance(old, str):
        return NAMES
    if isinstance(old, tuple):
        return st.permutations(old).map(lambda parts: tuple(parts[: len(parts) // 2]))
    return st.just(old)


def _changed(draw: st.DrawFn, part: Part) -> Part:
    """One field of a part changed, or of a part within it; the part itself where the value is no good."""
    names = sorted(type(part).model_fields)
    name = draw(st.sampled_from(names))
    old = getattr(part, name)
    if isinstance(old, tuple) and old and isinstance(old[0], Part) and draw(st.booleans()):
        index = draw(st.integers(0, len(old) - 1))
        new: object = (*old[:index], _changed(draw, old[index]), *old[index + 1 :])
    elif isinstance(old, Part):
        new = _changed(draw, old)
    elif isinstance(part, DutySpell) and name in ("dive", "station", "outfit"):
        new = draw(st.none() | NAMES)
    else:
        new = draw(_value(name, old))
    return part.model_copy(update={name: new})


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """The sound plan with one to six fields changed at random."""
    plan: Part = PLAN
    for _ in range(draw(st.integers(1, 6))):
        plan = _changed(draw, plan)
    assert isinstance(plan, Plan)
    return plan


@held_for(plans(), quick=25, long=300)
def test_any_plan_is_answered_about_its_air(plan: Plan) -> None:
    """Where the job has an air plant, flow, reserve and tests are worked out for any plan."""
    for finding in air_findings(JOB.replace(air=AIR), plan):
        assert finding.rule in RULES
        assert finding.sentence


def test_a_dive_above_the_water_is_answered() -> None:
    """A depth below 0 is convicted as no depth of the item; its air is not worked out."""
    job = JOB.replace(air=AIR)
    plan = PLAN.replace(dives=(PLAN.dives[0].replace(depth_fsw=-5), *PLAN.dives[1:]))
    assert "depth-of-item" in {finding.rule for finding in check(job, plan)}


@held_for(plans(), quick=50, long=600)
def test_any_plan_is_answered(plan: Plan) -> None:
    """A sound plan changed at random in times, names and numbers never ends in a traceback."""
    for breach in check(JOB, plan):
        assert breach.rule in RULES
        assert breach.sentence


@held_for(
    plans(),
    st.sampled_from(Policy),
    st.integers(0, 10_000),
    st.lists(
        st.builds(
            PastDive,
            depth_fsw=st.integers(1, 220),
            bottom_time_min=st.integers(1, 300),
            surfaced_min=st.integers(-3000, 800),
            group_after=st.none() | st.sampled_from("AGOZ"),
        ),
        max_size=3,
    ),
    quick=25,
    long=200,
)
def test_any_policy_and_history_is_answered(
    plan: Plan, policy: Policy, altitude_ft: int, dives: list[PastDive]
) -> None:
    """So do other ways up, altitude and any past dives of a diver."""
    job = with_site(JOB, policy=policy, in_water_stop_max_min=60, altitude_ft=altitude_ft)
    check(with_person(job, "Ana", past_dives=tuple(dives)), plan)


@held_for(plans(), quick=33, long=400)
def test_with_every_rule_on_any_plan_is_answered(plan: Plan) -> None:
    """Tide, rest, breaks, nights, standby dressing, hand-over, pins and a week of days change nothing about
    that; nor do the statements for a person to tick."""
    _, tidal = with_charted_depth(58)
    job = with_site(with_person(tidal, "Tom", past_work=(WorkSpell(start_min=-900, end_min=60),)), days=7)
    job = with_rules(
        with_item(job, ANODES, depth_follows_tide=True),
        rest_in_24h_min=600,
        rest_in_7d_min=4620,
        meal_break_min=30,
        rest_after_night_min=600,
        standby_dressed_max_min=120,
        hand_over_min=5,
        hand_over_lead_min=10,
    )
    pins = (
        Pin(kind=PinKind.STARTS, item=RIG, start_min=430),
        Pin(kind=PinKind.DIVES, item=WRAP, person="Ana", start_min=500, end_min=600, bottom_time_min=41),
        Pin(kind=PinKind.STAYS_UP, person="Dan"),
        Pin(kind=PinKind.HOLDS, item=WRAP, person="Sam", duty="supervisor"),
        Pin(kind=PinKind.AWAY, person="Rob", start_min=660, end_min=700),
    )
    for breach in check(job.replace(pins=pins), plan):
        assert breach.rule in RULES
        assert breach.sentence
    assert all(unchecked(job, plan))


@held_for(st.data(), quick=33, long=400)
def test_a_shorter_spell_of_a_dive_is_always_convicted(data: st.DataObject) -> None:
    """Nobody of a dive's crew may come a minute late or go a minute early: every spell is needed."""
    index = data.draw(st.integers(0, len(PLAN.duties) - 1))
    spell = PLAN.duties[index]
    late = data.draw(st.integers(0, spell.end_min - spell.start_min - 1))
    early = data.draw(st.integers(0, spell.end_min - spell.start_min - 1 - late))
    cut = spell.replace(start_min=spell.start_min + late, end_min=spell.end_min - early)
    plan = PLAN.replace(duties=(*PLAN.duties[:index], cut, *PLAN.duties[index + 1 :]))
    assert bool(check(JOB, plan)) == bool(late or early)
