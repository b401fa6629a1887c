"""Tables and fields follow the units switch; a figure that was not touched stays as it is to the last digit.

Checked against 1 ft = 0.3048 m (so 1 m = 3.2808 ft) and 1 psi = 6.894757 kPa (NIST SP 811, appendix B), and
against what the workbook's own reader makes of a metric workbook.
"""

from __future__ import annotations

import io
import math
from pathlib import Path

import pandas as pd
import pytest
from app_pages import page_again, page_of, words_of
from typed_sheets import edited_job, settings_of, table_of

from planner.errors import InputFaults
from planner.job import Bank, Job, UnitSystem
from planner.screens.desk import Desk
from planner.screens.desk_record import desk_of, record_of
from planner.screens.editing.edits import Edits
from planner.screens.editing.sheets import ROW, SHEETS, Edit
from planner.screens.pages.job import samples
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import BANKS, DIVE_WORK, PEOPLE, RULES, SITE
from planner.workbook.job_writer import write_job
from tests.world.harbour import harbour_job

FEET, METRIC = UnitSystem.FEET, UnitSystem.METRIC
JOB = harbour_job()
FEET_PER_METRE = 3.2808


def _metric(job: Job) -> Job:
    return job.replace(site=job.site.replace(units=METRIC))


def _all_sheets(job: Job, units: UnitSystem) -> dict[str, Edit | pd.DataFrame]:
    return {
        n: settings_of(s, job, units) if s.settings else table_of(s, job, units) for n, s in SHEETS.items()
    }


def _banked(pressure_psi: float) -> Job:
    """The job with one bank at a pressure that no figure in bar reads back to."""
    bank = Bank(
        name="A",
        bottles=1,
        floodable_cuft_each=1.5,
        pressure_psi=pressure_psi,
        working_pressure_psi=3000,
    )
    return JOB.replace(air=JOB.air.replace(banks=(bank,)))


def _typed(edits: Edits, job: Job, sheet_field: str, value: float, row: int = 0) -> None:
    """Type a figure into the table of dive work, as the page does."""
    frame = edits.base(DIVE_WORK, job, fresh=True).copy()
    frame.loc[row, sheet_field] = value
    edits.keep_table(DIVE_WORK, job, frame)


@pytest.mark.parametrize("units", UnitSystem, ids=["feet", "metric"])
@pytest.mark.parametrize("sample", samples(), ids=lambda s: s.stem)
def test_untouched_tables_give_the_same_job_in_either_units(sample: Path, units: UnitSystem) -> None:
    """Every sheet of every sample shown in either units and read again: equal to the last digit."""
    job = read_job(sample)
    assert edited_job(job, _all_sheets(job, units), units=units) == job
    assert edited_job(_metric(job), _all_sheets(_metric(job), units), units=units) == _metric(job)


def test_46_fsw_shown_in_metres_stays_46_fsw() -> None:
    """46 fsw is shown as 14 m (45.93 ft, rounded up); another cell of its row is edited; it is still 46."""
    job = JOB.replace(dive_items=(JOB.dive_items[0].replace(depth_fsw=46), *JOB.dive_items[1:]))
    table = table_of(DIVE_WORK, job, METRIC)
    assert table.loc[0, "depth_fsw"] == 14
    table.loc[0, "priority"] = 2
    after = edited_job(job, {DIVE_WORK.name: table}, units=METRIC)
    assert after.dive_items[0].depth_fsw == 46
    assert after.dive_items[0].priority == 2


def test_a_figure_that_bar_cannot_write_stays_exact() -> None:
    """2216.37 psi lies between two tenths: no figure in bar reads back to it, yet it is not touched."""
    job = _banked(2216.37)
    table = table_of(BANKS, job, METRIC)
    table.loc[0, "working_pressure_psi"] = 220
    bank = edited_job(job, {BANKS.name: table}, units=METRIC).air.banks[0]
    assert bank.pressure_psi == 2216.37
    # 220 bar = 22 000 kPa / 6.894757 = 3190.83 psi; a limit that is there is rounded down.
    assert bank.working_pressure_psi == 3190.8


