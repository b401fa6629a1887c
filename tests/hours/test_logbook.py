"""Logbooks: a diver's dives over all jobs of the store, added up again, on a page that prints clean."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from openpyxl import load_workbook

from planner import CAUTION
from planner.cli.main import main
from planner.files import write_whole
from planner.hours.logbook import Logbook, logbooks, runs_of_days
from planner.hours.worked import WorkedRecord
from planner.job import Job
from planner.sheets.logbook_book import logbook_book
from planner.store.recording import issue_watchbill, worked_days
from planner.store.recording import record as write_entry
from planner.store.store import Store
from tests.world.logged import as_planned
from tests.world.office import printed
from tests.world.quay import a_plan, with_air
from tests.world.worked_days import MONDAY, dive, record, spell

MADE = datetime(2027, 4, 1, 12, 0, tzinfo=UTC)
JOB, PLAN = with_air(), a_plan()


def _day(
    number: int, depth_fsw: int, *, job: str = "Made-up quay", zone: str = "Etc/UTC", **facts: object
) -> WorkedRecord:
    """A logged day, so many after the Monday: two dives of Ana, and Bo on deck."""
    return record(
        spell("Ana", "diver", "0800", "1200"),
        spell("Bo", "tender", "0800", "1200"),
        spell("Sue", "supervisor", "0800", "1200", dive="D1"),
        dives=(dive("Ana", depth_fsw, "0830", 31), dive("Ana", depth_fsw - 5, "1030", 17)),
        first_day=MONDAY + timedelta(days=number),
        days=1,
        job_name=job,
        time_zone=zone,
        from_log=True,
        **facts,
    )


def _season() -> list[WorkedRecord]:
    """Two jobs in two zones over a season, a day only planned, and a day to practise on."""
    return [
        *(_day(n, 60 + n) for n in (0, 1, 2, 9)),
        *(
            _day(n, 80, job="Other shore", zone="Asia/Tokyo", medicals={"Ana": date(2027, 3, 27)})
            for n in (11, 12, 13, 14)
        ),
        _day(20, 190).replace(from_log=False),
        _day(21, 190).replace(job_name="Made-up quay (practice)"),
    ]


def test_a_season_is_added_up_over_all_jobs() -> None:
    """Every figure added up again from the records by hand; plans and practice are no dives."""
    (ana,) = logbooks(reversed(_season()))
    real = [r for r in _season() if r.from_log and "practice" not in r.job_name]
    dives = [d.dive for r in real for d in r.dives]
    assert len(ana.dives) == len(dives) == 16
    assert ana.in_water_min == sum(d.reach_surface_min - d.leave_surface_min for d in dives) == 8 * (34 + 20)
    assert ana.bottom_min == 8 * (31 + 17)
    assert ana.greatest_depth_fsw == 80
    assert runs_of_days(ana.days) == runs_of_days(ana.dived_days) == (3, 1, 4)
    assert [d.left_at for d in ana.dives] == sorted(d.left_at for d in ana.dives)
    assert ana.dives[-1].left_at == datetime(2027, 3, 29, 10, 30, tzinfo=ZoneInfo("Asia/Tokyo"))
    assert (ana.medical_until, ana.medical_by) == (date(2027, 3, 27), "Other shore")
    assert "run out before the last dive" in ana.medical_words
    assert ana.dives[0].in_charge == "Sue"


def test_a_night_is_one_day_in_the_row() -> None:
    """Three nights over midnight are three days in a row, dived on the days after."""
    nights = [
        record(
            spell("Ana", "diver", "2200", "0400"),
            dives=(dive("Ana", 50, "2400", 20),),
            first_day=MONDAY + timedelta(days=n),
            days=1,
            from_log=True,
        )
        for n in range(3)
    ]
    (ana,) = logbooks(nights)
    assert ana.days == tuple(MONDAY + timedelta(days=n) for n in range(3))
    assert ana.dived_days == tuple(MONDAY + timedelta(days=n) for n in (1, 2, 3))
    assert ana.medical_words == "no date given"


def test_the_page_of_a_diver_holds_its_dives_and_sums(tmp_path: Path) -> None:
    """A sheet a diver: a row a dive with units on the heads, sums with their values, a line to sign."""
    (ana,) = logbooks(_season())
    write_whole(logbook_book([ana], made_at=MADE), tmp_path / "logbooks.xlsx")
    (ws,) = load_workbook(tmp_path / "logbooks.xlsx", data_only=True).worksheets
    rows = [*ws.iter_rows(values_only=True)]
    heads = next(n for n, row in enumerate(rows) if row[0] == "Date")
    at = {str(head): n for n, head in enumerate(rows[heads])}
    body, total = rows[heads + 1 : heads + 17], rows[heads + 17]
    for column, whole in (("In the water, min", ana.in_water_min), ("Bottom time, min", ana.bottom_min)):
        assert sum(int(str(row[at[column]])) for row in body) == total[at[column]] == whole
    assert total[at["Greatest depth, fsw"]] == 80
    assert {str(row[at["Place"]]) for row in body} == {"Made-up quay, North", "Other shore, North"}
    words = [str(cell) for row in rows for cell in row]
    assert "4 / 4" in words and "Diver, date" in words
    assert "Medical as the job Other shore gives it." in words
    assert any("1910.423(d)" in w and "1926.1083" in w for w in words)


def test_nobody_dived_is_said() -> None:
    """A store without a logged dive makes a book that opens and says so."""
    assert logbook_book(logbooks([_day(0, 60).replace(from_log=False)])).sheetnames == ["No dives"]


def _store(place: str) -> tuple[Job, Job]:
    """The quay's day and the same a day later under another name, issued; each with its first dive logged."""
    later = JOB.replace(
        site=JOB.site.replace(name="Other quay", first_day=JOB.site.first_day + timedelta(days=1))
    )
    with Store(place) as store:
        for job in (JOB, later):
            plan = PLAN.replace(job_name=job.site.name)
            issue_watchbill(store, job, plan, "Ana")
            for entry in as_planned(PLAN.dives[0]):
                write_entry(store, job, plan, entry, "Ana", now=job.clock.at(entry.at_min))
    return JOB, later


