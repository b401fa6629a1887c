"""The other sheets of the watchbill against the plan, the tables and the house's rules for text."""

from __future__ import annotations

import io
import zipfile
from datetime import datetime, timedelta
from functools import cache

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet
from watchbill_reading import NAMES, file_of, row_with, rows_of, sheet, texts, written

from planner import CAUTION
from planner.air import air_report
from planner.check import RULES
from planner.job import Job, PastDive
from planner.plan import unchecked
from planner.plan.model import Plan
from planner.sheets.watchbill import watchbill_name, write_watchbill
from tests.world import lock
from tests.world.parts import at
from tests.world.pier import CHAIN, FIT, pier_job, pier_plan
from tests.world.quay import a_job, a_plan
from tests.world.reservoir import deep_job, deep_plan

LANDSCAPE = {"Watchbill", "Dives", "Gear"}
JOB = pier_job()
PLAN = pier_plan(JOB)
DEEP = deep_job()
DEEP_PLAN = deep_plan(DEEP)
FIRST_DAY = datetime(2026, 3, 3)


def _book() -> Workbook:
    return written(PLAN, JOB)


def _deep(name: str) -> Worksheet:
    return sheet(DEEP_PLAN, DEEP, name)


def _wall(minute: int) -> datetime:
    return FIRST_DAY + timedelta(minutes=minute)


def test_sheets_stand_in_the_order_of_use() -> None:
    """Twelve sheets, the brief first, then the grid, the text of the rules last."""
    assert _book().sheetnames == [*NAMES]


@pytest.mark.parametrize("name", NAMES)
def test_caution_is_on_every_sheet_and_in_its_foot(name: str) -> None:
    """The caution stands in the head, in the rows repeated on each page, and in the printed foot."""
    ws = _book()[name]
    row = next(cell.row for row in ws.iter_rows() for cell in row if cell.value == CAUTION)
    assert ws.print_title_rows.startswith("$1:$")
    assert row <= int(ws.print_title_rows.split("$")[-1])
    assert CAUTION in ws.oddFooter.center.text
    assert "&P" in ws.oddFooter.center.text
    assert len(ws.oddFooter.center.text) < 200  # a whole foot may hold 255 letters (ECMA-376, §18.3.1.39)


@pytest.mark.parametrize("paper", [("A4", 9), ("Letter", 1), ("letter", 1)])
@pytest.mark.parametrize("name", NAMES)
def test_page_set_up_needs_no_touch(name: str, paper: tuple[str, int]) -> None:
    """Paper code (ECMA-376: A4 is 9, Letter 1), one page wide, the right way round, margins of 1 cm or so."""
    ws = sheet(DEEP_PLAN, DEEP, name, paper[0])
    assert ws.page_setup.paperSize == paper[1]
    assert ws.sheet_properties.pageSetUpPr.fitToPage
    assert ws.page_setup.fitToWidth == 1
    assert ws.page_setup.orientation == ("landscape" if name in LANDSCAPE else "portrait")
    assert ws.page_margins.left == ws.page_margins.right
    for margin in (ws.page_margins.left, ws.page_margins.top, ws.page_margins.bottom):
        assert 0.25 <= margin <= 0.6
    assert ws.print_area


def test_sheets_can_be_chosen() -> None:
    """Only the named ones are written, in the order of the book; a name that is none is refused."""
    store = io.BytesIO()
    write_watchbill(PLAN, JOB, store, sheets=("Dives", "Brief"))
    assert load_workbook(store).sheetnames == ["Brief", "Dives"]
    with pytest.raises(ValueError, match="no sheet is called Menu; there are Brief, "):
        write_watchbill(PLAN, JOB, io.BytesIO(), sheets=("Menu",))
    with pytest.raises(ValueError, match="nothing for the sheet Gates"):
        write_watchbill(PLAN, JOB.replace(gates=()), io.BytesIO(), sheets=("Gates",))


def test_other_papers_are_refused() -> None:
    """A paper that the program does not print on is named and refused."""
    with pytest.raises(ValueError, match="A5"):
        write_watchbill(PLAN, JOB, io.BytesIO(), paper="A5")


