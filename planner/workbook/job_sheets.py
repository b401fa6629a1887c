"""The sheets of the job workbook, in the order of their tabs: what each row stands for, column by column."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from planner.check.limits import LIMITS, Limit
from planner.job import AirRole, Gear, OutfitState, Policy, UnitSystem, Water
from planner.job.air_plant import AirPlant, Bank, Compressor, VolumeTank
from planner.job.base import Span
from planner.job.bounds import GROUPS
from planner.job.crew_rules import OLDER_VALUES, CrewRules
from planner.job.duties import CrewMinimum, DutyPair
from planner.job.gear import BenchHand, BenchList, BenchStep, Outfit
from planner.job.people import Certificate, PastDive, Person, WorkSpell
from planner.job.pins import Pin, PinKind
from planner.job.presets import PRESETS
from planner.job.site import DepthGauge, Site, Station, TideMark, WaterWindow
from planner.job.work import After, DiveItem, Item, SurfaceItem
from planner.workbook.columns import (
    AIR_TEMPERATURE,
    ALTITUDE,
    DEPTH,
    DEPTH_TRIGGER,
    DESCENT_RATE,
    FLOW,
    FLOW_AT_DEPTH,
    FLOW_NEEDED,
    FUEL,
    LENGTH,
    PRESSURE,
    PRESSURE_KEPT,
    REACH,
    TIDE_LEVEL,
    VOLUME,
    WATER_TEMPERATURE,
    Column,
    JobSheet,
    Measure,
    choice,
    clock,
    crew,
    day,
    minutes,
    moment,
    name,
    names,
    number,
    text,
    whole,
    yes_no,
)

HIGH_LOW = ("high", "low")


def _start_day(help_line: str, width: float) -> Column:
    """A day that may be left blank for the job's first."""
    example, blank = date(2027, 3, 16), "the job's first day"
    return day("Day", "day", help_line, example, required=False, default=blank, width=width)


def span_columns(what: str, example: tuple[str, str]) -> tuple[Column, ...]:
    """The four columns of a stretch of time: day, from, until, and the day it ends where that is another."""
    return (
        _start_day(f"Day on which {what} starts.", width=16),
        clock("From", "from", "Local time.", example[0], required=True, width=10),
        clock("Until", "until", "Local time; 24:00: end of the day.", example[1], required=True, width=12),
        day(
            "Until day",
            "until_day",
            "Only where it ends on another day.",
            required=False,
            default="the same day",
            width=16,
        ),
    )


