"""What is worn and what delivers the air: Outfits, Air, Compressors, Banks, Volume tanks, Bench steps."""

from __future__ import annotations

from datetime import date

from planner.job.air_plant import AirPlant, Bank, Compressor, VolumeTank
from planner.job.gear import BenchHand, BenchList, BenchStep, Outfit
from planner.job.words import AirRole, Gear, OutfitState
from planner.workbook.columns import Column, Kind, Sheet
from planner.workbook.measures import (
    AIR_TEMPERATURE,
    FLOW,
    FLOW_AT_DEPTH,
    FUEL,
    LENGTH,
    PRESSURE,
    PRESSURE_KEPT,
    VOLUME,
)

OUTFITS = Sheet(
    name="Outfits",
    purpose="One matched outfit a row. In heavy dress the helmet, breastplate and straps carry one number.",
    row_is="outfit",
    model=Outfit,
    columns=(
        Column("Outfit", "name", Kind.NAME, "A short name.", "Outfit 7", width=16),
        Column(
            "Kind", "kind", Kind.CHOICE, "Kind of diving dress.", "heavy dress", choices=tuple(Gear), width=14
        ),
        Column("Helmet no.", "helmet_no", Kind.TEXT, "Number stamped on it.", "7", width=10),
        Column("Breastplate no.", "breastplate_no", Kind.TEXT, "The same; heavy dress only.", "7", width=11),
        Column("Straps no.", "straps_no", Kind.TEXT, "The same; heavy dress only.", "7", width=10),
        Column("Size", "size", Kind.TEXT, "As marked.", "L", default="fits anyone", width=8),
        Column(
            "State",
            "state",
            Kind.CHOICE,
            "Only a ready one is worn.",
            "ready",
            choices=tuple(OutfitState),
            width=14,
        ),
        Column("Inspected on", "inspected_on", Kind.DATE, "Day of the last one.", date(2027, 3, 1), width=12),
        Column(
            "Inspection due",
            "inspection_due",
            Kind.DATE,
            "Last day it may be worn.",
            date(2027, 6, 1),
            width=12,
        ),
        Column("Note on the state", "state_note", Kind.TEXT, "What is wrong with it.", width=20),
        Column("Said by", "state_by", Kind.TEXT, "Who set the state.", "Ana Reyes", width=14),
        Column("Said on", "state_on", Kind.DATE, "On which day.", date(2027, 3, 1), width=12),
        Column(
            "Umbilical length",
            "umbilical_length_ft",
            Kind.WHOLE,
            "Of hose and cable.",
            200,
            measure=LENGTH,
            default="not given",
            width=10,
        ),
        Column("Hose no.", "hose_no", Kind.TEXT, "Number on the hose.", "H4", width=9),
        Column("Hose tested on", "hose_tested_on", Kind.DATE, "Pressure test.", date(2026, 9, 2), width=12),
        Column(
            "Hose working pressure",
            "hose_working_psi",
            Kind.NUMBER,
            "As marked on it.",
            200,
            measure=PRESSURE_KEPT,
            width=10,
        ),
        Column(
            "Hose test pressure",
            "hose_test_psi",
            Kind.NUMBER,
            "Of the last test.",
            300,
            measure=PRESSURE,
            width=10,
        ),
        Column("Lifeline no.", "lifeline_no", Kind.TEXT, "Number on the lifeline.", "L4", width=9),
        Column(
            "Lifeline length",
            "lifeline_length_ft",
            Kind.WHOLE,
            "Of the lifeline.",
            200,
            measure=LENGTH,
            default="as long as the hose",
            width=10,
        ),
        Column(
            "Turnaround",
            "turnaround_min",
            Kind.WHOLE,
            "From one diver out to the next in.",
            15,
            unit="min",
            width=11,
        ),
    ),
)

