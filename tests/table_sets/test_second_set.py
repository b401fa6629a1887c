"""The whole road on a second set: the no-decompression charts of the U.S. government's ocean agency.

Numbers: charts 1 to 3 (limits 40 to 130 fsw, groups A to N), from the copies that the set's own notes name.
"""

from __future__ import annotations

import pickle
import re
from functools import cache
from pathlib import Path

import pytest
from openpyxl import load_workbook

from planner import check, plan, write_watchbill
from planner.check import RULES
from planner.errors import TableRefusal
from planner.hours.logbook import logbooks
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.hours.timesheets import timesheets
from planner.hours.worked import from_plan
from planner.job import Job, PastDive, Policy
from planner.job.cross_checks import cross_faults
from planner.plan import Plan, no_flight, unchecked
from planner.sheets.dive_record_book import dive_record_book
from planner.sheets.hours_book import hours_book
from planner.sheets.logbook_book import logbook_book
from planner.store import StoreRefused, job_from_json
from planner.store.records import canonical_json
from planner.table_sets import DEFAULT_ID, table_set
from planner.table_sets.folder import HEAD
from planner.table_sets.shelf import files_of
from planner.table_sets.soundness import examine
from planner.tables import ExposureOptions, options_for, plan_exposure, standby_minutes_left
from planner.whatif.sweep import compare
from planner.workbook.job_reader import read_job
from planner.workbook.job_writer import write_job
from tests.world.changed import with_site
from tests.world.quay import GATE, a_job

OCEAN = "noaa-no-decompression"
CHARTS = ExposureOptions(tables=table_set(OCEAN))


@cache
def a_job_by_the_charts() -> Job:
    """One item of the quay, so that the searches are short."""
    job = a_job()
    items = tuple(item for item in job.dive_items if item.name == GATE)
    people = tuple(person for person in job.people if person.name not in ("Rob", "Cat"))
    return with_site(
        job.replace(people=people, dive_items=items, surface_items=(), water_windows=()), table_set=OCEAN
    )


@cache
def its_plan() -> Plan:
    found = plan(a_job_by_the_charts(), seconds=2, workers=1).plan
    assert found is not None and found.dives
    return found


def test_a_plan_and_its_check_are_by_the_charts() -> None:
    """A day is planned and passes the check; every schedule is chart 1's, every group one of A to N."""
    job = a_job_by_the_charts()
    assert cross_faults(job) == ()
    assert check(job, its_plan()) == ()
    for dive in its_plan().dives:
        for diver in dive.divers:
            assert {part.strip() for part in diver.schedule.table.split(",")} <= {"chart 1", "chart 3"}
            assert diver.group_after in table_set(OCEAN).groups


def test_the_same_plan_is_convicted_by_another_set() -> None:
    """The same times by the Navy's tables have other rows and groups, so the check refuses them."""
    by_the_navys = with_site(a_job_by_the_charts(), table_set=DEFAULT_ID)
    broken = {finding.rule for finding in check(by_the_navys, its_plan())}
    assert {"table-row", "residual-nitrogen"} & broken


def test_every_sheet_of_its_watchbill_names_the_set(tmp_path: Path) -> None:
    """Name, edition and checksum stand in the head of every sheet; and the rules quote its charts."""
    write_watchbill(its_plan(), a_job_by_the_charts(), tmp_path / "bill.xlsx")
    book = load_workbook(tmp_path / "bill.xlsx")
    for sheet in book:
        head = [str(cell.value) for cell in sheet[2] if cell.value]
        assert any(table_set(OCEAN).printed in words for words in head), sheet.title
    rules = {str(row[0].value): str(row[1].value) for row in book["Rules"].iter_rows(max_col=2)}
    assert "NOAA No-Decompression Air Table" in rules["table-row"]
    assert "chart 2" in rules["same-dive-under-ten"]


def test_no_rule_quotes_tables_that_the_set_has_not() -> None:
    """Where a rule stands on tables or on a procedure its words are the set's: by the charts none names the
    Navy's manual for them, and those of the chamber say that the set has no such rows. By the Navy's tables
    each still names its own."""
    for id in (rule.id for rule in RULES.values() if rule.by_tables or rule.by_way_up):
        by_the_charts = RULES[id].source_by(table_set(OCEAN))
        assert "Navy" not in by_the_charts and "table 9" not in by_the_charts, id
        assert "NOAA No-Decompression Air Table" in by_the_charts
        assert RULES[id].source_by(table_set(DEFAULT_ID)) == RULES[id].source
    chamber = [rule for rule in RULES.values() if rule.by_way_up]
    assert {rule.id for rule in chamber} == {"in-the-chamber", "chamber-in-time", "chamber-one-at-a-time"}
    for rule in chamber:
        assert "no rows for surface decompression" in rule.source_by(table_set(OCEAN))
    named = [rule.id for rule in RULES.values() if re.search(r"tables? 9-", rule.source)]
    assert all(RULES[id].by_tables or RULES[id].by_way_up for id in named)


