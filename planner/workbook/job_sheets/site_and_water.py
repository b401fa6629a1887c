"""The place: the site and its day, the stations, slack water and the tide."""

from __future__ import annotations

from datetime import date

from planner.job.site import DepthGauge, Policy, Site, Station, TideMark, Water, WaterWindow
from planner.job.units import ALTITUDE, TIDE_LEVEL, WATER_TEMPERATURE, UnitSystem
from planner.table_sets import DEFAULT_ID
from planner.workbook.columns import (
    JobSheet,
    choice,
    clock,
    day,
    length,
    minutes,
    name,
    names,
    number,
    span_columns,
    start_day,
    text,
    whole,
    yes_no,
)

HIGH_LOW = ("high", "low")


SITE = JobSheet(
    name="Site",
    purpose="The place, the day and the ways up that are allowed. One setting a row: fill in the "
    "Value column.",
    row_is="setting",
    model=Site,
    path="site",
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
        clock(
            "Done by is early enough",
            "early_enough",
            "A finish before this time of the last day is no better than one at it.",
            "16:00",
            default="earlier is always better",
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
        text(
            "Tables",
            "table_set",
            "Id of the set of decompression tables that the job is planned by.",
            DEFAULT_ID,
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
    path="stations",
    required=True,
    columns=(
        name("Station", "name", "A short name, used on every sheet.", "Port side", width=24),
        yes_no(
            "In-water stage",
            "in_water_stage",
            "Takes divers down. Asked for in heavy dress, deep or with stops, like the spare hose.",
            False,
            width=11,
        ),
        length(
            "Spare hose",
            "spare_hose_length_ft",
            "Spare breathing-gas hose for the standby diver.",
            300,
            default="none",
        ),
        text("Spare hose no.", "spare_hose_no", "Number on it.", "H9", width=10),
        day("Spare hose tested on", "spare_hose_tested_on", "Pressure test.", date(2026, 9, 2), width=13),
    ),
)

WATER_WINDOWS = JobSheet(
    name="Water windows",
    purpose="Stretches of slack water. Items marked 'needs slack' are dived in these only, and in the slack "
    "that the sheets Site and Tide give.",
    row_is="stretch of slack water",
    model=WaterWindow,
    path="water_windows",
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
    path="tide_marks",
    columns=(
        start_day("Day of the high or low water."),
        clock("Time", "from", "Local time.", "09:22", required=True, width=10),
        number("Level", "level_ft", "Height over chart datum.", 11.5, measure=TIDE_LEVEL, width=14),
        choice("High or low", "high", "Which of the two.", True, choices=HIGH_LOW, width=12),
    ),
)
