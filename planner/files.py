"""Files on the disk: written whole or not at all, a workbook as the same bytes for the same content."""

from __future__ import annotations

import io
import os
import re
import threading
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from planner.errors import Fault, InputFaults

if TYPE_CHECKING:
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


def write_whole(content: Workbook | bytes | str, target: Target) -> None:
    """Write a workbook, bytes or a text (as UTF-8) to a path or an open binary file.

    A file is written beside its place, brought to the disk and renamed: whatever ends the program in the
    middle, the place holds the old file whole or the new one whole.

    Raises
    ------
    OSError
        When the place cannot be written; what stood there stands there still.
    """
    if isinstance(content, str):
        content = content.encode("utf-8")
    elif not isinstance(content, bytes):
        content = workbook_bytes(content)
    if not isinstance(target, str | os.PathLike):
        target.write(content)
        return
    # through a link, so that the link stays one
    path = Path(os.path.realpath(target))
    beside = path.with_name(f".{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    try:
        with beside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def read_words(path: Path, what: str) -> str:
    """The text of a file in UTF-8, with or without a byte order mark.

    Raises
    ------
    InputFaults
        When it cannot be opened or is not UTF-8; ``what`` says what should stand there.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as wrong:
        reason = wrong.strerror or "it cannot be read"
        fault = Fault(str(path), "", what, f"The file cannot be read: {reason}.")
    except UnicodeDecodeError:
        fault = Fault(str(path), "", f"{what} in UTF-8", "The file is not UTF-8 text.")
    raise InputFaults([fault])
