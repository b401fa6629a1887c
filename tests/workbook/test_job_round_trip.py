"""A job written as a workbook reads back as the same job; nothing that was typed becomes a formula."""

from __future__ import annotations

import io
import json
from datetime import date, time
from pathlib import Path

import openpyxl
import pytest
from pydantic import ValidationError

from planner.errors import InputFaults
from planner.job import CrewRules, Job, Outfit, Policy, Span, Station, UnitSystem, WaterWindow
from planner.job.cross_checks import cross_faults
from planner.job.work import CrewNeed
from planner.workbook.job_reader import JobBuilder, read_job
from planner.workbook.job_sheets import DIVE_WORK, RULES, SITE, WATER_WINDOWS
from planner.workbook.job_writer import write_job
from tests.make_sample_jobs import SAMPLES
from tests.samples import small_heavy_dress, tidal_pier
from tests.workbook.job_files import (
    cell,
    changed,
    faults_in,
    of_before_the_standbys_way_up,
    read,
    with_cells,
    workbook_of,
)
from tests.workbook.job_strategies import jobs
from tests.world.random_cases import held_for

INJECTED = ("=1+1", "+x", "@y", "-z", '=HYPERLINK("x")', "\t=1", "#REF!", "'=1")


def read_without_cross_checks(content: bytes, monkeypatch: pytest.MonkeyPatch) -> Job:
    """Read a workbook whose job is well-formed but need not make sense."""
    with monkeypatch.context() as patch:
        patch.setattr(JobBuilder, "cross", lambda self, job: None)
        return read_job(content)


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("name", list(SAMPLES))
def test_samples_read_back_equal_in_either_units(name: str, units: UnitSystem) -> None:
    """Every sample, in feet and in metres, bar and litres."""
    job = SAMPLES[name]()
    job = job.replace(site=job.site.replace(units=units))
    if units is UnitSystem.METRIC:
        # figures typed in litres and bar lie on the grid of the conversion; take them there first
        job = read_job(workbook_of(job))
    assert read_job(workbook_of(job)) == job


@held_for(jobs(UnitSystem.FEET) | jobs(UnitSystem.METRIC), quick=3, long=100)
def test_any_job_reads_back_equal(job: Job) -> None:
    """Random jobs with every field set: cells, references, times over clock changes, other alphabets."""
    with pytest.MonkeyPatch.context() as patch:
        assert read_without_cross_checks(workbook_of(job), patch) == job


@held_for(jobs(UnitSystem.FEET), quick=2, long=60)
def test_reading_tells_what_the_cross_checks_tell(job: Job) -> None:
    """The workbook's faults are those of the job itself: the same sentences, placed in cells."""
    told = [f.sentence for f in faults_in(workbook_of(job))]
    assert sorted(told) == sorted(f.sentence for f in cross_faults(job))


def test_what_a_user_typed_never_becomes_a_formula() -> None:
    """Texts that begin like formulas stay texts in the file and in the job (OWASP: CSV injection)."""
    job = small_heavy_dress.job()
    people = tuple(
        person.replace(name=text.strip() or "x", pay_class=text)
        for person, text in zip(job.people, INJECTED, strict=False)
    )
    job = job.replace(people=people, stations=tuple(Station(name=t.strip()) for t in INJECTED))
    content = workbook_of(job)
    book = openpyxl.load_workbook(io.BytesIO(content))
    cells = [c for sheet in book for row in sheet.iter_rows() for c in row if c.value is not None]
    assert {c.data_type for c in cells} <= {"s", "n", "d"}
    typed = {c.value for c in cells}
    assert {text.strip() for text in INJECTED} <= typed
    assert all(c.quotePrefix for c in cells if isinstance(c.value, str) and c.value[0] in "=+-@")
    with pytest.MonkeyPatch.context() as patch:
        back = read_without_cross_checks(content, patch)
    assert [p.name for p in back.people] == [p.name for p in job.people]
    assert [s.name for s in back.stations] == [t.strip() for t in INJECTED]


def test_names_with_semicolons_and_trailing_numbers_survive() -> None:
    """A duty called 'crane 2' and a certificate with a semicolon are not taken apart."""
    job = tidal_pier.job()
    surface = job.surface_items[0].replace(
        crew=(CrewNeed(duty="crane 2", count=1), CrewNeed(duty='hook; "red"', count=3))
    )
    dive = job.dive_items[0].replace(certificates=frozenset({"a; b", "c"}))
    job = job.replace(surface_items=(surface, *job.surface_items[1:]), dive_items=(dive, *job.dive_items[1:]))
    back = read_job(workbook_of(job))
    assert back.surface_items[0].crew == surface.crew
    assert back.dive_items[0].certificates == dive.certificates


