"""A server that is restarted finds every desk as it was left; where it cannot, the page says so."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pandas as pd
import pytest
from app_pages import page_of, words_of
from fakes import Ended, FakeSolve, Said, all_clear
from streamlit.testing.v1 import AppTest
from typed_sheets import rows_of, settings_of, table_of

from planner.check import Finding
from planner.errors import Fault
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.job import Job, UnitSystem
from planner.plan.model import Plan
from planner.screens import session
from planner.screens.backend import REAL
from planner.screens.desk import Desk, ShownPlan
from planner.screens.desk_record import UnreadableDesk, desk_of, record_of, searched_out
from planner.screens.editing.mending import Mending
from planner.screens.editing.sheets import SHEETS, TypedFigure
from planner.screens.pages.job import samples
from planner.screens.runs import EndedRun, SolveRun, Step
from planner.screens.session import shelf
from planner.screens.wording import plain
from planner.store import StoreRefused, kept_desks
from tests.world.harbour import harbour_job, harbour_plan

ROOT = Path(__file__).resolve().parents[2]
JOB = harbour_job()
PLAN = harbour_plan(JOB)


def _again(desk: Desk) -> Desk:
    return desk_of(record_of(desk), desk.token, all_clear)


def _opened(job: Job = JOB) -> Desk:
    desk = Desk("t")
    desk.open(job, "evening.xlsx")
    return desk


# ---------------------------------------------------------------------- the record


@pytest.mark.parametrize("path", samples(), ids=lambda p: Path(p).stem)
def test_job_switches_and_undo_come_back(path: Path) -> None:
    """The job as edited, the edits that can be taken back in their order, where it was opened from."""
    from planner.workbook.job_reader import read_job

    job = read_job(path)
    desk = _opened(job)
    desk.change(job.replace(people=job.people[:-1]), "one fewer")
    desk.change(job.replace(people=job.people[:-2]), "two fewer")
    desk.units, desk.contrast, desk.seconds, desk.workers = UnitSystem.METRIC, True, 77, 3
    back = _again(desk)
    assert back.job == desk.job
    assert back.opened_from == "evening.xlsx Changed on the screen since."
    assert (back.units, back.contrast, back.seconds, back.workers) == (UnitSystem.METRIC, True, 77, 3)
    assert [back.undo(), back.undo(), back.undo()] == ["two fewer", "one fewer", None]
    assert back.job == job


def test_the_plan_comes_back_with_the_job_it_was_made_for() -> None:
    """Plan, sentence and steps are the same; the plan is still old for a job that was edited since."""
    desk = _opened()
    desk.shown = ShownPlan(PLAN, JOB, "proven best", (Step(0.5, "finish", 9.0, None),), False)
    desk.change(JOB.replace(people=JOB.people[:-1]), "people")
    back = _again(desk)
    assert back.shown == replace(desk.shown, final=True)
    assert back.plan_is_old
    back.undo()
    assert not back.plan_is_old


def test_when_a_plan_was_made_comes_back_with_it() -> None:
    """12:50 UTC is 13:50 in Lisbon in May; another day than today is dated; an earlier version kept none."""
    desk = _opened(JOB.replace(site=JOB.site.replace(time_zone="Europe/Lisbon")))
    at = datetime(2026, 5, 11, 12, 50, tzinfo=UTC)
    desk.shown = ShownPlan(PLAN, JOB, "", (), True, at)
    assert _again(desk).planned_words == "planned 11 May 13:50"
    desk.shown = replace(desk.shown, planned_at=None)
    assert _again(desk).planned_words == "planned"


@pytest.mark.parametrize("units", list(UnitSystem))
def test_tables_typed_and_not_applied_come_back(units: UnitSystem) -> None:
    """Every sheet with something typed into it, new rows too, comes back cell by cell, with its faults."""
    job = JOB.replace(site=JOB.site.replace(units=units))
    desk = _opened(job)
    for name, sheet in SHEETS.items():
        if sheet.settings:
            desk.edits.typed[name] = {**settings_of(sheet, job)}
        else:
            table = table_of(sheet, job)
            new = table.iloc[:1].assign(_row=pd.array([pd.NA] * len(table.iloc[:1]), dtype="Int64"))
            desk.edits.typed[name] = rows_of(sheet, pd.concat([table, new], ignore_index=True), job)
    desk.edits.begin_anew((Fault("People!B3", "900", "less", "Too deep."),))
    back = _again(desk)
    assert back.edits.faults == desk.edits.faults
    assert set(back.edits.typed) == set(SHEETS)
    assert back.edits.typed == desk.edits.typed


def test_a_workbook_that_is_being_mended_comes_back() -> None:
    """Its cells are the very things that the file held (numbers, dates, times), and so are its faults."""
    from planner.workbook.opening import open_book

    for sample in samples():
        mending = Mending(
            file="evening.xlsx",
            sheets=open_book(sample).sheets,
            faults=(Fault("People!A6", "", "x", "y"),),
        )
        mending.begin()
        desk = Desk("t")
        desk.refuse("evening.xlsx", mending.faults, mending)
        back = _again(desk)
        assert back.mending is not None
        assert back.mending.sheets == mending.sheets
        assert (back.mending.begun, back.mending.faults) == (True, mending.faults)
        assert back.refused == desk.refused


def test_pay_rules_come_back_and_a_search_does_not() -> None:
    """What pages keep beside the job comes back where it is the user's own work or was worked out."""
    desk = _opened()
    desk.beside.update({"pay rules": EXAMPLE_RULES, "a run": object()})
    assert _again(desk).beside == {"pay rules": EXAMPLE_RULES}


