"""A workbook opened in a process of its own, with an end to its time and memory: what a stranger's file does
there ends there, in a sentence.
"""

from __future__ import annotations

import json
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from planner.errors import Fault, InputFaults
from planner.file_limits import UNNAMED, Source, bytes_of, refused
from planner.workbook.opening import OpenedBook, open_book, sheet_in, sheet_out

#: Processor time and memory of the process; seconds on the clock until it is ended in any case.
MOST_CPU_S = 10
MOST_MEMORY_BYTES = 500 * 2**20
MOST_WAIT_S = 60
_TOO_MUCH = (
    "This workbook takes more time or memory to read than any job. Copy its tables into an empty job "
    "workbook."
)

# what the spreadsheet library loads where it is there, for figures and pictures, and reading does not need;
# what is read is kept until the end, and is not looked through for circles
_PROGRAM = """
import gc, sys
gc.set_threshold(200_000)
sys.path[:0] = sys.argv[3:]
sys.modules["numpy"] = sys.modules["PIL"] = None
from planner.workbook.apart import answer
answer(int(sys.argv[1]), int(sys.argv[2]))
"""


def open_apart(source: Source) -> OpenedBook:
    """`planner.workbook.opening.open_book` in a process of its own.

    Raises
    ------
    InputFaults
        As `open_book`, and when the process ends at a limit.
    """
    # here alone: the process that reads starts none itself
    import subprocess  # nosec B404

    name, content = bytes_of(source)
    limits = [str(MOST_CPU_S), str(MOST_MEMORY_BYTES)]
    # without the start-up files of the place where packages are (-S); where the two it needs are, it is told
    command = [sys.executable, "-I", "-S", "-c", _PROGRAM, *limits, *_places()]
    try:
        # this program's own words and no shell; the file comes by standard input
        ended = subprocess.run(  # nosec B603
            command, input=content, capture_output=True, timeout=MOST_WAIT_S, check=False
        )
    except subprocess.TimeoutExpired as late:
        raise refused(name, f"not read within {MOST_WAIT_S} s", _TOO_MUCH) from late
    if ended.returncode != 0:
        raise refused(name, f"more than {MOST_CPU_S} s or {MOST_MEMORY_BYTES // 2**20} MB", _TOO_MUCH)
    told = json.loads(ended.stdout)
    if "faults" in told:
        # the process knows bytes and no name
        faults = ((name if where == UNNAMED else where, *rest) for where, *rest in told["faults"])
        raise InputFaults([Fault(*fault) for fault in faults])
    return OpenedBook(name, told["sha256"], [sheet_in(kept) for kept in told["sheets"]])


def _places() -> list[str]:
    """The folders that hold this program, the spreadsheet library and what that needs."""
    found = [spec.origin for name in ("openpyxl", "et_xmlfile") if (spec := find_spec(name)) and spec.origin]
    folders = [Path(__file__).resolve().parents[2], *(Path(one).resolve().parents[1] for one in found)]
    return list(dict.fromkeys(map(str, folders)))


def answer(most_cpu_s: int, most_memory_bytes: int) -> None:
    """Read a workbook from the standard input under the limits; its cells, or its faults, go out as JSON."""
    _take_limits(most_cpu_s, most_memory_bytes)
    try:
        book = open_book(sys.stdin.buffer.read())
    except InputFaults as found:
        told: dict[str, Any] = {"faults": [[f.where, f.found, f.allowed, f.sentence] for f in found.faults]}
    else:
        told = {"sha256": book.sha256, "sheets": [sheet_out(sheet) for sheet in book.sheets]}
    # whole: piece by piece the encoder is several times slower
    sys.stdout.write(json.dumps(told))


def _take_limits(most_cpu_s: int, most_memory_bytes: int) -> None:
    """Bound the processor time and the memory of this process, where the system knows how."""
    try:
        import resource
    except ImportError:  # Windows: the clock of the parent is the only limit
        return
    resource.setrlimit(resource.RLIMIT_CPU, (most_cpu_s, most_cpu_s))
    resource.setrlimit(resource.RLIMIT_AS, (most_memory_bytes, most_memory_bytes))
