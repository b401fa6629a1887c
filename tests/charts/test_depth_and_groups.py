"""Depth lines, repetitive groups, the tide and the search's bounds are the plan's and the tables' numbers."""

from __future__ import annotations

import pytest

from planner.charts import depth, groups, search
from planner.charts.board import Board
from planner.charts.look import FigureLook, day_span, outside
from planner.job import Span, TideMark, UnitSystem
from planner.plan.model import Dive, DiverExposure
from planner.tables.schedule import Stop, TableSchedule
from tests.world.harbour import DIVERS, harbour_job, harbour_plan

JOB = harbour_job()
PLAN = harbour_plan(JOB)
FIRST = PLAN.dives[0]


def _decompressing() -> Dive:
    """78 fsw for 47 min: 17 min at 20 fsw, first stop after 2:00, ascent 19:40 (table 9-9, row 80/50)."""
    schedule = TableSchedule(
        table="9-9",
        way_up="air",
        depth_fsw=80,
        time_min=50,
        stops=(Stop(depth_fsw=20, minutes=17),),
        time_to_first_stop_s=120,
        ascent_s=1180,
    )
    exposure = DiverExposure(
        person=DIVERS[0], outfit="Set 11", equivalent_min=47, group_after="M", schedule=schedule
    )
    leave = FIRST.leave_surface_min
    return FIRST.replace(
        depth_fsw=78,
        bottom_time_min=47,
        reach_bottom_min=leave + 2,
        leave_bottom_min=leave + 47,
        reach_surface_min=leave + 67,
        undressed_min=leave + 90,
        work_min=45,
        divers=(exposure,),
    )


def test_profile_of_a_dive_with_a_stop() -> None:
    """Corners: 20 fsw at 49:00, left at 66:00, surface at 66:40. Source: Manual, table 9-9, row 80/50."""
    dive = _decompressing()
    points = depth.corners(depth.dive_segments(dive, dive.divers[0], JOB))
    found = [(round(p.minute, 2), p.depth_fsw) for p in points[-3:]]
    assert found == [(49.0, 20), (66.0, 20), (66.67, 0)]


def test_depth_figure_of_one_dive_marks_its_stop() -> None:
    """The figure's line ends at the surface after the table's ascent and the stop is written out."""
    dive = _decompressing()
    figure = depth.depth_of_dive(dive, dive.divers[0], JOB, FigureLook())
    assert figure.data[0].x[-1] == pytest.approx(47 + 1180 / 60)
    assert any("17 min at 20 fsw" in note.text for note in figure.layout.annotations)
    assert "17 min at 20 fsw on air" in depth.alt_depth_of_dive(dive, dive.divers[0], JOB, FigureLook())
    assert figure.layout.yaxis.title.text == "depth, fsw"


def test_depth_through_the_day_holds_every_dive() -> None:
    """One line a dive, from its leave surface, down to its depth."""
    figure = depth.depth_through_day(PLAN, JOB, FigureLook())
    assert len(figure.data) == len(PLAN.dives)
    for line, dive in zip(figure.data, PLAN.dives, strict=True):
        assert line.x[0] == dive.leave_surface_min
        assert max(line.y) == dive.depth_fsw


def test_depth_in_metres() -> None:
    """58 fsw is drawn at 17.7 m (0.3048 m a foot, NIST SP 811)."""
    figure = depth.depth_through_day(PLAN, JOB, FigureLook(units=UnitSystem.METRIC))
    assert max(figure.data[0].y) == pytest.approx(17.7)


def test_group_falls_as_table_9_8_says() -> None:
    """Group O after 100 fsw for 48 min is H after 6:26. Source: Manual, table 9-8 (worked example 14)."""
    surfaced = 9 * 60
    dive = FIRST.replace(
        leave_surface_min=surfaced - 60,
        reach_bottom_min=surfaced - 58,
        leave_bottom_min=surfaced - 12,
        reach_surface_min=surfaced,
        divers=(FIRST.divers[0].replace(group_after="O"),),
    )
    plan = PLAN.replace(dives=(dive,))
    found = groups.group_stretches(plan, JOB, JOB.people[0], Span(start_min=420, end_min=1440))
    assert found[0].state == groups.IN_WATER
    at = surfaced + 6 * 60 + 26
    assert next(s.state for s in found if s.start_min <= at < s.end_min) == "H"
    assert [s.end_min for s in found[:-1]] == [s.start_min for s in found[1:]]


def test_a_diver_in_the_chamber_is_shown_so() -> None:
    """Surface decompression: under pressure to the end of the chamber, and only then does the group fall."""
    up = FIRST.reach_surface_min
    dive = FIRST.replace(out_of_chamber_min=up + 21, divers=(FIRST.divers[0].replace(group_after="O"),))
    plan = PLAN.replace(dives=(dive,))
    found = groups.group_stretches(plan, JOB, JOB.people[0], Span(start_min=420, end_min=1440))
    chamber = next(s for s in found if s.state == groups.IN_CHAMBER)
    assert (chamber.start_min, chamber.end_min) == (up, up + 21)
    assert next(s.start_min for s in found if s.state == "O") == up + 21
    assert groups.IN_CHAMBER in groups.alt_groups(plan, JOB)
    figure = groups.groups_through_day(plan, JOB, FigureLook())
    assert groups.IN_CHAMBER in {trace.name for trace in figure.data}


