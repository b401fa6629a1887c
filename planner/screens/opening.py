"""Opening a job: the samples that come with the program, and workbooks that a user brings.

Whatever a file turns out to be, the answer is a job or a list of faults, never a traceback.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from planner.errors import Fault, InputFaults
from planner.job import Job

#: Samples stand beside `app.py`, outside the package.
SAMPLES_DIR = Path(__file__).resolve().parents[2] / "sample_jobs"

#: Largest workbook taken in, bytes; a job workbook is well under one megabyte.
LARGEST_BYTES = 10_000_000

#: Largest size of its parts when unpacked, bytes, so that a small file cannot fill the memory.
LARGEST_UNPACKED_BYTES = 100_000_000

_OLD_EXCEL = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@dataclass(frozen=True)
class Sample:
    """A job workbook that comes with the program."""

    path: Path

    @property
    def title(self) -> str:
        return self.path.stem.replace("_", " ").replace("-", " ").capitalize()


def samples(folder: Path = SAMPLES_DIR) -> tuple[Sample, ...]:
    """The sample workbooks, by name; none where the folder is not there."""
    return tuple(Sample(p) for p in sorted(folder.glob("*.xlsx")) if not p.name.startswith(("~", ".")))


def open_job(name: str, data: bytes, read_job: Callable[[bytes], Job]) -> Job:
    """Read a job from a file's bytes.

    Parameters
    ----------
    name
        The file's name, for the messages.
    data
        Its bytes.
    read_job
        Reads a workbook's bytes.

    Raises
    ------
    InputFaults
        All faults found; a file that is no workbook is one fault.
    """
    refusal = refusal_of(name, data)
    if refusal is not None:
        raise InputFaults([refusal])
    return read_job(data)


def refusal_of(name: str, data: bytes) -> Fault | None:
    """Why a file is not even looked into; None when it may be a workbook."""
    allowed = "an .xlsx workbook made from this program's blank job workbook"
    if not data:
        return Fault(name, "an empty file", allowed, "The file is empty.")
    if len(data) > LARGEST_BYTES:
        return Fault(
            name,
            f"{len(data) / 1e6:.1f} MB",
            f"at most {LARGEST_BYTES / 1e6:.0f} MB",
            "The file is too large for a job workbook.",
        )
    if data.startswith(_OLD_EXCEL):
        return Fault(
            name,
            "an .xls workbook of the old kind, or one locked with a password",
            allowed,
            "Save it as .xlsx without a password, then open that.",
        )
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as parts:
            names = set(parts.namelist())
            unpacked = sum(part.file_size for part in parts.infolist())
    except zipfile.BadZipFile:
        return Fault(name, "something else", allowed, "The file is not a workbook.")
    if unpacked > LARGEST_UNPACKED_BYTES:
        return Fault(
            name,
            f"{unpacked / 1e6:.0f} MB when unpacked",
            f"at most {LARGEST_UNPACKED_BYTES / 1e6:.0f} MB",
            "The file unpacks to far more than a job workbook holds.",
        )
    if "xl/workbook.xml" not in names:
        return Fault(name, "an archive without a workbook", allowed, "The file is not an .xlsx workbook.")
    return None