SITE = JobSheet(
    name="Site",
    purpose="The place, the day and the ways up that are allowed. One setting a row: fill in the "
    "Value column.",
    row_is="setting",
    model=Site,
    settings=True,
    required=True,
    columns=(
        name("Job name", "name", "What the job is called on every sheet.", "North quay, week 11"),
        day("First day", "first_day", "The day to plan.", date(2027, 3, 16)),
        whole("Days", "days", "How many days in a row, up to 7.", 1),
        clock("Day starts", "day_start", "Nobody starts earlier.", "07:00"),
        clock(
            "Day ends",
            "day_end",
            "Everybody is free by then. A time before the start means the next morning.",
            "19:00",
        ),
        text("Time zone", "time_zone", "Name of the zone in the IANA time zone database.", "Europe/Lisbon"),
        number(
            "Latitude",
            "latitude_deg",
            "North is positive. Needed for sunrise and sunset.",
            38.5,
            unit="degrees",
        ),
        number("Longitude", "longitude_deg", "East is positive, west negative.", -9.4, unit="degrees"),
        whole("Altitude", "altitude_ft", "Height of the water above the sea.", 0, measure=ALTITUDE),
        choice("Water", "water", "Salt or fresh.", "salt", choices=tuple(Water)),
        number(
            "Water temperature", "water_temp_f", "On the bottom, where known.", 54, measure=WATER_TEMPERATURE
        ),
        yes_no(
            "Dive by daylight only",
            "daylight_only",
            "People are in the water between sunrise and sunset only.",
            True,
        ),
        minutes(
            "Slack after high and low water",
            "slack_offset_min",
            "Middle of the slack after each time on the sheet Tide; negative: before it.",
            0,
        ),
        minutes(
            "Length of the slack",
            "slack_length_min",
            "How long it lasts around each; 0: slack stands on the sheet Water windows alone.",
            0,
        ),
        whole(
            "Stations at once",
            "stations_at_once",
            "How many stations may have people in the water at the same time.",
            2,
        ),
        minutes(
            "Way to the chamber",
            "chamber_minutes_away",
            "0: a chamber at the dive location.",
            0,
            default="no chamber in reach",
        ),
        whole(
            "Places in the chamber",
            "chamber_places",
            "How many dives' divers may decompress in it at once.",
            1,
        ),
        choice("Ways up", "policy", "Which dives may be planned.", "no-stop only", choices=tuple(Policy)),
        minutes(
            "Longest in-water stops",
            "in_water_stop_max_min",
            "All stops of one dive together, where in-water stops are allowed.",
            0,
        ),
        yes_no("Oxygen in the water", "oxygen_in_water", "Stops may be taken on oxygen.", False),
        minutes("Margin to the table", "margin_min", "Plan to the table's limit less this many minutes.", 0),
        yes_no(
            "Next longer row",
            "next_longer_row",
            "For cold or arduous work, enter the next longer row of the tables (common practice).",
            False,
        ),
        yes_no(
            "Gauge correction",
            "pneumofathometer_correction",
            "Depths are read by pneumofathometer and get the manual's correction.",
            False,
        ),
        choice(
            "Depth gauge",
            "depth_gauge",
            "At altitude one with a fixed one-atmosphere reference reads too shallow: about 1 fsw for "
            "each 1,000 ft is added.",
            "corrected for altitude",
            choices=tuple(DepthGauge),
        ),
        choice(
            "Units",
            "units",
            "Units of this workbook. To change them, write a new workbook in the other units.",
            "fsw, psi, cu ft",
            choices=tuple(UnitSystem),
        ),
    ),
)

STATIONS = JobSheet(
    name="Stations",
    purpose="The dive stations: one crew's place each, with at most one dive in the water at a time.",
    row_is="station",
    model=Station,
    required=True,
    columns=(name("Station", "name", "A short name, used on every sheet.", "Port side", width=24),),
)

WATER_WINDOWS = JobSheet(
    name="Water windows",
    purpose="Stretches of slack water. Items marked 'needs slack' are dived in these only, and in the slack "
    "that the sheets Site and Tide give.",
    row_is="stretch of slack water",
    model=WaterWindow,
    columns=(
        *span_columns("the slack", ("08:40", "10:05")),
        names(
            "Stations",
            "stations",
            "Stations that it holds for.",
            "Port side; Starboard side",
            refers="stations",
            default="all stations",
            width=28,
        ),
        name("Label", "label", "What the watchbill calls it.", "high slack", width=18),
    ),
)

TIDE = JobSheet(
    name="Tide",
    purpose="High and low waters from your tide table, in turn. They give the curve beside the watchbill, "
    "the depth of items that follow the tide, and slack water where the sheet Site gives its length.",
    row_is="high or low water",
    model=TideMark,
    columns=(
        _start_day("Day of the high or low water.", width=12),
        clock("Time", "from", "Local time.", "09:22", required=True, width=10),
        number("Level", "level_ft", "Height over chart datum.", 11.5, measure=TIDE_LEVEL, width=14),
        choice("High or low", "high", "Which of the two.", True, choices=HIGH_LOW, width=12),
    ),
)


_PERSON = name(
    "Person", "person", "A name from the sheet People.", "Ana Reyes", refers="people", required=True, width=24
)

