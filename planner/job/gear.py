"""Outfits: matched sets of dress, helmet, breastplate and straps; the steps on the bench."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from planner.job.base import Name, Part
from planner.job.words import Gear, OutfitState


class Outfit(Part):
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

    @property
    def numbers_agree(self) -> bool:
        """Helmet, breastplate and straps never mix (common practice); a light helmet has only its own."""
        if self.kind is Gear.LIGHT:
            return True
        return bool(self.helmet_no) and self.helmet_no == self.breastplate_no == self.straps_no


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
    basis: str = "common practice; minutes from memory"

    @property
    def hold_point(self) -> bool:
        """Whether work stops here until a named person has signed."""
        return bool(self.signed_by)
