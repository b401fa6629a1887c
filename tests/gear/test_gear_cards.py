"""Hold points and their signatures; cards as data and on paper."""

from __future__ import annotations

import subprocess
from collections.abc import Iterable
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from planner import CAUTION
from planner.air import air_report
from planner.charts.palette import duty_style
from planner.errors import InputFaults
from planner.files import write_whole
from planner.gear import (
    HoldPointSignature,
    bench_steps,
    dressing_cards,
    hold_points,
    inspection_cards,
    missing_signatures,
    refuse_unsigned,
    signature_faults,
)
from planner.job import BenchList, Gear, Job, OutfitState
from planner.plan.model import Plan
from planner.sheets.bill import Bill
from planner.sheets.dressing import together_letters, write_dressing_cards, write_inspections
from planner.sheets.layout import printed_book
from tests.world.lock import dive, item, job, outfit, plan

DRESSING = bench_steps(Gear.HEAVY, BenchList.DRESSING)


def _signed(person: str | None = None, dive: str = "1", outfit: str = "H1") -> list[HoldPointSignature]:
    """Every hold point signed, by the named person or by one who may."""
    may = {"supervisor": "Fay", "tender": "Cy"}
    return [
        HoldPointSignature(
            step=s.id, person=person or may[s.signed_by], at_min=500 + n, outfit=outfit, dive=dive
        )
        for n, s in enumerate(hold_points(DRESSING))
    ]


def test_all_hold_points_signed_passes() -> None:
    """Six signatures by people of the right duty: nothing is missing."""
    assert missing_signatures(DRESSING, _signed(), outfit="H1", dive="1") == ()
    refuse_unsigned(job(), DRESSING, _signed(), outfit="H1", dive="1")


def test_a_missing_hold_point_is_named_and_refused() -> None:
    """One signature short: the list is refused and the step is named."""
    signed = [s for s in _signed() if s.step != "heavy-telephone"]
    assert [s.id for s in missing_signatures(DRESSING, signed, outfit="H1", dive="1")] == ["heavy-telephone"]
    with pytest.raises(InputFaults) as caught:
        refuse_unsigned(job(), DRESSING, signed, outfit="H1", dive="1")
    (fault,) = caught.value.faults
    assert fault.where == "outfit H1, dive 1: heavy-telephone"
    assert "not signed" in fault.sentence
    assert "supervisor" in fault.allowed


def test_a_signature_for_another_dive_does_not_count() -> None:
    """What was signed for one dive or outfit says nothing about the next."""
    assert len(missing_signatures(DRESSING, _signed(dive="2"), outfit="H1", dive="1")) == 6
    assert len(missing_signatures(DRESSING, _signed(outfit="H2"), outfit="H1", dive="1")) == 6


def test_the_wrong_hand_is_refused() -> None:
    """A tender cannot sign for the supervisor, a stranger for nobody, and only hold points are signed."""
    by_tender = signature_faults(job(), DRESSING, _signed("Cy"), outfit="H1", dive="1")
    assert len(by_tender) == sum(s.signed_by == "supervisor" for s in DRESSING) == 3
    assert len(signature_faults(job(), DRESSING, _signed("Zoe"), outfit="H1", dive="1")) == 6
    extra = HoldPointSignature(step="heavy-collar", person="Cy", at_min=500, outfit="H1", dive="1")
    (fault,) = signature_faults(job(), DRESSING, [*_signed(), extra], outfit="H1", dive="1")
    assert "no such hold point" in fault.sentence


def test_a_card_for_the_diver_and_one_for_the_standby() -> None:
    """Names, outfit and number; connecting comes before dressing; hold points are blank until signed."""
    diver, standby = dressing_cards(plan(dive()), job())
    assert (diver.diver, diver.tenders, diver.supervisor) == ("Ana", ("Cy", "Di"), "Fay")
    assert (diver.outfit, diver.outfit_numbers) == ("H1", "11")
    assert (diver.dress_start, diver.leave_surface) == ("08:00", "08:30")
    assert (standby.diver, standby.tenders, standby.duty) == ("Bo", ("Ed",), "standby diver")
    lists = [line.step.list for line in diver.lines]
    assert lists == sorted(lists, key=list(BenchList).index)
    assert lists[0] is BenchList.CONNECTING and lists[-1] is BenchList.DRESSING
    assert all(line.signed_by == "" for line in diver.lines)


def test_given_signatures_stand_on_the_card() -> None:
    """A signed hold point shows who and when; the standby's card stays blank."""
    diver, standby = dressing_cards(plan(dive()), job(), _signed())
    signed = {line.step.id: (line.signed_by, line.signed_at) for line in diver.lines if line.signed_by}
    assert signed["heavy-nuts-again"] == ("Cy", "08:20")
    assert len(signed) == 6
    assert all(line.signed_by == "" for line in standby.lines)


def _two_dives() -> Plan:
    """A second dive whose standby duty begins when the first dive has surfaced."""
    first, second = plan(dive()), plan(dive(start=540, divers=(("Ana", "H4"),)))
    up = first.dives[0].reach_surface_min
    other = second.dives[0].replace(id="2")
    duties = tuple(
        s.replace(dive="2", start_min=up if s.duty not in ("diver", "tender") else s.start_min)
        for s in second.duties
    )
    return first.replace(dives=(*first.dives, other), duties=(*first.duties, *duties))


def test_a_standby_who_stays_dressed_gets_one_card() -> None:
    """Two dives in a row with the same standby in the same outfit: he is dressed once."""
    outfits = (*job().outfits, outfit("H4", "14"))
    cards = dressing_cards(_two_dives(), job(outfits=outfits))
    assert [(c.dive, c.diver) for c in cards] == [("1", "Ana"), ("1", "Bo"), ("2", "Ana")]


