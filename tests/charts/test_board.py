"""The board shows the plan: every block's person, start, end and letters, on one time axis."""

from __future__ import annotations

from typing import Any

import pytest

from planner.charts.board import DECOMPRESSING, DRESSING, PERSON, STATION, Board, duties_unlike
from planner.charts.look import FigureLook, lanes_of
from planner.job import UnitSystem
from planner.job.daylight import daylight
from planner.job.duties import DIVER, STANDBY
from tests.world.harbour import DECK, DIVERS, harbour_job, harbour_plan

JOB = harbour_job()
PLAN = harbour_plan(JOB)


def _values(plan: Any = PLAN, job: Any = JOB, **more: Any) -> dict[str, Any]:
    return Board(plan, job, **{"look": FigureLook(), **more}).values()


def _blocks(values: dict[str, Any]) -> list[dict[str, Any]]:
    return [block for row in values["rows"] for block in row["blocks"]]


def _parts(values: dict[str, Any], what: str) -> list[tuple[int, int]]:
    """Start and end of every part of a diver's block of that kind."""
    divers = [b for b in _blocks(values) if b["chip"] == "D"]
    return sorted((start, end) for b in divers for name, start, end in b["parts"] if name == what)


def test_standby_blocks_are_the_plans_spells() -> None:
    """Each standby spell of the plan is one block with its start and end, and carries the duty's letters."""
    spells = sorted((s.start_min, s.end_min) for s in PLAN.duties if s.duty == STANDBY)
    assert sorted((b["from"], b["to"]) for b in _blocks(_values()) if b["chip"] == "SB") == spells


def test_a_dive_falls_into_dressing_water_undressing() -> None:
    """A diver's block in the water runs from leave surface to reach surface; the rest is dressing."""
    values = _values()
    assert _parts(values, "") == sorted((d.leave_surface_min, d.reach_surface_min) for d in PLAN.dives)
    edges = [
        edge
        for d in PLAN.dives
        for edge in ((d.dress_start_min, d.leave_surface_min), (d.reach_surface_min, d.undressed_min))
    ]
    assert _parts(values, "dress") == sorted(edges)
    assert DRESSING in {sign["name"] for sign in values["legend"]}


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
    for view in (PERSON, STATION):
        values = _values(plan, view=view)
        own = next(b for b in _blocks(values) if b["moves"] == f"dive {first.id}" and len(b["parts"]) > 1)
        assert ("chamber", first.reach_surface_min, out) in own["parts"]
        assert f"out of the chamber {JOB.clock.hhmm(out)}" in own["told"]
        assert DECOMPRESSING in {sign["name"] for sign in values["legend"]}


def test_two_duties_held_at_once_are_one_block_and_both_are_in_the_legend() -> None:
    """Console and log keeper of one person on one dive share a block with both letters; each is explained."""
    values = _values()
    assert "AC·LK" in {b["chip"] for b in _blocks(values)}
    assert {"AC", "LK"} <= {sign["letters"] for sign in values["legend"]}


@pytest.mark.parametrize("view", [PERSON, STATION])
def test_every_block_carries_words_from_long_to_short_and_divers_say_dive_and_depth(view: str) -> None:
    """No block relies on colour alone; the longest words name the dive and its depth."""
    for block in _blocks(_values(view=view, look=FigureLook(contrast=True))):
        lengths = [len(text) for text in block["texts"]]
        assert lengths == sorted(lengths, reverse=True) and lengths[-1] > 0
        if block["moves"].startswith("dive "):
            dive = next(d for d in PLAN.dives if f"dive {d.id}" == block["moves"])
            assert f"{dive.id} {dive.depth_fsw} fsw" in block["texts"][0]


def test_both_views_share_the_time_axis() -> None:
    """By person and by station run over the same minutes, so that one can be read under the other."""
    one, two = _values(), _values(view=STATION)
    assert (one["span"], one["hours"]) == (two["span"], two["hours"])
    assert one["hours"][0] == [420, "07:00"]


def test_station_view_names_the_holder_of_each_post() -> None:
    """The supervisor's row of the station holds his name for each spell; work on deck has rows of its own."""
    values = _values(view=STATION)
    rows = {row["name"]: row["blocks"] for row in values["rows"]}
    assert {b["person"] for b in rows["Barge · supervisor"]} == {DECK[0]}
    assert "on deck · Shift the stage" in rows


def test_slack_dark_and_tide_stand_behind() -> None:
    """Both slack windows, the dark after sunset and the tide curve are drawn under the blocks."""
    values = _values(light=daylight(JOB))
    bands = {(b["what"], b["from"], b["to"]) for b in values["behind"]}
    assert {("slack", 480, 600), ("slack", 840, 930)} <= bands
    (dark,) = [b for b in values["behind"] if b["what"] == "dark" and b["to"] == 19 * 60]
    assert 18 * 60 < dark["from"] < 18 * 60 + 30
    assert values["tide"]["unit"] == "ft"


def test_metres_change_the_tide_and_the_depths() -> None:
    """With metres chosen the tide is in metres, 5 ft is 1.52 m, and no block says fsw."""
    values = _values(look=FigureLook(units=UnitSystem.METRIC))
    assert max(v for _, v in values["tide"]["points"]) == pytest.approx(5 * 0.3048, abs=0.01)
    assert not [b for b in _blocks(values) if "fsw" in b["texts"][0] + b["told"] + b["line"]]


def test_every_block_is_told_in_words() -> None:
    """Person, duty and times of each spell stand in words, for the list and for whoever cannot see it."""
    told = [b["told"] for b in _blocks(_values())]
    for spell in PLAN.duties:
        times = f"{JOB.clock.hhmm(spell.start_min)} to {JOB.clock.hhmm(spell.end_min)}"
        assert any(spell.person in t and spell.duty in t and times in t for t in told), spell
    assert any(f"{DIVERS[0]}: {DIVER}, dive" in t for t in told)


def test_a_duty_that_another_plan_has_not_is_told_apart() -> None:
    """Numbers of dives aside: a renumbered dive changes nobody's duty, one that starts later all of them."""
    first = PLAN.dives[0]
    renamed = PLAN.replace(
        dives=(first.replace(id="D77"), *PLAN.dives[1:]),
        duties=tuple(s.replace(dive="D77") if s.dive == first.id else s for s in PLAN.duties),
    )
    assert duties_unlike(renamed, PLAN) == frozenset()
    later = tuple(s.replace(end_min=s.end_min + 1) if s.dive == first.id else s for s in PLAN.duties)
    unlike = duties_unlike(PLAN.replace(duties=later), PLAN)
    assert {s.dive for s in unlike} == {first.id}
    changed = {
        b["moves"]
        for b in _blocks(_values(changed=duties_unlike(PLAN, PLAN.replace(duties=later))))
        if b["changed"]
    }
    assert changed == {f"dive {first.id}"}


def test_lanes_never_overlap_and_are_few() -> None:
    """Three stretches of which two overlap need two lanes."""
    lane, count = lanes_of([(0, 10), (5, 15), (10, 20)])
    assert count == 2
    assert lane[0] != lane[1]
    assert lane[0] == lane[2]
