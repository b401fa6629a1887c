"""A faulty workbook put right in the app: the file's own cells, the reader's own sentences."""

from __future__ import annotations

import io
import random
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest
from app_pages import page_again, page_of, words_of
from openpyxl.workbook import Workbook
from streamlit.testing.v1 import AppTest

from planner.errors import Fault, InputFaults
from planner.job import StandbyWayUp
from planner.screens.desk import Desk
from planner.screens.editing.edits import FAULT
from planner.screens.editing.mending import Mending, cell_text, macros_note, meant_by, mendable
from planner.screens.editing.sheets import ROW, place_of
from planner.screens.pages.job import SAMPLES_DIR, samples
from planner.screens.wording import plain
from planner.workbook.job_reader import job_of_sheets, read_job
from planner.workbook.job_sheets import RULES
from planner.workbook.opening import RawCell, RawSheet, open_book
from tests.workbook.job_files import of_before_the_standbys_way_up

GOOD = SAMPLES_DIR / "small_heavy_dress.xlsx"


def _book(change: Callable[[Workbook], None]) -> bytes:
    book = openpyxl.load_workbook(GOOD)
    change(book)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _deep_and_urgent(book: Workbook) -> None:
    """A depth of 900 in C6, a priority in words in B7, and a past dive of nobody in A6."""
    book["Dive work"]["C6"] = 900
    book["Dive work"]["B7"] = "high"
    book["Past dives"]["A6"] = "Nobody Known"


_GOOD_SHEETS = open_book(GOOD).sheets

FAULTY = _book(_deep_and_urgent)


def _mending(data: bytes) -> Mending:
    with pytest.raises(InputFaults) as found:
        read_job(data)
    mending = mendable("evening.xlsx", data, found.value.faults)
    assert mending is not None
    return mending


def _type(mending: Mending, sheet: str, row: int, letter: str, text: str) -> None:
    base = mending.base(sheet, fresh=True)
    edited = base.copy()
    edited.loc[edited[ROW] == row, letter] = text
    mending.keep_table(sheet, edited)


@pytest.mark.parametrize("path", samples(), ids=lambda p: Path(p).stem)
def test_tables_that_nobody_touches_read_as_the_file(path: Path) -> None:
    """Every sheet through its table and back is the same job, to the last field."""
    mending = Mending(file="x", sheets=open_book(path).sheets, faults=())
    for name in mending.job_sheets:
        mending.keep_table(name, mending.base(name, fresh=True))
    assert mending.changes == 0
    assert mending.read_again() == read_job(path)


@pytest.mark.parametrize("path", samples(), ids=lambda p: Path(p).stem)
def test_every_cell_typed_again_reads_as_the_file(path: Path) -> None:
    """What a table shows, typed as text into every cell below the headings, means the same job: the reader
    takes dates, times, numbers and yes or no as text."""
    mending = Mending(file="x", sheets=open_book(path).sheets, faults=())
    for name in mending.job_sheets:
        raw = mending.raw(name)
        assert raw is not None
        for number in mending.shown_rows(raw):
            raw.rows[number] = {i: RawCell(cell_text(c)) for i, c in raw.rows[number].items()}
    assert mending.read_again() == read_job(path)


def _faults(sheets: list[RawSheet]) -> tuple[Fault, ...]:
    try:
        job_of_sheets(sheets)
    except InputFaults as found:
        return found.faults
    return ()


#: What a cell may be spoilt with; None empties it.
_ANYTHING = (None, "x", "\n a ", "12;", -7, 10**12, 1e300, True, "diver 2", "\u2603", "a" * 100)


def _spoilt(seed: int) -> list[RawSheet]:
    """The good workbook with some cells turned into anything, headings among them, and maybe a sheet gone."""
    chance = random.Random(seed)
    sheets = [RawSheet(raw.name, {n: dict(cells) for n, cells in raw.rows.items()}) for raw in _GOOD_SHEETS]
    for _ in range(chance.randint(1, 6)):
        raw = chance.choice([raw for raw in sheets if raw.rows])
        row = chance.choice(sorted(raw.rows)[:12])
        column = chance.choice([*raw.rows[row], max(raw.rows[row]) + 2])
        raw.rows[row].pop(column, None)
        content = chance.choice(_ANYTHING)
        if content is not None:
            raw.rows[row][column] = RawCell(content)
        if not raw.rows[row]:
            del raw.rows[row]
    if chance.random() < 0.4:
        sheets.remove(chance.choice(sheets))
    return sheets


