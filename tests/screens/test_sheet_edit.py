"""Tables on the screen and the job are two forms of one thing; what is typed is judged as in a workbook."""

from __future__ import annotations

import importlib
from datetime import UTC, date, datetime
from pathlib import Path

import pandas as pd
import pytest
from app_pages import page_again, page_of, words_of
from typed_sheets import edited_job, settings_of, table_of

from planner.errors import InputFaults
from planner.job import Job, UnitSystem
from planner.screens.editing.sheets import (
    ROW,
    SHEETS,
    Edit,
    TypedFigure,
    cell_of,
    place_in_table,
)
from planner.screens.editing.widgets import SUBJECTS
from planner.screens.navigation import PAGES
from planner.screens.pages.job import samples
from planner.workbook.cells import split_names
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import CREW_MINIMA, DIVE_WORK, PEOPLE, RULES, SITE
from tests.world.harbour import harbour_job

JOB = harbour_job()


def _all_sheets(job: Job) -> dict[str, Edit | pd.DataFrame]:
    return {n: settings_of(s, job) if s.settings else table_of(s, job) for n, s in SHEETS.items()}


@pytest.mark.parametrize("path", samples(), ids=lambda p: Path(p).stem)
def test_untouched_tables_give_the_same_job(path: Path) -> None:
    """Every sheet as a table and back: equal to the last field."""
    job = read_job(path)
    assert edited_job(job, _all_sheets(job)) == job


def test_untouched_tables_give_the_same_job_in_metres() -> None:
    """Also in a metric job: 58 fsw is typed as the metres that read back as 58 fsw."""
    job = JOB.replace(site=JOB.site.replace(units=UnitSystem.METRIC))
    assert edited_job(job, _all_sheets(job)) == job
    assert table_of(DIVE_WORK, job)["depth_fsw"][0] == pytest.approx(17.6784, abs=0.1)


def test_an_edited_cell_changes_the_job() -> None:
    """A new depth rating typed into the table is in the job, and nothing else is changed."""
    table = table_of(PEOPLE, JOB)
    table.loc[0, "depth_rating_fsw"] = 60
    job = edited_job(JOB, {PEOPLE.name: table})
    assert job.people[0].depth_rating_fsw == 60
    assert job.people[1:] == JOB.people[1:]
    assert job.dive_items == JOB.dive_items


def test_a_new_row_is_a_new_person() -> None:
    """A row added at the foot, with only what is needed, becomes a person."""
    table = table_of(PEOPLE, JOB)
    row = dict.fromkeys(table.columns) | {"name": "New Hand", "duties": ["tender"]}
    grown = pd.concat([table, pd.DataFrame([row])], ignore_index=True)
    job = edited_job(JOB, {PEOPLE.name: grown})
    assert job.people[-1].name == "New Hand"
    assert job.people[-1].duties == {"tender"}


def test_a_pasted_list_of_duties_falls_apart() -> None:
    """Duties pasted from a workbook as one text with semicolons are several duties."""
    table = table_of(PEOPLE, JOB)
    table.at[4, "duties"] = ["tender; log keeper"]
    assert edited_job(JOB, {PEOPLE.name: table}).people[4].duties == {"tender", "log keeper"}


def test_a_renamed_person_is_renamed_everywhere() -> None:
    """Past dives of a person follow a new name typed in the sheet of people."""
    table = table_of(PEOPLE, JOB)
    table.loc[2, "name"] = "Tomas Lindqvist"
    job = edited_job(JOB, {PEOPLE.name: table})
    assert job.people[2].name == "Tomas Lindqvist"
    assert job.people[2].past_dives == JOB.people[2].past_dives


def test_a_deleted_row_is_gone() -> None:
    """Rows deleted in the table are not in the job."""
    table = table_of(PEOPLE, JOB).drop(index=8)
    assert [p.name for p in edited_job(JOB, {PEOPLE.name: table}).people] == [p.name for p in JOB.people[:8]]


def test_faults_stand_at_row_and_column() -> None:
    """A depth of 900 and a blank name: each fault names its row and its column."""
    table = table_of(DIVE_WORK, JOB)
    table.loc[0, "depth_fsw"] = 900
    table.loc[1, "name"] = ""
    with pytest.raises(InputFaults) as found:
        edited_job(JOB, {DIVE_WORK.name: table})
    places = {place_in_table(fault) for fault in found.value.faults}
    assert ("Dive work", 0, DIVE_WORK.column("depth_fsw").title) in places
    assert ("Dive work", 1, DIVE_WORK.column("name").title) in places


def test_a_fault_of_a_setting_names_it() -> None:
    """A wrong time of day in the site's settings is placed at that setting."""
    with pytest.raises(InputFaults) as found:
        edited_job(JOB, {SITE.name: {**settings_of(SITE, JOB), "day_start": "25:99"}})
    assert place_in_table(found.value.faults[0]) == ("Site", None, SITE.column("day_start").title)


def test_a_time_may_be_typed_as_0700() -> None:
    """0700 and 07:00 are the same time of day."""
    one = edited_job(JOB, {SITE.name: {"day_start": "0730"}})
    two = edited_job(JOB, {SITE.name: {"day_start": "07:30"}})
    assert one == two
    assert f"{one.site.day_start:%H:%M}" == "07:30"


def test_changed_crew_rows_note_when() -> None:
    """A crew row that was changed carries the time of the change; the others do not."""
    table = table_of(CREW_MINIMA, JOB)
    table.loc[0, "count"] = 2
    now = datetime(2027, 3, 15, 19, 40, tzinfo=UTC)
    rows = edited_job(JOB, {CREW_MINIMA.name: table}, now=now).rules.minima
    assert rows[0].count == 2
    assert rows[0].changed_at == now
    assert all(row.changed_at is None for row in rows[1:])


