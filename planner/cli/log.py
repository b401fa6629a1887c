"""The command ``log``: jobs and issued watchbills in the store, the day log, replanning, tomorrow."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

from pydantic import ValidationError

from planner import CAUTION, plan, read_plan, write_job
from planner.check.rule import SUBJECT_TO
from planner.cli.arguments import (
    add_days_option,
    add_paper_options,
    open_job,
    seconds,
    sheets_there,
    tell_faults,
)
from planner.errors import InputFaults
from planner.files import Content, write_together
from planner.job.base import MINUTES_A_DAY, parse_wall
from planner.job.job import Job
from planner.log.before_after import changes, work_changes
from planner.log.before_issue import CARD_LABELS, all_to_tick, card_lacks, emergency_card
from planner.log.day_log import ActualDay, Entry, Kind
from planner.log.replan import replan
from planner.log.tomorrow import next_day
from planner.log.wording import day_text, entry_text, written_text
from planner.store.database import StoreRefused
from planner.store.recording import (
    issue_replanned,
    issue_watchbill,
    minute_now,
    minute_of_press,
    read_log,
    record,
)
from planner.store.records import Issued, IssuedLine
from planner.store.store import Store
from planner.whatif.spread import spread_of

DONE, REFUSED = 0, 1

#: What an action does in the store; its exit status.
Work = Callable[[argparse.Namespace, Store], int]

#: Kinds that are entered by their own words; taking back has an option of its own.
KINDS = {kind.value.replace(" ", "-"): kind for kind in Kind if kind is not Kind.TAKEN_BACK}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``log …``: each action has a ``run`` of its own."""
    parser.add_argument("--db", metavar="URL", help="the store: a file or a database URL (this user's store)")
    parser.add_argument("--job", metavar="NAME", help="the job's name (the one issued last)")
    parser.add_argument("--day", type=date.fromisoformat, metavar="YYYY-MM-DD", help="its first day")
    parser.add_argument("--by", default="", metavar="NAME", help="who writes or issues")
    actions = parser.add_subparsers(required=True, metavar="ACTION")

    def action(name: str, work: Work, told: str) -> argparse.ArgumentParser:
        own = actions.add_parser(name, help=told)
        own.set_defaults(work=work)
        return own

    issue = action("issue", _issue, "issue a checked plan: frozen with its job and a hash")
    issue.add_argument("workbook", type=Path, metavar="JOB.xlsx")
    issue.add_argument("plan", type=Path, metavar="PLAN.json")
    issue.add_argument("--ticked", action="store_true", help="the person in charge has ticked the whole list")
    issue.add_argument("--reason", default="", help="why there is a new revision")
    add_paper_options(issue)
    add_days_option(issue)

    card = action("card", _card, "the emergency card: fill its lines, see what is missing")
    for name, label in CARD_LABELS.items():
        card.add_argument(f"--{name}", metavar="TEXT", help=label)

    action("list", _list, "jobs and issued watchbills in the store")
    reprint = action("reprint", _reprint, "write an issued watchbill again, as it was issued")
    reprint.add_argument("out", type=Path, metavar="DIR")
    reprint.add_argument("--revision", type=int, metavar="N", help="the latest when left out")

    add = action("add", _add, "log what happened")
    add.add_argument("kind", choices=sorted(KINDS))
    _entry_options(add)
    add.add_argument("--corrects", type=int, metavar="N", help="stands in for entry N")
    back = action("take-back", _take_back, "take an entry back; it stays in the log, struck")
    back.add_argument("number", type=int, metavar="N")

    action("show", _show, "the log, and what applies now")
    again = action("replan", _replan, "plan the rest of the day anew")
    again.add_argument("--seconds", type=seconds(86_400), default=7.0, help="time for the search (7)")
    again.add_argument("--issue", action="store_true", help="issue it as the next revision")
    again.add_argument("--reason", default="replanned", help="why")
    add_days_option(again)
    following = action("tomorrow", _tomorrow, "the next day's job as a workbook")
    following.add_argument("out", type=Path, metavar="JOB.xlsx")


def _entry_options(parser: argparse.ArgumentParser) -> None:
    """What an entry says, each under the name of its field."""
    parser.add_argument("--at", metavar="HH:MM", help="when it happened (now)")
    parser.add_argument("--dive", metavar="ID")
    parser.add_argument("--person", action="append", default=[], dest="people", metavar="NAME")
    parser.add_argument("--duty")
    parser.add_argument("--item")
    parser.add_argument("--station")
    parser.add_argument("--depth", type=int, dest="depth_fsw", metavar="FSW")
    parser.add_argument("--thing", help="outfit or air source")
    parser.add_argument("--step", metavar="ID", help="hold point: the bench step; --person signs it")
    parser.add_argument("--done-by", action="append", default=[], metavar="NAME", help="who did the step")
    parser.add_argument("--pressure", type=float, dest="pressure_psi", metavar="PSI")
    parser.add_argument("--hours", type=float, dest="hours_run", metavar="HOURS", help="hour meter")
    parser.add_argument("--minutes", type=int)
    parser.add_argument("--text", default="")