# --- dives --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("dive", PLAN.dives, ids=lambda d: d.id)
def test_dive_rows_hold_the_times_and_the_table(dive) -> None:  # type: ignore[no-untyped-def]
    """A row a diver: six times, bottom time, ascent, groups, residual nitrogen and equivalent time."""
    for diver in dive.divers:
        row = row_with(_book()["Dives"], diver.outfit, _wall(dive.leave_surface_min))
        for minute in (
            dive.dress_start_min,
            dive.reach_bottom_min,
            dive.leave_bottom_min,
            dive.reach_surface_min,
            dive.undressed_min,
        ):
            assert _wall(minute) in row
        assert timedelta(minutes=dive.bottom_time_min) in row
        assert diver.schedule.table in row
        assert f"{diver.schedule.ascent_s // 60}:{diver.schedule.ascent_s % 60:02d}" in row
        assert (diver.group_before or "clean") in row
        assert diver.group_after in row
        assert diver.equivalent_min in row and diver.residual_nitrogen_min in row


def test_dives_name_the_whole_crew() -> None:
    """Under N3 stand its tenders, standby with minutes and outfit, supervisor, console and log keeper."""
    found = texts(_book()["Dives"])
    block = found[found.index(f"Dive N3 · {FIT}") :]
    block = block[: next(i for i, t in enumerate(block) if t.startswith("Dive S2"))]
    for words in (
        "Hana Sato, Rui Matos",
        "Bruno Aalto: 168 min left, in H1",
        "Old Tom, Omar Haddad",
        "Tomasz Żuk",
        "Lucía Ferrer",
        "Sofia Lindqvist",
    ):
        assert words in block


def test_other_duties_of_a_dive_are_not_lost() -> None:
    """A duty without its own column, here the chamber operator, has a line of its own."""
    assert texts(_deep("Dives")).count("chamber operator: Olaf Berg") == 2


def test_stops_are_printed() -> None:
    """95 fsw for 42 min is the 100 fsw / 45 min row: 36 min at 20 fsw, 39:20 in all (table 9-9)."""
    row = row_with(_deep("Dives"), "Paulo Dias", "H1")
    assert "100 fsw / 45 min, air: 36 min at 20 fsw" in row
    assert "39:20" in row and "9-9" in row and "N" in row


def test_metres_stand_beside_fsw_where_the_job_is_kept_in_them() -> None:
    """28.9 m are 94.8 ft (1 ft = 0.3048 m), dived as 95 fsw: the shortest figure in metres that is 95 fsw."""
    assert any("28.9 m (95 fsw)" in text for text in texts(_deep("Dives")))
    assert not any(" m (" in text for text in texts(_book()["Dives"]))


# --- dive sheets --------------------------------------------------------------------------------------


def test_a_page_a_dive_and_one_for_the_calls() -> None:
    """Between the dives of the plan stand page breaks; the people to call follow on their own page."""
    ws = _book()["Dive sheets"]
    assert len(ws.row_breaks.brk) == len(PLAN.dives)
    assert "People to call" in texts(ws)
    assert any(text.startswith("Not known to the program") for text in texts(ws))


def test_schedules_beside_a_dive_without_stops() -> None:
    """58 fsw, 41 min: planned 60/63, H, and K for its 63 min (9-7); longer 60/65 with 2 min and 60/70 with 7
    min at 20 fsw (9-9); deeper 70/48 (9-7). 63 min from 10:15 is 11:18."""
    rows = rows_of(_book()["Dive sheets"])
    start = next(i for i, row in enumerate(rows) if row and row[0] == "Dive S1")
    rows = rows[start:]
    planned, whole, first, second, deeper = (
        next(row for row in rows if row and row[0] == "As planned"),
        next(row for row in rows if row and row[0] == "To its end"),
        *[row for row in rows if row and row[0] == "If longer *"][:2],
        next(row for row in rows if row and row[0] == "If deeper"),
    )
    assert planned[1:] == ["60 fsw / 63 min", timedelta(minutes=41), _wall(at(10, 56)), "none", "2:00", "H"]
    assert whole[1:] == ["60 fsw / 63 min", timedelta(minutes=63), _wall(at(11, 18)), "none", "2:00", "K"]
    assert first[1:3] == ["60 fsw / 65 min", timedelta(minutes=65)]
    assert first[4:] == ["2 min at 20 fsw", "4:00", "L"]
    assert second[4:] == ["7 min at 20 fsw", "9:00", "L"]
    assert deeper[1:3] == ["70 fsw / 48 min", timedelta(minutes=48)]