PEOPLE = JobSheet(
    name="People",
    purpose="Everyone who can be posted. A diver may stand by and stand at an entry too; a tender may tend "
    "the standby diver.",
    row_is="person",
    model=Person,
    required=True,
    columns=(
        name("Name", "name", "As it should stand on the watchbill.", "Ana Reyes", width=24),
        names(
            "Duties",
            "duties",
            "Every duty that the person may hold.",
            "diver; tender",
            refers="duties",
            width=44,
        ),
        whole(
            "Depth rating",
            "depth_rating_fsw",
            "Deepest dive this person may make.",
            100,
            measure=DEPTH,
            default="0: does not dive",
            width=12,
        ),
        day(
            "Medical valid until",
            "medical_expires",
            "Last day of the diving medical.",
            date(2027, 11, 30),
            width=13,
        ),
        day(
            "Last duty ended, day",
            "last_duty_day",
            "Day on which the last duty before this job ended.",
            date(2027, 3, 15),
            required=False,
            default="the day before the job",
            width=13,
        ),
        clock(
            "Last duty ended, time",
            "last_duty_time",
            "Time of that; blank when long ago.",
            "18:30",
            required=False,
            width=11,
        ),
        day(
            "Arrived at altitude, day",
            "arrived_day",
            "Day on which the person came up to the site's altitude; blank: at least 12 hours before.",
            date(2027, 3, 16),
            required=False,
            default="long before",
            width=13,
        ),
        clock(
            "Arrived at altitude, time",
            "arrived_time",
            "Time of that.",
            "06:15",
            required=False,
            width=11,
        ),
        minutes(
            "Standby so far",
            "past_standby_min",
            "Minutes stood by earlier in the job, for fair shares.",
            0,
            width=11,
        ),
        text("Pay class", "pay_class", "As your pay rules call it.", "D1", width=11),
        text("Outfit size", "outfit_size", "As marked on the outfits.", "L", width=10),
    ),
)

ON_SITE = JobSheet(
    name="On site",
    purpose="Hours for which a person is there, one stretch a row. Who has no row here is there all day.",
    row_is="stretch of one person's hours",
    model=Person,
    columns=(_PERSON, *span_columns("the stretch", ("07:00", "13:00"))),
)

CERTIFICATES = JobSheet(
    name="Certificates",
    purpose="Certificates that items ask for, one a row.",
    row_is="certificate of one person",
    model=Certificate,
    columns=(
        _PERSON,
        name(
            "Certificate", "name", "The same words as on the sheet Dive work.", "underwater welding", width=30
        ),
        day("Valid until", "expires", "Last valid day.", date(2028, 6, 30), default="does not expire"),
    ),
)

PAST_DIVES = JobSheet(
    name="Past dives",
    purpose="Dives before this job that may still leave nitrogen in the diver. Enter every dive for which "
    "the surface interval table has not yet cleared the diver.",
    row_is="dive already made",
    model=PastDive,
    columns=(
        _PERSON,
        whole("Depth", "depth_fsw", "Greatest depth of the dive.", 48, measure=DEPTH, width=11),
        minutes("Bottom time", "bottom_time_min", "Leave surface to leave bottom, rounded up.", 55, width=11),
        day(
            "Day",
            "day",
            "Day on which the diver reached the surface.",
            date(2027, 3, 15),
            required=True,
            width=12,
        ),
        clock("Reached surface", "from", "Time of reaching the surface.", "16:10", required=True, width=11),
        choice(
            "Group",
            "group_after",
            "Repetitive group from the dive log.",
            "G",
            choices=GROUPS,
            default="worked out from the tables",
        ),
    ),
)

HOURS_WORKED = JobSheet(
    name="Hours worked",
    purpose="Stretches of work before this job, for the rest rules, one a row.",
    row_is="stretch of work already done",
    model=WorkSpell,
    columns=(_PERSON, *span_columns("the work", ("07:00", "18:30"))),
)


