"""The clock in words on the night on which it is set back: no two minutes are told alike.

In Madrid the clocks go from 03:00 back to 02:00 on 31 October 2027 (last Sunday of October: tz database).
"""

from __future__ import annotations

from datetime import date, time

import pytest

from planner.job import Clock, Site
from planner.job.base import parse_wall
from planner.screens.board.choices import read_time
from tests.world.quay import a_job

NIGHT = Clock(date(2027, 10, 30), "Europe/Madrid")
#: 02:25 for the first and for the second time, in minutes from midnight of the 30th.
FIRST, SECOND = 24 * 60 + 145, 24 * 60 + 205


def test_a_time_that_comes_again_has_its_offset() -> None:
    """02:55 in summer time is half an hour before 02:25 in winter time; afterwards all is plain again."""
    told = [NIGHT.hhmm(minute) for minute in (FIRST, FIRST + 30, SECOND, SECOND + 35)]
    assert told == ["02:25", "02:55", "02:25+01:00", "03:00"]
    assert NIGHT.hhmm(SECOND, with_day=True) == "Sun 02:25+01:00"


def test_every_minute_of_the_night_is_read_back() -> None:
    """What is printed is read as the same minute: 1,500 of them on the day of 25 hours."""
    night = NIGHT.day_of(FIRST)
    minutes = range(NIGHT.minute_on(night, time(0)), NIGHT.day_start(2))
    assert len(minutes) == 1500
    assert [NIGHT.minute_on(night, parse_wall(NIGHT.hhmm(m))) for m in minutes] == list(minutes)


@pytest.mark.parametrize("text", ["02:25+1", "02:25+99:00", "02:25+01:00x", "25:00+01:00"])
def test_an_offset_that_is_none_is_no_time(text: str) -> None:
    """Told as any other text that is no time of day."""
    with pytest.raises(ValueError):
        parse_wall(text)


@pytest.mark.parametrize("minute", [FIRST, SECOND])
def test_a_block_opened_on_the_board_stays_where_it_is(minute: int) -> None:
    """The field shows a time that it reads as the same minute; it was read as an hour earlier."""
    job = a_job()
    site: Site = job.site.replace(
        first_day=NIGHT.first_day, time_zone=NIGHT.time_zone, day_start=time(22), day_end=time(6)
    )
    job = job.replace(site=site)
    assert read_time(job, job.clock.hhmm(minute), minute) == minute
