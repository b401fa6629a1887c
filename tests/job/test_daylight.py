"""Sunrise and sunset at a site, against geometry and almanac conventions."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import hypothesis.strategies as st
import pytest
from astral import Observer
from astral.sun import sunrise, sunset
from hypothesis import given, settings

from planner.job import Job, Site, Span
from planner.job.daylight import daylight


def light(
    latitude: float | None, longitude: float | None, day: date, zone: str = "UTC", days: int = 1
) -> tuple[Span, ...] | None:
    site = Site(
        name="Somewhere",
        first_day=day,
        days=days,
        time_zone=zone,
        latitude_deg=latitude,
        longitude_deg=longitude,
    )
    return daylight(Job(site=site, stations=(), people=()))


def first(*where: object) -> Span:
    spans = light(*where)  # type: ignore[arg-type]
    assert spans
    return spans[0]


def test_nobody_knows_without_a_position() -> None:
    """No latitude or no longitude: None, never a guess."""
    assert light(None, 0.0, date(2026, 5, 12)) is None
    assert light(0.0, None, date(2026, 5, 12)) is None


def test_an_equinox_day_on_the_equator() -> None:
    """Geometry: with the sun's centre 0.833° below the horizon at both ends (34' refraction, 16' half disk,
    as almanacs have it) an equinox day on the equator lasts 12 h + 2 × 0.833° × 4 min/° = 12 h 6.7 min."""
    span = first(0.0, 0.0, date(2026, 3, 20))
    assert span.end_min - span.start_min == pytest.approx(726.7, abs=2)
    # the middle is noon by the sun: the equation of time is 7.5 min on 20 March (almanac, from memory)
    assert (span.start_min + span.end_min) / 2 == pytest.approx(727.5, abs=1)


def test_four_minutes_a_degree() -> None:
    """The earth turns a degree in four minutes: 15° further west the sun comes an hour later."""
    east, west = first(30.0, 15.0, date(2026, 5, 12)), first(30.0, 0.0, date(2026, 5, 12))
    assert west.start_min - east.start_min == pytest.approx(60, abs=1)
    assert west.end_min - east.end_min == pytest.approx(60, abs=1)


@pytest.mark.parametrize("day", [date(2026, 5, day) for day in range(10, 16)])
def test_sunrise_up_and_sunset_down_to_the_minute(day: date) -> None:
    """Nobody is in the water in the part of a minute in which the sun is not up: what astral gives in seconds
    lies in the minute before the start and in the one after the end."""
    span, where = first(38.7, -9.15, day), Observer(38.7, -9.15)
    midnight = datetime.combine(day, time(), UTC)
    rise = (sunrise(where, day) - midnight) / timedelta(minutes=1)
    down = (sunset(where, day) - midnight) / timedelta(minutes=1)
    assert 0 <= span.start_min - rise < 1
    assert 0 <= down - span.end_min < 1


def test_the_sun_that_does_not_set_and_the_one_that_does_not_rise() -> None:
    """Inside the polar circle: the whole day in June, nothing in December."""
    assert light(78.2, 15.6, date(2026, 6, 21), "Europe/Oslo") == (
        Span(start_min=0, end_min=1440),
        Span(start_min=1440, end_min=2880),
    )
    assert light(78.2, 15.6, date(2026, 12, 21), "Europe/Oslo") == ()


@settings(max_examples=150, deadline=None)
@given(
    st.floats(-60, 60),
    st.integers(-11, 12),
    st.dates(date(2020, 1, 1), date(2035, 12, 31)),
)
def test_a_span_is_a_local_day(latitude: float, hours: int, day: date) -> None:
    """Outside the polar circles the span of a day lies around its own local noon, whatever the zone."""
    zone = f"Etc/GMT{-hours:+d}"
    spans = light(latitude, hours * 15.0, day, zone, days=2)
    assert spans is not None
    assert len(spans) == 3
    for index, span in enumerate(spans):
        noon = index * 1440 + 720
        assert span.covers(noon - 120, noon + 120)
        assert span.end_min - span.start_min < 20 * 60