def test_times_that_come_twice_keep_their_offset() -> None:
    """In London 01:30 comes twice on 31 October 2027, first at +01:00, then at +00:00 (tz database)."""
    job = tidal_pier.job()
    site = job.site.replace(first_day=date(2027, 10, 31))
    windows = tuple(
        WaterWindow(start_min=start, end_min=start + 45, label="slack") for start in (90, 150, 210, 1455)
    )
    job = job.replace(site=site, water_windows=windows, people=job.people[:1])
    job = job.replace(people=(job.people[0].replace(available=(Span(start_min=0, end_min=1500),)),))
    with pytest.MonkeyPatch.context() as patch:
        back = read_without_cross_checks(workbook_of(job), patch)
    assert back.water_windows == windows
    assert back.people[0].available == job.people[0].available


@pytest.mark.parametrize(
    ("typed", "minute"),
    [
        ("0700", 420),
        ("7:00", 420),
        ("07:00", 420),
        ("07:00:00", 420),
        (700, 420),
        (700.0, 420),
        (time(7, 0), 420),
        (time(6, 59, 59, 999_000), 420),
        (7 / 24, 420),
        ("2027-03-16 07:00", 420),
        ("0000", 0),
    ],
)
def test_times_are_read_in_every_form_a_cell_may_hold(typed: object, minute: int) -> None:
    """Text, numbers, time cells and fractions of a day."""
    job = read(with_cells({(WATER_WINDOWS, "from", 0): typed}))
    assert job.water_windows[0].start_min == minute


@pytest.mark.parametrize("typed", ["24:00", "2400", 2400])
def test_midnight_at_the_end_of_a_day(typed: object) -> None:
    """24:00 is the midnight that ends the day."""
    assert read(with_cells({(WATER_WINDOWS, "until", 0): typed})).water_windows[0].end_min == 1440


@pytest.mark.parametrize("typed", [30.0, "30", 30])
def test_whole_floats_and_digits_are_whole_numbers(typed: object) -> None:
    """Spreadsheets keep every number as a float."""
    assert read(with_cells({(DIVE_WORK, "bottom_work_min", 0): typed})).dive_items[0].bottom_work_min == 30


def test_metric_figures_round_to_the_safe_side() -> None:
    """12 m is 39.4 ft, planned as 40 (1 ft = 0.3048 m: NIST SP 811); the cell keeps the 12."""
    site = tidal_pier.SITE.replace(units=UnitSystem.METRIC)
    content = with_cells({(DIVE_WORK, "depth_fsw", 0): 12}, tidal_pier.job().replace(site=site))
    job = read(content)
    assert job.dive_items[0].depth_fsw == 40
    again = openpyxl.load_workbook(io.BytesIO(workbook_of(job)))
    assert again["Dive work"]["C6"].value == 12


def test_the_same_job_gives_the_same_bytes(tmp_path: Path) -> None:
    """No time of writing is kept in the file."""
    job = small_heavy_dress.job()
    write_job(job, tmp_path / "a.xlsx")
    assert (tmp_path / "a.xlsx").read_bytes() == workbook_of(job)
    assert [p.name for p in tmp_path.iterdir()] == ["a.xlsx"]


def test_what_a_workbook_cannot_say_is_refused(tmp_path: Path) -> None:
    """Control characters, lone surrogates, no crew rows, a blank helmet number; nothing is written."""
    job = small_heavy_dress.job()
    wrong = job.replace(
        stations=(Station(name="a\x07b"),),
        people=(job.people[0].replace(pay_class="a\ud800b"),),
        rules=job.rules.replace(minima=()),
        outfits=(Outfit(name="x", kind="light helmet", helmet_no=""),),
    )
    with pytest.raises(InputFaults) as told:
        write_job(wrong, tmp_path / "a.xlsx")
    assert len(told.value.faults) == 4
    assert list(tmp_path.iterdir()) == []


def test_a_sheet_of_crew_rows_without_rows_means_the_named_least_team() -> None:
    """Emptying the sheet never means that no crew is needed."""
    from planner.job.presets import PRESETS

    def empty(book: openpyxl.Workbook) -> None:
        book["Crew minima"].delete_rows(6, 50)
        for row in book["Rules"].iter_rows(min_col=1, max_col=2):
            if row[0].value == "Least team":
                row[1].value = "Five"

    job = read_job(changed(workbook_of(small_heavy_dress.job()), empty))
    assert job.rules.minima == PRESETS["five"].minima