@pytest.mark.parametrize("depth_m", [9.1, 12.3, 15, 18.3, 30])
def test_a_touched_depth_is_converted_to_the_safe_side(depth_m: float) -> None:
    """Never shallower than typed, less than a foot deeper, and what a metric workbook is read as."""
    table = table_of(DIVE_WORK, JOB, METRIC)
    table.loc[0, "depth_fsw"] = depth_m
    after = edited_job(JOB, {DIVE_WORK.name: table}, units=METRIC)
    depth_fsw = after.dive_items[0].depth_fsw
    assert depth_fsw == math.ceil(depth_m * FEET_PER_METRE)
    own = table_of(DIVE_WORK, _metric(JOB))
    own.loc[0, "depth_fsw"] = depth_m
    assert edited_job(_metric(JOB), {DIVE_WORK.name: own}).dive_items[0].depth_fsw == depth_fsw
    assert after.site.units is FEET


def test_a_limit_typed_in_metres_is_converted_as_in_a_workbook() -> None:
    """A greatest depth of 57 m: 187.01 ft, rounded up as ratings are, so that it covers work at 57 m."""
    after = edited_job(JOB, {RULES.name: {"greatest_depth_fsw": 57}}, units=METRIC)
    assert after.rules.greatest_depth_fsw == 188
    assert edited_job(JOB, {RULES.name: settings_of(RULES, JOB, METRIC)}, units=METRIC) == JOB


def test_faults_are_told_in_the_units_shown() -> None:
    """300 m: the fault says metres, and what is allowed in metres."""
    table = table_of(DIVE_WORK, JOB, METRIC)
    table.loc[0, "depth_fsw"] = 300
    with pytest.raises(InputFaults) as found:
        edited_job(JOB, {DIVE_WORK.name: table}, units=METRIC)
    [fault] = found.value.faults
    assert fault.found == "300 m"
    assert fault.allowed.endswith(" m")
    assert "300 m" in fault.sentence


def test_what_contradicts_is_told_in_the_units_shown() -> None:
    """3000 psi in a bank whose working pressure is set to 200 bar: both pressures are told in bar."""
    table = table_of(BANKS, _banked(3000), METRIC)
    table.loc[0, "working_pressure_psi"] = 200
    with pytest.raises(InputFaults) as found:
        edited_job(_banked(3000), {BANKS.name: table}, units=METRIC)
    [fault] = found.value.faults
    # 3000 psi = 206.84 bar (206.843 to read back as 3000.0); 200 bar = 2900.7 psi, rounded down.
    assert fault.found == "206.843 bar"
    assert fault.allowed == "the working pressure, 200 bar, or less"


@pytest.mark.parametrize("field", ["depth_fsw", "bottom_work_min"])
def test_the_switch_flipped_twice_leaves_tables_as_they_were(field: str) -> None:
    """A pending edit, flipped to the other units and back: the table is as it was, cell for cell."""
    edits = Edits(units=METRIC)
    _typed(edits, JOB, field, 13)
    before = edits.typed[DIVE_WORK.name]
    edits.show_in(FEET, JOB)
    edits.show_in(METRIC, JOB)
    after = edits.typed[DIVE_WORK.name]
    assert isinstance(before, tuple)
    assert after == before
    assert edits.base(DIVE_WORK, JOB, fresh=True).loc[0, field] == 13


def test_a_pending_figure_is_shown_converted_and_kept_as_typed() -> None:
    """12.3 m is shown as 41 fsw (40.35, rounded up), and is 12.3 m again; applied it is 41 fsw in both."""
    edits = Edits(units=METRIC)
    _typed(edits, JOB, "depth_fsw", 12.3)
    for units, shown in ((FEET, 41), (METRIC, 12.3), (FEET, 41)):
        edits.show_in(units, JOB)
        frame = edits.base(DIVE_WORK, JOB, fresh=True)
        assert frame.loc[0, "depth_fsw"] == shown
        edits.keep_table(DIVE_WORK, JOB, frame)
        after = edited_job(JOB, edits.typed, units=units)
        assert [i.depth_fsw for i in after.dive_items] == [41, *(i.depth_fsw for i in JOB.dive_items[1:])]


def test_figures_typed_in_both_units_stand_beside_each_other() -> None:
    """12.3 m typed, then flipped and 60 fsw typed in another row: each is kept as it was typed."""
    edits = Edits(units=METRIC)
    _typed(edits, JOB, "depth_fsw", 12.3)
    edits.show_in(FEET, JOB)
    _typed(edits, JOB, "depth_fsw", 60, row=1)
    edits.show_in(METRIC, JOB)
    frame = edits.base(DIVE_WORK, JOB, fresh=True)
    # 60 fsw = 18.288 m; the shortest figure that reads back as 60: 18 m = 59.06 ft.
    assert list(frame["depth_fsw"][:2]) == [12.3, 18]
    assert [i.depth_fsw for i in edited_job(JOB, edits.typed, units=METRIC).dive_items[:2]] == [41, 60]
    edits.show_in(FEET, JOB)
    assert list(edits.base(DIVE_WORK, JOB, fresh=True)["depth_fsw"][:2]) == [41, 60]


