"""What it is done with: outfits, the air plant, and the steps on the bench."""

from __future__ import annotations

from datetime import date

from planner.job.air_plant import AirPlant, AirRole, Bank, Compressor, VolumeTank
from planner.job.gear import BenchHand, BenchList, BenchStep, Gear, Outfit, OutfitState
from planner.job.units import AIR_TEMPERATURE, FLOW, FLOW_AT_DEPTH, FUEL, PRESSURE_KEPT, VOLUME
from planner.workbook.columns import (
    JobSheet,
    choice,
    day,
    length,
    minutes,
    name,
    number,
    pressure,
    text,
    whole,
    yes_no,
)

OUTFITS = JobSheet(
    name="Outfits",
    purpose="One matched outfit a row. In heavy dress the helmet, breastplate and straps carry one number.",
    row_is="outfit",
    model=Outfit,
    path="outfits",
    columns=(
        name("Outfit", "name", "A short name.", "Outfit 7", width=16),
        choice("Kind", "kind", "Kind of diving dress.", "heavy dress", choices=tuple(Gear), width=14),
        text("Helmet no.", "helmet_no", "Number stamped on it.", "7", width=10),
        text("Breastplate no.", "breastplate_no", "The same; heavy dress only.", "7", width=11),
        text("Straps no.", "straps_no", "The same; heavy dress only.", "7", width=10),
        text("Size", "size", "As marked.", "L", default="fits anyone", width=8),
        choice("State", "state", "Only a ready one is worn.", "ready", choices=tuple(OutfitState), width=14),
        day("Inspected on", "inspected_on", "Day of the last one.", date(2027, 3, 1), width=12),
        day("Inspection due", "inspection_due", "Last day it may be worn.", date(2027, 6, 1), width=12),
        text("Note on the state", "state_note", "What is wrong with it.", width=20),
        text("Said by", "state_by", "Who set the state.", "Ana Reyes", width=14),
        day("Said on", "state_on", "On which day.", date(2027, 3, 1), width=12),
        length("Umbilical length", "umbilical_length_ft", "Of hose and cable.", 200, default="not given"),
        text("Hose no.", "hose_no", "Number on the hose.", "H4", width=9),
        day("Hose tested on", "hose_tested_on", "Pressure test.", date(2026, 9, 2), width=12),
        pressure(
            "Hose working pressure",
            "hose_working_psi",
            "As marked on it.",
            200,
            measure=PRESSURE_KEPT,
            width=10,
        ),
        pressure("Hose test pressure", "hose_test_psi", "Of the last test.", 300, width=10),
        text("Lifeline no.", "lifeline_no", "Number on the lifeline.", "L4", width=9),
        length(
            "Lifeline length", "lifeline_length_ft", "Of the lifeline.", 200, default="as long as the hose"
        ),
        minutes("Turnaround", "turnaround_min", "From one diver out to the next in.", 15, width=11),
        text("Bailout bottle", "bailout_no", "Number; light helmets only.", "B4", width=9),
        number("Bailout volume", "bailout_cuft", "Floodable.", 0.4, measure=VOLUME, width=9),
        pressure("Bailout working pressure", "bailout_working_psi", "As stamped on it.", 3000, width=10),
        pressure("Bailout pressure", "bailout_psi", "On its gauge now.", 2800, width=10),
    ),
)

_AIR_NOT_COUNTED = "the chamber's air is not counted"

