"""Cards of the bench as data and on paper."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from planner import CAUTION
from planner.air import air_report
from planner.charts.palette import duty_style
from planner.files import write_whole
from planner.gear.cards import dressing_cards, inspection_cards
from planner.gear.steps import bench_steps
from planner.job import BenchList, Gear, Job, OutfitState
from planner.job.gear import TENDERS
from planner.plan.model import Plan
from planner.sheets.bill import Bill
from planner.sheets.dressing import SIDES, bench_rows, write_dressing_cards, write_inspections
from planner.sheets.layout import printed_book
from tests.world.lock import dive, item, job, outfit, plan
from tests.world.office import printed
from tests.world.sample_plans import SAMPLES, planned

DRESSING = bench_steps(Gear.HEAVY, BenchList.DRESSING)
ON_A_CARD = (BenchList.CONNECTING, BenchList.DRESSING)


def test_a_card_for_the_diver_and_one_for_the_standby() -> None:
    """Names, outfit and number; connecting comes before dressing."""
    diver, standby = dressing_cards(plan(dive()), job())
    assert (diver.diver, diver.tenders, diver.supervisors) == ("Ana", ("Cy", "Di"), ("Fay",))
    assert (diver.outfit, diver.outfit_numbers) == ("H1", "11")
    assert (diver.dress_start, diver.leave_surface) == ("08:00", "08:30")
    assert (standby.diver, standby.tenders, standby.duty) == ("Bo", ("Ed",), "standby diver")
    lists = [line.step.list for line in diver.lines]
    assert lists == sorted(lists, key=list(BenchList).index)
    assert lists[0] is BenchList.CONNECTING and lists[-1] is BenchList.DRESSING


def _two_dives() -> Plan:
    """A second dive whose standby duty begins when the first dive has surfaced."""
    first, second = plan(dive()), plan(dive(start=540, divers=(("Ana", "H4"),)))
    up = first.dives[0].reach_surface_min
    other = second.dives[0].replace(id="2")
    duties = tuple(
        s.replace(dive="2", start_min=up if s.duty not in ("diver", "tender") else s.start_min)
        for s in second.duties
    )
    stays = tuple(s.replace(end_min=up) if s.duty == "standby diver" else s for s in first.duties)
    return first.replace(dives=(*first.dives, other), duties=(*stays, *duties))


def test_a_standby_who_stays_dressed_gets_one_card() -> None:
    """Two dives in a row with the same standby in the same outfit: he is dressed once."""
    outfits = (*job().outfits, outfit("H4", "14"))
    cards = dressing_cards(_two_dives(), job(outfits=outfits))
    assert [(c.dive, c.diver) for c in cards] == [("1", "Ana"), ("1", "Bo"), ("2", "Ana")]


def test_the_standby_divers_card_has_his_own_start() -> None:
    """Where he dresses before the divers his card says when."""
    made = plan(dive())
    early = tuple(s.replace(start_min=450) if s.duty == "standby diver" else s for s in made.duties)
    cards = dressing_cards(made.replace(duties=early), job())
    assert [c.dress_start for c in cards] == ["08:00", "07:30"]


def test_a_card_names_who_dresses_not_who_takes_over() -> None:
    """The standby's tender changes when the dive is up, and his watch is cut in two before: his card has the
    one who is there when dressing begins, once. On the samples' cards are one or two names, each once, no
    more than the bench list is made for."""
    made = plan(dive())
    (watch,) = [s for s in made.duties if s.duty == "standby's tender"]
    half = (watch.start_min + watch.end_min) // 2
    spells = (
        watch.replace(end_min=half),
        watch.replace(start_min=half, end_min=watch.end_min - 5),
        watch.replace(start_min=watch.end_min - 5, person="Gil"),
    )
    others = tuple(s for s in made.duties if s != watch)
    cards = dressing_cards(made.replace(duties=(*others, *spells)), job())
    assert cards[1].tenders == ("Ed",)
    for sample in SAMPLES:
        its_job, its_plan = planned(sample)
        for card in dressing_cards(its_plan, its_job):
            assert 1 <= len(set(card.tenders)) == len(card.tenders) <= TENDERS[card.gear], (sample, card)


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


def _book(path: Path, plan_of: Plan, job_of: Job, *, paper: str = "A4") -> openpyxl.Workbook:
    """The two sheets for the bench in a workbook of their own."""
    printed = printed_book("test", paper, job_of.site.name, "facts")
    bill = Bill(plan_of, job_of, air_report(plan_of, job_of), (), duty_style(job_of), printed)
    write_inspections(bill)
    write_dressing_cards(bill)
    write_whole(printed.book, path)
    return openpyxl.load_workbook(path)


def _texts(sheet: object) -> list[str]:
    return [str(c.value) for row in sheet.iter_rows() for c in row if c.value is not None]  # type: ignore[attr-defined]


def test_sheets_carry_the_facts(tmp_path: Path) -> None:
    """Caution on each sheet; names, numbers and every step on the card; only outfits that are worn."""
    book = _book(tmp_path / "b.xlsx", plan(dive()), job())
    assert book.sheetnames == ["Inspection", "Dressing cards"]
    for sheet in book.worksheets:
        assert CAUTION in _texts(sheet)
    cards = _texts(book["Dressing cards"])
    for step in DRESSING:
        assert sum(step.do in text for text in cards) == 2
    assert {"Ana", "Bo · STANDBY", "outfit H1, number 11"} <= set(cards)
    signs = sum(s.hold_point for name in ON_A_CARD for s in bench_steps(Gear.HEAVY, name))
    assert cards.count("supervisor:") == 2 * signs
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
def test_no_card_is_longer_than_two_sides(tmp_path: Path, paper: str) -> None:
    """On A4 and Letter: inspection, two sides at most of each of the two heavy cards, one of undressing."""
    _book(tmp_path / "b.xlsx", plan(dive()), job(), paper=paper)
    pages = [page.extract_text() for page in printed(tmp_path / "b.xlsx").pages]
    ana, bo = (
        [page for page in pages if name in page and "First tender" in page] for name in ("Ana", "Bo ·")
    )
    undressing = [page for page in pages if "Undressing" in page]
    assert 1 <= len(ana) <= SIDES
    assert 1 <= len(bo) <= SIDES
    assert len(undressing) == 1
    assert "Faceplate last" in ana[-1] and "Faceplate last" in bo[-1]
    assert "STOP" in "".join(bo) and "STOP" not in "".join(ana)
    inspection = [page for page in pages if "Looked over" in page]
    assert len(inspection) <= SIDES
    assert len(pages) == len(ana) + len(bo) + len(inspection) + 1


def test_steps_done_at_once_stand_side_by_side() -> None:
    """Left leg in the first tender's column, right leg in the second's, in one row; what both do, across."""
    (card, *_) = dressing_cards(plan(dive()), job())
    rows = bench_rows(card.lines)
    legs = next(r for r in rows if r.first and r.first.step.id == "heavy-lace-left")
    assert legs.second is not None
    assert legs.second.step.id == "heavy-lace-right"
    collar = next(r for r in rows if r.together and r.together.step.id == "heavy-collar")
    assert (collar.first, collar.second) == (None, None)
    assert sorted(n.number for r in rows for n in r.lines) == [n.number for n in card.lines]


def test_a_hold_point_has_a_row_and_a_box_of_its_own() -> None:
    """One signature a box: no row has a hold point beside another step."""
    (card, *_) = dressing_cards(plan(dive()), job())
    rows = [r for r in bench_rows(card.lines) if r.hold is not None]
    assert [r.hold.step.id for r in rows if r.hold] == [n.step.id for n in card.lines if n.step.hold_point]
    assert all(len(r.lines) == 1 for r in rows)


def test_no_step_needs_what_comes_later() -> None:
    """The rows of a card keep the order of the list: within a row both tenders work at once, and no row
    stands before one whose steps come earlier."""
    for card in dressing_cards(plan(dive()), job()):
        lowest = [min(n.number for n in r.lines) for r in bench_rows(card.lines)]
        assert lowest == sorted(lowest)


def test_the_standbys_card_says_where_he_waits(tmp_path: Path) -> None:
    """All but the helmet, then STOP; on the word GO the rest, with its minutes (common practice)."""
    texts = _texts(_book(tmp_path / "b.xlsx", plan(dive()), job())["Dressing cards"])
    (stop,) = (n for n, text in enumerate(texts) if text.startswith("STOP."))
    assert "On the word GO: 13 min" in texts[stop]
    own = texts[texts.index("Bo · STANDBY") :]
    helmet = next(n for n, text in enumerate(own) if "Helmet lowered on" in text)
    belt = next(n for n, text in enumerate(own) if "Belt of about 84 lb" in text)
    assert belt < own.index(texts[stop]) < helmet


def test_cards_are_read_at_arms_length(tmp_path: Path) -> None:
    """No word of a card is smaller than 10 pt, and there is a card for undressing."""
    sheet = _book(tmp_path / "b.xlsx", plan(dive()), job())["Dressing cards"]
    sizes = {c.font.sz for row in sheet.iter_rows(min_row=5) for c in row if c.value not in (None, "")}
    assert min(sizes) >= 10
    assert "Undressing, heavy dress" in _texts(sheet)


def test_light_helmet_cards(tmp_path: Path) -> None:
    """A light helmet has its own list, with one tender."""
    light = job(dive_items=(item(gear=Gear.LIGHT),))
    book = _book(tmp_path / "b.xlsx", plan(dive(divers=(("Ana", "L1"),))), light)
    texts = _texts(book["Dressing cards"])
    assert any("Bailout" in t for t in texts)
    assert "Light helmet" in _texts(book["Inspection"])
