"""Every kind of fault has its own sentence, stands at its own cell, and is found together with the others."""

from __future__ import annotations

import io
from datetime import date, datetime, time

import pytest
from openpyxl.workbook import Workbook

from planner.job import UnitSystem
from planner.workbook.columns import JobSheet
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import (
    AIR,
    BANKS,
    CERTIFICATES,
    CREW_MINIMA,
    DIVE_WORK,
    DUTY_CERTIFICATES,
    DUTY_PAIRS,
    HOURS_WORKED,
    NOT_TOGETHER,
    ON_SITE,
    ORDER,
    OUTFITS,
    PAST_DIVES,
    PEOPLE,
    PINS,
    RULES,
    SITE,
    STATIONS,
    SURFACE_WORK,
    TIDE,
    WATER_WINDOWS,
    WINDOWS,
)
from planner.workbook.opening import open_book
from tests.samples import tidal_pier
from tests.workbook.job_files import (
    as_opened,
    cell,
    changed,
    faults_in,
    heading,
    only_fault,
    read,
    with_cells,
    workbook_of,
)

# (sheet, field, row, what is typed there, what the sentence says)
CASES: list[tuple[JobSheet, str, int, object, str]] = [
    (DIVE_WORK, "depth_fsw", 1, 900, "A depth of 900 fsw is deeper than any dive on air in the tables."),
    (DIVE_WORK, "depth_fsw", 1, 14.5, "Depth takes whole numbers only. For metres, write"),
    (DIVE_WORK, "depth_fsw", 1, -30, "Depth cannot be negative."),
    (DIVE_WORK, "depth_fsw", 1, "thirty", "Depth holds text where a number belongs."),
    (DIVE_WORK, "depth_fsw", 1, True, "Depth does not hold a number."),
    (DIVE_WORK, "depth_fsw", 1, date(2027, 3, 16), "Depth does not hold a number."),
    (DIVE_WORK, "depth_fsw", 1, None, "Depth must be filled in."),
    (DIVE_WORK, "depth_fsw", 1, "=A1+1", "Depth is a formula whose value was never saved."),
    (DIVE_WORK, "depth_fsw", 1, "#REF!", "Depth shows an error in the sheet."),
    (DIVE_WORK, "depth_fsw", 1, 1e300, "is deeper than any dive on air in the tables."),
    (DIVE_WORK, "bottom_work_min", 1, 30.5, "Work on the bottom takes whole numbers only."),
    (DIVE_WORK, "bottom_work_min", 1, 0, "Work on the bottom is too small."),
    (DIVE_WORK, "name", 1, " sling   THE lost ladder", "Two items are called Sling the lost ladder"),
    (DIVE_WORK, "name", 1, "x" * 61, "Item is too long: 61 letters."),
    (DIVE_WORK, "splittable", 1, "maybe", "Splittable is neither yes nor no."),
    (DIVE_WORK, "gear", 1, "heavy dres", "Dress cannot be heavy dres. Did you mean heavy dress?"),
    (
        DIVE_WORK,
        "station",
        1,
        "Nort stage",
        "There is no station called Nort stage. Did you mean North stage?",
    ),
    (DIVE_WORK, "priority", 1, 9, "Priority is too large."),
    (SURFACE_WORK, "name", 0, "FENDER bolts, berth face", "Two items are called Fender bolts, berth face"),
    (SURFACE_WORK, "crew", 2, "2 rigger", "The number of people stands after the duty, not before it."),
    (SURFACE_WORK, "crew", 2, "rigger 40", "A crew cannot have 40 rigger."),
    (PEOPLE, "name", 3, "catrin llewelyn", "Two people are called Catrin Llewelyn"),
    (PEOPLE, "duties", 0, "supervisr", "There is no duty called supervisr. Did you mean supervisor?"),
    (PEOPLE, "duties", 0, "supervisor, tender", "Split several names by semicolons."),
    (PEOPLE, "duties", 0, "supervisor; Supervisor", "Duties names Supervisor twice."),
    (PEOPLE, "duties", 0, None, "Duties must be filled in."),
    (PEOPLE, "depth_rating_fsw", 9, 0, "Marek Sobotka may be diver, but has no depth rating."),
    (
        PEOPLE,
        "medical_expires",
        9,
        date(2027, 3, 15),
        "The medical of Marek Sobotka expired before the job's",
    ),
    (PEOPLE, "medical_expires", 9, "15/03/2027", "Medical valid until is not a date."),
    (PEOPLE, "medical_expires", 9, "2027-02-30", "There is no such day."),
    (PEOPLE, "medical_expires", 9, datetime(2027, 11, 30, 8), "Medical valid until holds a time of day"),
    (PEOPLE, "last_duty_time", 11, "25:00", "Last duty ended, time is not a time of day."),
    (PEOPLE, "last_duty_time", 11, None, "The last duty has a day but no time."),
    (PEOPLE, "last_duty_day", 11, date(2027, 3, 16), "The last duty of Emeka Nwachukwu before the job ends"),
    (PEOPLE, "arrived_day", 11, date(2027, 3, 15), "The arrival at altitude has only one of day and time."),
    (CERTIFICATES, "expires", 0, date(2026, 1, 1), "The certificate confined space of Marek Sobotka expired"),
    (CERTIFICATES, "name", 0, None, "Certificate must be filled in."),
    (DUTY_CERTIFICATES, "duty", 0, "supervisor", "Certificate must be filled in."),
    (CERTIFICATES, "person", 0, "Marek Sobotkov", "There is no person called Marek Sobotkov. Did you mean"),
    (PAST_DIVES, "group_after", 0, "P", "U.S. Navy Diving Manual, Revision 7 has no group P."),
    (PAST_DIVES, "day", 0, date(2027, 3, 17), "A past dive of Marek Sobotka ends after the job's day"),
    (TIDE, "day", 0, date(2026, 3, 15), "Day is too far from the job's first day."),
    (PAST_DIVES, "bottom_time_min", 0, None, "Bottom time must be filled in."),
    (HOURS_WORKED, "until", 0, "06:00", "A stretch of work of Sunniva Aasland ends before it starts."),
    (HOURS_WORKED, "until_day", 0, date(2027, 3, 16), "end after the job's day has started"),
    (ON_SITE, "until", 0, "06:45", "A stretch on site of Iosefa Tuilagi-Moe ends before it starts."),
    (ON_SITE, "from", 0, 7, "From is not a time of day."),
    (ON_SITE, "from", 0, time(7, 0, 30), "From has seconds; times are in whole minutes."),
    (ON_SITE, "from", 0, datetime(2027, 3, 18, 7, 0), "From carries another day."),
    (WINDOWS, "until", 0, "08:00", "A window of Scour survey, toe wall ends before it starts."),
    (WINDOWS, "item", 0, "Scour survey", "There is no item called Scour survey. Did you mean Scour survey"),
    (ORDER, "after", 0, "Sling the lost ladder", "Sling the lost ladder is set after itself"),
    (ORDER, "after", 0, "Nothing like it", "There is no item called Nothing like it."),
    (ORDER, "lag_min", 0, -5, "Lag cannot be negative."),
    (NOT_TOGETHER, "other", 0, "Fender bolts, berth face", "is kept apart from itself"),
    (WATER_WINDOWS, "until", 0, "09:00", "The water window low slack ends before it starts."),
    (WATER_WINDOWS, "stations", 1, "North stage; West stage", "There is no station called West stage."),
    (TIDE, "level_ft", 0, 250, "Level is too large. Is the figure in another unit?"),
    (TIDE, "high", 0, "middle", "High or low cannot be middle."),
    (STATIONS, "name", 1, "NORTH STAGE", "Two stations are called North stage"),
    (OUTFITS, "straps_no", 1, "8", "The numbers of Heavy 9 disagree (helmet 9, breastplate 9, straps 8)"),
    (
        OUTFITS,
        "helmet_no",
        4,
        "21",
        "The light helmet helmet 21 stands in two outfits: Light 21 and Light 22.",
    ),
    (OUTFITS, "name", 1, "heavy 5", "Two outfits are called Heavy 5"),
    (OUTFITS, "inspection_due", 0, date(2027, 2, 1), "The next inspection of Heavy 5 is due before the last"),
    (
        OUTFITS,
        "helmet_no",
        3,
        date(2027, 3, 4),
        "Helmet no. holds a date or a truth value where text belongs",
    ),
    (BANKS, "pressure_psi", 0, 3500, "Reserve bank is charged above its working pressure."),
    (BANKS, "floodable_cuft_each", 0, -1.76, "Floodable volume cannot be negative."),
    (BANKS, "floodable_cuft_each", 0, 0, "Floodable volume must be more than nothing."),
    (BANKS, "floodable_cuft_each", 0, 1760, "Floodable volume is too large. Is the figure in another unit?"),
    (BANKS, "name", 0, "compressor  NORTH", "Two sources of air are called"),
    (AIR, "heavy_acfm", 0, 3, "Flow, heavy dress is too small."),
    (
        CREW_MINIMA,
        "duty",
        3,
        "standby dver",
        "There is no duty called standby dver. Did you mean standby diver?",
    ),
    (CREW_MINIMA, "source", 3, None, "Source must be filled in."),
    (
        DUTY_PAIRS,
        "with_duty",
        0,
        "air console",
        "A pair joins two duties, and this one names air console twice.",
    ),
    (DUTY_PAIRS, "with_duty", 0, "diver", "One who is diver can hold no second duty at the same time."),
    (RULES, "dives_a_day", 0, 12, "Dives a person a day is too large."),
    (RULES, "weight_3", 0, 100, "Priority 3 weighs more than priority 2"),
    (
        SITE,
        "time_zone",
        0,
        "Europe/Lundon",
        "The time zone Europe/Lundon is not known. Did you mean Europe/London?",
    ),
    (SITE, "time_zone", 0, "../../etc/passwd", "The time zone ../../etc/passwd is not known."),
    (SITE, "latitude_deg", 0, None, "A place needs its latitude and its longitude."),
    (SITE, "days", 0, 8, "Days is too large."),
    (SITE, "units", 0, "fathoms", "Units cannot be fathoms."),
    (SITE, "name", 0, None, "Job name must be filled in."),
    (SITE, "first_day", 0, None, "First day must be filled in."),
]


