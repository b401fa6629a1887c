"""A desk keeps a user's work; the shelf keeps desks apart and bounded."""

from __future__ import annotations

import pytest
from fakes import Ended, FakeSolve, Said, all_clear

from planner.errors import Fault
from planner.screens.desk import UNDO_STEPS, Desk, Shelf
from planner.screens.runs import SolveRun
from tests.world.harbour import harbour_job, harbour_plan

JOB = harbour_job()
PLAN = harbour_plan(JOB)


def _named(name: str) -> object:
    return JOB.replace(site=JOB.site.replace(name=name))


def test_edits_can_be_taken_back_in_order() -> None:
    """Two edits, two undos: the job is as it was opened, and a third undo does nothing."""
    desk = Desk("t")
    desk.open(JOB, "sample.xlsx")
    desk.change(_named("one"), "first")  # type: ignore[arg-type]
    desk.change(_named("two"), "second")  # type: ignore[arg-type]
    assert desk.undo() == "second"
    assert desk.job == _named("one")
    assert desk.undo() == "first"
    assert desk.job == JOB
    assert desk.undo() is None


def test_undo_is_bounded() -> None:
    """Only the last edits are kept."""
    desk = Desk("t")
    desk.open(JOB, "x")
    for number in range(UNDO_STEPS + 5):
        desk.change(_named(str(number)), str(number))  # type: ignore[arg-type]
    undone = 0
    while desk.undo():
        undone += 1
    assert undone == UNDO_STEPS


def test_an_edit_that_changes_nothing_is_none() -> None:
    """Applying an untouched table leaves nothing to take back."""
    desk = Desk("t")
    desk.open(JOB, "x")
    desk.change(harbour_job(), "nothing")
    assert desk.undo_label is None


def test_change_needs_an_open_job() -> None:
    """An edit without a job is a mistake of the caller."""
    with pytest.raises(ValueError, match="no job"):
        Desk("t").change(JOB, "x")


def test_a_refused_file_leaves_the_open_job() -> None:
    """A bad upload does not take away what was open."""
    desk = Desk("t")
    desk.open(JOB, "good.xlsx")
    desk.refuse("bad.xlsx", (Fault("bad.xlsx", "text", "a workbook", "It is not one."),))
    assert desk.job is JOB
    desk.open(JOB, "good.xlsx")
    assert desk.refused is None


def test_the_plan_goes_old_when_the_job_is_edited_and_fresh_again_on_undo() -> None:
    """A plan belongs to the job it was made for."""
    desk = Desk("t")
    desk.open(JOB, "x")
    run = SolveRun(JOB, FakeSolve(says=(Said(0.1, "finish", 1, 1, PLAN),), ends=Ended(PLAN)), all_clear)
    desk.start_run(run)
    run.begin()
    assert run.wait(10)
    assert desk.harvest()
    assert desk.shown is not None
    assert desk.shown.final
    assert not desk.plan_is_old
    desk.change(_named("other"), "name")  # type: ignore[arg-type]
    assert desk.plan_is_old
    desk.undo()
    assert not desk.plan_is_old


def test_opening_another_job_stops_the_run() -> None:
    """A run over the job before is asked to stop and its plan never shows under the new job."""
    desk = Desk("t")
    desk.open(JOB, "x")
    solve = FakeSolve(ends=Ended(PLAN), until_stopped=True)
    run = SolveRun(JOB, solve, all_clear)
    desk.start_run(run)
    run.begin()
    desk.open(_named("other"), "y")  # type: ignore[arg-type]
    assert run.wait(10)
    assert solve.stopped
    assert not desk.harvest()
    assert desk.shown is None


def test_opening_another_job_can_be_taken_back() -> None:
    """Undo brings back the job that was open, as edited; opening the same job again is no step."""
    desk = Desk("t")
    desk.open(JOB, "x")
    edited, other = _named("edited"), _named("other")
    desk.change(edited, "name")  # type: ignore[arg-type]
    desk.open(other, "y")  # type: ignore[arg-type]
    desk.open(other, "y")  # type: ignore[arg-type]
    assert desk.undo() == "opening other"
    assert desk.job == edited
    assert desk.undo() == "name"
    assert desk.job == JOB
    assert desk.undo() is None


def test_shelf_keeps_desks_apart_and_drops_the_longest_unused() -> None:
    """Tokens differ; a full shelf clears the desk that was left alone longest."""
    shelf = Shelf(keep=2)
    one, two = shelf.new(), shelf.new()
    assert one.token != two.token
    assert shelf.find(one.token) is one
    three = shelf.new()
    assert len(shelf) == 2
    assert shelf.find(two.token) is None
    assert shelf.find(one.token) is one
    assert shelf.find(three.token) is three
    assert shelf.find("made up") is None