def test_widgets_of_the_page_before_are_not_taken_for_answers() -> None:
    """The numbers in widget keys go on, so that a browser's old table is not laid over the new one."""
    desk = _opened()
    back = _again(desk)
    assert back.version > desk.version
    assert back.edits.round > desk.edits.round


def test_a_plan_that_breaks_a_rule_now_is_not_shown() -> None:
    """The check judges again; what it convicts is withheld, and the page says by which sentence."""
    desk = _opened()
    desk.shown = ShownPlan(PLAN, JOB, "", (), True)

    def convicts(job: Job, plan: Plan) -> tuple[Finding, ...]:
        return (Finding("dives-a-day", "Three dives on one day.", "Ines"),)

    back = desk_of(record_of(desk), "t", convicts)
    assert back.shown is None
    assert back.job == JOB
    assert "Three dives on one day." in back.note


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "7", "null", '{"form": 1}', '{"form": "x"}', '{"form": 1, "jobs": [{"a": 1}]}']
)
def test_a_text_that_is_no_record(text: str) -> None:
    """One sentence, whatever it is."""
    with pytest.raises(UnreadableDesk, match="cannot be read"):
        desk_of(text, "t", all_clear)


def test_a_record_with_a_part_missing_or_of_another_kind_is_refused_whole() -> None:
    """Every part taken away or turned into a number gives the sentence, never half a desk."""
    desk = _opened()
    desk.change(JOB.replace(people=JOB.people[:-1]), "people")
    desk.shown = ShownPlan(PLAN, JOB, "", (), True)
    whole = json.loads(record_of(desk))
    for name in whole:
        without = {k: v for k, v in whole.items() if k != name}
        with pytest.raises(UnreadableDesk):
            desk_of(json.dumps(without), "t", all_clear)
    for name in ("jobs", "before", "shown", "units", "round", "edits", "job", "pay_rules", "spread"):
        with pytest.raises(UnreadableDesk):
            desk_of(json.dumps({**whole, name: "x"}), "t", all_clear)


def test_a_record_of_a_newer_version() -> None:
    """It is told as such."""
    with pytest.raises(UnreadableDesk, match="newer version"):
        desk_of('{"form": 99}', "t", all_clear)


# ---------------------------------------------------------------------- the server


@pytest.fixture
def place(tmp_path: Path) -> Iterator[str]:
    """A store of the test's own."""
    yield str(tmp_path / "store.sqlite")
    session._opened.clear()


def _app(place: str, token: str = "", **more: object) -> AppTest:
    """The whole app in a new tab."""
    test = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30)
    test.session_state["store_place"] = place
    for name, value in more.items():
        test.session_state[name] = value
    if token:
        test.query_params["desk"] = token
    return test.run()


def _restart() -> None:
    """What a server has in memory is gone."""
    shelf.clear()
    session._opened.clear()


def _open_sample(test: AppTest) -> tuple[AppTest, Desk]:
    test.button(key=f"sample_{samples()[0].stem}").click().run()
    here = shelf().find(str(test.session_state["desk_token"]))
    assert here is not None
    return test, here


