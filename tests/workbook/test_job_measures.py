"""Units at the edge, against the published factors, and which way each quantity rounds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.job import UnitSystem, units
from planner.job.units import Measure, Toward

METRIC = UnitSystem.METRIC
ALL = {name: m for name, m in vars(units).items() if isinstance(m, Measure)}


@pytest.mark.parametrize(
    ("measure", "metric", "inside"),
    [
        # 1 ft = 0.3048 m exactly (NIST SP 811, appendix B)
        (units.DEPTH, 9.144, 30),
        (units.DEPTH, 9.15, 31),
        (units.DEPTH_TRIGGER, 30.48, 100),
        (units.DEPTH_TRIGGER, 30.7, 100),
        (units.LENGTH, 60.96, 200),
        (units.LENGTH, 61.2, 200),
        (units.REACH, 60.97, 201),
        # 1 psi = 6.894757 kPa (same): 200 bar is 2,900.75 psi
        (units.PRESSURE, 200, 2900.7),
        (units.PRESSURE_KEPT, 200, 2900.8),
        # 1 cu ft = 28.316847 l (same): 50 l are 1.76573 cu ft
        (units.VOLUME, 50, 1.765),
        (units.FLOW, 2831.6847, 100),
        (units.FLOW_NEEDED, 50, 1.766),
        # 1 US gal = 3.785412 l (same)
        (units.FUEL, 3.785412, 1),
        # 10 °C are 50 °F by definition
        (units.WATER_TEMPERATURE, 10, 50),
        (units.AIR_TEMPERATURE, 30.01, 86.1),
    ],
)
def test_metric_figures_become_inside_ones(measure: Measure, metric: float, inside: float) -> None:
    """Each with its factor, on the safe side of its grid."""
    assert measure.inside(metric, METRIC) == inside


@pytest.mark.parametrize("measure", ALL.values(), ids=list(ALL))
@given(steps=st.integers(0, 100_000))
def test_what_is_written_reads_back(measure: Measure, steps: int) -> None:
    """Every figure on the grid survives, in metric and in feet."""
    value = steps if measure.steps == 1 else steps / measure.steps
    assert measure.inside(measure.typed(value, METRIC), METRIC) == value
    assert measure.inside(measure.typed(value, UnitSystem.FEET), UnitSystem.FEET) == value


@pytest.mark.parametrize("measure", ALL.values(), ids=list(ALL))
@given(figure=st.floats(0, 5000))
def test_rounding_never_goes_to_the_unsafe_side(measure: Measure, figure: float) -> None:
    """What is needed is never less, what is there never more, than was typed."""
    exact = figure * measure.per_metric + measure.offset
    inside = measure.inside(figure, METRIC)
    dust = 1e-6
    if measure.toward is Toward.MORE:
        assert inside >= exact - dust
    elif measure.toward is Toward.LESS:
        assert inside <= exact + dust
    assert abs(inside - exact) <= 1 / measure.steps + dust


@given(st.floats(0.5, 67))
def test_a_rating_covers_work_at_the_same_metres(depth_m: float) -> None:
    """Rating and work round alike, so a diver rated to 30 m may work at 30 m."""
    people, work = units.DEPTH, units.DEPTH
    assert people.inside(depth_m, METRIC) >= work.inside(depth_m, METRIC)
