"""How long a dive may be: by kind of dress, by water, by item; and how it is told."""

from __future__ import annotations

from typing import Any

import pytest

from planner.check import check
from planner.job import Gear, Job, UnitSystem
from planner.plan.unchecked import unchecked
from planner.schedule import solve
from tests.schedule.day import item, job, outfit


def limited(made: Job, **limits: Any) -> Job:
    return made.replace(rules=made.rules.replace(**limits))


def water(made: Job, water_temp_f: float | None) -> Job:
    return made.replace(site=made.site.replace(water_temp_f=water_temp_f))


@pytest.mark.parametrize(("water_temp_f", "most"), [(None, 100), (50, 100), (49.9, 60)])
def test_cold_water_has_limits_of_its_own(water_temp_f: float | None, most: int) -> None:
    """Colder than 50 °F the cold value stands; at 50, or where nothing is known, the ordinary one."""
    made = limited(
        job(item()), longest_bottom_heavy_min=100, longest_bottom_heavy_cold_min=60, cold_water_f=50
    )
    assert water(made, water_temp_f).longest_bottom_min(made.dive_items[0]) == most


def test_an_item_says_its_own() -> None:
    """150 min where the crew rules say 100; 0 in the rules is no limit."""
    own = item(longest_bottom_min=150, longest_in_dress_min=200)
    made = limited(job(own, item("B")), longest_bottom_heavy_min=100)
    assert made.longest_bottom_min(own) == 150
    assert made.longest_in_dress_min(own) == 200
    assert made.longest_bottom_min(made.dive_items[1]) == 100
    assert made.longest_in_dress_min(made.dive_items[1]) is None


def test_work_is_split_into_dives_as_long_as_is_allowed() -> None:
    """80 min of work at 30 fsw, 41 min on the bottom at most: two dives of 40 min, all done, proven."""
    made = limited(job(item(depth_fsw=30, work_min=80)), longest_bottom_heavy_min=41)
    plan = solve(made, seconds=10, only_work=True).plan
    assert plan is not None
    assert [d.bottom_time_min for d in plan.dives] == [41, 41]
    assert plan.stages[0].proven
    assert check(made, plan) == ()


def test_light_helmets_have_limits_of_their_own() -> None:
    """15 min to dress, 10 to undress: in dress 70 min at most leaves 45 in the water."""
    made = job(item(depth_fsw=30, work_min=60, gear=Gear.LIGHT)).replace(
        outfits=tuple(outfit(n, Gear.LIGHT) for n in (1, 2, 3))
    )
    made = limited(made, longest_in_dress_light_min=70, longest_in_dress_heavy_min=1)
    plan = solve(made, seconds=10, only_work=True).plan
    assert plan is not None and plan.worked_min("Work") == 60
    assert all(d.undressed_min - d.dress_start_min <= 70 for d in plan.dives)


def test_the_reason_says_what_is_too_long() -> None:
    """40 min in one go need 41 on the bottom and 93 in dress; the water stands beside the limit."""
    made = water(limited(job(item(splittable=False)), longest_bottom_heavy_cold_min=40), 45)
    (reason,) = solve(made, seconds=3).reasons["Work"]
    assert reason.rule == "longest-bottom"
    assert "41 min of bottom time; 40 at most in heavy dress in water of 45 °F" in reason.sentence
    dressed = limited(job(item(splittable=False)), longest_in_dress_heavy_min=92)
    (reason,) = solve(dressed, seconds=3).reasons["Work"]
    assert reason.rule == "longest-in-dress" and "93 min in dress; 92 at most" in reason.sentence


def test_unknown_water_is_to_be_ticked() -> None:
    """No temperature and other limits in the cold: a line to tick; none where the cold changes nothing."""
    made = limited(job(item()), longest_bottom_heavy_min=180, longest_bottom_heavy_cold_min=120)
    assert any("not colder than 50 °F" in told for told in unchecked(made))
    metric = made.replace(site=made.site.replace(units=UnitSystem.METRIC))
    assert any("not colder than 10 °C" in told for told in unchecked(metric))
    assert not any("not colder" in told for told in unchecked(water(made, 45)))
    assert not any("not colder" in told for told in unchecked(job(item())))
