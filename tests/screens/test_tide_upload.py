"""A tide service's file on the page Site and water becomes the rows of the sheet Tide."""

from __future__ import annotations

import pytest
from app_pages import page_of, words_of
from typed_sheets import edited_job

from planner.errors import InputFaults
from planner.job import UnitSystem
from planner.screens.pages.site_and_water import tide_rows
from planner.workbook.job_sheets import TIDE
from tests.world.harbour import harbour_job

JOB = harbour_job()
DAY = JOB.site.first_day.isoformat()
BEFORE = JOB.clock.at(JOB.clock.day_start(0) - 300).strftime("%Y-%m-%d")
AFTER = JOB.clock.at(JOB.clock.day_start(1) + 300).strftime("%Y-%m-%d")
TABLE = f"""Date Time,Prediction,Type
{BEFORE} 20:10,1.20,L
{DAY} 02:20,4.10,H
{DAY} 08:35,1.10,L
{DAY} 14:50,4.30,H
{DAY} 21:00,1.00,L
{AFTER} 03:10,4.20,H
"""


@pytest.mark.parametrize("units", UnitSystem, ids=["feet", "metric"])
def test_the_waters_of_a_file_are_in_the_job_once_applied(units: UnitSystem) -> None:
    """Six waters, levels in metres: 4.10 m is 13.45 ft (1 ft = 0.3048 m), whichever units are shown."""
    rows = tide_rows(JOB, "pier.csv", TABLE.encode(), metres=True, utc=False)
    job = edited_job(JOB, {TIDE.name: rows}, units=units)
    assert [mark.high for mark in job.tide_marks] == [False, True, False, True, False, True]
    assert job.tide_marks[1].level_ft == pytest.approx(4.10 / 0.3048, abs=0.01)
    assert job.clock.hhmm(job.tide_marks[1].minute) == "02:20"
    assert job.replace(tide_marks=()) == JOB.replace(tide_marks=())


def test_faults_of_a_file_are_told_with_their_lines() -> None:
    """A level that is no number, and a file that is no text: each is refused, and says where."""
    with pytest.raises(InputFaults) as found:
        tide_rows(JOB, "pier.csv", TABLE.replace("4.30", "high").encode(), metres=True, utc=False)
    assert found.value.faults[0].where == "pier.csv, line 5"
    with pytest.raises(InputFaults, match="UTF-8"):
        tide_rows(JOB, "pier.csv", b"\xff\xfe\x00", metres=False, utc=False)


def test_the_page_puts_the_waters_beside_what_is_typed() -> None:
    """Loaded on the page, the rows are typed and not applied; another edit that was pending stays."""
    test, here = page_of("site-and-water", JOB)
    field = f"set_Site_day_end_{here.version}_{here.edits.round}"
    test.text_input(key=field).set_value("1600").run()
    test.file_uploader(key="tide_file").set_value(("pier.csv", TABLE.encode(), "text/csv")).run()
    test.toggle(key="tide_metres").set_value(True).run()
    test.button(key="tide_take").click().run()
    assert not test.exception
    assert set(here.edits.typed) == {"Site", "Tide"}
    assert "6 waters of pier.csv stand in the sheet Tide" in words_of(test)
    test.button(key="apply_site").click().run()
    assert here.job is not None
    assert len(here.job.tide_marks) == 6
    assert f"{here.job.site.day_end:%H:%M}" == "16:00"


def test_the_page_tells_what_is_wrong_with_a_file() -> None:
    """A file without the column of levels: nothing is typed, and the fault stands on the page."""
    test, here = page_of("site-and-water", JOB)
    bad = TABLE.replace("Prediction", "Height").encode()
    test.file_uploader(key="tide_file").set_value(("pier.csv", bad, "text/csv")).run()
    test.button(key="tide_take").click().run()
    assert not test.exception
    assert not here.edits.typed
    told = test.table[0].value.iloc[0]
    assert told["What is wrong"].startswith("The column Prediction is missing")
