"""What the sheets of a watchbill are written from, and what they say about its plan, worked out once: crews,
days, stand-bys, groups. No layout in here.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from functools import cached_property

from planner.air import AirReport
from planner.charts.palette import DutyStyle
from planner.check import Finding
from planner.day import descent_min, on_duty_min
from planner.day.divers import AfterDive, Hindrance, allowed_exposure, at_leave, brought_in
from planner.job import Job
from planner.job.duties import BRIEFING, STANDBY
from planner.plan.model import Dive, DutySpell, Plan
from planner.sheets.layout import PrintedBook
from planner.tables import options_for, standby_minutes_left, standby_options
from planner.whatif.slack import Slack, slack_told
from planner.whatif.spread import Spread
from planner.words.measures import NO_LIMIT
from planner.words.schedule import group_after_words, group_words


@dataclass(frozen=True)
class Bill:
    """A watchbill in the making."""

    plan: Plan
    job: Job
    """A plan that the check has cleared, and its job."""
    air: AirReport
    air_findings: tuple[Finding, ...]
    """Its air, worked out, and what breaks the air rules."""
    styles: dict[str, DutyStyle]
    """Letters and colours of the duties."""
    printed: PrintedBook
    """The workbook with its paper and heads."""
    opened_from: str = ""
    """Where the job came from; blank where that is not known."""
    spread: Spread | None = None
    """How days go otherwise, for the chance that the plan gets done; what ships where None."""
    card: Mapping[str, str] = field(default_factory=dict)
    """The emergency card, line by line, as far as it is filled."""
    estimates: bool = True
    """Whether the slack of the dives and the day's chance are worked out."""

    @cached_property
    def dives(self) -> tuple[Dive, ...]:
        """The dives by the time of leaving the surface."""
        return dives_in_order(self.plan)

    @cached_property
    def spare(self) -> Slack | None:
        """The slack of every dive, worked out once for all sheets; None where it would take too
        long, or is not asked for."""
        return slack_told(self.job, self.plan) if self.estimates else None


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


def dives_in_order(plan: Plan) -> tuple[Dive, ...]:
    """The dives by the time of leaving the surface."""
    return tuple(sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.station, d.id)))


def key_times(
    duties: Iterable[DutySpell], dives: Iterable[Dive], names: tuple[str, str, str, str]
) -> list[tuple[str, int]]:
    """First call, first diver down, last diver up, last hand free, in job minutes, as they are called there;
    those that there are."""
    spells, wet = list(duties), list(dives)
    times = [(names[0], min(s.start_min for s in spells))] if spells else []
    if wet:
        times.append((names[1], min(d.leave_surface_min for d in wet)))
        times.append((names[2], max(d.reach_surface_min for d in wet)))
    return times + ([(names[3], max(s.end_min for s in spells))] if spells else [])


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


def nitrogen_at(plan: Plan, job: Job, person: str, minute: int) -> Nitrogen:
    """A person's repetitive group at a moment, from the plan's dives and those made before the job."""
    ended = [
        AfterDive(job.tables, dive.out_min, diver.group_after)
        for dive in plan.dives
        for diver in dive.divers
        if diver.person == person
    ]
    ended += [after for name, after in brought_in(job).items() if name == person]
    last = max((d for d in ended if d.ended_min <= minute), key=lambda d: d.ended_min, default=None)
    if last is None or minute >= last.clean_at_min:
        return Nitrogen()
    now = at_leave(last, minute)
    group = now.group
    if now.hindrance is Hindrance.SAME_DIVE and last.group is not None:
        group = last.tables.group_after_interval(last.group, last.tables.same_dive_under_min)
    return Nitrogen(group, known=group is not None, clean_min=last.clean_at_min)


def _standby_left_min(plan: Plan, job: Job, dive: Dive, person: str) -> int | None:
    """Minutes that a standby has at the dive's depth when the diver leaves the surface; None: no limit.

    Counted as the job's crew rules say: without stops, or as its policy allows. 0 where no group is known.
    """
    nitrogen = nitrogen_at(plan, job, person, dive.leave_surface_min)
    if not nitrogen.known:
        return 0
    options = standby_options(job, job.dive_item(dive.item))
    return standby_minutes_left(dive.depth_fsw, nitrogen.group, options)


def standby_left(plan: Plan, job: Job, dive: Dive, person: str) -> str:
    """Minutes that a standby has at the dive's depth when the diver leaves the surface, for print."""
    left = _standby_left_min(plan, job, dive, person)
    return NO_LIMIT if left is None else f"{left} min" if left else "none"


