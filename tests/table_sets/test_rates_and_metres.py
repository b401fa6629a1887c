"""A metric set with stops, at a rate of its own: schedule, words, profile, air, plan, check, log.

The set is invented (`tests.table_sets.invented`): 18 msw a minute, stops at 6 and 3 msw. By hand: 18 msw
for 70 min is 15 m to the stop, 0:50, 8 min, and 3 m up, 0:10: 9:00. 18 msw are 58.8 fsw, so 58 fsw enter
that row.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from planner import check, plan
from planner.air.flow import ascent_legs
from planner.job import Job, Policy, UnitSystem
from planner.log.day_log import ActualDive
from planner.log.way_up import left_out
from planner.plan import Plan, from_json, to_json
from planner.table_sets import ON_AIR, shelf, table_set
from planner.table_sets.shelf import keep_set
from planner.table_sets.soundness import examine
from planner.tables import Exposure, ExposureOptions, plan_exposure
from planner.tables.profile import STOP, ascent_s
from planner.words.measures import Metric
from planner.words.schedule import short_row_words, stop_words, whole_schedule_words
from tests.table_sets.invented import IN_METRES, in_metres
from tests.world.changed import with_dive, with_diver, with_item, with_site
from tests.world.quay import GATE, a_job


@pytest.fixture(scope="module", autouse=True)
def of_this_place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The set among a place's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(shelf.SETS_VARIABLE, str(tmp_path_factory.mktemp("sets")))
        assert keep_set(IN_METRES, in_metres()).sound
        yield


def dive_of(bottom_min: int, depth_fsw: int = 58) -> Exposure:
    reading = ExposureOptions(
        tables=table_set(IN_METRES), policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60
    )
    return plan_exposure(depth_fsw, bottom_min, None, reading)


def test_rows_stops_and_times_are_the_sets_own() -> None:
    """70 min at 58 fsw: the row of 18 msw, a stop at 3 msw, 9:00 up; 90 min: stops at 6 and 3 msw, 18:50."""
    found = dive_of(70).schedule
    assert (found.depth_msw, found.time_min, found.ascent_s) == (18, 70, 540)
    assert [(s.depth_msw, s.depth_fsw, s.minutes) for s in found.stops] == [(3, 10, 8)]
    assert [s.depth_msw for s in dive_of(90).schedule.stops] == [6, 3]
    assert dive_of(90).schedule.ascent_s == 1130
    assert dive_of(60).schedule.ascent_s == 60


def test_the_profile_moves_at_the_sets_rate() -> None:
    """Every stretch of the way up is at 58.8 fsw a minute or slower, and their sum is the table's."""
    for exposure in (dive_of(60), dive_of(70), dive_of(90), dive_of(60, 78)):
        segments = exposure.segments
        assert ascent_s(segments) == exposure.schedule.ascent_s
        # a stop lies up to 0.99 fsw under its printed depth, a row up to 0.99 over
        for one in segments:
            rise = one.start_depth_fsw - one.end_depth_fsw
            assert rise <= one.seconds * exposure.schedule.ascent_fsw_per_min / 60 + 1
    at_stops = [s for s in dive_of(90).segments if s.kind == STOP]
    # 10 fsw between the stops take 11 s of the second one's minutes, not the 20 s of 30 fsw a minute
    assert [s.seconds for s in at_stops] == [180, 15 * 60 - 11]


def test_words_say_what_the_set_prints() -> None:
    """In metres the stop stands as printed; in feet the printed metres stand beside it."""
    (stop,) = dive_of(70).schedule.stops
    assert stop_words(stop, UnitSystem.METRIC, Metric.ALONE) == "8 min at 3 msw"
    assert stop_words(stop) == "8 min at 10 fsw (table 3 msw)"
    assert short_row_words(dive_of(70).schedule) == "18/70"
    said = whole_schedule_words(dive_of(70).schedule)
    assert said == "18 msw / 70 min, sheet 3, air: 8 min at 10 fsw (table 3 msw); ascent 9:00"


def test_air_is_counted_for_the_sets_way_up() -> None:
    """From 10 fsw a minute to the surface, the rest of the 9:00 at the stop and on the way to it."""
    legs = ascent_legs(58, dive_of(70).schedule)
    assert [(leg.from_fsw, leg.to_fsw) for leg in legs] == [(58, 10), (10, 10), (10, 0)]
    assert [leg.minutes for leg in legs] == [1, 8, 1]


