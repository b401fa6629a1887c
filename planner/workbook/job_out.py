"""A job as a workbook that reads back as the same job."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from planner.errors import Fault, InputFaults
from planner.files import Target, save_workbook
from planner.job.crew_rules import CrewRules
from planner.job.job import Job
from planner.workbook.columns import Kind, Sheet
from planner.workbook.job_rows import job_rows
from planner.workbook.job_sheets import JOB_SHEETS
from planner.workbook.template import job_book

#: Control characters that a cell may hold.
_ALLOWED_CONTROLS = frozenset("\n\t")


def write_job(job: Job, target: Target) -> None:
    """Write a job as a workbook in the job's own units.

    What it writes reads back as an equal job. In a metric workbook a figure that lies between two steps of
    the conversion (0.1 psi, 0.001 cu ft) reads back one step to the safe side. Spreadsheets keep fifteen
    significant digits of a figure.

    Raises
    ------
    InputFaults
        When the job holds something that a workbook cannot say: text with control characters, or a blank
        where a blank cell means something else.
    OSError
        When the place cannot be written.
    """
    faults = list(_unsayable(job))
    if faults:
        raise InputFaults(faults)
    save_workbook(job_book(job_rows(job), job.site.units, job.site.name), target)


def _unsayable(job: Job) -> Iterator[Fault]:
    for where, text in _texts(job.model_dump(mode="python"), ""):
        if any(_unprintable(letter) for letter in text):
            yield Fault(
                where,
                ascii(text)[:80],
                "letters, digits, signs and blanks",
                "This text holds a control character that a workbook cannot keep.",
            )
    if not job.rules.minima:
        yield Fault(
            "rules: minima",
            "",
            "one row or more; 0 in a row where none is wanted",
            "A workbook without crew rows means the built-in ones; it cannot say that no crew is asked for.",
        )
    for sheet, where, row in _parts(job):
        for column in sheet.columns:
            if column.kind is not Kind.TEXT or row.get(column.field) != "":
                continue
            if sheet.needs(column) or sheet.model.model_fields[column.field].default != "":
                yield Fault(
                    f"{where}: {column.title}",
                    "",
                    "a text",
                    "This text is blank, and a blank cell means something else in a workbook.",
                )


def _parts(job: Job) -> Iterator[tuple[Sheet, str, dict[str, object]]]:
    by_model = {sheet.model: sheet for sheet in JOB_SHEETS if sheet.model is not CrewRules}
    groups = (
        *job.outfits,
        *job.water_windows,
        *job.rules.minima,
        *job.rules.pairs,
        *job.rules.bench_steps,
    )
    for number, part in enumerate(groups, start=1):
        sheet = by_model[type(part)]
        yield sheet, f"{sheet.name} {getattr(part, 'name', number)}", dict(part)


def _texts(value: object, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, str):
        yield where, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, f"{where}: {key}" if where else str(key))
    elif isinstance(value, tuple | frozenset | list):
        for index, inner in enumerate(value, start=1):
            yield from _texts(inner, f"{where} {index}")


def _unprintable(letter: str) -> bool:
    if letter in _ALLOWED_CONTROLS:
        return False
    return unicodedata.category(letter) in ("Cc", "Cs") or ord(letter) & 0xFFFE == 0xFFFE
