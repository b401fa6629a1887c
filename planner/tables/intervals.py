"""Time on the surface: credit for it (table 9-8, upper part) and the wait before going higher (table 9-6)."""

from __future__ import annotations

from bisect import bisect_left
from functools import cache

from planner.errors import TableRefusal
from planner.job.bounds import SAME_DIVE_UNDER_MIN
from planner.tables.published import GROUP_RANK, published

FLIGHT_ALTITUDE_FT = 8000
"""Column of table 9-6 for a commercial flight."""

EXCEPTIONAL_WAIT_MIN = 48 * 60
"""Table 9-6: wait before going up in altitude after an exceptional exposure."""

NO_GROUP_CLEAN_MIN = EXCEPTIONAL_WAIT_MIN
"""Minutes until a diver counts as clean after a dive for which table 9-9 prints no group.

The tables print no number for it. Taken on the safe side: the longest wait they print anywhere, over three
times the 15:51 that table 9-8 asks of group Z. That no repetitive dive is made until then is from memory.
"""


def known_group(group: str) -> str:
    """The group itself. TableRefusal when the tables have no such group."""
    if group is None or group not in GROUP_RANK:
        raise TableRefusal(f"There is no repetitive group {group!r}: the tables have A to O, and Z.")
    return group


@cache
def _ends(group: str) -> tuple[tuple[int, ...], tuple[str | None, ...]]:
    cells = published().credit[group]
    return tuple(to for _, to, _ in cells), (*(after for _, _, after in cells), None)


def group_after_interval(group: str, minutes: int) -> str | None:
    """Group left after a surface interval (table 9-8).

    Parameters
    ----------
    group
        Group at surfacing.
    minutes
        Whole minutes from reach surface to leave surface.

    Returns
    -------
    str or None
        The group at the end of the interval; None when the diver is clean.

    Raises
    ------
    TableRefusal
        No such group.
    ValueError
        Under 10 minutes: that is the same dive, not a new one (`combined_dive`).
    """
    known_group(group)
    if minutes < SAME_DIVE_UNDER_MIN:
        if minutes < 0:
            raise ValueError(f"A surface interval cannot be negative ({minutes} min).")
        raise ValueError(
            f"A surface interval of {minutes} min is under {SAME_DIVE_UNDER_MIN} min: the dives on both "
            "sides of it count as one dive."
        )
    ends, after = _ends(group)
    return after[bisect_left(ends, minutes)]


def minutes_to_group(group: str, target: str | None) -> int:
    """Least surface interval after which the group is ``target`` or lower; None asks for clean.

    At least 10 minutes, since a shorter interval is not one.
    """
    known_group(group)
    if target is not None:
        known_group(target)
    wanted = GROUP_RANK[target]
    for start, _, after in published().credit[group]:
        if target is not None and GROUP_RANK[after] <= wanted:
            return start
    return _ends(group)[0][-1] + 1


def minutes_until_clean(group_after: str | None) -> int:
    """Minutes on the surface after which the next dive is not repetitive.

    ``group_after`` as an exposure gives it: None means that no group was printed (`NO_GROUP_CLEAN_MIN`).
    """
    return NO_GROUP_CLEAN_MIN if group_after is None else minutes_to_group(group_after, None)
