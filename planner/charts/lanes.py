"""Where blocks go when several of them share one row at the same time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.plan.model import DutySpell, Plan


def lanes_of(stretches: Sequence[tuple[int, int]]) -> tuple[list[int], int]:
    """Give each stretch a lane so that no two in a lane overlap, using as few lanes as there must be.

    Parameters
    ----------
    stretches
        Start and end of each block, job minutes.

    Returns
    -------
    tuple
        The lane of each stretch in the order given, and the number of lanes (at least 1).
    """
    order = sorted(range(len(stretches)), key=lambda i: stretches[i])
    free_at: list[int] = []
    lane = [0] * len(stretches)
    for i in order:
        start, end = stretches[i]
        for number, free in enumerate(free_at):
            if free <= start:
                lane[i] = number
                free_at[number] = end
                break
        else:
            lane[i] = len(free_at)
            free_at.append(end)
    return lane, max(1, len(free_at))


@dataclass(frozen=True)
class Block:
    """One stretch of a person's day in one duty, or in two that one person may hold at once."""

    person: str
    duties: tuple[str, ...]
    start_min: int
    end_min: int
    spells: tuple[DutySpell, ...]


def blocks_of(plan: Plan, person: str) -> tuple[Block, ...]:
    """A person's spells in order of start; those with one span on one dive or item are taken together."""
    together: dict[tuple[int, int, str | None, str], list[DutySpell]] = {}
    for spell in plan.duties_of(person):
        together.setdefault((spell.start_min, spell.end_min, spell.dive, spell.item), []).append(spell)
    return tuple(
        Block(person, tuple(s.duty for s in spells), start, end, tuple(spells))
        for (start, end, _, _), spells in together.items()
    )
