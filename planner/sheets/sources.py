"""The sheet *Cautions and sources*: what a person must tick, and what every number and rule stands on."""

from __future__ import annotations

import re
from collections.abc import Iterable

from openpyxl.workbook import Workbook

from planner import CAUTION
from planner.air import AirReport
from planner.check import RULES, SUBJECT_TO, Rule
from planner.job import Job
from planner.plan import unchecked
from planner.plan.model import Plan
from planner.words.plan import stage_words
from planner.workbook.style import (
    HEAD,
    SMALL,
    Look,
    Page,
    Sheet,
    lines_needed,
    new_sheet,
    set_up_page,
    write_head,
)

_WIDTHS = (8.0, 38.0, 82.0, 62.0)
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


def write_sources(book: Workbook, plan: Plan, job: Job, air: AirReport, page: Page, facts: str) -> None:
    """Add the sheet *Cautions and sources* to the book."""
    sheet = new_sheet(book, "Cautions and sources", page, _WIDTHS)
    row = write_head(sheet, "Cautions and sources", job.site.name, facts)
    big = Look(size=12, bold=True, wrap=True)
    sheet.put(row, 1, f"{CAUTION} {SUBJECT_TO}", big, wide=4)
    sheet.tall(row, 36)
    row = _ticks(sheet, row + 1, to_tick(job, air))
    row = _stages(sheet, row, plan, job)
    row = _tables(sheet, row, plan)
    row = _rules(sheet, row, tuple(RULES.values()))
    row = _team(sheet, row, job)
    sheet.ws.freeze_panes = f"A{sheet.title_rows + 1}"
    set_up_page(sheet, row - 1)


def _section(sheet: Sheet, row: int, title: str, titles: tuple[str, ...] = ()) -> int:
    """A section's title, its column titles; kept on one page with the rows that follow."""
    sheet.tall(row, 7)
    sheet.put(
        row + 1,
        1,
        title,
        Look(size=11, bold=True, edges="" if titles else "b", heavy="" if titles else "b"),
        wide=4,
    )
    sheet.tall(row + 1, 17)
    row += 2
    if titles:
        sheet.put(row, 1, titles[0], HEAD, wide=2)
        sheet.put(row, 3, titles[1], HEAD, wide=1)
        sheet.put(row, 4, titles[2], HEAD.but(indent=1), wide=1)
        sheet.tall(row, 13)
        row += 1
    return row


def _rows(sheet: Sheet, row: int, start: int, rows: Iterable[tuple[str, str, str]]) -> int:
    """Rows of a name, a sentence and a source; the first stays on the page of its section's title."""
    look = Look(size=8, wrap=True, down="top", edges="b")
    for name, words, source in rows:
        sheet.put(row, 1, name, look.but(bold=True), wide=2)
        sheet.put(row, 3, words, look)
        sheet.put(row, 4, source, look.but(indent=1))
        lines = max(
            lines_needed(name, sheet.width_mm(1, 2), 8.5),
            lines_needed(words, sheet.width_mm(3), 8),
            lines_needed(source, sheet.width_mm(4) - 3, 8),
        )
        sheet.tall(row, 10.0 * lines + 4)
        sheet.keep_together(start, row)
        row += 1
        start = row
    return row


def _ticks(sheet: Sheet, row: int, sentences: tuple[str, ...]) -> int:
    row = _section(sheet, row, "Not checked by the program: for a person to tick")
    for sentence in sentences:
        sheet.put(row, 1, "☐", Look(size=12, across="center", down="top"))
        sheet.put(row, 2, sentence, Look(size=9.5, wrap=True, edges="b"), wide=3)
        sheet.tall(row, 12.0 * lines_needed(sentence, sheet.width_mm(2, 3), 9.5) + 5)
        sheet.keep_together(row, row)
        row += 1
    return row


def _stages(sheet: Sheet, row: int, plan: Plan, job: Job) -> int:
    start = row
    row = _section(
        sheet, row, "How good the plan is", ("Stage, most pressing first", "Value and what is proven", "")
    )
    rows = [(stage.name, stage_words(stage, job), "") for stage in plan.stages]
    words = (
        f"{plan.status.value}; searched {plan.seconds:.1f} s with {plan.workers} workers, seed {plan.seed}"
    )
    return _rows(sheet, row, start, [*rows, ("status", words, "")])


def _tables(sheet: Sheet, row: int, plan: Plan) -> int:
    if not plan.dives:
        return row
    start = row
    row = _section(sheet, row, "Decompression tables used", ("Table", "What for", "Source"))
    rows = [(number, TABLE_NAMES.get(number, ""), MANUAL) for number in tables_used(plan)]
    return _rows(sheet, row, start, rows)


def _rules(sheet: Sheet, row: int, rules: tuple[Rule, ...]) -> int:
    start = row
    titles = ("Rule", "What must hold", "Source, ground it stands on")
    row = _section(sheet, row, "Rules the plan was checked by", titles)
    rows = [(rule.id, rule.sentence, _source(rule)) for rule in rules]
    return _rows(sheet, row, start, rows)


def _source(rule: Rule) -> str:
    """A rule's source with the ground it stands on, where the source does not say so itself."""
    basis = str(rule.basis.value)
    return rule.source if basis in rule.source else f"{rule.source} ({basis})"


def _team(sheet: Sheet, row: int, job: Job) -> int:
    """The rows of least crew as this job has them, with who changed what."""
    start = row
    row = _section(sheet, row, "Least crew of this job", ("Duty", "How many, and when", "Source"))
    rows = []
    for need in job.rules.minima:
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
    row = _rows(sheet, row, start, rows)
    sheet.put(row, 1, SUBJECT_TO, SMALL, wide=4)
    return row + 1
