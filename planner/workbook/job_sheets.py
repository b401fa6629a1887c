"""The sheets of the job workbook, in the order of their tabs: what each row stands for, column by column."""

from __future__ import annotations

from datetime import date

from planner.job import AirRole, Gear, OutfitState, Policy, UnitSystem, Water
from planner.job.air_plant import AirPlant, Bank, Compressor, VolumeTank
from planner.job.base import Span
from planner.job.crew_rules import CrewMinimum, CrewRules, DutyPair
from planner.job.gear import BenchHand, BenchList, BenchStep, Outfit
from planner.job.people import Certificate, PastDive, Person, WorkSpell
from planner.job.pins import Pin, PinKind
from planner.job.site import Site, Station, TideMark, WaterWindow
from planner.job.work import After, DiveItem, Item, SurfaceItem
from planner.rules.limits import LIMITS, Limit
from planner.rules.presets import PRESETS
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
    CellKind,
    Measure,
    JobSheet,
)

HIGH_LOW = ("high", "low")


def span_columns(what: str, example: tuple[str, str]) -> tuple[Column, ...]:
    """The four columns of a stretch of time: day, from, until, and the day it ends where that is another."""
    return (
        Column(
            "Day",
            "day",
            CellKind.DATE,
            f"Day on which {what} starts.",
            date(2027, 3, 16),
            required=False,
            default="the job's first day",
            width=16,
        ),
        Column("From", "from", CellKind.CLOCK, "Local time.", example[0], required=True, width=10),
        Column(
            "Until",
            "until",
            CellKind.CLOCK,
            "Local time; 24:00: end of the day.",
            example[1],
            required=True,
            width=12,
        ),
        Column(
            "Until day",
            "until_day",
            CellKind.DATE,
            "Only where it ends on another day.",
            None,
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
        Column(
            "Job name", "name", CellKind.NAME, "What the job is called on every sheet.", "North quay, week 11"
        ),
        Column("First day", "first_day", CellKind.DATE, "The day to plan.", date(2027, 3, 16)),
        Column("Days", "days", CellKind.WHOLE, "How many days in a row, up to 7.", 1),
        Column("Day starts", "day_start", CellKind.CLOCK, "Nobody starts earlier.", "07:00"),
        Column(
            "Day ends",
            "day_end",
            CellKind.CLOCK,
            "Everybody is free by then. A time before the start means the next morning.",
            "19:00",
        ),
        Column(
            "Time zone",
            "time_zone",
            CellKind.TEXT,
            "Name of the zone in the IANA time zone database.",
            "Europe/Lisbon",
        ),
        Column(
            "Latitude",
            "latitude_deg",
            CellKind.NUMBER,
            "North is positive. Needed for sunrise and sunset.",
            38.5,
            unit="degrees",
        ),
        Column(
            "Longitude",
            "longitude_deg",
            CellKind.NUMBER,
            "East is positive, west negative.",
            -9.4,
            unit="degrees",
        ),
        Column(
            "Altitude", "altitude_ft", CellKind.WHOLE, "Height of the water above the sea.", 0, measure=ALTITUDE
        ),
        Column("Water", "water", CellKind.CHOICE, "Salt or fresh.", "salt", choices=tuple(Water)),
        Column(
            "Water temperature",
            "water_temp_f",
            CellKind.NUMBER,
            "On the bottom, where known.",
            54,
            measure=WATER_TEMPERATURE,
        ),
        Column(
            "Dive by daylight only",
            "daylight_only",
            CellKind.YES_NO,
            "People are in the water between sunrise and sunset only.",
            True,
        ),
        Column(
            "Slack after high and low water",
            "slack_offset_min",
            CellKind.WHOLE,
            "Middle of the slack after each time on the sheet Tide; negative: before it.",
            0,
            unit="min",
        ),
        Column(
            "Length of the slack",
            "slack_length_min",
            CellKind.WHOLE,
            "How long it lasts around each; 0: slack stands on the sheet Water windows alone.",
            0,
            unit="min",
        ),
        Column(
            "Stations at once",
            "stations_at_once",
            CellKind.WHOLE,
            "How many stations may have people in the water at the same time.",
            2,
        ),
        Column(
            "Way to the chamber",
            "chamber_minutes_away",
            CellKind.WHOLE,
            "0: a chamber at the dive location.",
            0,
            unit="min",
            default="no chamber in reach",
        ),
        Column(
            "Places in the chamber",
            "chamber_places",
            CellKind.WHOLE,
            "How many dives' divers may decompress in it at once.",
            1,
        ),
        Column(
            "Ways up",
            "policy",
            CellKind.CHOICE,
            "Which dives may be planned.",
            "no-stop only",
            choices=tuple(Policy),
        ),
        Column(
            "Longest in-water stops",
            "in_water_stop_max_min",
            CellKind.WHOLE,
            "All stops of one dive together, where in-water stops are allowed.",
            0,
            unit="min",
        ),
        Column(
            "Oxygen in the water",
            "oxygen_in_water",
            CellKind.YES_NO,
            "Stops may be taken on oxygen.",
            False,
        ),
        Column(
            "Margin to the table",
            "margin_min",
            CellKind.WHOLE,
            "Plan to the table's limit less this many minutes.",
            0,
            unit="min",
        ),
        Column(
            "Next longer row",
            "next_longer_row",
            CellKind.YES_NO,
            "For cold or arduous work, enter the next longer row of the tables (common practice).",
            False,
        ),
        Column(
            "Gauge correction",
            "pneumofathometer_correction",
            CellKind.YES_NO,
            "Depths are read by pneumofathometer and get the manual's correction.",
            False,
        ),
        Column(
            "Units",
            "units",
            CellKind.CHOICE,
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
    columns=(
        Column("Station", "name", CellKind.NAME, "A short name, used on every sheet.", "Port side", width=24),
    ),
)

WATER_WINDOWS = JobSheet(
    name="Water windows",
    purpose="Stretches of slack water. Items marked 'needs slack' are dived in these only, and in the slack "
    "that the sheets Site and Tide give.",
    row_is="stretch of slack water",
    model=WaterWindow,
    columns=(
        *span_columns("the slack", ("08:40", "10:05")),
        Column(
            "Stations",
            "stations",
            CellKind.NAMES,
            "Stations that it holds for.",
            "Port side; Starboard side",
            refers="stations",
            default="all stations",
            width=28,
        ),
        Column("Label", "label", CellKind.NAME, "What the watchbill calls it.", "high slack", width=18),
    ),
)

TIDE = JobSheet(
    name="Tide",
    purpose="High and low waters from your tide table, in turn. They give the curve beside the watchbill, "
    "the depth of items that follow the tide, and slack water where the sheet Site gives its length.",
    row_is="high or low water",
    model=TideMark,
    columns=(
        Column(
            "Day",
            "day",
            CellKind.DATE,
            "Day of the high or low water.",
            date(2027, 3, 16),
            required=False,
            default="the job's first day",
            width=12,
        ),
        Column("Time", "from", CellKind.CLOCK, "Local time.", "09:22", required=True, width=10),
        Column(
            "Level", "level_ft", CellKind.NUMBER, "Height over chart datum.", 11.5, measure=TIDE_LEVEL, width=14
        ),
        Column("High or low", "high", CellKind.CHOICE, "Which of the two.", True, choices=HIGH_LOW, width=12),
    ),
)


#: The letters of table 9-7 of the U.S. Navy Diving Manual, Revision 7: A to O, and Z.
GROUP_LETTERS = tuple("ABCDEFGHIJKLMNOZ")

_PERSON = Column(
    "Person",
    "person",
    CellKind.NAME,
    "A name from the sheet People.",
    "Ana Reyes",
    refers="people",
    required=True,
    width=24,
)

PEOPLE = JobSheet(
    name="People",
    purpose="Everyone who can be posted. A diver may stand by and stand at an entry too; a tender may tend "
    "the standby diver.",
    row_is="person",
    model=Person,
    required=True,
    columns=(
        Column("Name", "name", CellKind.NAME, "As it should stand on the watchbill.", "Ana Reyes", width=24),
        Column(
            "Duties",
            "duties",
            CellKind.NAMES,
            "Every duty that the person may hold.",
            "diver; tender",
            refers="duties",
            width=44,
        ),
        Column(
            "Depth rating",
            "depth_rating_fsw",
            CellKind.WHOLE,
            "Deepest dive this person may make.",
            100,
            measure=DEPTH,
            default="0: does not dive",
            width=12,
        ),
        Column(
            "Medical valid until",
            "medical_expires",
            CellKind.DATE,
            "Last day of the diving medical.",
            date(2027, 11, 30),
            width=13,
        ),
        Column(
            "Last duty ended, day",
            "last_duty_day",
            CellKind.DATE,
            "Day on which the last duty before this job ended.",
            date(2027, 3, 15),
            required=False,
            default="the day before the job",
            width=13,
        ),
        Column(
            "Last duty ended, time",
            "last_duty_time",
            CellKind.CLOCK,
            "Time of that; blank when long ago.",
            "18:30",
            required=False,
            width=11,
        ),
        Column(
            "Standby so far",
            "past_standby_min",
            CellKind.WHOLE,
            "Minutes stood by earlier in the job, for fair shares.",
            0,
            unit="min",
            width=11,
        ),
        Column("Pay class", "pay_class", CellKind.TEXT, "As your pay rules call it.", "D1", width=11),
        Column("Outfit size", "outfit_size", CellKind.TEXT, "As marked on the outfits.", "L", width=10),
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
        Column(
            "Certificate",
            "name",
            CellKind.NAME,
            "The same words as on the sheet Dive work.",
            "underwater welding",
            width=30,
        ),
        Column(
            "Valid until",
            "expires",
            CellKind.DATE,
            "Last valid day.",
            date(2028, 6, 30),
            default="does not expire",
        ),
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
        Column("Depth", "depth_fsw", CellKind.WHOLE, "Greatest depth of the dive.", 48, measure=DEPTH, width=11),
        Column(
            "Bottom time",
            "bottom_time_min",
            CellKind.WHOLE,
            "Leave surface to leave bottom, rounded up.",
            55,
            unit="min",
            width=11,
        ),
        Column(
            "Day",
            "day",
            CellKind.DATE,
            "Day on which the diver reached the surface.",
            date(2027, 3, 15),
            required=True,
            width=12,
        ),
        Column(
            "Reached surface",
            "from",
            CellKind.CLOCK,
            "Time of reaching the surface.",
            "16:10",
            required=True,
            width=11,
        ),
        Column(
            "Group",
            "group_after",
            CellKind.CHOICE,
            "Repetitive group from the dive log.",
            "G",
            choices=GROUP_LETTERS,
            default="worked out from the tables",
            width=14,
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


_PRIORITY = Column(
    "Priority", "priority", CellKind.WHOLE, "1 the most pressing, 5 the least.", 2, unit="1 to 5", width=9
)
_STATION = Column(
    "Station",
    "station",
    CellKind.NAME,
    "The only station it can be worked from.",
    "Port side",
    refers="stations",
    default="any station",
    width=16,
)


def _item(title: str, help_line: str, example: str) -> Column:
    return Column(title, "item", CellKind.NAME, help_line, example, refers="items", required=True, width=34)


DIVE_WORK = JobSheet(
    name="Dive work",
    purpose="Work under water, one item a row. Minutes of work count from reach bottom to leave bottom.",
    row_is="dive item",
    model=DiveItem,
    columns=(
        Column(
            "Item", "name", CellKind.NAME, "A short name, used on every sheet.", "Anodes, pile row 3", width=30
        ),
        _PRIORITY,
        Column(
            "Depth", "depth_fsw", CellKind.WHOLE, "Depth of the work at its deepest.", 46, measure=DEPTH, width=8
        ),
        Column(
            "Work on the bottom",
            "bottom_work_min",
            CellKind.WHOLE,
            "Working minutes on the bottom that it needs in all.",
            90,
            unit="min",
            width=10,
        ),
        Column("Divers", "divers", CellKind.WHOLE, "Divers who work together.", 1, unit="at a time", width=9),
        Column("Splittable", "splittable", CellKind.YES_NO, "May be spread over several dives.", True, width=10),
        Column(
            "Least useful work",
            "least_useful_min",
            CellKind.WHOLE,
            "Shorter dives are no use for it.",
            20,
            unit="min",
            width=10,
        ),
        Column(
            "Same diver",
            "same_diver",
            CellKind.YES_NO,
            "The same diver is preferred on all its dives.",
            False,
            width=8,
        ),
        Column(
            "Dress",
            "gear",
            CellKind.CHOICE,
            "Kind of diving dress.",
            "heavy dress",
            choices=tuple(Gear),
            width=14,
        ),
        Column(
            "Certificates",
            "certificates",
            CellKind.NAMES,
            "What every diver of it must hold.",
            "underwater welding",
            refers="certificates",
            default="none",
            width=24,
        ),
        Column(
            "Enclosed space", "enclosed_space", CellKind.YES_NO, "A diver stands at the entry.", False, width=10
        ),
        Column(
            "Arduous or cold", "arduous_or_cold", CellKind.YES_NO, "Hard work or cold water.", False, width=10
        ),
        Column("Needs slack", "needs_slack", CellKind.YES_NO, "Only in the water windows.", False, width=8),
        Column(
            "Follows the tide",
            "depth_follows_tide",
            CellKind.YES_NO,
            "Depth is charted; the tide is added.",
            False,
            width=9,
        ),
        Column("In the dark", "in_the_dark", CellKind.YES_NO, "May be dived after sunset.", False, width=8),
        Column(
            "Tool air",
            "tool_air_scfm",
            CellKind.NUMBER,
            "Air for tools from the plant.",
            0,
            measure=FLOW_NEEDED,
            width=9,
        ),
        Column("Reach", "reach_ft", CellKind.WHOLE, "Distance from the station.", 60, measure=REACH, width=8),
        _STATION,
    ),
)

SURFACE_WORK = JobSheet(
    name="Surface work",
    purpose="Work above water, one item a row, done in one go by a crew that stays for all of it.",
    row_is="surface item",
    model=SurfaceItem,
    columns=(
        Column(
            "Item", "name", CellKind.NAME, "A short name, used on every sheet.", "Land the bell frame", width=34
        ),
        _PRIORITY,
        Column("Duration", "duration_min", CellKind.WHOLE, "From start to end.", 60, unit="min", width=10),
        Column(
            "Crew",
            "crew",
            CellKind.CREW,
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
        _item("Item", "A dive item or a surface item.", "Anodes, pile row 3"),
        *span_columns("it", ("09:00", "12:00")),
    ),
)

ORDER = JobSheet(
    name="Order",
    purpose="An item that starts only when another is completely done, one pair a row.",
    row_is="pair in order",
    model=After,
    columns=(
        _item("Item", "The one that comes later.", "Land the bell frame"),
        Column(
            "After",
            "after",
            CellKind.NAME,
            "The one that must be done first.",
            "Anodes, pile row 3",
            refers="items",
            required=True,
            width=34,
        ),
        Column("Lag", "lag_min", CellKind.WHOLE, "At least this long in between.", 30, unit="min", width=10),
    ),
)

NOT_TOGETHER = JobSheet(
    name="Not together",
    purpose="Two items that are never worked at the same time, one pair a row.",
    row_is="pair that is kept apart",
    model=Item,
    columns=(
        _item("Item", "One of the two.", "Anodes, pile row 3"),
        Column(
            "Not together with",
            "other",
            CellKind.NAME,
            "The other one.",
            "Land the bell frame",
            refers="items",
            required=True,
            width=34,
        ),
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
        Column("What", "kind", CellKind.CHOICE, "What is settled.", "dives", choices=tuple(PinKind), width=10),
        Column(
            "Item",
            "item",
            CellKind.NAME,
            "A dive or surface item.",
            "Anodes, pile row 3",
            refers="items",
            width=26,
        ),
        Column(
            "Person", "person", CellKind.NAME, "From the sheet People.", "Ana Reyes", refers="people", width=20
        ),
        Column("Duty", "duty", CellKind.NAME, "For 'holds'.", "supervisor", refers="duties", width=16),
        Column("Station", "station", CellKind.NAME, "For 'dives'.", "Port side", refers="stations", width=14),
        Column(
            "Day",
            "day",
            CellKind.DATE,
            "Day of the time.",
            date(2027, 3, 16),
            required=False,
            default="the job's first day",
            width=12,
        ),
        Column(
            "From",
            "from",
            CellKind.CLOCK,
            "Leave surface, or start.",
            "09:00",
            required=False,
            default="any",
            width=9,
        ),
        Column(
            "Until",
            "until",
            CellKind.CLOCK,
            "Latest, taken in.",
            "09:30",
            required=False,
            default="the same minute",
            width=9,
        ),
        Column(
            "Until day",
            "until_day",
            CellKind.DATE,
            "Where it is another.",
            None,
            required=False,
            default="the same day",
            width=12,
        ),
        Column("Bottom time", "bottom_time_min", CellKind.WHOLE, "For 'dives'.", 45, unit="min", width=9),
        Column("Note", "note", CellKind.TEXT, "Why, and by whom.", "asked by the client", width=20),
    ),
)


OUTFITS = JobSheet(
    name="Outfits",
    purpose="One matched outfit a row. In heavy dress the helmet, breastplate and straps carry one number.",
    row_is="outfit",
    model=Outfit,
    columns=(
        Column("Outfit", "name", CellKind.NAME, "A short name.", "Outfit 7", width=16),
        Column(
            "Kind", "kind", CellKind.CHOICE, "Kind of diving dress.", "heavy dress", choices=tuple(Gear), width=14
        ),
        Column("Helmet no.", "helmet_no", CellKind.TEXT, "Number stamped on it.", "7", width=10),
        Column("Breastplate no.", "breastplate_no", CellKind.TEXT, "The same; heavy dress only.", "7", width=11),
        Column("Straps no.", "straps_no", CellKind.TEXT, "The same; heavy dress only.", "7", width=10),
        Column("Size", "size", CellKind.TEXT, "As marked.", "L", default="fits anyone", width=8),
        Column(
            "State",
            "state",
            CellKind.CHOICE,
            "Only a ready one is worn.",
            "ready",
            choices=tuple(OutfitState),
            width=14,
        ),
        Column("Inspected on", "inspected_on", CellKind.DATE, "Day of the last one.", date(2027, 3, 1), width=12),
        Column(
            "Inspection due",
            "inspection_due",
            CellKind.DATE,
            "Last day it may be worn.",
            date(2027, 6, 1),
            width=12,
        ),
        Column("Note on the state", "state_note", CellKind.TEXT, "What is wrong with it.", width=20),
        Column("Said by", "state_by", CellKind.TEXT, "Who set the state.", "Ana Reyes", width=14),
        Column("Said on", "state_on", CellKind.DATE, "On which day.", date(2027, 3, 1), width=12),
        Column(
            "Umbilical length",
            "umbilical_length_ft",
            CellKind.WHOLE,
            "Of hose and cable.",
            200,
            measure=LENGTH,
            default="not given",
            width=10,
        ),
        Column("Hose no.", "hose_no", CellKind.TEXT, "Number on the hose.", "H4", width=9),
        Column("Hose tested on", "hose_tested_on", CellKind.DATE, "Pressure test.", date(2026, 9, 2), width=12),
        Column(
            "Hose working pressure",
            "hose_working_psi",
            CellKind.NUMBER,
            "As marked on it.",
            200,
            measure=PRESSURE_KEPT,
            width=10,
        ),
        Column(
            "Hose test pressure",
            "hose_test_psi",
            CellKind.NUMBER,
            "Of the last test.",
            300,
            measure=PRESSURE,
            width=10,
        ),
        Column("Lifeline no.", "lifeline_no", CellKind.TEXT, "Number on the lifeline.", "L4", width=9),
        Column(
            "Lifeline length",
            "lifeline_length_ft",
            CellKind.WHOLE,
            "Of the lifeline.",
            200,
            measure=LENGTH,
            default="as long as the hose",
            width=10,
        ),
        Column(
            "Turnaround",
            "turnaround_min",
            CellKind.WHOLE,
            "From one diver out to the next in.",
            15,
            unit="min",
            width=11,
        ),
    ),
)

AIR = JobSheet(
    name="Air",
    purpose="What holds for the whole air plant. One setting a row: fill in the Value column.",
    row_is="setting",
    model=AirPlant,
    settings=True,
    columns=(
        Column(
            "Gauges tested on",
            "gauges_tested_on",
            CellKind.DATE,
            "Depth gauges against a standard.",
            date(2027, 1, 15),
        ),
        Column(
            "Warmest inlet air",
            "inlet_temp_f",
            CellKind.NUMBER,
            "Warmest air that the compressors will draw in.",
            86,
            measure=AIR_TEMPERATURE,
            default="as the compressors are rated",
        ),
        Column(
            "Flow, heavy dress",
            "heavy_acfm",
            CellKind.NUMBER,
            "Flow planned for a heavy free-flow helmet, at depth. Never under 4.5 acfm: 29 CFR 1910.430(h).",
            6,
            measure=FLOW_AT_DEPTH,
        ),
        Column(
            "Flow, light helmet",
            "light_acfm",
            CellKind.NUMBER,
            "Flow planned for a light helmet, at depth.",
            1.4,
            measure=FLOW_AT_DEPTH,
        ),
        Column(
            "Light helmets are free-flow",
            "light_free_flow",
            CellKind.YES_NO,
            "4.5 acfm is then the least for them too.",
            False,
        ),
    ),
)

_ROLE = Column(
    "Supply", "role", CellKind.CHOICE, "Which supply it feeds.", "primary", choices=tuple(AirRole), width=10
)
_ON_LINE = Column(
    "On line", "on_line", CellKind.YES_NO, "Open to the console; if not, it does not count.", True, width=9
)
_RELIES = Column(
    "Relies on",
    "relies_on",
    CellKind.TEXT,
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
        Column("Compressor", "name", CellKind.NAME, "A short name.", "Compressor 1", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        Column(
            "Delivery", "delivered_scfm", CellKind.NUMBER, "As rated or measured.", 90, measure=FLOW, width=11
        ),
        Column(
            "Discharge",
            "discharge_psi",
            CellKind.NUMBER,
            "Pressure it delivers at.",
            175,
            measure=PRESSURE,
            width=11,
        ),
        Column("Hours run", "hours_run", CellKind.NUMBER, "Meter reading.", 1204.5, unit="h", width=10),
        Column(
            "Service at",
            "service_at_hours",
            CellKind.NUMBER,
            "Meter reading of the next service.",
            1250,
            unit="h",
            width=10,
        ),
        Column("Warm-up", "warm_up_min", CellKind.WHOLE, "Runs before the first dive.", 15, unit="min", width=9),
        Column("Fuel", "fuel_gal_per_hour", CellKind.NUMBER, "At full load.", 2.5, measure=FUEL, width=11),
        Column(
            "Air tested on", "air_tested_on", CellKind.DATE, "Sample at the console.", date(2027, 1, 20), width=12
        ),
        Column(
            "Measured here",
            "measured_here",
            CellKind.YES_NO,
            "Delivery was measured at this site, so it is not derated.",
            False,
            width=10,
        ),
        Column(
            "Rated inlet air",
            "rated_inlet_temp_f",
            CellKind.NUMBER,
            "Temperature of the rating.",
            68,
            measure=AIR_TEMPERATURE,
            width=9,
        ),
        Column(
            "Load factor",
            "load_factor",
            CellKind.NUMBER,
            "Share it may give hour after hour.",
            0.8,
            unit="0 to 1",
            width=9,
        ),
        Column(
            "Fuel unloaded",
            "unloaded_fuel_part",
            CellKind.NUMBER,
            "Share of full-load fuel when idling.",
            0.5,
            unit="0 to 1",
            width=10,
        ),
        Column(
            "Other running", "standby_min", CellKind.WHOLE, "Tests and drills, a day.", 20, unit="min", width=9
        ),
    ),
)

BANKS = JobSheet(
    name="Banks",
    purpose="High-pressure cylinders on one manifold, one bank a row.",
    row_is="bank",
    model=Bank,
    columns=(
        Column("Bank", "name", CellKind.NAME, "A short name.", "Bank A", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        Column("Bottles", "bottles", CellKind.WHOLE, "How many.", 6, unit="number", width=10),
        Column(
            "Floodable volume",
            "floodable_cuft_each",
            CellKind.NUMBER,
            "Of one bottle.",
            1.75,
            measure=VOLUME,
            width=11,
        ),
        Column(
            "Pressure", "pressure_psi", CellKind.NUMBER, "On the gauge now.", 2800, measure=PRESSURE, width=11
        ),
        Column(
            "Working pressure",
            "working_pressure_psi",
            CellKind.NUMBER,
            "As stamped on the bottles.",
            3000,
            measure=PRESSURE,
            width=11,
        ),
        Column(
            "Regulator least",
            "regulator_min_psi",
            CellKind.NUMBER,
            "Over the manifold, for the regulator to work.",
            220,
            measure=PRESSURE_KEPT,
            width=11,
        ),
        Column(
            "Recharge",
            "recharge_scfm",
            CellKind.NUMBER,
            "Flow of the compressor that charges it.",
            0,
            measure=FLOW,
            width=11,
        ),
        Column("Recharged by", "recharged_by", CellKind.TEXT, "Which one that is.", "HP compressor", width=18),
    ),
)

TANKS = JobSheet(
    name="Volume tanks",
    purpose="Receivers between the compressors and the air console, one a row.",
    row_is="volume tank",
    model=VolumeTank,
    columns=(
        Column("Tank", "name", CellKind.NAME, "A short name.", "Receiver 1", width=20),
        _ROLE,
        _ON_LINE,
        _RELIES,
        Column("Volume", "volume_cuft", CellKind.NUMBER, "Of the tank.", 30, measure=VOLUME, width=11),
        Column("Pressure", "pressure_psi", CellKind.NUMBER, "It is kept at.", 175, measure=PRESSURE, width=11),
        Column(
            "Least pressure",
            "least_psi",
            CellKind.NUMBER,
            "Over the manifold pressure, stays in the tank.",
            0,
            measure=PRESSURE_KEPT,
            width=11,
        ),
        Column(
            "Working pressure",
            "working_pressure_psi",
            CellKind.NUMBER,
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
        Column("Step", "id", CellKind.NAME, "A short name, used once.", "helmet-lock", width=18),
        Column(
            "Kind", "gear", CellKind.CHOICE, "Kind of diving dress.", "heavy dress", choices=tuple(Gear), width=14
        ),
        Column("List", "list", CellKind.CHOICE, "Which list.", "dressing", choices=tuple(BenchList), width=12),
        Column("Order", "order", CellKind.WHOLE, "Place in the list.", 10, unit="number", width=9),
        Column("Who", "who", CellKind.CHOICE, "Whose hands.", "both tenders", choices=tuple(BenchHand), width=14),
        Column("Time", "minutes", CellKind.NUMBER, "How long it takes.", 1.5, unit="min", width=8),
        Column("What to do", "do", CellKind.TEXT, "In one sentence.", "Turn the helmet home.", width=34),
        Column("Good when", "good", CellKind.TEXT, "What shows that it is right.", width=24),
        Column("When not", "when_not", CellKind.TEXT, "What to do when it is not.", width=24),
        Column("Side by side", "side_by_side", CellKind.TEXT, "Same mark: done at once.", "a", width=9),
        Column(
            "Signed by", "signed_by", CellKind.TEXT, "Duty that signs the hold point.", "supervisor", width=14
        ),
        Column("Basis", "basis", CellKind.TEXT, "Where it comes from.", "common practice", width=20),
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
        Column("Duty", "duty", CellKind.NAME, "Built-in or your own.", "tender", refers="duties", width=20),
        Column("Number", "count", CellKind.WHOLE, "How many people.", 2, unit="people", width=10),
        Column(
            "For each diver",
            "per_diver",
            CellKind.YES_NO,
            "For each diver in the water; no: for the station.",
            True,
            width=9,
        ),
        Column(
            "Only in",
            "gear",
            CellKind.CHOICE,
            "Only in this kind of dress.",
            "heavy dress",
            choices=tuple(Gear),
            default="any",
            width=12,
        ),
        Column(
            "Only deeper than",
            "deeper_than_fsw",
            CellKind.WHOLE,
            "Only for deeper dives than this.",
            100,
            measure=DEPTH_TRIGGER,
            default="any depth",
            width=10,
        ),
        Column(
            "Only outside no-stop",
            "decompression",
            CellKind.YES_NO,
            "Only outside the no-stop limits.",
            False,
            width=11,
        ),
        Column("Only enclosed", "enclosed_space", CellKind.YES_NO, "Only in enclosed spaces.", False, width=10),
        Column(
            "Source", "source", CellKind.TEXT, "Regulation, or: common practice.", "common practice", width=50
        ),
        Column("Changed by", "changed_by", CellKind.TEXT, "Who changed the row.", "Ana Reyes", width=16),
        Column("Changed at", "changed_at", CellKind.MOMENT, "When.", "2027-03-15T19:40", width=17),
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
        Column("Duty", "duty", CellKind.NAME, "One of the two.", "air console", refers="duties", width=24),
        Column(
            "With duty", "with_duty", CellKind.NAME, "The other one.", "log keeper", refers="duties", width=24
        ),
        Column("Source", "source", CellKind.TEXT, "Where it comes from.", "common practice", width=34),
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
        return Column(
            limit.label,
            limit.field,
            CellKind.TEXT,
            f"{limit.sentence} Its rows stand on the sheet Crew minima.",
            default,
            choices=tuple(PRESETS),
            source=limit.source,
        )
    return Column(
        limit.label,
        limit.field,
        CellKind.WHOLE,
        limit.sentence,
        default,
        unit="" if measure else limit.unit,
        measure=measure,
        source=limit.source,
    )


def _weight_row(limit: Limit, priority: int) -> Column:
    weight = CrewRules().priority_weights[priority - 1]
    return Column(
        f"Weight of priority {priority}",
        weight_field(priority),
        CellKind.WHOLE,
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