def test_a_spoilt_workbook_reads_the_same_through_its_tables() -> None:
    """Of a dozen workbooks spoilt at random every sheet can be shown, each fault of a shown row stands beside
    it, and tables that nobody touches give the very faults that the workbook has."""
    told = 0
    for seed in range(12):
        sheets = _spoilt(seed)
        faults = _faults(sheets)
        mending = Mending(file="x", sheets=sheets, faults=faults)
        for name in mending.job_sheets:
            base = mending.base(name, fresh=True)
            mending.keep_table(name, base)
            beside = dict(zip(base[ROW], base.get(FAULT, [""] * len(base)), strict=True))
            for place, fault in mending.faults_of(name):
                if place.row in beside:
                    assert fault.sentence in beside[place.row]
                    told += 1
        assert mending.changes == 0
        mending.read_again()
        assert mending.faults == faults
    assert told > 5


def test_wrong_values_are_shown_as_they_were_with_the_fault_beside() -> None:
    """The cells hold 900 and high; beside their rows stand the sentence and what is allowed."""
    mending = _mending(FAULTY)
    table = mending.base("Dive work", fresh=True).set_index(ROW)
    assert (table.loc[6, "C"], table.loc[7, "B"]) == ("900", "high")
    assert table.loc[6, FAULT].startswith("C6: A depth of 900 fsw is deeper")
    assert table.loc[7, FAULT].endswith("Allowed: a whole number from 1 to 5.")
    assert table.loc[8, FAULT] == ""
    assert mending.headings("Dive work")["C"] == "Depth (fsw)"


def test_a_fault_across_sheets_stands_beside_its_row() -> None:
    """A past dive of a person who is not in the team is told on the row of the past dive."""
    mending = _mending(FAULTY)
    table = mending.base("Past dives", fresh=True).set_index(ROW)
    assert "There is no person called Nobody Known." in table.loc[6, FAULT]


def test_put_right_cell_by_cell_it_becomes_the_job() -> None:
    """Faults that are left are told again; with none left the job is that of the mended workbook."""
    mending = _mending(FAULTY)
    assert len(mending.faults) == 3
    _type(mending, "Dive work", 6, "C", "46")
    assert mending.read_again() is None
    assert [place_of(f).cell for f in mending.faults] == ["A6", "B7"]
    _type(mending, "Dive work", 7, "B", " 2 ")
    good = read_job(GOOD)
    _type(mending, "Past dives", 6, "A", good.people[0].name)
    job = mending.read_again()
    assert job is not None
    assert (job.dive_items[0].depth_fsw, job.dive_items[1].priority) == (46, 2)


def test_rows_may_be_added_and_deleted() -> None:
    """A row added at the foot stands after the last one of the file; a deleted one is gone."""
    mending = _mending(FAULTY)
    base = mending.base("Stations", fresh=True)
    grown = base.reindex([*base.index, len(base)])
    grown.loc[len(base), "A"] = "Second stage"
    mending.keep_table("Stations", grown)
    again = mending.base("Stations", fresh=True)
    assert list(again["A"])[-1] == "Second stage"
    mending.keep_table("Stations", again.drop(index=len(base)))
    assert list(mending.base("Stations", fresh=True)["A"]) == list(base["A"])


def test_a_heading_is_mended_in_its_row() -> None:
    """Headings are shown once one of them is at fault, and can be typed over: the 22 columns
    of the sheet, A to V, and an empty one beside them."""
    mending = _mending(_book(lambda book: book["Dive work"].__setitem__("C5", "Depht (fsw)")))
    base = mending.base("Dive work", fresh=True)
    assert base[ROW].iloc[0] == 5
    assert list(base.columns)[-2:] == ["W", FAULT]
    _type(mending, "Dive work", 5, "C", "Depth (fsw)")
    assert mending.read_again() == read_job(GOOD)


def test_a_sheet_that_is_missing_or_misspelt() -> None:
    """A tab with a slip of the pen is taken for the sheet meant; one that is gone is added empty."""

    def rename(book: Workbook) -> None:
        book["People"].title = "Peple"

    mending = _mending(_book(rename))
    assert mending.misspelt == {"Peple": "People"}
    assert mending.lacking == []
    mending.rename_sheet("Peple", "People")
    assert mending.faults == ()
    gone = _mending(_book(lambda book: book.remove(book["People"])))
    assert gone.lacking == ["People"]
    gone.add_sheet("People")
    raw = gone.raw("People")
    assert raw is not None
    assert not gone.without_headings("People")
    assert "People" not in gone.lacking