def test_a_sheet_of_pairs_without_rows_allows_no_pair() -> None:
    """Taking the last pair out does not bring the built-in pair back; taking the sheet out does."""
    content = workbook_of(small_heavy_dress.job())
    emptied = changed(content, lambda book: book["Duty pairs"].delete_rows(6, 50))
    assert read_job(emptied).rules.pairs == ()
    without = changed(content, lambda book: book.remove(book["Duty pairs"]))
    assert read_job(without).rules.pairs == small_heavy_dress.job().rules.pairs


def test_a_standby_of_no_minutes_in_an_older_workbook_is_opened_with_one() -> None:
    """A workbook from before the setting beside it may ask for 0 minutes left: it is opened with 1 and a
    sentence says so. One that has the setting is refused."""
    small, told = small_heavy_dress.job(), list[str]()
    job = read_job(of_before_the_standbys_way_up(small), told=told.append)
    assert job == small.replace(rules=small.rules.replace(standby_no_stop_min=1))
    assert [s for s in told if "0 minutes" in s and "opened with 1" in s] == told != []
    asked = with_cells({(RULES, "standby_no_stop_min", 0): 0}, small)
    assert [f.where for f in faults_in(asked)] == [f"Rules!{cell(RULES, 'standby_no_stop_min')}"]
    quiet: list[str] = []
    read_job(workbook_of(small), told=quiet.append)
    assert quiet == []


def test_one_briefing_in_an_older_workbook_is_no() -> None:
    """A workbook of before the setting opens without it, silently; with no minutes to brief for, one that has
    it is told that none is planned."""
    small, told = small_heavy_dress.job(), list[str]()
    assert small.rules.one_briefing

    def strip(book: openpyxl.Workbook) -> None:
        book[RULES.name].delete_rows(int(cell(RULES, "one_briefing")[1:]))

    job = read_job(changed(workbook_of(small), strip), told=told.append)
    assert job == small.replace(rules=small.rules.replace(one_briefing=False)) and told == []

    def nothing(book: openpyxl.Workbook) -> None:
        book[RULES.name][cell(RULES, "briefing_min")] = 0

    read_job(changed(workbook_of(small), nothing), told=told.append)
    (sentence,) = told
    assert sentence.startswith("One briefing for the whole crew is asked for, and Briefing is 0 min")


def test_what_is_taken_for_getting_out_of_dress_is_told_where_it_matters() -> None:
    """A workbook of before with surface decompression: the minutes that are taken are told on opening."""
    small = small_heavy_dress.job()
    through = small.replace(site=small.site.replace(policy=Policy.SURFACE_DECOMPRESSION))

    def of_before(job: Job) -> bytes:
        def strip(book: openpyxl.Workbook) -> None:
            book[RULES.name].delete_rows(int(cell(RULES, "chamber_heavy_min")[1:]), 2)

        return changed(workbook_of(job), strip)

    for content, said in (
        (of_before(through), ["20 min in heavy dress, 2 min in light helmet"]),
        (workbook_of(through), []),
        (of_before(small), []),
    ):
        told: list[str] = []
        read_job(content, told=told.append)
        assert len(told) == len(said)
        assert all(words in told[0] for words in said)


def test_a_stored_job_of_before_with_no_minutes_of_a_standby_opens_with_one() -> None:
    """The same for a job that was kept as JSON by an earlier version."""
    kept = json.loads(small_heavy_dress.job().model_dump_json())
    kept["rules"]["standby_no_stop_min"] = 0
    with pytest.raises(ValidationError):
        Job.model_validate_json(json.dumps(kept))
    del kept["rules"]["standby_way_up"]
    assert Job.model_validate_json(json.dumps(kept)).rules.standby_no_stop_min == 1


def test_optional_sheets_may_be_missing() -> None:
    """A workbook of what is needed alone reads."""
    needed = {"Site", "Stations", "People", "Dive work"}

    def strip(book: openpyxl.Workbook) -> None:
        for name in book.sheetnames:
            if name not in needed:
                book.remove(book[name])

    job = read_job(changed(workbook_of(small_heavy_dress.job()), strip))
    assert job.rules == CrewRules()
    assert job.dive_items == small_heavy_dress.job().dive_items
    assert SITE.required