AIR = Sheet(
    name="Air",
    purpose="What holds for the whole air plant. One setting a row: fill in the Value column.",
    row_is="setting",
    model=AirPlant,
    settings=True,
    columns=(
        Column(
            "Gauges tested on",
            "gauges_tested_on",
            Kind.DATE,
            "Depth gauges against a standard.",
            date(2027, 1, 15),
        ),
        Column(
            "Warmest inlet air",
            "inlet_temp_f",
            Kind.NUMBER,
            "Warmest air that the compressors will draw in.",
            86,
            measure=AIR_TEMPERATURE,
            default="as the compressors are rated",
        ),
        Column(
            "Flow, heavy dress",
            "heavy_acfm",
            Kind.NUMBER,
            "Flow planned for a heavy free-flow helmet, at depth. Never under 4.5 acfm: 29 CFR 1910.430(h).",
            6,
            measure=FLOW_AT_DEPTH,
        ),
        Column(
            "Flow, light helmet",
            "light_acfm",
            Kind.NUMBER,
            "Flow planned for a light helmet, at depth.",
            1.4,
            measure=FLOW_AT_DEPTH,
        ),
        Column(
            "Light helmets are free-flow",
            "light_free_flow",
            Kind.YES_NO,
            "4.5 acfm is then the least for them too.",
            False,
        ),
    ),
)

_ROLE = Column(
    "Supply", "role", Kind.CHOICE, "Which supply it feeds.", "primary", choices=tuple(AirRole), width=10
)
_ON_LINE = Column(
    "On line", "on_line", Kind.YES_NO, "Open to the console; if not, it does not count.", True, width=9
)
_RELIES = Column(
    "Relies on",
    "relies_on",
    Kind.TEXT,
    "Engine, generator or manifold that it cannot work without, split by commas.",
    "engine 1",
    default="nothing shared",
    width=20,
)

