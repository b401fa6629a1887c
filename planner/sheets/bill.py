"""What the sheets of a watchbill are written from, and what they say about its plan, worked out once: crews,
days, stand-bys, groups. No layout in here.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta

from planner.air import AirReport
from planner.charts.palette import DutyStyle
from planner.check import Finding
from planner.day import on_duty_min
from planner.day.divers import AfterDive, Hindrance, at_leave, brought_in
from planner.job import Job
from planner.job.duties import STANDBY
from planner.plan.model import Dive, DutySpell, Plan
from planner.sheets.layout import PrintedBook
from planner.tables import standby_minutes_left, standby_options
from planner.words.measures import NO_LIMIT
from planner.words.schedule import group_after_words, group_words


@dataclass(frozen=True)
class Bill:
    """A watchbill in the making.

    Parameters
    ----------
    plan, job
        A plan that the check has cleared, and its job.
    air, air_findings
        Its air, worked out, and what breaks the air rules.
    styles
        Letters and colours of the duties.
    printed
        The workbook with its paper and heads.
    """

    plan: Plan
    job: Job
    air: AirReport
    air_findings: tuple[Finding, ...]
    styles: dict[str, DutyStyle]
    printed: PrintedBook


@dataclass(frozen=True)
class Nitrogen:
    """A person's repetitive group at a moment; None for one who is clean, or whose group is not known.

    ``known`` is False after a dive for which the table prints no group, until clean.
    """

    group: str | None = None
    known: bool = True
    clean_min: int | None = None
    """Job minute from which the person is clean when no dive follows; None for one who is clean."""

    @property
    def word(self) -> str:
        """For print: a letter, ``clean``, or ``none printed``."""
        return group_words(self.group) if self.known else group_after_words(None)


@dataclass(frozen=True)
class PostedDay:
    """One person's part in one day of the plan. Times in job minutes, lengths in minutes."""

    person: str
    day: int
    spells: tuple[DutySpell, ...]
    call_min: int
    end_min: int
    on_duty_min: int
    """Minutes with at least one duty; two duties held at once count once."""
    by_duty: tuple[tuple[str, int], ...]
    bottom_min: int
    """Bottom time of the day's dives."""
    at_end: Nitrogen

    @property
    def span_min(self) -> int:
        """From call to end."""
        return self.end_min - self.call_min


def dives_in_order(plan: Plan) -> tuple[Dive, ...]:
    """The dives by the time of leaving the surface."""
    return tuple(sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.station, d.id)))


def crew_of(plan: Plan, dive: Dive) -> dict[str, tuple[DutySpell, ...]]:
    """The people of a dive by duty, in the order in which they take the duty."""
    crew: dict[str, list[DutySpell]] = defaultdict(list)
    for spell in sorted(plan.duties, key=lambda s: (s.start_min, s.person)):
        if spell.dive == dive.id:
            crew[spell.duty].append(spell)
    return {duty: tuple(spells) for duty, spells in crew.items()}


def people_in(crew: dict[str, tuple[DutySpell, ...]], duty: str) -> str:
    """Names in a duty, joined for print; a dash for nobody."""
    names = dict.fromkeys(spell.person for spell in crew.get(duty, ()))
    return ", ".join(names) or "–"


def day_of(job: Job, minute: int) -> int:
    """Index of the day window that a minute belongs to: the last one that has begun (0 before the first)."""
    begun = [i for i, window in enumerate(job.day_windows) if window.start_min <= minute]
    return begun[-1] if begun else 0


def nitrogen_at(plan: Plan, job: Job, person: str, minute: int) -> Nitrogen:
    """A person's repetitive group at a moment, from the plan's dives and those made before the job."""
    ended = [
        AfterDive(dive.out_min, diver.group_after)
        for dive in plan.dives
        for diver in dive.divers
        if diver.person == person
    ]
    ended += [after for name, after in brought_in(job).items() if name == person]
    last = max((d for d in ended if d.ended_min <= minute), key=lambda d: d.ended_min, default=None)
    if last is None or minute >= last.clean_at_min:
        return Nitrogen()
    now = at_leave(last, minute)
    group = last.group if now.hindrance is Hindrance.SAME_DIVE else now.group
    return Nitrogen(group, known=group is not None, clean_min=last.clean_at_min)


def standby_left(plan: Plan, job: Job, dive: Dive, person: str) -> str:
    """Minutes that a standby has at the dive's depth when the diver leaves the surface, for print.

    Counted as the job's crew rules say: without stops, or as its policy allows.
    """
    nitrogen = nitrogen_at(plan, job, person, dive.leave_surface_min)
    if not nitrogen.known:
        return "none"
    item = job.dive_item(dive.item)
    left = standby_minutes_left(dive.depth_fsw, nitrogen.group, standby_options(job, item))
    return NO_LIMIT if left is None else f"{left} min"


def standbys(plan: Plan, job: Job, dive: Dive) -> str:
    """The standby of a dive with his minutes left and outfit: ``Ruy Pinto: 48 min left, in L2``."""
    outfits: dict[str, str | None] = {}
    for spell in crew_of(plan, dive).get(STANDBY, ()):
        outfits.setdefault(spell.person, spell.outfit)
    parts = []
    for name, outfit in outfits.items():
        worn = f", in {outfit}" if outfit else ""
        left = standby_left(plan, job, dive, name)
        parts.append(f"{name}: {left}{worn}" if left == NO_LIMIT else f"{name}: {left} left{worn}")
    return "; ".join(parts) or "–"


def posted_day(plan: Plan, job: Job, person: str, day: int) -> PostedDay | None:
    """One person's day; None when the plan gives him nothing to do on it."""
    spells = tuple(s for s in plan.duties_of(person) if day_of(job, s.start_min) == day)
    if not spells:
        return None
    end = max(s.end_min for s in spells)
    by_duty: dict[str, int] = {}
    for spell in spells:
        by_duty[spell.duty] = by_duty.get(spell.duty, 0) + spell.end_min - spell.start_min
    bottom = sum(
        dive.bottom_time_min
        for dive in plan.dives
        if day_of(job, dive.leave_surface_min) == day and any(d.person == person for d in dive.divers)
    )
    return PostedDay(
        person=person,
        day=day,
        spells=spells,
        call_min=min(s.start_min for s in spells),
        end_min=end,
        on_duty_min=on_duty_min(spells),
        by_duty=tuple(by_duty.items()),
        bottom_min=bottom,
        at_end=nitrogen_at(plan, job, person, end),
    )


def length(minutes: int) -> timedelta:
    """A number of minutes as a length of time, as a spreadsheet keeps it."""
    return timedelta(minutes=minutes)
