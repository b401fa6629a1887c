"""The air charts draw the report's numbers, and say the same in words."""

from __future__ import annotations

import pytest

from planner.air import AirReport, air_report
from planner.charts.air_charts import (
    air_flow_alt,
    air_flow_chart,
    air_span,
    hour_meter_alt,
    hour_meter_chart,
)
from planner.charts.look import FigureLook
from planner.job import AirPlant, Span, UnitSystem
from tests.world.lock import STOPS_100, compressor, dive, job, plan, plant

DIVES = (dive(), dive("2", start=660, item="Deep sill", depth=100, bottom=45, schedule=STOPS_100))


def _report(**changes: object) -> AirReport:
    return air_report(plan(*DIVES), job(**changes))


def _trace(figure: object, name: str):  # type: ignore[no-untyped-def]
    return next(t for t in figure.data if t.name == name)  # type: ignore[attr-defined]


def test_demand_stays_under_capacity_in_the_picture() -> None:
    """The curve of required flow peaks at 48.4 scfm (2 × 6 acfm at 100 fsw) under 120 scfm."""
    figure = air_flow_chart(_report(), job(), FigureLook())
    assert max(_trace(figure, "with the standby sent down").y) == 48.4
    assert set(_trace(figure, "compressors give").y) == {120}


def test_demand_is_zero_between_dives() -> None:
    """Nobody on air: the curve lies on zero between the two dives and at both ends."""
    trace = _trace(air_flow_chart(_report(), job(), FigureLook()), "expected")
    level = dict(zip(trace.x, trace.y, strict=True))
    assert level[dive().reach_surface_min + 2] == 0
    assert trace.y[0] == trace.y[-1] == 0
    assert list(trace.x) == sorted(trace.x)


def test_capacity_bridges_the_gaps() -> None:
    """Compressors run on between dives: their curve has no hole."""
    trace = _trace(air_flow_chart(_report(), job(), FigureLook()), "compressors give")
    assert list(trace.x) == sorted(trace.x)
    assert min(trace.y) == 120


def test_metric_look_shows_litres() -> None:
    """48.36 scfm are 1,369.5 litres a minute (1 cu ft = 28.316847 l, NIST SP 811)."""
    look = FigureLook(units=UnitSystem.METRIC)
    figure = air_flow_chart(_report(), job(), look)
    assert max(_trace(figure, "with the standby sent down").y) == pytest.approx(1369.5, abs=0.1)
    assert "litres/min" in figure.layout.yaxis.title.text
    assert "litres/min" in air_flow_alt(_report(), job(), look)


def test_one_stretch_only() -> None:
    """With a span only the dives in it are drawn."""
    morning = Span(start_min=420, end_min=600)
    figure = air_flow_chart(_report(), job(), FigureLook(), morning)
    assert max(_trace(figure, "expected").x) == dive().reach_surface_min + 2
    assert air_span(_report(), morning) == Span(start_min=505, end_min=554)
    assert air_span(_report(), Span(start_min=0, end_min=60)) is None


def test_words_for_the_flow() -> None:
    """The text twin names the peak, what is given then, and the least margin with its moment."""
    words = air_flow_alt(_report(), job(), FigureLook())
    assert "48.4 scfm at Tue 11:30" in words
    assert "120 scfm then" in words
    assert "71.6 scfm at Tue 11:30" in words
    assert "No air plant" in air_flow_alt(_report(air=AirPlant()), job(), FigureLook())
    assert air_flow_alt(air_report(plan(), job()), job(), FigureLook()).startswith("No dive")


def test_flow_chart_without_dives_or_plant() -> None:
    """Nothing to draw is drawn as nothing."""
    empty = air_flow_chart(air_report(plan(), job()), job(), FigureLook(contrast=True))
    assert len(_trace(empty, "expected").x) == 0
    bare = air_flow_chart(_report(air=AirPlant()), job(), FigureLook())
    assert {t.name for t in bare.data} == {"expected", "with the standby sent down"}


def test_hour_meters() -> None:
    """Run, left and past add up: 4.8 run of 60 left; 2 of 4.8 before the service, 2.8 past it."""
    machines = (
        compressor("C1").replace(hours_run=940, service_at_hours=1000),
        compressor("C2").replace(hours_run=498, service_at_hours=500),
        compressor("C3"),
    )
    report = _report(air=plant().replace(compressors=machines))
    figure = hour_meter_chart(report, FigureLook())
    bars = {t.name: dict(zip(t.y, t.x, strict=True)) for t in figure.data}
    hours = 287 / 60
    assert bars["run by this plan"]["C1"] == pytest.approx(hours, abs=0.01)
    assert bars["left to the service"]["C1"] == pytest.approx(60 - hours, abs=0.01)
    assert bars["run by this plan"]["C2"] == pytest.approx(2, abs=0.01)
    assert bars["past the service"]["C2"] == pytest.approx(hours - 2, abs=0.01)
    assert "C3" not in bars["run by this plan"]
    words = hour_meter_alt(report)
    assert "C1: meter 940.0 → 944.8, service at 1000, due 2027-05-16, 55.2 h left" in words
    assert "2.8 h past it" in words


def test_hour_meters_without_a_service() -> None:
    """No service reading, no bar."""
    report = _report(air=plant().replace(compressors=(compressor("C"),)))
    assert hour_meter_alt(report) == "No compressor has a service reading."
    assert all(len(t.x) == 0 for t in hour_meter_chart(report, FigureLook(contrast=True)).data)
