"""Workbooks made to break a reader: small on the disk, without end inside. Each is refused in a sentence."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from planner.errors import InputFaults
from planner.file_limits import DAMAGED, MOST_ELEMENTS
from planner.workbook import apart
from planner.workbook.apart import MOST_CPU_S, MOST_MEMORY_BYTES, open_apart
from planner.workbook.job_reader import read_job
from planner.workbook.opening import open_book
from tests.samples import small_heavy_dress, tidal_pier
from tests.workbook.job_files import only_fault, workbook_of

SHEET = "xl/worksheets/sheet3.xml"
_MAIN = b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


@cache
def small_workbook() -> bytes:
    """The small sample's workbook."""
    return workbook_of(small_heavy_dress.job())


def with_part(name: str, part: bytes, packed: int = zipfile.ZIP_DEFLATED) -> bytes:
    """The small sample's workbook with one part in place of its own."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(small_workbook())) as box, zipfile.ZipFile(out, "w", packed) as other:
        for member in box.namelist():
            if member != name:
                other.writestr(member, box.read(member))
        other.writestr(name, part)
    return out.getvalue()


def sheet_of(rows: bytes) -> bytes:
    return b"<worksheet " + _MAIN + b"><sheetData>" + rows + b"</sheetData></worksheet>"


def row_of(cells: bytes) -> bytes:
    return b'<row r="1">' + cells + b"</row>"


STORED = zipfile.ZIP_STORED
#: What a file does to a reader: how it is made, and the sentence that refuses it.
HOSTILE: dict[str, tuple[Callable[[], bytes], str]] = {
    "13 million cells": (
        lambda: with_part(SHEET, sheet_of(row_of(b"<c/>" * 13_000_000))),
        "unpacks to more than 15 MB",
    ),
    "9 million empty rows": (
        lambda: with_part(SHEET, sheet_of(b"<row/>" * 9_000_000)),
        "unpacks to more than 15 MB",
    ),
    "2 million empty rows": (lambda: with_part(SHEET, sheet_of(b"<row/>" * 2_000_000)), "packed tighter"),
    "a million rows, not packed": (
        lambda: with_part(SHEET, sheet_of(b"<row/>" * 1_000_000), STORED),
        "more rows",
    ),
    "the last row": (lambda: with_part(SHEET, sheet_of(b'<row r="1048576"/>')), "more rows"),
    "the last column": (
        lambda: with_part(SHEET, sheet_of(row_of(b'<c r="XFD1"><v>1</v></c>'))),
        "more columns",
    ),
    "cells, not packed": (
        lambda: with_part(SHEET, sheet_of(row_of(b"<c/>" * 1_000_000)), STORED),
        "more cells",
    ),
    "deep": (lambda: with_part(SHEET, sheet_of(b"<a>" * 300_000)), "more layers"),
    "deep theme": (lambda: with_part("xl/theme/theme1.xml", b"<a>" * 100_000), "more layers"),
    "styles": (
        lambda: with_part("xl/styles.xml", b"<styleSheet>" + b"<xf/>" * 500_000, STORED),
        "more cells and marks",
    ),
    "packed otherwise": (lambda: with_part(SHEET, sheet_of(b""), zipfile.ZIP_LZMA), DAMAGED),
    "a document type": (lambda: with_part(SHEET, b'<!DOCTYPE a [<!ENTITY b "c">]>' + sheet_of(b"")), DAMAGED),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_file_without_end_is_refused_at_the_door(name: str) -> None:
    """Millions of cells, rows and layers in a file of kilobytes: one sentence after a second of work, and
    the spreadsheet library is never called."""
    made, says = HOSTILE[name]
    content = made()
    begun = time.process_time()
    assert says in only_fault(content).sentence
    assert time.process_time() - begun < 1.5


def test_a_size_that_the_directory_hides_is_no_way_in() -> None:
    """A part that says it is smaller than it is (APPNOTE.TXT 4.4.9): it is damaged."""
    rows = sheet_of(b"<row/>" + b" " * 14_000_000)
    content = with_part(SHEET, rows)
    said = len(rows).to_bytes(4, "little")
    assert content.count(said) == 2
    assert only_fault(content.replace(said, (900_000).to_bytes(4, "little"))).sentence == DAMAGED


@pytest.mark.parametrize(
    "rows",
    [
        row_of(b'<c r="A1"><v>1</v></c>') + row_of(b'<c r="A1"><v>2</v></c>'),
        b'<row r="2"><c r="A2"><v>1</v></c></row>' + row_of(b'<c r="A1"><v>2</v></c>'),
        row_of(b'<c r="A1"><v>1</v></c><c r="A1"><v>2</v></c>'),
    ],
)
def test_a_row_or_cell_that_stands_there_twice_is_damage(rows: bytes) -> None:
    """ISO/IEC 29500-1, 18.3.1.4 and 18.3.1.73: a place of a sheet is one cell. Of two none is
    dropped in silence."""
    fault = only_fault(with_part(SHEET, sheet_of(rows)))
    assert (fault.found, fault.sentence) == ("a row or a cell twice or out of order", DAMAGED)


def styles_of(records: int) -> bytes:
    """A workbook whose styles hold so many records: small on disk, objects in memory."""
    styles = b"<styleSheet " + _MAIN + b"><cellXfs>" + b"<xf/>" * records + b"</cellXfs></styleSheet>"
    return with_part("xl/styles.xml", styles, STORED)


@pytest.mark.parametrize("limit, most", [("MOST_CPU_S", 3), ("MOST_MEMORY_BYTES", 80 * 2**20)])
def test_a_process_at_its_limit_is_a_sentence(limit: str, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """At the end of its time, or of its memory alone, the process that reads ends, and a sentence is told;
    the same limit is enough for a job."""
    monkeypatch.setattr(apart, limit, most)
    assert open_apart(small_workbook()) == open_book(small_workbook())
    with pytest.raises(InputFaults) as told:
        open_apart(styles_of(MOST_ELEMENTS - 20_000))
    (fault,) = told.value.faults
    assert "more time or memory to read than any job" in fault.sentence


#: What a process that reads takes, told by one that is small itself: the system counts the pages of whoever
#: started a process as that process's own.
_MEASURED = """
import json, resource, sys
from planner.errors import InputFaults
from planner.workbook.apart import open_apart
try:
    told = [sheet.name for sheet in open_apart(sys.stdin.buffer.read()).sheets]