def standby_sent_min(job: Job, dive: Dive) -> tuple[int, int]:
    """Minutes from the word go until a standby diver leaves the surface, and from there to the diver: down
    at the job's rate, then along the bottom at its pace, each rounded up."""
    rules, reach_ft = job.rules, job.dive_item(dive.item).reach_ft
    along = math.ceil(reach_ft / rules.along_bottom_ft_per_min)
    return rules.standby_send_min, descent_min(dive.depth_fsw, rules) + along


def standby_reach(plan: Plan, job: Job, dive: Dive) -> str:
    """How soon a dive's standby is at the diver, and what he has there: ``reaches him in 4 min, 92 min left
    there (15 asked)``."""
    ready, way = standby_sent_min(job, dive)
    names = _standby_outfits(plan, dive)
    parts = []
    for name in names:
        left = _standby_left_min(plan, job, dive, name)
        there = NO_LIMIT if left is None else f"{left - way} min left" if left > way else "no minute left"
        who = f"{name} " if len(names) > 1 else ""
        parts.append(f"{who}reaches him in {ready + way} min, {there} there")
    asked = f" ({job.rules.standby_no_stop_min} asked)"
    return "; ".join(parts) + asked if parts else ""


def _standby_outfits(plan: Plan, dive: Dive) -> dict[str, str | None]:
    """Who stands by for a dive, each with his outfit."""
    outfits: dict[str, str | None] = {}
    for spell in crew_of(plan, dive).get(STANDBY, ()):
        outfits.setdefault(spell.person, spell.outfit)
    return outfits


def standbys(plan: Plan, job: Job, dive: Dive) -> str:
    """The standby of a dive with his minutes left and outfit: ``Ruy Pinto: 48 min left, in L2``."""
    parts = []
    for name, outfit in _standby_outfits(plan, dive).items():
        worn = f", in {outfit}" if outfit else ""
        left = standby_left(plan, job, dive, name)
        parts.append(f"{name}: {left}{worn}" if left == NO_LIMIT else f"{name}: {left} left{worn}")
    return "; ".join(parts) or "–"


def posted_day(plan: Plan, job: Job, person: str, day: int) -> PostedDay | None:
    """One person's day; None when the plan gives him nothing to do on it."""
    spells = tuple(s for s in plan.duties_of(person) if job.working_day_of(s.start_min) == day)
    if not spells:
        return None
    end = max(s.end_min for s in spells)
    by_duty: dict[str, int] = {}
    for spell in spells:
        by_duty[spell.duty] = by_duty.get(spell.duty, 0) + spell.end_min - spell.start_min
    bottom = sum(
        dive.bottom_time_min
        for dive in plan.dives
        if job.working_day_of(dive.leave_surface_min) == day and any(d.person == person for d in dive.divers)
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


@dataclass(frozen=True)
class DeckWork:
    """A briefing, a standing block or a task on deck, with its people and the duty of each."""

    start_min: int
    end_min: int
    what: str
    people: tuple[tuple[str, str], ...]


def on_deck(plan: Plan) -> tuple[DeckWork, ...]:
    """Briefings, standing work and tasks on deck by the clock; those briefed together stand in one."""
    found: dict[tuple[int, int, str], list[tuple[str, str]]] = {
        (task.start_min, task.end_min, task.item): [
            (s.person, s.duty) for s in plan.duties if s.dive is None and s.item == task.item
        ]
        for task in plan.surface_tasks
    }
    for spell in plan.duties:
        if spell.duty == BRIEFING:
            found.setdefault((spell.start_min, spell.end_min, BRIEFING), []).append((spell.person, BRIEFING))
    return tuple(DeckWork(*key, tuple(people)) for key, people in sorted(found.items()))


def bottom_may_last_min(job: Job, dive: Dive) -> int | None:
    """Bottom time to which a dive may last by the tables' rows it is planned on, and by the job's limits.

    None where neither sets an end. For every diver of it the row, or the no-stop limit, with his residual
    nitrogen and the job's margin to the table off it.
    """
    item = job.dive_item(dive.item)
    options, ends = options_for(job, item), [job.longest_bottom_min(item)]
    for diver in dive.divers:
        found = allowed_exposure(dive.depth_fsw, dive.bottom_time_min, diver.group_before, options)
        if found is not None and not found.schedule.unlimited:
            ends.append(dive.bottom_time_min + found.row_left_min)
    return min((end for end in ends if end is not None), default=None)


def length(minutes: int) -> timedelta:
    """A number of minutes as a length of time, as a spreadsheet keeps it."""
    return timedelta(minutes=minutes)
