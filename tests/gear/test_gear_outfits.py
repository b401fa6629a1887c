"""Outfits: matched sets, states, sizes, lengths, and the rules applied to a plan."""

from __future__ import annotations

from datetime import date

import pytest

from planner.check import RULES
from planner.check.facts import Facts
from planner.check.outfits import size_and_length
from planner.gear.outfits import least_length_ft, outfit_days, outfit_fits, why_not_ready
from planner.job import Gear, Outfit, OutfitState, Person
from tests.world.lock import DAY, dive, item, job, outfit, plan

ANA = Person(name="Ana", duties=frozenset({"diver"}), outfit_size="L")


def test_a_matched_set_fits() -> None:
    """One number on helmet, breastplate and straps (common practice), ready, the right size, long enough."""
    assert outfit_fits(outfit("H1", "11"), item(), ANA, DAY) is None


@pytest.mark.parametrize("part", ["helmet_no", "breastplate_no", "straps_no"])
def test_a_mixed_set_is_refused_with_its_numbers(part: str) -> None:
    """Common practice: helmet, breastplate and straps carry one number and never mix."""
    mixed = outfit("H1", "11", **{part: "99"})
    reason = outfit_fits(mixed, item(), ANA, DAY)
    assert reason is not None and "mixed set" in reason and "99" in reason
    assert not mixed.ready_on(DAY)


@pytest.mark.parametrize(
    "state", [OutfitState.INSPECTION_DUE, OutfitState.DEFECT_OPEN, OutfitState.IN_REPAIR]
)
def test_only_a_ready_outfit_is_worn(state: OutfitState) -> None:
    """An open defect takes the outfit out, and the reason says what, who and when."""
    out = outfit("H1", "11", state=state, state_note="valve stiff", state_by="Cy", state_on=date(2027, 5, 2))
    assert why_not_ready(out) == f"{state}, valve stiff (said by Cy 2027-05-02)"
    assert not out.ready_on(DAY)
    assert outfit_fits(out, item(), ANA, DAY) == f"H1: {state}, valve stiff (said by Cy 2027-05-02)"


def test_inspection_date_counts_on_its_day() -> None:
    """The due day itself is still good, the day after is not."""
    due = outfit("H1", "11", inspection_due=DAY)
    assert why_not_ready(due, DAY) is None
    assert due.ready_on(DAY) and not due.ready_on(date(2027, 5, 5))
    assert why_not_ready(due, date(2027, 5, 5)) == "its inspection fell due on 2027-05-04"


def test_size_counts_where_both_are_given() -> None:
    """A wrong size is refused with both; an unknown one is not judged; capitals do not matter."""
    assert outfit_fits(outfit("H1", "11", size="M"), item(), ANA) == "H1 is size M, Ana wears L"
    assert outfit_fits(outfit("H1", "11", size=" l "), item(), ANA) is None
    assert outfit_fits(outfit("H1", "11", size=""), item(), ANA) is None
    assert outfit_fits(outfit("H1", "11", size="M"), item(), ANA.replace(outfit_size="")) is None


def test_kind_must_be_the_items() -> None:
    """A light helmet is not worn where heavy dress is asked for."""
    light = Outfit(name="L1", kind=Gear.LIGHT, helmet_no="7")
    assert outfit_fits(light, item()) == "L1 is light helmet, Gate sill asks for heavy dress"


def test_hose_and_lifeline_reach_the_work() -> None:
    """60 ft down and 40 ft out need 100 ft of hose and of lifeline; a length of 0 is not known."""
    assert least_length_ft(item()) == 100
    assert outfit_fits(outfit("H1", "11", umbilical_length_ft=100), item()) is None
    short = outfit_fits(outfit("H1", "11", umbilical_length_ft=99), item())
    assert short == "H1: umbilical of 99 ft, Gate sill needs 100 ft (60 down and 40 out)"
    rope = outfit_fits(outfit("H1", "11", lifeline_length_ft=99), item())
    assert rope is not None and "lifeline of 99 ft" in rope
    assert outfit_fits(outfit("H1", "11", umbilical_length_ft=0), item()) is None


def test_rule_outfit_size() -> None:
    """One plan that keeps the rule, one that breaks it: for the diver and for the standby."""
    assert list(size_and_length(Facts(job(), plan(dive())))) == []
    small = job(outfits=(outfit("H1", "11", size="S"), outfit("H2", "12", size="S")))
    found = list(size_and_length(Facts(small, plan(dive()))))
    assert [(b.rule, b.where) for b in found] == [
        ("outfit-size", "dive 1 (Gate sill), Ana"),
        ("outfit-size", "dive 1 (Gate sill), Bo"),
    ]
    assert "size S" in found[0].sentence and RULES[found[0].rule].source == "common practice"


def test_rule_outfit_length() -> None:
    """A hose of 80 ft does not reach work that asks for 100."""
    short = job(outfits=(outfit("H1", "11", umbilical_length_ft=80), outfit("H2", "12")))
    found = list(size_and_length(Facts(short, plan(dive()))))
    assert [b.rule for b in found] == ["outfit-length"]
    assert "80 ft" in found[0].sentence and "100 ft" in found[0].sentence


def test_names_that_the_job_does_not_know_are_left_to_the_check() -> None:
    """The plan's own check convicts unknown names."""
    assert list(size_and_length(Facts(job(), plan(dive(divers=(("Ana", "ghost"),)))))) == []
    assert list(size_and_length(Facts(job(dive_items=()), plan(dive())))) == []


def test_an_outfits_day() -> None:
    """Who wears it when, and when it is free again: 15 min of turnaround after a dive, none after standby."""
    h1, h2, h3, light = outfit_days(job(), plan(dive()))
    assert [(u.person, u.standby, u.start_min, u.free_min - u.end_min) for u in h1.uses] == [
        ("Ana", False, 480, 15)
    ]
    assert [(u.person, u.standby, u.free_min - u.end_min) for u in h2.uses] == [("Bo", True, 0)]
    assert h1.not_ready is None
    assert h3.not_ready is not None and "port cracked" in h3.not_ready
    assert h1.set_numbers == "11 on helmet, breastplate and straps"
    assert light.set_numbers == "helmet 7"
    assert [d.uses for d in outfit_days(job())] == [(), (), (), ()]
