"""Sets that count repetitive dives by a factor on the bottom time, or by a least interval: the whole road.

Both sets are invented (`tests.table_sets.invented`); every sum in here can be done by hand from their sheets.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import pytest

from planner import check, plan
from planner.day.divers import AfterDive, Hindrance, at_leave
from planner.errors import TableRefusal
from planner.job import Job, PastDive
from planner.log.exposures import _wait_until
from planner.plan import Plan
from planner.schedule.problem.problem import wait_minutes
from planner.table_sets import TableSet, shelf, table_set
from planner.table_sets.shelf import keep_set
from planner.table_sets.soundness import examine
from planner.tables import ExposureOptions, Mode, groups_of_past_dives, look_up, modes, plan_exposure
from planner.tables.series import plan_in_series
from planner.words.look_up import look_up_text
from tests.table_sets.invented import BY_FACTOR, BY_INTERVALS, by_factor, by_intervals
from tests.world.changed import with_dive, with_item, with_site
from tests.world.quay import GATE, a_job


@pytest.fixture(scope="module", autouse=True)
def of_this_place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Both sets among a place's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(shelf.SETS_VARIABLE, str(tmp_path_factory.mktemp("sets")))
        for id, files in ((BY_FACTOR, by_factor()), (BY_INTERVALS, by_intervals())):
            assert keep_set(id, files).sound
        yield


def options(id: str) -> ExposureOptions:
    return ExposureOptions(tables=table_set(id))


@cache
def a_day(id: str) -> Job:
    """One item at 58 fsw and two divers, who cannot do it without a second dive of one of them."""
    job = a_job()
    people = tuple(p for p in job.people if p.name not in ("Rob", "Cat", "Bo", "Dan", "Eli"))
    items = tuple(item for item in job.dive_items if item.name == GATE)
    one = job.replace(people=people, dive_items=items, surface_items=(), water_windows=())
    return with_item(with_site(one, table_set=id), GATE, bottom_work_min=150, splittable=True)


@cache
def its_plan(id: str) -> Plan:
    found = plan(a_day(id), seconds=1, workers=1).plan
    assert found is not None
    return found


def a_repeat(id: str) -> tuple[str, str, int]:
    """A repetitive dive of the plan, its diver, and the minutes on the surface before it."""
    return next(
        (dive.id, diver.person, diver.surface_interval_min)
        for dive in its_plan(id).dives
        for diver in dive.divers
        if diver.surface_interval_min is not None
    )


def left_earlier(id: str, minutes: int) -> Plan:
    """The plan with that dive whole minutes earlier, and nothing else worked out again."""
    number, _, _ = a_repeat(id)
    dive = next(d for d in its_plan(id).dives if d.id == number)
    times = ("leave_surface_min", "reach_bottom_min", "leave_bottom_min", "reach_surface_min")
    return with_dive(its_plan(id), number, **{name: getattr(dive, name) - minutes for name in times})


def rules_broken(id: str, minutes: int) -> set[str]:
    number, person, _ = a_repeat(id)
    found = check(a_day(id), left_earlier(id, minutes))
    return {f.rule for f in found if person in f.where and number in f.where}


@pytest.mark.parametrize("id", [BY_FACTOR, BY_INTERVALS])
def test_a_day_with_repetitive_dives_is_planned_and_holds(id: str) -> None:
    """The plan passes the check, and at least one diver goes down twice."""
    assert check(a_day(id), its_plan(id)) == ()
    _, _, interval = a_repeat(id)
    assert interval >= 10


@pytest.mark.parametrize(
    ("bottom_min", "carried", "equivalent_min", "after"),
    [
        (30, None, 30, "B"),
        (30, "1.4", 42, "C"),
        (33, "1.8", 60, "D"),
        (25, "1.2", 30, "B"),
        (1, "1.1", 2, "A"),
    ],
)
def test_a_factor_counts_on_the_bottom_time(
    bottom_min: int, carried: str | None, equivalent_min: int, after: str
) -> None:
    """At 60 fsw: 30 min by 1.4 are 42, group C; 33 by 1.8 are 59.4, so 60; a minute by 1.1 is two."""
    found = plan_exposure(55, bottom_min, carried, options(BY_FACTOR))
    assert (found.equivalent_min, found.group_after) == (equivalent_min, after)
    assert found.residual_nitrogen_min == equivalent_min - bottom_min


def test_a_factor_refuses_a_minute_too_long() -> None:
    """60 fsw by 1.4: 42 min are 58.8, so 59; 43 are 60.2, over the limit of 60. The sheet prints 42."""
    assert plan_exposure(60, 42, "1.4", options(BY_FACTOR)).equivalent_min == 59
    with pytest.raises(TableRefusal, match=r"a diver with factor 1[.]4.* 42 min is the most"):
        plan_exposure(60, 43, "1.4", options(BY_FACTOR))


def test_a_short_dive_does_not_wash_a_group_away() -> None:
    """Ten minutes at 60 fsw alone leave A; by a diver who carries 1.6 they leave C, from which 1.6 comes."""
    assert plan_exposure(60, 9, None, options(BY_FACTOR)).group_after == "A"
    assert plan_exposure(60, 9, "1.6", options(BY_FACTOR)).group_after == "C"


@pytest.mark.parametrize("id", [BY_FACTOR, BY_INTERVALS])
def test_no_series_is_added_up_where_nothing_is_residual_minutes(id: str) -> None:
    """The RNT exception is of residual nitrogen times (U.S. Navy Diving Manual): by a factor a repeat is
    counted as it is, and by intervals the diver comes clean, whatever the option says."""
    carried = {BY_FACTOR: "1.4", BY_INTERVALS: None}[id]
    asked = replace(options(id), rnt_exception=True)
    found = plan_in_series(60, 30, carried, [(60, 10)], asked)
    assert found == plan_exposure(60, 30, carried, asked)
    assert not any("RNT" in note for note in found.schedule.notes)


def test_a_least_interval_is_held_to_the_minute() -> None:
    """After B two hours: at 1:59 no dive at all, at 2:00 a clean diver."""
    tables = table_set(BY_INTERVALS)
    surfaced = AfterDive(tables, 500, "B")
    assert at_leave(surfaced, 619).hindrance is Hindrance.NO_DIVE_YET
    assert at_leave(surfaced, 620).hindrance is None and at_leave(surfaced, 620).group is None
    with pytest.raises(
        TableRefusal, match=r"no other dive within 2:00 of one that leaves group B \(sheet 2\)"
    ):
        plan_exposure(40, 1, "B", options(BY_INTERVALS))


def test_a_minute_under_the_least_interval_is_convicted() -> None:
    """The plan's repetitive dive holds; moved to a minute under the least interval it breaks the rule."""
    _, _, interval = a_repeat(BY_INTERVALS)
    assert "no-group-no-dive" not in rules_broken(BY_INTERVALS, 0)
    least = {"A": 60, "B": 120, "C": 180, "D": 360}
    assert interval in range(min(least.values()), 720)
    assert "no-group-no-dive" in rules_broken(BY_INTERVALS, interval - 59)


