"""Charts 2 and 3 of the second set against public copies that the set was not typed from.

Chart 2: the U.S. Navy's older residual nitrogen timetable, whose times the charts print, as a guide of the
Spanish diving federation FEDAS shows it (text of mydokument.com). Chart 3: the residual times of the Canary
diving federation FEDECAS, typed into public program code, which does not say where it has them from.
"""

from __future__ import annotations

import pytest

from planner.table_sets import table_set

OCEAN = table_set("noaa-no-decompression")

#: Group at surfacing, and when its intervals begin, from its own group down to A; N as far as the copy shows.
BEGIN = {
    "A": "0:10",
    "B": "0:10 3:21",
    "C": "0:10 1:40 4:50",
    "D": "0:10 1:10 2:39 5:49",
    "E": "0:10 0:55 1:58 3:25 6:35",
    "F": "0:10 0:46 1:30 2:29 3:58 7:06",
    "G": "0:10 0:41 1:16 2:00 2:59 4:26 7:36",
    "H": "0:10 0:37 1:07 1:42 2:24 3:21 4:50 8:00",
    "I": "0:10 0:34 1:00 1:30 2:03 2:45 3:44 5:13 8:22",
    "J": "0:10 0:32 0:55 1:20 1:48 2:21 3:05 4:03 5:41 8:51",
    "K": "0:10 0:29 0:50 1:12 1:36 2:04 2:39 3:22 4:20 5:49 8:59",
    "L": "0:10 0:27 0:46 1:05 1:26 1:50 2:20 2:54 3:37 4:36 6:03 9:13",
    "M": "0:10 0:26 0:43 1:00 1:19 1:40 2:06 2:35 3:09 3:53 4:50 6:19 9:29",
    "N": "0:10 0:25 0:40 0:55 1:12 1:31",
}

#: Depth, and residual minutes of the groups from A on; the copy goes on to M where the set prints a blank.
RESIDUAL = {
    40: (7, 17, 25, 37, 49, 61, 73, 87, 101, 116, 138, 161, 187),
    50: (6, 13, 21, 29, 38, 47, 56, 66, 76, 87, 99, 111, 124),
    60: (5, 11, 17, 24, 30, 36, 44, 52, 61, 70, 79, 88, 97),
    70: (4, 9, 15, 20, 26, 31, 37, 43, 50, 57, 64, 72, 80),
    80: (4, 8, 13, 18, 23, 28, 32, 38, 43, 48, 54, 61, 68),
    90: (3, 7, 11, 16, 20, 24, 29, 33, 38, 43, 47, 53, 58),
    100: (3, 7, 10, 14, 18, 22, 26, 30, 34, 38, 43, 48, 52),
    110: (3, 6, 10, 13, 16, 20, 24, 27, 31, 34, 38, 42, 47),
    120: (3, 6, 9, 12, 15, 18, 21, 25, 28, 32, 35, 39, 43),
    130: (3, 6, 8, 11, 13, 16, 19, 22, 25, 28, 31, 35, 38),
}


def minutes(clock: str) -> int:
    hours, past = clock.split(":")
    return int(hours) * 60 + int(past)


@pytest.mark.parametrize("group", BEGIN)
def test_an_interval_begins_where_the_copy_has_it(group: str) -> None:
    """Chart 2: a minute before a printed time the group is the one above, from then on the one below."""
    down = OCEAN.groups[: OCEAN.groups.index(group) + 1][::-1]
    begin = [minutes(clock) for clock in BEGIN[group].split()]
    assert [OCEAN.group_after_interval(group, at) for at in begin] == list(down[: len(begin)])
    assert [OCEAN.group_after_interval(group, at - 1) for at in begin[1:]] == list(down[: len(begin) - 1])


def test_every_residual_time_is_the_copy_s() -> None:
    """Chart 3: all 73 that the set has, those of K, L and M at 40 fsw among them; a blank is the charts'."""
    found = {
        (depth, group): OCEAN.residual[depth][group]
        for depth in RESIDUAL
        for group in OCEAN.groups
        if group in OCEAN.residual[depth]
    }
    assert len(found) == 73
    for (depth, group), residual_min in found.items():
        assert residual_min == RESIDUAL[depth][OCEAN.groups.index(group)], (depth, group)
    assert [found[40, group] for group in "KLM"] == [138, 161, 187]