def test_schedules_beside_a_repetitive_dive_are_short_by_its_rnt() -> None:
    """Chidi dives N4 in group B: residual nitrogen time 24 min at 35 fsw, 27 at 40 (9-8), so 232 and 163
    (9-7) leave 208 and 136 min of bottom time."""
    rows = rows_of(_book()["Dive sheets"])
    rows = rows[next(i for i, row in enumerate(rows) if row and row[0] == "Dive N4") :]
    planned = next(row for row in rows if row and row[0] == "To its end")
    deeper = next(row for row in rows if row and row[0] == "If deeper")
    assert planned[1:3] == ["35 fsw / 232 min", timedelta(minutes=208)]
    assert deeper[1:3] == ["40 fsw / 163 min", timedelta(minutes=163 - 21)]


def test_longer_schedules_within_the_policy_carry_no_mark() -> None:
    """60 min of stops are allowed at the dam: 100/50 (47 min) is plain, 100/55 (65 min) is marked."""
    found = rows_of(_deep("Dive sheets"))
    assert next(r for r in found if r and r[0] == "If longer")[:2] == ["If longer", "100 fsw / 50 min"]
    assert next(r for r in found if r and r[0] == "If longer *")[:2] == ["If longer *", "100 fsw / 55 min"]


def test_stops_have_their_times() -> None:
    """Leave bottom 23:22, 2:40 to the 20 fsw stop, 36 min there: reach it by 23:25, leave it by 00:01."""
    found = rows_of(_deep("Dive sheets"))
    reach = next(r for r in found if r and r[0] == "Reach stop 20 fsw")
    leave = next(r for r in found if r and r[0] == "Leave stop 20 fsw (air)")
    assert reach[1] == datetime(2026, 6, 8, 23, 25)
    assert leave[1] == datetime(2026, 6, 9, 0, 1)


def test_a_dive_sheet_says_what_the_bottles_must_show() -> None:
    """In the pipe at 36 fsw: 617 psi for 3 min and the way up (8-2.2.1), diver, entry diver and standby
    each, with a box for the gauge; dives in heavy dress have none."""
    book = written(a_plan(), a_job())
    lines = [text for text in texts(book["Dive sheets"]) if "must show" in text]
    assert len(lines) == 3
    assert all("must show 617 psi; given 2,800 psi, " in text and text.endswith("____") for text in lines)
    assert lines[0].startswith("Bailout L")
    assert "Bailout bottles, standby divers too" in texts(book["Air"])


def test_actual_times_are_empty_boxes() -> None:
    """Beside each planned time is a ruled empty box for every diver of the dive."""
    ws = _book()["Dive sheets"]
    row = next(cell.row for cell in ws["A"] if cell.value == "Leave surface")
    box = ws.cell(row, 11)
    assert not box.value
    assert box.border.left.style and box.border.bottom.style


# --- people, leftovers, gear, air ---------------------------------------------------------------------


def test_every_spell_is_in_each_persons_day() -> None:
    """Every duty spell of the plan stands once, with its times, length, letters and duty."""
    rows = rows_of(_book()["Each person's day"])
    for spell in PLAN.duties:
        start, end = _wall(spell.start_min), _wall(spell.end_min)
        own = [r for r in rows if r[:3] == [start, end, end - start] and spell.duty in r and spell.item in r]
        assert len(own) >= 1, spell
    assert sum(1 for r in rows if r and isinstance(r[0], datetime)) == len(PLAN.duties)


def test_persons_sums_name_minutes_nitrogen_and_when_clean() -> None:
    """Bruno: diver 2 h 07, standby 2 h 32, bottom time 1 h 15; group D at 12:52 (245 min after H: table 9-8
    prints D for 210 to 261), clean after 532 min, from 17:40."""
    words = next(t for t in texts(_book()["Each person's day"]) if "diver 2 h 07" in t)
    assert words == (
        "On duty 4 h 39: diver 2 h 07, standby diver 2 h 32 · bottom time 1 h 15 · "
        "group at the end of the day D, clean from Tue 17:40"
    )
    without_him = PLAN.replace(duties=tuple(s for s in PLAN.duties if s.person != "Old Tom"))
    assert "Not posted: Old Tom" in texts(written(without_him, JOB)["Each person's day"])


def test_leftovers_have_minutes_reasons_and_rule_ids() -> None:
    """What is needed, planned and left of each unfinished item, each reason with the id of its rule."""
    ws = _book()["Left over"]
    row = row_with(ws, CHAIN)
    assert [timedelta(hours=1), timedelta(0), timedelta(hours=1)] == row[2:5]
    found = texts(ws)
    for left in PLAN.leftovers:
        for reason in left.reasons:
            assert reason.sentence in found
            assert reason.rule is None or reason.rule in found
    assert any("Nothing is left over" in text for text in texts(_deep("Left over")))


