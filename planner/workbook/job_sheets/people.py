"""Who there is: people, their hours, certificates, past dives and past work."""

from __future__ import annotations

from datetime import date
from string import ascii_uppercase

from planner.job.base import Span
from planner.job.people import Certificate, PastDive, Person, WorkSpell
from planner.job.units import DEPTH
from planner.workbook.columns import (
    JobSheet,
    choice,
    clock,
    day,
    minutes,
    name,
    names,
    span_columns,
    text,
    whole,
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
    path="people",
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
    model=Span,
    path="people.available",
    owner="person",
    columns=(_PERSON, *span_columns("the stretch", ("07:00", "13:00"))),
)

CERTIFICATES = JobSheet(
    name="Certificates",
    purpose="Certificates that items or duties ask for, one a row.",
    row_is="certificate of one person",
    model=Certificate,
    path="people.certificates",
    owner="person",
    columns=(
        _PERSON,
        name(
            "Certificate",
            "name",
            "The same words as on the sheet Dive work.",
            "underwater welding",
            refers="certificates",
            width=30,
        ),
        day("Valid until", "expires", "Last valid day.", date(2028, 6, 30), default="does not expire"),
    ),
)

PAST_DIVES = JobSheet(
    name="Past dives",
    purpose="Dives before this job that may still leave nitrogen in the diver. Enter every dive for which "
    "the surface interval table has not yet cleared the diver. A dive made by other tables than the job's is "
    "entered once the diver is clean by those, or not at all: groups of two sets do not compare.",
    row_is="dive already made",
    model=PastDive,
    path="people.past_dives",
    owner="person",
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
            "Repetitive group from the dive log, one of the job's tables.",
            "G",
            choices=tuple(ascii_uppercase),
            default="worked out from the tables",
        ),
    ),
)

HOURS_WORKED = JobSheet(
    name="Hours worked",
    purpose="Stretches of work before this job, for the rest rules, one a row.",
    row_is="stretch of work already done",
    model=WorkSpell,
    path="people.past_work",
    owner="person",
    columns=(_PERSON, *span_columns("the work", ("07:00", "18:30"))),
)
