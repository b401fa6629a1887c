"""Writing a workbook to disk: whole or not at all, and the same bytes for the same content."""

from __future__ import annotations

import io
import os
import re
import zipfile
from pathlib import Path
from typing import BinaryIO

from openpyxl import Workbook

#: Time stamped on every member and in the properties, so that equal content gives an equal file.
_STAMP = (2000, 1, 1, 0, 0, 0)
_STAMP_ISO = b"2000-01-01T00:00:00Z"
_CORE_TIME = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(</dcterms:)")

Target = str | os.PathLike[str] | BinaryIO


def workbook_bytes(book: Workbook) -> bytes:
    """The workbook as the bytes of an .xlsx file, without the time of writing in them."""
    raw = io.BytesIO()
    book.save(raw)
    steady = io.BytesIO()
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(steady, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            content = source.read(name)
            if name == "docProps/core.xml":
                content = _CORE_TIME.sub(rb"\g<1>" + _STAMP_ISO + rb"\g<2>", content)
            member = zipfile.ZipInfo(name, _STAMP)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o644 << 16
            target.writestr(member, content)
    return steady.getvalue()


def save_workbook(book: Workbook, target: Target) -> None:
    """Write a workbook to a path or an open binary file.

    A file is replaced only once the new one is complete.

    Raises
    ------
    OSError
        When the place cannot be written.
    """
    content = workbook_bytes(book)
    if not isinstance(target, str | os.PathLike):
        target.write(content)
        return
    path = Path(target)
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