_PRIORITY = whole("Priority", "priority", "1 the most pressing, 5 the least.", 2, unit="1 to 5", width=9)
_STATION = name(
    "Station",
    "station",
    "The only station it can be worked from.",
    "Port side",
    refers="stations",
    default="any station",
    width=16,
)


def _item(title: str, field: str, help_line: str, example: str) -> Column:
    return name(title, field, help_line, example, refers="items", required=True, width=34)


DIVE_WORK = JobSheet(
    name="Dive work",
    purpose="Work under water, one item a row. Minutes of work count from reach bottom to leave bottom.",
    row_is="dive item",
    model=DiveItem,
    columns=(
        name("Item", "name", "A short name, used on every sheet.", "Anodes, pile row 3", width=30),
        _PRIORITY,
        whole("Depth", "depth_fsw", "Depth of the work at its deepest.", 46, measure=DEPTH, width=8),
        minutes(
            "Work on the bottom",
            "bottom_work_min",
            "Working minutes on the bottom that it needs in all.",
            90,
            width=10,
        ),
        whole("Divers", "divers", "Divers who work together.", 1, unit="at a time", width=9),
        yes_no("Splittable", "splittable", "May be spread over several dives.", True, width=10),
        minutes("Least useful work", "least_useful_min", "Shorter dives are no use for it.", 20, width=10),
        yes_no("Same diver", "same_diver", "The same diver is preferred on all its dives.", False, width=8),
        choice("Dress", "gear", "Kind of diving dress.", "heavy dress", choices=tuple(Gear), width=14),
        names(
            "Certificates",
            "certificates",
            "What every diver of it must hold.",
            "underwater welding",
            refers="certificates",
            default="none",
            width=24,
        ),
        yes_no("Enclosed space", "enclosed_space", "A diver stands at the entry.", False, width=10),
        yes_no("Arduous or cold", "arduous_or_cold", "Hard work or cold water.", False, width=10),
        yes_no("Needs slack", "needs_slack", "Only in the water windows.", False, width=8),
        yes_no(
            "Follows the tide", "depth_follows_tide", "Depth is charted; the tide is added.", False, width=9
        ),
        yes_no("In the dark", "in_the_dark", "May be dived after sunset.", False, width=8),
        number("Tool air", "tool_air_scfm", "Air for tools from the plant.", 0, measure=FLOW_NEEDED, width=9),
        whole("Reach", "reach_ft", "Distance from the station.", 60, measure=REACH, width=8),
        _STATION,
    ),
)

SURFACE_WORK = JobSheet(
    name="Surface work",
    purpose="Work above water, one item a row, done in one go by a crew that stays for all of it.",
    row_is="surface item",
    model=SurfaceItem,
    columns=(
        name("Item", "name", "A short name, used on every sheet.", "Land the bell frame", width=34),
        _PRIORITY,
        minutes("Duration", "duration_min", "From start to end.", 60, width=10),
        crew(
            "Crew",
            "crew",
            "Duty and how many of it; any duty name of your own.",
            "rigger 2; crane operator 1",
            required=False,
            default="nobody",
            width=44,
        ),
        _STATION,
    ),
)

WINDOWS = JobSheet(
    name="Windows",
    purpose="Times within which an item may be worked, one stretch a row. An item without a row may be "
    "worked at any time of the day.",
    row_is="stretch in which one item may be worked",
    model=Span,
    columns=(
        _item("Item", "item", "A dive item or a surface item.", "Anodes, pile row 3"),
        *span_columns("it", ("09:00", "12:00")),
    ),
)

ORDER = JobSheet(
    name="Order",
    purpose="An item that starts only when another is completely done, one pair a row.",
    row_is="pair in order",
    model=After,
    columns=(
        _item("Item", "item", "The one that comes later.", "Land the bell frame"),
        _item("After", "after", "The one that must be done first.", "Anodes, pile row 3"),
        minutes("Lag", "lag_min", "At least this long in between.", 30, width=10),
    ),
)

