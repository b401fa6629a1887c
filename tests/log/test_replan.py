"""The rest of the day: what has happened stays, what is left is planned, the whole holds every rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import pytest

from planner.check import check
from planner.errors import InputFaults
from planner.job import Job, Pin, PinKind
from planner.job.duties import BRIEFING, DIVER, STANDBY, STANDBY_TENDER, TENDER
from planner.log.before_after import changes, work_changes
from planner.log.day_log import ActualDay, Entry, Kind
from planner.log.happened import happened
from planner.log.replan import Tightening, _tighter, replan, replan_input
from planner.plan import Finding, Plan, Reason, changed_duties, still_ahead
from planner.plan.model import DutySpell
from planner.schedule import Outcome, solve
from tests.log.logging import day_of, dived, entry, log_of_day
from tests.samples.small_heavy_dress import plain_job as small_job
from tests.world.changed import with_rules
from tests.world.parts import at
from tests.world.quay import ANODES, GATE, NORTH, RIG, SCRAP, WRAP, a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()
FIRST = dived("1", at(8, 30), at(9, 11), at(9, 13))
RIGGED = entry(Kind.ITEM_DONE, at(7, 30), item=RIG)


@dataclass(frozen=True)
class _Nothing:
    plan: Plan | None = None
    sentence: str = "Nothing can be planned."
    reasons: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)


def _given(*entries: Entry, now: int = at(10), job: Job = JOB) -> Job:
    return replan_input(job, PLAN, log_of_day(*entries), now).job


def test_the_rest_begins_now_with_what_is_left() -> None:
    """At 10:00 the day window opens at 10:00; 30 of 70 min on the piles are left; the rigging is done."""
    rest = _given(*FIRST, RIGGED)
    assert rest.day_windows[0].start_min == at(10)
    assert rest.day_windows[0].end_min == JOB.day_windows[0].end_min
    assert rest.dive_item(WRAP).bottom_work_min == 30
    assert {i.name for i in rest.items} == {WRAP, ANODES, GATE}
    assert rest.dive_item(WRAP).after == ()


def test_a_diver_brings_the_dive_of_this_morning() -> None:
    """Group H at 09:13 counts for the afternoon, and as one of the dives of the day."""
    past = _given(*FIRST).person("Ana").past_dives
    assert [(d.surfaced_min, d.group_after) for d in past] == [(at(9, 13), "H")]


def test_a_dive_in_the_water_keeps_its_people_and_station() -> None:
    """At 09:00 dive 1 is down: taken to leave the bottom at 09:11 as planned, up 09:13; Ana and her tenders
    are busy to 09:33, and so is the standby diver, undressed by then; the station's crew to 09:13; nothing
    else leaves that station before."""
    past = happened(day_of(JOB, PLAN, *dived("1", at(8, 30), None, None)), at(9))
    assert past.in_water == ("1",)
    assert past.station_free == {NORTH: at(9, 13)}
    assert past.person_free["Ana"] == at(9, 33)
    assert past.person_free["Tom"] == at(9, 33)
    assert past.person_free["Sam"] == at(9, 13)
    assert past.outfit_free["H1"] == at(9, 33) + 15
    assert past.outfit_free["H2"] == at(9, 33)


def test_a_diver_who_is_late_comes_up_on_the_row_that_applies() -> None:
    """Still down at 09:40, 70 min: row 60/70, ascent 9:00 (table 9-9), so the station is free at 09:49."""
    past = happened(day_of(JOB, PLAN, *dived("1", at(8, 30), None, None)), at(9, 40))
    assert past.station_free == {NORTH: at(9, 49)}


def test_one_who_is_sick_is_not_planned() -> None:
    """From the entry on, not at all."""
    rest = _given(entry(Kind.SICK, at(9), people=("Dan",)))
    assert rest.available(rest.person("Dan")) == ()


def test_a_defect_takes_the_outfit_out() -> None:
    """Not ready for the rest of the day."""
    rest = _given(entry(Kind.DEFECT, at(9), thing="H1", text="leaks"))
    assert rest.outfit("H1").state == "defect open"


def test_the_longest_span_counts_from_the_first_duty() -> None:
    """On duty from 08:00 with twelve hours at most: not after 20:00, even when the day runs later."""
    job = JOB.replace(site=JOB.site.replace(day_end=JOB.site.day_end.replace(hour=23)))
    rest = replan_input(job, PLAN, log_of_day(*FIRST), at(10)).job
    assert max(s.end_min for s in rest.available(rest.person("Sam"))) == at(20)


def test_a_task_under_way_ends_as_planned() -> None:
    """At 10:30 the scrap is being loaded until 11:00; its crew is busy, and the anodes wait for its end."""
    past = replan_input(JOB, PLAN, log_of_day(), at(10, 30))
    assert past.happened.person_free["Rob"] == at(11)
    assert SCRAP not in {i.name for i in past.job.items}
    assert past.job.dive_item(ANODES).windows[0].start_min == at(11)


def test_after_the_day_there_is_nothing_to_replan() -> None:
    """A sentence that says so."""
    with pytest.raises(InputFaults, match="working day is over"):
        _given(now=at(19, 30))


def test_a_night_that_runs_past_midnight() -> None:
    """A day from 19:00 to 05:00, replanned at 01:00: the rest is told from the new day's midnight."""
    job = JOB.replace(
        site=JOB.site.replace(
            day_start=JOB.site.day_start.replace(hour=19), day_end=JOB.site.day_end.replace(hour=5)
        )
    )
    given = replan_input(job, PLAN, log_of_day(), at(25))
    assert given.offset_min == 1440
    assert given.job.site.first_day == date(2026, 5, 13)
    assert [(w.start_min, w.end_min) for w in given.job.day_windows] == [(at(1), at(5))]