def test_job_plan_and_edits_are_there_after_a_restart(place: str) -> None:
    """Open, edit, plan; restart; the address brings all of it, and undo takes the edit back."""
    _, here = _open_sample(_app(place))
    job = here.job
    assert job is not None
    here.change(job.replace(people=job.people[:-1]), "people")
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    _app(place, here.token)
    _restart()
    test = _app(place, here.token, backend=replace(REAL, check=all_clear))
    assert not test.exception
    back = shelf().find(here.token)
    assert back is not None
    assert back is not here
    assert (back.job, back.before) == (here.job, here.before)
    assert back.shown is not None
    assert back.shown.plan == PLAN
    assert "no longer on the server" not in words_of(test)
    test.button(key="undo").click().run()
    assert back.job == job


def test_a_half_edited_table_is_there_after_a_restart(place: str) -> None:
    """A rating typed and not applied stands in the table of the new server."""
    test, here = page_of("people", JOB)
    test.session_state["store_place"] = place
    test.session_state[f"edit_People_{here.version}_{here.edits.round}"] = {
        "edited_rows": {0: {"depth_rating_fsw": 66}},
        "added_rows": [{"name": "New Hand"}],
        "deleted_rows": [],
    }
    test.run()
    _restart()
    _app(place, here.token)
    back = shelf().find(here.token)
    assert back is not None
    typed = back.edits.typed["People"]
    assert isinstance(typed, tuple)
    assert typed[0].cells["depth_rating_fsw"] == TypedFigure(66, UnitSystem.FEET)
    assert typed[-1].cells["name"] == "New Hand"
    assert back.job == JOB


def test_restarted_in_mid_solve_keeps_the_best_plan_and_says_so(place: str) -> None:
    """The plan harvested by then is on show; the page says that the search was cut off; the next run starts
    from it."""
    solve = FakeSolve(says=(Said(0.1, "finish", 5, 4, PLAN),), ends=Ended(PLAN), until_stopped=True)
    machine = replace(REAL, solve=solve, check=all_clear)
    test, here = page_of("tomorrow", JOB, machine)
    test.session_state["store_place"] = place
    run = here.run = SolveRun(JOB, solve, all_clear, seconds=60).begin()
    while not here.harvest():
        pass
    test.run()
    assert here.solving
    run.stop()
    run.wait(10)
    _restart()
    _app(place, here.token, backend=machine)
    back = shelf().find(here.token)
    assert back is not None
    assert not back.solving
    assert back.shown is not None
    assert back.shown.plan == PLAN
    again, _ = _page(place, "tomorrow", back, machine)
    assert "The search was cut off" in words_of(again)
    assert "The best plan found by then is kept" in plain(words_of(again)).replace("\\", "")
    again.button(key="plan").click().run()
    assert solve.started_from == PLAN
    assert "The search was cut off" not in words_of(again)
    back.stop_run()


def test_a_search_that_ends_with_no_page_open_is_kept(place: str) -> None:
    """Begun from the page and never looked at again: after the restart its last plan is there, with what was
    said of it, and nothing is called cut off; the desk in memory was left to the page."""
    better = PLAN.replace(seconds=9.0)
    solve = FakeSolve(
        says=(Said(0.1, "finish", 5, 4, PLAN),), ends=Ended(better, "proven"), until_stopped=True
    )
    machine = replace(REAL, solve=solve, check=all_clear)
    test, here = page_of("tomorrow", JOB, machine)
    test.session_state["store_place"] = place
    test.button(key="plan").click().run()
    run = here.run
    assert run is not None
    shown = here.shown
    run.stop()
    assert run.wait(10)
    assert (here.solving, here.shown) == (True, shown)
    _restart()
    _app(place, here.token, backend=machine)
    back = shelf().find(here.token)
    assert back is not None
    assert back.shown is not None
    assert (back.shown.plan, back.shown.job, back.shown.sentence) == (better, JOB, "proven")
    assert back.shown.steps == (Step(0.1, "finish", 5, 4),)
    assert back.note == ""


def test_the_end_of_another_search_is_not_taken_for_this_one() -> None:
    """What was handed over by a run before counts only for that run; one that found nothing says so."""
    desk = _opened()
    run = desk.run = SolveRun(JOB, FakeSolve(), all_clear)
    other = EndedRun("another", JOB, PLAN, "", ())
    back = desk_of(record_of(desk), "t", all_clear, lambda name: searched_out(other))
    assert back.shown is None
    assert "before a plan was found" in back.note
    nothing = EndedRun(run.token, JOB, None, "Out of time.", ())
    back = desk_of(record_of(desk), "t", all_clear, lambda name: searched_out(nothing))
    assert back.shown is None
    assert back.note.endswith("Out of time.")


