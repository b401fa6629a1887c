"""How fast the tables load and answer. Run: python tests/bench/bench_tables.py

Prints the figures and ends with status 1 when one of them misses its mark: the tables loaded once in under
50 ms, 100,000 look-ups a second or more, in plain Python on one core. The same questions of two flat
dictionaries stand beside them: what it costs to ask a set that may be another.
"""

from __future__ import annotations

import platform
import random
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from planner.errors import TableRefusal
from planner.job import Policy
from planner.table_sets import TableSet, shelf, table_set
from planner.tables import (
    ExposureOptions,
    modes,
    plan_exposure,
    standby_minutes_left,
)

NAVY = table_set()


LOAD_MS = 50
LOOK_UPS_A_SECOND = 100_000
CALLS = 200_000

Arguments = tuple[object, ...]


def load_ms() -> float:
    """Milliseconds to read every table, the best of five."""
    best = float("inf")
    for _ in range(5):
        shelf._kept.cache_clear()
        start = time.process_time()
        table_set()
        best = min(best, time.process_time() - start)
    return best * 1000


def a_second(ask: Callable[..., object], asked: Sequence[Arguments]) -> float:
    """Calls a second over mixed arguments, the best of three; a refusal is an answer too."""
    best = 0.0
    for _ in range(3):
        start = time.process_time()
        for arguments in asked:
            try:
                ask(*arguments)
            except TableRefusal:
                continue
        best = max(best, len(asked) / (time.process_time() - start))
    return best


def beside_a_dictionary(tables: TableSet, dives: Sequence[Arguments]) -> dict[str, float]:
    """The set asked, and dictionaries that hold the same answers by the same words; calls a second."""
    depths = range(1, tables.deepest_planned_fsw + 1)
    limits = {(depth,): tables.no_stop_limit(depth) for depth in depths}
    minutes = {(d, g): tables.residual_nitrogen(d, g) for d in depths for g in tables.groups}
    asked = [(depth, group) for depth, _, group, *_ in dives if group is not None]
    alone = [(depth,) for depth, _ in asked]
    return {
        "no_stop_limit": a_second(tables.no_stop_limit, alone),
        "  a dictionary": a_second(lambda *key: limits[key], alone),
        "residual_nitrogen": a_second(tables.residual_nitrogen, asked),
        "  a dictionary ": a_second(lambda *key: minutes[key], asked),
    }


def main() -> int:
    """Measure, print, judge."""
    dice = random.Random(7)
    options = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60)
    groups = (None, *NAVY.groups)
    dives = [(dice.randint(10, 190), dice.randint(1, 90), dice.choice(groups), options) for _ in range(CALLS)]
    allowed = []
    for dive in dives:
        try:
            plan_exposure(*dive)
        except TableRefusal:
            continue
        allowed.append(dive)
    letters = [dice.choice(NAVY.groups) for _ in range(CALLS)]
    figures = {
        "plan_exposure, allowed dives": a_second(plan_exposure, allowed),
        "plan_exposure and its profile": a_second(lambda *dive: plan_exposure(*dive).segments, allowed),
        "plan_exposure, refusals among them": a_second(plan_exposure, dives),
        "group_after_interval": a_second(
            NAVY.group_after_interval, [(group, dice.randint(10, 1000)) for group in letters]
        ),
        **beside_a_dictionary(NAVY, dives),
        "standby_minutes_left": a_second(standby_minutes_left, [(d[0], d[2], options) for d in dives]),
    }
    loaded = load_ms()
    start = time.process_time()
    for depth in range(1, 191):
        modes(depth, ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=61))
    all_modes_ms = (time.process_time() - start) * 1000 / 190
    print(f"Python {platform.python_version()}, {platform.machine()}, one core")
    print(f"{'tables loaded in':<38}{loaded:>12.1f} ms")
    print(f"{'modes of one depth, nothing kept':<38}{all_modes_ms:>12.1f} ms")
    for name, value in figures.items():
        print(f"{name:<38}{value:>12,.0f} a second")
    slow = [name for name, value in figures.items() if value < LOOK_UPS_A_SECOND]
    if loaded >= LOAD_MS or slow:
        print(f"missed: {', '.join(slow) or 'load'}")
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
