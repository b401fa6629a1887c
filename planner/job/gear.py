"""Outfits: matched sets of dress, helmet, breastplate and straps; the steps on the bench and their time."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from itertools import groupby
from typing import Annotated

from pydantic import Field

from planner.job.base import JobMinute, Name, Part
from planner.job.units import Measured


class Gear(StrEnum):
    """Kind of diving dress."""

    HEAVY = "heavy dress"
    LIGHT = "light helmet"


class OutfitState(StrEnum):
    READY = "ready"
    INSPECTION_DUE = "inspection due"
    DEFECT_OPEN = "defect open"
    IN_REPAIR = "in repair"


class Outfit(Measured):
    """One matched set. Helmet, breastplate and straps carry the number stamped on them."""

    name: Name
    kind: Gear
    helmet_no: str
    breastplate_no: str = ""
    straps_no: str = ""
    size: str = ""
    state: OutfitState = OutfitState.READY
    inspected_on: date | None = None
    inspection_due: date | None = None
    state_note: str = ""
    state_by: str = ""
    state_on: date | None = None
    """Day on which ``state_by`` said so."""
    umbilical_length_ft: Annotated[int, Field(ge=0, le=2000)] = 0
    hose_no: str = ""
    hose_tested_on: date | None = None
    hose_working_psi: Annotated[float, Field(gt=0, le=5000)] | None = None
    hose_test_psi: Annotated[float, Field(gt=0, le=7500)] | None = None
    """Pressure of the last hose test: 1.5 times the working pressure or more."""
    lifeline_no: str = ""
    lifeline_length_ft: Annotated[int, Field(ge=0, le=2000)] = 0
    """0: not given, taken as long as the hose."""
    turnaround_min: Annotated[int, Field(ge=0, le=1440)] = 15
    worn_until_min: JobMinute | None = None
    """Worn or turned around until then for a dive that is no longer to plan (the rest of a running day)."""
    bailout_no: str = ""
    """Number of the bailout bottle on its harness; light helmets only."""
    bailout_cuft: Annotated[float, Field(gt=0, le=5)] | None = None
    """Floodable volume of the bottle."""
    bailout_working_psi: Annotated[float, Field(gt=0, le=10_000)] | None = None
    bailout_psi: Annotated[float, Field(ge=0, le=10_000)] | None = None
    """What its gauge shows before the day's dives."""

    def ready_on(self, day: date) -> bool:
        """Whether it may be worn on a day: matched, ready, its inspection not run out."""
        current = self.inspection_due is None or day <= self.inspection_due
        return self.numbers_agree and self.state is OutfitState.READY and current

    @property
    def numbers_agree(self) -> bool:
        """Helmet, breastplate and straps never mix (common practice); a light helmet has only its own."""
        if self.kind is Gear.LIGHT:
            return True
        return bool(self.helmet_no) and self.helmet_no == self.breastplate_no == self.straps_no

    @property
    def carries_bailout(self) -> bool:
        """Whether a bottle is on it of which volume and pressure are known."""
        return self.bailout_cuft is not None and self.bailout_psi is not None


class BenchList(StrEnum):
    """Which list a bench step belongs to, in the order of the day."""

    INSPECTION = "inspection"
    CONNECTING = "connecting"
    DRESSING = "dressing"
    UNDRESSING = "undressing"


class BenchHand(StrEnum):
    """Who does a bench step."""

    FIRST = "first tender"
    SECOND = "second tender"
    BOTH = "both tenders"
    DIVER = "diver"
    SUPERVISOR = "supervisor"


class BenchStep(Part):
    """One step of an inspection or dressing list.

    Steps run in the order of ``order``. Neighbours that share a ``side_by_side`` mark run at the same
    time where their hands differ. ``signed_by`` names the duty that signs a hold point; blank for a
    step that is none.
    """

    id: Name
    gear: Gear
    list: BenchList
    order: Annotated[int, Field(ge=1, le=999)]
    who: BenchHand
    minutes: Annotated[float, Field(ge=0, le=120)]
    do: Annotated[str, Field(min_length=1, max_length=300)]
    good: Annotated[str, Field(max_length=300)] = ""
    when_not: Annotated[str, Field(max_length=300)] = ""
    side_by_side: str = ""
    signed_by: str = ""
    standby_waits: bool = False
    """Before this step a standby diver stops and waits, until he is sent."""
    basis: str = "common practice; minutes from memory"

    @property
    def hold_point(self) -> bool:
        """Whether work stops here until a named person has signed."""
        return bool(self.signed_by)


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