def test_a_figure_typed_back_to_the_jobs_own_is_no_edit() -> None:
    """12.3 m typed, flipped to feet, the job's own fsw typed over it: nothing is pending."""
    edits = Edits(units=METRIC)
    _typed(edits, JOB, "depth_fsw", 12.3)
    edits.show_in(FEET, JOB)
    assert DIVE_WORK.name in edits.typed
    _typed(edits, JOB, "depth_fsw", JOB.dive_items[0].depth_fsw)
    assert not edits.typed


def test_a_figure_that_shows_as_the_jobs_own_is_kept_as_typed() -> None:
    """40 fsw is shown as 12 m; 12.1 m (39.70 ft) is 40 fsw too, and stays 12.1 m, in the job as well."""
    job = JOB.replace(dive_items=(JOB.dive_items[0].replace(depth_fsw=40), *JOB.dive_items[1:]))
    edits = Edits(units=METRIC)
    _typed(edits, job, "depth_fsw", 12.1)
    edits.show_in(FEET, job)
    edits.keep_table(DIVE_WORK, job, edits.base(DIVE_WORK, job, fresh=True))
    edits.show_in(METRIC, job)
    assert edits.base(DIVE_WORK, job, fresh=True).loc[0, "depth_fsw"] == 12.1
    as_typed = job.dive_items[0].replace(typed=(("depth_fsw", 12.1),))
    kept = job.replace(dive_items=(as_typed, *job.dive_items[1:]))
    assert edited_job(job, edits.typed, units=METRIC) == kept


def test_a_new_row_typed_in_metres_outlives_the_switch_and_a_restart() -> None:
    """A new item at 12.3 m, flipped to feet, written down and brought back: still 12.3 m in metres."""
    desk = Desk("token")
    desk.open(JOB, "made up")
    desk.edits.show_in(METRIC, JOB)
    table = desk.edits.base(DIVE_WORK, JOB, fresh=True)
    new = {**table.iloc[0].to_dict(), "name": "New item", "depth_fsw": 12.3, ROW: pd.NA}
    grown = pd.concat([table, pd.DataFrame([new]).astype(table.dtypes)], ignore_index=True)
    desk.edits.keep_table(DIVE_WORK, JOB, grown)
    desk.edits.show_in(FEET, JOB)
    back = desk_of(record_of(desk), "token", lambda plan, job: ())
    assert back.edits.units is FEET
    back.edits.show_in(METRIC, JOB)
    frame = back.edits.base(DIVE_WORK, JOB, fresh=True)
    assert frame["depth_fsw"].iloc[-1] == 12.3
    assert edited_job(JOB, back.edits.typed, units=METRIC).dive_items[-1].depth_fsw == 41


def test_pending_settings_outlive_the_switch_and_a_restart() -> None:
    """A greatest depth of 50.1 m (164.37 ft): shown as 165 fsw, kept as 50.1 m."""
    desk = Desk("token")
    desk.open(JOB, "made up")
    desk.edits.show_in(METRIC, JOB)
    values = desk.edits.settings(RULES, JOB)
    desk.edits.keep_settings(RULES, JOB, {**values, "greatest_depth_fsw": 50.1})
    desk.edits.show_in(FEET, JOB)
    desk.edits.keep_settings(RULES, JOB, desk.edits.settings(RULES, JOB))
    assert desk.edits.settings(RULES, JOB)["greatest_depth_fsw"] == 165
    back = desk_of(record_of(desk), "token", lambda plan, job: ())
    back.edits.show_in(METRIC, JOB)
    assert back.edits.settings(RULES, JOB)["greatest_depth_fsw"] == 50.1
    assert set(back.edits.typed[RULES.name]) == {"greatest_depth_fsw"}
    assert edited_job(JOB, back.edits.typed, units=METRIC).rules.greatest_depth_fsw == 165


def test_faults_are_told_anew_when_the_switch_is_flipped() -> None:
    """300 m refused, then flipped to feet: what is allowed is in fsw, what was found as it was typed."""
    edits = Edits(units=METRIC)
    _typed(edits, JOB, "depth_fsw", 300)
    with pytest.raises(InputFaults) as found:
        edited_job(JOB, edits.typed, units=METRIC)
    edits.begin_anew(found.value.faults)
    edits.show_in(FEET, JOB)
    [fault] = edits.faults
    assert fault.found == "300 m"
    assert fault.allowed.endswith(" fsw")


