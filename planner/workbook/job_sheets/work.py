"""What is done and when: dive and surface items, windows, order, gates, pins."""

from __future__ import annotations

from planner.job.base import Span
from planner.job.gear import Gear
from planner.job.pins import Pin, PinKind
from planner.job.units import DEPTH, FLOW_NEEDED, REACH
from planner.job.work import After, DiveItem, Gate, Item, SurfaceItem
from planner.workbook.columns import (
    Column,
    JobSheet,
    choice,
    clock,
    crew,
    length,
    minutes,
    name,
    names,
    number,
    span_columns,
    start_day,
    text,
    until_day,
    whole,
    yes_no,
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
    path="dive_items",
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
        minutes(
            "Longest bottom time",
            "longest_bottom_min",
            "Of one dive.",
            150,
            default="as the sheet Rules says",
            width=10,
        ),
        minutes(
            "Longest in dress",
            "longest_in_dress_min",
            "Dressing starts to undressed.",
            210,
            default="as the sheet Rules says",
            width=10,
        ),
        number("Tool air", "tool_air_scfm", "Air for tools from the plant.", 0, measure=FLOW_NEEDED, width=9),
        whole("Reach", "reach_ft", "Distance from the station.", 60, measure=REACH, width=8),
        minutes(
            "Minutes in hand",
            "margin_wanted_min",
            "Wanted before the limit or the row of each dive ends.",
            10,
            default="as on the sheet Rules",
            width=9,
        ),
        _STATION,
    ),
)

SURFACE_WORK = JobSheet(
    name="Surface work",
    purpose="Work above water, one item a row, done in one go by a crew that stays for all of it.",
    row_is="surface item",
    model=SurfaceItem,
    path="surface_items",
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
    path="items.windows",
    owner="item",
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
    path="items.after",
    owner="item",
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
    path="items.not_together_with",
    owner="item",
    columns=(
        _item("Item", "item", "One of the two.", "Anodes, pile row 3"),
        _item("Not together with", "other", "The other one.", "Land the bell frame"),
    ),
)

GATES = JobSheet(
    name="Gates",
    purpose="Isolations, permits and hazards that gate work: intake stopped and tagged out, propeller "
    "locked, crane held, hot work permit, differential pressure, current under its limit. Items are worked "
    "only while all of theirs are held. Several rows of one gate are several stretches, or holders. A row "
    "without times is confirmed by hand before the dive.",
    row_is="isolation, permit or hazard, held by one person over one stretch",
    model=Gate,
    path="gates",
    columns=(
        name("What is held", "what", "In a few words.", "Intake 2 stopped and tagged out", width=30),
        names(
            "Items",
            "items",
            "Dive and surface items that wait for it.",
            "Anodes, pile row 3",
            refers="items",
            required=True,
            width=30,
        ),
        text("Held by", "held_by", "Who holds the key, the tag or the permit; anybody.", "J. Weir", width=20),
        start_day("Day from which it is held."),
        clock("From", "from", "Local time.", "08:00", required=False, default="to be confirmed", width=10),
        clock("Until", "until", "Local time.", "15:30", required=False, default="to be confirmed", width=10),
        until_day(),
        length(
            "Distance to the hazard",
            "hazard_distance_ft",
            "From the station; the item's hoses are shorter. Leave blank where the isolation alone protects.",
            150,
            default="hoses are not limited",
            width=12,
        ),
        text("Note", "note", "Number of the tag or permit, and the like.", "tag 114", width=20),
    ),
)

PINS = JobSheet(
    name="Pins",
    purpose="What is settled already and every plan must keep, one thing a row. 'starts' needs an item and a "
    "time; 'dives' an item and a person, station, time or bottom time; 'stays up' a person; 'holds' a "
    "person, a duty and an item; 'away' a person, a start and an end; 'briefed' a time, and a person where "
    "it is not for everybody on site then. The day's standing work (Setting up, Inspecting and connecting, "
    "Compressors warming up, Striking, Cleaning and stowing) starts, and is held, like an item.",
    row_is="settled thing",
    model=Pin,
    path="pins",
    columns=(
        choice("What", "kind", "What is settled.", "dives", choices=tuple(PinKind), width=10),
        name(
            "Item",
            "item",
            "A dive or surface item, or a block of standing work.",
            "Anodes, pile row 3",
            refers="items",
            width=26,
        ),
        name("Person", "person", "From the sheet People.", "Ana Reyes", refers="people", width=20),
        name("Duty", "duty", "For 'holds'.", "supervisor", refers="duties", width=16),
        name("Station", "station", "For 'dives'.", "Port side", refers="stations", width=14),
        start_day("Day of the time."),
        clock("From", "from", "Leave surface, or start.", "09:00", required=False, default="any", width=9),
        clock(
            "Until", "until", "Latest, taken in.", "09:30", required=False, default="the same minute", width=9
        ),
        until_day(),
        minutes("Bottom time", "bottom_time_min", "For 'dives'.", 45, width=9),
        text("Note", "note", "Why, and by whom.", "asked by the client", width=20),
    ),
)
