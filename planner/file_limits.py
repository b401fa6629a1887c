"""The one door for every workbook: what it may weigh, before the spreadsheet library sees any of it.

A file of 100 KB can unpack to gigabytes, or hold millions of cells in a few letters each. The archive is
judged by its directory, then each XML part is run through block by block with nothing kept, up to the first
limit.
"""

from __future__ import annotations

import io
import os
import zipfile
import zlib
from pathlib import Path
from typing import BinaryIO
from xml.parsers.expat import ExpatError, ParserCreate

from planner.errors import Fault, InputFaults
from planner.files import opened

Source = str | os.PathLike[str] | BinaryIO | bytes

#: A job of a hundred people is well under a megabyte; these only keep out what is no job.
MOST_FILE_BYTES = 10 * 2**20
MOST_UNPACKED_BYTES = 15 * 2**20
MOST_MEMBERS = 400
MOST_SHEETS = 80
#: Rows with something in them.
MOST_ROWS = 2000
#: Rows of any kind, by their count and by their number; columns are let in up to ZZ (702).
MOST_ROWS_SEEN = 20_000
#: Of all parts together; the samples have 8,000, the largest job that can be planned ten times as many.
MOST_ELEMENTS = 400_000
MOST_DEPTH = 64
#: How tightly a part may be packed; the samples' parts go tenfold, a sheet of one value a hundredfold.
MOST_FOLD = 200
#: How a part may be packed (ECMA-376 part 2): not at all, or by DEFLATE.
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_SMALL_BYTES = 2**20
_BLOCK = 2**16

_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
#: What a file without a name is called.
UNNAMED = "workbook"
_WANTED = "a job workbook saved as .xlsx"
DAMAGED = "This workbook is damaged and cannot be read."
#: How `zipfile` and the parsers below it answer bytes that are no workbook (ValueError: a number or a name
#: out of bounds, NotImplementedError: a later version of the format); each is told to the user as a fault.
_BROKEN = (zipfile.BadZipFile, zlib.error, ExpatError, ValueError, NotImplementedError, OSError, EOFError)


def refused(name: str, found: str, sentence: str) -> InputFaults:
    """The one fault of a file that is no job workbook."""
    return InputFaults([Fault(name, found, _WANTED, sentence)])


def bytes_of(source: Source) -> tuple[str, bytes]:
    """The name of a file and what stands in it.

    Raises
    ------
    InputFaults
        When it cannot be opened, is empty or too large.
    """
    if isinstance(source, bytes):
        name, content = UNNAMED, source[: MOST_FILE_BYTES + 1]
    elif isinstance(source, str | os.PathLike):
        path = Path(source)
        name = path.name or str(path)
        try:
            with opened(path) as file:
                content = file.read(MOST_FILE_BYTES + 1)
        except (OSError, ValueError) as failed:
            why = failed.strerror if isinstance(failed, OSError) and failed.strerror else "not a file name"
            raise refused(name, why, "This file cannot be opened.") from failed
    else:
        name = Path(str(getattr(source, "name", UNNAMED))).name
        content = source.read(MOST_FILE_BYTES + 1)
    if not content:
        raise refused(name, "an empty file", "This file is empty.")
    if len(content) > MOST_FILE_BYTES:
        most = MOST_FILE_BYTES // 2**20
        raise refused(
            name, f"more than {most} MB", f"This file is larger than {most} MB, too large for a job."
        )
    return name, content


