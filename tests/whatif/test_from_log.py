"""What the log shows of how days go: bottom work by item, late starts, fitness, and on how many days."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

import pytest

from planner.cli.compare import _from_log
from planner.errors import InputFaults
from planner.job import Job
from planner.log.day_log import ActualDay, Kind
from planner.store import Store
from planner.store.recording import logged_days, row_of
from planner.whatif.from_log import fitted
from planner.whatif.spread import Spread
from tests.log.logging import day_of, dived, entry
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN = a_plan()
WRAP = next(i for i in JOB.dive_items if i.name == PLAN.dives[0].item)
FIRST = min(PLAN.dives, key=lambda d: d.leave_surface_min)


def _day(over_min: int, late_min: int = 0, *, sick: bool = False) -> ActualDay:
    """A day on which the first dive's item took so many minutes more, and began so late."""
    leave = FIRST.leave_surface_min + late_min
    bottom = leave + 1 + WRAP.needed_min + over_min
    done = entry(Kind.ITEM_DONE, bottom + 3, item=WRAP.name)
    entries = [*dived(FIRST.id, leave, bottom, bottom + 2), done]
    if sick:
        entries.append(entry(Kind.SICK, at(7), people=("Ana",)))
    return day_of(JOB, PLAN, *entries)


def test_minutes_of_an_item_are_planned_against_real() -> None:
    """An item that took a fifth of its minutes more is 20 % over the plan (arithmetic)."""
    seen = fitted([_day(WRAP.needed_min // 5)], Spread())
    (one,) = seen.items
    assert (one.item, one.planned_min) == (WRAP.name, WRAP.needed_min)
    assert one.over_percent == pytest.approx(100 * (WRAP.needed_min // 5) / WRAP.needed_min)


def test_too_few_days_leave_the_numbers_before() -> None:
    """One day says nothing of how days spread; the source is the one before."""
    seen = fitted([_day(5)], Spread())
    assert seen.days == 1 and seen.spread == Spread()


def test_five_days_give_the_spread_and_are_counted() -> None:
    """Least, most and mean of five items; 2 of 5 days late, 30 min at most; one sick diver (by hand)."""
    over = [0, 2, 4, 6, 8]
    late = [0, 0, 5, 12, 30]
    days = [_day(o, m, sick=o == 8) for o, m in zip(over, late, strict=True)]
    seen = fitted(days, Spread())
    most = 100 * 8 / WRAP.needed_min
    spread = seen.spread
    assert (spread.work_least_percent, spread.work_most_percent) == (0, round(most))
    # mean 4 of 0..8: three means less least and most is 4 again, the middle
    assert spread.work_likely_percent == round(100 * 4 / WRAP.needed_min)
    assert (spread.late_chance_percent, spread.late_most_min) == (40, 30)
    divers = sum("diver" in p.duties for p in JOB.people)
    assert seen.diver_days == 5 * divers
    assert spread.unfit_chance_percent == round(100 / seen.diver_days, 1)
    # the second of the two windows with a dive planned in them was never dived in
    assert (seen.windows, spread.window_lost_percent) == (10, 50)
    assert "the log of 5 days" in spread.source and "invented" not in spread.source
    assert spread.faults() == ()


def test_windows_lost_are_counted_where_a_dive_was_planned_in_them() -> None:
    """Slack dives are planned in two windows, at 8 and at 11:45. Three days: all made; only the dive that
    needs no slack; begun after the first window closed, which the late start has lost: 5 windows, 2 lost."""
    free = next(d for d in PLAN.dives if d.item != WRAP.name)
    third = max(PLAN.dives, key=lambda d: d.leave_surface_min)
    idle = dived(free.id, free.leave_surface_min, free.leave_bottom_min, free.reach_surface_min)
    again = dived(third.id, third.leave_surface_min, third.leave_bottom_min, third.reach_surface_min)
    whole, lost, late = (*_day(0).log.entries, *again), idle, again
    days = [day_of(JOB, PLAN, *entries) for entries in (whole, lost, late)]
    seen = fitted(days, Spread())
    assert (seen.windows, seen.spread.window_lost_percent) == (5, 40)
    assert "5 slack windows" in seen.spread.source
    assert fitted(days[:2], Spread()).spread == Spread(), "four windows say too little"


def test_a_day_without_a_dive_says_nothing() -> None:
    """Nobody left the surface: the day is not counted."""
    assert fitted([day_of(JOB, PLAN)] * 6, Spread()).days == 0


def test_the_command_takes_it_from_the_store(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`compare --from-log` reads every issued day of the store and lists planned against real minutes."""
    place = str(tmp_path / "store.sqlite")
    with Store(place) as store:
        store.issue(JOB, PLAN, "Ana Reyes", card={}, printed=b"printed", revision=1)
        for one in _day(6).log.entries:
            store.append(JOB.site.name, JOB.site.first_day, row_of(one, "Ana Reyes"))
        (day,) = logged_days(store)
    assert day.worked_min(WRAP.name) == WRAP.needed_min + 6
    spread = _from_log(Namespace(db=place))
    said = f"{WRAP.name}: {WRAP.needed_min} min planned, {WRAP.needed_min + 6} really"
    assert said in capsys.readouterr().out
    assert spread == Spread()
    with pytest.raises(InputFaults):
        _from_log(Namespace(db=str(tmp_path)))
