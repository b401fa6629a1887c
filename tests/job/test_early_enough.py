"""When a finish is early enough; the order of what counts."""

from __future__ import annotations

from datetime import date, time

import pytest
from pydantic import ValidationError

from planner.job import CrewRules, Job, Site, Station
from planner.job.crew_rules import STAGE_ORDER


def a_job(start: time, end: time, enough: time | None, days: int = 1) -> Job:
    return Job(
        site=Site(
            name="Quay",
            first_day=date(2026, 5, 12),
            days=days,
            day_start=start,
            day_end=end,
            early_enough=enough,
            time_zone="UTC",
        ),
        stations=(Station(name="North"),),
        people=(),
    )


@pytest.mark.parametrize(
    ("enough", "finish", "counted"),
    [
        (time(16), 15 * 60, 16 * 60),
        (time(16), 17 * 60, 17 * 60),
        (None, 15 * 60, 15 * 60),
        # later than the day: any finish is early enough, and counts as its end
        (time(20), 15 * 60, 19 * 60),
        # earlier than the day: none is
        (time(6), 15 * 60, 15 * 60),
    ],
)
def test_on_a_day(enough: time | None, finish: int, counted: int) -> None:
    """From 07:00 to 19:00."""
    assert a_job(time(7), time(19), enough).finish_counted_min(finish) == counted


def test_of_several_days_the_last_decides() -> None:
    """Of three days, done by 16:00: on any day before, and by 16:00 of the third, it is early enough."""
    job = a_job(time(7), time(19), time(16), days=3)
    assert job.finish_counted_min(10 * 60) == 2 * 1440 + 16 * 60
    assert job.finish_counted_min(1440 + 18 * 60) == 2 * 1440 + 16 * 60
    assert job.finish_counted_min(2 * 1440 + 18 * 60) == 2 * 1440 + 18 * 60


@pytest.mark.parametrize(("enough", "counted"), [(time(4), 28 * 60), (time(21), 23 * 60)])
def test_a_night_has_its_time_after_midnight(enough: time, counted: int) -> None:
    """From 20:00 to 06:00: 04:00 is that of the morning; done at 23:00 is past 21:00."""
    assert a_job(time(20), time(6), enough).finish_counted_min(23 * 60) == counted


def test_what_is_not_named_follows_in_the_shipped_order() -> None:
    """Two names, in any case of letters; the rest behind them."""
    order = CrewRules(stage_order=("Overtime", " finish")).stage_order
    assert order[:3] == ("overtime", "finish", "minutes in hand")
    assert sorted(order) == sorted(STAGE_ORDER)


@pytest.mark.parametrize("wrong", [("work finished",), ("finish", "finish"), ("speed",)])
def test_an_order_names_each_stage_once(wrong: tuple[str, ...]) -> None:
    """Work finished cannot be moved, none stands twice, and there are no others."""
    with pytest.raises(ValidationError):
        CrewRules(stage_order=wrong)