def test_feet_typed_into_a_metric_job_can_be_written_in_its_own_workbook() -> None:
    """2216.37 psi typed into a job in bar is kept as 2216.3 psi, which its workbook can write and read."""
    job = _metric(_banked(2000))
    table = table_of(BANKS, job, FEET)
    table.loc[0, "pressure_psi"] = 2216.37
    after = edited_job(job, {BANKS.name: table}, units=FEET)
    assert after.air.banks[0].pressure_psi == 2216.3
    file = io.BytesIO()
    write_job(after, file)
    assert read_job(file.getvalue()) == after


def _cell(here: Desk, sheet: str, field: str, value: object) -> tuple[str, dict[str, object]]:
    key = f"edit_{sheet}_{here.version}_{here.edits.round}"
    return key, {"edited_rows": {0: {field: value}}, "added_rows": [], "deleted_rows": []}


@pytest.mark.parametrize("address", ["site-and-water", "people", "work", "gear-and-air", "crew-rules"])
def test_pages_open_in_metric_and_nothing_counts_as_edited(address: str) -> None:
    """Flipped on the page and back, with nothing typed: nothing is pending, the job is the same."""
    test, here = page_of(address, JOB)
    for units in (METRIC, FEET, METRIC):
        here.units = units
        test.run()
        assert not test.exception
        assert not here.edits.typed
    assert here.job is JOB


def test_a_rating_typed_in_metres_is_applied_and_undone() -> None:
    """People in metric: 27.5 m typed (90.2 ft) becomes 91 fsw; undo brings the old rating back."""
    test, here = page_of("people", JOB)
    test.segmented_control(key="units").set_value(METRIC).run()
    assert here.edits.units is METRIC
    assert "Shown and typed in metres" in words_of(test)
    key, state = _cell(here, "People", "depth_rating_fsw", 27.5)
    test.session_state[key] = state
    test.run()
    test.button(key="apply_people").click().run()
    assert not test.exception
    assert here.job is not None
    assert here.job.people[0].depth_rating_fsw == 91
    assert here.job.people[1:] == JOB.people[1:]
    assert here.job.site.units is FEET
    test.button(key="undo").click().run()
    assert here.job == JOB


def test_what_is_typed_at_the_moment_of_the_switch_is_kept() -> None:
    """A cell and the switch come to the server in one message: the cell is taken up first."""
    test, here = page_of("people", JOB)
    key, state = _cell(here, "People", "depth_rating_fsw", 66)
    test.session_state[key] = state
    test.segmented_control(key="units").set_value(METRIC).run()
    assert not test.exception
    assert here.edits.units is METRIC
    # 66 fsw = 20.1168 m; the shortest figure that reads back as 66: 20 m = 65.62 ft.
    assert test.data_editor[0].value["depth_rating_fsw"][0] == 20
    assert page_again("people", here).data_editor[0].value["depth_rating_fsw"][0] == 20
    test.segmented_control(key="units").set_value(FEET).run()
    assert test.data_editor[0].value["depth_rating_fsw"][0] == 66


def test_fields_of_the_site_are_in_metres() -> None:
    """The altitude's heading and its limit are metres; what is typed is rounded up to feet."""
    job = JOB.replace(site=JOB.site.replace(altitude_ft=1001))
    test, here = page_of("site-and-water", job)
    test.segmented_control(key="units").set_value(METRIC).run()
    field = test.number_input(key=f"set_Site_altitude_ft_{here.version}_{here.edits.round}")
    assert field.label == SITE.column("altitude_ft").heading(METRIC)
    # 1001 ft = 305.1048 m, of which 305 m = 1000.66 ft reads back as 1001.
    assert field.value == 305
    field.set_value(100.0).run()
    test.button(key="apply_site").click().run()
    assert here.job is not None
    assert here.job.site.altitude_ft == 329


def test_the_job_page_says_in_which_units_the_workbook_goes_out() -> None:
    """In the job's own units, also while metres are shown."""
    test, here = page_of("job", JOB)
    here.units = METRIC
    assert f"goes out in the job's own units: {FEET}" in words_of(test.run())


def test_people_table_is_headed_in_the_units_shown() -> None:
    """The sheet of people has a rating in metres under metric."""
    assert PEOPLE.column("depth_rating_fsw").heading(METRIC).endswith("(m)")
