"""What a schedule says beside its figures: that no group is printed, that the chamber is to be reached."""

from __future__ import annotations

import pytest
from readings import WAYS_UP

from planner.table_sets import IN_CHAMBER, NO_STOP, ON_AIR, ON_OXYGEN
from planner.tables import TableSchedule
from planner.tables.rows import CHAMBER_NOTE, NO_GROUP_NOTE
from planner.tables.ways import way


@pytest.mark.parametrize("way_up", WAYS_UP)
def test_a_schedule_without_a_group_says_so_and_no_other(way_up: str) -> None:
    """Over every depth of the tables: where no group follows it is noted, where one does it is not; and all
    that goes to the chamber tells of the way there, and nothing else does."""
    seen = set()
    for depth in range(30, 200, 10):
        for step in way(depth, None, WAYS_UP[way_up]).steps:
            seen.add((step.group_after is None, step.schedule.way_up))
            assert (NO_GROUP_NOTE in step.schedule.notes) == (step.group_after is None)
            assert (CHAMBER_NOTE in step.schedule.notes) == (step.schedule.way_up == "surface decompression")
    assert {(False, way_up), (False, "no-stop")} <= seen
    if way_up != "air and oxygen":
        assert (True, way_up) in seen


def test_every_way_up_but_one_is_decompression() -> None:
    """Outside the no-stop limits is a dive with stops on air, on oxygen, or through the chamber."""
    schedule = TableSchedule(table="9-9", way_up=NO_STOP, depth_fsw=60, time_min=63, ascent_s=120)
    outside = [schedule.replace(way_up=way_up) for way_up in (ON_AIR, ON_OXYGEN, IN_CHAMBER)]
    assert [one.decompression for one in (schedule, *outside)] == [False, True, True, True]
