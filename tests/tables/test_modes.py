"""The scheduler's modes against the look-up itself, by brute force."""

from __future__ import annotations

import pytest
from readings import CLEAN_TO_Z, IN_CHAMBER, NO_STOP, ON_AIR, ON_OXYGEN

from planner.errors import TableRefusal
from planner.job import Policy
from planner.job.crew_rules import StandbyWayUp
from planner.table_sets import table_set
from planner.tables import Exposure, ExposureOptions, Mode, modes, plan_exposure
from planner.tables.options import standby_options
from tests.world.quay import a_job

NAVY = table_set()


READINGS = {
    "no stop": NO_STOP,
    "air": ON_AIR,
    "air, 20 min of stops": ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=20),
    "oxygen": ON_OXYGEN,
    "chamber": IN_CHAMBER,
    "cold": ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, next_longer_row=True),
    "margin": ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, margin_min=4),
    "altitude": ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, altitude_ft=4500),
    "one foot": ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, one_foot_rows=True),
}


def allowed(depth: int, group: str | None, options: ExposureOptions) -> list[Exposure]:
    """Every exposure that `plan_exposure` gives up to a day; none may follow a refusal."""
    found: list[Exposure] = []
    refused = False
    for bottom in range(1, 1442):
        try:
            exposure = plan_exposure(depth, bottom, group, options)
        except TableRefusal:
            refused = True
            continue
        assert not refused, "a longer bottom time is allowed after a shorter one was refused"
        found.append(exposure)
    assert refused
    return found


def ascent_min(exposure: Exposure) -> int:
    return -(-exposure.schedule.ascent_s // 60)


@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("depth", [12, 18, 25, 30, 33, 58, 97, 130, 190])
def test_modes_lose_nothing_and_promise_nothing_false(reading: str, depth: int) -> None:
    """Each mode holds for every time up to its own; each exposure is covered by a mode at no greater cost."""
    options = READINGS[reading]
    if options.altitude_ft and depth > 150:
        with pytest.raises(TableRefusal):
            modes(depth, options)
        return
    by_group: dict[str | None, list[Mode]] = {group: [] for group in CLEAN_TO_Z}
    for mode in modes(depth, options):
        by_group[mode.group_before].append(mode)
    for group, own in by_group.items():
        exposures = allowed(depth, group, options)
        assert max((m.bottom_time_max_min for m in own), default=0) == len(exposures)
        for mode in own:
            covered = exposures[: mode.bottom_time_max_min]
            assert max(map(ascent_min, covered)) == mode.ascent_min
            assert max(NAVY.rank_after(e.group_after) for e in covered) == NAVY.rank_after(mode.group_after)
            assert covered[-1].schedule is mode.schedule
            assert mode.way_up == mode.schedule.way_up
        for exposure in exposures:
            assert any(
                m.bottom_time_max_min >= exposure.bottom_time_min
                and m.ascent_min <= ascent_min(exposure)
                and NAVY.rank_after(m.group_after) <= NAVY.rank_after(exposure.group_after)
                for m in own
            ), exposure


@pytest.mark.parametrize("reading", READINGS)
def test_no_mode_is_beaten_by_another(reading: str) -> None:
    """No mode of a group has as much bottom time for no more ascent and no higher group than another one."""
    for depth in (18, 30, 60, 100, 140):
        all_modes = modes(depth, READINGS[reading])
        for one in all_modes:
            for other in all_modes:
                if one is not other and one.group_before == other.group_before:
                    assert not (
                        one.bottom_time_max_min >= other.bottom_time_max_min
                        and one.ascent_min <= other.ascent_min
                        and NAVY.rank_after(one.group_after) <= NAVY.rank_after(other.group_after)
                    )


def test_how_many_modes() -> None:
    """60 fsw without stops: 11 for a clean diver, 66 in all (table 9-7 prints 11 groups there)."""
    own = modes(60, NO_STOP)
    assert len([m for m in own if m.group_before is None]) == 11
    assert len(own) == 66


@pytest.mark.parametrize(("away_min", "stops"), [(None, False), (0, True), (5, True), (6, False)])
def test_a_standby_has_stops_only_with_a_chamber_in_reach(away_min: int | None, stops: bool) -> None:
    """29 CFR 1910.423(c)(3)(iii): within five minutes of the dive location; with none in reach only a dive
    without stops."""
    job = a_job()
    job = job.replace(
        site=job.site.replace(policy=Policy.IN_WATER_STOPS, chamber_minutes_away=away_min),
        rules=job.rules.replace(standby_way_up=StandbyWayUp.POLICY),
    )
    options = standby_options(job, job.dive_items[0])
    assert options.policy is (Policy.IN_WATER_STOPS if stops else Policy.NO_STOP)
