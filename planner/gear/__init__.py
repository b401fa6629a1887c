"""Gear: outfits as matched sets, inspection and dressing lists, hold points, cards."""

from planner.gear.cards import (
    CardLine,
    DressingCard,
    InspectionCard,
    dressing_cards,
    inspection_cards,
    undressing_steps,
    waits_before,
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
    bench_steps,
    built_in_steps,
    read_steps,
    step_faults,
)
from planner.job.gear import dressing_minutes

__all__ = [
    "CardLine",
    "DressingCard",
    "InspectionCard",
    "OutfitDay",
    "OutfitUse",
    "bench_steps",
    "built_in_steps",
    "dressing_cards",
    "dressing_minutes",
    "inspection_cards",
    "least_length_ft",
    "outfit_days",
    "outfit_fits",
    "read_steps",
    "step_faults",
    "undressing_steps",
    "waits_before",
    "why_not_ready",
]
