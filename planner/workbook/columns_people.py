"""Who there is: the sheets People, On site, Certificates, Past dives and Hours worked."""

from __future__ import annotations

from datetime import date

from planner.job.people import Certificate, PastDive, Person, WorkSpell
from planner.workbook.columns import Column, Kind, Sheet
from planner.workbook.columns_site import span_columns
from planner.workbook.measures import DEPTH

#: The letters of table 9-7 of the U.S. Navy Diving Manual, Revision 7: A to O, and Z.
GROUP_LETTERS = tuple("ABCDEFGHIJKLMNOZ")

_PERSON = Column(
    "Person",
    "person",
    Kind.NAME,
    "A name from the sheet People.",
    "Ana Reyes",
    refers="people",
    required=True,
    width=24,
)

PEOPLE = Sheet(
    name="People",
    purpose="Everyone who can be posted. A diver may stand by and stand at an entry too; a tender may tend "
    "the standby diver.",
    row_is="person",
    model=Person,
    required=True,
    columns=(
        Column("Name", "name", Kind.NAME, "As it should stand on the watchbill.", "Ana Reyes", width=24),
        Column(
            "Duties",
            "duties",
            Kind.NAMES,
            "Every duty that the person may hold.",
            "diver; tender",
            refers="duties",
            width=44,
        ),
        Column(
            "Depth rating",
            "depth_rating_fsw",
            Kind.WHOLE,
            "Deepest dive this person may make.",
            100,
            measure=DEPTH,
            default="0: does not dive",
            width=12,
        ),
        Column(
            "Medical valid until",
            "medical_expires",
            Kind.DATE,
            "Last day of the diving medical.",
            date(2027, 11, 30),
            width=13,
        ),
        Column(
            "Last duty ended, day",
            "last_duty_day",
            Kind.DATE,
            "Day on which the last duty before this job ended.",
            date(2027, 3, 15),
            required=False,
            default="the day before the job",
            width=13,
        ),
        Column(
            "Last duty ended, time",
            "last_duty_time",
            Kind.CLOCK,
            "Time of that; blank when long ago.",
            "18:30",
            required=False,
            width=11,
        ),
        Column(
            "Standby so far",
            "past_standby_min",
            Kind.WHOLE,
            "Minutes stood by earlier in the job, for fair shares.",
            0,
            unit="min",
            width=11,
        ),
        Column("Pay class", "pay_class", Kind.TEXT, "As your pay rules call it.", "D1", width=11),
        Column("Outfit size", "outfit_size", Kind.TEXT, "As marked on the outfits.", "L", width=10),
    ),
)

ON_SITE = Sheet(
    name="On site",
    purpose="Hours for which a person is there, one stretch a row. Who has no row here is there all day.",
    row_is="stretch of one person's hours",
    model=Person,
    columns=(_PERSON, *span_columns("the stretch", ("07:00", "13:00"))),
)

CERTIFICATES = Sheet(
    name="Certificates",
    purpose="Certificates that items ask for, one a row.",
    row_is="certificate of one person",
    model=Certificate,
    columns=(
        _PERSON,
        Column(
            "Certificate",
            "name",
            Kind.NAME,
            "The same words as on the sheet Dive work.",
            "underwater welding",
            width=30,
        ),
        Column(
            "Valid until",
            "expires",
            Kind.DATE,
            "Last valid day.",
            date(2028, 6, 30),
            default="does not expire",
        ),
    ),
)

PAST_DIVES = Sheet(
    name="Past dives",
    purpose="Dives before this job that may still leave nitrogen in the diver. Enter every dive for which "
    "the surface interval table has not yet cleared the diver.",
    row_is="dive already made",
    model=PastDive,
    columns=(
        _PERSON,
        Column("Depth", "depth_fsw", Kind.WHOLE, "Greatest depth of the dive.", 48, measure=DEPTH, width=11),
        Column(
            "Bottom time",
            "bottom_time_min",
            Kind.WHOLE,
            "Leave surface to leave bottom, rounded up.",
            55,
            unit="min",
            width=11,
        ),
        Column(
            "Day",
            "day",
            Kind.DATE,
            "Day on which the diver reached the surface.",
            date(2027, 3, 15),
            required=True,
            width=12,
        ),
        Column(
            "Reached surface",
            "from",
            Kind.CLOCK,
            "Time of reaching the surface.",
            "16:10",
            required=True,
            width=11,
        ),
        Column(
            "Group",
            "group_after",
            Kind.CHOICE,
            "Repetitive group from the dive log.",
            "G",
            choices=GROUP_LETTERS,
            default="worked out from the tables",
            width=14,
        ),
    ),
)

HOURS_WORKED = Sheet(
    name="Hours worked",
    purpose="Stretches of work before this job, for the rest rules, one a row.",
    row_is="stretch of work already done",
    model=WorkSpell,
    columns=(_PERSON, *span_columns("the work", ("07:00", "18:30"))),
)
