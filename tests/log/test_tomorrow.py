"""Tomorrow starts from today: what people, gear and work bring into the next day's job."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path

from planner.job import Job, OutfitState, Pin, PinKind, Span
from planner.job.cross_checks import cross_faults
from planner.log.day_log import Entry, Kind
from planner.log.tomorrow import NextDay, next_day
from planner.plan import Plan
from planner.tables.past_dives import carried_in
from planner.workbook.job_reader import read_job
from tests.log.logging import dived, entry, log_of_day
from tests.workbook.job_files import workbook_of
from tests.world.parts import at
from tests.world.quay import ANODES, GATE, RIG, SCRAP, WRAP, a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()
DAY = 1440


def _next(*entries: Entry, job: Job = JOB) -> NextDay:
    return next_day(job, log_of_day(*entries), PLAN)


FIRST = dived("1", at(8, 30), at(9, 11), at(9, 13))
BOTH = (*FIRST, *dived("3", at(12), at(12, 31), at(12, 33)))


def test_nitrogen_goes_over_to_tomorrow() -> None:
    """Ana surfaced 12:33 in group K (table 9-7, equivalent 60 min at 60 fsw): told as a past dive at 12:33 of
    the day before, with its group."""
    made = _next(*BOTH).job
    past = made.person("Ana").past_dives[-1]
    assert (past.depth_fsw, past.bottom_time_min, past.group_after) == (58, 31, "K")
    assert past.surfaced_min == at(12, 33) - DAY
    carried = carried_in(made.person("Ana"), made.site)
    assert carried is not None
    assert (carried.surfaced_min, carried.group) == (at(12, 33) - DAY, "K")


def test_tomorrow_is_written_and_reads_back(tmp_path: Path) -> None:
    """Nothing of the running day (standing work done or due, who has been briefed) is left in tomorrow's job:
    its workbook has no place for it. What is read back is what was written."""
    made = _next(*BOTH).job
    assert made.blocks_done == made.blocks_due == ()
    assert all(person.briefed_until_min is None for person in made.people)
    (tmp_path / "tomorrow.xlsx").write_bytes(workbook_of(made))
    assert read_job(tmp_path / "tomorrow.xlsx") == made


def test_earlier_past_dives_stay_at_their_moment() -> None:
    """Bo's dive two hours before the job's midnight is a day further back."""
    assert _next(*FIRST).job.person("Bo").past_dives[0].surfaced_min == -120 - DAY


def test_only_the_work_that_is_left_stays() -> None:
    """40 of 70 min on the piles are done; the anodes and the gate are untouched; a done item is gone, and
    what came after it waits no longer."""
    made = _next(*FIRST, entry(Kind.ITEM_DONE, at(7, 30), item=RIG)).job
    assert made.dive_item(WRAP).bottom_work_min == 30
    assert made.dive_item(ANODES).bottom_work_min == 40
    assert {i.name for i in made.items} == {WRAP, ANODES, GATE, SCRAP}
    assert made.dive_item(WRAP).after == ()


def test_minutes_free_behind_the_dives_of_an_item_hold_tomorrow_too() -> None:
    """Behind every dive on the piles, of which work is left: the pin goes over. Behind the dive at 08:30 that
    was made it does not, nor that of an item that is done."""
    lasts = Pin(kind=PinKind.KEEPS_FREE, item=WRAP, free_min=20)
    past = Pin(kind=PinKind.DIVES, item=WRAP, start_min=at(8, 30), free_min=20)
    gone = Pin(kind=PinKind.STARTS, item=RIG, start_min=at(7))
    before = JOB.replace(pins=(lasts, past, gone))
    assert _next(*FIRST, entry(Kind.ITEM_DONE, at(7, 30), item=RIG), job=before).job.pins == (lasts,)


def test_an_item_done_early_is_gone() -> None:
    """Logged as done after 40 of 70 minutes: nothing of it stays."""
    made = _next(*FIRST, entry(Kind.ITEM_DONE, at(9, 15), item=WRAP)).job
    assert WRAP not in {i.name for i in made.items}


def test_hours_of_rest_come_from_the_log() -> None:
    """Sam's duties ran from the first dive's dressing at 08:00 to the last surfacing at 12:33; the rules of
    rest see that stretch, and the end of the last duty."""
    sam = _next(*BOTH).job.person("Sam")
    assert [(w.start_min, w.end_min) for w in sam.past_work] == [(at(8) - DAY, at(12, 33) - DAY)]
    assert sam.last_duty_end_min == at(12, 33) - DAY


def test_a_dive_that_ran_late_makes_the_day_longer() -> None:
    """Dive 3 an hour late: the supervisor's last duty ends an hour later, too."""
    late = (*FIRST, *dived("3", at(13), at(13, 31), at(13, 33)))
    assert _next(*late).job.person("Sam").last_duty_end_min == at(13, 33) - DAY


