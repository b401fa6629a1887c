"""The page Tomorrow: what it would take to fit what is left, and moving a dive by hand."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from app_pages import page_of, words_of
from fakes import Ended, FakeSolve, all_clear
from streamlit.testing.v1 import AppTest

from planner.job import Job, Pin, PinKind
from planner.plan.model import Plan
from planner.schedule import first_plan
from planner.schedule.what_it_takes import Change
from planner.screens.backend import REAL
from planner.screens.desk import Desk, ShownPlan
from planner.screens.what_it_takes import run_of
from planner.workbook import read_job
from tests.world.harbour import harbour_job, harbour_plan

ROOT = Path(__file__).resolve().parents[2]
JOB = harbour_job()
PLAN = harbour_plan(JOB)
LEFT = PLAN.leftovers[0].item
MORE = JOB.replace(people=(*JOB.people, JOB.people[0].replace(name="One More")))
SMALL = read_job(ROOT / "sample_jobs" / "small_heavy_dress.xlsx")


@dataclass
class FakeSearch:
    """Says that it tries `says`, waits until stopped when `until_stopped`, then gives `gives`."""

    says: tuple[str, ...] = ("one more diver fit for 58 fsw",)
    gives: tuple[Change, ...] = ()
    until_stopped: bool = False
    asked: tuple[Job, Plan | None, str, float] | None = None

    def __call__(
        self,
        job: Job,
        plan: Plan | None,
        item: str,
        *,
        seconds_each: float,
        workers: int,
        stop: threading.Event,
        on_try: Callable[[str], None],
    ) -> tuple[Change, ...]:
        self.asked = (job, plan, item, seconds_each)
        for sentence in self.says:
            on_try(sentence)
        if self.until_stopped:
            stop.wait(20)
        return self.gives


def _page(search: FakeSearch, solve: FakeSolve | None = None) -> tuple[AppTest, Desk]:
    backend = replace(REAL, what_it_takes=search, solve=solve or FakeSolve(), check=all_clear)
    test, here = page_of("tomorrow", JOB, backend)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    return test.run(), here


def _ended(test: AppTest, here: Desk) -> AppTest:
    run = run_of(here)
    assert run is not None
    assert run.wait(10)
    return test.run()


def test_changes_that_fit_are_listed_with_minutes_and_taken_as_an_edit() -> None:
    """Each change has its sentence and minutes; taking one is an edit that undo takes back."""
    change = Change(LEFT, "one more diver fit for 58 fsw", 30, 90, 90, MORE)
    search, solve = FakeSearch(gives=(change,)), FakeSolve(ends=Ended(PLAN))
    test, here = _page(search, solve)
    test.button(key="takes_1").click().run()
    test = _ended(test, here)
    assert not test.exception
    assert search.asked == (JOB, PLAN, LEFT, 4.0)
    words = words_of(test)
    assert "one more diver fit for 58 fsw" in words
    assert "30 → 90 min, fits" in words
    assert "a safety rule is never offered" in words
    test.button(key="takes_use_1_0").click().run()
    assert not test.exception
    assert here.job == MORE
    assert here.run is not None
    assert here.run.wait(10)
    assert here.run.job == MORE
    assert solve.started_from is PLAN
    assert here.undo() == f"for {LEFT}: one more diver fit for 58 fsw"
    assert here.job == JOB


def test_nothing_that_fits_is_said_so() -> None:
    """No change that fits: a sentence with how many were tried, and no promise either way."""
    test, here = _page(FakeSearch(says=("a", "b"), gives=(Change(LEFT, "b", 30, 60, 90, MORE),)))
    test.button(key="takes_1").click().run()
    words = words_of(_ended(test, here))
    assert "No single change that was tried fits" in words
    assert "2 changes tried" in words
    assert "30 → 60 min, not all of its 90 min" in words


def test_the_search_shows_what_it_tries_and_can_be_stopped() -> None:
    """While it goes the change at hand is named; stop ends it and keeps what was found."""
    test, here = _page(FakeSearch(until_stopped=True))
    test.button(key="takes_1").click().run()
    test.run()
    words = words_of(test)
    assert "Trying: **one more diver fit for 58 fsw**" in words
    test.button(key="takes_stop_1").click().run()
    words = words_of(_ended(test, here))
    assert "1 change tried, then stopped" in words
    first = run_of(here)
    test.button(key="takes_again_1").click().run()
    assert run_of(here) is not first
    test.run()
    test.button(key="takes_stop_1").click().run()
    _ended(test, here)


def test_an_edited_job_is_not_overwritten_by_a_change() -> None:
    """A change found for the job before an edit cannot be taken any more: it would lose the edit."""
    test, here = _page(FakeSearch(gives=(Change(LEFT, "x", 30, 90, 90, MORE),)))
    test.button(key="takes_1").click().run()
    here.change(JOB.replace(people=JOB.people[:-1]), "people")
    test = _ended(test, here)
    assert test.button(key="takes_use_1_0").disabled


@cache
def _small() -> Plan:
    plan = first_plan(SMALL)
    assert plan is not None
    return plan


def _keyed(elements: Any, start: str) -> Any:
    (found,) = [e for e in elements if str(e.key).startswith(start)]
    return found


def _by_hand(solve: FakeSolve, job: Job = SMALL) -> tuple[AppTest, Desk]:
    test, here = page_of("tomorrow", job, replace(REAL, solve=solve))
    here.shown = ShownPlan(_small(), job, "", (), True)
    return test.run(), here


def test_a_move_by_hand_tells_the_rule_and_keeping_it_pins_it() -> None:
    """0728 would have dressing before the day begins: told by sentence and rule; kept, it is a pin."""
    solve = FakeSolve(ends=Ended(None, "The pins cannot all be kept."))
    test, here = _by_hand(solve)
    first = min(_small().dives, key=lambda d: d.leave_surface_min)
    _keyed(test.text_input, "move_leave_").set_value("0728").run()
    assert not test.exception
    words = words_of(test)
    assert "breaks a rule." in words
    assert "`day-window`" in words
    assert "leaves the surface at 07:28" in words.replace("\\", "")
    _keyed(test.button, "move_keep_").click().run()
    assert not test.exception
    pin = Pin(kind=PinKind.DIVES, item=first.item, start_min=7 * 60 + 28)
    assert here.job is not None
    assert here.job.pins == (*SMALL.pins, pin)
    assert here.run is not None
    assert here.run.wait(10)
    assert solve.started_from is _small()
    # The people of the plan as it was moved are kept where they can be.
    assert solve.kept_near is not None
    assert min(d.leave_surface_min for d in solve.kept_near.dives) == 7 * 60 + 28
    assert "The pins cannot all be kept." in words_of(test.run())
    assert here.undo() is not None
    assert here.job == SMALL


def test_a_move_that_holds_every_rule_is_said_so_and_planned_from() -> None:
    """Nothing broken: the page says so, and the search starts from the plan as it was moved."""
    solve = FakeSolve(ends=Ended(None))
    test, here = page_of("tomorrow", SMALL, replace(REAL, solve=solve, check=all_clear))
    here.shown = ShownPlan(_small(), SMALL, "", (), True)
    test.run()
    _keyed(test.text_input, "move_leave_").set_value("0740").run()
    assert "holds every rule" in words_of(test)
    _keyed(test.button, "move_keep_").click().run()
    assert here.run is not None
    assert here.run.wait(10)
    assert solve.started_from is not None
    assert solve.kept_near is solve.started_from
    assert min(d.leave_surface_min for d in solve.started_from.dives) == 7 * 60 + 40


def test_a_post_is_chosen_and_given_to_another() -> None:
    """The post's holder is offered first; another one is pinned to the post on every dive of the item."""
    test, _ = _by_hand(FakeSolve())
    spell = _keyed(test.selectbox, "move_post_")
    spell.set_value(next(o for o in spell.options if o.startswith("supervisor"))).run()
    holder = _keyed(test.selectbox, "move_holder_")
    assert f"supervisor: {holder.value}" == _keyed(test.selectbox, "move_post_").value
    assert "Change a field" in words_of(test)
    other = next(o for o in holder.options if o != holder.value)
    holder.set_value(other).run()
    assert f"{other} is supervisor on every dive of" in words_of(test).replace("\\", "")


