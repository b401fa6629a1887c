"""Files on the disk: written whole or not at all, a workbook as the same bytes for the same content."""

from __future__ import annotations

import errno
import io
import os
import re
import sys
import threading
import zipfile
from collections.abc import Mapping
from decimal import Decimal
from functools import partial
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, TypeAlias

from planner.errors import Fault, InputFaults

if TYPE_CHECKING:
    from openpyxl import Workbook

#: Time stamped on every member and in the properties, so that equal content gives an equal file.
_STAMP = (2000, 1, 1, 0, 0, 0)
_STAMP_ISO = b"2000-01-01T00:00:00Z"
_CORE_TIME = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(</dcterms:)")

#: A cell with a formula as openpyxl writes it (ECMA-376 part 1, §18.3.1.4): its value is left empty.
_FORMULA_CELL = re.compile(rb'<c r="([A-Z]+[0-9]+)"([^>]*)>(<f>[^<]*</f>)<v ?/></c>')
#: What a formula comes to.
Reckoned = int | float | Decimal | str

Target = str | os.PathLike[str] | BinaryIO
Content: TypeAlias = "Workbook | bytes | str"


def workbook_bytes(book: Workbook) -> bytes:
    """The workbook as the bytes of an .xlsx file, without the time of writing in them.

    What its formulas come to (``reckoned`` of a `planner.workbook.style.Book`: by sheet and cell) stands in
    their cells, which the library leaves empty: a program that only shows the file has figures to show.
    """
    raw = io.BytesIO()
    book.save(raw)
    reckoned: Mapping[str, Mapping[str, Reckoned]] = getattr(book, "reckoned", {})
    values = {
        f"xl/worksheets/sheet{number}.xml": reckoned.get(sheet.title)
        for number, sheet in enumerate(book.worksheets, start=1)
    }
    steady = io.BytesIO()
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(steady, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            content = source.read(name)
            if name == "docProps/core.xml":
                content = _CORE_TIME.sub(rb"\g<1>" + _STAMP_ISO + rb"\g<2>", content)
            elif found := values.get(name):
                content = _FORMULA_CELL.sub(partial(_with_value, found), content)
            member = zipfile.ZipInfo(name, _STAMP)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o644 << 16
            target.writestr(member, content)
    return steady.getvalue()


def _with_value(values: Mapping[str, Reckoned], cell: re.Match[bytes]) -> bytes:
    place, rest, formula = cell.groups()
    value = values[place.decode()]
    kind = b' t="str"' if isinstance(value, str) else b""
    return b'<c r="%b"%b%b>%b<v>%b</v></c>' % (
        place,
        rest,
        kind,
        formula,
        escape(str(value), quote=False).encode(),
    )


def write_whole(content: Content, target: Target) -> None:
    """Write a workbook, bytes or a text (as UTF-8) to a path or an open binary file.

    A file is written beside its place, brought to the disk and renamed: whatever ends the program in the
    middle, the place holds the old file whole or the new one whole.

    Raises
    ------
    OSError
        When the place cannot be written; what stood there stands there still.
    """
    if isinstance(target, str | os.PathLike):
        write_together({Path(target): content})
    else:
        target.write(_bytes_of(content))


def write_together(contents: Mapping[Path, Content]) -> None:
    """Write files that belong together: none takes its place before all are whole on the disk.

    Raises
    ------
    OSError
        When a place cannot be written; what stood at all of them stands there still.
    """
    # through a link, so that the link stays one
    places = {Path(os.path.realpath(target)): _bytes_of(content) for target, content in contents.items()}
    mark = f"{os.getpid()}-{threading.get_ident()}.part"
    beside = {path: path.with_name(f".{path.name}.{mark}") for path in places}
    try:
        for path, content in places.items():
            if path.is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
            with beside[path].open("wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
        for path in places:
            beside[path].replace(path)
    finally:
        for part in beside.values():
            part.unlink(missing_ok=True)


def _bytes_of(content: Content) -> bytes:
    if isinstance(content, str):
        return content.encode("utf-8")
    return content if isinstance(content, bytes) else workbook_bytes(content)


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


#: Our own folder in the one that the system has for a user's data.
DATA_FOLDER = "diving-team-planner"


def data_folder(
    platform: str = sys.platform, home: Path | None = None, variables: Mapping[str, str] = os.environ
) -> Path:
    """The folder for a user's data that the system provides, with our own folder in it.

    Windows: ``LOCALAPPDATA``; macOS: ``Library/Application Support``; else ``XDG_DATA_HOME`` or
    ``~/.local/share`` (XDG Base Directory Specification).
    """
    home = home or Path.home()
    if platform == "win32":
        base = Path(variables.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        named = Path(variables.get("XDG_DATA_HOME", ""))
        # the specification has relative paths ignored
        base = named if named.is_absolute() else home / ".local" / "share"
    return base / DATA_FOLDER