def test_standby_minutes_count_for_fair_shares() -> None:
    """Dan stood by for dives 1 and 3: 93 and 83 minutes from dressing until undressed."""
    assert _next(*BOTH).job.person("Dan").past_standby_min == 93 + 83


def test_defects_and_readings_stay_with_the_gear() -> None:
    """An open defect takes the outfit out; the last reading of the hour meter and the bank counts."""
    made = _next(
        entry(Kind.DEFECT, at(9), thing="H1", text="exhaust valve sticks"),
        entry(Kind.AIR_READING, at(9), thing="Compressor 1", hours_run=1209.0),
        entry(Kind.AIR_READING, at(15), thing="Compressor 1", hours_run=1211.5),
        entry(Kind.AIR_READING, at(15), thing="Bank A", pressure_psi=2100.0),
    ).job
    outfit = made.outfit("H1")
    assert (outfit.state, outfit.state_by) == (OutfitState.DEFECT_OPEN, "Cal")
    assert outfit.state_on == JOB.site.first_day
    assert made.air.compressors[0].hours_run == 1211.5
    assert made.air.banks[0].pressure_psi == 2100.0


def test_one_who_was_sick_is_not_planned() -> None:
    """Until a person gives hours on site again; the notes say so."""
    found = _next(entry(Kind.SICK, at(9), people=("Dan",)))
    assert found.job.available(found.job.person("Dan")) == ()
    assert any("Dan" in note and "sick" in note for note in found.notes)


def test_the_next_day_is_a_sound_job() -> None:
    """The day after, of one day, without a contradiction inside; windows of yesterday stay in yesterday."""
    found = _next(*FIRST)
    assert found.job.site.first_day == date(2026, 5, 13)
    assert found.job.site.days == 1
    assert cross_faults(found.job) == ()
    opening = found.job.day_windows[0].start_min
    assert all(w.end_min <= opening for w in found.job.water_windows)
    assert any("slack" in note for note in found.notes)
    assert any("No window is left" in note and WRAP in note for note in found.notes)


def test_hours_on_site_are_the_same_by_the_wall_clock() -> None:
    """Clocks went back in Lisbon on 25 October 2026: 07:00 to 18:00 stays 07:00 to 18:00 (time zone data)."""
    job = JOB.replace(site=JOB.site.replace(first_day=date(2026, 10, 24)))
    rob = job.person("Rob").replace(
        available=(Span(start_min=at(7), end_min=at(18)),),
    )
    job = job.replace(people=tuple(rob if p.name == "Rob" else p for p in job.people))
    made = _next(job=job).job
    span = made.person("Rob").available[0]
    assert made.clock.at(span.start_min).time() == time(7)
    assert made.clock.at(span.end_min).time() == time(18)


def test_a_job_of_several_days_goes_on() -> None:
    """Two days: the second is the job's own second day, with its windows where they were."""
    later = Span(start_min=at(8) + DAY, end_min=at(15) + DAY)
    job = JOB.replace(
        site=JOB.site.replace(days=2),
        dive_items=tuple(i.replace(windows=(later,)) if i.name == WRAP else i for i in JOB.dive_items),
    )
    made = _next(*FIRST, job=job).job
    assert made.site.days == 1
    assert made.dive_item(WRAP).windows == (Span(start_min=at(8), end_min=at(15)),)


def test_an_open_dive_is_told() -> None:
    """A dive without reach surface brings nothing over; the notes ask for the missing time."""
    found = _next(*dived("1", at(8, 30), at(9, 11), None))
    assert any("no reach surface" in note for note in found.notes)


def test_who_took_over_has_worked() -> None:
    """Ned took over as supervisor at 12:10 from Sam and held it to the surfacing at 12:33."""
    people = _next(*BOTH, entry(Kind.TOOK_OVER, at(12, 10), "3", people=("Ned",), duty="supervisor")).job
    assert people.person("Ned").last_duty_end_min == at(12, 33) - DAY
    assert people.person("Sam").last_duty_end_min == at(12, 10) - DAY