AIR = JobSheet(
    name="Air",
    purpose="What holds for the whole air plant. One setting a row: fill in the Value column.",
    row_is="setting",
    model=AirPlant,
    path="air",
    settings=True,
    columns=(
        day("Gauges tested on", "gauges_tested_on", "Depth gauges against a standard.", date(2027, 1, 15)),
        number(
            "Warmest inlet air",
            "inlet_temp_f",
            "Warmest air that the compressors will draw in.",
            86,
            measure=AIR_TEMPERATURE,
            default="as the compressors are rated",
        ),
        number(
            "Flow, heavy dress",
            "heavy_acfm",
            "Flow planned for a heavy free-flow helmet, at depth. Never under 4.5 acfm: 29 CFR 1910.430(h).",
            6,
            measure=FLOW_AT_DEPTH,
        ),
        number(
            "Flow, light helmet",
            "light_acfm",
            "Flow planned for a light helmet, at depth.",
            1.4,
            measure=FLOW_AT_DEPTH,
        ),
        yes_no(
            "Light helmets are free-flow",
            "light_free_flow",
            "4.5 acfm is then the least for them too.",
            False,
        ),
        minutes(
            "Reserve, minutes at depth",
            "reserve_minutes_at_depth",
            "Carried on the reserve before the way up; common practice. The U.S. Navy Diving Manual's "
            "emergency gas example has 3.",
            10,
        ),
        number(
            "Flow in an emergency",
            "emergency_acfm",
            "Of each person on the reserve, at depth; the gear's own flow where larger. Free flow, more than "
            "8 acfm: U.S. Navy Diving Manual 8-2.2.2.",
            8,
            measure=FLOW_AT_DEPTH,
        ),
        number(
            "Chamber, inner lock",
            "chamber_inner_cuft",
            "Volume of the lock. With both locks and both supplies the chamber's air is counted.",
            200,
            measure=VOLUME,
            default=_AIR_NOT_COUNTED,
        ),
        number(
            "Chamber, outer lock",
            "chamber_outer_cuft",
            "Volume of the lock.",
            70,
            measure=VOLUME,
            default=_AIR_NOT_COUNTED,
        ),
        number(
            "Chamber, primary air",
            "chamber_primary_scf",
            "Usable air at the start of each day, standard cubic feet.",
            12000,
            unit="scf",
            default=_AIR_NOT_COUNTED,
        ),
        number(
            "Chamber, secondary air",
            "chamber_secondary_scf",
            "The same of the second supply.",
            7000,
            unit="scf",
            default=_AIR_NOT_COUNTED,
        ),
        number(
            "Chamber, oxygen",
            "chamber_oxygen_scf",
            "Usable oxygen at the start of each day, standard cubic feet.",
            900,
            unit="scf",
            default="the chamber's oxygen is not counted",
        ),
        yes_no(
            "Chamber's oxygen is dumped",
            "chamber_oxygen_dumped",
            "Masks exhaust overboard, so 2 acfm a diver ventilate instead of 12.5.",
            False,
        ),
        number(
            "Oxygen by mask",
            "chamber_mask_acfm",
            "Of one diver at rest, at chamber pressure. U.S. Navy Diving Manual, from memory.",
            0.3,
            measure=FLOW_AT_DEPTH,
        ),
    ),
)

#: What every part of the air plant says of the supply it belongs to.
_SUPPLY = (
    choice("Supply", "role", "Which supply it feeds.", "primary", choices=tuple(AirRole), width=10),
    yes_no("On line", "on_line", "Open to the console; if not, it does not count.", True, width=9),
    text(
        "Relies on",
        "relies_on",
        "Engine, generator or manifold that it cannot work without, split by commas.",
        "engine 1",
        default="nothing shared",
        width=20,
    ),
)

COMPRESSORS = JobSheet(
    name="Compressors",
    purpose="Low-pressure compressors that feed the air console, one a row.",
    row_is="compressor",
    model=Compressor,
    path="air.compressors",
    columns=(
        name("Compressor", "name", "A short name.", "Compressor 1", width=20),
        *_SUPPLY,
        number("Delivery", "delivered_scfm", "As rated or measured.", 90, measure=FLOW, width=11),
        pressure("Discharge", "discharge_psi", "Pressure it delivers at.", 175),
        number("Hours run", "hours_run", "Meter reading.", 1204.5, unit="h", width=10),
        number(
            "Service at", "service_at_hours", "Meter reading of the next service.", 1250, unit="h", width=10
        ),
        minutes("Warm-up", "warm_up_min", "Runs before the first dive.", 15, width=9),
        number("Fuel", "fuel_gal_per_hour", "At full load.", 2.5, measure=FUEL, width=11),
        day("Air tested on", "air_tested_on", "Sample at the console.", date(2027, 1, 20), width=12),
        yes_no(
            "Measured here",
            "measured_here",
            "Delivery was measured at this site, so it is not derated.",
            False,
            width=10,
        ),
        number(
            "Rated inlet air",
            "rated_inlet_temp_f",
            "Temperature of the rating.",
            68,
            measure=AIR_TEMPERATURE,
            width=9,
        ),
        number(
            "Load factor", "load_factor", "Share it may give hour after hour.", 0.8, unit="0 to 1", width=9
        ),
        number(
            "Fuel unloaded",
            "unloaded_fuel_part",
            "Share of full-load fuel when idling.",
            0.5,
            unit="0 to 1",
            width=10,
        ),
        minutes("Other running", "standby_min", "Tests and drills, a day.", 20, width=9),
    ),
)