#: A stretch or a moment is told at its time, which is where its day was wrong.
_TOLD_AT = {
    ("People", "last_duty_day"): "last_duty_time",
    ("People", "arrived_day"): "arrived_time",
    ("Past dives", "day"): "from",
    ("Duty certificates", "duty"): "certificate",
    ("Hours worked", "until_day"): "until",
}


def test_what_these_tests_type_is_what_a_file_opens_with() -> None:
    """Text, number, date, time, truth value, formula without a value, error: saved, it opens as that cell."""
    typed = [case[3] for case in CASES]
    book, out = Workbook(), io.BytesIO()
    for value in typed:
        book.active.append([value])
    book.save(out)
    rows = open_book(out.getvalue()).sheets[0].rows
    assert [rows.get(n, {}).get(1) for n, _ in enumerate(typed, 1)] == [as_opened(v) for v in typed]


@pytest.mark.parametrize(
    ("sheet", "field", "row", "typed", "says"), CASES, ids=[f"{c[0].name}-{c[1]}-{c[3]}"[:60] for c in CASES]
)
def test_one_wrong_cell_is_one_fault_at_its_cell(
    sheet: JobSheet, field: str, row: int, typed: object, says: str
) -> None:
    """One cell changed in a good workbook gives one fault, at that cell, in its own sentence."""
    faults = faults_in(with_cells({(sheet, field, row): typed}))
    where = f"{sheet.name}!{cell(sheet, _TOLD_AT.get((sheet.name, field), field), row)}"
    (fault,) = (f for f in faults if f.where == where)
    assert says in fault.sentence
    assert fault.allowed
    # a name that is typed over is missed wherever it was used; nothing else may be told
    assert all(f is fault or f.sentence.startswith("There is no") for f in faults)


