"""What a workbook leaves unsaid: sheets that it lacks or calls otherwise, settings that it has no row for."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Container, Iterator, Mapping

from planner.check.limits import LIMITS
from planner.job.crew_rules import LATER_LIMITS, OUT_OF_DRESS
from planner.job.job import Job
from planner.job.names import fold
from planner.job.site import Policy
from planner.workbook.job_sheets import AIR, JOB_SHEETS, NEVER_READ, RULES, SHEET_OF
from planner.workbook.opening import RawSheet
from planner.workbook.sheet_reader import SheetReader, SheetRows, headings_of

#: How alike a tab's name must be to that of a missing sheet to be taken for a slip of the pen.
_SHEET_LIKENESS = 0.75


def sheets_read(name: str, raws: Collection[RawSheet], sha256: str = "") -> str:
    """Which workbook a job was read from, which sheets of a job it lacks, and which of its sheets are no
    sheets of a job and were not read. What is not there counts as empty, so a person must see it."""
    tabs = {fold(raw.name): raw.name for raw in raws}
    blank = [SHEET_OF[key].name for raw in raws if (key := fold(raw.name)) in SHEET_OF and not raw.rows]
    lacking = [sheet.name for key, sheet in SHEET_OF.items() if key not in tabs]
    aside = [tab for key, tab in tabs.items() if key not in SHEET_OF and key not in NEVER_READ]
    count = len(JOB_SHEETS) - len(lacking) - len(blank)
    read = f"Read from {name}: {count} of the {len(JOB_SHEETS)} sheets of a job."
    lacks = f" Not in the workbook, so taken as empty: {', '.join(lacking)}." if lacking else ""
    lacks += f" Blank, without so much as headings: {', '.join(blank)}." if blank else ""
    unread = f" Not read, no sheets of a job: {', '.join(aside)}." if aside else ""
    return f"{read}{lacks}{unread}" + (f" SHA-256 of the file: {sha256}." if sha256 else "")


def misspelt_sheets(reader: SheetReader, sheets: Mapping[str, RawSheet]) -> None:
    """Note each tab that looks like a sheet of a job, by its name or by its headings; others are the user's
    own. ``sheets`` stand under their folded names."""
    missing = {key: sheet.name for key, sheet in SHEET_OF.items() if key not in sheets}
    for key, raw in sheets.items():
        if key in SHEET_OF or key in NEVER_READ:
            continue
        near = difflib.get_close_matches(key, missing, 1, _SHEET_LIKENESS)
        meant = missing[near[0]] if near else _sheet_by_headings(raw, missing)
        if meant is None:
            continue
        mistaken = f"{raw.name} is not a sheet of a job"
        if not near:
            mistaken += f", but has the headings of {meant}, and would not be read"
        own = "" if near else " A sheet of your own must not look like one of the job's."
        reader.fault(raw.name, raw.name, meant, f"{mistaken}. Did you mean {meant}?{own}")


def _sheet_by_headings(raw: RawSheet, missing: Container[str]) -> str | None:
    """The sheet of a job whose headings a tab has; of several, the one it has most of, missing ones first."""
    alike = [(key in missing, hits, s.name) for key, s in SHEET_OF.items() if (hits := headings_of(s, raw))]
    return max(alike, key=lambda found: found[:2], default=(False, 0, None))[2]


def taken_as(job: Job, tables: Mapping[str, SheetRows]) -> Iterator[str]:
    """What is taken for settings that a person should set and that the workbook has no row for, and a setting
    that another one leaves without anything to do."""
    rules, air = tables[RULES.name], tables[AIR.name]
    said = rules.rows[0].cells
    dress = [gear for gear, field in OUT_OF_DRESS.items() if field not in said]
    if dress and job.site.policy is Policy.SURFACE_DECOMPRESSION:
        taken = ", ".join(f"{job.rules.out_of_dress_min(gear)} min in {gear.value}" for gear in dress)
        yield (
            "The workbook does not say how long a diver takes out of dress for the chamber: taken as "
            f"{taken} (from memory). With the way to the chamber it must fit into the five minutes of "
            "surface decompression, or the item is left over: measure it and fill it in on the sheet Rules."
        )
    plant = job.air
    if (plant.compressors or plant.banks) and "reserve_minutes_at_depth" not in air.rows[0].cells:
        yield (
            "The workbook does not say how long the reserve carries everyone at depth: it is opened with "
            f"{plant.reserve_minutes_at_depth} min at depth and {plant.emergency_acfm:g} acfm a person. Fill "
            f"it in on the sheet {AIR.name}."
        )
    if job.rules.one_briefing and not job.rules.briefing_min:
        one, minutes = LIMITS["one_briefing"].label, LIMITS["briefing_min"].label
        yield f"{one} is asked for, and {minutes} is 0 min on the sheet {RULES.name}: none is planned."
    later = [LIMITS[field] for field in LATER_LIMITS if field not in said]
    if later and rules.there:
        taken = ", ".join(f"{o.label} {getattr(job.rules, o.field)} {o.unit}" for o in later)
        yield (
            f"The workbook is of an earlier version: its sheet {RULES.name} is opened with {taken}. Set what "
            "your crew does (0: none of it)."
        )
