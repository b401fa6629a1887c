"""The job as the scheduler sees it: slots for dives, who may do what, and when. No solver in here.

Everything that can be decided before the search is decided here, with the same functions that the
independent check uses (tables, daylight, qualification), so that model and check agree.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cache, cached_property

from planner.check.rest import rest_limits, rest_windows_asked, short_rests
from planner.day import AfterDive, dived_on, water_ascent_min
from planner.job import DiveItem, Job, Person, PinKind, Span, SurfaceItem
from planner.job.duties import BUILT_IN_DUTIES, DIVER, STANDBY_TENDER, duty_qualifies
from planner.job.standing import StandingItem
from planner.schedule.problem.air_limits import AirLimits, air_limits
from planner.schedule.problem.chamber_gas import ChamberGas, chamber_gas
from planner.table_sets import TableSet
from planner.tables import ExposureOptions, Mode

Group = str | None

#: Past this many possible dives or people a job is refused with a sentence (measured: docs/scheduler.md).
MAX_DIVE_SLOTS = 1000
MAX_PEOPLE = 300

#: A model has about as many constraints as the square of the possible dives times the people and so many more
#: (measured: docs/scheduler.md); past so many it takes gigabytes and says nothing in a minute.
CONSTRAINTS_AS_PEOPLE = 30
MOST_CONSTRAINTS = 2_000_000

#: Longest wait that the surface interval table knows is below two days; used as "not today".
NEVER_MIN = 100_000


@dataclass(frozen=True)
class Placement:
    """A station and a stretch of time in which a dive of an item may be in the water."""

    station: str
    span: Span
    with_stops: bool = True
    """Whether a dive outside the no-stop limits may be made there (``heavy-stage-and-hose``)."""


@dataclass(frozen=True)
class DutyNeed:
    """People a dive needs in one duty.

    ``held``: "bench" from dressing to undressed, "watch" as a station duty, "chamber" from leave surface
    until the hour by the chamber is over. ``count_deco`` holds for dives outside the no-stop limits.
    """

    duty: str
    count: int
    count_deco: int
    held: str

    def people_needed(self, deco: bool) -> int:
        return self.count_deco if deco else self.count


@dataclass(frozen=True)
class DiveWork:
    """One dive item, made ready for the search."""

    item: DiveItem
    weight: int
    slots: int
    options: ExposureOptions
    modes: tuple[Mode, ...]
    descent_min: int
    dressing_min: int
    undressing_min: int
    least_work_min: int
    placements: tuple[Placement, ...]
    seats: tuple[str, ...]
    """Duty of each person in the water: divers, then divers at the entry."""
    margin_min: int
    """Minutes in hand wanted on each of its dives."""
    standbys: int
    hands: int
    """Standby's tenders asked for while the standby divers dress; 0 where the job asks for none."""
    standby_tenders: int
    """Standby's tenders on watch."""
    posts: tuple[DutyNeed, ...]
    divers: tuple[str, ...]
    """People who may take a seat."""
    standby_people: tuple[str, ...]
    unfit_dates: dict[str, frozenset[int]]
    """Divers and standby people → calendar days of the job on which they are not fit for the item."""
    chamber_watch_always: bool
    """Deeper than the trigger: the hour by the chamber follows whatever the way up."""
    standby_wait_min: dict[Group, int]
    """Minutes after surfacing in a group until the person may stand by for this item."""
    outfits: frozenset[str]
    """Outfits whose bailout bottle is enough, whichever of the ways up it is; all where none is asked for."""
    longest_bottom_min: int = NEVER_MIN
    """Longest bottom time by gear, water and item."""
    longest_in_dress_min: int = NEVER_MIN
    """Longest time from the start of dressing until undressed."""
    deep_stations: frozenset[str] | None = None
    """Stations with the stage and spare hose that its depth asks for; None where that asks for none."""
    one_of_several: bool = False
    """Whether the item has more kinds of dive than are offered, or a hose test that runs out within."""
    more_pieces: bool = False
    """Whether the item might be split into more dives than are offered."""
    shut_out_by_bottle: bool = False
    """Whether an outfit is left out whose bailout bottle is enough for one of the ways up."""
    shut_out_by_hose: bool = False
    """Whether a way up is left out for air, judged by the longest hose of several."""

    @property
    def beyond_what_is_offered(self) -> bool:
        """Whether the check may accept a dive of the item at another depth or by another way up."""
        return self.one_of_several or self.shut_out_by_bottle or self.shut_out_by_hose

    @property
    def bottom_max_min(self) -> int:
        """Longest bottom time of one dive, by tables and by what a diver may be asked for."""
        by_table = max((m.bottom_time_max_min for m in self.modes), default=0)
        return max(0, min(by_table, self.longest_bottom_min, self.water_max_min - self.ascent_least_min))

    @property
    def water_max_min(self) -> int:
        """Longest time from leaving to reaching the surface that leaves time for dressing and undressing."""
        return max(0, self.longest_in_dress_min - self.dressing_min - self.undressing_min)

    @cached_property
    def ascent_least_min(self) -> int:
        """Shortest way up to the surface of any mode."""
        return min((water_ascent_min((m.schedule,)) for m in self.modes), default=0)

    @property
    def work_max_min(self) -> int:
        """Longest working time of one dive."""
        return max(0, min(self.bottom_max_min - self.descent_min, self.item.bottom_work_min))


