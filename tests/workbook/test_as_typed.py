"""A figure typed in metres is shown as it was typed, wherever the job goes (9 m, never 9.2).

1 ft = 0.3048 m exactly (NIST SP 811, appendix B): 9 m are 29.53 ft, 9.1 m are 29.86 ft, both 30 fsw.
"""

from __future__ import annotations

import io

import openpyxl
import pytest

from planner.job import Job, UnitSystem
from planner.log.day_log import Entry, Kind
from planner.log.wording import entry_text
from planner.screens.editing.sheets import edited_job, own_rows, shown_cell, table_of, typed_rows
from planner.store.records import canonical_json, job_from_json
from planner.words.measures import (
    dive_depth_words,
    down_and_out_words,
    level_words,
    own_depth_words,
    own_length_words,
    own_pressure_words,
)
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import DIVE_WORK, OUTFITS, PEOPLE, TIDE
from tests.samples import tidal_pier
from tests.workbook.job_files import cell, read, with_cells, workbook_of

METRIC, FEET = UnitSystem.METRIC, UnitSystem.FEET
TYPED = {
    (DIVE_WORK, "depth_fsw", 0): 9.1,
    (DIVE_WORK, "depth_fsw", 1): 9,
    (DIVE_WORK, "reach_ft", 0): 18.25,
    (PEOPLE, "depth_rating_fsw", 2): 30.5,
    (OUTFITS, "umbilical_length_ft", 0): 75,
    (OUTFITS, "umbilical_length_ft", 1): 75.1,
    (TIDE, "level_ft", 0): 4.85,
}


def _job(units: UnitSystem) -> Job:
    job = tidal_pier.job()
    return job.replace(site=job.site.replace(units=units))


@pytest.fixture(scope="module")
def typed() -> Job:
    """The pier in metres, with figures as people type them."""
    return read(with_cells(TYPED, read_job(workbook_of(_job(METRIC)))))


def test_the_words_are_what_was_typed_with_the_table_s_depth_beside_it(typed: Job) -> None:
    """Depths, a rating, lengths and a level of the tide; the job plans with the whole foot below."""
    first, second = typed.dive_items[:2]
    assert (first.depth_fsw, second.depth_fsw) == (30, 30)
    assert own_depth_words(first, METRIC) == "9.1 m (30 fsw)"
    assert own_depth_words(second, METRIC) == "9 m (30 fsw)"
    assert dive_depth_words(typed, first.name, 30) == "9.1 m (30 fsw)"
    assert dive_depth_words(typed, first.name, 33) == "10.1 m (33 fsw)"
    assert own_depth_words(first, METRIC, reads=FEET) == "30 fsw"
    assert own_depth_words(typed.people[2], METRIC, "depth_rating_fsw") == "30.5 m (101 fsw)"
    hoses = [own_length_words(o, METRIC, "umbilical_length_ft") for o in typed.outfits[:2]]
    assert hoses == ["75 m", "75.1 m"]
    assert down_and_out_words(first, 30, METRIC) == "9.1 m down and 18.25 m out"
    assert level_words(typed.tide_marks[0], METRIC) == "4.85 m"


def test_the_workbook_goes_out_and_comes_back_with_the_same_digits(typed: Job) -> None:
    """Workbook in metres, job, workbook in metres: the same cells; the job that comes back is equal."""
    content = workbook_of(typed)
    book = openpyxl.load_workbook(io.BytesIO(content))
    for (sheet, field, row), figure in TYPED.items():
        assert book[sheet.name][cell(sheet, field, row)].value == figure
    assert read_job(content) == typed


def test_a_store_keeps_it_and_an_older_one_still_reads(typed: Job) -> None:
    """The job as JSON holds what was typed; a job kept before it was is read, and told by its whole feet."""
    kept = canonical_json(typed)
    assert job_from_json(kept) == typed
    before = kept.replace('"typed":[["depth_fsw",9.1],["reach_ft",18.25]],', "")
    assert before != kept
    first = job_from_json(before).dive_items[0]
    assert own_depth_words(first, METRIC) == "9 m (30 fsw)"


@pytest.mark.parametrize("units", UnitSystem)
def test_the_table_of_the_app_keeps_it_in_a_job_in_either_units(units: UnitSystem) -> None:
    """Typed into the app's table in metres, in a job in metres or in feet: shown and kept as typed."""
    job = _job(units)
    before = own_rows(DIVE_WORK, job)
    table = table_of(DIVE_WORK, before, METRIC)
    table.loc[0, "depth_fsw"] = 9.1
    table.loc[1, "depth_fsw"] = 9
    rows = typed_rows(DIVE_WORK, table, before, before, METRIC)
    after = edited_job(job, {DIVE_WORK.name: rows}, units=METRIC)
    said = [own_depth_words(i, units, reads=METRIC) for i in after.dive_items[:2]]
    assert said == ["9.1 m (30 fsw)", "9 m (30 fsw)"]
    column = DIVE_WORK.column("depth_fsw")
    shown = [shown_cell(column, r.cells["depth_fsw"], METRIC) for r in own_rows(DIVE_WORK, after)[:2]]
    assert shown == [9.1, 9]
    assert edited_job(after, {}, units=METRIC) == after


def test_a_figure_that_was_changed_since_is_not_told_as_typed(typed: Job) -> None:
    """What a what-if, a hand or a screen in feet makes of it: 40 fsw are no longer 9.1 m."""
    deeper = typed.dive_items[0].replace(depth_fsw=40)
    assert own_depth_words(deeper, METRIC) == "12 m (40 fsw)"
    assert own_depth_words(deeper, FEET, reads=METRIC) == "12.2 m (40 fsw)"


def test_a_depth_in_feet_read_in_metres_is_rounded_up() -> None:
    """58 fsw are 17.68 m: 17.7, since nobody typed a figure in metres."""
    item = tidal_pier.job().dive_items[0].replace(depth_fsw=58)
    assert own_depth_words(item, FEET, reads=METRIC) == "17.7 m (58 fsw)"


def test_what_the_log_is_told_in_metres_and_bar_is_told_back(typed: Job) -> None:
    """A depth and a pressure logged in metric units; a stop of the tables, which nobody typed, in feet."""
    depth = Entry(kind=Kind.DEPTH, at_min=600, dive="1", depth_fsw=30, typed=(("depth_fsw", 9.1),))
    assert entry_text(depth, typed, METRIC).endswith("9.1 m (30 fsw)")
    stop = Entry(kind=Kind.REACH_STOP, at_min=600, dive="1", depth_fsw=20)
    assert entry_text(stop, typed, METRIC).endswith("20 fsw (6.1 m)")
    bar = (("pressure_psi", 200.0),)
    air = Entry(kind=Kind.AIR_READING, at_min=600, pressure_psi=2900.8, typed=bar)
    assert entry_text(air, typed, METRIC).endswith("200 bar")
    assert entry_text(air, typed, FEET).endswith("2,901 psi")


def test_a_pressure_is_told_in_the_bar_that_were_typed() -> None:
    """200 bar are 2,900.75 psi (1 psi = 6.894757 kPa: NIST SP 811), kept as 2,900.7 and told as 200 bar."""
    outfit = _job(METRIC).outfits[0].replace(bailout_psi=2900.7)
    assert own_pressure_words(outfit, METRIC, "bailout_psi", METRIC) == "200 bar"


def test_a_figure_of_no_field_is_refused() -> None:
    """A kept figure names a field of its own part."""
    with pytest.raises(ValueError, match="no figure called depth_ft"):
        tidal_pier.job().dive_items[0].replace(typed=(("depth_ft", 9.0),))