NOT_TOGETHER = JobSheet(
    name="Not together",
    purpose="Two items that are never worked at the same time, one pair a row.",
    row_is="pair that is kept apart",
    model=Item,
    columns=(
        _item("Item", "item", "One of the two.", "Anodes, pile row 3"),
        _item("Not together with", "other", "The other one.", "Land the bell frame"),
    ),
)

PINS = JobSheet(
    name="Pins",
    purpose="What is settled already and every plan must keep, one thing a row. 'starts' needs an item and a "
    "time; 'dives' an item and a person, station, time or bottom time; 'stays up' a person; 'holds' a "
    "person, a duty and an item; 'away' a person, a start and an end.",
    row_is="settled thing",
    model=Pin,
    columns=(
        choice("What", "kind", "What is settled.", "dives", choices=tuple(PinKind), width=10),
        name("Item", "item", "A dive or surface item.", "Anodes, pile row 3", refers="items", width=26),
        name("Person", "person", "From the sheet People.", "Ana Reyes", refers="people", width=20),
        name("Duty", "duty", "For 'holds'.", "supervisor", refers="duties", width=16),
        name("Station", "station", "For 'dives'.", "Port side", refers="stations", width=14),
        _start_day("Day of the time.", width=12),
        clock("From", "from", "Leave surface, or start.", "09:00", required=False, default="any", width=9),
        clock(
            "Until", "until", "Latest, taken in.", "09:30", required=False, default="the same minute", width=9
        ),
        day(
            "Until day", "until_day", "Where it is another.", required=False, default="the same day", width=12
        ),
        minutes("Bottom time", "bottom_time_min", "For 'dives'.", 45, width=9),
        text("Note", "note", "Why, and by whom.", "asked by the client", width=20),
    ),
)


OUTFITS = JobSheet(
    name="Outfits",
    purpose="One matched outfit a row. In heavy dress the helmet, breastplate and straps carry one number.",
    row_is="outfit",
    model=Outfit,
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
        whole(
            "Umbilical length",
            "umbilical_length_ft",
            "Of hose and cable.",
            200,
            measure=LENGTH,
            default="not given",
            width=10,
        ),
        text("Hose no.", "hose_no", "Number on the hose.", "H4", width=9),
        day("Hose tested on", "hose_tested_on", "Pressure test.", date(2026, 9, 2), width=12),
        number(
            "Hose working pressure",
            "hose_working_psi",
            "As marked on it.",
            200,
            measure=PRESSURE_KEPT,
            width=10,
        ),
        number("Hose test pressure", "hose_test_psi", "Of the last test.", 300, measure=PRESSURE, width=10),
        text("Lifeline no.", "lifeline_no", "Number on the lifeline.", "L4", width=9),
        whole(
            "Lifeline length",
            "lifeline_length_ft",
            "Of the lifeline.",
            200,
            measure=LENGTH,
            default="as long as the hose",
            width=10,
        ),
        minutes("Turnaround", "turnaround_min", "From one diver out to the next in.", 15, width=11),
    ),
)

