"""A table set as one workbook: the same set as its folder, each fault at its sheet and row."""

from __future__ import annotations

import io
from dataclasses import fields
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from planner.cli.main import main
from planner.errors import InputFaults
from planner.table_sets import TableSet, table_set
from planner.table_sets.shelf import SETS_VARIABLE, SHIPPED, files_of
from planner.table_sets.soundness import Soundness, examine
from planner.workbook.set_book import FACTS, examine_book, read_set_book, write_set_book
from tests.table_sets.invented import by_factor, by_intervals, in_metres

OCEAN = "noaa-no-decompression"
INVENTED = {"by-factor": by_factor(), "by-intervals": by_intervals(), "in-metres": in_metres()}
SETS = {**{id: files_of(id) for id in SHIPPED}, **INVENTED}


def as_told(tables: TableSet | None) -> dict[str, object]:
    """All that a set says, but for the checksum of its files."""
    assert tables is not None
    return {field.name: getattr(tables, field.name) for field in fields(tables) if field.name != "checksum"}


@pytest.mark.parametrize("id", SETS)
def test_a_workbook_is_the_same_set_as_its_folder(id: str) -> None:
    """Written and read back: every fact, row and time is the folder's, and the report says the same."""
    files, report = examine_book(id, write_set_book(SETS[id]))
    own = examine(id, SETS[id])
    assert report.faults == () and report.counted == own.counted
    assert as_told(report.reading.tables) == as_told(own.reading.tables)
    assert files.keys() == SETS[id].keys()


def changed(sheet: str, cell: str, value: object, id: str = OCEAN) -> Soundness:
    """The report on a set's workbook with one cell changed."""
    book = load_workbook(io.BytesIO(write_set_book(SETS[id])))
    book[sheet][cell] = value
    raw = io.BytesIO()
    book.save(raw)
    return examine_book(id, raw.getvalue())[1]


def fact_row(key: str) -> int:
    """Where a fact stands on its sheet."""
    book = load_workbook(io.BytesIO(write_set_book(SETS[OCEAN])))
    return next(row[0].row for row in book[FACTS].iter_rows() if row[0].value == key)


#: Sheet, cell, what is typed there, where the fault is told, a part of its sentence.
FALSIFIED = (
    ("no_stop", "B4", 50, "sheet no_stop, row 4", "longest time is not the no-stop limit"),
    ("no_stop", "D4", "ten", "sheet no_stop, row 4", "no whole number"),
    ("no_stop", "D4", 10.5, "sheet no_stop, row 4", "no whole number"),
    ("no_stop", "A1", "depth", "sheet no_stop, row 1", "columns"),
    ("residual", "C3", 9, "sheet residual, row 3", "less than the time that leads"),
    ("residual", "P4", 5, "sheet residual, row 4", "a cell for each column"),
    ("intervals", "C2", 12, "sheet intervals, row 2", "hole before"),
    ("time_left", "D7", 22, "sheet time_left, row 7", "not the adjusted limit"),
    (FACTS, "units", "fathoms", "sheet set, row", "units"),
    (FACTS, "groups", "Ö", "sheet set, row", "groups"),
    (FACTS, "ascent_per_min", "fast", "sheet set, row", "ascent_per_min"),
    (FACTS, "last_updated", "lately", "sheet set, row", "last_updated"),
    (FACTS, "altitude", 3, "sheet set, row", "altitude"),
    (FACTS, "residual", None, "sheet set, row", "residual"),
)


@pytest.mark.parametrize(("sheet", "cell", "value", "where", "says"), FALSIFIED)
def test_a_falsified_cell_is_convicted_at_its_row(
    sheet: str, cell: str, value: object, where: str, says: str
) -> None:
    """One cell changed is a fault of that sheet and row; a fact is found by its name."""
    if sheet == FACTS:
        where, cell = f"{where} {fact_row(cell)}", f"B{fact_row(cell)}"
    report = changed(sheet, cell, value)
    assert any(one.where == where and says in one.sentence for one in report.faults), report.faults


def test_a_fault_of_the_print_stays_named() -> None:
    """The one sum that the first set's print has wrong is told at its row, and is no fault."""
    _, report = examine_book("us-navy-7", write_set_book(SETS["us-navy-7"]))
    assert [told.split(":")[0] for told in report.told] == ["sheet stops, row 623"]


def test_sheets_and_facts_that_are_none_of_a_set_are_told() -> None:
    """A sheet or a fact too many is not passed over; an empty sheet is."""
    book = load_workbook(io.BytesIO(write_set_book(SETS[OCEAN])))
    book.create_sheet("Sheet1")
    raw = io.BytesIO()
    book.save(raw)
    assert examine_book(OCEAN, raw.getvalue())[1].sound
    book["Sheet1"]["A1"] = "remarks"
    book[FACTS].append(["colour", "blue"])
    raw = io.BytesIO()
    book.save(raw)
    assert any("no colour" in fault.sentence for fault in examine_book(OCEAN, raw.getvalue())[1].faults)
    book[FACTS].delete_rows(book[FACTS].max_row)
    raw = io.BytesIO()
    book.save(raw)
    (fault,) = examine_book(OCEAN, raw.getvalue())[1].faults
    assert fault.where == "sheet Sheet1, row 1"


def test_what_is_no_workbook_is_told() -> None:
    """The workbooks' own door: a file of another kind, and a workbook without the sheet of facts."""
    with pytest.raises(InputFaults, match="a workbook of tables saved as"):
        read_set_book(b"depth_fsw,A\n")
    book, raw = Workbook(), io.BytesIO()
    book.active["A1"] = "hello"  # type: ignore[index]
    book.save(raw)
    (fault,) = examine_book("x-1", raw.getvalue())[1].faults
    assert fault.where == "sheet set, row 1" and "no set.toml" in fault.sentence


def test_a_typed_text_never_becomes_a_formula() -> None:
    """Notes that begin with a sign stay notes, on the sheet and back."""
    files = dict(SETS["by-factor"])
    files["set.toml"] = files["set.toml"].replace(b"[tables]", b'notes = "=1+1"\n[tables]')
    book = load_workbook(io.BytesIO(write_set_book(files)))
    kept = [row[1] for row in book[FACTS].iter_rows() if row[0].value == "notes"]
    assert [(cell.value, cell.data_type) for cell in kept] == [("=1+1", "s")]


def test_the_command_writes_checks_and_keeps_a_workbook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`tables book`, `check` and `keep`: 0; a falsified one 2 with its row; what is no book, a sentence."""
    monkeypatch.setenv(SETS_VARIABLE, str(tmp_path / "own"))
    book = tmp_path / "charts.xlsx"
    assert main(["tables", "book", OCEAN, str(book)]) == 0
    assert main(["tables", "book", OCEAN, str(book)]) == 2
    assert main(["tables", "check", str(book)]) == 0
    assert "Sound: 135 rows" in capsys.readouterr().out
    assert main(["tables", "keep", "charts-book", str(book)]) == 0
    assert as_told(table_set("charts-book")) == {**as_told(table_set(OCEAN)), "id": "charts-book"}
    loaded = load_workbook(book)
    loaded["time_left"]["D7"] = 22
    loaded.save(book)
    assert main(["tables", "keep", "charts-spoilt", str(book)]) == 2
    assert "sheet time_left, row 7" in capsys.readouterr().out
    assert not (tmp_path / "own" / "charts-spoilt").exists()
    assert main(["tables", "check", str(tmp_path / "nowhere.xlsx")]) == 2
    assert "cannot be opened" in capsys.readouterr().out