except InputFaults as refused:
    told = [fault.found for fault in refused.faults]
took = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([told, took.ru_utime + took.ru_stime, took.ru_maxrss * 1024]))
"""


@pytest.mark.long
def test_what_gets_past_the_counts_ends_within_the_limits() -> None:
    """Styles just under the count: read within 10 s of processor time and 500 MB by a quick machine, refused
    in a sentence by a slow one; never more."""
    content = styles_of(MOST_ELEMENTS - 20_000)
    ended = subprocess.run([sys.executable, "-c", _MEASURED], input=content, capture_output=True, check=True)
    told, cpu_s, memory_bytes = json.loads(ended.stdout)
    whole = [sheet.name for sheet in open_book(small_workbook()).sheets]
    assert told in (whole, ["more than 10 s or 500 MB"]), told
    assert cpu_s < MOST_CPU_S + 2
    assert 80 * 2**20 < memory_bytes <= MOST_MEMORY_BYTES


def test_a_workbook_opened_apart_is_the_same(tmp_path: Path) -> None:
    """Every cell comes back from the other process as it was: times, dates, numbers and words."""
    for job in (small_heavy_dress.job(), tidal_pier.job()):
        content = workbook_of(job)
        assert open_apart(content) == open_book(content)
        (tmp_path / "job.xlsx").write_bytes(content)
        assert read_job(tmp_path / "job.xlsx", apart=True) == job


def test_faults_found_apart_name_the_file(tmp_path: Path) -> None:
    """The process knows only bytes; the fault says which file they came from."""
    path = tmp_path / "evening.xlsx"
    path.write_bytes(b"Name,Duty\n")
    with pytest.raises(InputFaults) as told:
        read_job(path, apart=True)
    assert [(f.where, f.found) for f in told.value.faults] == [("evening.xlsx", "some other kind of file")]