def test_a_time_that_cannot_be_read_is_told() -> None:
    """Letters for a time: one sentence, no traceback, nothing to keep."""
    test, _ = _by_hand(FakeSolve())
    _keyed(test.text_input, "move_leave_").set_value("noon").run()
    assert not test.exception
    assert "is not a time of day such as 0700 or 07:00" in words_of(test)
    assert not [b for b in test.button if str(b.key).startswith("move_keep_")]


def test_a_pin_against_a_pin_cannot_be_kept() -> None:
    """The diver is pinned to stay up: the sentence is told and the button is off."""
    plan = _small()
    first = min(plan.dives, key=lambda d: d.leave_surface_min)
    was = first.divers[0].person
    test, here = _by_hand(FakeSolve())
    box = _keyed(test.selectbox, "move_diver_1_")
    now = next(o for o in box.options if o != was)
    job = SMALL.replace(pins=(Pin(kind=PinKind.STAYS_UP, person=now),))
    here.open(job, "again")
    here.shown = ShownPlan(plan, job, "", (), True)
    test.run()
    _keyed(test.selectbox, "move_diver_1_").set_value(now).run()
    assert not test.exception
    words = words_of(test).replace("\\", "")
    assert f"{now} is pinned to dive {first.item}, and to stay up." in words
    assert _keyed(test.button, "move_keep_").disabled
    assert _keyed(test.button, "move_stands_").disabled