def test_the_command_reads_every_job_of_the_store(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two jobs on two days: one logbook with both dives; a name without a dive is told."""
    place, out = f"sqlite:///{tmp_path / 'store.db'}", tmp_path / "logbooks.xlsx"
    assert main(["logbook", "--db", place, "--out", str(out)]) == 3
    assert "No watchbill was issued" in capsys.readouterr().err
    jobs = _store(place)
    diver = PLAN.dives[0].divers[0].person
    assert main(["logbook", "--db", place, "--diver", diver, "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert CAUTION in said and diver in said
    (ws,) = load_workbook(out, data_only=True).worksheets
    places = {str(row[2]).partition(",")[0] for row in ws.iter_rows(values_only=True) if row[2]}
    assert {job.site.name for job in jobs} <= places
    with Store(place) as store:
        (own,) = (b for b in logbooks(worked_days(store)) if b.person == diver)
    one = PLAN.dives[0]
    assert own.in_water_min == 2 * (one.reach_surface_min - one.leave_surface_min)
    assert runs_of_days(own.days) == (2,)
    person = next(p for p in JOB.people if p.name == diver)
    assert own.medical_until == person.medical_expires
    assert main(["logbook", "--db", place, "--diver", "Nobody", "--out", str(out)]) == 2
    assert "Nobody has no logged dive" in capsys.readouterr().err


@pytest.mark.paper
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_clean(tmp_path: Path, paper: str) -> None:
    """LibreOffice prints a long logbook with the head and the caution on each page and every dive once."""
    books: tuple[Logbook, ...] = logbooks(
        [_day(n, 60 + n, medicals={"Ana": date(2028, 1, 1)}) for n in range(40)]
    )
    write_whole(logbook_book(books, paper=paper, made_at=MADE), tmp_path / "logbooks.xlsx")
    pages = [page.extract_text() for page in printed(tmp_path / "logbooks.xlsx").pages]
    assert len(pages) > 1
    assert all("Nature of the work" in page and CAUTION[:40] in page for page in pages)
    text = "\n".join(pages)
    assert all(text.count((MONDAY + timedelta(days=n)).isoformat()) >= 2 for n in range(40))
    assert "Diver, date" in pages[-1] and "###" not in text