def run(arguments: argparse.Namespace) -> int:
    """Do what the action says; 0 done, 1 the store refused, 2 what was given cannot be used."""
    try:
        with Store(arguments.db) as store:
            status: int = arguments.work(arguments, store)
    except StoreRefused as refused:
        print(refused, file=sys.stderr)
        return REFUSED
    except InputFaults as found:
        return tell_faults(found, "nothing was stored", "fault(s)", sys.stderr)
    print(f"{CAUTION} {SUBJECT_TO}")
    return status


def _opened(arguments: argparse.Namespace, store: Store) -> Issued:
    """The issued day that a command speaks of."""
    lines = [
        line
        for line in store.latest_issued()
        if arguments.job in (None, line.name) and arguments.day in (None, line.day)
    ]
    if not lines:
        raise StoreRefused("No watchbill was issued for that job and day: issue one first.")
    return store.open_issued(lines[0].name, lines[0].day)


def _issue(arguments: argparse.Namespace, store: Store) -> int:
    sources: list[str] = []
    job = open_job(arguments.workbook, came_from=sources.append)
    sheets_there(arguments, job)
    spread = spread_of(arguments.days)
    plan = read_plan(arguments.plan, job)
    lacks = card_lacks(store.card(job.site.name))
    if lacks:
        print(f"{lacks} Fill it with: log --job '{job.site.name}' --by NAME card --chamber TEXT …")
    ticks = all_to_tick(job, plan)
    if lacks or not arguments.ticked:
        print("For the person in charge to tick before issuing:")
        for _, sentence in ticks:
            print(f"  [ ] {sentence}")
        print("Nothing was issued. With all of it settled: the same command with --ticked.")
        return REFUSED
    ticked = tuple(sentence for _, sentence in ticks)
    line = issue_watchbill(
        store,
        job,
        plan,
        arguments.by,
        ticked=ticked,
        reason=arguments.reason,
        opened_from=sources[0],
        paper=arguments.paper,
        sheets=arguments.sheets,
        spread=spread,
    )
    print(f"Issued: {_told(line)}")
    return DONE


def _card(arguments: argparse.Namespace, store: Store) -> int:
    name = arguments.job or _opened(arguments, store).line.name
    filled = store.card(name)
    typed = {line: text for line in CARD_LABELS if (text := getattr(arguments, line)) is not None}
    if typed:
        filled = {line: text for line, text in {**filled, **typed}.items() if text.strip()}
        store.save_card(name, filled, arguments.by)
    for line in emergency_card(filled):
        print(f"{line.label}: {line.filled or 'MISSING'}")
    return REFUSED if card_lacks(filled) else DONE


def _told(line: IssuedLine) -> str:
    reason = f" ({line.reason})" if line.reason else ""
    return (
        f"{line.name}, {line.day.isoformat()}, revision {line.revision}{reason}, by {line.issued_by}, "
        f"{line.issued_at:%Y-%m-%d %H:%M} UTC, SHA-256 {line.sha256[:16]}…"
    )


def _list(arguments: argparse.Namespace, store: Store) -> int:
    for job in store.jobs():
        print(f"{job.name}: {job.versions} version(s), last saved by {job.saved_by}")
    names = dict.fromkeys(line.name for line in store.latest_issued())
    for name in names:
        for line in store.issued(name):
            print(f"  issued: {_told(line)}")
    if not names:
        print("No watchbill has been issued.")
    return DONE


def _reprint(arguments: argparse.Namespace, store: Store) -> int:
    day = _opened(arguments, store)
    found = store.open_issued(day.line.name, day.line.day, arguments.revision)
    arguments.out.mkdir(parents=True, exist_ok=True)
    stem = f"{found.line.day.isoformat()}_revision_{found.line.revision}"
    parts: dict[str, Content] = {"plan.json": found.plan_json, "check.txt": found.check_report}
    if found.printed:
        parts["watchbill.xlsx"] = found.printed
    write_together({arguments.out / f"{stem}_{name}": content for name, content in parts.items()})
    print(f"Written to {arguments.out}: {_told(found.line)}")
    return DONE