def test_gear_shows_numbers_state_and_wearers() -> None:
    """A mixed set is called out; each outfit lists who wears it when, and when it is free again."""
    ws = _book()["Gear"]
    assert "NO" in row_with(ws, "H4")
    worn = row_with(ws, "H1")[-1]
    assert isinstance(worn, str)
    assert "07:00–09:07 Bruno Aalto, N1; free again 09:22" in worn.split("\n")
    assert any("standby for N3" in line for line in worn.split("\n"))


def test_air_sheet_repeats_the_air_report() -> None:
    """Air drawn, peak flow with its moment, capacity then, running time of each compressor."""
    air = air_report(PLAN, JOB)
    found = texts(_book()["Air"])
    assert f"{air.scf:,.0f} scf" in found
    assert air.peak is not None
    assert f"Peak flow, at {JOB.clock.hhmm(air.peak.demand.start_min)}" in found
    assert f"{air.peak.flow_scfm:,.1f} scfm" in found
    assert f"{air.peak.capacity_scfm:,.1f} scfm" in found
    run = row_with(_book()["Air"], "Quay compressor", "primary")
    assert timedelta(minutes=air.compressors[0].running_min) in run
    for dive in air.dives:
        assert f"{dive.scf:,.0f} scf" in row_with(_book()["Air"], f"{dive.dive} · {dive.item}")


def test_the_air_sheet_tells_what_recharges_a_bank() -> None:
    """After the day a bank lacks 332 scf to its working pressure: 28 min of a compressor of 12 scfm, rounded
    up (Boyle's law: 400 psi of 8 bottles of 1.526 cu ft, over 14.7 psi). Without a flow for it the gas
    stands alone."""
    bank = lock.plant().banks[0]
    for flow, told in ((12.0, "332 scf, 28 min by charging compressor"), (0.0, "332 scf")):
        made = lock.job(air=lock.plant().replace(banks=(bank.replace(recharge_scfm=flow),)))
        found = texts(sheet(lock.plan(lock.dive()), made, "Air"))
        assert told in found


def test_air_rules_that_do_not_hold_stand_before_the_numbers() -> None:
    """The dam has no reserve: the sheet says so, with the rule's id, above its first table."""
    found = texts(_deep("Air"))
    first = next(i for i, text in enumerate(found) if text.endswith("[air-reserve]"))
    assert first < found.index("Each dive, its standby counted")
    assert any("m³" in text for text in found)


def test_air_sheet_without_a_plant() -> None:
    """A job without compressors and banks tells the flow and says that supply is not checked."""
    job = JOB.replace(air=type(JOB.air)())
    assert any("supply is not checked" in text for text in texts(sheet(PLAN, job, "Air")))


# --- sources ------------------------------------------------------------------------------------------


def test_sources_list_what_to_tick_rules_tables_and_stages() -> None:
    """The caution first; then the tables used, each stage with what is proven; on *Rules* every rule."""
    rules = texts(_book()["Rules"])
    for rule in RULES.values():
        assert rule.id in rules
        assert any(text.startswith(f"{rule.sentence} {rule.source}") for text in rules)
    found = texts(_book()["Cautions and sources"])
    for sentence in unchecked(JOB)[:8]:
        assert sentence in found
    assert {"9-7", "9-8"} <= set(found) and "9-9" not in found
    assert "4,040 weighted minutes, not proven: no plan reaches more than 4,100, gap 1.5 %" in found
    assert "14:52, proven best" in found


def test_sources_say_where_the_job_came_from() -> None:
    """Which workbook, and what of it was not read; where that is not known, that stands there."""
    store, told = io.BytesIO(), "Read from evening.xlsx: Not in the workbook, so taken as empty: Past dives."
    write_watchbill(PLAN, JOB, store, opened_from=told)
    assert told in texts(load_workbook(store)["Cautions and sources"])
    assert any(text.startswith("Not known:") for text in texts(_book()["Cautions and sources"]))


def test_no_past_dives_is_a_line_to_tick() -> None:
    """A job that names no dive before it takes every diver as clean: a person says that each was asked."""
    clean = JOB.replace(people=tuple(p.replace(past_dives=()) for p in JOB.people))
    assert any("No dives before this job are given" in said for said in unchecked(clean))
    one = PastDive(depth_fsw=40, bottom_time_min=60, surfaced_min=-600)
    people = tuple(p.replace(past_dives=(one,)) for p in clean.people)
    assert not any("No dives before this job" in said for said in unchecked(clean.replace(people=people)))