def test_nothing_more_leaves_what_has_happened() -> None:
    """Without a plan of the rest the whole day holds the dive that was made, by its actual times."""
    found = replan(JOB, PLAN, log_of_day(*FIRST, RIGGED), at(9, 50), lambda job, seconds, ahead: _Nothing())
    assert found.rest is None
    assert [d.id for d in found.whole.dives] == ["1"]
    assert found.breaches == ()
    assert {left.item for left in found.whole.leftovers} == {WRAP, ANODES, GATE, SCRAP}


def test_changes_are_told_by_person() -> None:
    """Dive 3 an hour later: its people are told, those of the other dives are not."""
    moved = PLAN.replace(duties=tuple(s.later(60) if s.dive == "3" else s for s in PLAN.duties))
    dives = tuple(d.later(60) if d.id == "3" else d for d in PLAN.dives)
    moved = moved.replace(dives=dives)
    told = {c.who: c.told for c in changes(PLAN, moved, JOB, at(10))}
    assert set(told) == {"Ana", "Cal", "Dan", "Pia", "Sam", "Tia", "Tom", "Uwe", "Yan"}
    assert told["Ana"] == f"now diver on 3 ({WRAP}) 13:00, not 12:00"
    assert changes(PLAN, moved, JOB, at(10), made={"3"}) == ()
    fewer = work_changes(PLAN, PLAN.replace(surface_tasks=()), JOB)
    assert [(c.item, c.now_min) for c in fewer] == [(RIG, 0), (SCRAP, 0)]


def test_one_line_a_person_says_what_he_is_now_and_what_not() -> None:
    """Diver and standby of dive 3 change places, a renumbered dive is the same, what falls away is said."""
    spells = {s.duty: s for s in PLAN.duties if s.dive == "3" and s.duty in (DIVER, STANDBY)}
    diver, standby = spells[DIVER], spells[STANDBY]

    def swapped(s: DutySpell) -> DutySpell:
        if s.dive != "3":
            return s
        other = {diver.person: standby.person, standby.person: diver.person}
        return s.replace(person=other.get(s.person, s.person), dive="9")

    dives = tuple(d.replace(id="9") if d.id == "3" else d for d in PLAN.dives)
    new = PLAN.replace(dives=dives, duties=tuple(swapped(s) for s in PLAN.duties))
    told = {c.who: c.told for c in changes(PLAN, new, JOB, at(10))}
    assert set(told) == {diver.person, standby.person}
    assert told[diver.person] == f"now standby diver on 9 ({WRAP}) 12:00 in {standby.outfit}, not diver"
    gone = PLAN.replace(duties=tuple(s for s in PLAN.duties if s != diver))
    (only,) = changes(PLAN, gone, JOB, at(10))
    assert only.told == f"no more diver on 3 ({WRAP}) 12:00"


#: Standing work before and after the day's dives.
BLOCKS = {"inspection_heavy_min": 10, "station_set_up_min": 20, "station_strike_min": 20, "cleaning_min": 10}


