"""The timelines show the plan: every block's person, start, end and letters, on one time axis."""

from __future__ import annotations

import pytest

from planner.charts import timeline
from planner.charts.look import Look, lanes_of
from planner.job import UnitSystem
from planner.job.daylight import daylight
from planner.job.duties import DIVER, STANDBY
from tests.world.harbour import DECK, DIVERS, harbour_job, harbour_plan

JOB = harbour_job()
PLAN = harbour_plan(JOB)


def _blocks(figure: object, name: str) -> list[tuple[int, int, str]]:
    """Start, end and text of every block of one duty."""
    return [
        (int(start), int(start) + int(length), text)
        for trace in figure.data  # type: ignore[attr-defined]
        if trace.type == "bar" and trace.name.endswith(name)
        for start, length, text in zip(trace.base, trace.x, trace.text, strict=True)
    ]


def test_standby_blocks_are_the_plans_spells() -> None:
    """Each standby spell of the plan is one block with its start and end, and carries the duty's letters."""
    figure = timeline.by_person(PLAN, JOB, Look())
    spells = sorted((s.start_min, s.end_min, "SB") for s in PLAN.duties if s.duty == STANDBY)
    assert sorted(_blocks(figure, STANDBY)) == spells


def test_a_dive_falls_into_dressing_water_undressing() -> None:
    """A diver's block in the water runs from leave surface to reach surface; the rest is dressing."""
    figure = timeline.by_person(PLAN, JOB, Look())
    water = sorted((d.leave_surface_min, d.reach_surface_min, "D") for d in PLAN.dives)
    assert sorted(_blocks(figure, f"</b>{DIVER}")) == water
    dressing = sorted(
        edge
        for d in PLAN.dives
        for edge in (
            (d.dress_start_min, d.leave_surface_min, "D"),
            (d.reach_surface_min, d.undressed_min, "D"),
        )
    )
    assert sorted(_blocks(figure, timeline.DRESSING)) == dressing


def test_the_chamber_is_a_stretch_of_its_own() -> None:
    """Surface decompression: from reach surface to out of the chamber the diver's block says so."""
    first = PLAN.dives[0]
    out = first.undressed_min + 4
    (diver,) = first.divers
    schedule = diver.schedule.replace(way_up="surface decompression", chamber_periods=0.5)
    dive = first.replace(out_of_chamber_min=out, divers=(diver.replace(schedule=schedule),))
    duties = tuple(
        s.replace(end_min=out) if (s.dive, s.person) == (first.id, diver.person) else s for s in PLAN.duties
    )
    plan = PLAN.replace(dives=(dive, *PLAN.dives[1:]), duties=duties)
    for build in (timeline.by_person, timeline.by_station):
        ((start, end, text),) = _blocks(build(plan, JOB, Look()), timeline.DECOMPRESSING)
        assert (start, end) == (first.reach_surface_min, out)
        assert text
    assert f"out of the chamber {JOB.clock.hhmm(out)}" in timeline.alt_by_station(plan, JOB)


def test_two_duties_held_at_once_are_one_block() -> None:
    """Console and log keeper of one person on one dive share a block with both letters."""
    figure = timeline.by_person(PLAN, JOB, Look())
    texts = {text for _, _, text in _blocks(figure, "air console")}
    assert texts == {"AC·LK"}


@pytest.mark.parametrize("build", [timeline.by_person, timeline.by_station])
def test_every_block_carries_letters(build: object) -> None:
    """No block relies on colour alone."""
    figure = build(PLAN, JOB, Look(contrast=True))  # type: ignore[operator]
    for trace in figure.data:
        if trace.type == "bar":
            assert all(trace.text), trace.name


def test_both_views_share_the_time_axis() -> None:
    """By person and by station run over the same minutes, so that one can be read under the other."""
    one = timeline.by_person(PLAN, JOB, Look())
    two = timeline.by_station(PLAN, JOB, Look())
    assert one.layout.xaxis.range == two.layout.xaxis.range
    assert one.layout.xaxis.ticktext[0] == "07:00"


def test_station_view_names_the_holder_of_each_post() -> None:
    """The supervisor's row of the station holds his name for each spell."""
    figure = timeline.by_station(PLAN, JOB, Look())
    names = {text for _, _, text in _blocks(figure, "supervisor")}
    assert names <= {DECK[0], DECK[0].split()[0]}
    assert any(label.startswith("Barge · ") for label in figure.layout.yaxis.ticktext)
    assert "on deck · Shift the stage" in figure.layout.yaxis.ticktext


def test_slack_dark_and_tide_stand_behind() -> None:
    """Both slack windows, the dark after sunset and the tide curve are drawn under the blocks."""
    figure = timeline.by_person(PLAN, JOB, Look(), light=daylight(JOB))
    spans = {(s.x0, s.x1) for s in figure.layout.shapes if s.type == "rect"}
    assert {(480, 600), (840, 930)} <= spans
    dark = next(s for s in figure.layout.shapes if s.type == "rect" and s.x1 == 19 * 60)
    assert 18 * 60 < dark.x0 < 18 * 60 + 30
    assert all(s.layer == "below" for s in figure.layout.shapes)
    assert any(trace.name == "tide, ft" for trace in figure.data)


def test_metres_change_the_tide_axis() -> None:
    """With metres chosen the tide is in metres: 5 ft is 1.52 m."""
    figure = timeline.by_person(PLAN, JOB, Look(units=UnitSystem.METRIC))
    tide = next(trace for trace in figure.data if trace.name == "tide, m")
    assert max(tide.y) == pytest.approx(5 * 0.3048, abs=0.01)


def test_alternative_text_tells_every_spell() -> None:
    """The words beside the figure name every person and the times of his duties."""
    words = timeline.alt_by_person(PLAN, JOB)
    for person in JOB.people:
        assert person.name in words
    assert "standby diver 07:30 to" in words
    assert DIVERS[0] in timeline.alt_by_station(PLAN, JOB)


def test_a_name_is_never_read_as_markup() -> None:
    """A name with a tag in it is shown as typed."""
    people = (JOB.people[0].replace(name="<b>Ines</b>"), *JOB.people[1:])
    job = JOB.replace(people=people)
    figure = timeline.by_person(PLAN, job, Look())
    assert "&lt;b&gt;Ines&lt;/b&gt;" in figure.layout.yaxis.ticktext


def test_lanes_never_overlap_and_are_few() -> None:
    """Three stretches of which two overlap need two lanes."""
    lane, count = lanes_of([(0, 10), (5, 15), (10, 20)])
    assert count == 2
    assert lane[0] != lane[1]
    assert lane[0] == lane[2]
