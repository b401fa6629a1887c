"""The command ``hours``: files of several days in, the office's files out; and the hours of a logged day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from openpyxl import load_workbook

from planner import CAUTION
from planner.cli.main import main
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.hours.timesheets import timesheets
from planner.hours.worked import CHAMBER_WATCH, from_log, from_plan
from planner.log.day_log import ActualDay, DayLog, Kind, Written
from planner.plan import to_json
from planner.store.recording import issue_watchbill, record, worked_days
from planner.store.store import Store
from tests.workbook.job_files import workbook_of
from tests.world.logged import as_planned
from tests.world.quay import a_plan, with_air

JOB = with_air()
PLAN = a_plan()


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    """A job workbook and its plan."""
    book, plan = tmp_path / "job.xlsx", tmp_path / "plan.json"
    book.write_bytes(workbook_of(JOB))
    plan.write_text(to_json(PLAN, JOB), encoding="utf-8")
    return str(book), str(plan)


def test_one_day_makes_all_files(
    files: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Workbook, dive records, CSV, pay rules and a calendar file for everybody with hours."""
    out = tmp_path / "out"
    assert main(["hours", *files, "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "as planned, not as worked" in said and CAUTION in said
    names = {p.name for p in out.iterdir()}
    assert {"hours.xlsx", "dive_records.xlsx", "hours.csv", "pay_rules.csv"} <= names
    people = {s.person for s in PLAN.duties}
    assert sum(n.endswith(".ics") for n in names) == len(people)
    assert load_workbook(out / "hours.xlsx").sheetnames[0] == "Summary"
    divers = {d.person for dive in PLAN.dives for d in dive.divers}
    assert len(load_workbook(out / "dive_records.xlsx").sheetnames) == len(divers)


def test_two_days_make_a_week_and_one_day_twice_is_refused(
    files: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same job a day later adds up; the same day again is refused by its date."""
    later = JOB.replace(site=JOB.site.replace(first_day=date.fromordinal(JOB.site.first_day.toordinal() + 1)))
    book, plan = tmp_path / "later.xlsx", tmp_path / "later.json"
    book.write_bytes(workbook_of(later))
    plan.write_text(to_json(PLAN, later), encoding="utf-8")
    out = tmp_path / "out"
    assert main(["hours", *files, str(book), str(plan), "--out", str(out)]) == 0
    one = timesheets([from_plan(PLAN, JOB)], EXAMPLE_RULES)
    both = timesheets([from_plan(PLAN, JOB), from_plan(PLAN, later)], EXAMPLE_RULES)
    assert both.worked_min == 2 * one.worked_min
    capsys.readouterr()
    assert main(["hours", *files, *files, "--out", str(out)]) == 2
    assert f"{JOB.site.first_day.isoformat()} is there twice" in capsys.readouterr().out


def test_a_plan_that_breaks_a_rule_makes_no_hours(
    files: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Status 1, the rules by id, and no file."""
    Path(files[1]).write_text(to_json(PLAN.replace(duties=PLAN.duties[1:]), JOB), encoding="utf-8")
    out = tmp_path / "out"
    assert main(["hours", *files, "--out", str(out)]) == 1
    assert "breaks" in capsys.readouterr().out
    assert not out.exists()


def test_files_out_of_order_and_missing(
    files: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A job without a plan, a plan without a job, no file at all, and a file that is not there."""
    book, plan = files
    for given, words in (
        ([book], "No plan follows this job"),
        ([plan], "No job workbook stands before"),
        ([], "nothing to make timesheets from"),
        ([book, str(tmp_path / "none.json")], "cannot be read"),
        ([book, plan, "--pay", str(tmp_path / "none.csv")], "cannot be opened"),
    ):
        assert main(["hours", *given, "--out", str(tmp_path / "out")]) == 2
        assert words in capsys.readouterr().out


def test_the_example_rules_are_written_and_read_back(
    files: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``--write-pay`` writes what ``--pay`` reads; a gap put into the bands is then refused."""
    rules = tmp_path / "rules.csv"
    assert main(["hours", "--write-pay", str(rules)]) == 0
    assert main(["hours", *files, "--pay", str(rules), "--out", str(tmp_path / "out")]) == 0
    rules.write_text(
        rules.read_text(encoding="utf-8-sig").replace("depth premium,,100,", "depth premium,,110,")
    )
    capsys.readouterr()
    assert main(["hours", *files, "--pay", str(rules), "--out", str(tmp_path / "out")]) == 2
    assert "gap between 100 and 110" in capsys.readouterr().out


def _logged(late_min: int) -> DayLog:
    """Dive 1 as it was made: every time as planned, and the surface reached later."""
    when, entries = JOB.clock.origin, as_planned(PLAN.dives[0], late_min)
    return DayLog(tuple(Written(n, entry, when, "Ana") for n, entry in enumerate(entries, start=1)))


def test_a_logged_day_has_the_hours_of_the_log() -> None:
    """Seven minutes later at the surface are seven minutes more for the diver, and the hours say "log"."""
    dive = PLAN.dives[0]
    person = dive.divers[0].person
    on_time, late = (from_log(ActualDay(JOB, PLAN, _logged(n))) for n in (0, 7))
    assert late.from_log

    def end(found: object) -> int:
        return max(s.end_min for s in found.spells if s.person == person and s.duty == "diver")  # type: ignore[attr-defined]

    assert end(late) == end(on_time) + 7
    (known,) = [d for d in late.dives if d.row.person == person]
    assert known.dive.reach_surface_min == dive.reach_surface_min + 7
    sheets = timesheets([late], EXAMPLE_RULES)
    assert sheets.from_log and "day log" in sheets.basis_sentence


def test_a_dive_without_an_end_in_the_log_is_told() -> None:
    """A dive still in the water by the log counts to the end of the day, and the timesheets say so."""
    whole = _logged(0)
    half = DayLog(tuple(w for w in whole.written if w.entry.kind is not Kind.REACH_SURFACE))
    done, unfinished = (
        timesheets([from_log(ActualDay(JOB, PLAN, log))], EXAMPLE_RULES) for log in (whole, half)
    )
    told = [note for note in unfinished.notes if f"dive {PLAN.dives[0].id} " in note]
    assert len(told) == 1 and "reached the surface" in told[0]
    assert not any("reached the surface" in note for note in done.notes)


def test_issued_days_come_from_the_log_where_there_is_one(tmp_path: Path) -> None:
    """An issued day counts as planned until a dive is logged, then as logged."""
    with Store(f"sqlite:///{tmp_path / 'store.db'}") as store:
        issue_watchbill(store, JOB, PLAN, "Ana")
        (planned,) = worked_days(store)
        assert not planned.from_log
        for written in _logged(0).written:
            record(store, JOB, PLAN, written.entry, "Ana", now=JOB.clock.at(written.entry.at_min))
        (logged,) = worked_days(store, JOB.site.name)
        assert logged.from_log


def test_the_hour_by_the_chamber_is_work() -> None:
    """After a dive outside the no-stop limits the diver's hour near the chamber is time worked.

    Source: 29 CFR 1910.423(b)(2); that it is paid work: common practice.
    """
    dive = PLAN.dives[0]
    rows = tuple(d.replace(schedule=d.schedule.replace(way_up="in-water air")) for d in dive.divers)
    deco = PLAN.replace(dives=(dive.replace(divers=rows), *PLAN.dives[1:]))
    watches = [s for s in from_plan(deco, JOB).spells if s.duty == CHAMBER_WATCH]
    assert [(w.person, w.start_min, w.end_min) for w in watches] == [
        (d.person, dive.reach_surface_min, dive.reach_surface_min + 60) for d in dive.divers
    ]