def test_another_factor_is_convicted() -> None:
    """The plan's repetitive dive holds; so soon that the highest factors count it breaks the rules."""
    _, _, interval = a_repeat(BY_FACTOR)
    assert rules_broken(BY_FACTOR, 0) == set()
    assert rules_broken(BY_FACTOR, interval - 10) & {"residual-nitrogen", "way-up-policy"}


@cache
def _modes(depth: int, id: str) -> tuple[Mode, ...]:
    return modes(depth, options(id))


def outcomes(
    tables: TableSet, depth: int, group: str, interval: int, bottom: int
) -> set[tuple[int, str | None]]:
    """What the model may choose for a dive: way up and group of every mode open after that interval."""
    return {
        (mode.ascent_min, mode.group_after)
        for mode in _modes(depth, tables.id)
        if mode.bottom_time_max_min >= bottom and wait_minutes(tables, group, mode.group_before) <= interval
    }


@pytest.mark.parametrize("id", [BY_FACTOR, BY_INTERVALS])
def test_the_model_may_choose_exactly_what_the_check_accepts(id: str) -> None:
    """Every interval at which something changes, and the minute before: a dive is open to the model where the
    tables give it, with the same group; so what is proven by the model is proven by the tables."""
    tables = table_set(id)
    ends = {end for cells in tables.credit.values() for _, end, _ in cells}
    rank, reading = tables.rank_after, options(id)
    for depth, group, interval in product(
        (40, 58, 80), tables.groups, sorted({10, *ends, *(e + 1 for e in ends)})
    ):
        for bottom in (1, 8, 9, 15, 20, 26, 30, 33, 42, 43, 60, 66, 90, 120):
            carried = tables.group_after_interval(group, interval)
            try:
                true = plan_exposure(depth, bottom, carried, reading)
            except TableRefusal:
                assert not outcomes(tables, depth, group, interval, bottom)
                continue
            ways = outcomes(tables, depth, group, interval, bottom)
            best = min(ways, key=lambda way: rank(way[1]))
            assert best[1] == true.group_after, (depth, group, interval, bottom)


def test_dives_before_the_job_are_counted_by_the_sets_own_method() -> None:
    """50 min at 60 fsw leave D. 20 min on the surface and 30 min there: by 1.8 they are 54, D; by intervals
    there is no such dive, so no group is known after it."""
    past = [
        PastDive(depth_fsw=60, bottom_time_min=50, surfaced_min=0),
        PastDive(depth_fsw=60, bottom_time_min=30, surfaced_min=51),
    ]
    assert groups_of_past_dives(past, options(BY_FACTOR))[-1].group == "D"
    assert groups_of_past_dives(past, options(BY_INTERVALS))[-1].group is None