def test_a_move_that_holds_is_kept_without_a_search() -> None:
    """Kept as moved: the plan on show is the moved one, its pin is in the job, and nothing was solved."""
    solve = FakeSolve()
    test, here = page_of("tomorrow", SMALL, replace(REAL, solve=solve, check=all_clear))
    here.shown = ShownPlan(_small(), SMALL, "", (), True)
    test.run()
    _keyed(test.text_input, "move_leave_").set_value("0740").run()
    _keyed(test.button, "move_stands_").click().run()
    assert not test.exception
    assert solve.calls == 0
    assert here.job is not None
    assert len(here.job.pins) == len(SMALL.pins) + 1
    assert here.shown is not None
    assert here.shown.job == here.job
    assert min(d.leave_surface_min for d in here.shown.plan.dives) == 7 * 60 + 40
    assert "Moved by hand and kept as it stands" in words_of(test).replace("\\", "")


def test_two_people_are_swapped_on_the_page() -> None:
    """Two divers swap over the day: the page judges it at once and says what is pinned."""
    test, _ = _by_hand(FakeSolve())
    one, other = sorted({d.divers[0].person for d in _small().dives})[:2]
    test.segmented_control(key="move_kind").set_value("two people swap").run()
    assert "Change a field" in words_of(test)
    _keyed(test.selectbox, "move_one_").set_value(one).run()
    _keyed(test.selectbox, "move_other_").set_value(other).run()
    assert not test.exception
    words = words_of(test).replace("\\", "")
    assert "The plan moved so" in words
    assert f"has {other} among its divers" in words
    _keyed(test.multiselect, "move_where_").set_value([]).run()
    assert "Change a field" in words_of(test)


def test_work_on_deck_is_moved_on_the_page() -> None:
    """A task on deck has its own fields; another start is judged, and pinned as its start."""
    test, here = page_of("tomorrow", JOB, replace(REAL, check=all_clear))
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    test.run()
    test.segmented_control(key="move_kind").set_value("work on deck").run()
    _keyed(test.text_input, "move_start_").set_value("1400").run()
    assert not test.exception
    words = words_of(test).replace("\\", "")
    assert "Shift the stage is then done 14:00 to 15:00." in words
    assert "Kept as a pin: Shift the stage starts at 14:00." in words


def test_pins_are_listed_and_taken_out() -> None:
    """Each pin in a sentence with its own control; one taken out, then all, and undo brings them back."""
    pins = (
        Pin(kind=PinKind.STARTS, item="Shift the stage", start_min=600),
        Pin(kind=PinKind.STAYS_UP, person="Ines Faro", note="cold"),
        Pin(kind=PinKind.HOLDS, person="Pia Sund", duty="supervisor", item="Anode count"),
    )
    test, here = page_of("tomorrow", JOB.replace(pins=pins))
    words = words_of(test).replace("\\", "")
    assert "Shift the stage starts at 10:00." in words
    assert "Ines Faro does not dive on anything." in words
    assert "cold" in words
    test.button(key="pin_off_1").click().run()
    assert here.job is not None
    assert here.job.pins == (pins[0], pins[2])
    test.button(key="pins_off").click().run()
    assert here.job.pins == ()
    assert not [b for b in test.button if str(b.key).startswith("pin")]
    here.undo()
    assert here.job.pins == (pins[0], pins[2])


def test_pins_stay_while_something_is_typed() -> None:
    """Typed and not applied: taking a pin out would lose it, so the control is off."""
    pins = (Pin(kind=PinKind.STAYS_UP, person="Ines Faro"),)
    test, here = page_of("tomorrow", JOB.replace(pins=pins))
    here.edits.typed["Site"] = {"day_end": "1600"}
    test.run()
    assert test.button(key="pin_off_0").disabled
