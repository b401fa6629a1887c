"""Files that are no job workbook: each is refused in one clear sentence, none with a traceback."""

from __future__ import annotations

import io
import os
import random
import zipfile
from pathlib import Path

import openpyxl
import pytest

from planner.errors import InputFaults
from planner.file_limits import MOST_FILE_BYTES, MOST_UNPACKED_BYTES, bytes_of
from planner.files import read_words
from planner.workbook.job_reader import read_job
from tests.samples import small_heavy_dress
from tests.workbook.job_files import changed, faults_in, only_fault, workbook_of

_OLE = bytes.fromhex("d0cf11e0a1b11ae1")


def _zip(members: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as box:
        for name, content in members.items():
            box.writestr(name, content)
    return out.getvalue()


def _rezipped(content: bytes, replace: dict[str, bytes]) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as box:
        members = {name: box.read(name) for name in box.namelist()}
    return _zip({**members, **replace})


def _of_a_later_version(content: bytes) -> bytes:
    """The archive as one that needs version 9.9 of the format (APPNOTE.TXT 4.3.12, 4.4.3)."""
    at = content.index(b"PK\x01\x02") + 6
    return content[:at] + bytes((99, 0)) + content[at + 2 :]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "This file is empty."),
        (b"Name,Duty\nAna,diver\n", "This is not a workbook, whatever its name says."),
        (b"\x89PNG\r\n\x1a\n" + bytes(2000), "This is not a workbook, whatever its name says."),
        (b"PK\x03\x04" + bytes(500), "This is not a workbook, whatever its name says."),
        (_OLE + bytes(4000), "This is the old workbook format; save it again as .xlsx."),
        (
            _OLE + bytes(1000) + "EncryptedPackage".encode("utf-16-le") + bytes(100),
            "This workbook is protected by a password; save it without.",
        ),
        (_zip({"a.txt": b"hello"}), "This is an archive of files, not a workbook."),
        (
            _zip({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<x/>"}),
            "This is an OpenDocument file; save it again as .xlsx.",
        ),
        (_zip({"xl/workbook.bin": b"x"}), "This is a binary workbook; save it again as .xlsx."),
        (
            _of_a_later_version(_zip({"xl/workbook.xml": b"<x/>"})),
            "This is not a workbook, whatever its name says.",
        ),
        (_zip({"word/document.xml": b"<x/>"}), "This is a document, not a workbook."),
        (_zip({"xl/workbook.xml": b"<broken"}), "This workbook is damaged and cannot be read."),
        (bytes(MOST_FILE_BYTES + 1), "This file is larger than 10 MB, too large for a job."),
    ],
)
def test_what_is_no_workbook_is_refused_in_one_sentence(content: bytes, says: str) -> None:
    """Empty, text, picture, old and encrypted workbooks, other archives, and what is too large."""
    assert only_fault(content).sentence == says


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with a name there")
def test_a_pipe_that_nobody_writes_to_is_not_waited_for(tmp_path: Path) -> None:
    """As a workbook and as a plan: an empty file (fifo(7): opened to read, it waits for a writer)."""
    pipe = tmp_path / "job.xlsx"
    os.mkfifo(pipe)
    with pytest.raises(InputFaults, match="This file is empty"):
        bytes_of(pipe)
    assert read_words(pipe, "a plan") == ""


def test_an_archive_that_swells_is_refused_before_it_is_unpacked() -> None:
    """A member of zeros packs a thousandfold; its size in the directory is enough to refuse it."""
    swollen = _rezipped(
        workbook_of(small_heavy_dress.job()), {"xl/media/nothing.bin": bytes(MOST_UNPACKED_BYTES)}
    )
    assert len(swollen) < MOST_FILE_BYTES
    assert "unpacks to more than 15 MB" in only_fault(swollen).sentence


def test_an_entity_bomb_is_refused() -> None:
    """Nested XML entities that would grow without end make a damaged workbook, not a hanging program."""
    lol = b"".join(
        b'<!ENTITY l%d "%s">' % (n, (b"&l%d;" % (n - 1)) * 10 if n else b"lol" * 10) for n in range(12)
    )
    bomb = b'<?xml version="1.0"?><!DOCTYPE w [' + lol + b"]><workbook>&l11;</workbook>"
    content = _rezipped(workbook_of(small_heavy_dress.job()), {"xl/workbook.xml": bomb})
    assert only_fault(content).sentence == "This workbook is damaged and cannot be read."