def test_sentences_about_outfits_are_joined() -> None:
    """Six lines that differ only by the outfit become one."""
    found = texts(_book()["Cautions and sources"])
    assert "No date is given for the test of the hose of H1, H2, H3, L1, L2, L3." in found


# --- text is text -------------------------------------------------------------------------------------

EVIL = (
    '=HYPERLINK("http://x.example","click")',
    "+1+1",
    "-2+3",
    "@SUM(A1:A9)",
    "=1+1",
    "&D&Z",
)


def _renamed(value: object, names: dict[str, str]) -> object:
    if isinstance(value, str):
        return names.get(value, value)
    if isinstance(value, dict):
        return {key: _renamed(item, names) for key, item in value.items()}
    if isinstance(value, list):
        return [_renamed(item, names) for item in value]
    return value


@cache
def _evil() -> tuple[Job, Plan]:
    """The example with names that a spreadsheet would run if it took them for formulas."""
    names = {
        JOB.site.name: EVIL[5],
        "Bruno Aalto": EVIL[0],
        "Rui Matos": EVIL[1],
        "Strip old zinc anodes": EVIL[2],
        "rigger": EVIL[3],
        "H1": EVIL[4],
        "North ladder": "=cmd|' /C calc'!A0",
        PLAN.leftovers[0].reasons[0].sentence: "=2+2",
    }
    job = Job.model_validate(_renamed(JOB.model_dump(mode="json"), names))
    return job, Plan.model_validate(_renamed(PLAN.model_dump(mode="json"), names))


def test_no_text_becomes_a_formula() -> None:
    """Names that begin with =, +, - or @ stay text: typed as text, marked as quoted, on every sheet."""
    job, plan = _evil()
    book = written(plan, job)
    seen: set[str] = set()
    for ws in book.worksheets:
        for row in ws.iter_rows():
            for cell in row:
                assert cell.data_type != "f", (ws.title, cell.coordinate)
                if isinstance(cell.value, str):
                    assert cell.data_type == "s"
                    if cell.value.startswith(("=", "+", "-", "@")):
                        seen.add(cell.value)
                        assert cell.quotePrefix, (ws.title, cell.coordinate)
    assert set(EVIL[:5]) <= seen and "=2+2" in seen


def test_the_file_itself_holds_no_formula() -> None:
    """No sheet of the file has a formula element, whatever a reader makes of the cells."""
    job, plan = _evil()
    with zipfile.ZipFile(io.BytesIO(file_of(plan, job))) as parts:
        sheets = [name for name in parts.namelist() if name.startswith("xl/worksheets/sheet")]
        assert len(sheets) == len(NAMES)
        for name in sheets:
            text = parts.read(name)
            assert b"<f>" not in text and b"<f " not in text
        assert not any("externalLink" in name or "vba" in name.lower() for name in parts.namelist())


def test_control_characters_are_dropped() -> None:
    """A name with a bell or a null in it is written without it instead of breaking the file."""
    job = JOB.replace(site=JOB.site.replace(name="Quay\x07 wall"))
    assert "Quay wall" in texts(sheet(PLAN, job, "Dives"))


def test_names_of_any_alphabet_survive() -> None:
    """Cyrillic, Greek and Chinese names come back letter by letter."""
    found = texts(_book()["Watchbill"])
    for name in ("Ивана Петрова", "Γιώργος Λάμπρου", "李 明"):
        assert name in found


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Quay wall 7, Port of Merrow", "watchbill_Quay-wall-7-Port-of-Merrow_2026-03-03.xlsx"),
        ("../../etc/passwd", "watchbill_etc-passwd_2026-03-03.xlsx"),
        ('a<b>:"c"|d?*', "watchbill_a-b-c-d_2026-03-03.xlsx"),
        ("Молот 3", "watchbill_Молот-3_2026-03-03.xlsx"),
        ("???", "watchbill_job_2026-03-03.xlsx"),
    ],
)
def test_file_name_is_safe(name: str, file: str) -> None:
    """No separator, no letter that a file system forbids, the day in ISO 8601."""
    assert watchbill_name(JOB.replace(site=JOB.site.replace(name=name))) == file


def test_writes_to_a_path(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """A path works as well as an open file."""
    path = tmp_path / watchbill_name(DEEP)
    write_watchbill(DEEP_PLAN, DEEP, path)
    assert load_workbook(path).sheetnames == [*NAMES]
