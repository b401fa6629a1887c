"""Shifts: what belongs to which, breaks, nights, the nights on which the clocks change; counted twice."""

from __future__ import annotations

from datetime import date, time
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.hours.pay_rules import EXAMPLE_RULES, CountBy, DepthBand, HourlyRate, OvertimeStep, PayRules
from planner.hours.shifts import BETWEEN, Shift
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.weeks import LineKind, PersonWeek
from planner.hours.worked import CHAMBER_WATCH, WorkedRecord, from_plan
from planner.job.duties import BUILT_IN_DUTIES, PaidAs
from planner.plan.model import DutySpell
from tests.check.rule_cases import briefed_for, inspected_at
from tests.hours.by_the_minute import Counted, pay, shifts
from tests.world.changed import with_rules
from tests.world.quay import a_job, a_plan
from tests.world.worked_days import MONDAY, dive, record, spell

BY_DAY = EXAMPLE_RULES.replace(count_by=CountBy.DAY)


def _shifts(given_record: WorkedRecord, rules: PayRules = EXAMPLE_RULES) -> tuple[Shift, ...]:
    return timesheets([given_record], rules).shifts


def assert_counted_alike(sheets: Timesheets) -> None:
    """Every figure of every shift and every pay line of every week, as a count minute by minute has it."""
    for person in sheets.people:
        counted = shifts(sheets.records, person, sheets.rules)
        weeks = [w for w in sheets.weeks if w.person == person]
        assert sum(len(w.shifts) for w in weeks) == len(counted)
        for week in weeks:
            own, counted = counted[: len(week.shifts)], counted[len(week.shifts) :]
            lines = pay(own, week.pay_class, sheets.rules)
            for shift, overtime, one in zip(week.shifts, week.overtime_by_shift, own, strict=True):
                _same(sheets, shift, overtime, one)
            _same_pay(week, lines)


def _same(sheets: Timesheets, shift: Shift, overtime_min: int, one: Counted) -> None:
    clock = sheets.clock
    assert (shift.day, clock.at(shift.start_min).replace(tzinfo=None)) == (one.day, one.start)
    assert (shift.worked_min, shift.break_min) == (one.worked, one.rest)
    assert (shift.night_min, shift.weekend_min) == (one.night, one.weekend)
    paid = [shift.paid_min(k) for k in (PaidAs.STANDING_BY, PaidAs.ENCLOSED, PaidAs.CHAMBER)]
    assert paid == [one.standby, one.enclosed, one.chamber]
    assert (shift.dives, shift.bottom_min, shift.greatest_depth_fsw) == (one.dives, one.bottom, one.depth)
    assert dict(shift.by_duty) == dict(one.duties)
    assert overtime_min == one.overtime


def _same_pay(week: PersonWeek, counted: dict[tuple[str, Fraction | int | None], Fraction]) -> None:
    for line in week.all_lines:
        key: tuple[str, int | None] = ("hours", None)
        if line.kind is LineKind.PREMIUM:
            key = (line.label, None)
        elif isinstance(line.rule, DepthBand):
            key = ("depth", line.rule.over_fsw)
        elif isinstance(line.rule, OvertimeStep):
            key = (str(line.rule.kind), line.rule.after_min)
        else:
            assert isinstance(line.rule, HourlyRate)
        assert Fraction(line.amount) == counted.get(key, 0), line.label
    assert Fraction(week.pay) == sum(counted.values())


_SPELL = st.builds(
    lambda duty, start, length: DutySpell(
        item="", person="Ana", duty=duty, start_min=start, end_min=start + length
    ),
    st.sampled_from([*BUILT_IN_DUTIES, "rigger", "by the chamber"]),
    st.integers(0, 7 * 1440),
    st.integers(1, 700),
)
_DIVE = st.tuples(
    st.integers(0, 6), st.integers(0, 1300), st.integers(20, 170), st.integers(1, 90), st.booleans()
)


_TIME = st.sampled_from([time(0), time(1, 30), time(5), time(6, 15), time(22)])
_RULES = st.builds(
    lambda count_by, starts, night_from, night_to, ends: EXAMPLE_RULES.replace(
        count_by=count_by,
        day_starts=starts,
        night_from=night_from,
        night_to=night_to,
        shift_ends_min=ends,
    ),
    st.sampled_from(CountBy),
    _TIME.filter(lambda t: t.hour != 1),
    _TIME,
    _TIME,
    st.sampled_from([60, 360, 720]),
)


