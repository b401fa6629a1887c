"""Bench lists: what is in them, how long they take, how a crew puts in its own."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import InputFaults
from planner.gear import (
    bench_steps,
    built_in_steps,
    dressing_minutes,
    hold_points,
    read_steps,
    step_faults,
    suggested_dressing_min,
    suggested_undressing_min,
)
from planner.job import BenchHand, BenchList, BenchStep, CrewRules, Gear
from tests.world.lock import job


def _steps(*rows: tuple[str, BenchHand, float, str]) -> tuple[BenchStep, ...]:
    return tuple(
        BenchStep(
            id=name,
            gear=Gear.HEAVY,
            list=BenchList.DRESSING,
            order=order,
            who=who,
            minutes=minutes,
            do="something",
            side_by_side=mark,
        )
        for order, (name, who, minutes, mark) in enumerate(rows, start=1)
    )


@pytest.mark.parametrize("gear", list(Gear))
def test_default_minutes_are_the_lists_sums(gear: Gear) -> None:
    """The crew rules start from what the lists add up to (minutes: common practice, from memory)."""
    assert suggested_dressing_min(gear) == CrewRules().dressing_min(gear)
    assert suggested_undressing_min(gear) == CrewRules().undressing_min(gear)


def test_two_tenders_dress_one_diver_in_heavy_dress() -> None:
    """Common practice: two tenders dress one diver; one alone takes longer, a third saves nothing."""
    steps = bench_steps(Gear.HEAVY, BenchList.DRESSING)
    assert dressing_minutes(steps, 1) > dressing_minutes(steps, 2) == dressing_minutes(steps, 3)
    assert {BenchHand.FIRST, BenchHand.SECOND, BenchHand.BOTH} <= {s.who for s in steps}
    assert all(s.who is not BenchHand.SECOND for s in built_in_steps(Gear.LIGHT))


def test_side_by_side_runs_at_once() -> None:
    """Two legs laced at the same time take as long as the slower hand."""
    apart = _steps(("a", BenchHand.FIRST, 2, ""), ("b", BenchHand.SECOND, 3, ""))
    together = _steps(("a", BenchHand.FIRST, 2, "legs"), ("b", BenchHand.SECOND, 3, "legs"))
    assert dressing_minutes(apart) == 5
    assert dressing_minutes(together) == 3
    assert dressing_minutes(together, 1) == 5


def test_a_mark_used_again_later_is_a_new_group() -> None:
    """Only neighbours run together."""
    steps = _steps(
        ("a", BenchHand.FIRST, 2, "x"), ("b", BenchHand.BOTH, 1, ""), ("c", BenchHand.SECOND, 2, "x")
    )
    assert dressing_minutes(steps) == 5


def test_a_step_for_both_takes_one_tender_twice_as_long() -> None:
    """And fractions are rounded up once, at the end."""
    steps = _steps(("a", BenchHand.BOTH, 1.25, ""), ("b", BenchHand.DIVER, 0.5, ""))
    assert dressing_minutes(steps) == 2
    assert dressing_minutes(steps, 1) == 3


def test_nobody_dresses_alone() -> None:
    """No tender, no dressing."""
    with pytest.raises(ValueError, match="tender"):
        dressing_minutes((), 0)


def _found(gear: Gear, name: BenchList, word: str) -> BenchStep:
    return next(s for s in bench_steps(gear, name) if word in s.id)


def test_heavy_dress_facts_of_the_trade() -> None:
    """Common practice: twelve nuts tried again, belt of 84 lb for two, 160 lb hang test, exhaust two and a
    half turns, lifeline gasket never oiled, faceplate last on the diver's word."""
    dressing = bench_steps(Gear.HEAVY, BenchList.DRESSING)
    order = [s.id for s in dressing]
    assert "84 lb" in _found(Gear.HEAVY, BenchList.DRESSING, "belt").do
    assert _found(Gear.HEAVY, BenchList.DRESSING, "belt").who is BenchHand.BOTH
    assert "twelve" in _found(Gear.HEAVY, BenchList.DRESSING, "nuts-again").do
    assert "two and a half turns" in _found(Gear.HEAVY, BenchList.DRESSING, "exhaust").do
    assert "160 lb" in _found(Gear.HEAVY, BenchList.INSPECTION, "belt").do
    assert "never oiled" in _found(Gear.HEAVY, BenchList.INSPECTION, "lifeline-gasket").good
    assert order.index("heavy-joint-nuts") < order.index("heavy-nuts-again") < order.index("heavy-long-stud")
    assert order.index("heavy-long-stud") < order.index("heavy-belt-on") < order.index("heavy-helmet-on")
    assert order.index("heavy-exhaust-set") < order.index("heavy-faceplate-shut") == len(order) - 2


@pytest.mark.parametrize("gear", list(Gear))
def test_the_non_return_valve_is_a_hold_point(gear: Gear) -> None:
    """Common practice: its test is never skipped, and a valve that passes anything is scrapped."""
    step = _found(gear, BenchList.INSPECTION, "non-return")
    assert step.hold_point
    assert "scrapped" in step.when_not


