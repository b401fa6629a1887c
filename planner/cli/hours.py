"""The command ``hours``: jobs with their plans in, the office's files out."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from planner import CAUTION
from planner.check import check
from planner.check.rule import SUBJECT_TO
from planner.errors import Fault, InputFaults
from planner.hours.office_files import call_files, flat_csv
from planner.hours.pay_rules import EXAMPLE_RULES, PayRules, pay_rules_csv, read_pay_rules
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.worked import WorkedRecord, from_plan
from planner.job import Job
from planner.plan import from_json

if TYPE_CHECKING:
    # argparse keeps this class private; it is what `add_subparsers` returns
    Subparsers = argparse._SubParsersAction[argparse.ArgumentParser]

ReadJob = Callable[[Path], Job]
WriteBook = Callable[[Timesheets, Path], None]
#: Job name and address of the store (None: the usual one) → the hours of its issued days.
ReadLogged = Callable[[str, str | None], Sequence[WorkedRecord]]

WRITTEN, BREACHES, FAULTS = 0, 1, 2

#: Names of the files that are written.
HOURS_BOOK, RECORDS_BOOK, FLAT_FILE, RULES_FILE = (
    "hours.xlsx",
    "dive_records.xlsx",
    "hours.csv",
    "pay_rules.csv",
)


def add_hours_command(
    subparsers: Subparsers,
    read_job: ReadJob,
    write_book: WriteBook,
    write_records: WriteBook,
    read_logged: ReadLogged | None = None,
) -> None:
    """Add ``hours JOB.xlsx PLAN.json [JOB2.xlsx PLAN2.json …] [--logged JOB] [--pay RULES] [--out DIR]``.

    The parsed arguments get ``run``, which returns the exit status: 0 when the files were written, 1 when a
    plan breaks a rule, 2 when an input cannot be used.

    Parameters
    ----------
    subparsers
        What ``ArgumentParser.add_subparsers`` returned.
    read_job
        Reads a job workbook; raises `InputFaults`.
    write_book, write_records
        Write the hours workbook and the dive records to a path.
    read_logged
        Reads the issued days of a job from a store, by the day log where there is one; without it the
        option ``--logged`` is not there.
    """
    parser = subparsers.add_parser(
        "hours", help="timesheets, premiums, call times and dive records of one or several days"
    )
    parser.add_argument(
        "files",
        type=Path,
        nargs="*",
        metavar="JOB.xlsx PLAN.json",
        help="a job workbook and its plan; further pairs make a week",
    )
    if read_logged is not None:
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
    parser.set_defaults(
        run=lambda arguments: run_hours(
            arguments.files,
            arguments.out,
            read_job,
            write_book,
            write_records,
            pay=arguments.pay,
            write_pay=arguments.write_pay,
            logged=lambda: [
                record
                for name in getattr(arguments, "logged", [])
                if read_logged is not None
                for record in read_logged(name, arguments.db)
            ],
        )
    )


def run_hours(
    files: Sequence[Path],
    out: Path,
    read_job: ReadJob,
    write_book: WriteBook,
    write_records: WriteBook,
    *,
    pay: Path | None = None,
    write_pay: Path | None = None,
    logged: Callable[[], Sequence[WorkedRecord]] = tuple,
) -> int:
    """Read everything, write the files, print the sums; returns the exit status."""
    try:
        if write_pay is not None:
            _write(write_pay, pay_rules_csv(EXAMPLE_RULES).encode("utf-8-sig"))
            print(f"Wrote {write_pay}: examples, for the office's own rows.")
            if not files and not logged():
                return WRITTEN
        rules = read_pay_rules(pay) if pay is not None else EXAMPLE_RULES
        pairs = [(read_job(job), plan) for job, plan in _pairs(files)]
        records = [*logged()]
        for job, plan_path in pairs:
            record = _record(job, plan_path)
            if record is None:
                return BREACHES
            records.append(record)
        sheets = timesheets(records, rules)
        _write_all(sheets, out, rules, write_book, write_records)
    except InputFaults as found:
        print(f"{len(found.faults)} fault(s) in what was given; no hours were written.")
        for fault in found.faults:
            print(f"  {fault}")
        return FAULTS
    for line in summary_lines(sheets):
        print(line)
    print(f"Wrote {out}/: {HOURS_BOOK}, {RECORDS_BOOK}, {FLAT_FILE}, {len(sheets.people)} call file(s).")
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
    for week in sheets.weeks:
        lines.append(
            f"{week.person:<{wide}}  {week.starts}  {_clock(week.worked_min):>6}  "
            f"{_clock(week.overtime_min):>8}  {sum(d.bottom_min for d in week.days):>6}  "
            f"{sum(d.dives for d in week.days):>5}  {week.pay:>12,.2f}"
        )
    lines.append(
        f"{'all':<{wide}}  {'':<10}  {_clock(sheets.worked_min):>6}  {_clock(sheets.overtime_min):>8}  "
        f"{sum(d.bottom_min for d in sheets.days):>6}  {sum(d.dives for d in sheets.days):>5}  "
        f"{sheets.pay:>12,.2f}"
    )
    for person, breach in sheets.rest:
        words = breach.sentence(lambda minute: sheets.clock.hhmm(minute, with_day=True))
        lines.append(f"[{breach.rule}] {person}: {words}")
    return [*lines, *sheets.notes]


def _clock(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"


def _pairs(files: Sequence[Path]) -> list[tuple[Path, Path]]:
    """Job workbooks, each with the plan that follows it."""
    pairs: list[tuple[Path, Path]] = []
    waiting: Path | None = None
    allowed = "JOB.xlsx PLAN.json, pair after pair"
    for path in files:
        if path.suffix.casefold() == ".json":
            if waiting is None:
                raise InputFaults(
                    [Fault(path.name, path.name, allowed, "No job workbook stands before this plan.")]
                )
            pairs.append((waiting, path))
            waiting = None
        elif waiting is not None:
            break
        else:
            waiting = path
    if waiting is not None:
        raise InputFaults(
            [
                Fault(
                    waiting.name,
                    waiting.name,
                    allowed,
                    "No plan follows this job: make one with python -m planner plan.",
                )
            ]
        )
    return pairs


def _record(job: Job, path: Path) -> WorkedRecord | None:
    """The hours of a plan; None when the plan breaks a rule, which is printed."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as wrong:
        raise InputFaults(
            [Fault(path.name, "", "a plan as JSON in UTF-8", "The plan file cannot be read.")]
        ) from wrong
    plan = from_json(text, job)
    breaches = check(job, plan)
    if breaches:
        print(f"{path.name} breaks {len(breaches)} rule(s), so no hours are made from it:")
        for breach in breaches:
            print(f"  {breach}")
        return None
    return from_plan(plan, job)


def _write_all(
    sheets: Timesheets, out: Path, rules: PayRules, write_book: WriteBook, write_records: WriteBook
) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
        write_book(sheets, out / HOURS_BOOK)
        write_records(sheets, out / RECORDS_BOOK)
    except OSError as wrong:
        raise _unwritable(out, wrong) from wrong
    # a byte order mark, so that a spreadsheet program takes the text for UTF-8
    _write(out / FLAT_FILE, flat_csv(sheets).encode("utf-8-sig"))
    _write(out / RULES_FILE, pay_rules_csv(rules).encode("utf-8-sig"))
    for name, content in call_files(sheets).items():
        _write(out / name, content)


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as wrong:
        raise _unwritable(path, wrong) from wrong


def _unwritable(path: Path, wrong: OSError) -> InputFaults:
    reason = wrong.strerror or "it cannot be written"
    return InputFaults(
        [Fault(str(path), "", "a place that can be written", f"Nothing was written: {reason}.")]
    )
