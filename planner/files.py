"""Files on the disk: written whole or not at all, a workbook as the same bytes for the same content."""

from __future__ import annotations

import errno
import hashlib
import io
import json
import os
import re
import sys
import threading
import time
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
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
    """Write files that belong together: all of one folder take their places, or none does.

    Each is written beside its place and brought to the disk; then a note says which are about to take
    theirs; then they do. Whatever ends the program in between, `finish_writing` or the next writer in that
    folder goes by the note. What is left there of a writer that was ended is taken away.

    Raises
    ------
    OSError
        When a place cannot be written; what stood at all of them stands there still, or is replaced by the
        next one who looks where the system refused the last step alone.
    """
    # through a link, so that the link stays one
    places = {Path(os.path.realpath(target)): _bytes_of(content) for target, content in contents.items()}
    mark = f"{os.getpid()}-{threading.get_ident()}"
    moves: dict[Path, dict[Path, Path]] = {}
    for path in sorted(places):
        moves.setdefault(path.parent, {})[path.with_name(f".{path.name}.{mark}.part")] = path
    with ExitStack() as alone:
        for folder in moves:
            held = alone.enter_context(_alone_in(folder))
            _finish(folder, held)
            for part in folder.glob(".*.part"):
                if _PART.fullmatch(part.name) and _left_over(part, held):
                    part.unlink(missing_ok=True)
        try:
            for path in places:
                if path.is_dir():
                    raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
            for of_folder in moves.values():
                for part, path in of_folder.items():
                    _bring_to_disk(part, places[path])
            for folder, of_folder in moves.items():
                _take_places(folder, of_folder, folder / f".{mark}.note")
        finally:
            for folder in moves:
                # as long as the note stands the parts are what it can be followed by
                if not (folder / f".{mark}.note").exists():
                    for part in folder.glob(f".*.{mark}.part"):
                        part.unlink(missing_ok=True)


def finish_writing(folder: Path) -> None:
    """Let files take their places that were whole when their writer was ended in the middle of that.

    Raises
    ------
    OSError
        When the system does not let them.
    """
    if any(folder.glob(".*.note")):
        with _alone_in(folder) as held:
            _finish(folder, held)


#: What a file is called until it takes its place, and the note that says which are about to.
_PART = re.compile(r"\.[^/\\]+\.[0-9]+-[0-9]+\.part")
_NOTE = re.compile(r"\.[0-9]+-[0-9]+\.note")

#: Where the system has no lock for a folder, what is as old as this is taken for left over.
_LEFT_AFTER_S = 60
#: How long a writer waits for another one in the same folder.
_WAIT_S = 10


def _finish(folder: Path, held: bool) -> None:
    for note in sorted(folder.glob(".*.note")):
        if _NOTE.fullmatch(note.name) and _left_over(note, held):
            _follow(note)


def _left_over(file: Path, held: bool) -> bool:
    """Whether the writer of a file was ended: nobody else can be writing in a folder that is held."""
    return held or time.time() - file.stat().st_mtime > _LEFT_AFTER_S


def _take_places(folder: Path, moves: Mapping[Path, Path], note: Path) -> None:
    if len(moves) > 1:
        said = [[part.name, path.name, _sha256(part), _sha256(path)] for part, path in moves.items()]
        whole = folder / f".note{note.name.removesuffix('.note')}.part"
        _bring_to_disk(whole, json.dumps(said).encode())
        whole.replace(note)
        _bring_folder_to_disk(folder)
        try:
            _follow(note)
        except KeyboardInterrupt:
            # what is begun here is done before it is heard
            if note.exists():
                _follow(note)
            raise
    else:
        for part, path in moves.items():
            part.replace(path)
        _bring_folder_to_disk(folder)


def _follow(note: Path) -> None:
    """Let the files of a note take their places, and take the note away.

    A place that holds neither what stood there when it was written nor what was to stand there is somebody
    else's by now: then none is touched.
    """
    folder = note.parent
    said = _said_in(note)
    parts = [_sha256(folder / part) for part, _, _, _ in said]
    stands = [_sha256(folder / name) for _, name, _, _ in said]
    if all(
        found == new or (found == was and part == new)
        for (_, _, new, was), part, found in zip(said, parts, stands, strict=True)
    ):
        for (part, name, new, _), found in zip(said, stands, strict=True):
            if found != new:
                (folder / part).replace(folder / name)
        _bring_folder_to_disk(folder)
    note.unlink()


def _said_in(note: Path) -> list[tuple[str, str, str, str]]:
    """Of each file its name until then, its place, its SHA-256, and that of what stood in its place. Nothing
    where a note is not ours, or leads out of its folder."""
    try:
        said = json.loads(note.read_bytes())
        moves = [(str(part), str(name), str(new), str(was)) for part, name, new, was in said]
    except (ValueError, TypeError):
        return []
    plain = all(Path(name).name == name != ".." and name for _, name, _, _ in moves)
    ours = plain and all(_PART.fullmatch(part) for part, _, _, _ in moves)
    return moves if ours else []


def _sha256(path: Path) -> str:
    """Of a file's content; blank where nothing is, and a folder has none."""
    if path.is_file():
        return hashlib.sha256(path.read_bytes()).hexdigest()
    return "none" if path.exists() else ""


def _bring_to_disk(path: Path, content: bytes) -> None:
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _bring_folder_to_disk(folder: Path) -> None:
    """Its names, that is; Windows has no such call."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def _alone_in(folder: Path) -> Iterator[bool]:
    """Keep other writers out of a folder by the system's lock on it, which ends with the process however that
    ends; whether there is such a lock (Windows and some network drives have none).

    Raises
    ------
    OSError
        The folder is not there, or another program has been writing in it for longer than `_WAIT_S`.
    """
    try:
        import fcntl
    except ImportError:
        yield False
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        until, held = time.monotonic() + _WAIT_S, None
        while held is None:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                held = True
            except BlockingIOError as busy:
                if time.monotonic() > until:
                    raise OSError(busy.errno, "Another program is writing here", str(folder)) from busy
                time.sleep(0.01)
            except OSError:
                held = False
        yield held
    finally:
        os.close(handle)


def _bytes_of(content: Content) -> bytes:
    if isinstance(content, str):
        return content.encode("utf-8")
    return content if isinstance(content, bytes) else workbook_bytes(content)


def opened(path: Path) -> BinaryIO:
    """A file to read, its bytes; a pipe that nobody writes to is one without any, and not waited for.

    Raises OSError when it cannot be opened.
    """
    # A pipe of the system opens when somebody writes to it, unless one says not to wait (fifo(7)).
    return open(path, "rb", opener=lambda name, flags: os.open(name, flags | getattr(os, "O_NONBLOCK", 0)))


#: Of a plan as JSON or a tide table: the plan of a week of a hundred people is well under 5 MB.
MOST_TEXT_BYTES = 20 * 2**20


def read_words(path: Path, what: str) -> str:
    """The text of a file in UTF-8, with or without a byte order mark, once it has taken its place.

    Raises
    ------
    InputFaults
        When it cannot be opened, is too large or is not UTF-8; ``what`` says what should stand there.
    """
    try:
        finish_writing(Path(os.path.realpath(path)).parent)
        with opened(path) as file:
            content = file.read(MOST_TEXT_BYTES + 1)
        if len(content) <= MOST_TEXT_BYTES:
            return content.decode("utf-8-sig")
        most = f"{what} of at most {MOST_TEXT_BYTES // 2**20} MB"
        fault = Fault(str(path), "", most, "The file is larger than any that this program writes.")
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
