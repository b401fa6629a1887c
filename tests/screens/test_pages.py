"""Every page opens with and without a job, carries the caution, and does what its buttons say."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from app_pages import page_again, page_of, words_of
from fakes import Ended, FakeSolve, Said, all_clear
from streamlit.testing.v1 import AppTest

from planner import CAUTION
from planner.errors import Fault, InputFaults
from planner.job import Job, UnitSystem
from planner.screens.backend import REAL, Backend
from planner.screens.desk import ShownPlan
from planner.screens.navigation import PAGES
from planner.screens.pages.job import samples
from planner.screens.runs import SolveRun
from planner.screens.wording import plain, schedule_text
from planner.tables import ExposureOptions, plan_exposure
from planner.words.plan import crew_status_words
from planner.workbook.job_reader import read_job
from tests.world.harbour import harbour_job, harbour_plan

ROOT = Path(__file__).resolve().parents[2]
JOB = harbour_job()
PLAN = harbour_plan(JOB)


@pytest.mark.parametrize("address", [p.address for p in PAGES])
@pytest.mark.parametrize("job", [None, JOB], ids=["empty", "job"])
def test_page_opens_with_the_caution(address: str, job: Job | None) -> None:
    """No page fails, and the caution stands on each (the owner's rule)."""
    test, _ = page_of(address, job)
    assert not test.exception
    assert CAUTION in words_of(test)


@pytest.mark.parametrize("address", [p.address for p in PAGES])
def test_page_opens_with_a_plan(address: str) -> None:
    """With a plan on the desk every page shows without failing."""
    test, here = page_of(address, JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    assert not test.run().exception


def test_a_first_drawing_that_is_cut_short_leaves_the_limits_as_they_are() -> None:
    """The fields of the search come with the desk's values as their own: a value that is sent but once is
    lost with a drawing that a press cuts short, and the field's least is then taken for what was typed."""
    _, here = page_of("job", JOB)
    here.seconds, here.workers = 77, 3
    drawn = {name: page_again("tomorrow", here).number_input(key=name) for name in ("seconds", "workers")}
    assert not any(field.proto.set_value for field in drawn.values())
    assert {name: field.proto.default for name, field in drawn.items()} == {"seconds": 77, "workers": 3}
    drawn["seconds"].set_value(40).run()
    assert (here.seconds, here.workers) == (40, 3)


def test_whole_app_opens_on_the_job_page() -> None:
    """The door leads to the job page, with the samples that are shipped."""
    test = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30).run()
    assert not test.exception
    keys = {button.key for button in test.button}
    assert {f"sample_{s.stem}" for s in samples()} <= keys
    assert len(samples()) >= 3


def test_a_sample_opens() -> None:
    """One press and the job's people and work are on the page."""
    test, here = page_of("job")
    sample = samples()[0]
    test.button(key=f"sample_{sample.stem}").click().run()
    assert not test.exception
    job = read_job(sample)
    assert here.job == job
    assert test.title[0].value == plain(job.site.name)


def test_faults_are_shown_as_a_table() -> None:
    """A refused workbook: sheet, cell, sentence, found, allowed, each in its column; the open job stays."""
    fault = Fault("Work!C7", "900", "10 to 220 fsw", "Depth is out of range.")

    def refuses(name: str, data: bytes, told: object, came_from: object) -> Job:
        raise InputFaults([fault])

    test, here = page_of("job", JOB, replace(REAL, read_job=refuses))
    test.file_uploader(key="upload").upload("job.xlsx", b"PK", "application/zip").run()
    assert not test.exception
    assert here.job is JOB
    table = test.table[0].value
    assert list(table.columns) == ["Sheet", "Cell", "What is wrong", "Found", "Allowed"]
    assert list(table.iloc[0])[:2] == ["Work", "C7"]


@pytest.mark.parametrize(
    "data", [b"", b"hello", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old", b"PK\x03\x04 broken", b"%PDF-1.7"]
)
def test_what_is_no_workbook_is_told_in_a_sentence(data: bytes) -> None:
    """Any bytes under the name of a workbook give one fault and no traceback."""
    test, here = page_of("job")
    test.file_uploader(key="upload").upload("job.xlsx", data, "application/zip").run()
    assert not test.exception
    assert here.job is None
    if data:
        assert here.refused is not None
        assert len(here.refused.faults) == 1


@pytest.mark.parametrize("address", [p.address for p in PAGES])
def test_markup_in_a_users_text_stays_text(address: str) -> None:
    """A site called like a picture on the net is written out, never fetched."""
    job = JOB.replace(site=JOB.site.replace(name="![x](http://example.org/a.png) <b>"))
    test, _ = page_of(address, job)
    words = words_of(test)
    assert "[x](http" not in words
    assert " <b>" not in words


def test_planning_shows_the_plan_and_its_progress() -> None:
    """Press the button: the run ends, the plan is on show, marked as checked, with downloads."""
    solve = FakeSolve(says=(Said(0.2, "first plan", 900, 1020, PLAN),), ends=Ended(PLAN, "done"))
    test, here = page_of("tomorrow", JOB, replace(REAL, solve=solve, check=all_clear))
    test.button(key="plan").click().run()
    assert here.run is not None
    assert here.run.wait(10)
    test.run()
    assert not test.exception
    assert here.shown is not None
    assert here.shown.plan is PLAN
    words = words_of(test)
    assert "Rule check: clear" in words
    assert crew_status_words(PLAN, JOB) in words.lower()
    assert (
        "Not proven best for work finished: 984 weighted minutes, and 1,020 weighted minutes is not ruled out"
        in words
    )
    assert {b.key for b in test.download_button} == {"watchbill", "plan_json"}
    assert solve.calls == 1


def test_a_rerun_never_solves_again() -> None:
    """Only the button starts the scheduler; looking at the page does not."""
    solve = FakeSolve(ends=Ended(PLAN))
    test, here = page_of("tomorrow", JOB, replace(REAL, solve=solve, check=all_clear))
    test.button(key="plan").click().run()
    assert here.run is not None
    assert here.run.wait(10)
    for _ in range(3):
        test.run()
    assert solve.calls == 1


@pytest.mark.parametrize("address", [p.address for p in PAGES])
def test_looking_at_a_page_reads_no_workbook_and_solves_nothing(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Drawn twice with a job and a plan: no workbook is parsed or written, nothing is searched or judged."""
    done: list[str] = []

    def told(name: str) -> Any:
        def call(*args: object, **kwargs: object) -> None:
            done.append(name)

        return call

    asked = {f.name: told(f.name) for f in fields(REAL)}
    monkeypatch.setattr(openpyxl, "load_workbook", told("load_workbook"))
    test, here = page_of(address, JOB, Backend(**asked))
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    for _ in range(2):
        assert not test.run().exception
    assert done == []


def test_planning_again_starts_from_the_plan_on_show() -> None:
    """The second run is given the first one's plan."""
    solve = FakeSolve(ends=Ended(PLAN))
    test, here = page_of("tomorrow", JOB, replace(REAL, solve=solve, check=all_clear))
    for _ in range(2):
        test.button(key="plan").click().run()
        assert here.run is not None
        assert here.run.wait(10)
        test.run()
    assert solve.calls == 2
    assert solve.started_from is PLAN


def test_stop_keeps_the_best_so_far() -> None:
    """Stop while the scheduler works: the plan it had found stays on the page."""
    solve = FakeSolve(says=(Said(0.1, "finish", 5, 4, PLAN),), ends=Ended(PLAN), until_stopped=True)
    test, here = page_of("tomorrow", JOB, replace(REAL, solve=solve, check=all_clear))
    test.button(key="plan").click().run()
    assert here.solving
    test.button(key="stop").click().run()
    assert here.run is not None
    assert here.run.wait(10)
    test.run()
    assert solve.stopped
    assert here.shown is not None
    assert here.shown.plan is PLAN


def test_a_run_that_ends_while_the_page_is_drawn_leaves_no_stop_button() -> None:
    """Ended and not yet read as the page is drawn: nothing would draw it again, so it must not say Stop."""
    solve = FakeSolve(ends=Ended(PLAN))
    test, here = page_of("tomorrow", JOB, replace(REAL, solve=solve, check=all_clear))
    here.start_run(SolveRun(JOB, solve, all_clear).begin())
    assert here.run is not None and here.run.wait(10) and here.solving
    test.run()
    assert "plan" in {b.key for b in test.button}
    assert "stop" not in {b.key for b in test.button}


def test_an_edited_job_marks_the_plan_as_old() -> None:
    """After an edit the plan is still there and says that the job has changed."""
    test, here = page_of("tomorrow", JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    here.change(JOB.replace(people=JOB.people[:-1]), "people")
    assert "edited since this plan was made" in words_of(test.run())


def test_reasons_stand_under_what_is_left() -> None:
    """The leftover's sentence and the id of its rule are on the page."""
    test, here = page_of("tomorrow", JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    words = words_of(test.run())
    assert "No diver has a second dive left that is clear" in words
    assert "`dives-a-day`" in words


def test_dive_sheet_of_the_chosen_dive() -> None:
    """The page shows the times of the dive that is picked."""
    test, here = page_of("dive-sheets", JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    test.run()
    test.session_state["dive"] = "2"
    assert "Anode count" in words_of(test.run())


def test_tables_give_worked_example_14() -> None:
    """98 fsw for 15 min in group H: equivalent 41 min, row 100/45. Source: tables 9-8, 9-9 (computed)."""
    test, _ = page_of("tables")
    test.number_input(key="ask_depth_fsw").set_value(98)
    test.number_input(key="ask_bottom").set_value(15)
    test.selectbox(key="ask_group").set_value("O")
    test.run()
    test.number_input(key="ask_interval").set_value(386)
    test.run()
    words = words_of(test)
    assert "41 min" in words
    assert "100 fsw / 45 min" in words.replace("\\", "")


def test_tables_refuse_in_a_sentence() -> None:
    """An exceptional exposure is refused with the tables' own words."""
    test, _ = page_of("tables")
    test.number_input(key="ask_depth_fsw").set_value(190)
    test.number_input(key="ask_bottom").set_value(120)
    test.run()
    assert not test.exception
    assert "verdict bad" in words_of(test)


def test_a_named_team_replaces_the_crew_rows_and_can_be_undone() -> None:
    """Use the team of three; undo brings the rows back."""
    test, here = page_of("crew-rules", JOB)
    test.session_state["preset"] = "three"
    test.run()
    test.button(key="use_preset").click().run()
    assert here.job is not None
    assert here.job.rules.preset == "three"
    test.button(key="undo").click().run()
    assert here.job == JOB


def test_a_named_team_is_signed_row_by_row() -> None:
    """Rows that come with the team say who put them there and when; rows that were there before do not."""
    test, here = page_of("crew-rules", JOB)
    assert "as shipped" in set(test.dataframe[0].value["Changed by"])
    test.session_state["clock"] = datetime(2027, 3, 15, 18, 30, tzinfo=UTC)
    test.selectbox(key="signs").set_value("Pia Sund").run()
    test.session_state["preset"] = "three"
    test.run()
    test.button(key="use_preset").click().run()
    assert here.job is not None
    before = {(r.duty, r.count, r.gear) for r in JOB.rules.minima}
    fresh = [r for r in here.job.rules.minima if (r.duty, r.count, r.gear) not in before]
    assert fresh
    assert {r.changed_by for r in fresh} == {"Pia Sund"}
    assert all(r.changed_by == "" for r in here.job.rules.minima if r in JOB.rules.minima)
    shown = test.dataframe[0].value
    # Copenhagen is an hour ahead of UTC in March before summer time.
    assert "15 Mar 2027 19:30" in set(shown["Changed at"])
    assert all(shown["Source"])


#: Pickers that choose what is looked at and change nothing need no line of help.
LOOKS = {"sheet_site", "sheet_people", "sheet_work", "sheet_rules", "day_view", "gear_view"}


@pytest.mark.parametrize("address", [p.address for p in PAGES])
def test_every_field_has_a_line_of_help(address: str) -> None:
    """Each field that asks for something says in a line what it means."""
    test, here = page_of(address, JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    test.run()
    kinds = (
        "number_input",
        "text_input",
        "selectbox",
        "multiselect",
        "date_input",
        "toggle",
        "file_uploader",
    )
    bare = [
        f"{kind} {element.label}"
        for kind in (*kinds, "segmented_control")
        for element in getattr(test, kind)
        if not element.proto.help and element.key not in LOOKS
    ]
    assert bare == []


def test_a_lost_desk_is_told() -> None:
    """An address whose work is gone says so and starts afresh."""
    test = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30)
    test.query_params["desk"] = "gone"
    test.run()
    assert not test.exception
    assert "no longer on the server" in words_of(test)


def test_reload_finds_the_work_again() -> None:
    """A new session with the token in its address has the same job and plan."""
    _, here = page_of("job", JOB)
    again = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30)
    again.query_params["desk"] = here.token
    again.run()
    assert again.title[0].value == plain(JOB.site.name)


def test_contrast_and_units_are_kept_on_the_desk() -> None:
    """The switches of the side panel are remembered for the next reload."""
    test, here = page_of("job", JOB)
    test.toggle(key="contrast").set_value(True).run()
    assert here.contrast


def test_no_limit_is_written_as_such() -> None:
    """A dive to 12 fsw has no no-stop limit (table 9-7, row 15): no number of minutes stands for it."""
    schedule = plan_exposure(12, 31, None, ExposureOptions()).schedule
    assert schedule_text(schedule, UnitSystem.FEET) == "15/no limit (table 9-7), no-stop"