def test_each_kind_of_fault_has_a_sentence_of_its_own() -> None:
    """A wrong unit, a double name, a lapsed paper, a backward window, a self-reference, an unknown duty."""
    named = (
        (DIVE_WORK, "depth_fsw", 1, 900),
        (PEOPLE, "name", 3, "Catrin Llewelyn"),
        (CERTIFICATES, "expires", 0, date(2026, 1, 1)),
        (WINDOWS, "until", 0, "08:00"),
        (ORDER, "after", 0, "Sling the lost ladder"),
        (PEOPLE, "duties", 0, "supervisr"),
    )
    sentences = {only_fault(with_cells({(s, f, r): v})).sentence for s, f, r, v in named}
    assert len(sentences) == len(named)


def test_all_faults_are_found_together_in_the_order_of_the_sheets() -> None:
    """One workbook with a fault on many sheets reports each of them, each at its cell, sheet by sheet."""
    wrong: dict[tuple[JobSheet, str, int], object] = {
        (SITE, "days", 0): 30,
        (PEOPLE, "duties", 5): "tendr",
        (PEOPLE, "medical_expires", 9): date(2027, 3, 1),
        (CERTIFICATES, "expires", 1): date(2027, 3, 15),
        (PAST_DIVES, "depth_fsw", 0): 900,
        (ON_SITE, "until", 0): "06:00",
        (DIVE_WORK, "bottom_work_min", 0): "long",
        (DIVE_WORK, "name", 2): "Anodes, dolphin 4",
        (ORDER, "after", 1): "Grout bags under the footing",
        (WATER_WINDOWS, "until", 0): "10:00",
        (OUTFITS, "breastplate_no", 0): "6",
        (BANKS, "pressure_psi", 0): 9000,
        (RULES, "standby_no_stop_min", 0): 15.5,
    }
    faults = faults_in(with_cells(wrong))
    assert [f.where for f in faults] == [f"{s.name}!{cell(s, f, r)}" for s, f, r in wrong]
    assert len({f.sentence for f in faults}) == len(wrong)


