"""A third set brought by a crew: one folder, and nothing else touched; a what-if by any set keeps it.

The sets are invented (`tests.table_sets.invented`); by hand: groups P, Q, R, 60 min at most at 60 fsw, a
repeat after fifteen minutes.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from pathlib import Path

import pytest
from openpyxl import load_workbook

from planner import check, read_job, read_plan, write_job
from planner.cli.main import main
from planner.job import Job, Policy
from planner.sheets.compare_book import compare_book
from planner.table_sets import DEFAULT_ID, shelf, table_set
from planner.table_sets.shelf import keep_set
from planner.whatif.cases import parse_variations
from planner.whatif.sure import how_sure
from planner.whatif.sweep import compare, sweep
from planner.whatif.whole import whole_cases
from tests.table_sets import invented
from tests.table_sets.invented import BY_FACTOR, BY_INTERVALS, BY_MINUTES, IN_METRES
from tests.world.changed import with_item, with_site
from tests.world.quay import GATE, a_job

KEPT = {
    BY_FACTOR: invented.by_factor,
    BY_INTERVALS: invented.by_intervals,
    BY_MINUTES: invented.by_minutes,
    IN_METRES: invented.in_metres,
}


@pytest.fixture(scope="module", autouse=True)
def of_this_place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The invented sets among a place's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(shelf.SETS_VARIABLE, str(tmp_path_factory.mktemp("sets")))
        for id, files in KEPT.items():
            assert keep_set(id, files()).sound
        yield


@cache
def a_short_day(id: str) -> Job:
    """One item at 58 fsw that one dive does."""
    job = a_job()
    items = tuple(item for item in job.dive_items if item.name == GATE)
    people = tuple(p for p in job.people if p.name not in ("Rob", "Cat"))
    one = job.replace(people=people, dive_items=items, surface_items=(), water_windows=())
    return with_item(with_site(one, table_set=id), GATE, bottom_work_min=30)


def test_a_set_of_a_crews_own_is_one_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole road on it by the command line: kept, named in a workbook, planned, checked, printed. What a
    crew brings is one folder of four files; nothing else of the place is new, and no file of the program."""
    monkeypatch.setenv(shelf.SETS_VARIABLE, str(tmp_path / "own"))
    brought = tmp_path / "brought"
    brought.mkdir()
    for name, content in invented.by_minutes().items():
        (brought / name).write_bytes(content)
    assert main(["tables", "check", str(brought)]) == 0
    assert main(["tables", "keep", "harbour-3", str(brought)]) == 0
    assert sorted(
        p.relative_to(tmp_path / "own").as_posix() for p in (tmp_path / "own").rglob("*")
    ) == sorted(["harbour-3", *(f"harbour-3/{name}" for name in invented.by_minutes())])
    assert len(invented.by_minutes()) == 4
    workbook, out = tmp_path / "job.xlsx", tmp_path / "out"
    write_job(a_short_day("harbour-3"), workbook)
    job = read_job(workbook)
    assert job.tables is table_set("harbour-3")
    assert main(["plan", str(workbook), "--seconds", "2", "--workers", "1", "--out", str(out)]) == 0
    (made,) = out.glob("*plan.json")
    assert main(["check", str(workbook), str(made)]) == 0
    plan = read_plan(made, job)
    assert check(job, plan) == () and plan.dives
    assert {diver.group_after for dive in plan.dives for diver in dive.divers} <= {"P", "Q", "R"}
    (bill,) = out.glob("*.xlsx")
    for sheet in load_workbook(bill):
        head = [str(cell.value) for cell in sheet[2] if cell.value]
        assert any(table_set("harbour-3").printed in words for words in head), sheet.title
    assert "Navy Diving Manual, Revision 7, checksum" not in capsys.readouterr().out


@pytest.mark.parametrize("id", sorted(KEPT))
def test_a_what_if_keeps_any_set(id: str) -> None:
    """Each case is planned by the job's own set, holds by it, and its days are drawn by it; the workbook
    prints the set."""
    job = a_short_day(id)
    found = compare(job, ["margin=0,5"], seconds=1, processes=1)
    for result in found.results:
        assert result.case.job.tables is table_set(id)
        assert result.plan is not None and result.plan.dives
        assert check(result.case.job, result.plan) == ()
        drawn = how_sure(result.plan, result.case.job, draws=40, spare=False)
        assert drawn.draws == 40 and drawn.expected_min > 0
    for sheet in compare_book(found, job):
        assert table_set(id).printed in str(sheet["A2"].value), sheet.title


def test_jobs_of_two_sets_are_compared_each_by_its_own() -> None:
    """One day of two is by another set: each job's plan holds by its own, the workbook prints both."""
    one = a_short_day(BY_MINUTES)
    later = with_site(
        a_short_day(BY_INTERVALS), first_day=one.site.first_day + timedelta(days=1), name="The day after"
    )
    lanes = whole_cases([one, later], parse_variations(one, ["margin=0"], [later]))
    found = sweep(*lanes, seconds=1, processes=1)
    (both,) = found.results
    assert [part.case.job.site.table_set for part in both.parts] == [BY_MINUTES, BY_INTERVALS]
    for part in both.parts:
        assert part.plan is not None and check(part.case.job, part.plan) == ()
    for sheet in compare_book(found, one):
        for id in (BY_MINUTES, BY_INTERVALS):
            assert table_set(id).printed in str(sheet["A2"].value), sheet.title


def test_a_what_if_refuses_by_the_sets_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A set that is not here, a way up that it has not, a value that ends in a fault: told with its name,
    nothing planned by another."""
    lacking = with_site(a_short_day(BY_MINUTES), policy=Policy.SURFACE_DECOMPRESSION)
    write_job(lacking, tmp_path / "lacking.xlsx")
    assert main(["compare", str(tmp_path / "lacking.xlsx"), "--vary", "margin=0"]) == 2
    said = capsys.readouterr().out
    assert "Invented Table" in said and "no rows for surface decompression" in said
    write_job(a_short_day(BY_MINUTES), tmp_path / "gone.xlsx")
    monkeypatch.setenv(shelf.SETS_VARIABLE, str(tmp_path / "elsewhere"))
    assert main(["compare", str(tmp_path / "gone.xlsx"), "--vary", "margin=0"]) == 2
    said = capsys.readouterr().out
    assert BY_MINUTES in said and DEFAULT_ID in said