def _add(arguments: argparse.Namespace, store: Store) -> int:
    day, kind = _opened(arguments, store), KINDS[arguments.kind]
    try:
        at_min = _when(arguments.at, kind, day)
        typed = {name: value for name, value in vars(arguments).items() if name in Entry.model_fields}
        entry = Entry.model_validate({**typed, "kind": kind, "at_min": at_min})
    except ValidationError as wrong:
        first = wrong.errors()[0]
        what = str(first["loc"][0]) if first["loc"] else "entry"
        found = repr(first.get("input"))
        raise InputFaults.one(what, found, "see log add --help", f"{first['msg']}.") from wrong
    except ValueError as wrong:
        raise InputFaults.one("--at", str(arguments.at), "a time such as 09:11", f"{wrong}.") from wrong
    return _stored(store, day, entry, arguments.by, arguments.corrects)


def _when(typed: str | None, kind: Kind, day: Issued) -> int:
    """The minute typed, or that of a press right now; ValueError when now is none of the job's days."""
    if typed is not None:
        return day.job.clock.minute_on(day.line.day, parse_wall(typed))
    at_min = minute_of_press(kind, day.job)
    first, last = day.job.day_windows[0].start_min, day.job.day_windows[-1].end_min
    if not first - MINUTES_A_DAY <= at_min <= last + MINUTES_A_DAY:
        raise ValueError("Give --at HH:MM: today is none of the days of this watchbill")
    return at_min


def _take_back(arguments: argparse.Namespace, store: Store) -> int:
    day = _opened(arguments, store)
    old = read_log(store, day.job).numbered(arguments.number)
    at_min = day.job.day_windows[0].start_min if old is None else old.entry.at_min
    entry = Entry(kind=Kind.TAKEN_BACK, at_min=at_min)
    return _stored(store, day, entry, arguments.by, arguments.number)


def _stored(store: Store, day: Issued, entry: Entry, by: str, corrects: int | None) -> int:
    found = record(store, day.job, day.plan, entry, by, corrects=corrects)
    print(f"Entry {found.written.number}: {entry_text(found.written.entry, day.job)}")
    for flag in found.flags:
        print(f"  !! {flag}")
    actual = ActualDay(day.job, day.plan, read_log(store, day.job))
    print(day_text(actual, max(minute_now(day.job), entry.at_min)))
    return DONE


def _show(arguments: argparse.Namespace, store: Store) -> int:
    day = _opened(arguments, store)
    log = read_log(store, day.job)
    print(_told(day.line))
    for written in log.written:
        print(f"  {written_text(written, log, day.job)}")
    print(day_text(ActualDay(day.job, day.plan, log), _now(day.job, log.entries)))
    return DONE


def _now(job: Job, entries: tuple[Entry, ...]) -> int:
    """The clock on the wall on the job's days; after them the last thing that was logged."""
    last = max((e.at_min for e in entries), default=job.day_windows[0].start_min)
    now = minute_now(job)
    return now if now <= job.day_windows[-1].end_min else last


def _replan(arguments: argparse.Namespace, store: Store) -> int:
    day = _opened(arguments, store)
    log = read_log(store, day.job)
    now = _now(day.job, log.entries)
    found = replan(
        day.job,
        day.plan,
        log,
        now,
        lambda job, seconds, ahead: plan(job, seconds=seconds, in_force=ahead),
        seconds=arguments.seconds,
    )
    made = {d.id for d in ActualDay(day.job, day.plan, log).dives}
    print(f"Replanned from {day.job.clock.hhmm(now)} in {found.seconds:.1f} s: {found.sentence}")
    print(f"  {found.changed.sentence}")
    for note in found.notes:
        print(f"  {note}")
    for work in work_changes(day.plan, found.whole, day.job):
        print(f"  {work.item}: {work.told}")
        if work.now_min < work.was_min:
            for reason in work.reasons:
                print(f"    {reason.sentence}")
    for change in changes(day.plan, found.whole, day.job, now, made):
        print(f"  {change.who}: {change.told}")
    for breach in found.breaches:
        print(f"  !! {breach}")
    if not arguments.issue:
        return DONE
    spread = spread_of(arguments.days)
    issued = issue_replanned(store, day.job, found, arguments.by, reason=arguments.reason, spread=spread)
    print(f"Issued: {_told(issued)}")
    return DONE


def _tomorrow(arguments: argparse.Namespace, store: Store) -> int:
    day = _opened(arguments, store)
    found = next_day(day.job, read_log(store, day.job), day.plan)
    write_job(found.job, arguments.out)
    print(f"Wrote {arguments.out}: {found.job.site.name}, {found.job.site.first_day.isoformat()}")
    for note in found.notes:
        print(f"  {note}")
    return DONE
