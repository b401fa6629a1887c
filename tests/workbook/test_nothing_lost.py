"""No sheet of a workbook is lost in silence: not by damage, not by another name."""

from __future__ import annotations

import hashlib
import io
import zipfile

import pytest
from openpyxl import Workbook, load_workbook

from planner.job.names import fold
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import JOB_SHEETS, PAST_DIVES, RULES
from tests.samples import small_heavy_dress
from tests.workbook.job_files import changed, faults_in, only_fault, workbook_of

CONTENT = workbook_of(small_heavy_dress.job())
SHEETS = load_workbook(io.BytesIO(CONTENT)).sheetnames


def without_part(content: bytes, name: str) -> bytes:
    """The archive without one of its parts, as a broken copy leaves it."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as box, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as less:
        for member in box.infolist():
            if member.filename != name:
                less.writestr(member, box.read(member))
    return out.getvalue()


def renamed(content: bytes, name: str, to: str) -> bytes:
    """The workbook with one tab called otherwise."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as box,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as other,
    ):
        for member in box.infolist():
            part = box.read(member)
            if member.filename == "xl/workbook.xml":
                assert part.count(f'name="{name}"'.encode()) == 1
                part = part.replace(f'name="{name}"'.encode(), f'name="{to}"'.encode())
            other.writestr(member, part)
    return out.getvalue()


def told_of(content: bytes) -> str:
    """What a person is shown of where a job came from."""
    told: list[str] = []
    read_job(content, came_from=told.append)
    (sentence,) = told
    return sentence


@pytest.mark.parametrize("number", range(1, len(SHEETS) + 1))
def test_a_sheet_that_the_file_has_lost_makes_it_damaged(number: int) -> None:
    """Each sheet of a sample dropped from the archive in turn: the workbook names it, so it is damaged, never
    "not there, optional"."""
    fault = only_fault(without_part(CONTENT, f"xl/worksheets/sheet{number}.xml"))
    assert "damaged" in fault.sentence
    assert SHEETS[number - 1] in fault.found


def test_past_dives_under_another_name_are_a_fault() -> None:
    """A tab with the headings of Past dives that is called otherwise would send divers down as clean."""
    fault = only_fault(renamed(CONTENT, PAST_DIVES.name, "Earlier dives"))
    assert (fault.where, fault.allowed) == ("Earlier dives", PAST_DIVES.name)
    assert "Did you mean Past dives?" in fault.sentence


@pytest.mark.parametrize("name", [s.name for s in JOB_SHEETS if not s.required])
def test_every_sheet_is_known_again_by_its_headings(name: str) -> None:
    """Whichever sheet is called otherwise, a fault names the sheet that it is."""
    assert ("Zz 9", name) in {(f.where, f.allowed) for f in faults_in(renamed(CONTENT, name, "Zz 9"))}


def test_a_copy_of_a_sheet_is_a_fault_and_a_list_of_ones_own_is_not() -> None:
    """A second People would be edited and not read; a telephone list shares one heading with many sheets."""

    def copied(book: Workbook) -> None:
        book.copy_worksheet(book["People"]).title = "Crew of last week"

    def with_a_list(book: Workbook) -> None:
        own = book.create_sheet("Calls")
        own.append(["Name", "Telephone", "Boat"])
        own.append(["Ana", "none", "none"])

    assert only_fault(changed(CONTENT, copied)).allowed == "People"
    assert read_job(changed(CONTENT, with_a_list)) == small_heavy_dress.job()


def test_what_was_not_read_is_told_with_the_file_it_came_from() -> None:
    """The sentence for screen, command and watchbill: sheets that are not there, those that are none of a
    job, and the hash of the very bytes."""
    whole = told_of(CONTENT)
    assert f"{len(JOB_SHEETS)} of the {len(JOB_SHEETS)} sheets" in whole
    assert hashlib.sha256(CONTENT).hexdigest() in whole
    assert "Not " not in whole

    def less_and_more(book: Workbook) -> None:
        book.remove(book[PAST_DIVES.name])
        book.remove(book[RULES.name])
        book.create_sheet("Ideas")["A1"] = "paint the bell"

    told = told_of(changed(CONTENT, less_and_more))
    lacking = [s.name for s in JOB_SHEETS if fold(s.name) in (fold(PAST_DIVES.name), fold(RULES.name))]
    assert f"Not in the workbook, so taken as empty: {', '.join(lacking)}." in told
    assert "Not read, no sheets of a job: Ideas." in told


def test_a_sheet_without_so_much_as_headings_is_told() -> None:
    """The part is there and holds nothing, as a broken copy or a slip of the hand leaves it: not counted as
    read."""

    def wiped(book: Workbook) -> None:
        book[PAST_DIVES.name].delete_rows(1, book[PAST_DIVES.name].max_row)

    told = told_of(changed(CONTENT, wiped))
    assert f"{len(JOB_SHEETS) - 1} of the {len(JOB_SHEETS)} sheets" in told
    assert f"Blank, without so much as headings: {PAST_DIVES.name}." in told