def test_group_figure_shows_letters_and_only_those_who_carry_nitrogen() -> None:
    """A row for each diver with nitrogen, a letter on each block; people on deck have none."""
    figure = groups.groups_through_day(PLAN, JOB, FigureLook())
    assert set(figure.layout.yaxis.ticktext) == set(DIVERS)
    assert all(all(trace.text) for trace in figure.data)
    assert DIVERS[0] in groups.alt_groups(PLAN, JOB)


def test_a_name_in_a_title_is_never_read_as_markup() -> None:
    """A diver's name with a tag in it is shown as typed in the title of his dive."""
    exposure = FIRST.divers[0].replace(person="<a href='x'>Ines</a>")
    figure = depth.depth_of_dive(FIRST, exposure, JOB, FigureLook())
    assert "<a" not in figure.layout.title.text
    assert "&lt;a" in figure.layout.title.text


def test_no_group_printed_is_shown_as_such() -> None:
    """After a schedule without a printed group the diver's time is marked, never taken as clean."""
    plan = PLAN.replace(dives=(FIRST.replace(divers=(FIRST.divers[0].replace(group_after=None),)),))
    found = groups.group_stretches(plan, JOB, JOB.people[0], day_span(plan, JOB, 0))
    assert found[-1].state == groups.NO_GROUP
    assert found[-1].end_min == day_span(plan, JOB, 0).end_min


def test_no_tide_is_drawn_outside_the_waters() -> None:
    """The curve runs from the first to the last mark and no farther, at their levels."""
    job = JOB.replace(
        tide_marks=(
            TideMark(minute=540, level_ft=2.0, high=False),
            TideMark(minute=900, level_ft=11.0, high=True),
        )
    )
    tide = Board(harbour_plan(job), job, FigureLook()).values()["tide"]
    assert (tide["points"][0], tide["points"][-1]) == ([540, 2.0], [900, 11.0])


def test_dark_is_what_daylight_leaves() -> None:
    """Before sunrise and after sunset, within the span."""
    dark = outside((Span(start_min=400, end_min=1000),), Span(start_min=360, end_min=1100))
    assert [(d.start_min, d.end_min) for d in dark] == [(360, 400), (1000, 1100)]


def test_search_figure_holds_values_and_bounds() -> None:
    """One panel a stage; the lines are what was reported; a time of day is written as one."""
    steps = [
        search.SearchStep(0.5, "work finished", 700, 1020),
        search.SearchStep(6.0, "work finished", 984, 1000),
        search.SearchStep(8.0, "finish", 900, 840),
    ]
    figure = search.gap_closing(steps, FigureLook(), clock={"finish": JOB.clock.hhmm})
    assert list(figure.data[0].y) == [700, 984]
    assert list(figure.data[1].y) == [1020, 1000]
    assert "14:00" in figure.layout.yaxis2.ticktext
    assert "no plan can beat 1000" in search.alt_gap_closing(steps)


def test_axis_keeps_its_length_on_the_night_the_clocks_change() -> None:
    """On 28 March 2027 in Copenhagen 02:00 does not exist: the hour after 01:00 is written 03:00."""
    job = JOB.replace(
        site=JOB.site.replace(first_day="2027-03-28", day_start="00:00", day_end="06:00"), tide_marks=()
    )
    figure = depth.depth_through_day(PLAN.replace(dives=(), duties=(), surface_tasks=()), job, FigureLook())
    assert list(figure.layout.xaxis.ticktext)[:3] == ["00:00", "01:00", "03:00"]


def test_figures_one_above_the_other_keep_one_place_for_a_time() -> None:
    """Depth and groups leave the same room for names, so the clock stands at the same place in both."""
    one = depth.depth_through_day(PLAN, JOB, FigureLook())
    other = groups.groups_through_day(PLAN, JOB, FigureLook())
    assert one.layout.margin.l == other.layout.margin.l
    assert tuple(one.layout.xaxis.range) == tuple(other.layout.xaxis.range)


def test_stations_are_told_apart_by_a_legend() -> None:
    """With two stations every one is named once; with one there is nothing to tell apart."""
    two = JOB.replace(stations=(*JOB.stations, JOB.stations[0].replace(name="Quay")))
    dives = (PLAN.dives[0], PLAN.dives[1].replace(station="Quay"))
    figure = depth.depth_through_day(PLAN.replace(dives=dives), two, FigureLook())
    assert figure.layout.showlegend
    assert [t.name for t in figure.data if t.showlegend] == ["from Barge", "from Quay"]
    assert not depth.depth_through_day(PLAN, JOB, FigureLook()).layout.showlegend