def test_hours_records_and_logbooks_name_the_set_too() -> None:
    """Each person's and each diver's sheet: what was dived by which tables is told where it is kept."""
    record = from_plan(its_plan(), a_job_by_the_charts(), from_log=True)
    sheets = timesheets([record], EXAMPLE_RULES)
    books = (hours_book(sheets), dive_record_book(sheets), logbook_book(logbooks([record])))
    for book in books:
        for sheet in book:
            assert table_set(OCEAN).printed in str(sheet["A2"].value), sheet.title


def test_a_what_if_on_it_keeps_the_set() -> None:
    """Every case of a what-if is planned by the job's own set."""
    found = compare(a_job_by_the_charts(), ["margin=0,5"], seconds=1, processes=1)
    assert len(found.results) == 2
    for result in found.results:
        assert result.case.job.site.table_set == OCEAN
        assert result.plan is not None and result.plan.dives
        assert check(result.case.job, result.plan) == ()


def test_a_workbook_names_its_set(tmp_path: Path) -> None:
    """The workbook says the set; a workbook that says none, as all earlier ones, is by the shipped one."""
    for job in (a_job_by_the_charts(), a_job()):
        write_job(job, tmp_path / "job.xlsx")
        assert read_job(tmp_path / "job.xlsx").tables is job.tables
    assert a_job().tables is table_set(DEFAULT_ID)


@pytest.mark.parametrize(
    ("depth_fsw", "bottom_min", "group", "residual_min", "after"),
    [
        (60, 40, None, 0, "G"),
        (60, 41, None, 0, "H"),
        (55, 60, None, 0, "J"),
        (40, 200, None, 0, "N"),
        (130, 10, None, 0, "E"),
        (36, 30, "F", 61, "I"),
        (100, 8, "C", 10, "F"),
        (50, 1, "K", 99, "L"),
    ],
)
def test_the_charts_are_read(
    depth_fsw: int, bottom_min: int, group: str | None, residual_min: int, after: str
) -> None:
    """Charts 1 and 3, next deeper and next longer: residual time added, the group at that time."""
    found = plan_exposure(depth_fsw, bottom_min, group, CHARTS)
    assert (found.residual_nitrogen_min, found.group_after) == (residual_min, after)
    assert found.schedule.ascent_s == 60 * found.schedule.depth_fsw // 30


@pytest.mark.parametrize(
    ("depth_fsw", "bottom_min", "group", "options", "says"),
    [
        (60, 61, None, CHARTS, "60 min is the most"),
        (131, 5, None, CHARTS, "ends at 130 fsw"),
        (40, 5, "N", CHARTS, "prints no dive to 40 fsw for group N (chart 3)"),
        (60, 5, "O", CHARTS, "no repetitive group 'O'"),
        (60, 5, None, ExposureOptions(tables=table_set(OCEAN), altitude_ft=2000), "no altitude rows"),
    ],
)
def test_what_the_set_lacks_is_refused_by_name(
    depth_fsw: int, bottom_min: int, group: str | None, options: ExposureOptions, says: str
) -> None:
    """No stops, nothing past 130 fsw, no altitude: told, never taken from another set."""
    with pytest.raises(TableRefusal) as refused:
        plan_exposure(depth_fsw, bottom_min, group, options)
    assert says in str(refused.value)


def test_a_blank_of_chart_3_leaves_no_minutes() -> None:
    """Group N at 40 fsw: the residual time is over the limit, so a standby in N has nothing left there."""
    assert standby_minutes_left(40, "N", CHARTS) == 0
    assert standby_minutes_left(40, "M", CHARTS) == 200 - 187


def test_after_twelve_hours_a_diver_is_clean() -> None:
    """Chart 2 ends at 12:00; in 12:01 any group is clean, in 9:44 N is A."""
    charts = table_set(OCEAN)
    assert charts.group_after_interval("N", 720) == "A"
    assert charts.group_after_interval("N", 721) is None
    assert charts.group_after_interval("N", 583) == "B"
    assert {charts.minutes_until_clean(group) for group in charts.groups} == {721}