def test_hold_points_before_the_water() -> None:
    """Nuts tried again, long stud's nut back, helmet home, telephone, exhaust and faceplate are signed."""
    signed = {s.id for s in hold_points(bench_steps(Gear.HEAVY, BenchList.DRESSING))}
    assert signed == {
        "heavy-nuts-again",
        "heavy-long-stud",
        "heavy-helmet-on",
        "heavy-telephone",
        "heavy-exhaust-set",
        "heavy-faceplate-shut",
    }


@pytest.mark.parametrize("gear", list(Gear))
def test_every_built_in_step_is_whole(gear: Gear) -> None:
    """Each says what good is and what to do when it is not, and on what ground it stands."""
    steps = built_in_steps(gear)
    assert {s.list for s in steps} == set(BenchList)
    assert step_faults(steps) == []
    assert all(s.good and s.when_not and "common practice" in s.basis for s in steps)


def test_own_steps_take_the_place_of_one_list() -> None:
    """A crew's own dressing list replaces that list of that gear kind and no other."""
    own = _steps(("mine", BenchHand.BOTH, 12, ""))
    rules = CrewRules(bench_steps=own)
    assert bench_steps(Gear.HEAVY, BenchList.DRESSING, rules) == own
    assert suggested_dressing_min(Gear.HEAVY, rules) == 12
    assert bench_steps(Gear.HEAVY, BenchList.INSPECTION, rules) == bench_steps(
        Gear.HEAVY, BenchList.INSPECTION
    )
    assert bench_steps(Gear.LIGHT, BenchList.DRESSING, rules) == bench_steps(Gear.LIGHT, BenchList.DRESSING)
    assert job(rules=rules).rules.bench_steps == own


def test_a_list_can_be_read_from_text() -> None:
    """Lists are editable as TOML; the order is that of the text."""
    text = """
    [[dressing]]
    id = "one"
    who = "both tenders"
    minutes = 2
    do = "First."
    [[dressing]]
    id = "two"
    who = "diver"
    minutes = 1
    do = "Second."
    signed_by = "supervisor"
    """
    one, two = read_steps(text, Gear.LIGHT)
    assert (one.order, two.order) == (1, 2)
    assert two.hold_point and not one.hold_point


def test_every_fault_of_a_list_is_told_at_once() -> None:
    """An unknown list, a hand that is none, negative minutes, an id twice: all named."""
    text = """
    [[polishing]]
    id = "x"
    [[dressing]]
    id = "one"
    who = "cook"
    minutes = 2
    do = "First."
    [[dressing]]
    id = "two"
    who = "diver"
    minutes = -1
    do = "Second."
    [[undressing]]
    id = "same"
    who = "diver"
    minutes = 1
    do = "Third."
    [[undressing]]
    id = "same"
    who = "diver"
    minutes = 1
    do = "Fourth."
    """
    with pytest.raises(InputFaults) as caught:
        read_steps(text, Gear.HEAVY, "my list")
    told = str(caught.value)
    assert len(caught.value.faults) == 4
    assert "polishing" in told and "cook" in told and "-1" in told and "same" in told
    assert "my list, dressing step 2: minutes" in told


@pytest.mark.parametrize("text", ["[[dressing", "dressing = 3", "dressing = [1]"])
def test_text_that_is_no_list_is_refused(text: str) -> None:
    """Not TOML, or not a list of steps."""
    with pytest.raises(InputFaults):
        read_steps(text, Gear.HEAVY)


_ROWS = st.lists(
    st.tuples(
        st.sampled_from(list(BenchHand)),
        st.integers(0, 40).map(lambda n: n / 4),
        st.sampled_from(["", "a", "b"]),
    ),
    max_size=8,
)


@given(_ROWS)
def test_more_tenders_never_take_longer(rows: list[tuple[BenchHand, float, str]]) -> None:
    """Two tenders are never slower than one, and never faster than half the work."""
    steps = _steps(*((f"s{n}", who, minutes, mark) for n, (who, minutes, mark) in enumerate(rows)))
    two, one = dressing_minutes(steps, 2), dressing_minutes(steps, 1)
    assert two <= one
    assert two <= sum(s.minutes for s in steps) + 1


@pytest.mark.parametrize("gear", list(Gear))
def test_minutes_come_from_the_list_unless_a_crew_measured_its_own(gear: Gear) -> None:
    """A measured time of 0 means the sum of the list: the built-in one, or the crew's own steps."""
    zero = CrewRules(
        dressing_heavy_min=0, undressing_heavy_min=0, dressing_light_min=0, undressing_light_min=0
    )
    assert zero.dressing_min(gear) == suggested_dressing_min(gear)
    assert zero.undressing_min(gear) == suggested_undressing_min(gear)
    own = BenchStep(
        id="all at once",
        gear=gear,
        list=BenchList.DRESSING,
        order=1,
        who=BenchHand.FIRST,
        minutes=41,
        do="Dress.",
    )
    assert zero.replace(bench_steps=(own,)).dressing_min(gear) == 41
    assert (
        CrewRules(bench_steps=(own,), dressing_heavy_min=33, dressing_light_min=33).dressing_min(gear) == 33
    )
