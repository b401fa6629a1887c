"""A schedule, a depth, a length of time and a plan's value in words: said once, the same everywhere."""

from __future__ import annotations

import pytest

from planner.job import Gear, UnitSystem
from planner.job.duties import CrewMinimum
from planner.plan import Stage
from planner.tables import Stop, TableSchedule
from planner.words.crew import row_holds_words
from planner.words.measures import (
    Metric,
    altitude_words,
    depth_words,
    hours_minutes,
    minutes_seconds,
    minutes_words,
    number_words,
    pressure_words,
    span_words,
    time_words,
)
from planner.words.plan import CLOCK_UNIT, NO_BOUND, bound_words, gap_words, stage_words
from planner.words.schedule import (
    chamber_words,
    group_after_words,
    group_words,
    row_words,
    schedule_words,
    short_row_words,
    stop_words,
    whole_schedule_words,
)
from tests.world.pier import at, pier_job


def test_a_bound_that_says_nothing_is_none() -> None:
    """No overtime below nothing, no end before the day begins: no bound is known. Above that it is told, and
    a value that is proven best is, also where it is nothing."""
    job = pier_job()
    opens = job.day_windows[0].start_min
    over = Stage(name="overtime", unit="minutes", value=40, bound=0, maximise=False, proven=False)
    ends = Stage(name="finish", unit=CLOCK_UNIT, value=at(15), bound=opens, maximise=False, proven=False)
    for stage in (over, ends):
        assert bound_words(stage, job) == gap_words(stage, job) == NO_BOUND
        assert stage_words(stage, job).endswith(f"not proven: {NO_BOUND}")
    told = over.replace(bound=10)
    assert (bound_words(told, job), gap_words(told, job)) == ("10 minutes", "75.0 %")
    assert "no plan goes below 10" in stage_words(told, job)
    none = over.replace(value=0, proven=True)
    assert (bound_words(none, job), gap_words(none, job)) == ("0 minutes", "none, proven")
    later = ends.replace(bound=opens + 30)
    assert bound_words(later, job) == time_words(job, opens + 30)


METRIC, FEET = UnitSystem.METRIC, UnitSystem.FEET
#: 60 fsw for 70 min, table 9-9: 7 min at 20 fsw, ascent 9:00.
WITH_STOPS = TableSchedule(
    table="9-9",
    way_up="air",
    depth_fsw=60,
    time_min=70,
    stops=(Stop(depth_fsw=20, minutes=7),),
    time_to_first_stop_s=80,
    ascent_s=540,
)
NO_LIMIT_ROW = TableSchedule(table="9-7", way_up="no-stop", depth_fsw=15, time_min=1440, ascent_s=30)


@pytest.mark.parametrize(
    ("metric", "words", "held"),
    [
        (Metric.ALONE, "18.3 m", "5.1 m (table 20 fsw)"),
        (Metric.FIRST, "18.3 m (60 fsw)", "5.1 m (16.6 fsw, table 20)"),
        (Metric.BEHIND, "60 fsw (18.3 m)", "16.6 fsw (5.1 m, table 20)"),
    ],
)
def test_a_depth_in_metres(metric: Metric, words: str, held: str) -> None:
    """60 ft are 18.288 m and 16.6 ft 5.06 m (1 ft = 0.3048 m by definition), rounded up to 0.1 m."""
    assert depth_words(60, METRIC, metric) == words
    assert depth_words(16.6, METRIC, metric, table_fsw=20) == held
    assert depth_words(60, FEET, metric) == "60 fsw"
    assert depth_words(20, FEET, metric, table_fsw=20) == "20 fsw"


def test_other_measures() -> None:
    """5,000 ft are 1,524 m, 2,600 psi 179.26 bar (rounded down: less is the safe side)."""
    assert (altitude_words(5000, FEET), altitude_words(5000, METRIC)) == ("5,000 ft", "1,524 m (5,000 ft)")
    assert (pressure_words(2600, FEET), pressure_words(2600, METRIC)) == ("2,600 psi", "179.2 bar")
    assert (number_words(1520), number_words(0.25)) == ("1,520", "0.2")


def test_lengths_of_time() -> None:
    """Hours from an hour on; minutes and seconds as the tables print an ascent."""
    assert [minutes_words(n) for n in (0, 59, 60, 125)] == ["0 min", "59 min", "1 h 00", "2 h 05"]
    assert (hours_minutes(935), minutes_seconds(1180)) == ("15:35", "19:40")


def test_a_time_has_its_day_only_where_the_job_has_several() -> None:
    """3 March 2026 is a Tuesday; the quay is a job of one day."""
    job = pier_job()
    several = job.replace(site=job.site.replace(days=2))
    assert time_words(job, at(7, 30)) == "07:30"
    assert time_words(several, at(7, 30)) == "Tue 07:30"
    assert span_words(several, at(9, 10), at(10, 5)) == "Tue 09:10–10:05"


def test_a_schedule() -> None:
    """Row 60/70 of table 9-9 in full and in few letters; a row without a limit says so."""
    assert schedule_words(WITH_STOPS) == "60 fsw / 70 min, air: 7 min at 20 fsw"
    assert whole_schedule_words(WITH_STOPS) == "60 fsw / 70 min, table 9-9, air: 7 min at 20 fsw; ascent 9:00"
    assert (row_words(NO_LIMIT_ROW), short_row_words(NO_LIMIT_ROW)) == ("15 fsw / no limit", "15/no limit")
    assert schedule_words(NO_LIMIT_ROW) == "15 fsw / no limit, no-stop"
    assert schedule_words(WITH_STOPS, METRIC) == "60 fsw / 70 min, air: 7 min at 6.1 m"


def test_gas_and_chamber() -> None:
    """Air is named only in a record; half a period is singular; no chamber, no words."""
    (air,) = WITH_STOPS.stops
    oxygen = Stop(depth_fsw=30, minutes=5, gas="oxygen")
    assert (stop_words(air), stop_words(air, air_named=True)) == ("7 min at 20 fsw", "7 min at 20 fsw on air")
    assert stop_words(oxygen) == "5 min at 30 fsw on oxygen"
    said = [chamber_words(WITH_STOPS.replace(chamber_periods=periods)) for periods in (0, 0.5, 1.5)]
    assert said == ["", "0.5 chamber oxygen period", "1.5 chamber oxygen periods"]


def test_groups() -> None:
    """No group before a dive is clean; none after it is none printed."""
    assert (group_words(None), group_words("H")) == ("clean", "H")
    assert (group_after_words(None), group_after_words(None, short=True)) == ("none printed", "none")


def test_a_row_of_the_least_crew_says_of_which_dives_it_is_asked() -> None:
    """All that must be so, the depth in the user's units (100 ft of 0.3048 m are 30.48 m);
    of a row for every dive there is nothing to say."""
    row = CrewMinimum(
        duty="tender",
        count=2,
        gear=Gear.HEAVY,
        deeper_than_fsw=100,
        decompression=True,
        enclosed_space=True,
        source="x",
    )
    others = ["outside the no-stop limits", "in an enclosed space"]
    heavy = f"in {Gear.HEAVY.value}"
    assert row_holds_words(row, UnitSystem.FEET) == [heavy, "deeper than 100 fsw", *others]
    assert row_holds_words(row, UnitSystem.METRIC, Metric.ALONE)[1] == "deeper than 30.5 m"
    assert row_holds_words(CrewMinimum(duty="tender", count=1, source="x"), UnitSystem.FEET) == []
