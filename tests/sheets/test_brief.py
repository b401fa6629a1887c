"""The sheet *Brief*: a page a day with what a crew is told, in type that is read at arm's length."""

from __future__ import annotations

import io
from functools import cache

import pytest
from openpyxl import load_workbook
from watchbill_reading import sheet, texts

from planner import CAUTION, slack
from planner.job import Job
from planner.job.duties import STANDBY
from planner.job.work import Gate
from planner.plan import no_flight
from planner.plan.model import Plan, Status
from planner.plan.unchecked import ALWAYS
from planner.sheets.bill import bottom_may_last_min
from planner.sheets.brief import LEAST_SIZE, NONE_HELD, NOT_ESTIMATED
from planner.sheets.dive_sheets import PEOPLE_TO_CALL
from planner.sheets.watchbill import write_watchbill
from planner.whatif.spread import spread_of
from planner.whatif.sure import chance_told
from planner.words.plan import crew_status_words
from tests.world.parts import at
from tests.world.pier import FIT, pier_job, pier_plan
from tests.world.reservoir import deep_job, deep_plan
from tests.world.sample_plans import planned

JOB = pier_job()
PLAN = pier_plan(JOB)
DEEP = deep_job()
DEEP_PLAN = deep_plan(DEEP)


@cache
def _told(plan: Plan = PLAN, job: Job = JOB) -> str:
    return "\n".join(texts(sheet(plan, job, "Brief")))


def test_each_dive_is_told_with_who_goes_and_who_stands_by() -> None:
    """Work, station, divers, standby, planned and longest bottom time, row and group, minutes to spare."""
    spare = slack(JOB, PLAN)
    found = texts(sheet(PLAN, JOB, "Brief"))
    for dive in PLAN.dives:
        at = next(i for i, text in enumerate(found) if f"{dive.id} · {dive.item}" in text)
        row = "\n".join(found[at : at + 7])
        standby = next(s.person for s in PLAN.duties if s.dive == dive.id and s.duty == STANDBY)
        most = bottom_may_last_min(JOB, dive)
        diver = dive.divers[0]
        for words in (
            dive.station,
            diver.person,
            f"standby {standby}",
            f"{dive.depth_fsw} fsw",
            f"{dive.bottom_time_min} / {'no limit' if most is None else most}",
            f"{diver.schedule.depth_fsw}/",
            f", {diver.group_after}",
            str(spare.of(dive.id).slip.minutes),
        ):
            assert words in row, (dive.id, words)


def test_the_longest_bottom_time_is_where_the_row_or_the_job_ends_it() -> None:
    """60 fsw without nitrogen: 63 min (table 9-7), less the job's margin to it, or the item's own limit."""
    dive = PLAN.dives[0]
    clean = dive.replace(
        depth_fsw=60,
        bottom_time_min=40,
        divers=(dive.divers[0].replace(group_before=None),),
    )
    assert bottom_may_last_min(JOB, clean) == 63 - JOB.site.margin_min
    shorter = JOB.replace(
        dive_items=tuple(
            i.replace(longest_bottom_min=45) if i.name == dive.item else i for i in JOB.dive_items
        )
    )
    assert bottom_may_last_min(shorter, clean) == 45


def test_the_day_is_told_from_call_to_end_and_what_breaks_first() -> None:
    """First call, first down, last up, all free; whether a slip of 15 minutes is survived."""
    told = _told()
    spare = slack(JOB, PLAN)
    for words in ("First call 07:00", "last diver up", "all free 14:52", spare.words, spare.breaks_words):
        assert words and words in told


def test_flights_ticks_numbers_and_signatures_have_their_place() -> None:
    """Who does not fly by name, what a person ticks, whom to call, who signs, the caution in full size."""
    told = _told()
    for wait in no_flight(PLAN, JOB):
        assert f"{wait.person}: {JOB.clock.at(wait.until_min):%a %d %b %H:%M}" in told
    assert all(f"☐ {sentence}" in told for sentence in ALWAYS)
    for words in ("Hospital", "Diving physician", "Chamber:", "Supervisor, time", "Person in charge, time"):
        assert words in told
    assert told.count(CAUTION) == 2


def test_a_flight_is_told_day_by_day() -> None:
    """On the first of two days a diver's wait is that of his dives up to then."""
    first = DEEP_PLAN.replace(
        dives=tuple(d for d in DEEP_PLAN.dives if d.leave_surface_min < DEEP.day_windows[1].start_min)
    )
    told = _told(DEEP_PLAN, DEEP)
    for plan in (first, DEEP_PLAN):
        for wait in no_flight(plan, DEEP):
            assert f"{wait.person}: {DEEP.clock.at(wait.until_min):%a %d %b %H:%M}" in told


def test_who_holds_the_key_is_named() -> None:
    """A gate of the day's work stands with its holder and its times; of no work, it does not."""
    gate = Gate(
        what="Intake stopped, tagged out",
        items=(FIT,),
        held_by="Control room",
        start_min=at(7),
        end_min=at(15),
    )
    job = JOB.replace(gates=(gate,))
    line = f"☐ Intake stopped, tagged out: Control room, 07:00–15:00 ({FIT})"
    assert line in _told(PLAN, job)
    idle = PLAN.replace(dives=tuple(d for d in PLAN.dives if d.item != FIT))
    idle = idle.replace(duties=tuple(s for s in idle.duties if s.item != FIT))
    assert line not in _told(idle, job)


