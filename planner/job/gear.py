"""Outfits: matched sets of dress, helmet, breastplate and straps."""

from __future__ import annotations

from datetime import date
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
    umbilical_length_ft: Annotated[int, Field(ge=0, le=2000)] = 0
    hose_tested_on: date | None = None
    turnaround_min: Annotated[int, Field(ge=0, le=1440)] = 15

    @property
    def numbers_agree(self) -> bool:
        """Helmet, breastplate and straps never mix (common practice); a light helmet has only its own."""
        if self.kind is Gear.LIGHT:
            return True
        return bool(self.helmet_no) and self.helmet_no == self.breastplate_no == self.straps_no