BANKS = JobSheet(
    name="Banks",
    purpose="High-pressure cylinders on one manifold, one bank a row.",
    row_is="bank",
    model=Bank,
    path="air.banks",
    columns=(
        name("Bank", "name", "A short name.", "Bank A", width=20),
        *_SUPPLY,
        whole("Bottles", "bottles", "How many.", 6, unit="number", width=10),
        number("Floodable volume", "floodable_cuft_each", "Of one bottle.", 1.75, measure=VOLUME, width=11),
        pressure("Pressure", "pressure_psi", "On the gauge now.", 2800),
        pressure("Working pressure", "working_pressure_psi", "As stamped on the bottles.", 3000),
        pressure(
            "Regulator least",
            "regulator_min_psi",
            "Over the manifold, for the regulator to work.",
            220,
            measure=PRESSURE_KEPT,
        ),
        number(
            "Recharge", "recharge_scfm", "Flow of the compressor that charges it.", 0, measure=FLOW, width=11
        ),
        text("Recharged by", "recharged_by", "Which one that is.", "HP compressor", width=18),
    ),
)

TANKS = JobSheet(
    name="Volume tanks",
    purpose="Receivers between the compressors and the air console, one a row.",
    row_is="volume tank",
    model=VolumeTank,
    path="air.tanks",
    columns=(
        name("Tank", "name", "A short name.", "Receiver 1", width=20),
        *_SUPPLY,
        number("Volume", "volume_cuft", "Of the tank.", 30, measure=VOLUME, width=11),
        pressure("Pressure", "pressure_psi", "It is kept at.", 175),
        pressure(
            "Least pressure",
            "least_psi",
            "Over the manifold pressure, stays in the tank.",
            0,
            measure=PRESSURE_KEPT,
        ),
        pressure("Working pressure", "working_pressure_psi", "As stamped on the tank.", 200),
    ),
)

BENCH_STEPS = JobSheet(
    name="Bench steps",
    purpose="Your own inspection and dressing steps. Each list of each kind of dress that has rows here "
    "stands in place of the built-in one; leave the sheet empty to use the built-in lists.",
    row_is="step",
    model=BenchStep,
    path="rules.bench_steps",
    missing="the built-in lists",
    columns=(
        name("Step", "id", "A short name, used once.", "helmet-lock", width=18),
        choice("Kind", "gear", "Kind of diving dress.", "heavy dress", choices=tuple(Gear), width=14),
        choice("List", "list", "Which list.", "dressing", choices=tuple(BenchList), width=12),
        whole("Order", "order", "Place in the list.", 10, unit="number", width=9),
        choice("Who", "who", "Whose hands.", "both tenders", choices=tuple(BenchHand), width=14),
        number("Time", "minutes", "How long it takes.", 1.5, unit="min", width=8),
        text("What to do", "do", "In one sentence.", "Turn the helmet home.", width=34),
        text("Good when", "good", "What shows that it is right.", width=24),
        text("When not", "when_not", "What to do when it is not.", width=24),
        text("Side by side", "side_by_side", "Same mark: done at once.", "a", width=9),
        text(
            "Signed by",
            "signed_by",
            "Duty that signs the hold point.",
            "supervisor",
            refers="duties",
            width=14,
        ),
        yes_no("Standby waits", "standby_waits", "Before it the standby stops and waits.", False, width=9),
        text("Basis", "basis", "Where it comes from.", "common practice", width=20),
    ),
)
