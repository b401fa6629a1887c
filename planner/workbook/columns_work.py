"""What has to be done: the sheets Dive work, Surface work, Windows, Order and Not together."""

from __future__ import annotations

from datetime import date

from planner.job.base import Span
from planner.job.pins import Pin, PinKind
from planner.job.words import Gear
from planner.job.work import After, DiveItem, Item, SurfaceItem
from planner.workbook.columns import Column, Kind, Sheet
from planner.workbook.columns_site import span_columns
from planner.workbook.measures import DEPTH, FLOW_NEEDED, REACH

_PRIORITY = Column(
    "Priority", "priority", Kind.WHOLE, "1 the most pressing, 5 the least.", 2, unit="1 to 5", width=9
)
_STATION = Column(
    "Station",
    "station",
    Kind.NAME,
    "The only station it can be worked from.",
    "Port side",
    refers="stations",
    default="any station",
    width=16,
)


def _item(title: str, help_line: str, example: str) -> Column:
    return Column(title, "item", Kind.NAME, help_line, example, refers="items", required=True, width=34)


DIVE_WORK = Sheet(
    name="Dive work",
    purpose="Work under water, one item a row. Minutes of work count from reach bottom to leave bottom.",
    row_is="dive item",
    model=DiveItem,
    columns=(
        Column(
            "Item", "name", Kind.NAME, "A short name, used on every sheet.", "Anodes, pile row 3", width=30
        ),
        _PRIORITY,
        Column(
            "Depth", "depth_fsw", Kind.WHOLE, "Depth of the work at its deepest.", 46, measure=DEPTH, width=8
        ),
        Column(
            "Work on the bottom",
            "bottom_work_min",
            Kind.WHOLE,
            "Working minutes on the bottom that it needs in all.",
            90,
            unit="min",
            width=10,
        ),
        Column("Divers", "divers", Kind.WHOLE, "Divers who work together.", 1, unit="at a time", width=9),
        Column("Splittable", "splittable", Kind.YES_NO, "May be spread over several dives.", True, width=10),
        Column(
            "Least useful work",
            "least_useful_min",
            Kind.WHOLE,
            "Shorter dives are no use for it.",
            20,
            unit="min",
            width=10,
        ),
        Column(
            "Same diver",
            "same_diver",
            Kind.YES_NO,
            "The same diver is preferred on all its dives.",
            False,
            width=8,
        ),
        Column(
            "Dress",
            "gear",
            Kind.CHOICE,
            "Kind of diving dress.",
            "heavy dress",
            choices=tuple(Gear),
            width=14,
        ),
        Column(
            "Certificates",
            "certificates",
            Kind.NAMES,
            "What every diver of it must hold.",
            "underwater welding",
            refers="certificates",
            default="none",
            width=24,
        ),
        Column(
            "Enclosed space", "enclosed_space", Kind.YES_NO, "A diver stands at the entry.", False, width=10
        ),
        Column(
            "Arduous or cold", "arduous_or_cold", Kind.YES_NO, "Hard work or cold water.", False, width=10
        ),
        Column("Needs slack", "needs_slack", Kind.YES_NO, "Only in the water windows.", False, width=8),
        Column(
            "Follows the tide",
            "depth_follows_tide",
            Kind.YES_NO,
            "Depth is charted; the tide is added.",
            False,
            width=9,
        ),
        Column("In the dark", "in_the_dark", Kind.YES_NO, "May be dived after sunset.", False, width=8),
        Column(
            "Tool air",
            "tool_air_scfm",
            Kind.NUMBER,
            "Air for tools from the plant.",
            0,
            measure=FLOW_NEEDED,
            width=9,
        ),
        Column("Reach", "reach_ft", Kind.WHOLE, "Distance from the station.", 60, measure=REACH, width=8),
        _STATION,
    ),
)

SURFACE_WORK = Sheet(
    name="Surface work",
    purpose="Work above water, one item a row, done in one go by a crew that stays for all of it.",
    row_is="surface item",
    model=SurfaceItem,
    columns=(
        Column(
            "Item", "name", Kind.NAME, "A short name, used on every sheet.", "Land the bell frame", width=34
        ),
        _PRIORITY,
        Column("Duration", "duration_min", Kind.WHOLE, "From start to end.", 60, unit="min", width=10),
        Column(
            "Crew",
            "crew",
            Kind.CREW,
            "Duty and how many of it; any duty name of your own.",
            "rigger 2; crane operator 1",
            required=False,
            default="nobody",
            width=44,
        ),
        _STATION,
    ),
)

WINDOWS = Sheet(
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

ORDER = Sheet(
    name="Order",
    purpose="An item that starts only when another is completely done, one pair a row.",
    row_is="pair in order",
    model=After,
    columns=(
        _item("Item", "The one that comes later.", "Land the bell frame"),
        Column(
            "After",
            "after",
            Kind.NAME,
            "The one that must be done first.",
            "Anodes, pile row 3",
            refers="items",
            required=True,
            width=34,
        ),
        Column("Lag", "lag_min", Kind.WHOLE, "At least this long in between.", 30, unit="min", width=10),
    ),
)

NOT_TOGETHER = Sheet(
    name="Not together",
    purpose="Two items that are never worked at the same time, one pair a row.",
    row_is="pair that is kept apart",
    model=Item,
    columns=(
        _item("Item", "One of the two.", "Anodes, pile row 3"),
        Column(
            "Not together with",
            "other",
            Kind.NAME,
            "The other one.",
            "Land the bell frame",
            refers="items",
            required=True,
            width=34,
        ),
    ),
)

PINS = Sheet(
    name="Pins",
    purpose="What is settled already and every plan must keep, one thing a row. 'starts' needs an item and a "
    "time; 'dives' an item and a person, station, time or bottom time; 'stays up' a person; 'holds' a "
    "person, a duty and an item; 'away' a person, a start and an end.",
    row_is="settled thing",
    model=Pin,
    columns=(
        Column("What", "kind", Kind.CHOICE, "What is settled.", "dives", choices=tuple(PinKind), width=10),
        Column(
            "Item",
            "item",
            Kind.NAME,
            "A dive or surface item.",
            "Anodes, pile row 3",
            refers="items",
            width=26,
        ),
        Column(
            "Person", "person", Kind.NAME, "From the sheet People.", "Ana Reyes", refers="people", width=20
        ),
        Column("Duty", "duty", Kind.NAME, "For 'holds'.", "supervisor", refers="duties", width=16),
        Column("Station", "station", Kind.NAME, "For 'dives'.", "Port side", refers="stations", width=14),
        Column(
            "Day",
            "day",
            Kind.DATE,
            "Day of the time.",
            date(2027, 3, 16),
            required=False,
            default="the job's first day",
            width=12,
        ),
        Column(
            "From",
            "from",
            Kind.CLOCK,
            "Leave surface, or start.",
            "09:00",
            required=False,
            default="any",
            width=9,
        ),
        Column(
            "Until",
            "until",
            Kind.CLOCK,
            "Latest, taken in.",
            "09:30",
            required=False,
            default="the same minute",
            width=9,
        ),
        Column(
            "Until day",
            "until_day",
            Kind.DATE,
            "Where it is another.",
            None,
            required=False,
            default="the same day",
            width=12,
        ),
        Column("Bottom time", "bottom_time_min", Kind.WHOLE, "For 'dives'.", 45, unit="min", width=9),
        Column("Note", "note", Kind.TEXT, "Why, and by whom.", "asked by the client", width=20),
    ),
)