def test_a_sheet_without_end_is_refused() -> None:
    """Rows past the limit are told, with the row."""
    content = changed(
        workbook_of(small_heavy_dress.job()), lambda book: book["Stations"].__setitem__("A2500", "far away")
    )
    fault = only_fault(content)
    assert fault.where == "Stations!A2500"
    assert "more rows than a job can need" in fault.sentence


def test_macros_are_carried_but_never_read() -> None:
    """A workbook with a macro part reads as data alone."""
    job = small_heavy_dress.job()
    content = _rezipped(workbook_of(job), {"xl/vbaProject.bin": b"Sub Auto_Open()"})
    assert read_job(content) == job


def test_paths_that_lead_nowhere_are_faults(tmp_path: Path) -> None:
    """A file that is not there, and a folder, are told as faults with their name."""
    for path in (tmp_path / "missing.xlsx", tmp_path):
        with pytest.raises(InputFaults) as told:
            read_job(path)
        (fault,) = told.value.faults
        assert fault.where == path.name
        assert fault.sentence == "This file cannot be opened."
    with pytest.raises(InputFaults):
        read_job("nul\x00byte.xlsx")


def test_an_open_file_reads_like_a_path(tmp_path: Path) -> None:
    """The app hands over an upload, the command line a path."""
    path = tmp_path / "job.xlsx"
    path.write_bytes(workbook_of(small_heavy_dress.job()))
    with path.open("rb") as file:
        assert read_job(file) == read_job(path) == small_heavy_dress.job()


def test_an_empty_workbook_lacks_what_it_lacks() -> None:
    """A workbook of one blank sheet: the sheets that a job cannot do without are told."""
    out = io.BytesIO()
    openpyxl.Workbook().save(out)
    sentences = [f.sentence for f in faults_in(out.getvalue())]
    assert sentences == [
        f"The workbook lacks the sheet {name}." for name in ("Site", "Stations", "People")
    ] + ["The job has no work to plan."]


@pytest.mark.parametrize("seed", range(40))
def test_damaged_bytes_never_escape_as_another_error(seed: int) -> None:
    """Whatever happens to the bytes of a workbook, reading gives a job or faults."""
    chance = random.Random(seed)
    content = bytearray(workbook_of(small_heavy_dress.job()))
    for _ in range(chance.choice((1, 5, 50))):
        content[chance.randrange(len(content))] = chance.randrange(256)
    if chance.random() < 0.3:
        del content[chance.randrange(len(content)) :]
    faults_in(bytes(content))


@pytest.mark.parametrize("seed", range(25))
def test_damaged_xml_never_escapes_as_another_error(seed: int) -> None:
    """The same for the parts inside, where the archive itself is sound."""
    chance = random.Random(seed)
    content = workbook_of(small_heavy_dress.job())
    with zipfile.ZipFile(io.BytesIO(content)) as box:
        name = chance.choice([n for n in box.namelist() if n.endswith((".xml", ".rels"))])
        part = bytearray(box.read(name))
    for _ in range(chance.choice((1, 4))):
        part[chance.randrange(len(part))] = chance.choice(b"<>/&\"'= AZaz09\x00\xff")
    faults_in(_rezipped(content, {name: bytes(part)}))


@pytest.mark.parametrize("figure", [b"1E400", b"-1E400", b"1E300", b"NaN"])
def test_a_figure_past_all_bounds_is_a_fault_at_its_cell(figure: bytes) -> None:
    """``1E400`` is read as without end (IEEE 754): one fault at the cell, none of the program."""
    content = workbook_of(small_heavy_dress.job())
    with zipfile.ZipFile(io.BytesIO(content)) as box:
        name = next(n for n in box.namelist() if b"Sling the sunken winch" in box.read(n))
        part = box.read(name)
    fault = faults_in(_rezipped(content, {name: part.replace(b"<v>58</v>", b"<v>" + figure + b"</v>")}))[0]
    assert fault.where.startswith("Dive work!") or "damaged" in fault.sentence


def test_formulas_count_with_their_saved_values() -> None:
    """A spreadsheet program saves a formula with its value; that value is what is read."""
    content = workbook_of(small_heavy_dress.job())
    with zipfile.ZipFile(io.BytesIO(content)) as box:
        name = next(n for n in box.namelist() if b"Sling the sunken winch" in box.read(n))
        part = box.read(name)
    typed = b"<v>58</v>"
    assert part.count(typed) == 1
    with_formula = part.replace(typed, b"<f>29*2</f><v>58</v>")
    assert read_job(_rezipped(content, {name: with_formula})) == small_heavy_dress.job()