@given(st.lists(_SPELL, min_size=1, max_size=10), st.lists(_DIVE, max_size=4), _RULES)
@settings(deadline=None, max_examples=30)
def test_any_hours_counted_minute_by_minute(
    spells: list[DutySpell], dives: list[tuple[int, int, int, int, bool]], rules: PayRules
) -> None:
    """Whatever overlaps or runs past midnight or a clock change, every figure is that of a plain count.

    The clocks of Lisbon go back in the week (Directive 2000/84/EC: last Sunday of October, 01:00 UTC).
    """
    made = tuple(
        dive("Ana", depth, f"{at // 60:02d}{at % 60:02d}", bottom, day, enclosed_space=enclosed)
        for day, at, depth, bottom, enclosed in dives
    )
    under = tuple(
        DutySpell(
            item="",
            person="Ana",
            duty="diver",
            start_min=d.dive.leave_surface_min,
            end_min=d.dive.reach_surface_min,
        )
        for d in made
    )
    week = record(
        *spells, *under, dives=made, first_day=date(2027, 10, 27), days=7, time_zone="Europe/Lisbon"
    )
    sheets = timesheets([week], rules)
    assert_counted_alike(sheets)
    for shift in sheets.shifts:
        assert sum(minutes for _, minutes in shift.by_duty) == shift.span_min - shift.break_min


def test_a_gap_over_midnight_is_paid_and_one_shift() -> None:
    """20 min from 23:50 to 00:10 are work (29 CFR 785.18), in the shift of the evening."""
    night = record(spell("Ana", "tender", "2000", "2350"), spell("Ana", "tender", "0010", "0400", 1))
    (shift,) = _shifts(night)
    assert (shift.day, shift.worked_min) == (MONDAY, 480)
    assert dict(shift.by_duty) == {"tender": 460, BETWEEN: 20}
    days = _shifts(night, BY_DAY)
    assert [d.worked_min for d in days] == [240, 240]  # by day it is cut, and paid all the same


def test_a_week_of_nights() -> None:
    """Five nights of 20:00 to 06:30 with a meal over midnight are five shifts, not ten pieces.

    10 h worked each; 8 h of them at night; by an 8 h day 2 h overtime each, and none left for the week.
    """
    spells = [
        s
        for day in range(5)
        for s in (
            spell("Ana", "standby diver", "2000", "2345", day),
            spell("Ana", "tender", "0015", "0630", day + 1),
        )
    ]
    sheets = timesheets([record(*spells)], EXAMPLE_RULES)
    (week,) = sheets.weeks
    assert [(s.day.weekday(), s.worked_min, s.break_min) for s in week.shifts] == [
        (d, 600, 30) for d in range(5)
    ]
    assert {s.night_min for s in week.shifts} == {450}  # 22:00 to 06:00 less the meal
    assert week.overtime_by_shift == (120,) * 5
    assert week.shifts[4].weekend_min == 375  # Saturday from 00:15
    assert_counted_alike(sheets)


def test_a_split_shift() -> None:
    """Two slacks of one tide with 5 h between are one shift with a break; with 6 h between they are two."""
    split = record(spell("Ana", "tender", "0500", "0900"), spell("Ana", "tender", "1400", "2000"), days=1)
    (shift,) = _shifts(split)
    assert (shift.worked_min, shift.break_min) == (600, 300)
    apart = record(spell("Ana", "tender", "0400", "0800"), spell("Ana", "tender", "1400", "2000"), days=1)
    sheets = timesheets([apart], EXAMPLE_RULES)
    assert [s.worked_min for s in sheets.shifts] == [240, 360]
    assert sheets.overtime_min == 0  # neither is longer than 8 h
    by_day = timesheets([apart], BY_DAY)
    assert (by_day.overtime_min, len(by_day.calls)) == (120, 2)  # 10 h on one day, and two calls
    for counted in (sheets, by_day, timesheets([split], EXAMPLE_RULES)):
        assert_counted_alike(counted)


def test_a_shift_over_the_weeks_end_belongs_to_the_week_in_which_it_starts() -> None:
    """Sunday night's hours after midnight are the old week's; by calendar day they are the new week's."""
    night = record(spell("Ana", "tender", "2200", "0600", 6))
    assert [(w.starts, w.worked_min) for w in timesheets([night], EXAMPLE_RULES).weeks] == [(MONDAY, 480)]
    assert [w.worked_min for w in timesheets([night], BY_DAY).weeks] == [120, 360]


def test_standing_work_and_briefings_are_named() -> None:
    """Two tenders inspect for 20 min, everybody is briefed for 15: so the hours say, and not "tender"."""
    plan, job = inspected_at(480)
    sheets = timesheets([from_plan(plan, job)], EXAMPLE_RULES)
    named = [dict(s.by_duty).get("inspecting and connecting") for s in sheets.shifts]
    assert [minutes for minutes in named if minutes] == [20, 20]
    assert_counted_alike(sheets)
    plan, job = briefed_for(15)
    briefed = timesheets([from_plan(plan, job)], EXAMPLE_RULES).shifts
    assert all(dict(s.by_duty)["briefing"] >= 15 for s in briefed)


@pytest.mark.parametrize(("trigger_fsw", "watched"), [(58, set()), (57, {"Ana"})])
def test_the_hour_by_the_chamber_at_the_trigger_itself(trigger_fsw: int, watched: set[str]) -> None:
    """It is work after a dive deeper than the trigger: 58 fsw without stops are not deeper than 58."""
    worked = from_plan(a_plan(), with_rules(a_job(), chamber_trigger_fsw=trigger_fsw))
    assert {s.person for s in worked.spells if s.duty == CHAMBER_WATCH} == watched