def look_at(name: str, content: bytes) -> None:
    """Judge a file by its outside, then run through its parts without keeping any.

    Raises
    ------
    InputFaults
        When it is not an .xlsx workbook, is broken, or is more than a job can need; one fault.
    """
    if content.startswith(_OLE):
        if _ENCRYPTED in content:
            raise refused(
                name, "an encrypted workbook", "This workbook is protected by a password; save it without."
            )
        raise refused(
            name, "an old workbook (.xls)", "This is the old workbook format; save it again as .xlsx."
        )
    try:
        box = zipfile.ZipFile(io.BytesIO(content))
    except _BROKEN as broken:
        raise refused(
            name, "some other kind of file", "This is not a workbook, whatever its name says."
        ) from broken
    members = box.infolist()
    names = {member.filename for member in members}
    if len(names) < len(members):
        raise refused(name, "parts of one name", DAMAGED)
    if "xl/workbook.xml" not in names:
        raise refused(name, *_other_kind(names))
    if len(members) > MOST_MEMBERS:
        raise refused(name, f"{len(members)} parts", "This workbook has more parts than a job can need.")
    unpacked = sum(member.file_size for member in members)
    if unpacked > MOST_UNPACKED_BYTES:
        raise refused(
            name,
            f"{unpacked // 2**20} MB unpacked",
            f"This workbook unpacks to more than {MOST_UNPACKED_BYTES // 2**20} MB, too large for a job.",
        )
    swollen = [m for m in members if m.file_size > max(_SMALL_BYTES, MOST_FOLD * m.compress_size)]
    if swollen:
        raise refused(
            name,
            f"{swollen[0].filename} unpacks {swollen[0].file_size // max(1, swollen[0].compress_size)}-fold",
            "A part of this workbook is packed tighter than any table that a person filled in.",
        )
    if any(member.flag_bits & 1 for member in members):
        raise refused(
            name, "an encrypted archive", "This workbook is protected by a password; save it without."
        )
    if any(member.compress_type not in _PACKED for member in members):
        raise refused(name, "a part packed in another way than DEFLATE", DAMAGED)
    run = _Count(name)
    try:
        for member in members:
            if member.filename.lower().endswith((".xml", ".rels")):
                run.part(box, member)
    except _BROKEN as bad:
        raise refused(name, "a broken workbook", DAMAGED) from bad


def _other_kind(names: set[str]) -> tuple[str, str]:
    if "xl/workbook.bin" in names:
        return "a binary workbook (.xlsb)", "This is a binary workbook; save it again as .xlsx."
    if "mimetype" in names and "content.xml" in names:
        return "an OpenDocument file", "This is an OpenDocument file; save it again as .xlsx."
    if any(part.startswith(("word/", "ppt/")) for part in names):
        return "a text or slide document", "This is a document, not a workbook."
    return "an archive", "This is an archive of files, not a workbook."


class _Count:
    """Runs through the XML parts of a workbook and counts; raises `InputFaults` at the first limit."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.elements = 0

    def part(self, box: zipfile.ZipFile, member: zipfile.ZipInfo) -> None:
        """Run through one part, block by block."""
        self.where, self.depth, self.rows = member.filename, 0, 0
        parser = ParserCreate()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._doctype
        with box.open(member) as file:
            while block := file.read(_BLOCK):
                parser.Parse(block, False)
        parser.Parse(b"", True)

    def _start(self, tag: str, marks: dict[str, str]) -> None:
        self.elements += 1
        self.depth += 1
        if self.elements > MOST_ELEMENTS:
            raise self._more(f"more than {MOST_ELEMENTS:,} elements", "cells and marks")
        if self.depth > MOST_DEPTH:
            raise self._more(f"elements {MOST_DEPTH} deep", "layers")
        kind = tag.rpartition(":")[2]
        if kind == "row":
            self.rows += 1
            number = marks.get("r", "")
            if self.rows > MOST_ROWS_SEEN or (number.isdecimal() and int(number[:9]) > MOST_ROWS_SEEN):
                raise self._more(f"row {number or self.rows}", "rows, filled or empty,")
        elif kind == "c" and len(column := marks.get("r", "").rstrip("0123456789")) > 2:
            raise self._more(f"column {column}", "columns")

    def _end(self, tag: str) -> None:
        self.depth -= 1

    def _doctype(self, *declared: object) -> None:
        # the format knows no document types (ECMA-376 part 2); entities that swell come by them
        raise refused(self.name, "a document type", DAMAGED)

    def _more(self, found: str, what: str) -> InputFaults:
        return refused(
            self.name,
            f"{found} in {self.where}",
            f"This workbook has more {what} than a job can need. Copy its tables into an empty job workbook.",
        )
