"""Where and when: the sheets Site, Stations, Water windows and Tide."""

from __future__ import annotations

from datetime import date

from planner.job.site import Site, Station, TideMark, WaterWindow
from planner.job.words import Policy, UnitSystem, Water
from planner.workbook.columns import Column, Kind, Sheet
from planner.workbook.measures import ALTITUDE, TIDE_LEVEL, WATER_TEMPERATURE

HIGH_LOW = ("high", "low")


def span_columns(what: str, example: tuple[str, str]) -> tuple[Column, ...]:
    """The four columns of a stretch of time: day, from, until, and the day it ends where that is another."""
    return (
        Column(
            "Day",
            "day",
            Kind.DATE,
            f"Day on which {what} starts.",
            date(2027, 3, 16),
            required=False,
            default="the job's first day",
            width=16,
        ),
        Column("From", "from", Kind.CLOCK, "Local time.", example[0], required=True, width=10),
        Column(
            "Until",
            "until",
            Kind.CLOCK,
            "Local time; 24:00: end of the day.",
            example[1],
            required=True,
            width=12,
        ),
        Column(
            "Until day",
            "until_day",
            Kind.DATE,
            "Only where it ends on another day.",
            None,
            required=False,
            default="the same day",
            width=16,
        ),
    )


SITE = Sheet(
    name="Site",
    purpose="The place, the day and the ways up that are allowed. One setting a row: fill in the "
    "Value column.",
    row_is="setting",
    model=Site,
    settings=True,
    required=True,
    columns=(
        Column(
            "Job name", "name", Kind.NAME, "What the job is called on every sheet.", "North quay, week 11"
        ),
        Column("First day", "first_day", Kind.DATE, "The day to plan.", date(2027, 3, 16)),
        Column("Days", "days", Kind.WHOLE, "How many days in a row, up to 7.", 1),
        Column("Day starts", "day_start", Kind.CLOCK, "Nobody starts earlier.", "07:00"),
        Column(
            "Day ends",
            "day_end",
            Kind.CLOCK,
            "Everybody is free by then. A time before the start means the next morning.",
            "19:00",
        ),
        Column(
            "Time zone",
            "time_zone",
            Kind.TEXT,
            "Name of the zone in the IANA time zone database.",
            "Europe/Lisbon",
        ),
        Column(
            "Latitude",
            "latitude_deg",
            Kind.NUMBER,
            "North is positive. Needed for sunrise and sunset.",
            38.5,
            unit="degrees",
        ),
        Column(
            "Longitude",
            "longitude_deg",
            Kind.NUMBER,
            "East is positive, west negative.",
            -9.4,
            unit="degrees",
        ),
        Column(
            "Altitude", "altitude_ft", Kind.WHOLE, "Height of the water above the sea.", 0, measure=ALTITUDE
        ),
        Column("Water", "water", Kind.CHOICE, "Salt or fresh.", "salt", choices=tuple(Water)),
        Column(
            "Water temperature",
            "water_temp_f",
            Kind.NUMBER,
            "On the bottom, where known.",
            54,
            measure=WATER_TEMPERATURE,
        ),
        Column(
            "Dive by daylight only",
            "daylight_only",
            Kind.YES_NO,
            "People are in the water between sunrise and sunset only.",
            True,
        ),
        Column(
            "Slack after high and low water",
            "slack_offset_min",
            Kind.WHOLE,
            "Middle of the slack after each time on the sheet Tide; negative: before it.",
            0,
            unit="min",
        ),
        Column(
            "Length of the slack",
            "slack_length_min",
            Kind.WHOLE,
            "How long it lasts around each; 0: slack stands on the sheet Water windows alone.",
            0,
            unit="min",
        ),
        Column(
            "Stations at once",
            "stations_at_once",
            Kind.WHOLE,
            "How many stations may have people in the water at the same time.",
            2,
        ),
        Column(
            "Way to the chamber",
            "chamber_minutes_away",
            Kind.WHOLE,
            "0: a chamber at the dive location.",
            0,
            unit="min",
            default="no chamber in reach",
        ),
        Column(
            "Places in the chamber",
            "chamber_places",
            Kind.WHOLE,
            "How many dives' divers may decompress in it at once.",
            1,
        ),
        Column(
            "Ways up",
            "policy",
            Kind.CHOICE,
            "Which dives may be planned.",
            "no-stop only",
            choices=tuple(Policy),
        ),
        Column(
            "Longest in-water stops",
            "in_water_stop_max_min",
            Kind.WHOLE,
            "All stops of one dive together, where in-water stops are allowed.",
            0,
            unit="min",
        ),
        Column(
            "Oxygen in the water",
            "oxygen_in_water",
            Kind.YES_NO,
            "Stops may be taken on oxygen.",
            False,
        ),
        Column(
            "Margin to the table",
            "margin_min",
            Kind.WHOLE,
            "Plan to the table's limit less this many minutes.",
            0,
            unit="min",
        ),
        Column(
            "Next longer row",
            "next_longer_row",
            Kind.YES_NO,
            "For cold or arduous work, enter the next longer row of the tables (common practice).",
            False,
        ),
        Column(
            "Gauge correction",
            "pneumofathometer_correction",
            Kind.YES_NO,
            "Depths are read by pneumofathometer and get the manual's correction.",
            False,
        ),
        Column(
            "Units",
            "units",
            Kind.CHOICE,
            "Units of this workbook. To change them, write a new workbook in the other units.",
            "fsw, psi, cu ft",
            choices=tuple(UnitSystem),
        ),
    ),
)

STATIONS = Sheet(
    name="Stations",
    purpose="The dive stations: one crew's place each, with at most one dive in the water at a time.",
    row_is="station",
    model=Station,
    required=True,
    columns=(
        Column("Station", "name", Kind.NAME, "A short name, used on every sheet.", "Port side", width=24),
    ),
)

WATER_WINDOWS = Sheet(
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
            Kind.NAMES,
            "Stations that it holds for.",
            "Port side; Starboard side",
            refers="stations",
            default="all stations",
            width=28,
        ),
        Column("Label", "label", Kind.NAME, "What the watchbill calls it.", "high slack", width=18),
    ),
)

TIDE = Sheet(
    name="Tide",
    purpose="High and low waters from your tide table, in turn. They give the curve beside the watchbill, "
    "the depth of items that follow the tide, and slack water where the sheet Site gives its length.",
    row_is="high or low water",
    model=TideMark,
    columns=(
        Column(
            "Day",
            "day",
            Kind.DATE,
            "Day of the high or low water.",
            date(2027, 3, 16),
            required=False,
            default="the job's first day",
            width=12,
        ),
        Column("Time", "from", Kind.CLOCK, "Local time.", "09:22", required=True, width=10),
        Column(
            "Level", "level_ft", Kind.NUMBER, "Height over chart datum.", 11.5, measure=TIDE_LEVEL, width=14
        ),
        Column("High or low", "high", Kind.CHOICE, "Which of the two.", True, choices=HIGH_LOW, width=12),
    ),
)
