"""The sheets *Cautions and sources* and *Rules*: what a person must tick, what numbers and rules stand on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import zip_longest

from planner import CAUTION
from planner.air import AirReport
from planner.check import RULES, SUBJECT_TO, Rule
from planner.job import Job
from planner.plan import unchecked
from planner.plan.model import Plan
from planner.sheets.bill import Bill
from planner.sheets.layout import Cell, PrintedSheet
from planner.table_sets import TableSet
from planner.words.crew import row_holds_words
from planner.words.plan import stage_words
from planner.workbook.letters import POINTS_PER_MM
from planner.workbook.style import HEAD, Look

#: Two halves with a column for ticks each; a section's columns take two of them each.
_WIDTHS = (6.0, 36.0, 53.0, 6.0, 27.0, 62.0)
_RULE_WIDTHS = (33.0, 157.0)
_RULE = Look(size=7, wrap=True, edges="b")
#: How much closer the rules stand than the lines of other sheets.
_CLOSER_POINTS = 1.5
_TEXT = Look(size=7, wrap=True, down="top", edges="b")
#: What is kept clear under the line of a title, in points.
_CLEAR_POINTS = 2.0
#: What each file of a set answers.
_ANSWERS = {
    "no_stop": "no-stop limits and repetitive groups",
    "equivalent_depth": "equivalent depth at altitude, computed",
    "no_stop_one_foot": "no-stop limits in one-foot steps",
    "residual": "residual nitrogen time",
    "residual_one_foot": "residual nitrogen time in one-foot steps",
    "intervals": "surface interval credit",
    "stops": "decompression stops",
}


def tables_used(plan: Plan, tables: TableSet) -> dict[str, str]:
    """The tables behind a plan's dives, as their publisher calls them, and what each answers.

    Intervals and residual times always stand behind the standby's minutes.
    """
    used = {part.strip() for d in plan.dives for e in d.divers for part in e.schedule.table.split(",")}
    if used:
        used |= {tables.called[file] for file in ("intervals", "residual") if file in tables.called}
    answers: dict[str, list[str]] = {"equivalent depth": [_ANSWERS["equivalent_depth"]]}
    for file, called in tables.called.items():
        if file in _ANSWERS:
            answers.setdefault(called, []).append(_ANSWERS[file])
    return {called: ", ".join(answers.get(called, [])) for called in sorted(used)}


def to_tick(job: Job, air: AirReport) -> tuple[str, ...]:
    """Everything the program could not check, for a person to tick before the plan is used.

    Sentences that differ only by the outfit they name are joined into one, the outfits in the job's order.
    """
    joined: dict[str, list[str]] = {}
    for sentence in (*unchecked(job), *air.to_tick):
        names = [o.name for o in job.outfits if re.search(rf"(?<!\w){re.escape(o.name)}(?!\w)", sentence)]
        key = sentence.replace(names[0], "\0") if len(names) == 1 else sentence
        joined.setdefault(key, []).extend(names[:1] if len(names) == 1 else [])
    return tuple(
        key.replace("\0", ", ".join(o.name for o in job.outfits if o.name in names))
        for key, names in joined.items()
    )


def write_sources(bill: Bill) -> None:
    """Add the sheet *Cautions and sources* to the book."""
    plan, job = bill.plan, bill.job
    sheet = bill.printed.sheet("Cautions and sources", _WIDTHS)
    sheet.words(f"{CAUTION} {SUBJECT_TO}", Look(size=10, bold=True))
    _ticks(sheet, to_tick(job, bill.air))
    opened_from = bill.opened_from or "Not known: the job was not read from a workbook."
    _title(sheet, "Where the job came from", "b")
    sheet.words(opened_from)
    searched = f"searched {plan.seconds:.1f} s with {plan.workers} workers, seed {plan.seed}"
    stages = [(stage.name, stage_words(stage, job)) for stage in plan.stages]
    stages.append(("status", f"{plan.status.value}; {searched}"))
    titles: tuple[str, ...] = ("Stage, most pressing first", "Value and what is proven")
    _section(sheet, "How good the plan is", titles, stages)
    if plan.dives:
        source = f"{job.tables.printed}; {job.tables.head.publisher}"
        used = [(called, what, source) for called, what in tables_used(plan, job.tables).items()]
        _section(sheet, "Decompression tables used", ("Table", "What for", "Source"), used)
    titles = ("Duty", "How many, and when", "Source")
    _section(sheet, "Least crew of this job", titles, _team(job))
    sheet.freeze()
    sheet.end()


def write_rules(bill: Bill) -> None:
    """Add the sheet *Rules* to the book: every rule the plan was checked by, in full."""
    sheet = bill.printed.sheet("Rules", _RULE_WIDTHS)
    cells = [("Rule", 1, HEAD), ("What must hold; source, ground it stands on", 1, HEAD)]
    sheet.line(cells, 13)
    sheet.title_rows = sheet.row - 1
    for rule in RULES.values():
        words = f"{rule.sentence} {_source(rule, bill.job.tables)}."
        with sheet.together():
            row = sheet.row
            sheet.line([(rule.id, 1, _RULE.but(bold=True)), (words, 1, _RULE)], 0)
            sheet.tall(row, sheet.height_mm(row, row) * POINTS_PER_MM - _CLOSER_POINTS)
    sheet.freeze()
    sheet.end()


def _title(sheet: PrintedSheet, title: str, edges: str = "") -> None:
    sheet.gap(4)
    sheet.across(title, Look(size=11, bold=True, edges=edges, heavy=edges), 14)
    if edges:
        # what follows stands clear of the line
        sheet.gap(_CLEAR_POINTS)


def _section(
    sheet: PrintedSheet, title: str, titles: tuple[str, ...], rows: Iterable[tuple[str, ...]]
) -> None:
    """A section; its title and column titles stay on one page with the first of its rows."""
    start = sheet.row
    _title(sheet, title)
    sheet.line([(words, 2, HEAD) for words in titles], 13)
    for name, *rest in rows:
        cells: list[Cell] = [(name, 2, _TEXT.but(bold=True))]
        cells += [(words, 4 // len(rest), _TEXT) for words in rest]
        sheet.line(cells, 0)
        sheet.keep_together(start, sheet.row - 1)
        start = sheet.row


def _ticks(sheet: PrintedSheet, sentences: tuple[str, ...]) -> None:
    _title(sheet, "Not checked by the program: for a person to tick", "b")
    box, tick = Look(size=11, across="center", down="top"), Look(size=8.5, wrap=True, down="top", edges="b")
    half = -(-len(sentences) // 2)
    for two in zip_longest(sentences[:half], sentences[half:]):
        cells = [cell for words in two if words for cell in (("☐", 1, box), (words, 2, tick))]
        with sheet.together():
            sheet.line(cells)


def _source(rule: Rule, tables: TableSet) -> str:
    """A rule's source with the ground it stands on, where the source does not say so itself."""
    basis = str(rule.basis.value)
    source = rule.source_by(tables)
    return source if basis in source else f"{source} ({basis})"


def _team(job: Job) -> list[tuple[str, ...]]:
    """The rows of least crew as this job has them, with who changed what."""
    rows: list[tuple[str, ...]] = []
    for need in job.rules.asked_rows:
        when = [f"{need.count} a diver in the water" if need.per_diver else f"{need.count} a station"]
        when += row_holds_words(need, job.site.units)
        changed = f"; changed by {need.changed_by}" if need.changed_by else ""
        rows.append((need.duty, ", ".join(when), need.source + changed))
    rows += [
        (row.duty, f"holds a valid {row.certificate}", row.source) for row in job.rules.duty_certificates
    ]
    return rows
