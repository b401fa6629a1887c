"""A new job typed in, in three steps: the job of the road, with nothing typed lost on the way."""

from __future__ import annotations

from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from planner.errors import InputFaults
from planner.job import UnitSystem
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.places import places
from planner.screens.desk import Desk
from planner.screens.editing.new_job import (
    CREW_FIELDS,
    DIVE_FIELDS,
    add_rows,
    begun,
    by_default,
    coming,
    have_come,
    made,
    show_in,
    take_from,
)
from planner.screens.editing.pasted import pasted_rows
from planner.screens.editing.sheets import TypedFigure
from planner.screens.session import bring_back
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import DIVE_WORK, PEOPLE
from planner.workbook.job_writer import write_job
from tests.browser.new_job_texts import CREW
from tests.screens.app_pages import page_of, words_of

DIVES = "Cut pile 4\t40\t30\t1\nLook at anodes\t30\t20"

DAY = date(2027, 3, 16)


def _typed(crew: str = CREW, dives: str = DIVES, units: UnitSystem = UnitSystem.FEET) -> Desk:
    draft = begun(DAY, units)
    add_rows(draft, PEOPLE.name, pasted_rows(PEOPLE, CREW_FIELDS, crew, units))
    add_rows(draft, DIVE_WORK.name, pasted_rows(DIVE_WORK, DIVE_FIELDS, dives, units))
    at = {"time_zone": "Europe/Lisbon", "latitude_deg": 38.72, "longitude_deg": -9.13}
    draft.edits.typed["Site"] = {"name": "Pier 4", **at}
    return draft


def test_what_is_typed_is_the_job_of_the_road() -> None:
    """Seven people and two dives make a job that its own workbook gives back to the last field."""
    job, left = made(_typed())
    assert job is not None and left == ()
    assert [p.name for p in job.people][::6] == ["Ana Reyes", "Gus Holm"]
    dives = [(i.depth_fsw, i.bottom_work_min, i.priority) for i in job.dive_items]
    assert dives == [(40, 30, 1), (30, 20, 3)]
    book = BytesIO()
    write_job(job, book)
    book.seek(0)
    assert read_job(book) == job


def test_metres_are_rounded_to_the_safe_side() -> None:
    """12 m typed while metres are shown are 40 fsw (39.37), in a job that goes out in metres."""
    job, _ = made(_typed(CREW.replace("100", "30"), "Cut pile 4, 12, 30", UnitSystem.METRIC))
    assert job is not None
    assert (job.dive_items[0].depth_fsw, job.site.units) == (40, UnitSystem.METRIC)


def test_units_switched_on_the_way_keep_what_was_typed() -> None:
    """40 fsw typed, then metres shown: still 40 fsw, in a job in metres."""
    draft = _typed()
    show_in(draft, UnitSystem.METRIC)
    job, _ = made(draft)
    assert job is not None and job.dive_items[0].depth_fsw == 40
    assert job.site.units is UnitSystem.METRIC


def test_what_is_missing_is_told_in_turn() -> None:
    """A bare job lacks a name, a place, people and work, each told once; one typed row too many is told with
    its row."""
    assert made(begun(DAY, UnitSystem.FEET)) == (
        None,
        (
            "Job name must be filled in.",
            "Choose the place.",
            "The job has nobody to do it.",
            "The job has no work to plan.",
        ),
    )
    job, told = made(_typed(crew=f"{CREW}\nAna Reyes, tender"))
    assert job is None and told[0].startswith("People, row ")


def test_work_that_the_crew_cannot_do_is_told_before_the_plan() -> None:
    """With one diver nobody can stand by: the job is one to plan, and both dives are told to be left over."""
    few = "\n".join(line for line in CREW.splitlines() if not line.startswith(("Cy", "Di")))
    job, left = made(_typed(crew=few))
    assert job is not None
    assert [line.partition(":")[0] for line in left] == ["Cut pile 4", "Look at anodes"]


def test_a_list_typed_with_semicolons_falls_apart() -> None:
    """As many a spreadsheet writes its text files: cells by semicolons, a cell that holds some in quotes."""
    rows = pasted_rows(
        PEOPLE, CREW_FIELDS, 'Zoe Mann; tender\nAna Reyes;"diver; tender"; 90', UnitSystem.FEET
    )
    assert [(row.cells["name"], row.cells["duties"]) for row in rows] == [
        ("Zoe Mann", "tender"),
        ("Ana Reyes", "diver; tender"),
    ]
    assert rows[1].cells["depth_rating_fsw"] == TypedFigure(90, UnitSystem.FEET)


@pytest.mark.parametrize("typed", ["18 m", "90ft", "90 fsw", "18,5 m"])
def test_a_unit_beside_a_figure_is_told_with_the_one_that_is_wanted(typed: str) -> None:
    """Which unit the column is in; nothing is guessed."""
    with pytest.raises(InputFaults) as told:
        pasted_rows(DIVE_WORK, DIVE_FIELDS, f"Anodes\t{typed}\t90", UnitSystem.FEET)
    [fault] = told.value.faults
    assert str(fault).count("the number alone, in fsw") == 1


def test_duties_parted_by_commas_are_told_what_parts_them() -> None:
    """The second duty stands where the rating belongs: the fault says how duties are parted."""
    with pytest.raises(InputFaults) as told:
        pasted_rows(PEOPLE, CREW_FIELDS, "Zoe Mann, diver, tender", UnitSystem.FEET)
    assert "Several duties in one cell are parted by semicolons." in str(told.value.faults[0])


