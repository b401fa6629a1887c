"""Who there is."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from planner.job.base import JobMinute, Name, Part, Span
from planner.job.bounds import DEEPEST_SHORT_FSW, LONGEST_BOTTOM_MIN
from planner.job.units import Measured


class Certificate(Part):
    name: Name
    expires: date | None = None


class PastDive(Measured):
    """A dive made before the job's first minute that may still leave residual nitrogen."""

    depth_fsw: Annotated[int, Field(ge=1, le=DEEPEST_SHORT_FSW)]
    bottom_time_min: Annotated[int, Field(ge=1, le=LONGEST_BOTTOM_MIN)]
    surfaced_min: JobMinute
    """When the diver reached the surface, job minutes (negative: before the first midnight)."""
    group_after: Annotated[str, Field(pattern="^[A-Z]$")] | None = None
    """The repetitive group from the log where it is known, one of the job's set of tables; else
    computed from it."""


class WorkSpell(Span):
    """Hours worked before the job (for rest rules)."""


class Person(Measured):
    """One member of the team."""

    name: Name
    duties: frozenset[Name]
    depth_rating_fsw: Annotated[int, Field(ge=0, le=DEEPEST_SHORT_FSW)] = 0
    """Deepest dive this person may make; 0 for one who does not dive."""
    certificates: tuple[Certificate, ...] = ()
    medical_expires: date | None = None
    available: tuple[Span, ...] = ()
    """When on site; empty means the whole of each day window."""
    last_duty_end_min: JobMinute | None = None
    arrived_min: JobMinute | None = None
    """When this person came up to the site's altitude; None: so long before that the body is used to it."""
    briefed_until_min: JobMinute | None = None
    """He has been briefed for any stretch on site that begins before then (the rest of a running day)."""
    past_dives: tuple[PastDive, ...] = ()
    past_work: tuple[WorkSpell, ...] = ()
    past_standby_min: Annotated[int, Field(ge=0)] = 0
    """Standby minutes earlier in the job, counted for fair shares."""
    pay_class: str = ""
    outfit_size: str = ""