@pytest.fixture(scope="module")
def solved() -> tuple[Job, Plan]:
    # One briefing for the whole crew: a day in progress is past it.
    asked = {"briefing_min": 15, "one_briefing": True, "station_turnaround_min": 10}
    job = with_rules(small_job(), **asked, **BLOCKS)
    plan = solve(job, seconds=2.0, workers=2).plan
    assert plan is not None
    return job, plan


def _solve(job: Job, seconds: float, ahead: Plan) -> Outcome:
    return solve(job, seconds=seconds, workers=2, in_force=ahead)


def test_a_real_day_is_replanned_with_what_happened_fixed(solved: tuple[Job, Plan]) -> None:
    """The first dive ran five minutes long, the second is down and twenty minutes late, a diver fell sick.
    The new day keeps both dives, holds every rule, uses no name of a dive twice, and leaves him out."""
    job, plan = solved
    first, second, third, *_ = sorted(plan.dives, key=lambda d: d.leave_surface_min)
    now = second.leave_surface_min + 30
    sick = third.divers[0].person
    log = log_of_day(
        *dived(first.id, first.leave_surface_min, first.leave_bottom_min + 5, first.reach_surface_min + 5),
        *dived(second.id, second.leave_surface_min + 20, None, None),
        entry(Kind.SICK, now, people=(sick,)),
    )
    found = replan(job, plan, log, now, _solve, seconds=5.0)
    assert found.breaches == ()
    assert found.seconds < 10
    whole = {d.id: d for d in found.whole.dives}
    assert whole[first.id].leave_bottom_min == first.leave_bottom_min + 5
    assert whole[second.id].leave_surface_min == second.leave_surface_min + 20
    new = set(whole) - {first.id, second.id}
    assert new
    assert not new & {d.id for d in plan.dives}
    # What he still has to do for the dive in the water is somebody's to take over, and told.
    still = {s.dive for s in found.whole.duties if s.person == sick and s.start_min >= now}
    assert still <= {second.id}
    assert all(any(note.startswith(f"{sick} is logged as sick") for note in found.notes) for _ in still)
    assert found.rest is not None
    assert check(found.rest_job, found.rest) == ()
    made = {d.id for d in ActualDay(job, plan, log).dives}
    # What is told is what both plans come to, and every duty of his passes on or falls away.
    ahead = still_ahead(plan, made, {t.item for t in happened(ActualDay(job, plan, log), now).tasks})
    assert found.changed == changed_duties(ahead, found.rest)
    assert found.changed.count == next(s.value for s in found.rest.stages if s.name == "changed duties")
    assert sick in found.changed.people
    told = {c.who: c.told for c in changes(plan, found.whole, job, now, made)}
    assert all(part.startswith("no more ") for part in told[sick].split("; "))
    left = [w for w in work_changes(plan, found.whole, job) if w.now_min < w.was_min]
    assert all(w.reasons for w in left)
    # The standing work of the morning is done, that of the evening is planned behind the last dive.
    assert {t.item for t in found.whole.surface_tasks} >= {b.name for b in job.standing_items}
    assert not any(b.block.opens for b in found.rest_job.standing_items)
    # Who was briefed this morning is not briefed again, in the rest or in the whole.
    morning = {s.person for s in plan.duties if s.duty == BRIEFING and s.start_min < now}
    again = Counter(s.person for s in found.whole.duties if s.duty == BRIEFING)
    assert morning and all(again[name] == 1 for name in morning)
    assert not any(s.person in morning for s in found.rest.duties if s.duty == BRIEFING)


def test_an_outfit_of_a_dive_in_the_water_is_ready_when_it_is_turned_around() -> None:
    """At 09:00 dive 1 is down: H1 is off its diver at 09:33 and ready at 09:48, H2 off the standby diver at
    09:33 and ready then; the others are not spoken of."""
    rest = _given(*dived("1", at(8, 30), None, None), now=at(9))
    assert {o.name: o.worn_until_min for o in rest.outfits} == {
        "H1": at(9, 48),
        "H2": at(9, 33),
        **dict.fromkeys(("L1", "L2", "L3")),
    }