@cache
def a_day() -> Job:
    """One item at 58 fsw that needs more than the no-stop limit in one dive."""
    job = a_job()
    items = tuple(item for item in job.dive_items if item.name == GATE)
    people = tuple(p for p in job.people if p.name not in ("Rob", "Cat", "Bo"))
    one = job.replace(people=people, dive_items=items, surface_items=(), water_windows=())
    one = with_site(one, table_set=IN_METRES, policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=30)
    return with_item(one, GATE, bottom_work_min=67)


@cache
def its_plan() -> Plan:
    found = plan(a_day(), seconds=1, workers=1).plan
    assert found is not None
    return found


def test_a_day_with_stops_is_planned_and_holds() -> None:
    """68 min of bottom time or more: a stop at 3 msw; the check agrees, and after a stay in a file too."""
    assert check(a_day(), its_plan()) == ()
    (diver,) = its_plan().dives[0].divers
    assert diver.schedule.way_up == ON_AIR and diver.schedule.stops[-1].depth_msw == 3
    assert from_json(to_json(its_plan(), a_day()), a_day()) == its_plan()


def test_another_rate_is_convicted() -> None:
    """A schedule laid out at another rate, or its stop called otherwise, is none of the set's rows."""
    dive = its_plan().dives[0]
    (diver,) = dive.divers
    for wrong in (
        diver.schedule.replace(ascent_fsw_per_min=30),
        diver.schedule.replace(stops=(diver.schedule.stops[0].replace(depth_msw=4),)),
    ):
        found = check(a_day(), with_diver(its_plan(), dive.id, diver.person, schedule=wrong))
        assert "table-row" in {finding.rule for finding in found}
    too_fast = with_dive(its_plan(), dive.id, reach_surface_min=dive.reach_surface_min - 1)
    assert check(a_day(), too_fast)


@pytest.mark.parametrize(("up_min", "says"), [(9, None), (6, "Up 6 min after leave bottom; the row takes 9")])
def test_the_log_holds_a_way_up_to_the_sets_rate(up_min: int, says: str | None) -> None:
    """9 min up are this row's; 6 are too few. Without stops a minute is enough here, where 30 fsw a minute
    would ask for two."""
    item = a_day().dive_item(GATE)

    def logged(bottom: int, up: int) -> ActualDive:
        times = (0, 1, bottom, bottom + up)
        return ActualDive("D1", "N", item, ("Ana",), (), *times, 58, 58, None)

    found = left_out(logged(70, up_min), dive_of(70).schedule)
    assert (found is None) == (says is None) and (found is None or str(says) in found.sentence)
    assert left_out(logged(60, 1), dive_of(60).schedule) is None


#: What stands there once, what is put there, where the fault is told, a part of its sentence.
FALSIFIED = (
    ("18,70,air,50", "18,70,air,90", "stops.csv, line 5", "way over rate"),
    ("15,1130", "15,1140", "stops.csv, line 6", "add up"),
    ("24,36,air,80,,,80", "24,36,air,160,,,160", "stops.csv, line 7", "depth over rate"),
    ("5,20,1570", ",25,1570", "stops.csv, line 9", "way over rate"),
    ("stop_6_msw_min", "stop_20_fsw_min", "stops.csv, line 1", "columns"),
)


@pytest.mark.parametrize(("old", "new", "where", "says"), FALSIFIED)
def test_a_falsified_stop_is_convicted(old: str, new: str, where: str, says: str) -> None:
    """Sums are held in the unit that is printed, so a second too many is found."""
    files = in_metres()
    text = files["stops.csv"].decode()
    assert text.count(old) == 1
    report = examine(IN_METRES, {**files, "stops.csv": text.replace(old, new).encode()})
    assert any(one.where == where and says in one.sentence for one in report.faults), report.faults


@pytest.mark.parametrize(
    ("ways", "says"),
    [
        ('["no-stop", "air", "air and oxygen"]', "says its oxygen_in_water"),
        ('["no-stop", "air", "surface decompression"]', "says its chamber"),
        ('["no-stop", "air", "surface decompression"]', "30 fsw a minute only"),
    ],
)
def test_a_procedure_is_never_borrowed(ways: str, says: str) -> None:
    """Oxygen and the chamber are laid out one way here; a set that does not say that way is refused."""
    head = in_metres()["set.toml"].replace(b'["no-stop", "air"]', ways.encode())
    faults = examine(IN_METRES, {**in_metres(), "set.toml": head}).faults
    assert any(says in fault.sentence for fault in faults)
