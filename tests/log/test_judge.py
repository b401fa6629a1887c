"""What can be logged and what cannot: the impossible is refused, unwelcome facts are kept and flagged."""

from __future__ import annotations

from typing import Any

import pytest

from planner.job import DutyCertificate, Gate, Job
from planner.log.day_log import DayLog, Entry, Kind
from planner.log.judge import judge
from planner.plan import Plan
from tests.log.logging import dived, entry, log_of_day
from tests.world.parts import at
from tests.world.quay import WRAP, a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()
DOWN = dived("1", at(8, 30), None, None)


def _judged(new: Entry, *before: Entry, now: int = at(12), corrects: int | None = None) -> Any:
    return judge(new, JOB, PLAN, log_of_day(*before), now, corrects=corrects)


def _refused(new: Entry, *before: Entry, **more: Any) -> str:
    found = _judged(new, *before, **more)
    assert found.faults
    return " ".join(f.sentence for f in found.faults)


def test_a_gate_that_is_not_held_and_a_duty_without_papers_are_flagged() -> None:
    """Leaving the surface before the tag is on is kept and flagged; so is a supervisor without first aid."""
    tag = Gate(what="Intake tagged out", items=(WRAP,), held_by="Ira", start_min=at(8, 31), end_min=at(9))
    rows = (DutyCertificate(duty="supervisor", certificate="first aid"),)
    gated = JOB.replace(gates=(tag,), rules=JOB.rules.replace(duty_certificates=rows))
    early, held = (
        judge(dived("1", at(8, minute), None, None)[0], gated, PLAN, log_of_day(), at(12))
        for minute in (30, 31)
    )
    assert "Intake tagged out is not held at 08:30." in early.flags and not early.faults
    assert not any("not held" in flag for flag in held.flags)
    took = entry(Kind.TOOK_OVER, at(9), "1", people=("Ned",), duty="supervisor")
    found = judge(took, gated, PLAN, log_of_day(*DOWN), at(12))
    assert "Ned has no valid certificate for first aid, asked of a supervisor." in found.flags


@pytest.mark.parametrize(
    ("new", "said"),
    [
        (entry(Kind.REACH_SURFACE, at(9), "1"), "Leave bottom of dive 1 is not logged"),
        (entry(Kind.LEAVE_BOTTOM, at(8, 20), "1"), "would lie before leave surface"),
        (entry(Kind.LEAVE_SURFACE, at(8, 31), "1"), "logged already"),
        (entry(Kind.REACH_BOTTOM, at(8, 31), "2"), "Leave surface of dive 2 is not logged"),
        (entry(Kind.REACH_BOTTOM, at(12, 2), "1"), "has not come yet"),
        (entry(Kind.LEAVE_SURFACE, at(9), "9"), "not on the watchbill: say what it is for"),
        (entry(Kind.DEPTH, at(9), "1"), "needs the depth"),
        (entry(Kind.DEPTH, at(9), "1", depth_fsw=580), "slip of the finger"),
        (entry(Kind.DEPTH, at(9), None, depth_fsw=58), "which dive"),
        (entry(Kind.SICK, at(9), people=("Anna",)), "There is no person called Anna. Did you mean Ana?"),
        (entry(Kind.TOOK_OVER, at(9), people=("Cal",)), "one person and the duty"),
        (entry(Kind.TOOK_OVER, at(9), people=("Cal",), duty="cook"), "no duty called cook"),
        (entry(Kind.AIR_READING, at(9), thing="Bank A"), "its pressure or its hour meter"),
        (entry(Kind.AIR_READING, at(9), thing="Bank B", pressure_psi=1.0), "Did you mean Bank A?"),
        (entry(Kind.ITEM_DONE, at(9), item="Wrap"), "no item called Wrap"),
        (entry(Kind.DELAY, at(9)), "how many minutes"),
        (entry(Kind.DEFECT, at(9), thing="H1"), "what it is"),
        (entry(Kind.NOTE, at(9)), "needs a text"),
        (entry(Kind.TAKEN_BACK, at(9)), "which entry is taken back"),
        (entry(Kind.LEAVE_SURFACE, at(9), "3"), "Ana is still in the water on dive 1"),
    ],
)
def test_what_cannot_have_happened_is_refused(new: Entry, said: str) -> None:
    """Each with a sentence that says what stands in its way."""
    assert said in _refused(new, *DOWN)


