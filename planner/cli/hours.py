"""The command ``hours``: jobs with their plans in, the office's files out."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from planner import CAUTION, check, read_plan
from planner.check.rule import SUBJECT_TO
from planner.cli.arguments import open_job, tell_faults, written_to
from planner.cli.pay_book import read_pay_rules
from planner.errors import InputFaults
from planner.files import write_together, write_whole
from planner.hours.office_files import call_files, hours_csv, payroll_csv
from planner.hours.pay_rules import EXAMPLE_RULES, PayRules, pay_rules_csv
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.worked import WorkedRecord, from_plan
from planner.job import Job
from planner.sheets.dive_record_book import dive_record_book
from planner.sheets.hours_book import hours_book
from planner.words.measures import hours_minutes

WRITTEN, BREACHES = 0, 1

#: Names of the files that are written.
HOURS_BOOK, RECORDS_BOOK = "hours.xlsx", "dive_records.xlsx"
HOURS_FILE, PAYROLL_FILE, RULES_FILE = "hours.csv", "payroll.csv", "pay_rules.csv"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``hours JOB.xlsx PLAN.json [JOB2.xlsx PLAN2.json …] [--logged JOB] [--pay RULES] [--out DIR]``."""
    parser.add_argument(
        "files",
        type=Path,
        nargs="*",
        metavar="JOB.xlsx PLAN.json",
        help="a job workbook and its plan; further pairs make a week",
    )
    parser.add_argument(
        "--logged",
        action="append",
        default=[],
        metavar="JOB NAME",
        help="issued days of this job, by the day log where there is one; may be repeated",
    )
    parser.add_argument("--db", metavar="URL", help="the store to read them from (the usual one)")
    parser.add_argument("--pay", type=Path, metavar="RULES", help="pay rules, .csv or .xlsx")
    parser.add_argument(
        "--write-pay", type=Path, metavar="RULES.csv", help="write the example pay rules to start from"
    )
    parser.add_argument(
        "--out", type=Path, default=Path("hours"), metavar="DIR", help="where the files go (hours)"
    )


def run(arguments: argparse.Namespace) -> int:
    """Read everything, write the files, print the sums; 0 when the files were written, 1 when a plan breaks a
    rule, 2 when an input cannot be used."""
    try:
        if arguments.write_pay is not None:
            _write(arguments.write_pay, pay_rules_csv(EXAMPLE_RULES))
            print(f"Wrote {arguments.write_pay}: examples, for the office's own rows.")
            if not arguments.files and not arguments.logged:
                return WRITTEN
        rules = EXAMPLE_RULES if arguments.pay is None else read_pay_rules(arguments.pay)
        pairs = [(open_job(job), plan) for job, plan in _pairs(arguments.files)]
        records = [record for name in arguments.logged for record in _logged_days(name, arguments.db)]
        for job, plan_path in pairs:
            record = _record(job, plan_path)
            if record is None:
                return BREACHES
            records.append(record)
        sheets = timesheets(records, rules)
        _write_all(sheets, arguments.out, rules)
    except InputFaults as found:
        return tell_faults(found, "no hours were written")
    for line in summary_lines(sheets):
        print(line)
    out = arguments.out
    files = ", ".join((HOURS_BOOK, RECORDS_BOOK, HOURS_FILE, PAYROLL_FILE))
    print(f"Wrote {out}/: {files}, {len(sheets.people)} call file(s).")
    print(f"{CAUTION} {SUBJECT_TO}")
    return WRITTEN


def summary_lines(sheets: Timesheets) -> list[str]:
    """The sums for a terminal: a line a person a week, rest breaches, notes."""
    wide = max((len(w.person) for w in sheets.weeks), default=6)
    pay = f"pay {sheets.rules.currency}"
    lines = [
        sheets.basis_sentence,
        f"{'person':<{wide}}  week from   worked  overtime  bottom  dives  {pay:>12}",
    ]
    rows = [
        (w.person, w.starts.isoformat(), w.worked_min, w.overtime_min, w.shifts, w.pay) for w in sheets.weeks
    ]
    rows.append(("all", "", sheets.worked_min, sheets.overtime_min, sheets.shifts, sheets.pay))
    for name, starts, worked, overtime, shifts, money in rows:
        lines.append(
            f"{name:<{wide}}  {starts:<10}  {hours_minutes(worked):>6}  {hours_minutes(overtime):>8}  "
            f"{sum(s.bottom_min for s in shifts):>6}  {sum(s.dives for s in shifts):>5}  {money:>12,.2f}"
        )
    for person, breach in sheets.rest:
        lines.append(f"[{breach.rule}] {person}: {sheets.rest_words(breach)}")
    return [*lines, *sheets.notes]


def _pairs(files: Sequence[Path]) -> list[tuple[Path, Path]]:
    """Job workbooks, each with the plan that follows it."""
    pairs: list[tuple[Path, Path]] = []
    waiting: Path | None = None

    def unpaired(path: Path, told: str) -> InputFaults:
        return InputFaults.one(path.name, path.name, "JOB.xlsx PLAN.json, pair after pair", told)

    for path in files:
        if path.suffix.casefold() == ".json":
            if waiting is None:
                raise unpaired(path, "No job workbook stands before this plan.")
            pairs.append((waiting, path))
            waiting = None
        elif waiting is not None:
            break
        else:
            waiting = path
    if waiting is not None:
        raise unpaired(waiting, "No plan follows this job: make one with python -m planner plan.")
    return pairs


def _record(job: Job, path: Path) -> WorkedRecord | None:
    """The hours of a plan; None when the plan breaks a rule, which is printed."""
    plan = read_plan(path, job)
    breaches = check(job, plan)
    if breaches:
        print(f"{path.name} breaks {len(breaches)} rule(s), so no hours are made from it:")
        for breach in breaches:
            print(f"  {breach}")
        return None
    return from_plan(plan, job)


def _write_all(sheets: Timesheets, out: Path, rules: PayRules) -> None:
    with written_to(out):
        out.mkdir(parents=True, exist_ok=True)
        write_together({out / HOURS_BOOK: hours_book(sheets), out / RECORDS_BOOK: dive_record_book(sheets)})
    texts = {HOURS_FILE: hours_csv(sheets), PAYROLL_FILE: payroll_csv(sheets)}
    files: dict[str, str | bytes] = {**texts, RULES_FILE: pay_rules_csv(rules), **call_files(sheets)}
    for name, content in files.items():
        _write(out / name, content)


def _write(path: Path, content: str | bytes) -> None:
    """Write a file; a text with a byte order mark, so that a spreadsheet program takes it for UTF-8."""
    with written_to(path):
        write_whole(content.encode("utf-8-sig") if isinstance(content, str) else content, path)


def _logged_days(name: str, url: str | None) -> Sequence[WorkedRecord]:
    """The issued days of a job from the store; a refusal becomes a fault of the input."""
    from planner.store.database import StoreRefused, default_url
    from planner.store.recording import worked_days
    from planner.store.store import Store

    try:
        with Store(url or default_url()) as store:
            return worked_days(store, name)
    except StoreRefused as refused:
        raise InputFaults.one("--logged", name, "a job with issued days", str(refused)) from refused