def test_a_fault_prints_place_sentence_found_and_allowed() -> None:
    """What a user sees holds the cell, the sentence, what was found and what is allowed."""
    told = str(only_fault(with_cells({(DIVE_WORK, "depth_fsw", 1): 900})))
    assert told.startswith(f"Dive work!{cell(DIVE_WORK, 'depth_fsw', 1)}: A depth of 900 fsw is deeper")
    assert "Found: 900 fsw." in told
    assert "from 1 to 220 fsw" in told


def test_a_priority_is_told_as_typed() -> None:
    """The heading says "Priority (1 to 5)": the range is no unit of the figure."""
    fault = only_fault(with_cells({(DIVE_WORK, "priority", 1): 7}))
    assert (fault.found, fault.allowed) == ("7", "a whole number from 1 to 5")


def test_pins_are_judged_with_their_cells() -> None:
    """A pin for someone who is not there, one whose time ends before it starts, one that says too little."""
    rows: tuple[dict[str, object], ...] = (
        {"kind": "dives", "item": "Pile wraps, bay 2", "person": "Aroha Ngata", "from": "09:00"},
        {"kind": "starts", "item": "pile wraps, bay 2", "from": "10:00", "until": "09:00"},
        {"kind": "dives", "item": "Pile wraps, bay 2"},
        {"kind": "stays up", "person": "Aroha Ngatai", "note": "ear trouble"},
    )
    cells = {(PINS, field, i): value for i, row in enumerate(rows) for field, value in row.items()}
    faults = faults_in(with_cells(cells))
    told = {f.where: f.sentence for f in faults}
    assert "Did you mean Aroha Ngatai?" in told[f"Pins!{cell(PINS, 'person', 0)}"]
    assert told[f"Pins!{cell(PINS, 'until', 1)}"] == "The pin's time ends before it starts."
    assert "does not say what is settled" in told[f"Pins!{cell(PINS, 'person', 2)}"]
    assert len(faults) == 3