COMPRESSORS = Sheet(
    name="Compressors",
    purpose="Low-pressure compressors that feed the air console, one a row.",
    row_is="compressor",
    model=Compressor,
    columns=(
        Column("Compressor", "name", Kind.NAME, "A short name.", "Compressor 1", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        Column(
            "Delivery", "delivered_scfm", Kind.NUMBER, "As rated or measured.", 90, measure=FLOW, width=11
        ),
        Column(
            "Discharge",
            "discharge_psi",
            Kind.NUMBER,
            "Pressure it delivers at.",
            175,
            measure=PRESSURE,
            width=11,
        ),
        Column("Hours run", "hours_run", Kind.NUMBER, "Meter reading.", 1204.5, unit="h", width=10),
        Column(
            "Service at",
            "service_at_hours",
            Kind.NUMBER,
            "Meter reading of the next service.",
            1250,
            unit="h",
            width=10,
        ),
        Column("Warm-up", "warm_up_min", Kind.WHOLE, "Runs before the first dive.", 15, unit="min", width=9),
        Column("Fuel", "fuel_gal_per_hour", Kind.NUMBER, "At full load.", 2.5, measure=FUEL, width=11),
        Column(
            "Air tested on", "air_tested_on", Kind.DATE, "Sample at the console.", date(2027, 1, 20), width=12
        ),
        Column(
            "Measured here",
            "measured_here",
            Kind.YES_NO,
            "Delivery was measured at this site, so it is not derated.",
            False,
            width=10,
        ),
        Column(
            "Rated inlet air",
            "rated_inlet_temp_f",
            Kind.NUMBER,
            "Temperature of the rating.",
            68,
            measure=AIR_TEMPERATURE,
            width=9,
        ),
        Column(
            "Load factor",
            "load_factor",
            Kind.NUMBER,
            "Share it may give hour after hour.",
            0.8,
            unit="0 to 1",
            width=9,
        ),
        Column(
            "Fuel unloaded",
            "unloaded_fuel_part",
            Kind.NUMBER,
            "Share of full-load fuel when idling.",
            0.5,
            unit="0 to 1",
            width=10,
        ),
        Column(
            "Other running", "standby_min", Kind.WHOLE, "Tests and drills, a day.", 20, unit="min", width=9
        ),
    ),
)

BANKS = Sheet(
    name="Banks",
    purpose="High-pressure cylinders on one manifold, one bank a row.",
    row_is="bank",
    model=Bank,
    columns=(
        Column("Bank", "name", Kind.NAME, "A short name.", "Bank A", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        Column("Bottles", "bottles", Kind.WHOLE, "How many.", 6, unit="number", width=10),
        Column(
            "Floodable volume",
            "floodable_cuft_each",
            Kind.NUMBER,
            "Of one bottle.",
            1.75,
            measure=VOLUME,
            width=11,
        ),
        Column(
            "Pressure", "pressure_psi", Kind.NUMBER, "On the gauge now.", 2800, measure=PRESSURE, width=11
        ),
        Column(
            "Working pressure",
            "working_pressure_psi",
            Kind.NUMBER,
            "As stamped on the bottles.",
            3000,
            measure=PRESSURE,
            width=11,
        ),
        Column(
            "Regulator least",
            "regulator_min_psi",
            Kind.NUMBER,
            "Over the manifold, for the regulator to work.",
            220,
            measure=PRESSURE_KEPT,
            width=11,
        ),
        Column(
            "Recharge",
            "recharge_scfm",
            Kind.NUMBER,
            "Flow of the compressor that charges it.",
            0,
            measure=FLOW,
            width=11,
        ),
        Column("Recharged by", "recharged_by", Kind.TEXT, "Which one that is.", "HP compressor", width=18),
    ),
)

TANKS = Sheet(
    name="Volume tanks",
    purpose="Receivers between the compressors and the air console, one a row.",
    row_is="volume tank",
    model=VolumeTank,
    columns=(
        Column("Tank", "name", Kind.NAME, "A short name.", "Receiver 1", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        Column("Volume", "volume_cuft", Kind.NUMBER, "Of the tank.", 30, measure=VOLUME, width=11),
        Column("Pressure", "pressure_psi", Kind.NUMBER, "It is kept at.", 175, measure=PRESSURE, width=11),
        Column(
            "Least pressure",
            "least_psi",
            Kind.NUMBER,
            "Over the manifold pressure, stays in the tank.",
            0,
            measure=PRESSURE_KEPT,
            width=11,
        ),
        Column(
            "Working pressure",
            "working_pressure_psi",
            Kind.NUMBER,
            "As stamped on the tank.",
            200,
            measure=PRESSURE,
            width=11,
        ),
    ),
)

BENCH_STEPS = Sheet(
    name="Bench steps",
    purpose="Your own inspection and dressing steps. Each list of each kind of dress that has rows here "
    "stands in place of the built-in one; leave the sheet empty to use the built-in lists.",
    row_is="step",
    model=BenchStep,
    missing="the built-in lists",
    columns=(
        Column("Step", "id", Kind.NAME, "A short name, used once.", "helmet-lock", width=18),
        Column(
            "Kind", "gear", Kind.CHOICE, "Kind of diving dress.", "heavy dress", choices=tuple(Gear), width=14
        ),
        Column("List", "list", Kind.CHOICE, "Which list.", "dressing", choices=tuple(BenchList), width=12),
        Column("Order", "order", Kind.WHOLE, "Place in the list.", 10, unit="number", width=9),
        Column("Who", "who", Kind.CHOICE, "Whose hands.", "both tenders", choices=tuple(BenchHand), width=14),
        Column("Time", "minutes", Kind.NUMBER, "How long it takes.", 1.5, unit="min", width=8),
        Column("What to do", "do", Kind.TEXT, "In one sentence.", "Turn the helmet home.", width=34),
        Column("Good when", "good", Kind.TEXT, "What shows that it is right.", width=24),
        Column("When not", "when_not", Kind.TEXT, "What to do when it is not.", width=24),
        Column("Side by side", "side_by_side", Kind.TEXT, "Same mark: done at once.", "a", width=9),
        Column(
            "Signed by", "signed_by", Kind.TEXT, "Duty that signs the hold point.", "supervisor", width=14
        ),
        Column("Basis", "basis", Kind.TEXT, "Where it comes from.", "common practice", width=20),
    ),
)
