"""The plan as JSON: there and back, documented, and every fault in words."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import pytest

from planner import CAUTION
from planner.errors import InputFaults
from planner.plan import (
    Dive,
    DiverExposure,
    DutySpell,
    Leftover,
    Plan,
    Reason,
    Stage,
    Status,
    SurfaceTask,
    from_json,
    to_json,
)
from planner.tables.schedule import Stop, TableSchedule
from tests.world.quay import a_job, a_plan
from tests.world.random_cases import held_for

JOB, PLAN = a_job(), a_plan()
TEXT = to_json(PLAN, JOB)


def content() -> dict[str, Any]:
    loaded = json.loads(TEXT)
    assert isinstance(loaded, dict)
    return loaded


def faults_of(changed: object) -> list[str]:
    """What is told of a changed content."""
    text = changed if isinstance(changed, str) else json.dumps(changed)
    with pytest.raises(InputFaults) as caught:
        from_json(text, JOB)
    return [str(f) for f in caught.value.faults]


def test_there_and_back() -> None:
    """A plan written and read is the same plan."""
    assert from_json(TEXT, JOB) == PLAN
    assert to_json(from_json(TEXT, JOB), JOB) == TEXT


def test_an_unproven_bound_is_null() -> None:
    """JSON has no infinity; a stage without a bound comes back as it was."""
    work, finish = PLAN.stages
    plan = PLAN.replace(stages=(work.replace(bound=math.inf), finish.replace(bound=-math.inf)))
    text = to_json(plan, JOB)
    assert [s["bound"] for s in json.loads(text)["stages"]] == [None, None]
    assert from_json(text, JOB) == plan


def test_times_are_iso_8601_with_the_sites_offset() -> None:
    """Lisbon in May is an hour ahead of UTC (Western European Summer Time)."""
    dive = content()["dives"][0]
    assert dive["leave_surface"] == "2026-05-12T08:30:00+01:00"
    assert dive["reach_surface"] == "2026-05-12T09:13:00+01:00"


def test_another_offset_is_the_same_moment() -> None:
    """07:30 UTC is 08:30 in Lisbon in May."""
    changed = content()
    changed["dives"][0]["leave_surface"] = "2026-05-12T07:30:00Z"
    assert from_json(json.dumps(changed), JOB) == PLAN


def test_the_caution_is_in_it() -> None:
    """The caution and what a person must tick are written."""
    assert content()["caution"] == CAUTION
    assert content()["cautions"][0] == CAUTION
    assert len(content()["cautions"]) > 5


def test_every_key_is_documented() -> None:
    """The page names every key that is written."""
    page = (Path(__file__).parents[2] / "docs" / "plan-json.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`([a-z_0-9]+)(?:\[\])?`", page))

    def keys(value: object) -> set[str]:
        if isinstance(value, dict):
            return set(value).union(*(keys(v) for v in value.values()))
        if isinstance(value, list):
            return set().union(*(keys(v) for v in value))
        return set()

    assert keys(content()) <= named


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "not JSON"),
        ("{", "not JSON"),
        ("[1, 2]", "JSON object"),
        ('{"format": NaN}', "not JSON"),
        ("[" * 100_000, "nested"),
        ('{"version": ' + "9" * 5000 + "}", "not JSON"),
        ("{}", "not the JSON of a plan"),
        ('{"format": "diving-team-plan"}', "version"),
        ('{"format": "diving-team-plan", "version": 4}', "version"),
        ('{"format": "diving-team-plan", "version": true}', "version"),
    ],
)
def test_what_is_no_plan_is_told(text: str, word: str) -> None:
    """Text that is no JSON, no plan or another version has its own sentence."""
    (told,) = faults_of(text)
    assert word in told


def test_all_faults_are_told_together() -> None:
    """Several faults in one file are told at once, each with its place."""
    changed = content()
    del changed["dives"][0]["station"]
    changed["dives"][1]["depth_fsw"] = "deep"
    changed["duties"][0]["start"] = "eight"
    changed["surface_tasks"][0]["end"] = "2026-05-12T07:30:00"
    changed["surface_tasks"][1]["end"] = "2026-05-12T07:30:30+01:00"
    changed["stages"][0]["proven"] = "yes"
    changed["status"] = "splendid"
    del changed["leftovers"]
    told = faults_of(changed)
    assert len(told) == 8
    for place, word in (
        ("dives[0].station", "missing"),
        ("dives[1].depth_fsw", "whole number"),
        ("duties[0].start", "ISO 8601"),
        ("surface_tasks[0].end", "no offset"),
        ("surface_tasks[1].end", "whole minutes"),
        ("stages[0].proven", "true nor false"),
        ("status", "no status"),
        ("leftovers", "missing"),
    ):
        assert any(t.startswith(f"{place}: ") and word in t for t in told), (place, told)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("dives", {}),
        ("dives", [7]),
        ("stages", None),
        ("run", []),
        ("job", 3),
        ("duties", "none"),
    ],
)
def test_a_value_of_the_wrong_kind_is_one_fault(key: str, value: object) -> None:
    """A value of the wrong kind is told once, not once for each thing it lacks."""
    assert len(faults_of({**content(), key: value})) == 1


def test_values_that_no_plan_can_hold() -> None:
    """A stop of less than no minutes, a time past the calendar, a number past all measure."""
    changed = content()
    schedule = changed["dives"][0]["divers"][0]["schedule"]
    schedule["stops"] = [{"depth_fsw": 20, "minutes": -1, "gas": "air"}]
    assert any("minutes" in told for told in faults_of(changed))
    for key, value in (
        ("undressed", "0001-01-01T00:00:00+14:00"),
        ("depth_fsw", 10**30),
        ("depth_fsw", 58.0),
        ("bottom_time_min", True),
    ):
        changed = content()
        changed["dives"][0][key] = value
        assert len(faults_of(changed)) == 1
    changed = content()
    changed["stages"][0]["value"] = 10**400
    assert len(faults_of(changed)) == 1
    changed = content()
    changed["dives"][0]["id"] = "\ud800"
    assert faults_of(changed)


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=4), inner, max_size=2),
    max_leaves=4,
)


@held_for(st.data(), quick=60, long=600)
def test_any_change_is_a_plan_or_faults(data: st.DataObject) -> None:
    """Whatever stands at any place of the file, the answer is a plan or faults in words."""
    changed: Any = content()
    spot = changed
    while True:
        key = data.draw(st.sampled_from(sorted(spot) if isinstance(spot, dict) else range(len(spot))))
        if not isinstance(spot[key], dict | list) or not spot[key] or data.draw(st.booleans()):
            break
        spot = spot[key]
    if data.draw(st.booleans()):
        del spot[key]
    else:
        spot[key] = data.draw(JSON_VALUES)
    try:
        plan = from_json(json.dumps(changed), JOB)
    except InputFaults as found:
        assert found.faults
        assert all(f.sentence and f.where for f in found.faults)
    else:
        assert from_json(to_json(plan, JOB), JOB) == plan


@held_for(st.text(), quick=40, long=300)
def test_any_text_is_no_traceback(text: str) -> None:
    """Any text at all is answered with faults."""
    with pytest.raises(InputFaults):
        from_json(text, JOB)


def test_the_depth_of_a_stop_at_altitude_comes_back() -> None:
    """A diver is held at 16.6 fsw for a stop of 20 fsw in the tables; a plan that was read still says so."""
    changed = content()
    stop = {"depth_fsw": 20, "minutes": 5, "gas": "air", "held_at_fsw": 16.6}
    changed["dives"][0]["divers"][0]["schedule"]["stops"] = [stop]
    (read,) = from_json(json.dumps(changed), JOB).dives[0].divers[0].schedule.stops
    assert read.held_fsw == 16.6
    del stop["held_at_fsw"]
    (older,) = from_json(json.dumps(changed), JOB).dives[0].divers[0].schedule.stops
    assert older.held_fsw == 20


def test_a_plan_of_a_later_version_is_told_in_a_sentence() -> None:
    """A file that a later program wrote is not read half: its version is told."""
    (told,) = faults_of({**content(), "version": 7})
    assert "later version" in told


TEXTS = st.text(max_size=12)
MOMENTS = st.integers(-10_000, 20_000)
WHOLES = st.integers(0, 9_999_999)
NUMBERS = st.floats(-1e9, 1e9)
STOPS = st.builds(
    Stop,
    depth_fsw=st.integers(0, 220),
    minutes=WHOLES,
    gas=TEXTS,
    held_at_fsw=st.none() | st.floats(0, 220),
)
SCHEDULES = st.builds(
    TableSchedule,
    table=TEXTS,
    way_up=TEXTS,
    depth_fsw=WHOLES,
    time_min=WHOLES,
    stops=st.lists(STOPS, max_size=3).map(tuple),
    time_to_first_stop_s=WHOLES,
    ascent_s=WHOLES,
    chamber_periods=NUMBERS,
    notes=st.lists(TEXTS, max_size=2).map(tuple),
)
DIVERS = st.builds(
    DiverExposure,
    person=TEXTS,
    duty=TEXTS,
    outfit=TEXTS,
    group_before=st.none() | TEXTS,
    surface_interval_min=st.none() | WHOLES,
    residual_nitrogen_min=WHOLES,
    equivalent_min=WHOLES,
    group_after=st.none() | TEXTS,
    schedule=SCHEDULES,
)
DIVES = st.builds(
    Dive,
    id=TEXTS,
    item=TEXTS,
    station=TEXTS,
    dress_start_min=MOMENTS,
    leave_surface_min=MOMENTS,
    reach_bottom_min=MOMENTS,
    leave_bottom_min=MOMENTS,
    reach_surface_min=MOMENTS,
    undressed_min=MOMENTS,
    depth_fsw=WHOLES,
    bottom_time_min=WHOLES,
    work_min=WHOLES,
    divers=st.lists(DIVERS, max_size=2).map(tuple),
    out_of_chamber_min=st.none() | MOMENTS,
)
DUTIES = st.builds(
    DutySpell,
    person=TEXTS,
    duty=TEXTS,
    start_min=MOMENTS,
    end_min=MOMENTS,
    dive=st.none() | TEXTS,
    item=TEXTS,
    station=st.none() | TEXTS,
    outfit=st.none() | TEXTS,
)
PROVEN_STAGES = st.builds(
    Stage, name=TEXTS, unit=TEXTS, value=NUMBERS, bound=NUMBERS, maximise=st.booleans(), proven=st.booleans()
)
#: A stage without a bound is open on the side to which it is pushed.
STAGES = st.tuples(PROVEN_STAGES, st.booleans()).map(
    lambda s: s[0].replace(bound=math.inf if s[0].maximise else -math.inf) if s[1] else s[0]
)
REASONS = st.builds(Reason, rule=st.none() | TEXTS, sentence=TEXTS)
LEFTOVERS = st.builds(
    Leftover,
    item=TEXTS,
    planned_min=WHOLES,
    needed_min=WHOLES,
    reasons=st.lists(REASONS, max_size=2).map(tuple),
)
TASKS = st.builds(SurfaceTask, item=TEXTS, start_min=MOMENTS, end_min=MOMENTS)
PLANS = st.builds(
    Plan,
    job_name=st.just(JOB.site.name),
    status=st.sampled_from(Status),
    stages=st.lists(STAGES, max_size=2).map(tuple),
    dives=st.lists(DIVES, max_size=2).map(tuple),
    surface_tasks=st.lists(TASKS, max_size=2).map(tuple),
    duties=st.lists(DUTIES, max_size=2).map(tuple),
    leftovers=st.lists(LEFTOVERS, max_size=2).map(tuple),
    seconds=st.floats(0, 1e6),
    seed=WHOLES,
    workers=st.integers(0, 64),
)


@held_for(PLANS, quick=30, long=300)
def test_any_plan_comes_back_as_it_was(plan: Plan) -> None:
    """Whatever a plan holds, what is written is read back as the same plan, field by field."""
    assert from_json(to_json(plan, JOB), JOB) == plan


def test_a_plan_of_another_job_is_told_in_one_sentence() -> None:
    """Another name, first day or time zone: one fault that names both jobs, whatever else is in the file."""
    for key, other in (
        ("job", "Other Quay"),
        ("first_day", "2026-05-13"),
        ("time_zone", "Asia/Tokyo"),
    ):
        (told,) = faults_of({**content(), key: other, "dives": 7})
        assert "This plan was made for the job" in told and other in told and repr(JOB.site.name) in told
    unnamed = content()
    del unnamed["first_day"], unnamed["time_zone"]
    assert len(faults_of(unnamed)) == 2
    assert from_json(json.dumps({**unnamed, "version": 1}), JOB).dives == PLAN.dives


@pytest.mark.parametrize("version", [1, 2])
def test_a_plan_of_an_earlier_version_claims_nothing(version: int) -> None:
    """Version 1 counted nitrogen with A as 2, version 2 no minutes in hand: the stages are left out."""
    old = {**content(), "version": version, "status": "proven best"}
    assert from_json(json.dumps(old), JOB) == PLAN.replace(stages=(), status=Status.FEASIBLE)