def test_items_that_wait_in_a_circle_are_told_once() -> None:
    """A after B, B after C, C after A: one fault that names the ring."""
    rows = (
        ("Pile wraps, bay 2", "Scour survey, toe wall"),
        ("Scour survey, toe wall", "Clear the intake chamber"),
        ("Clear the intake chamber", "Pile wraps, bay 2"),
    )
    cells: dict[tuple[JobSheet, str, int], object] = {}
    for row, (item, after) in enumerate(rows, start=2):
        cells[(ORDER, "item", row)] = item
        cells[(ORDER, "after", row)] = after
    fault = only_fault(with_cells(cells))
    assert "wait for one another in a circle" in fault.sentence
    assert all(item in fault.sentence for item, _ in rows)
    assert fault.where.startswith("Order!B")


def test_an_implausible_depth_in_metres_names_the_feet() -> None:
    """70 m is 230 fsw (1 ft = 0.3048 m, NIST SP 811), deeper than the tables go."""
    site = tidal_pier.SITE.replace(units=UnitSystem.METRIC)
    fault = only_fault(with_cells({(DIVE_WORK, "depth_fsw", 1): 70}, tidal_pier.job().replace(site=site)))
    assert "A depth of 70 m, which is 230 fsw, is deeper than any dive on air" in fault.sentence
    assert "from 0.3 to 67.05 m" in fault.allowed


def test_an_item_whose_certificate_nobody_holds_is_no_fault() -> None:
    """That is a reason in the plan, not a fault of the workbook."""
    assert faults_in(with_cells({(DIVE_WORK, "certificates", 1): "hyperbaric welding"})) == ()


def test_references_match_in_any_case_and_spacing() -> None:
    """A reference that differs in capitals and blanks means the same thing and takes its spelling."""
    job = read(
        with_cells(
            {
                (ORDER, "after", 0): "land  the LIFTING frame",
                (DIVE_WORK, "station", 0): "south stage ",
                (PEOPLE, "duties", 5): "Tender; RIGGER",
                (CERTIFICATES, "name", 1): "Confined  Space",
            }
        )
    )
    assert job == tidal_pier.job()


def _rename(old: str, new: str) -> bytes:
    def change(book: Workbook) -> None:
        book[old].title = new

    return changed(workbook_of(tidal_pier.job()), change)


def test_a_missing_sheet_that_is_needed_is_told_with_the_tab_that_looks_like_it() -> None:
    """A misspelt tab is two facts: the sheet is missing, and which tab was meant for it."""
    faults = faults_in(_rename("People", "Peple"))
    sentences = [f.sentence for f in faults]
    assert "The workbook lacks the sheet People." in sentences
    assert "Peple is not a sheet of a job. Did you mean People?" in sentences
    # nothing is said of the many rows that name people
    assert len(faults) == 2


@pytest.mark.parametrize("alike", ["\u200b", "\u00ad", "\ufe0f"])
def test_a_person_cannot_stand_there_twice_under_names_that_look_alike(alike: str) -> None:
    """One man under two names that nobody can tell apart could stand by for himself: two faults say so."""
    first = tidal_pier.job().people[0].name
    faults = faults_in(with_cells({(PEOPLE, "name", 1): first[:2] + alike + first[2:]}))
    told = " ".join(f.sentence for f in faults)
    assert "Two people are called" in told
    assert "a character that cannot be seen" in told


def test_a_misspelt_tab_of_an_optional_sheet_is_not_passed_over() -> None:
    """Without this the rows on it would be lost without a word."""
    fault = only_fault(_rename("Windows", "Window"))
    assert fault.sentence == "Window is not a sheet of a job. Did you mean Windows?"


def test_sheets_of_the_users_own_are_not_read() -> None:
    """A tab with notes is nobody's business."""

    def add(book: Workbook) -> None:
        book.create_sheet("Cook's list")["A1"] = "40 eggs"

    assert faults_in(changed(workbook_of(tidal_pier.job()), add)) == ()