def test_tenders_are_shared_out_to_two_divers() -> None:
    """Four tenders, two divers: two each."""
    base = plan(dive())
    only = base.dives[0]
    second = only.divers[0].replace(person="Gil", outfit="H3")
    more = tuple(base.duties[1].replace(person=name) for name in ("Hal", "Ida"))
    both = base.replace(dives=(only.replace(divers=(*only.divers, second)),), duties=(*base.duties, *more))
    cards = dressing_cards(both, job())
    assert [c.tenders for c in cards[:2]] == [("Cy", "Di"), ("Hal", "Ida")]


def test_inspection_cards() -> None:
    """One for each outfit that the plan uses; without a plan for every outfit."""
    assert [c.outfit for c in inspection_cards(plan(dive()), job())] == ["H1", "H2"]
    assert [c.outfit for c in inspection_cards(None, job())] == ["H1", "H2", "H3", "L1"]


def _book(
    path: Path,
    plan_of: Plan,
    job_of: Job,
    *,
    paper: str = "A4",
    signatures: Iterable[HoldPointSignature] = (),
) -> openpyxl.Workbook:
    """The two sheets for the bench in a workbook of their own."""
    printed = printed_book("test", paper, job_of.site.name, "facts")
    bill = Bill(plan_of, job_of, air_report(plan_of, job_of), (), duty_style(job_of), printed)
    signed = tuple(signatures)
    write_inspections(bill, signed)
    write_dressing_cards(bill, signed)
    write_whole(printed.book, path)
    return openpyxl.load_workbook(path)


def _texts(sheet: object) -> list[str]:
    return [str(c.value) for row in sheet.iter_rows() for c in row if c.value is not None]  # type: ignore[attr-defined]


def test_sheets_carry_the_facts(tmp_path: Path) -> None:
    """Caution on each sheet; names, numbers and every step on the card; only outfits that are worn."""
    book = _book(tmp_path / "b.xlsx", plan(dive()), job(), signatures=_signed())
    assert book.sheetnames == ["Inspection", "Dressing cards"]
    for sheet in book.worksheets:
        assert CAUTION in _texts(sheet)
    cards = _texts(book["Dressing cards"])
    for step in DRESSING:
        assert cards.count(step.do) == 2
    assert {"Ana", "Bo", "outfit H1, number 11", "Cy 08:20"} <= set(cards)
    inspected = _texts(book["Inspection"])
    assert "H1" in inspected and "H3" not in inspected


def test_user_text_never_becomes_a_formula(tmp_path: Path) -> None:
    """Names and notes that begin like a formula stay text."""
    nasty = outfit("=1+1", "11", state=OutfitState.READY, state_note="=cmd|x")
    base = job()
    people = tuple(p.replace(name="@Ana") if p.name == "Ana" else p for p in base.people)
    own = base.replace(outfits=(nasty, outfit("H2", "12")), people=people)
    named = plan(dive(divers=(("Ana", "=1+1"),)))
    only = named.dives[0]
    named = named.replace(dives=(only.replace(divers=(only.divers[0].replace(person="@Ana"),)),))
    book = _book(tmp_path / "b.xlsx", named, own)
    kinds = {c.data_type for s in book.worksheets for row in s.iter_rows() for c in row}
    assert "f" not in kinds
    assert "@Ana" in _texts(book["Dressing cards"])


def test_nothing_to_print_says_so(tmp_path: Path) -> None:
    """A plan without dives and a job without outfits give two sheets that say so."""
    empty = plan(dive()).replace(dives=(), duties=())
    book = _book(tmp_path / "b.xlsx", empty, job(outfits=()))
    assert "Nobody dresses in this plan." in _texts(book["Dressing cards"])
    assert "No outfit is used in this plan." in _texts(book["Inspection"])


@pytest.mark.paper
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_each_card_is_one_page(tmp_path: Path, paper: str) -> None:
    """On A4 and Letter: the inspection sheet, and one page for each of the two heavy cards."""
    _book(tmp_path / "b.xlsx", plan(dive()), job(), paper=paper)
    subprocess.run(
        [
            "soffice",
            f"-env:UserInstallation=file://{tmp_path}/office",
            "--headless",
            "--convert-to",
            "pdf",
            "--outdir",
            str(tmp_path),
            str(tmp_path / "b.xlsx"),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    pages = [page.extract_text() for page in PdfReader(tmp_path / "b.pdf").pages]
    assert len(pages) == 3
    assert "Ana" in pages[1] and "Faceplate last" in pages[1]
    assert "Bo" in pages[2] and "Faceplate last" in pages[2]


def test_letters_of_groups() -> None:
    """Steps done at the same time share a letter; steps on their own have none."""
    (card, *_) = dressing_cards(plan(dive()), job())
    letters = dict(zip((line.step.id for line in card.lines), together_letters(card.lines), strict=True))
    assert letters["heavy-lace-left"] == letters["heavy-lace-right"] != ""
    assert letters["heavy-lace-left"] != letters["heavy-shoe-left"]
    assert letters["heavy-collar"] == ""


def test_light_helmet_cards(tmp_path: Path) -> None:
    """A light helmet has its own list, with one tender."""
    light = job(dive_items=(item(gear=Gear.LIGHT),))
    book = _book(tmp_path / "b.xlsx", plan(dive(divers=(("Ana", "L1"),))), light)
    texts = _texts(book["Dressing cards"])
    assert any("Bailout" in t for t in texts)
    assert "Light helmet" in _texts(book["Inspection"])