def test_that_nothing_is_held_is_ticked() -> None:
    """A plan knows only the isolations that its job names: where it names none, a person says that none is
    needed; where it names one, nobody is asked."""
    assert f"☐ {NONE_HELD}" in _told()
    held = JOB.replace(gates=(Gate(what="Intake stopped", items=(FIT,), held_by="Control room"),))
    assert NONE_HELD not in _told(PLAN, held)


CARD = {"chamber": "Harbour, 555 0101, Cal", "hospital": "St Brendan, 555 0142", "rescue": "Channel 16"}


@pytest.mark.parametrize("name", ["Brief", "Dive sheets"])
def test_the_emergency_card_is_printed_as_it_is_filled(name: str) -> None:
    """What was typed before issuing stands under its line; a line that is blank leaves room to write."""
    store = io.BytesIO()
    write_watchbill(PLAN, JOB, store, sheets=(name,), card=CARD)
    found = texts(load_workbook(store)[name])
    for typed in CARD.values():
        assert [text for text in found if typed in text]
    assert [text for text in found if text == "Transport"]


def test_what_is_left_over_is_named() -> None:
    """A crew that reads "2 items left over" reads which; a plan of all work says nothing of it."""
    told = _told()
    assert "Left over, in part or whole: " + ", ".join(one.item for one in PLAN.leftovers) in told
    assert "Left over" not in _told(PLAN.replace(leftovers=()))


def test_a_full_day_says_less_and_stays_one_page() -> None:
    """Nine dives: in closer lines and one run, what is ticked for every job still stands; on Letter, and with
    a long card, it is named by its sheet."""
    job, plan = planned("tidal pier")
    full = {line: f"Somebody at the harbour, {line}, 555 0101" for line in PEOPLE_TO_CALL}

    def told(paper: str, card: dict[str, str]) -> str:
        store = io.BytesIO()
        assert write_watchbill(plan, job, store, sheets=("Brief",), card=card, paper=paper) == 1
        return "\n".join(texts(load_workbook(store)["Brief"]))

    full_day = told("A4", {})
    assert all(f"☐ {sentence}" in full_day for sentence in ALWAYS) and "1 more on the sheet" in full_day
    assert "☐ All 9 points" in told("Letter", full)


@pytest.mark.parametrize(("plan", "job"), [(PLAN, JOB), (DEEP_PLAN, DEEP)], ids=["pier", "reservoir"])
def test_nothing_is_smaller_than_nine_points(plan: Plan, job: Job) -> None:
    """But for the lines that every sheet has in its head."""
    ws = sheet(plan, job, "Brief")
    head = int(ws.print_title_rows.split("$")[-1])
    sizes = {c.font.size for row in ws.iter_rows(min_row=head + 1) for c in row if c.value is not None}
    assert min(sizes) >= LEAST_SIZE >= 9
    assert not any(
        c.alignment.shrink_to_fit for row in ws.iter_rows(min_row=head + 1) for c in row if c.value
    )


def test_a_plan_is_judged_in_words_that_a_crew_understands() -> None:
    """What is not proven of the finish is "could end sooner"; no gap, no per cent."""
    stages = tuple(s.replace(proven=True) for s in PLAN.stages)
    whole = PLAN.replace(leftovers=(), stages=stages, status=Status.FEASIBLE)
    assert crew_status_words(whole.replace(status=Status.PROVEN_BEST), JOB) == (
        "all work planned, no better plan by these rules"
    )
    later = tuple(s.replace(proven=False, bound=s.value - 30) if s.name == "finish" else s for s in stages)
    assert crew_status_words(whole.replace(stages=later), JOB) == "all work planned, could end sooner"
    assert crew_status_words(PLAN, JOB) == "2 items left over, more work might fit"
    assert "%" not in _told()


def test_the_chance_of_the_plan_is_told_with_what_it_is_drawn_from() -> None:
    """One line: the chance over drawn days, when the day ends, and that the numbers are invented."""
    told = _told()
    assert chance_told(JOB, PLAN) in told
    assert "of 100 drawn days" in told and "invented numbers" in told


def test_the_chance_is_drawn_from_the_spread_that_is_given() -> None:
    """What the desk or the command has put in place of the shipped numbers; with nothing going otherwise all
    that is planned gets done."""
    calm = spread_of(["work-least=0", "work-likely=0", "work-most=0", "late-chance=0", "unfit-chance=0"])
    calm = calm.replace(window_lost_percent=0)
    store = io.BytesIO()
    write_watchbill(PLAN, JOB, store, sheets=("Brief",), spread=calm)
    told = "\n".join(texts(load_workbook(store)["Brief"]))
    assert chance_told(JOB, PLAN, calm) in told
    assert "in 100 of 100 drawn days" in told and "as typed" in told


def test_a_watchbill_written_at_once_says_what_it_leaves_out() -> None:
    """No spare minutes and no chance, which take seconds; a sentence in their place, and the dives stand."""
    store = io.BytesIO()
    write_watchbill(PLAN, JOB, store, sheets=("Brief",), estimates=False)
    told = "\n".join(texts(load_workbook(store)["Brief"]))
    assert NOT_ESTIMATED in told and NOT_ESTIMATED not in _told()
    assert "drawn days" not in told and "Spare minutes" not in told.replace(NOT_ESTIMATED, "")
    assert all(f"{dive.id} · {dive.item}" in told for dive in PLAN.dives)
