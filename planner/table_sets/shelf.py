"""Where table sets stand: those shipped with the program, and those of this place."""

from __future__ import annotations

import copyreg
import os
import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from importlib import resources
from pathlib import Path

from planner.errors import InputFaults, PlannerError
from planner.files import data_folder, finish_writing, write_together
from planner.table_sets.folder import HEAD, LARGEST_FILE_BYTES, folder_files, read_files
from planner.table_sets.soundness import Soundness, examine
from planner.table_sets.table_set import TableSet

DEFAULT_ID = "us-navy-7"
"""The set of a job that names none."""

SHIPPED: tuple[str, ...] = (DEFAULT_ID, "noaa-no-decompression")
"""Folders in `shipped/`: the one registration of a set."""

SETS_VARIABLE = "PLANNER_TABLE_SETS"
"""Names the folder that holds a place's own sets, a folder each."""

ID = re.compile(r"^[a-z0-9][a-z0-9-]{1,39}$")


class SetRefused(PlannerError):
    """A table set that is not there, or may not be used; the text says why."""


def own_folder() -> Path:
    """The folder of this place's own sets; it need not exist."""
    return Path(os.environ.get(SETS_VARIABLE) or data_folder() / "table-sets")


def set_ids() -> tuple[str, ...]:
    """Ids of every set at hand: the shipped ones, then this place's own in order of their names."""
    own = own_folder()
    found = sorted(p.name for p in own.iterdir() if (p / HEAD).is_file()) if own.is_dir() else []
    return (*SHIPPED, *(name for name in found if ID.match(name) and name not in SHIPPED))


def has_set(id: str) -> bool:
    """Whether there is such a set at hand."""
    return id in SHIPPED or (bool(ID.match(id)) and (own_folder() / id / HEAD).is_file())


def files_of(id: str) -> dict[str, bytes]:
    """The files of a set. SetRefused where there is no such set."""
    if id in SHIPPED:
        return folder_files(resources.files("planner.table_sets").joinpath("shipped", id))
    if not has_set(id):
        raise SetRefused(f"There is no table set {id!r} here; there is {', '.join(set_ids())}.")
    finish_writing(own_folder() / id)
    return folder_files(own_folder() / id)


def table_set(id: str = DEFAULT_ID) -> TableSet:
    """The set of that id, read on the first call and kept.

    A shipped set is held sound by the tests; a place's own is examined before its first use.

    Raises
    ------
    SetRefused
        No such set.
    InputFaults
        It is not sound; every fault with file and line.
    """
    return _kept(id)


@lru_cache(maxsize=64)
def _kept(id: str) -> TableSet:
    files = files_of(id)
    if id in SHIPPED:
        found = read_files(id, files)
        faults = found.faults
    else:
        report = examine(id, files)
        found, faults = report.reading, list(report.faults)
    if faults or found.tables is None:
        raise InputFaults(faults)
    return found.tables


def _by_id(tables: TableSet) -> tuple[Callable[[str], TableSet], tuple[str]]:
    return table_set, (tables.id,)


#: In another process a set is the one of the same id there.
copyreg.pickle(TableSet, _by_id)


def keep_set(id: str, files: Mapping[str, bytes]) -> Soundness:
    """Put a sound set among this place's own. An unsound one is only reported, nothing is written.

    Raises
    ------
    SetRefused
        The id is none, or stands for another set already: plans made by it would no longer be its plans.
    """
    if not ID.match(id):
        raise SetRefused(f"{id!r} is no id for a set: small letters, digits and hyphens, 2 to 40 of them.")
    if any(len(content) > LARGEST_FILE_BYTES for content in files.values()):
        raise SetRefused(f"A file of a set is {LARGEST_FILE_BYTES // 1_000_000} MB at most.")
    if has_set(id) and files_of(id) != dict(files):
        raise SetRefused(f"There is a set {id} already, and it is another. Give this one an id of its own.")
    report = examine(id, files)
    if report.sound and not has_set(id):
        folder = own_folder() / id
        folder.mkdir(parents=True, exist_ok=True)
        write_together({folder / name: content for name, content in files.items()})
    return report
