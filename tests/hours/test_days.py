"""Minutes by duty, breaks, nights, and the night on which the clocks change."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.hours import BETWEEN, EXAMPLE_RULES, PersonDay, WorkedRecord, timesheets
from planner.job.duties import BUILT_IN_DUTIES
from planner.plan.model import DutySpell
from tests.hours.made_up import MONDAY, dive, record, spell


def _days(given_record: WorkedRecord) -> tuple[PersonDay, ...]:
    return timesheets([given_record], EXAMPLE_RULES).days


_SPELL = st.builds(
    lambda duty, start, length: DutySpell(
        item="", person="Ana", duty=duty, start_min=start, end_min=start + length
    ),
    st.sampled_from([*BUILT_IN_DUTIES, "rigger"]),
    st.integers(0, 6 * 1440),
    st.integers(1, 900),
)


@given(st.lists(_SPELL, min_size=1, max_size=12))
@settings(deadline=None)
def test_minutes_by_duty_add_up_to_the_span_less_the_breaks(spells: list[DutySpell]) -> None:
    """Whatever overlaps or runs past midnight: by duty they sum to span less breaks (arithmetic)."""
    days = _days(record(*spells))
    for day in days:
        assert sum(minutes for _, minutes in day.by_duty) == day.span_min - day.break_min == day.worked_min
        assert 0 <= day.night_min <= day.worked_min
        assert all(end - start >= EXAMPLE_RULES.break_least_min for start, end in day.breaks)
    held = {m for s in spells for m in range(s.start_min, s.end_min)}
    between = sum(minutes for day in days for duty, minutes in day.by_duty if duty == BETWEEN)
    assert sum(day.worked_min for day in days) == len(held) + between


def test_two_duties_at_once_count_once() -> None:
    """A console held with the log counts once, under the console (the pair: common practice)."""
    (day,) = _days(
        record(
            spell("Ana", "log keeper", "0800", "1000"), spell("Ana", "air console", "0800", "0930"), days=1
        )
    )
    assert dict(day.by_duty) == {"air console": 90, "log keeper": 30}


def test_a_short_gap_is_work_and_a_meal_is_a_break() -> None:
    """20 min between duties are time worked, 30 min are not (29 CFR 785.18 and 785.19, from memory)."""
    (day,) = _days(
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
    first, second = _days(saturday)
    assert (first.weekend_min, second.weekend_min) == (240, 120)
    assert (first.night_min, second.night_min) == (120, 120)
    assert (first.standby_min, first.enclosed_min) == (60, 53)
    assert (first.chamber_min, second.chamber_min) == (60, 120)
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
    saturday, sunday = sheets.days
    assert (saturday.worked_min, sunday.worked_min) == (120, 420)
    assert sheets.clock.at(sunday.end_min).strftime("%H:%M") == "06:00"
    assert saturday.night_min + sunday.night_min == 540


def test_the_night_on_which_summer_time_begins_is_an_hour_shorter() -> None:
    """In Lisbon 28 March 2027 lacks the hour from 01:00: 22:00 to 06:00 is seven hours (same source)."""
    night = record(
        DutySpell(item="", person="Ana", duty="tender", start_min=22 * 60, end_min=22 * 60 + 7 * 60),
        first_day=date(2027, 3, 27),
        days=2,
        time_zone="Europe/Lisbon",
    )
    sheets = timesheets([night], EXAMPLE_RULES)
    assert [d.worked_min for d in sheets.days] == [120, 300]
    assert sheets.clock.at(sheets.days[1].end_min).strftime("%H:%M") == "06:00"


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
    assert [(d.day.isoformat(), d.worked_min, d.from_log) for d in week.days] == [
        ("2027-03-15", 600, False),
        ("2027-03-16", 240, True),
    ]
    assert week.basis == "log and plan"
    assert not sheets.from_log
