"""Saved jobs on the job page: saved as a version by whom, listed, opened."""

from __future__ import annotations

from pathlib import Path

import pytest
from app_pages import page_of, words_of
from harbour_day import harbour_job
from streamlit.testing.v1 import AppTest

from planner.job import Job
from planner.screens.desk import Desk
from planner.screens.saved_jobs import LISTED
from planner.store import Store
from tests.daylog.a_day import a_job, a_plan

JOB = harbour_job()


@pytest.fixture
def place(tmp_path: Path) -> str:
    """A store of the test's own."""
    return str(tmp_path / "store.sqlite")


def _page(place: str, job: Job | None = None) -> tuple[AppTest, Desk]:
    test, here = page_of("job", job)
    test.session_state["store_place"] = place
    return test.run(), here


def _named(name: str) -> Job:
    return JOB.replace(site=JOB.site.replace(name=name))


def test_an_empty_store_says_what_to_do(place: str) -> None:
    """No list, and a sentence on how to fill it."""
    test, _ = _page(place)
    assert "No job is saved yet" in words_of(test)
    assert not [b for b in test.button if str(b.key).startswith("open_saved")]


def test_save_open_edit_save_again(place: str) -> None:
    """Saved twice it has two versions with who saved them; opened in another tab it is the last one."""
    test, here = _page(place, JOB)
    assert test.button(key="save_job").disabled
    who = JOB.people[0].name
    test.selectbox(key="signs").select(who).run()
    test.button(key="save_job").click().run()
    assert f"{JOB.site.name}: saved as version 1, by {who}." in words_of(test)
    edited = JOB.replace(people=JOB.people[:-1])
    here.change(edited, "people")
    test.run()
    test.button(key="save_job").click().run()
    test.button(key="save_job").click().run()
    assert "the same as what is saved as version 2" in words_of(test)
    with Store(place) as store:
        assert [v.saved_by for v in store.versions(JOB.site.name)] == [who, who]
    other, there = _page(place)
    assert "version 2 of" in words_of(other)
    other.button(key="open_saved_0").click().run()
    assert not other.exception
    assert there.job == edited
    assert there.opened_from == "the store"


def test_the_number_of_issued_watchbills_stands_in_the_list(place: str) -> None:
    """Two issued watchbills of a job are counted; one of another job is not."""
    job = a_job()
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
        store.save_job(job, "Ana Reyes")
        store.issue(job, a_plan(job), "Ana Reyes")
        store.issue(job, a_plan(job), "Ana Reyes", reason="late tide")
        assert {line.name: line.issued for line in store.jobs()} == {JOB.site.name: 0, job.site.name: 2}
    words = words_of(_page(place)[0])
    assert "2 watchbills issued" in words
    assert "nothing issued" in words


def test_many_saved_jobs_can_all_be_reached(place: str) -> None:
    """The last saved have a button each, the ones before them a list to pick from."""
    with Store(place) as store:
        for number in range(LISTED + 3):
            store.save_job(_named(f"Job {number}"), "Ana Reyes")
    test, here = _page(place)
    assert len([b for b in test.button if str(b.key).startswith("open_saved_") and b.key[-1].isdigit()]) == 6
    assert test.button(key="open_saved_earlier").disabled
    test.selectbox(key="saved_earlier").select("Job 1").run()
    test.button(key="open_saved_earlier").click().run()
    assert here.job == _named("Job 1")


def test_a_saved_job_that_was_changed_behind_its_back_is_not_opened(place: str) -> None:
    """The store's sentence is on the page; nothing is opened."""
    import sqlite3

    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
    with sqlite3.connect(place) as raw:
        raw.execute("DROP TRIGGER job_versions_no_update")
        raw.execute("UPDATE job_versions SET content = replace(content, 'Saltholm', 'Sundholm')")
    test, here = _page(place)
    test.button(key="open_saved_0").click().run()
    assert not test.exception
    assert here.job is None
    assert "changed after it was saved" in words_of(test)
