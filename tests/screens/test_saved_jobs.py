"""Saved jobs on the job page: saved as a version by whom, listed, opened."""

from __future__ import annotations

from pathlib import Path

import pytest
from app_pages import page_of, words_of
from streamlit.testing.v1 import AppTest
from streamlit.testing.v1.element_tree import Button

from planner.job import Job
from planner.screens.desk import Desk
from planner.screens.saved import LISTED, SHOWN, what_differs
from planner.store import Store
from tests.world.harbour import harbour_job
from tests.world.quay import a_plan, with_air

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
    job = with_air()
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
        store.save_job(job, "Ana Reyes")
        store.issue(job, a_plan(), "Ana Reyes")
        store.issue(job, a_plan(), "Ana Reyes", reason="late tide")
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


# ---------------------------------------------------------------------- older versions


FEWER = JOB.replace(people=JOB.people[:-2])


def _three_versions(place: str) -> None:
    with Store(place) as store:
        for job, by in ((JOB, "Ana Reyes"), (FEWER, "Ben Okafor"), (JOB, "Ana Reyes")):
            store.save_job(job, by)


def _opens(test: AppTest, version: int) -> Button:
    """The button that opens a version."""
    return next(b for b in test.button if str(b.key).startswith(f"open_version_{version}_"))


def test_versions_are_listed_with_what_differs(place: str) -> None:
    """Newest first, on the clock of the site as in the list of jobs, with who saved each; removed people are
    counted."""
    _three_versions(place)
    test, _ = _page(place)
    assert "newest first" not in words_of(test)
    test.button(key="versions_0").click().run()
    assert not test.exception
    words = words_of(test)
    lines = [
        c.value for c in test.caption if " · " in c.value and ("Reyes" in c.value or "Okafor" in c.value)
    ]
    assert ["2 people more" in lines[0], "2 people fewer" in lines[1], "first version" in lines[2]] == [
        True
    ] * 3
    assert "by Ben Okafor" in lines[1]
    with Store(place) as store:
        saved = [version.saved_at for version in store.versions(JOB.site.name)[1:]]
    zone = JOB.site.time_zone
    second, third = (f"{at.astimezone(JOB.clock.zone):%d %b %Y %H:%M} ({zone})" for at in saved)
    assert f"{second} by Ben Okafor" in lines[1]
    assert f"version 3 of {third} by Ana Reyes" in words.replace("\\", "")
    test.button(key="versions_0").click().run()
    assert "newest first" not in words_of(test)


def test_an_older_version_opens_saves_as_the_newest_and_undo_brings_the_open_job_back(place: str) -> None:
    """Version 2 of 3, saved, is version 4; the other versions are as they were."""
    _three_versions(place)
    other = _named("Something else")
    test, here = _page(place, other)
    test.button(key="versions_0").click().run()
    _opens(test, 2).click().run()
    assert not test.exception
    assert here.job == FEWER
    assert "Version 2 of" in words_of(test)
    assert "Undo brings back the job that was open" in words_of(test)
    test.button(key="undo").click().run()
    assert here.job == other
    _opens(test, 2).click().run()
    test.selectbox(key="signs").select(JOB.people[0].name).run()
    test.button(key="save_job").click().run()
    assert "saved as version 4" in words_of(test)
    with Store(place) as store:
        opened = [store.open_job(JOB.site.name, v.version) for v in store.versions(JOB.site.name)]
    assert opened == [JOB, FEWER, JOB, FEWER]


def test_one_version_says_how_there_are_more(place: str) -> None:
    """The list of a job that was saved once says what to do."""
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
    test, _ = _page(place)
    test.button(key="versions_0").click().run()
    assert "no older version yet" in words_of(test)


def test_versions_are_read_once_and_only_when_asked_for(place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No version is read before the press; afterwards each once, however often the page is drawn; many
    versions are shown a few at a time."""
    with Store(place) as store:
        for number in range(SHOWN * 2):
            last = JOB.people[-1].replace(name=f"Hand {number}")
            store.save_job(JOB.replace(people=(*JOB.people[:-1], last)), "Ana Reyes")
    read: list[int | None] = []
    open_job = Store.open_job

    def counted(self: Store, name: str, version: int | None = None) -> Job:
        read.append(version)
        return open_job(self, name, version)

    monkeypatch.setattr(Store, "open_job", counted)
    test, _ = _page(place)
    assert not read
    test.button(key="versions_0").click().run()
    assert sorted(v for v in read if v is not None) == list(range(SHOWN, SHOWN * 2 + 1))
    before = len(read)
    test.run()
    assert len(read) == before
    test.button(key="older_versions").click().run()
    assert _opens(test, 1)
    assert not [b for b in test.button if b.key == "older_versions"]


def test_a_damaged_version_is_said_beside_the_sound_ones(place: str) -> None:
    """The list stands; opening the damaged one gives the store's sentence, and the open job stays."""
    import sqlite3

    _three_versions(place)
    with sqlite3.connect(place) as raw:
        raw.execute("DROP TRIGGER job_versions_no_update")
        raw.execute("UPDATE job_versions SET content = '{}' WHERE version = 1")
    test, here = _page(place)
    test.button(key="versions_0").click().run()
    assert "what differs cannot be read" in words_of(test)
    _opens(test, 1).click().run()
    assert not test.exception
    assert here.job is None
    assert "changed after it was saved" in words_of(test)


@pytest.mark.parametrize(
    ("after", "said"),
    [
        (JOB, "nothing"),
        (FEWER, "2 people fewer"),
        (JOB.replace(people=JOB.people[::-1]), "order of the rows"),
        (
            JOB.replace(people=(*JOB.people[:-1], JOB.people[-1].replace(name="Noor"))),
            "1 person new, 1 person gone",
        ),
        (JOB.replace(dive_items=JOB.dive_items[:-1]), "1 item fewer"),
        (JOB.replace(site=JOB.site.replace(name="Other")), "site changed"),
    ],
)
def test_what_differs_in_words(after: Job, said: str) -> None:
    """People and items are told apart by name; a name changed is one new and one gone."""
    assert what_differs(JOB, after) == said