def test_a_sheet_without_headings() -> None:
    """The headings are put above what stands there; nothing of it is lost."""

    def behead(book: Workbook) -> None:
        book["Stations"].delete_rows(1, 5)

    mending = _mending(_book(behead))
    assert mending.without_headings("Stations")
    mending.put_headings("Stations")
    base = mending.base("Stations", fresh=True)
    assert list(base["A"]) == [s.name for s in read_job(GOOD).stations]
    assert mending.faults == ()


@pytest.mark.parametrize(
    "data", [b"", b"hello", b"PK\x03\x04 broken", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old"]
)
def test_what_is_no_workbook_cannot_be_mended_here(data: bytes) -> None:
    """There are no cells to show; the reader's sentence stays."""
    with pytest.raises(InputFaults) as found:
        read_job(data)
    assert mendable("job.xlsx", data, found.value.faults) is None


def _macros(name: str) -> bytes:
    """The good workbook as a spreadsheet program saves it with macros (a stand-in for their part)."""
    data = io.BytesIO(GOOD.read_bytes())
    with zipfile.ZipFile(data, "a") as box:
        box.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0" + name.encode())
    return data.getvalue()


@pytest.mark.parametrize("name", ["evening.xlsm", "evening.xlsx"])
def test_a_workbook_with_macros_is_read_as_data(name: str) -> None:
    """As it is or renamed: the job of its cells, and a note that macros are neither run nor kept."""
    assert read_job(_macros(name)) == read_job(GOOD)
    assert "holds macros" in macros_note(name, _macros(name))
    assert macros_note(name, GOOD.read_bytes()) == ""
    test, here = page_of("job")
    test.file_uploader(key="upload").upload(name, _macros(name), "application/zip").run()
    assert not test.exception
    assert here.job == read_job(GOOD)
    assert plain("They were not run and are not kept") in plain(words_of(test))
    test.button(key="note_away").click().run()
    assert "holds macros" not in words_of(test)


def test_what_is_opened_otherwise_is_told_and_the_setting_is_on_the_page() -> None:
    """An older workbook that asks for no minute of a standby is opened with 1, and the page says so; how a
    standby's minutes are counted is chosen on the page *Crew rules*."""
    test, here = page_of("job")
    data = of_before_the_standbys_way_up(read_job(GOOD))
    test.file_uploader(key="upload").upload("old.xlsx", data, "application/zip").run()
    assert not test.exception
    assert here.job is not None
    assert here.job.rules.standby_no_stop_min == 1
    assert plain("opened with 1") in plain(words_of(test))
    rules, here = page_of("crew-rules", read_job(GOOD))
    rules.session_state["sheet_rules"] = RULES.name
    (box,) = [b for b in rules.run().selectbox if "standby_way_up" in (b.key or "")]
    box.select("as the job's policy").run()
    rules.button(key="apply_rules").click().run()
    assert not rules.exception
    assert here.job is not None
    assert here.job.rules.standby_way_up is StandbyWayUp.POLICY


# ---------------------------------------------------------------------- on the page


def _uploaded(data: bytes = FAULTY) -> tuple[AppTest, Desk]:
    test, here = page_of("job")
    test.file_uploader(key="upload").upload("evening.xlsx", data, "application/zip").run()
    assert not test.exception
    return test, here


def _edit(test: AppTest, here: Desk, sheet: str, cells: dict[int, dict[str, Any]]) -> AppTest:
    assert here.mending is not None
    test.session_state[f"mend_{sheet}_{here.mending.round}"] = {
        "edited_rows": cells,
        "added_rows": [],
        "deleted_rows": [],
    }
    return test.run()


def test_upload_mend_read_again_on_the_page() -> None:
    """Upload with faults, press Mend it here, type, read again: what is left is told, then it is open."""
    test, here = _uploaded()
    test.button(key="mend").click().run()
    assert "Mending evening.xlsx: 3 things to put right, on Past dives and Dive work." in words_of(test)
    good = read_job(GOOD)
    _edit(test, here, "Past dives", {0: {"A": good.people[0].name}})
    test.button(key="mend_read").click().run()
    assert not test.exception
    assert "2 things to put right, on Dive work" in words_of(test)
    assert here.job is None
    _edit(test, here, "Dive work", {0: {"C": "46"}, 1: {"B": "2"}})
    test.button(key="mend_read").click().run()
    assert not test.exception
    assert here.job is not None
    assert here.job.dive_items[0].depth_fsw == 46
    assert (here.mending, here.refused) == (None, None)
    assert "evening.xlsx is put right and open" in words_of(test)


def test_other_sheets_can_be_reached() -> None:
    """A sheet without faults can be picked and edited."""
    test, here = _uploaded()
    test.button(key="mend").click().run()
    test.session_state["mend_sheet_0"] = "Other sheets"
    test.run()
    test.selectbox(key="mend_other_0").select("Stations").run()
    assert not test.exception
    _edit(test, here, "Stations", {0: {"A": "North stage"}})
    assert here.mending is not None
    assert here.mending.edited == {"Stations"}
    assert "Edited, not read again yet: Stations" in words_of(test)


def test_read_again_stays_on_the_sheet_that_is_looked_at() -> None:
    """One of two faults of the second sheet put right: the same sheet is shown with what is left."""
    test, here = _uploaded()
    test.button(key="mend").click().run()
    test.session_state["mend_sheet_0"] = "Dive work"
    _edit(test, here, "Dive work", {0: {"C": "46"}})
    test.button(key="mend_read").click().run()
    assert not test.exception
    assert test.session_state["mend_sheet_1"] == "Dive work"
    assert list(test.data_editor[0].value["C"])[:2] == ["46", "46"]


def test_what_is_typed_while_mending_outlives_a_reload() -> None:
    """A cell typed and not read again stands in the table of a page that is loaded anew."""
    test, here = _uploaded()
    test.button(key="mend").click().run()
    test.session_state["mend_sheet_0"] = "Dive work"
    _edit(test, here, "Dive work", {0: {"C": "46"}})
    again = page_again("job", here)
    again.session_state["mend_sheet_0"] = "Dive work"
    again.run()
    assert not again.exception
    assert again.data_editor[0].value["C"][0] == "46"


def test_an_open_job_stays_while_another_file_is_mended_or_put_away() -> None:
    """Mending takes nothing away; the file can be put away."""
    test, here = page_of("job", read_job(GOOD))
    job = here.job
    test.file_uploader(key="upload").upload("evening.xlsx", FAULTY, "application/zip").run()
    test.button(key="mend").click().run()
    assert here.job is job
    test.button(key="mend_away").click().run()
    assert not test.exception
    assert (here.job, here.mending) == (job, None)
    assert "Mending" not in words_of(test)


def test_the_file_on_disk_is_not_touched(tmp_path: Path) -> None:
    """Mending works on a copy of the cells."""
    copy = tmp_path / "evening.xlsx"
    shutil.copy(GOOD, copy)
    before = copy.read_bytes()
    mending = Mending(file="evening.xlsx", sheets=open_book(copy).sheets, faults=())
    _type(mending, "Dive work", 6, "C", "30")
    mending.read_again()
    assert copy.read_bytes() == before


def test_the_same_file_reported_again_leaves_the_mending() -> None:
    """A quick press has the upload field report its file a second time: what was mended since is kept."""
    test, here = _uploaded()
    test.button(key="mend").click().run()
    mending = here.mending
    assert mending is not None
    assert mending.begun
    again = AppTest.from_function(_report_again, default_timeout=30)
    for name in ("upload_opened", "upload", "desk_token"):
        again.session_state[name] = (
            SimpleNamespace(
                file_id=test.session_state["upload_opened"][1], name="evening.xlsx", getvalue=bytes
            )
            if name == "upload"
            else test.session_state[name]
        )
    assert not again.run().exception
    assert here.mending is mending


def _report_again() -> None:
    from planner.screens.pages.job import _open_upload
    from planner.screens.session import desk

    _open_upload(desk())


def test_what_was_meant_is_put_in_by_a_press() -> None:
    """A duty written *supervisr*: the button takes what the reader says was meant,
    in the cell's own words around it, and the workbook is then read without a fault there."""

    def slips(book: Workbook) -> None:
        book["People"]["B6"] = "tender; supervisr"

    mending = _mending(_book(slips))
    [(place, fault)] = [(p, f) for p, f in mending.faults_of("People") if p.cell == "B6"]
    assert (fault.found, meant_by(fault)) == ("supervisr", "supervisor")
    mending.take_meant(place, fault)
    raw = mending.raw("People")
    assert raw is not None and raw.rows[6][2].content == "tender; supervisor"
    assert mending.faults_of("People") == []
    assert mending.read_again() is not None
