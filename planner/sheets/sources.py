"""The sheet *Cautions and sources*: what a person must tick, and what every number and rule stands on."""

from __future__ import annotations

import re
from collections.abc import Iterable

from planner import CAUTION
from planner.air import AirReport
from planner.check import RULES, SUBJECT_TO, Rule
from planner.job import Job
from planner.plan import unchecked
from planner.plan.model import Plan
from planner.sheets.bill import Bill
from planner.sheets.layout import freeze, write_line, write_words
from planner.words.plan import stage_words
from planner.workbook.style import HEAD, Look, Sheet, set_up_page

#: The first column is for ticks.
_WIDTHS = (8.0, 38.0, 82.0, 62.0)
_TEXT = Look(size=8, wrap=True, down="top", edges="b")
#: A name, a sentence and its source.
_Source = tuple[str, str, str]
TABLE_NAMES: dict[str, str] = {
    "9-4": "equivalent depth at altitude, computed",
    "9-7": "no-stop limits and repetitive groups",
    "9-8": "surface interval credit and residual nitrogen time",
    "9-9": "air decompression table",
    "2A-1": "no-stop limits in one-foot steps",
    "2A-2": "residual nitrogen time in one-foot steps",
}
MANUAL = "U.S. Navy Diving Manual, Revision 7 (SS521-AG-PRO-010, 1 December 2016)"


def tables_used(plan: Plan) -> tuple[str, ...]:
    """Numbers of the tables behind a plan's dives; 9-8 always stands behind the standby's minutes."""
    used = {part.strip() for d in plan.dives for e in d.divers for part in e.schedule.table.split(",")}
    return tuple(sorted(used | {"9-8"})) if plan.dives else ()


def to_tick(job: Job, air: AirReport) -> tuple[str, ...]:
    """Everything the program could not check, for a person to tick before the plan is used.

    Sentences that differ only by the outfit they name are joined into one.
    """
    joined: dict[str, list[str]] = {}
    for sentence in (*unchecked(job), *air.to_tick):
        names = [o.name for o in job.outfits if re.search(rf"(?<!\w){re.escape(o.name)}(?!\w)", sentence)]
        key = sentence.replace(names[0], "\0") if len(names) == 1 else sentence
        joined.setdefault(key, []).extend(names[:1] if len(names) == 1 else [])
    return tuple(key.replace("\0", ", ".join(names)) for key, names in joined.items())


def write_sources(bill: Bill) -> None:
    """Add the sheet *Cautions and sources* to the book."""
    plan, job = bill.plan, bill.job
    sheet, row = bill.printed.sheet("Cautions and sources", _WIDTHS)
    row = write_words(sheet, row, f"{CAUTION} {SUBJECT_TO}", Look(size=12, bold=True), 36)
    row = _ticks(sheet, row, to_tick(job, bill.air))
    row = _section(
        sheet,
        row,
        "How good the plan is",
        ("Stage, most pressing first", "Value and what is proven", ""),
        [
            *((stage.name, stage_words(stage, job), "") for stage in plan.stages),
            (
                "status",
                f"{plan.status.value}; searched {plan.seconds:.1f} s with {plan.workers} workers, seed "
                f"{plan.seed}",
                "",
            ),
        ],
    )
    if plan.dives:
        row = _section(
            sheet,
            row,
            "Decompression tables used",
            ("Table", "What for", "Source"),
            [(number, TABLE_NAMES.get(number, ""), MANUAL) for number in tables_used(plan)],
        )
    row = _section(
        sheet,
        row,
        "Rules the plan was checked by",
        ("Rule", "What must hold", "Source, ground it stands on"),
        [(rule.id, rule.sentence, _source(rule)) for rule in RULES.values()],
    )
    titles = ("Duty", "How many, and when", "Source")
    row = _section(sheet, row, "Least crew of this job", titles, _team(job))
    row = write_words(sheet, row, SUBJECT_TO)
    freeze(sheet)
    set_up_page(sheet, row - 1)


def _title(sheet: Sheet, row: int, title: str, edges: str = "") -> int:
    sheet.tall(row, 7)
    look = Look(size=11, bold=True, edges=edges, heavy=edges)
    return write_line(sheet, row + 1, [(title, sheet.columns, look)], 17)


def _section(
    sheet: Sheet, row: int, title: str, titles: tuple[str, str, str], rows: Iterable[_Source]
) -> int:
    """A section; its title and column titles stay on one page with the first of its rows."""
    start = row
    row = _title(sheet, row, title)
    looks = (HEAD, HEAD, HEAD.but(indent=1))
    cells = [(t, wide, look) for t, wide, look in zip(titles, (2, 1, 1), looks, strict=True)]
    row = write_line(sheet, row, cells, 13)
    for name, words, source in rows:
        cells = [(name, 2, _TEXT.but(bold=True)), (words, 1, _TEXT), (source, 1, _TEXT.but(indent=1))]
        row = write_line(sheet, row, cells, 0)
        sheet.keep_together(start, row - 1)
        start = row
    return row


def _ticks(sheet: Sheet, row: int, sentences: tuple[str, ...]) -> int:
    row = _title(sheet, row, "Not checked by the program: for a person to tick", "b")
    box, words = Look(size=12, across="center", down="top"), Look(size=9.5, wrap=True, edges="b")
    for sentence in sentences:
        row = write_line(sheet, row, [("☐", 1, box), (sentence, 3, words)])
        sheet.keep_together(row - 1, row - 1)
    return row


def _source(rule: Rule) -> str:
    """A rule's source with the ground it stands on, where the source does not say so itself."""
    basis = str(rule.basis.value)
    return rule.source if basis in rule.source else f"{rule.source} ({basis})"


def _team(job: Job) -> list[_Source]:
    """The rows of least crew as this job has them, with who changed what."""
    rows = []
    for need in job.rules.asked_rows:
        when = [f"{need.count} a diver in the water" if need.per_diver else f"{need.count} a station"]
        if need.gear:
            when.append(f"in {need.gear.value}")
        if need.deeper_than_fsw is not None:
            when.append(f"deeper than {need.deeper_than_fsw} fsw")
        if need.decompression:
            when.append("outside the no-stop limits")
        if need.enclosed_space:
            when.append("in enclosed spaces")
        changed = f"; changed by {need.changed_by}" if need.changed_by else ""
        rows.append((need.duty, ", ".join(when), need.source + changed))
    return rows