def test_an_end_that_cannot_be_handed_over_is_said(place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk when the search ends: the desk says that work is only kept while the server runs."""

    def full(self: object, token: str, name: str, text: str) -> None:
        raise StoreRefused("The disk is full.")

    monkeypatch.setattr(kept_desks.KeptDesks, "put_part", full)
    solve = FakeSolve(ends=Ended(PLAN), until_stopped=True)
    test, here = page_of("tomorrow", JOB, replace(REAL, solve=solve, check=all_clear))
    test.session_state["store_place"] = place
    test.button(key="plan").click().run()
    assert here.run is not None
    assert here.not_kept == ""
    here.run.stop()
    assert here.run.wait(10)
    assert "only kept while the server runs. The disk is full." in here.not_kept
    test.run()
    assert here.shown is not None
    assert here.not_kept == ""


def test_a_damaged_end_of_a_search_leaves_the_rest() -> None:
    """The job is there, and a sentence says what is lost."""
    desk = _opened()
    desk.run = SolveRun(JOB, FakeSolve(), all_clear)

    def damaged(name: str) -> str:
        raise StoreRefused("It is damaged.")

    back = desk_of(record_of(desk), "t", all_clear, damaged)
    assert back.job == JOB
    assert "cannot be read. It is damaged." in back.note


def _page(place: str, address: str, here: Desk, machine: object) -> tuple[AppTest, Desk]:
    from app_pages import page_again

    test = page_again(address, here, place)
    test.session_state["backend"] = machine
    return test.run(), here


def test_restarted_before_there_was_a_plan(place: str) -> None:
    """Nothing was found yet: said so, and the job is there."""
    desk = _opened()
    desk.run = SolveRun(JOB, FakeSolve(), all_clear)
    back = _again(desk)
    assert back.shown is None
    assert "before a plan was found" in back.note


def test_a_desk_that_has_not_changed_is_not_written_again(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Looking at pages writes nothing; an edit writes once."""
    written: list[str] = []
    put = kept_desks.KeptDesks.put

    def counted(self: kept_desks.KeptDesks, token: str, content: str, parts: object) -> tuple[str, ...]:
        written.append(token)
        assert not parts
        return put(self, token, content)

    monkeypatch.setattr(kept_desks.KeptDesks, "put", counted)
    test, here = _open_sample(_app(place))
    assert len(written) == 1
    for _ in range(3):
        test.run()
    assert len(written) == 1
    assert here.job is not None
    here.change(here.job.replace(people=here.job.people[:-1]), "people")
    test.run()
    assert len(written) == 2


def test_a_visit_without_work_leaves_nothing_behind(place: str) -> None:
    """A first page that is only looked at is not written down."""
    test = _app(place)
    assert not test.exception
    assert not kept_desks.desks_file(f"sqlite:///{place}").exists()


def test_a_damaged_record_gives_a_sentence_and_a_fresh_desk(place: str) -> None:
    """No traceback; the page says what happened, and a job can be opened."""
    _, here = _open_sample(_app(place))
    _restart()
    with sqlite3.connect(kept_desks.desks_file(f"sqlite:///{place}")) as raw:
        raw.execute("UPDATE desks SET content = substr(content, 1, 100)")
    test = _app(place, here.token)
    assert not test.exception
    assert "is damaged and cannot be used" in words_of(test)
    test, fresh = _open_sample(test)
    assert not test.exception
    assert fresh.token != here.token
    assert fresh.job is not None


def test_without_a_place_to_write_the_app_goes_on_and_says_so(tmp_path: Path) -> None:
    """A file stands where the folder should be: the job opens; work is only kept while the server runs."""
    (tmp_path / "file").write_text("x")
    test, here = _open_sample(_app(str(tmp_path / "file" / "store.sqlite")))
    assert not test.exception
    assert here.job is not None
    words = words_of(test)
    assert "only kept while the server runs" in words
    assert "Saved jobs cannot be reached" in words
    lost = _app(str(tmp_path / "file" / "store.sqlite"), "unknown")
    assert not lost.exception
    assert "cannot be brought back" in words_of(lost)
