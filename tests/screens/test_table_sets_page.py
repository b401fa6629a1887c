"""The page of table sets: a set is looked at, judged, chosen for a job, loaded; an unsound one never is."""

from __future__ import annotations

from pathlib import Path

import pytest
from app_pages import page_of, words_of

from planner.job import Policy
from planner.screens.wording import plain
from planner.table_sets import set_ids, table_set
from planner.table_sets.shelf import SETS_VARIABLE, files_of
from planner.workbook.set_book import write_set_book
from tests.world.harbour import harbour_job

OCEAN = "noaa-no-decompression"
JOB = harbour_job()
NO_STOPS = JOB.replace(
    site=JOB.site.replace(policy=Policy.NO_STOP, oxygen_in_water=False, altitude_ft=0),
    people=tuple(person.replace(past_dives=()) for person in JOB.people),
)


@pytest.fixture(autouse=True)
def a_place_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(SETS_VARIABLE, str(tmp_path))


def test_a_set_is_shown_with_its_verdict_and_every_file() -> None:
    """Name, edition, checksum, the verdict, and each file as a table, by the publisher's name for it."""
    test, _ = page_of("table-sets")
    assert not test.exception
    words = words_of(test)
    assert table_set().title in words and table_set().mark in words and "Sound: 1,016 rows" in words
    assert len(test.tabs) == 8
    test.selectbox(key="set_id").set_value(OCEAN).run()
    assert not test.exception
    assert [tab.label for tab in test.tabs][:1] == ["no_stop.csv · chart 1"]
    assert "none printed" in words_of(test)


def test_a_set_is_chosen_for_the_open_job() -> None:
    """One press: the job names the set; it can be undone as any change."""
    test, here = page_of("table-sets", NO_STOPS)
    test.selectbox(key="set_id").set_value(OCEAN).run()
    test.button(key="set_use").click().run()
    assert not test.exception
    assert here.job is not None and here.job.site.table_set == OCEAN
    assert "The open job is planned by this set." in words_of(test)


def test_a_job_that_needs_more_than_the_set_has_cannot_choose_it() -> None:
    """In-water stops with a set that has none: the button cannot be pressed, and the page says why."""
    job = NO_STOPS.replace(site=NO_STOPS.site.replace(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=20))
    test, here = page_of("table-sets", job)
    test.selectbox(key="set_id").set_value(OCEAN).run()
    assert test.button(key="set_use").disabled
    assert "has no rows for stops in the water" in words_of(test)
    assert here.job is job


def test_files_are_judged_and_kept_under_an_id() -> None:
    """Sent together: the report at once; with an id the set is kept and on show."""
    test, _ = page_of("table-sets")
    field = test.file_uploader(key="set_files")
    field.set_value([(name, content, "text/csv") for name, content in files_of(OCEAN).items()]).run()
    assert not test.exception
    assert test.button(key="set_keep").disabled
    test.text_input(key="set_new_id").set_value("harbour-set").run()
    test.button(key="set_keep").click().run()
    assert not test.exception
    assert set_ids()[-1] == "harbour-set"
    assert test.selectbox(key="set_id").value == "harbour-set"


def test_a_falsified_set_is_told_and_not_kept() -> None:
    """One digit off: the fault with file and line, and no way to keep it."""
    files = files_of(OCEAN)
    files["time_left.csv"] = files["time_left.csv"].replace(b"90,27,23", b"90,27,22")
    test, _ = page_of("table-sets")
    test.text_input(key="set_new_id").set_value("harbour-set").run()
    field = test.file_uploader(key="set_files")
    field.set_value([(name, content, "text/csv") for name, content in files.items()]).run()
    assert not test.exception
    assert test.button(key="set_keep").disabled
    (faults,) = test.table
    assert list(faults.value["File and line"]) == [plain("time_left.csv, line 7")]
    assert "harbour-set" not in set_ids()


def test_a_workbook_is_judged_and_kept() -> None:
    """One workbook in place of the files: the same report, and the set is kept; another file is told."""
    test, _ = page_of("table-sets")
    book = ("charts.xlsx", write_set_book(files_of(OCEAN)), "application/octet-stream")
    test.file_uploader(key="set_files").set_value([book]).run()
    assert not test.exception
    assert "Sound: 135 rows" in words_of(test)
    test.text_input(key="set_new_id").set_value("from-a-book").run()
    test.button(key="set_keep").click().run()
    assert set_ids()[-1] == "from-a-book"
    test.file_uploader(key="set_files").set_value([("charts.xlsx", b"none", "text/plain")]).run()
    assert not test.exception
    (faults,) = test.table
    assert "This is not a workbook" in str(faults.value.iloc[0].tolist())