@pytest.mark.parametrize(
    ("new", "said"),
    [
        (entry(Kind.DEPTH, at(9), "1", depth_fsw=200), "deeper than this job's greatest depth of 190 fsw"),
        (entry(Kind.DEPTH, at(9), "1", depth_fsw=200), "30 min at most"),
        (entry(Kind.DEPTH, at(9), "1", depth_fsw=70), "deeper than planned"),
        (entry(Kind.TOOK_OVER, at(9), people=("Ned",), duty="supervisor"), "Ned is not on the watchbill"),
        (entry(Kind.TOOK_OVER, at(9), people=("Cat",), duty="tender"), "not listed for the duty tender"),
    ],
)
def test_what_should_not_have_happened_is_kept_and_flagged(new: Entry, said: str) -> None:
    """The log is a record: deeper than the rule, or someone not on the watchbill, goes in with a flag."""
    found = _judged(new, *DOWN)
    assert found.faults == ()
    assert any(said in flag for flag in found.flags)


def test_entries_may_come_out_of_order() -> None:
    """Written late, told in the order of what happened: reach bottom after leave bottom was logged."""
    before = (*DOWN, entry(Kind.LEAVE_BOTTOM, at(9, 11), "1"))
    assert _judged(entry(Kind.REACH_BOTTOM, at(8, 32), "1"), *before).faults == ()
    assert "after leave bottom" in _refused(entry(Kind.REACH_BOTTOM, at(9, 12), "1"), *before)


def test_a_correction_is_judged_without_the_entry_it_replaces() -> None:
    """Leave bottom at 09:40 instead of 09:11: allowed as a correction of that entry, refused beside it."""
    before = (*DOWN, entry(Kind.LEAVE_BOTTOM, at(9, 11), "1"))
    new = entry(Kind.LEAVE_BOTTOM, at(9, 40), "1")
    assert "logged already" in _refused(new, *before)
    assert _judged(new, *before, corrects=2).faults == ()
    assert "no such entry" in _refused(new, *before, corrects=77)


def test_what_others_rest_on_is_not_taken_back() -> None:
    """Leave surface stays while leave bottom stands; the last one can be taken back."""
    before = (*DOWN, entry(Kind.LEAVE_BOTTOM, at(9, 11), "1"))
    back = entry(Kind.TAKEN_BACK, at(9, 12))
    assert "rests on it" in _refused(back, *before, corrects=1)
    assert _judged(back, *before, corrects=2).faults == ()


def test_a_correction_stands_in_for_the_old_entry() -> None:
    """Both stay in the log; only the new one counts; one taken back leaves nothing."""
    from dataclasses import replace

    log = log_of_day(*DOWN, entry(Kind.LEAVE_SURFACE, at(8, 33), "1"), entry(Kind.TAKEN_BACK, at(9)))
    first, second, third = log.written
    corrected = DayLog((first, replace(second, corrects=1)))
    assert [e.at_min for e in corrected.entries] == [at(8, 33)]
    assert DayLog((first, replace(second, corrects=1), replace(third, corrects=2))).entries == ()
    assert len(log.written) == 3


def test_a_sick_diver_who_dives_is_flagged() -> None:
    """Kept, with a flag."""
    found = _judged(entry(Kind.LEAVE_SURFACE, at(9), "1"), entry(Kind.SICK, at(8), people=("Ana",)))
    assert any("logged as sick" in flag for flag in found.flags)