AIR = JobSheet(
    name="Air",
    purpose="What holds for the whole air plant. One setting a row: fill in the Value column.",
    row_is="setting",
    model=AirPlant,
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
            default="the chamber's air is not counted",
        ),
        number(
            "Chamber, outer lock",
            "chamber_outer_cuft",
            "Volume of the lock.",
            70,
            measure=VOLUME,
            default="the chamber's air is not counted",
        ),
        number(
            "Chamber, primary air",
            "chamber_primary_scf",
            "Usable air at the start of each day, standard cubic feet.",
            12000,
            unit="scf",
            default="the chamber's air is not counted",
        ),
        number(
            "Chamber, secondary air",
            "chamber_secondary_scf",
            "The same of the second supply.",
            7000,
            unit="scf",
            default="the chamber's air is not counted",
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

_ROLE = choice("Supply", "role", "Which supply it feeds.", "primary", choices=tuple(AirRole), width=10)
_ON_LINE = yes_no("On line", "on_line", "Open to the console; if not, it does not count.", True, width=9)
_RELIES = text(
    "Relies on",
    "relies_on",
    "Engine, generator or manifold that it cannot work without, split by commas.",
    "engine 1",
    default="nothing shared",
    width=20,
)

COMPRESSORS = JobSheet(
    name="Compressors",
    purpose="Low-pressure compressors that feed the air console, one a row.",
    row_is="compressor",
    model=Compressor,
    columns=(
        name("Compressor", "name", "A short name.", "Compressor 1", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        number("Delivery", "delivered_scfm", "As rated or measured.", 90, measure=FLOW, width=11),
        number("Discharge", "discharge_psi", "Pressure it delivers at.", 175, measure=PRESSURE, width=11),
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
    columns=(
        name("Bank", "name", "A short name.", "Bank A", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        whole("Bottles", "bottles", "How many.", 6, unit="number", width=10),
        number("Floodable volume", "floodable_cuft_each", "Of one bottle.", 1.75, measure=VOLUME, width=11),
        number("Pressure", "pressure_psi", "On the gauge now.", 2800, measure=PRESSURE, width=11),
        number(
            "Working pressure",
            "working_pressure_psi",
            "As stamped on the bottles.",
            3000,
            measure=PRESSURE,
            width=11,
        ),
        number(
            "Regulator least",
            "regulator_min_psi",
            "Over the manifold, for the regulator to work.",
            220,
            measure=PRESSURE_KEPT,
            width=11,
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
    columns=(
        name("Tank", "name", "A short name.", "Receiver 1", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        number("Volume", "volume_cuft", "Of the tank.", 30, measure=VOLUME, width=11),
        number("Pressure", "pressure_psi", "It is kept at.", 175, measure=PRESSURE, width=11),
        number(
            "Least pressure",
            "least_psi",
            "Over the manifold pressure, stays in the tank.",
            0,
            measure=PRESSURE_KEPT,
            width=11,
        ),
        number(
            "Working pressure",
            "working_pressure_psi",
            "As stamped on the tank.",
            200,
            measure=PRESSURE,
            width=11,
        ),
    ),
)

BENCH_STEPS = JobSheet(
    name="Bench steps",
    purpose="Your own inspection and dressing steps. Each list of each kind of dress that has rows here "
    "stands in place of the built-in one; leave the sheet empty to use the built-in lists.",
    row_is="step",
    model=BenchStep,
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
        text("Signed by", "signed_by", "Duty that signs the hold point.", "supervisor", width=14),
        text("Basis", "basis", "Where it comes from.", "common practice", width=20),
    ),
)


PRIORITIES = 5


def weight_field(priority: int) -> str:
    """Name of the setting that holds the weight of a priority."""
    return f"weight_{priority}"


CREW_MINIMA = JobSheet(
    name="Crew minima",
    purpose="Least crew of a dive. A row asks for its number when all its conditions hold; of several rows "
    "for one duty the largest number counts. A sheet without rows means the least team named on the "
    "sheet Rules.",
    row_is="demand for one duty",
    model=CrewMinimum,
    missing="the least team named on the sheet Rules",
    columns=(
        name("Duty", "duty", "Built-in or your own.", "tender", refers="duties", width=20),
        whole("Number", "count", "How many people.", 2, unit="people", width=10),
        yes_no(
            "For each diver", "per_diver", "For each diver in the water; no: for the station.", True, width=9
        ),
        choice(
            "Only in",
            "gear",
            "Only in this kind of dress.",
            "heavy dress",
            choices=tuple(Gear),
            default="any",
            width=12,
        ),
        whole(
            "Only deeper than",
            "deeper_than_fsw",
            "Only for deeper dives than this.",
            100,
            measure=DEPTH_TRIGGER,
            default="any depth",
            width=10,
        ),
        yes_no("Only outside no-stop", "decompression", "Only outside the no-stop limits.", False, width=11),
        yes_no("Only enclosed", "enclosed_space", "Only in enclosed spaces.", False, width=10),
        text("Source", "source", "Regulation, or: common practice.", "common practice", width=50),
        text("Changed by", "changed_by", "Who changed the row.", "Ana Reyes", width=16),
        moment("Changed at", "changed_at", "When.", "2027-03-15T19:40", width=17),
    ),
)

DUTY_PAIRS = JobSheet(
    name="Duty pairs",
    purpose="Two duties that one person may hold at once on one station. A sheet without rows allows "
    "no pair.",
    row_is="pair of duties",
    model=DutyPair,
    missing="the built-in pair (air console with log keeper)",
    columns=(
        name("Duty", "duty", "One of the two.", "air console", refers="duties", width=24),
        name("With duty", "with_duty", "The other one.", "log keeper", refers="duties", width=24),
        text("Source", "source", "Where it comes from.", "common practice", width=34),
    ),
)

_RULE_MEASURES: dict[str, Measure] = {
    "greatest_depth_fsw": DEPTH,
    "chamber_trigger_fsw": DEPTH_TRIGGER,
    "descent_fsw_per_min": DESCENT_RATE,
}


def _rule_row(limit: Limit) -> Column:
    measure = _RULE_MEASURES.get(limit.field)
    default = CrewRules.model_fields[limit.field].default
    if limit.field == "preset":
        return text(
            limit.label,
            limit.field,
            f"{limit.sentence} Its rows stand on the sheet Crew minima.",
            default,
            choices=tuple(PRESETS),
            source=limit.source,
        )
    if isinstance(default, StrEnum):
        return choice(
            limit.label,
            limit.field,
            limit.sentence,
            default.value,
            choices=tuple(type(default)),
            source=limit.source,
        )
    return whole(
        limit.label,
        limit.field,
        limit.sentence,
        default,
        unit="" if measure else limit.unit,
        measure=measure,
        source=limit.source,
    )


def _weight_row(limit: Limit, priority: int) -> Column:
    weight = CrewRules().priority_weights[priority - 1]
    return whole(
        f"Weight of priority {priority}",
        weight_field(priority),
        limit.sentence,
        weight,
        unit="weight",
        required=False,
        default=str(weight),
        source=limit.source,
        limits_of=limit.field,
    )


RULES = JobSheet(
    name="Rules",
    purpose="The limits that the plan keeps to, one a row. Sources are beside them; subject to local "
    "regulations.",
    row_is="limit",
    model=CrewRules,
    settings=True,
    missing="the built-in limits",
    older=OLDER_VALUES,
    columns=(
        *(_rule_row(limit) for name, limit in LIMITS.items() if name != "priority_weights"),
        *(_weight_row(LIMITS["priority_weights"], priority) for priority in range(1, PRIORITIES + 1)),
    ),
)


README_SHEET = "Read me"
#: Holds the entries of the drop-downs; hidden, never read.
LISTS_SHEET = "Lists"

JOB_SHEETS: tuple[JobSheet, ...] = (
    SITE,
    STATIONS,
    PEOPLE,
    CERTIFICATES,
    PAST_DIVES,
    HOURS_WORKED,
    ON_SITE,
    DIVE_WORK,
    SURFACE_WORK,
    WINDOWS,
    ORDER,
    NOT_TOGETHER,
    PINS,
    WATER_WINDOWS,
    TIDE,
    OUTFITS,
    AIR,
    COMPRESSORS,
    BANKS,
    TANKS,
    CREW_MINIMA,
    DUTY_PAIRS,
    RULES,
    BENCH_STEPS,
)

#: Headings of a sheet that lists settings.
SETTING, VALUE, UNIT, MEANING, SOURCE = "Setting", "Value", "Unit", "What it means", "Source"