def test_a_missing_and_a_strange_column_are_both_told() -> None:
    """A misspelt heading leaves a needed column out and stands there as an unknown one."""
    content = changed(
        workbook_of(tidal_pier.job()),
        lambda book: book["Dive work"].__setitem__(
            heading(DIVE_WORK, "bottom_work_min"), "Work on the botom (min)"
        ),
    )
    sentences = [f.sentence for f in faults_in(content)]
    assert "The sheet Dive work lacks the column Work on the bottom." in sentences
    assert any("has no column called Work on the botom (min). Did you mean" in s for s in sentences)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("Depth (m)", "Depth is in m here, but the sheet Site says that the workbook is in fsw, psi, cu ft."),
        ("Depth", "Depth does not say its unit."),
        ("Depth (fathoms)", "Depth is in a unit that is not known: fathoms."),
    ],
)
def test_a_heading_with_a_wrong_unit_is_a_fault(typed: str, says: str) -> None:
    """A figure is never read in a unit that the workbook leaves in doubt."""
    content = changed(
        workbook_of(tidal_pier.job()),
        lambda book: book["Dive work"].__setitem__(heading(DIVE_WORK, "depth_fsw"), typed),
    )
    fault = only_fault(content)
    assert fault.sentence == says
    assert fault.where == f"Dive work!{heading(DIVE_WORK, 'depth_fsw')}"


def test_changing_the_units_of_a_filled_workbook_is_refused_heading_by_heading() -> None:
    """Setting Site to metric does not turn 46 fsw into 46 m."""
    faults = faults_in(with_cells({(SITE, "units", 0): "metres, bar, litres"}))
    assert {f.sentence.split(" is in ")[0] for f in faults} >= {
        "Depth",
        "Depth rating",
        "Pressure",
        "Altitude",
    }
    assert all("but the sheet Site says" in f.sentence for f in faults)


def test_a_cell_beside_the_table_is_not_lost_in_silence() -> None:
    """Content under no heading is told."""
    content = changed(
        workbook_of(tidal_pier.job()), lambda book: book["Stations"].__setitem__("H7", "north is upwind")
    )
    fault = only_fault(content)
    assert (fault.where, fault.found) == ("Stations!H7", "north is upwind")
    assert "stands under no heading" in fault.sentence


def test_blank_rows_are_passed_over() -> None:
    """Rows may be left blank between others, also with blanks typed into them."""

    def space_out(book: Workbook) -> None:
        for column in "ABCDE":
            book["Stations"][f"{column}9"] = book["Stations"][f"{column}7"].value
            book["Stations"][f"{column}7"] = "   "

    assert read_job(changed(workbook_of(tidal_pier.job()), space_out)) == tidal_pier.job()


def test_an_unknown_and_a_double_setting_are_told() -> None:
    """A setting that nothing reads would be lost; one that stands twice leaves open which holds."""

    def change(book: Workbook) -> None:
        book["Site"]["A40"], book["Site"]["B40"] = "Watr", "salt"
        book["Site"]["A41"], book["Site"]["B41"] = "Water", "salt"
        book["Site"]["B42"] = "alone"

    sentences = [f.sentence for f in faults_in(changed(workbook_of(tidal_pier.job()), change))]
    assert sentences == [
        "There is no setting called Watr. Did you mean Water?",
        "The setting Water stands there twice.",
        "This value stands beside no setting.",
    ]


def test_a_time_that_the_clocks_skip_is_a_fault() -> None:
    """In London the clocks skip 01:00 to 02:00 on 28 March 2027 (last Sunday of March: tz database)."""
    site = tidal_pier.SITE.replace(first_day=date(2027, 3, 28), day_start=time(0, 30), day_end=time(12))
    job = tidal_pier.job().replace(site=site, water_windows=(), tide_marks=())
    fault = only_fault(with_cells({(ON_SITE, "from", 0): "01:30"}, job))
    assert "does not exist on that day: the clocks are set forward past it" in fault.sentence