def test_a_limit_is_edited_as_a_setting() -> None:
    """Dives a day set to one."""
    assert edited_job(JOB, {RULES.name: {"dives_a_day": 1}}).rules.dives_a_day == 1


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        (None, None),
        (pd.NA, None),
        (float("nan"), None),
        (pd.NaT, None),
        ("  ", None),
        ("=1+1", "=1+1"),
        (pd.Timestamp("2027-03-16"), date(2027, 3, 16)),
        ([], None),
        (["diver", "a;b"], 'diver; "a;b"'),
    ],
)
def test_cells(value: object, cell: object) -> None:
    """What a table holds becomes what the workbook's cell would hold."""
    typed = value
    if value == ["diver", "a;b"]:
        typed = ["diver", '"a;b"']
    assert cell_of(PEOPLE.column("duties"), typed) == cell


def test_names_in_quotes_may_hold_a_semicolon() -> None:
    """The rule of the workbook for lists of names holds for the screen too."""
    assert split_names('diver; "a;b" ; tender') == ["diver", "a;b", "tender"]
    assert split_names("") == []


def test_every_sheet_can_be_edited_on_some_page() -> None:
    """Each sheet of the job workbook stands on exactly one page."""
    modules = [importlib.import_module(f"planner.screens.pages.{p.module}") for p in PAGES if not p.sheets]
    found = [sheet.name for module in modules for sheet in getattr(module, "SHEETS", ())]
    found += [name for p in PAGES for name in p.sheets]
    assert sorted(found) == sorted(SHEETS)


def test_row_column_is_no_part_of_the_sheet() -> None:
    """The number that ties a row to its thing never reaches the reader."""
    assert ROW in table_of(PEOPLE, JOB).columns
    assert ROW not in {c.field for c in PEOPLE.columns}


def test_edit_apply_and_undo_on_the_page() -> None:
    """Type a rating into the table, apply: the job has it; undo: it is back."""
    test, here = page_of("people", JOB)
    key = f"edit_People_{here.version}_{here.edits.round}"
    test.session_state[key] = {
        "edited_rows": {0: {"depth_rating_fsw": 66}},
        "added_rows": [],
        "deleted_rows": [],
    }
    test.run()
    assert list(here.edits.typed) == ["People"]
    assert here.job is JOB
    test.button(key="apply_people").click().run()
    assert not test.exception
    assert here.job is not None
    assert here.job.people[0].depth_rating_fsw == 66
    test.button(key="undo").click().run()
    assert here.job == JOB


def test_a_bad_edit_is_kept_and_explained() -> None:
    """A rating of 900: not applied, the sentence on the page, what was typed still there."""
    test, here = page_of("people", JOB)
    key = f"edit_People_{here.version}_{here.edits.round}"
    test.session_state[key] = {
        "edited_rows": {0: {"depth_rating_fsw": 900}},
        "added_rows": [],
        "deleted_rows": [],
    }
    test.run()
    test.button(key="apply_people").click().run()
    assert not test.exception
    assert here.job is JOB
    assert here.edits.faults
    assert "Not applied" in words_of(test)
    told = test.table[0].value.iloc[0]
    assert (told["Table"], told["Row"]) == ("People", "1")
    assert told["Found"].startswith("900")
    kept = here.edits.typed["People"]
    assert isinstance(kept, tuple)
    assert kept[0].cells["depth_rating_fsw"] == TypedFigure(900, UnitSystem.FEET)
    test.button(key="discard_people").click().run()
    assert not here.edits.typed


def test_a_setting_is_applied_on_the_page() -> None:
    """Change the end of the day on the site page and apply."""
    test, here = page_of("site-and-water", JOB)
    field = f"set_Site_day_end_{here.version}_{here.edits.round}"
    test.text_input(key=field).set_value("1800").run()
    test.button(key="apply_site").click().run()
    assert here.job is not None
    assert f"{here.job.site.day_end:%H:%M}" == "18:00"


def test_what_is_typed_outlives_a_reload() -> None:
    """A table typed into but not applied is there again, as typed, when the page is loaded anew."""
    test, here = page_of("people", JOB)
    key = f"edit_People_{here.version}_{here.edits.round}"
    test.session_state[key] = {
        "edited_rows": {0: {"depth_rating_fsw": 66}},
        "added_rows": [{"name": "New Hand"}],
        "deleted_rows": [8],
    }
    test.run()
    typed = here.edits.typed["People"]
    assert isinstance(typed, tuple)
    again = page_again("people", here)
    assert not again.exception
    shown = again.data_editor[0].value
    assert shown["depth_rating_fsw"][0] == 66
    assert list(shown["name"]) == [*(p.name for p in JOB.people[:8]), "New Hand"]
    assert here.edits.typed["People"] == typed
    assert here.job is JOB


def test_every_setting_of_the_site_stands_under_one_subject_and_the_zone_is_picked() -> None:
    """No setting is left out or drawn twice but the units, which stand beside the pages; the time zone is one
    of the zone database."""
    sorted_under = [field for fields in SUBJECTS["Site"].values() for field in fields]
    assert sorted(sorted_under) == sorted(c.field for c in SITE.columns if c.field != "units")
    test, here = page_of("site-and-water", JOB)
    zone = next(box for box in test.selectbox if box.label == "Time zone")
    assert zone.value == JOB.site.time_zone and "Pacific/Chatham" in zone.options
    zone.set_value("Pacific/Chatham").run()
    test.button(key="apply_site").click().run()
    assert here.job is not None and here.job.site.time_zone == "Pacific/Chatham"