@dataclass(frozen=True)
class TaskWork:
    """One surface item, made ready for the search."""

    item: SurfaceItem
    weight: int
    spans: tuple[Span, ...]
    crew: tuple[tuple[str, int], ...]

    @property
    def standing(self) -> StandingItem | None:
        """The block of the day that it is; None for an item of the job."""
        return self.item if isinstance(self.item, StandingItem) else None


@dataclass(frozen=True)
class ShareTakers:
    """Whoever may have a dive of the job, and whoever may stand by for one, in the job's order."""

    dives: tuple[str, ...] = ()
    standing_by: tuple[str, ...] = ()


@dataclass(frozen=True)
class Problem:
    """All that the model, the first plan and the naming need."""

    job: Job
    dives: tuple[DiveWork, ...]
    tasks: tuple[TaskWork, ...]
    window: Span
    """From the start of the first day's work to the end of the last day's."""
    hours: dict[str, tuple[Span, ...]]
    """When each person may hold a duty (site hours, own hours, rest since the last duty)."""
    support_duties: tuple[str, ...]
    brought_in: dict[str, AfterDive] = field(default_factory=dict)
    """Person → what all dives before the job left; only those who have any."""
    watch_until: dict[str, int] = field(default_factory=dict)
    """Person → end of a watch by the chamber from before the job: no diving or standing by until then."""
    dive_from: dict[str, int] = field(default_factory=dict)
    """Person → first minute of leaving the surface after a night duty before the job."""
    certified_until: dict[tuple[str, str], int] = field(default_factory=dict)
    """(person, duty) → until when the certificates of the duty are valid; only those who run out of one."""
    share_takers: ShareTakers = ShareTakers()
    """Between whom the turns are shared."""
    without_air: bool = False
    """The models leave the air plant out, and the check alone judges it: nothing is shut out for air."""
    named_before: frozenset[str] = frozenset()
    """People whom a plan in force names, so that they are not exchangeable."""

    @cached_property
    def days(self) -> tuple[Span, ...]:
        """The working days; one may run past midnight."""
        return self.job.day_windows

    def day_of(self, minute: int) -> int:
        """Index of the working day that a minute belongs to."""
        return max(0, bisect_right(self._day_starts, minute) - 1)

    @cached_property
    def _day_starts(self) -> tuple[int, ...]:
        return tuple(d.start_min for d in self.days)

    @cached_property
    def hours_known(self) -> dict[tuple[object, ...], bool]:
        """What `planner.schedule.problem.duty_hours.hours_hold` has found."""
        return {}

    @cached_property
    def midnights(self) -> tuple[int, ...]:
        """Start of every calendar day that the job touches."""
        clock, out = self.job.clock, [0]
        while (following := clock.day_start(len(out))) < self.window.end_min:
            out.append(following)
        return tuple(out)

    def date_of(self, minute: int) -> int:
        """Index of the calendar day of a minute; 0 is the job's first day."""
        return max(0, bisect_right(self.midnights, minute) - 1)

    def dived_before(self, person: str, date_index: int) -> tuple[int, int]:
        """Dives and bottom minutes that a person has from before the job on one of its calendar days."""
        return self._dived_before[person] if date_index == 0 else (0, 0)

    @cached_property
    def _dived_before(self) -> dict[str, tuple[int, int]]:
        return {p.name: dived_on(self.job, p.name, self.job.site.first_day) for p in self.people}

    @cached_property
    def by_item(self) -> dict[str, tuple[int, ...]]:
        """Dive item → its places in `dives`; several where its depth follows the tide (deepest first) or
        more are in dress on a dive with stops."""
        out: dict[str, tuple[int, ...]] = {}
        for k, work in enumerate(self.dives):
            out[work.item.name] = (*out.get(work.item.name, ()), k)
        return out

    def work_of(self, item: str) -> DiveWork:
        """What speaks for a dive item: of several depths the one with the longest dive."""
        works = [self.dives[k] for k in self.by_item[item]]
        return max(works, key=lambda w: (w.slots > 0, w.work_max_min))

    @cached_property
    def past_a_model(self) -> bool:
        """Whether the job is planned by orders of its items alone, since no model of it would be of use."""
        slots = sum(work.slots for work in self.dives)
        return slots**2 * (len(self.people) + CONSTRAINTS_AS_PEOPLE) > MOST_CONSTRAINTS

    @cached_property
    def items_under(self) -> tuple[DiveWork, ...]:
        """One for each dive item; see `work_of`."""
        return tuple(self.work_of(name) for name in self.by_item)

    @property
    def works(self) -> tuple[DiveWork | TaskWork, ...]:
        """One for each item of the job, dive items first."""
        return (*self.items_under, *(t for t in self.tasks if t.standing is None))

    @cached_property
    def standing(self) -> tuple[tuple[int, StandingItem], ...]:
        """Blocks of the days, each with its place in `tasks`."""
        return tuple((k, t.standing) for k, t in enumerate(self.tasks) if t.standing is not None)

    @cached_property
    def air(self) -> AirLimits:
        """What the air plant allows."""
        return air_limits(self.job, [(d.item, d.modes) for d in self.dives])

    @cached_property
    def briefings(self) -> dict[str, tuple[int, ...]]:
        """Person → minutes of briefing before each of his `hours`."""
        return {
            p.name: tuple(self.job.briefing_min(p, s.end_min - 1) for s in self.hours[p.name])
            for p in self.people
        }

    @cached_property
    def _briefings_of_day(self) -> dict[tuple[str, int], list[int]]:
        out: dict[tuple[str, int], list[int]] = {}
        for name, spans in self.hours.items():
            for span, minutes in zip(spans, self.briefings[name], strict=True):
                out.setdefault((name, self.day_of(span.start_min)), []).append(minutes)
        return out

    def briefed_at(self, person: str, day: int) -> int | None:
        """Where a pin has the first briefing of a person's working day."""
        window = self.days[day]
        first = next((s for s in self.hours[person] if self.day_of(s.start_min) == day), None)
        at = None if first is None else self.job.briefed_at_min(self.job.person(person), first.start_min)
        return at if at is not None and window.start_min <= at else None

    def briefing_of_day(self, person: str, day: int) -> int:
        """Minutes of briefing before his first duty of a working day; of several stretches the longest."""
        return max(self._briefings_of_day.get((person, day), [0]))

    def comes_min(self, person: str, day: int) -> int:
        """When somebody is first on site on a working day, rested or not; its end where he is not."""
        window = self.days[day]
        own = (s.start_min for s in self.job.on_site[person])
        return min((at for at in own if window.start_min <= at < window.end_min), default=window.end_min)

    def earliest_call_min(self, day: int) -> int:
        """First minute at which the one briefing of a working day may begin: somebody is there, rested."""
        spans = ((n, s.start_min) for n, own in self.hours.items() for s in own)
        starts = [at - self.briefing_of_day(n, day) for n, at in spans if self.day_of(at) == day]
        return min(starts, default=self.days[day].end_min)

    @cached_property
    def all_called(self) -> bool:
        """Whether everybody's day begins with the crew's one briefing, whenever it is."""
        job = self.job
        return len(job.one_briefing_days) == len(self.days) and all(
            self.comes_min(name, day) <= self.earliest_call_min(day) and not self.several_stretches(name, day)
            for name, spans in self.hours.items()
            for day in {self.day_of(s.start_min) for s in spans}
        )

    @cached_property
    def least_briefing_min(self) -> int:
        """Minutes of briefing that everybody has at least on each of his working days."""
        return min((min(minutes) for minutes in self._briefings_of_day.values()), default=0)

    def several_stretches(self, person: str, day: int) -> bool:
        """Whether somebody comes on site more than once on a working day."""
        return len(self._briefings_of_day.get((person, day), [])) > 1

    @cached_property
    def _briefings_exact(self) -> bool:
        """Whether the models place every briefing as the check has it: not one in the night where time off
        follows, nor one of who comes twice a day where a meal or an earlier briefing counts."""
        rules, own = self.job.rules, self._briefings_of_day.values()
        twice = [minutes for minutes in own if len(minutes) > 1]
        meal = bool(rules.meal_break_min) and any(any(minutes) for minutes in twice)
        mixed = any(len(set(minutes)) > 1 for minutes in twice)
        pinned = any(pin.kind is PinKind.BRIEFED for pin in self.job.pins)
        called = bool(self.job.one_briefing_days)
        return not (
            meal
            or mixed
            or ((pinned or called) and twice)
            or (rules.briefing_min and rules.rest_after_night_min)
        )

    @cached_property
    def _rest_exact(self) -> bool:
        """Whether nobody's rest hangs on a gap between two of his duties on site.

        The check takes a long one as rest, the models take a working day from first duty to last as work. It
        is the same where somebody who works all of his hours still has the rest.
        """
        limits = rest_limits(self.job.rules)
        for person in self.people if rest_windows_asked(self.job) else ():
            days: dict[int, tuple[int, int]] = {}
            for span in self.hours[person.name]:
                day = self.day_of(span.start_min)
                days[day] = days.get(day, (span.start_min, 0))[0], span.end_min
            work = sorted(days.values())
            past = [(s.start_min, s.end_min) for s in person.past_work]
            if work and short_rests([*past, *work], limits, since_min=work[0][0]):
                return False
        return True

    @cached_property
    def as_wide_as_the_check(self) -> bool:
        """Whether every plan that the check accepts lies in the model, so that its bounds are proofs.

        Not so where the air plant is counted on the safe side or the longest hose of several shuts a way up
        out, where a bailout bottle is enough for some ways up only, where an item has more kinds of dive than
        are offered, where a duty may change hands in mid-dive,
        where an item might be split into more dives than are offered, where of several standby divers of
        a dive some might stay dressed for the next, where whoever dresses the standby diver may hold another
        duty the while, where a briefing is held on the safe side, or where rest between two duties on site
        might be asked for.
        """
        rules = self.job.rules
        relieved = bool(rules.hand_over_min or rules.hand_over_lead_min)
        dressed = any(w.standbys > 1 or self.paired_with_hands(w) for w in self.dives)
        plant = self.without_air or self.air.exact
        offered = not any(w.beyond_what_is_offered or w.more_pieces for w in self.dives)
        exact = self._briefings_exact and self._rest_exact
        return plant and not relieved and not dressed and offered and exact

    def paired_with_hands(self, work: DiveWork) -> frozenset[str]:
        """Duties of a dive that somebody may hold while he dresses or undresses its standby diver: he is his
        tender then, so the job's pairs say which. The model that names everyone gives every hand to somebody
        with no other, so that it proves nothing there."""
        rules, tend = self.job.rules, self.qualified[STANDBY_TENDER]
        return frozenset(
            post.duty
            for post in work.posts
            if work.hands
            and (post.count or post.count_deco)
            and rules.may_combine(STANDBY_TENDER, post.duty)
            and tend & self.qualified.get(post.duty, frozenset())
        )

    @cached_property
    def chamber_gas(self) -> ChamberGas | None:
        """What decompressions in the chamber may take; None where there are none or nothing is counted."""
        return chamber_gas(self.job.air, [m.schedule.chamber_periods for d in self.dives for m in d.modes])

    @cached_property
    def people(self) -> tuple[Person, ...]:
        return self.job.people

    @cached_property
    def qualified(self) -> dict[str, frozenset[str]]:
        """Duty → people who may hold it, are on site at all and have its certificates at some time."""
        every = {*BUILT_IN_DUTIES, *self.support_duties}
        return {
            duty: frozenset(
                p.name
                for p in self.people
                if duty_qualifies(p.duties, duty)
                and self.hours[p.name]
                and self.certified(p.name, duty, self.window.start_min + 1)
            )
            for duty in every
        }

    def certified(self, person: str, duty: str, end_min: int) -> bool:
        """Whether a person's certificates for a duty are valid until that job minute."""
        return self.certified_until.get((person, duty), end_min) >= end_min

    @cached_property
    def alike(self) -> tuple[tuple[str, ...], ...]:
        """Groups of two or more divers who differ in nothing but their name."""
        groups: dict[str, list[str]] = {}
        pinned = {*self.named_before, *(pin.person for pin in self.job.pins)}
        for p in self.people:
            if p.name not in pinned and duty_qualifies(p.duties, DIVER) and self.hours[p.name]:
                groups.setdefault(repr(p.replace(name="x", pay_class="")), []).append(p.name)
        return tuple(tuple(g) for g in groups.values() if len(g) > 1)

    def earliest_with_group(self, person: str, group: Group) -> int:
        """First minute at which the person's own history leaves ``group`` or lower."""
        known = self.brought_in.get(person)
        return (
            self.window.start_min
            if known is None
            else known.ended_min + wait_minutes(known.tables, known.group, group)
        )


@cache
def wait_minutes(tables: TableSet, after: Group, wanted: Group) -> int:
    """Surface interval, minutes, from group ``after`` to ``wanted`` or less; at least a new dive's."""
    if after is None:
        # No group printed for the dive: the tables say nothing until the diver is clean.
        return tables.clean_without_group_min
    return max(tables.same_dive_under_min, tables.minutes_to_group(after, wanted))


def away(problem: Problem, person: str) -> list[tuple[int, int]]:
    """Stretches of the day in which a person may hold no duty."""
    out, at = [], problem.window.start_min
    for span in problem.hours[person]:
        if span.start_min > at:
            out.append((at, span.start_min))
        at = max(at, span.end_min)
    if at < problem.window.end_min:
        out.append((at, problem.window.end_min))
    return out