def test_two_duties_at_once_count_once() -> None:
    """A console held with the log counts once, under the console (the pair: common practice)."""
    (day,) = _shifts(
        record(
            spell("Ana", "log keeper", "0800", "1000"), spell("Ana", "air console", "0800", "0930"), days=1
        )
    )
    assert dict(day.by_duty) == {"air console": 90, "log keeper": 30}


def test_a_short_gap_is_work_and_a_meal_is_a_break() -> None:
    """20 min between duties are time worked, 30 min are not (29 CFR 785.18 and 785.19)."""
    (day,) = _shifts(
        record(
            spell("Ana", "tender", "0800", "1000"),
            spell("Ana", "tender", "1020", "1200"),
            spell("Ana", "tender", "1230", "1300"),
            days=1,
        )
    )
    assert day.breaks == ((720, 750),)
    assert dict(day.by_duty) == {"tender": 250, BETWEEN: 20}


def test_night_weekend_standby_enclosed_and_chamber_minutes() -> None:
    """Each premium's minutes by hand: Saturday 20:00 to Sunday 02:00 (arithmetic)."""
    saturday = record(
        spell("Ana", "standby diver", "2000", "2100"),
        spell("Ana", "diver", "2100", "2300"),
        spell("Ana", "chamber operator", "2300", "0200"),
        dives=(dive("Ana", 40, "2130", 50, enclosed_space=True),),
        first_day=date(2027, 3, 20),
        days=1,
    )
    (whole,) = _shifts(saturday)
    assert (whole.weekend_min, whole.night_min, whole.dives) == (360, 240, 1)
    first, second = _shifts(saturday, BY_DAY)
    assert (first.weekend_min, second.weekend_min) == (240, 120)
    assert (first.night_min, second.night_min) == (120, 120)
    assert (first.paid_min(PaidAs.STANDING_BY), first.paid_min(PaidAs.ENCLOSED)) == (60, 53)
    assert (first.paid_min(PaidAs.CHAMBER), second.paid_min(PaidAs.CHAMBER)) == (60, 120)
    assert (first.bottom_min, first.greatest_depth_fsw, first.dives) == (50, 40, 1)
    assert second.dives == 0


def test_the_night_on_which_summer_time_ends_is_an_hour_longer() -> None:
    """In Lisbon 31 October 2027 has the hour from 01:00 twice: 22:00 to 06:00 is nine hours of work.

    Source: Directive 2000/84/EC, summer time ends at 01:00 UTC on the last Sunday of October.
    """
    night = record(
        DutySpell(item="", person="Ana", duty="tender", start_min=22 * 60, end_min=22 * 60 + 9 * 60),
        first_day=date(2027, 10, 30),
        days=2,
        time_zone="Europe/Lisbon",
    )
    sheets = timesheets([night], EXAMPLE_RULES)
    (shift,) = sheets.shifts
    assert (shift.worked_min, shift.night_min) == (540, 540)
    assert sheets.clock.at(shift.end_min).strftime("%H:%M") == "06:00"
    assert_counted_alike(sheets)
    assert [d.worked_min for d in timesheets([night], BY_DAY).shifts] == [120, 420]


def test_the_night_on_which_summer_time_begins_is_an_hour_shorter() -> None:
    """In Lisbon 28 March 2027 lacks the hour from 01:00: 22:00 to 06:00 is seven hours (same source)."""
    night = record(
        DutySpell(item="", person="Ana", duty="tender", start_min=22 * 60, end_min=22 * 60 + 7 * 60),
        first_day=date(2027, 3, 27),
        days=2,
        time_zone="Europe/Lisbon",
    )
    sheets = timesheets([night], EXAMPLE_RULES)
    assert [s.worked_min for s in sheets.shifts] == [420]
    assert sheets.clock.at(sheets.shifts[0].end_min).strftime("%H:%M") == "06:00"
    assert_counted_alike(sheets)


def test_several_days_of_plans_and_logs_make_a_week() -> None:
    """A plan of Monday and a log of Tuesday are one week of two days, each marked with what it is from."""
    monday = record(spell("Ana", "tender", "0800", "1800"), days=1)
    tuesday = record(
        spell("Ana", "tender", "0800", "1200"),
        first_day=date.fromordinal(MONDAY.toordinal() + 1),
        days=1,
        from_log=True,
    )
    sheets = timesheets([tuesday, monday], EXAMPLE_RULES)
    (week,) = sheets.weeks
    assert [(d.day.isoformat(), d.worked_min, d.from_log) for d in week.shifts] == [
        ("2027-03-15", 600, False),
        ("2027-03-16", 240, True),
    ]
    assert week.basis == "log and plan"
    assert not sheets.from_log
