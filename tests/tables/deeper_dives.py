"""Where the published tables give a deeper repetitive dive less decompression than a shallower one.

Residual nitrogen time falls with depth by more minutes than some rows are apart, so the same bottom time can
land in a lower row of the deeper table.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from readings import CLEAN_TO_Z, WAYS_UP

from planner.table_sets import table_set
from planner.tables.ways import TableAnswer, Way, way

NAVY = table_set()


LISTED = Path(__file__).parent / "deeper_gives_less.csv"

#: Way up, depth of the shallower row and its time, depth of the deeper row and its time, what is less.
Break = tuple[str, int, int, int, int, str]


def listed() -> set[Break]:
    """The breaks as listed beside this file."""
    with LISTED.open(encoding="ascii", newline="") as file:
        return {(r[0], int(r[1]), int(r[2]), int(r[3]), int(r[4]), r[5]) for r in list(csv.reader(file))[1:]}


def less(shallower: TableAnswer, deeper: TableAnswer) -> str:
    """What the deeper dive has less of."""
    words = []
    if deeper.schedule.ascent_s < shallower.schedule.ascent_s:
        words.append("ascent")
    if deeper.schedule.stop_min < shallower.schedule.stop_min:
        words.append("stops")
    if NAVY.rank_after(deeper.group_after) < NAVY.rank_after(shallower.group_after):
        words.append("group")
    return " ".join(words)


def by_minute(one: Way) -> list[TableAnswer]:
    """The step for each bottom time from 1 min on."""
    steps: list[TableAnswer] = []
    for upto, step in zip(one.bottom_max_min, one.steps, strict=True):
        steps += [step] * (upto - len(steps))
    return steps


def pairs(name: str, group: str | None) -> Iterator[tuple[int, list[TableAnswer], int, list[TableAnswer]]]:
    """Every two depths of the tables, the shallower first, with their steps by the minute."""
    options = WAYS_UP[name]
    limited = [d for d in NAVY.depths if not way(d, group, options).unlimited]
    steps = {depth: by_minute(way(depth, group, options)) for depth in limited}
    for shallower in limited:
        for deeper in limited:
            if shallower < deeper:
                yield shallower, steps[shallower], deeper, steps[deeper]


def found(group: str | None) -> set[Break]:
    """Every break for divers who come with that group."""
    breaks: set[Break] = set()
    for name in WAYS_UP:
        for shallower, up, deeper, down in pairs(name, group):
            for one, other in zip(up, down, strict=False):
                words = less(one, other)
                if words:
                    breaks.add(
                        (name, shallower, one.schedule.time_min, deeper, other.schedule.time_min, words)
                    )
    return breaks


def longer_when_deeper(group: str | None) -> set[tuple[str, int, int, str | None, int, int]]:
    """Where a deeper dive may be longer: way up, both depths, group, greatest bottom times."""
    return {
        (name, shallower, deeper, group, len(up), len(down))
        for name in WAYS_UP
        for shallower, up, deeper, down in pairs(name, group)
        if len(down) > len(up)
    }


def every_break() -> set[Break]:
    """Every break for any group."""
    return set().union(*(found(group) for group in CLEAN_TO_Z))


def write_list() -> None:
    """Write the list anew, for a person to read before it is believed."""
    with LISTED.open("w", encoding="ascii", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(
            ["way_up", "shallower_fsw", "shallower_row_min", "deeper_fsw", "deeper_row_min", "less"]
        )
        table.writerows(sorted(every_break()))
