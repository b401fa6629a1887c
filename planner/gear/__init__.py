"""Gear: outfits as matched sets, inspection and dressing lists, hold points, cards."""

from planner.gear.cards import (
    CardLine,
    DressingCard,
    InspectionCard,
    dressing_cards,
    inspection_cards,
)
from planner.gear.outfits import (
    OutfitDay,
    OutfitUse,
    least_length_ft,
    outfit_days,
    outfit_fits,
    why_not_ready,
)
from planner.gear.steps import (
    HoldPointSignature,
    bench_steps,
    built_in_steps,
    hold_points,
    missing_signatures,
    read_steps,
    refuse_unsigned,
    signature_faults,
    step_faults,
    suggested_dressing_min,
    suggested_undressing_min,
)
from planner.job.gear import dressing_minutes

__all__ = [
    "CardLine",
    "DressingCard",
    "HoldPointSignature",
    "InspectionCard",
    "OutfitDay",
    "OutfitUse",
    "bench_steps",
    "built_in_steps",
    "dressing_cards",
    "dressing_minutes",
    "hold_points",
    "inspection_cards",
    "least_length_ft",
    "missing_signatures",
    "outfit_days",
    "outfit_fits",
    "read_steps",
    "refuse_unsigned",
    "signature_faults",
    "step_faults",
    "suggested_dressing_min",
    "suggested_undressing_min",
    "why_not_ready",
]