@pytest.mark.parametrize(
    ("changes", "place", "says"),
    [
        ({"policy": Policy.IN_WATER_STOPS}, "policy", "no rows for stops in the water"),
        ({"policy": Policy.SURFACE_DECOMPRESSION}, "policy", "no rows for surface decompression"),
        ({"oxygen_in_water": True}, "oxygen", "no rows for oxygen in the water"),
        ({"altitude_ft": 2000}, "altitude", "no altitude rows"),
        ({"table_set": "noaa-no-decompresion"}, "table set", "Did you mean noaa-no-decompression?"),
    ],
)
def test_a_job_that_asks_for_more_than_its_set_has_is_told(
    changes: dict[str, object], place: str, says: str
) -> None:
    """Said with the job's faults, before anything is planned."""
    faults = [f for f in cross_faults(with_site(a_job_by_the_charts(), **changes)) if says in f.sentence]
    assert len(faults) == 1 and place in faults[0].where


def test_a_group_of_other_tables_is_told() -> None:
    """O is a group of the Navy's tables and none of the charts': such a dive is entered as clean, or not."""
    job = a_job_by_the_charts()
    past = PastDive(depth_fsw=40, bottom_time_min=50, surfaced_min=-120, group_after="O")
    people = (job.people[0].replace(past_dives=(past,)), *job.people[1:])
    (fault,) = cross_faults(job.replace(people=people))
    assert "has no group O" in fault.sentence and "entered once the diver is clean" in fault.allowed


def test_no_wait_before_flying_is_printed_and_told() -> None:
    """The charts print no such wait: nobody is given one, and that each has one from elsewhere is ticked."""
    job = a_job_by_the_charts()
    assert no_flight(its_plan(), job) == ()
    assert any("prints no wait before flying" in sentence for sentence in unchecked(job, its_plan()))
    with pytest.raises(TableRefusal, match="no wait before flying"):
        job.tables.wait_before_altitude_min("A")


def test_a_set_is_one_object_everywhere() -> None:
    """Two options of one set share the ways worked out, in another process too: a set is found by its id."""
    job = a_job_by_the_charts()
    assert options_for(job, job.dive_item(GATE)) is options_for(job, job.dive_item(GATE))
    assert pickle.loads(pickle.dumps(job.tables)) is job.tables


def in_metres() -> dict[str, bytes]:
    """The charts as if they were printed in metres, at the metric depths that stand beside their own."""
    metric = dict(zip(table_set(OCEAN).depths, (12, 15, 18, 22, 25, 28, 31, 34, 37, 40), strict=True))
    files = {}
    for name, content in files_of(OCEAN).items():
        text = content.decode().replace("depth_fsw", "depth_msw")
        if name == HEAD:
            continue
        files[name] = re.sub(r"(?m)^\d+(?=,)", lambda own: str(metric[int(own[0])]), text).encode()
    head = files_of(OCEAN)[HEAD].decode().replace('units = "fsw"', 'units = "msw"')
    head = head.replace(f"depth_grid = {list(metric)}", f"depth_grid = {list(metric.values())}")
    head = head.replace("deepest_planned = 130", "deepest_planned = 40")
    head = head.replace("ascent_per_min = 30", "ascent_per_min = 9").replace("_at_most = 75", "_at_most = 23")
    return {**files, HEAD: head.encode()}


def test_a_set_in_metres_is_read_to_the_safe_side() -> None:
    """12 msw are 39.2 fsw: 39 fsw enter that row, 40 fsw the next; the way up takes 9 msw a minute."""
    report = examine("in-metres", in_metres())
    assert report.faults == ()
    tables = report.reading.tables
    assert tables is not None and tables.depths[:2] == (39, 48)
    options = ExposureOptions(tables=tables)
    assert plan_exposure(39, 200, None, options).schedule.depth_fsw == 39
    assert plan_exposure(40, 100, None, options).schedule.depth_fsw == 48
    # 39 fsw at 9 msw, which is 29.39 fsw, a minute
    assert plan_exposure(39, 10, None, options).schedule.ascent_s == 80


def test_a_stored_job_whose_set_is_gone_is_not_opened() -> None:
    """The set is named, and what to do; the job is not opened by another one."""
    text = canonical_json(with_site(a_job(), table_set="harbour-set"))
    with pytest.raises(StoreRefused, match=r"table set harbour-set.*Put the set in its place"):
        job_from_json(text)
    assert job_from_json(canonical_json(a_job_by_the_charts())) == a_job_by_the_charts()