def test_one_who_stood_by_is_undressed_where_he_would_stay_in_dress_too_long() -> None:
    """Dan stands by for dive 1, which is down, until 09:33: planned once more he is free a minute later, so
    that what he does then is a dress of its own."""
    past = happened(day_of(JOB, PLAN, *dived("1", at(8, 30), None, None)), at(9))
    told = Finding("standby-dressing", "Dan is dressed too long.", "dive 5")
    assert _tighter(Tightening(), (told,), past).person_from == {"Dan": at(9, 34)}
    assert _tighter(Tightening(), (), past) == Tightening()


def test_the_place_of_one_who_is_sick_is_somebodys_to_take() -> None:
    """At 09:00 dive 1 is down and a tender of its standby diver is sick: he undresses him at 09:13, and it is
    told until somebody takes the duty over, who then has it whole."""
    down = dived("1", at(8, 30), None, None)
    last = next(
        s
        for s in happened(day_of(JOB, PLAN, *down), at(9)).spells
        if s.duty == STANDBY_TENDER and s.start_min > at(9)
    )
    fell = entry(Kind.SICK, at(8, 50), people=(last.person,))
    told = happened(day_of(JOB, PLAN, *down, fell), at(9)).notes
    (note,) = [n for n in told if "is logged as sick" in n]
    assert note == (
        f"{last.person} is logged as sick and still standby's tender of dive 1 until "
        f"{JOB.clock.hhmm(last.end_min)}: put somebody in the place, and say in the log who took over."
    )
    busy = {s.person for s in happened(day_of(JOB, PLAN, *down), at(9)).spells}
    other = next(p.name for p in JOB.people if p.name not in busy)
    took = entry(Kind.TOOK_OVER, at(8, 55), "1", people=(other,), duty=STANDBY_TENDER)
    after = happened(day_of(JOB, PLAN, *down, fell, took), at(9))
    assert not any("is logged as sick" in n for n in after.notes)
    assert last.replace(person=other) in after.spells and last not in after.spells


def test_pins_of_standing_work_and_of_briefings_stay() -> None:
    """At 10:00: striking pinned to 16:00 with who does it, and Tom's briefing at 10:30, are still ahead and
    stay, as do the minutes free behind the dives on the piles; setting up at 07:30 and
    everybody's briefing at 07:00 are past."""
    made = with_rules(JOB, station_set_up_min=20, station_strike_min=10, briefing_min=15)
    opening, closing = f"Setting up, {NORTH}", f"Striking, {NORTH}"
    assert {opening, closing} <= {block.name for block in made.standing_items}
    past = (
        Pin(kind=PinKind.STARTS, item=opening, start_min=at(7, 30)),
        Pin(kind=PinKind.BRIEFED, start_min=at(7)),
    )
    ahead = (
        Pin(kind=PinKind.STARTS, item=closing, start_min=at(16)),
        Pin(kind=PinKind.HOLDS, item=closing, person="Rob", duty=TENDER),
        Pin(kind=PinKind.BRIEFED, person="Tom", start_min=at(10, 30)),
        # of the dives on it that are still to come
        Pin(kind=PinKind.KEEPS_FREE, item=WRAP, free_min=20),
    )
    assert _given(*FIRST, RIGGED, job=made.replace(pins=(*past, *ahead))).pins == ahead


def test_a_day_that_only_runs_late_changes_nobodys_duties(solved: tuple[Job, Plan]) -> None:
    """The second dive left twenty minutes late: all that follows moves, and nobody's duties change."""
    job, plan = solved
    first, second, *_ = sorted(plan.dives, key=lambda d: d.leave_surface_min)
    now = second.leave_surface_min + 30
    log = log_of_day(
        *dived(first.id, first.leave_surface_min, first.leave_bottom_min, first.reach_surface_min),
        *dived(second.id, second.leave_surface_min + 20, None, None),
    )
    found = replan(job, plan, log, now, _solve, seconds=6.0)
    assert found.breaches == ()
    assert found.changed.count == 0
    assert found.changed.sentence == "nobody's duties changed"


def test_a_rest_without_work_takes_every_duty_away() -> None:
    """Nothing can be planned any more: what was still ahead is all taken away, and told."""
    found = replan(JOB, PLAN, log_of_day(*FIRST, RIGGED), at(9, 50), lambda job, seconds, ahead: _Nothing())
    assert found.changed.given == frozenset()
    assert {duty[2] for duty in found.changed.taken} == {WRAP, ANODES, SCRAP}
