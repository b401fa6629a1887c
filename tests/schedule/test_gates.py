"""Isolations, permits and hazards that gate work: planned inside them, told with their holders, printed."""

from __future__ import annotations

from datetime import time
from io import BytesIO

import pytest
from openpyxl import load_workbook

from planner.check import check
from planner.errors import InputFaults
from planner.job import CrewNeed, Gate, Job, SurfaceItem
from planner.job.cross_checks import cross_faults
from planner.log.left_over import gates_left, shifted
from planner.plan.unchecked import unchecked
from planner.schedule import first_plan, solve, what_it_takes
from planner.sheets.watchbill import write_watchbill
from planner.workbook.job_reader import read_job
from planner.workbook.job_writer import write_job
from tests.schedule.day import PEOPLE, item, job, person

TAG = "Intake 2 tagged out"


def gate(start: int | None, end: int | None, by: str = "J. Weir", what: str = TAG) -> Gate:
    return Gate(what=what, items=("Work",), held_by=by, start_min=start, end_min=end)


def test_an_item_is_planned_only_while_all_its_gates_are_held() -> None:
    """Tag 08:00 to 11:00, permit from 10:00: the dive of 43 min lies from 10:00 to 11:00."""
    made = job(item()).replace(gates=(gate(480, 660), gate(600, 900, what="Hot work permit")))
    plan = solve(made, seconds=5).plan
    assert plan is not None
    (dive,) = plan.dives
    assert dive.leave_surface_min >= 600 and dive.reach_surface_min <= 660
    assert check(made, plan) == ()


def test_a_gate_held_past_midnight_of_a_second_day() -> None:
    """A day from 20:00 to 04:00, two of them: the tag of the second night alone leaves room."""
    made = job(item())
    night = made.replace(site=made.site.replace(day_start=time(20), day_end=time(4), days=2))
    held = gate(1440 + 23 * 60 + 30, 2 * 1440 + 60)
    plan = solve(night.replace(gates=(held,)), seconds=5).plan
    assert plan is not None
    (dive,) = plan.dives
    assert held.span is not None and held.span.covers(dive.leave_surface_min, dive.reach_surface_min)
    assert check(night.replace(gates=(held,)), plan) == ()


def test_a_task_on_deck_waits_for_its_gate() -> None:
    """A lift under a crane that is held from 12:00 starts then at the earliest."""
    lift = SurfaceItem(name="Work", duration_min=60, crew=(CrewNeed(duty="rigger"),))
    made = job(surface_items=(lift,), people=(*PEOPLE, person("Gül", "rigger")))
    plan = solve(made.replace(gates=(gate(720, 800, what="Crane held"),)), seconds=3).plan
    assert plan is not None and plan.surface_tasks[0].start_min >= 720


def test_the_reason_names_the_gate_and_its_holder() -> None:
    """Held for 30 min, and the shortest dive takes 43: the gate is to blame; 20 min longer would do."""
    made = job(item(splittable=False)).replace(gates=(gate(600, 630),))
    (reason,) = solve(made, seconds=3).reasons["Work"]
    assert reason.rule == "gate-held"
    assert TAG in reason.sentence and "J. Weir" in reason.sentence
    changes = what_it_takes(made, None, "Work", seconds_each=3)
    assert f"{TAG} held 20 min longer" in [c.sentence for c in changes if c.fits]


def test_hoses_that_reach_the_intake_are_told() -> None:
    """All hoses are as long as the way to the intake: the reason says so, not that outfits lack."""
    made = job(item())
    made = made.replace(
        outfits=tuple(o.replace(umbilical_length_ft=100) for o in made.outfits),
        gates=(gate(None, None).replace(hazard_distance_ft=100),),
    )
    assert {r.rule for r in solve(made, seconds=3).reasons["Work"]} >= {"hose-short-of-hazard"}


def test_what_has_no_times_is_to_be_ticked() -> None:
    """Without times the dive is planned and a line asks for the one who holds it; so do unknown hoses."""
    made = job(item()).replace(gates=(gate(None, None).replace(hazard_distance_ft=90),))
    assert solve(made, seconds=3).plan is not None
    told = "\n".join(unchecked(made))
    assert f"{TAG} is held (J. Weir) before anyone starts on Work" in told
    assert "do not reach the hazards of Work" in told


def printed(made: Job) -> dict[str, str]:
    """What the watchbill says of dives and gates, a text a sheet."""
    plan, paper = first_plan(made), BytesIO()
    assert plan is not None
    write_watchbill(plan, made, paper, sheets=("Dives", "Dive sheets", "Gates"))
    book = load_workbook(BytesIO(paper.getvalue()))
    return {
        ws.title: "\n".join(str(c.value) for row in ws.iter_rows() for c in row if c.value is not None)
        for ws in book
    }


def test_the_watchbill_names_who_holds_the_key() -> None:
    """On the list, beside each dive and on its sheet; a job without gates has no such sheet."""
    sheets = printed(job(item()).replace(gates=(gate(480, 900), gate(None, None, "", "Hot work permit"))))
    line = f"{TAG}: J. Weir, 08:00–15:00"
    assert line in sheets["Dives"] and line in sheets["Dive sheets"]
    assert "Hot work permit: NOBODY NAMED, to be confirmed" in sheets["Dive sheets"]
    assert TAG in sheets["Gates"] and "J. Weir" in sheets["Gates"]
    assert "Gates" not in printed(job(item()))


def test_gates_in_a_workbook() -> None:
    """They read back as they were; an unknown item, one end alone, times only sometimes are faults."""
    made = job(item()).replace(gates=(gate(600, 1500), gate(None, None, what="Hot work permit")))
    made = made.replace(site=made.site.replace(daylight_only=False))
    paper = BytesIO()
    write_job(made, paper)
    assert read_job(paper.getvalue()).gates == made.gates
    for wrong in (
        (gate(600, None),),
        (gate(600, 500),),
        (gate(600, 700), gate(None, None)),
        (gate(600, 700).replace(items=("Weld",)),),
    ):
        assert cross_faults(made.replace(gates=wrong))
    write_job(made.replace(gates=wrong), bad := BytesIO())
    with pytest.raises(InputFaults):
        read_job(bad.getvalue())


def test_gates_go_on_to_the_next_day() -> None:
    """Told from the next day on they keep their moments; of an item that is done they are gone."""
    made = job(item(), item("Weld")).replace(gates=(gate(1500, 1600).replace(items=("Work", "Weld")),))
    (left,) = gates_left(made, {"Weld"})
    assert left.items == ("Weld",)
    assert gates_left(made, set()) == ()
    following = shifted(made, made.site.first_day.replace(day=17), 1)
    assert following.gates[0].span is not None and following.gates[0].span.start_min == 60
