"""The page Hours in Streamlit's own test runner: the plan's hours, the rules, what is refused."""

from __future__ import annotations

import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from planner.hours.logbook import logbooks
from planner.hours.office_files import call_files
from planner.hours.pay_rules import EXAMPLE_RULES, PayRules, pay_rules_csv
from planner.hours.timesheets import timesheets
from planner.hours.worked import from_plan
from planner.screens.desk import Desk, ShownPlan
from planner.screens.pages import hours
from planner.screens.saved import PLACE_KEY
from planner.store.recording import issue_watchbill, record, worked_days
from planner.store.store import Store
from planner.words.measures import hours_minutes
from tests.screens.app_pages import page_of, words_of
from tests.world.logged import as_planned
from tests.world.quay import a_plan, with_air

JOB = with_air()
PLAN = a_plan()


@pytest.fixture
def place(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'store.db'}"


def _open(place: str, *, shown: bool = True) -> tuple[AppTest, Desk]:
    test, here = page_of("hours", JOB)
    test.session_state[PLACE_KEY] = place
    if shown:
        here.shown = ShownPlan(PLAN, JOB, "made up", (), True)
    return test.run(), here


def test_without_a_plan_it_says_what_to_do(place: str) -> None:
    """Neither a plan nor an issued day: a hint."""
    test, _ = _open(place, shown=False)
    assert not test.exception
    assert "There are no hours yet" in words_of(test)


def test_the_hours_of_the_plan_are_shown_and_marked(place: str) -> None:
    """Marked as planned, with the sum of pay and the notes on examples."""
    test, _ = _open(place)
    assert not test.exception
    sheets = timesheets([from_plan(PLAN, JOB)], EXAMPLE_RULES)
    said = words_of(test)
    assert "as planned, not as worked" in said
    assert f"{sheets.pay:,.2f} USD" in said
    assert "examples are in use" in said.replace("\\", "")


def test_an_issued_day_beside_the_same_plan_is_a_day_twice(place: str) -> None:
    """The issued day is offered; with the plan of the same day it is refused in a sentence."""
    with Store(place) as store:
        issue_watchbill(store, JOB, PLAN, "Ana")
    test, _ = _open(place)
    options = test.multiselect(key="hours_days").options
    assert len(options) == 2
    test.multiselect(key="hours_days").set_value(options).run()
    assert not test.exception
    assert any("there twice" in e.value.replace("\\", "") for e in test.error)


def test_edited_rules_are_taken_and_bad_ones_told(place: str) -> None:
    """An edited rate is taken; an amount that is no number is told and the rules stay as they were."""
    test, here = _open(place)
    key = f"pay_{here.version}_{id(EXAMPLE_RULES)}"
    test.session_state[key] = {"edited_rows": {0: {"amount": "99.00"}}, "added_rows": [], "deleted_rows": []}
    test.button(key="use_pay").click().run()
    taken: Any = here.beside["pay rules"]
    assert isinstance(taken, PayRules)
    assert str(taken.rate("nobody's class").per_hour) == "99.00"
    key = f"pay_{here.version}_{id(taken)}"
    test.session_state[key] = {"edited_rows": {0: {"amount": "much"}}, "added_rows": [], "deleted_rows": []}
    test.button(key="use_pay").click().run()
    assert any("not a number" in e.value for e in test.error)
    assert here.beside["pay rules"] is taken


def test_frames_and_the_zip_of_calls() -> None:
    """The tables on screen hold every person; the zip has a calendar for each."""
    sheets = timesheets([from_plan(PLAN, JOB)], EXAMPLE_RULES)
    assert list(hours.weeks_frame(sheets)["person"]) == list(sheets.people)
    person = sheets.people[0]
    assert len(hours.shifts_of(sheets, person)) == 1
    assert len(hours.lines_of(sheets, person)) >= 1
    with zipfile.ZipFile(BytesIO(hours._zipped(call_files(sheets)))) as packed:
        assert len(packed.namelist()) == len(sheets.people)


def test_logbooks_are_there_when_asked_for(place: str) -> None:
    """Without a logged dive it says so; with one the diver stands there with his hours in the water."""
    with Store(place) as store:
        issue_watchbill(store, JOB, PLAN, "Ana")
    test, _ = _open(place, shown=False)
    test.toggle(key="logbooks_shown").set_value(True).run()
    assert "No dive is logged" in words_of(test)
    one = PLAN.dives[0]
    with Store(place) as store:
        for entry in as_planned(one):
            record(store, JOB, PLAN, entry, "Ana", now=JOB.clock.at(entry.at_min))
        books = logbooks(worked_days(store))
    test.run()
    assert not test.exception
    frame = hours.divers_frame(books)
    assert list(frame["diver"]) == [d.person for d in one.divers]
    assert list(frame["in the water, h"]) == [hours_minutes(one.reach_surface_min - one.leave_surface_min)]
    assert any(b.label.startswith("Logbooks") for b in test.get("download_button"))


def test_rules_are_taken_from_a_csv_and_a_bad_one_is_told(place: str) -> None:
    """What the page gives away it takes again; a file of other columns is told and changes nothing."""
    test, here = _open(place)
    assert test.button(key="pay_take").disabled
    own = pay_rules_csv(EXAMPLE_RULES).replace("45.00", "51.25").encode("utf-8-sig")
    test.get("file_uploader")[0].set_value(("office.csv", own, "text/csv")).run()
    test.button(key="pay_take").click().run()
    taken: Any = here.beside["pay rules"]
    assert (str(taken.rate("D2").per_hour), taken.name) == ("51.25", "office.csv")
    test.get("file_uploader")[0].set_value(("bad.csv", b"a,b\n1,2\n", "text/csv")).run()
    test.button(key="pay_take").click().run()
    assert any("columns of pay rules" in e.value for e in test.error)
    assert here.beside["pay rules"] is taken