def test_the_log_waits_as_long_as_the_set_says() -> None:
    """For 40 min at 60 fsw (1.5-fold at most): after D from 2:00 on, by 1.4. By intervals 6:00 after D."""
    for id, wait in ((BY_FACTOR, 120), (BY_INTERVALS, 360)):

        def fits(carried: str | None, id: str = id) -> bool:
            try:
                return plan_exposure(60, 40, carried, options(id)).equivalent_min > 0
            except TableRefusal:
                return False

        assert _wait_until(table_set(id), "D", fits) == wait


def test_a_look_up_says_the_factor() -> None:
    """In words: what is carried after the interval, and what the minutes count as."""
    text = look_up_text(look_up(60, 30, group="D", interval_min=130, options=options(BY_FACTOR)))
    assert "so factor 1.4 (sheet 2)" in text and "equivalent single dive time 42 min" in text
    with pytest.raises(TableRefusal, match="A group goes with the surface interval"):
        look_up(60, 30, group="D", options=options(BY_FACTOR))


#: Set, file, what stands there once, what is put there, where the fault is told, a part of its sentence.
FALSIFIED = (
    (BY_FACTOR, "intervals.csv", "C,1.4,60,119", "C,1.8,60,119", "intervals.csv, line 8", "do not fall"),
    (BY_FACTOR, "intervals.csv", "C,1.4,60,119", "C,1.4,61,119", "intervals.csv, line 8", "hole before"),
    (BY_FACTOR, "intervals.csv", "C,1.4,60,119", "C,1.4,60,120", "intervals.csv, line 9", "overlap"),
    (BY_FACTOR, "intervals.csv", "C,1.4,60,119", "C,0.9,60,119", "intervals.csv, line 8", "over 1"),
    (BY_FACTOR, "intervals.csv", "C,1.4,60,119", "C,high,60,119", "intervals.csv, line 8", "over 1"),
    (BY_FACTOR, "intervals.csv", "C,1.4,60,119", "E,1.4,60,119", "intervals.csv, line 8", "no such group"),
    (BY_FACTOR, "intervals.csv", "B,1.1,180,359", "B,1.1,180,499", "intervals.csv", "clean sooner"),
    (BY_FACTOR, "intervals.csv", "A,1.2,10,59", "A,1.6,10,59", "intervals.csv", "sooner than group A"),
    (
        BY_FACTOR,
        "intervals.csv",
        "D,1.1,360,719",
        "D,1.1,360,739",
        "intervals.csv, line 15",
        "without a group",
    ),
    (BY_FACTOR, "time_left.csv", "60,54,50", "60,55,50", "time_left.csv, line 3", "limit over factor"),
    (BY_FACTOR, "time_left.csv", "1.6,1.8", "1.6,1.9", "time_left.csv, line 1", "columns"),
    (
        BY_FACTOR,
        "set.toml",
        "altitude = false",
        "altitude = true",
        "set.toml, line 20",
        "residual minutes only",
    ),
    (BY_FACTOR, "set.toml", '"factor on', '"minutes by group and depth on', "set.toml, line", "residual"),
    (BY_INTERVALS, "intervals.csv", "B,120", "B,400", "intervals.csv", "clean sooner"),
    (BY_INTERVALS, "intervals.csv", "B,120", "B,two", "intervals.csv, line 3", "no whole number"),
    (BY_INTERVALS, "intervals.csv", "B,120\n", "", "intervals.csv", "no intervals"),
    (BY_INTERVALS, "intervals.csv", "B,120", "A,120", "intervals.csv, line 3", "stands twice"),
    (BY_INTERVALS, "intervals.csv", "A,60", "A,10", "intervals.csv, line 2", "ends before it begins"),
    (BY_INTERVALS, "intervals.csv", "D,360", "D,721", "intervals.csv, line 5", "without a group"),
    (BY_INTERVALS, "intervals.csv", "least_interval_min", "minutes", "intervals.csv, line 1", "columns"),
)


@pytest.mark.parametrize(("id", "file", "old", "new", "where", "says"), FALSIFIED)
def test_a_falsified_file_is_convicted(id: str, file: str, old: str, new: str, where: str, says: str) -> None:
    """One place of an invented set changed is a fault there; as they are both are sound."""
    files = by_factor() if id == BY_FACTOR else by_intervals()
    text = files[file].decode()
    assert examine(id, files).sound and text.count(old) == 1
    report = examine(id, {**files, file: text.replace(old, new).encode()})
    assert any(one.where.startswith(where) and says in one.sentence for one in report.faults), report.faults


def test_a_file_of_another_method_is_none_of_the_set() -> None:
    """Residual minutes beside a factor would be read by nobody: told, not passed over."""
    files = {**by_factor(), "residual.csv": b"depth_fsw,A,B,C,D\n40,1,2,3,4\n"}
    assert [f.where for f in examine(BY_FACTOR, files).faults] == ["residual.csv, line 1"]


def test_no_invented_set_is_shipped() -> None:
    """They stand among the tests alone."""
    names = {path.name for path in (Path(shelf.__file__).parent / "shipped").iterdir()}
    assert not names & {BY_FACTOR, BY_INTERVALS}
