"""How long a list of bench steps takes, with people working side by side."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import groupby

from planner.job.gear import BenchHand, BenchStep
from planner.job.words import Gear

#: Tenders who dress one diver (common practice).
TENDERS = {Gear.HEAVY: 2, Gear.LIGHT: 1}


def dressing_minutes(steps: Iterable[BenchStep], tenders: int = 2) -> int:
    """How long a list takes, whole minutes rounded up.

    Neighbours with one ``side_by_side`` mark run together: each hand does its own one after the other,
    and the longest hand decides. With one tender his hand does the second's steps too, and a step for
    both takes him twice as long.

    Parameters
    ----------
    steps
        Steps of one list.
    tenders
        How many tenders there are; more than two save nothing.

    Raises
    ------
    ValueError
        With no tender.
    """
    if tenders < 1:
        raise ValueError("nobody dresses without a tender")
    in_order = sorted(steps, key=lambda s: s.order)
    groups = groupby(in_order, key=lambda s: s.side_by_side or f"\0{s.order}\0{s.id}")
    return math.ceil(sum(_together(tuple(group), tenders) for _, group in groups) - 1e-9)


def _together(steps: tuple[BenchStep, ...], tenders: int) -> float:
    hands: dict[BenchHand, float] = dict.fromkeys(BenchHand, 0.0)
    for step in steps:
        hands[step.who] += step.minutes
    both = hands.pop(BenchHand.BOTH)
    first, second = hands.pop(BenchHand.FIRST), hands.pop(BenchHand.SECOND)
    if tenders == 1:
        return max(first + second + 2 * both, *hands.values())
    return max(first + both, second + both, *hands.values())