def test_faults_of_pasted_rows_are_told_by_line_and_nothing_is_taken() -> None:
    """A depth in words, one beyond the tables and a cell too many are three faults, each with its line; a
    line of headings and blank lines are none."""
    text = "Item, Depth, Work\nCut, deep, 30\n\nWeld, 900, 30\nLook, 30, 20, 1, extra"
    with pytest.raises(InputFaults) as found:
        pasted_rows(DIVE_WORK, DIVE_FIELDS, text, UnitSystem.FEET)
    assert [fault.where for fault in found.value.faults] == ["line 2, Depth", "line 4, Depth", "line 5"]


def test_a_crew_of_an_earlier_job_is_ticked_in_and_out(sample: Path) -> None:
    """People come with duties and certificates, without the hours and dives of that job's days; who is ticked
    out is gone with his certificates, and who is ticked in again is as before; gear and rules come along."""
    earlier = read_job(sample)
    draft = begun(DAY, UnitSystem.FEET)
    add_rows(draft, PEOPLE.name, pasted_rows(PEOPLE, CREW_FIELDS, "Zoe Mann, tender", UnitSystem.FEET))
    take_from(draft, earlier, earlier.site.name)
    names = [p.name for p in earlier.people if p.duties & set(BUILT_IN_DUTIES)]
    assert coming(draft) == names
    certified = next(p.name for p in earlier.people if p.certificates)
    have_come(draft, [n for n in names if n != certified])
    assert coming(draft) == [n for n in names if n != certified]
    add_rows(draft, DIVE_WORK.name, pasted_rows(DIVE_WORK, DIVE_FIELDS, DIVES, UnitSystem.FEET))
    draft.edits.typed["Site"] = {**dict(draft.edits.typed["Site"]), "name": "Pier 4"}  # type: ignore[call-overload]
    job, told = made(draft)
    assert job is not None, told
    assert {p.name for p in job.people} == {*names, "Zoe Mann"} - {certified}
    assert (job.outfits, job.rules, job.site.time_zone) == (
        earlier.outfits,
        earlier.rules,
        earlier.site.time_zone,
    )
    have_come(draft, names)
    job, _ = made(draft)
    assert job is not None
    again, before = job.person(certified), earlier.person(certified)
    assert (again.certificates, again.duties) == (before.certificates, before.duties & set(BUILT_IN_DUTIES))
    assert again.past_dives == () and again.available == ()


@pytest.fixture
def sample() -> Path:
    return Path(__file__).parents[2] / "sample_jobs" / "tidal_pier.xlsx"


def _button(test: AppTest, label: str) -> None:
    next(b for b in test.button if b.label == label).click().run()


def test_the_page_from_bare_to_open() -> None:
    """Typed on the page: what is half typed outlives a restart, and the press opens the job with what is
    taken by default told."""
    test, here = page_of("new-job")
    assert "Not ready yet. Job name must be filled in." in words_of(test)
    assert here.is_empty
    test.text_area(key="new_crew").set_value(CREW).run()
    _button(test, "Add these people")
    test.text_area(key="new_dives").set_value("Cut pile 4, 40, 30, 1").run()
    _button(test, "Add these dives")
    test.text_input[0].set_value("Pier 4").run()
    kept, _ = bring_back(here.token)
    assert kept is not None and kept.drafting and not kept.is_empty
    assert kept.draft is not None and here.draft is not None
    assert kept.draft.edits.typed == here.draft.edits.typed
    place = next(s for s in test.selectbox if s.label == "Place")
    place.set_value("Europe/Lisbon").run()
    assert "Ready to plan: 7 people, 1 dive item." in words_of(test)
    _button(test, "Open it and plan")
    assert not test.exception
    assert here.job is not None and not here.drafting
    assert (here.job.site.name, here.job.site.latitude_deg) == ("Pier 4", 38.72)


def test_what_is_typed_for_one_table_stays_while_another_takes_rows() -> None:
    """Dives half typed are there after the crew was added, and a fault leaves the text to be mended."""
    test, _ = page_of("new-job")
    test.text_area(key="new_dives").set_value("Cut, deep").run()
    test.text_area(key="new_crew").set_value(CREW).run()
    _button(test, "Add these people")
    assert test.text_area(key="new_dives").value == "Cut, deep"
    assert test.text_area(key="new_crew").value == ""
    _button(test, "Add these dives")
    assert test.text_area(key="new_dives").value == "Cut, deep"
    assert any("line 1, Depth" in str(table.value) for table in test.table)


def test_what_holds_by_default_is_told_with_its_page() -> None:
    """Ways up, outfits taken as ready and the least team are told, each with the page that changes it."""
    job, _ = made(_typed())
    assert job is not None
    told = by_default(job)
    assert told["Ways up"] == ("no-stop only", "Site and water")
    assert told["Outfits, taken as ready"] == ("Outfit 1, Outfit 2", "Gear and air")
    assert told["Least team"] == ("five and a console", "Crew rules")


def test_places_are_those_of_the_zone_database() -> None:
    """Lisbon stands at 38°43' N 9°08' W in zone.tab; the position is told to a hundredth of a degree."""
    lisbon = places()["Europe/Lisbon"]
    assert (lisbon.latitude_deg, lisbon.longitude_deg) == (38.72, -9.13)
    assert lisbon.label == "Lisbon, Portugal (mainland)"
    assert lisbon.position == "38.72 N, 9.13 W"
    # With seconds: -690022+0393524 is 69°00'22" S, 39°35'24" E.
    assert places()["Antarctica/Syowa"].position == "69.01 S, 39.59 E"
    labels = [place.label for place in places().values()]
    assert len(set(labels)) == len(labels) > 400
