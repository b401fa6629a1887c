"""What holds a plan's pieces together: who and what goes from piece to piece. Worked out once a plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from planner.day import (
    AfterDive,
    DiveTimes,
    HeldFromTo,
    Moment,
    bench_starts,
    brought_in,
    comes_dressed_from,
    dressing_of,
    held_from_to,
    keeps_pin,
    times_of,
)
from planner.job import DiveItem, Item, Job, Span, SurfaceItem
from planner.job.daylight import daylight
from planner.job.duties import DRESSED_DUTIES, STANDBY, WATCH_DUTIES, WATER_DUTIES
from planner.job.pins import Pin, PinKind
from planner.job.tide import effective_water_windows
from planner.plan.model import Dive, DutySpell, Plan, SurfaceTask
from planner.tables import ExposureOptions, options_for, standby_options
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.schedule import NO_STOP


@dataclass(frozen=True)
class TiedDuty:
    """A duty of a piece: who, and from which moment of it to which.

    ``dressed_from`` is the dive from which a standby diver goes on in dress; None where he dresses for it.
    """

    spell: DutySpell
    hangs: HeldFromTo
    dressed_from: str | None = None

    @cached_property
    def watch(self) -> bool:
        """Whether it is one of the duties by the water that are relieved."""
        return self.spell.dive is not None and self.spell.duty in WATCH_DUTIES


@dataclass(frozen=True)
class Link:
    """A piece begins (at a moment and an offset) only when something of an earlier piece is over."""

    piece: int
    end: Moment
    end_offset_min: int
    start: Moment
    start_offset_min: int


@dataclass(frozen=True)
class Piece:
    """A dive or a surface task of the plan with all that ties it down.

    ``links`` come from people and outfits that an earlier piece has. ``leave_within`` and ``bottom_min`` are
    what a pin settles of it; ``unmanned`` says who cannot go and has nobody in his place; ``dressing`` is
    minutes into dress and out of it, of a dive.
    """

    index: int
    dive: Dive | None
    task: SurfaceTask | None
    item: DiveItem | SurfaceItem
    day: int
    held: tuple[TiedDuty, ...]
    links: tuple[Link, ...]
    after: tuple[tuple[str, int], ...]
    not_with: frozenset[str]
    options: ExposureOptions | None
    standby_options: ExposureOptions | None
    leave_within: tuple[int, int] | None = None
    bottom_min: int | None = None
    unmanned: str = ""
    dressing: tuple[int, int] = (0, 0)

    @property
    def start_min(self) -> int:
        if self.dive is not None:
            return self.dive.dress_start_min
        assert self.task is not None
        return self.task.start_min

    @property
    def end_min(self) -> int:
        if self.dive is not None:
            return self.dive.reach_surface_min
        assert self.task is not None
        return self.task.end_min


@dataclass(frozen=True)
class TiedPlan:
    """A plan made ready for many re-timings."""

    plan: Plan
    job: Job
    """What it is of."""
    pieces: tuple[Piece, ...]
    """In the order in which they leave the surface or start."""
    first_start: dict[tuple[str, int], int]
    """Person and day → start of his first duty as planned, the briefing among them: he is called for then,
    whatever happens."""
    brought: dict[str, AfterDive]
    available: dict[str, tuple[Span, ...]]
    light: tuple[Span, ...] | None
    """Daylight; None when it does not matter or cannot be said."""
    slack: tuple[tuple[int, Span, tuple[str, ...]], ...]
    first_days: tuple[int, ...]
    """Ordinal of the calendar day on which each working day begins."""
    _last: dict[tuple[int, int], tuple[int, int, int]] = field(default_factory=dict, compare=False)
    _briefed: dict[tuple[str, int], int] = field(default_factory=dict, compare=False)
    _day: dict[int, int] = field(default_factory=dict, compare=False)
    """What the drawn days have asked for already; it is the same on all of them."""

    @cached_property
    def starts(self) -> dict[str, tuple[int, int] | None]:
        """Item → where a pin lets it start."""
        return {p.item: p.window for p in self.job.pins if p.kind is PinKind.STARTS and p.item is not None}

    @cached_property
    def last_of_item(self) -> dict[str, int]:
        """Item → its last piece."""
        return {name: pieces[-1].index for name, pieces in pieces_by_item(self).items()}

    @cached_property
    def first_day_start(self) -> dict[int, int]:
        """Working day → when the first hand is at work, as planned."""
        found: dict[int, int] = {}
        for piece in self.pieces:
            begins = min((h.spell.start_min for h in piece.held), default=piece.start_min)
            found[piece.day] = min(begins, found.get(piece.day, begins))
        return found

    @cached_property
    def calls(self) -> dict[int, int]:
        """Working day → when the crew is called: as planned, however the day goes."""
        return {
            day: min(s.start_min for s in own)
            for day, window in enumerate(self.job.day_windows)
            if day in self.job.one_briefing_days
            and (own := [s for s in self.plan.duties if window.start_min <= s.start_min < window.end_min])
        }

    @cached_property
    def away(self) -> dict[str, list[tuple[int, int]]]:
        """Person → when a pin has him away."""
        found: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for pin in self.job.pins:
            if pin.kind is PinKind.AWAY and pin.person is not None and pin.window is not None:
                found[pin.person].append(pin.window)
        return dict(found)

    @cached_property
    def briefings(self) -> dict[str, tuple[tuple[int, int, int], ...]]:
        """Person → start, end and minutes of briefing of each stretch on site that begins with one."""
        return {
            p.name: tuple(
                (s.start_min, s.end_min, asked)
                for s in self.job.on_site[p.name]
                if (asked := self.job.briefing_min(p, s.start_min))
            )
            for p in self.job.people
        }

    def briefed_from_min(self, name: str, first_min: int) -> int:
        """Start of a person's briefing before a first duty at a minute."""
        key = name, first_min
        if key not in self._briefed:
            self._briefed[key] = self.job.briefed_from_min(self.job.person(name), first_min, self.calls)
        return self._briefed[key]

    def working_day(self, start_min: int) -> int:
        """Ordinal of the calendar day that a duty counts for which starts then: that on which its working day
        begins, or its own outside of them."""
        if start_min not in self._day:
            days = zip(self.job.day_windows, self.first_days, strict=True)
            inside = (day for window, day in days if window.start_min <= start_min < window.end_min)
            own = self.job.clock.day_of(start_min).toordinal()
            self._day[start_min] = next(inside, None) or own
        return self._day[start_min]

    def last_moment(self, piece: Piece, later_min: int) -> tuple[int, int, int]:
        """Latest reach surface, undressed (or task end) and out of a piece, by the day and everybody's hours,
        where these end so much later."""
        key = piece.index, later_min
        if key not in self._last:
            self._last[key] = self._last_moment(piece, later_min)
        return self._last[key]

    def _last_moment(self, piece: Piece, later_min: int) -> tuple[int, int, int]:
        day_end = self.job.day_windows[piece.day].end_min + later_min
        surface, undressed, out = day_end, day_end, day_end
        for held in piece.held:
            person = held.spell.person
            span = self.first_start[person, piece.day] + self.job.rules.duty_span_max_min
            hours = [
                s.end_min for s in self.available[person] if s.start_min <= held.spell.start_min < s.end_min
            ]
            own = min(span, max(hours, default=day_end) + later_min, day_end) - held.hangs.end_offset_min
            if held.hangs.end is Moment.SURFACE:
                surface = min(surface, own)
            if held.hangs.end in (Moment.UNDRESSED, Moment.FREE):
                undressed = min(undressed, own)
            if held.hangs.end in (Moment.OUT, Moment.FREE):
                out = min(out, own)
        return surface, undressed, out


def tied_plan(plan: Plan, job: Job, unmanned: Mapping[str, str] = MappingProxyType({})) -> TiedPlan:
    """Read a checked plan's order and ties. ``unmanned``: dive → who of it nobody stands in for, in words."""
    work: list[Dive | SurfaceTask] = [*plan.dives, *plan.surface_tasks]
    work.sort(key=lambda w: (_water(w), w.item))
    spells = [_spells(plan, w) for w in work]
    bench, dressed = bench_starts(plan.dives), comes_dressed_from(plan.duties)
    pieces: list[Piece] = []
    pinned = _pinned(plan, job)
    for index, one in enumerate(work):
        dive = one if isinstance(one, Dive) else None
        times = times_of(one, bench[one.id]) if isinstance(one, Dive) else task_times(one)
        held = tuple(
            TiedDuty(spell, _hangs(spell, one, times), dressed[spell].dive if spell in dressed else None)
            for spell in spells[index]
        )
        item = job.item(one.item)
        assert isinstance(item, DiveItem | SurfaceItem)
        pieces.append(
            Piece(
                index=index,
                dive=dive,
                task=None if dive else one,  # type: ignore[arg-type]
                item=item,
                day=job.working_day_of(_water(one)),
                held=held,
                links=tuple(_links(job, pieces, index, held, dive, dressed)),
                after=(*((a.item, a.lag_min) for a in item.after), *_opened(job, plan, item, dive)),
                not_with=frozenset(item.not_together_with)
                | {o.name for o in job.items if item.name in o.not_together_with},
                options=options_for(job, item) if isinstance(item, DiveItem) else None,
                standby_options=standby_options(job, item) if isinstance(item, DiveItem) else None,
                leave_within=pinned[dive.id].window if dive is not None and dive.id in pinned else None,
                bottom_min=pinned[dive.id].bottom_time_min
                if dive is not None and dive.id in pinned
                else None,
                unmanned=unmanned.get(dive.id, "") if dive is not None else "",
                dressing=dressing_of(job, item) if isinstance(item, DiveItem) else (0, 0),
            )
        )
    first: dict[tuple[str, int], int] = {}
    for spell in plan.duties:
        key = (spell.person, job.working_day_of(spell.start_min))
        first[key] = min(spell.start_min, first.get(key, spell.start_min))
    return TiedPlan(
        plan,
        job,
        tuple(pieces),
        first,
        brought_in(job),
        {p.name: job.available(p) for p in job.people},
        daylight(job) if job.site.daylight_only else None,
        tuple(
            (n, Span(start_min=w.start_min, end_min=w.end_min), w.stations)
            for n, w in enumerate(effective_water_windows(job))
        ),
        tuple(job.clock.day_of(w.start_min).toordinal() for w in job.day_windows),
    )


def _pinned(plan: Plan, job: Job) -> dict[str, Pin]:
    """The dive by which each pin of a dive is kept, the first in the plan, with that pin."""
    found: dict[str, Pin] = {}
    for pin in job.pins:
        for dive in plan.dives:
            if pin.kind is PinKind.DIVES and dive.item == pin.item and keeps_pin(dive, pin):
                found.setdefault(dive.id, pin)
                break
    return found


def _opened(job: Job, plan: Plan, item: Item, dive: Dive | None) -> Iterator[tuple[str, int]]:
    """The opening blocks before a dive, each with its dressing between."""
    done = {task.item for task in plan.surface_tasks}
    if dive is None or not isinstance(item, DiveItem):
        return
    for block in job.standing_items:
        today = block.block.opens and block.name in done and block.day == job.working_day_of(_water(dive))
        if today and block.concerns(item, dive.station):
            yield block.name, job.rules.dressing_min(item.gear)


def _water(one: Dive | SurfaceTask) -> int:
    return one.leave_surface_min if isinstance(one, Dive) else one.start_min


def _spells(plan: Plan, one: Dive | SurfaceTask) -> list[DutySpell]:
    if isinstance(one, Dive):
        return [s for s in plan.duties if s.dive == one.id]
    return [s for s in plan.duties if s.dive is None and s.item == one.item]


def task_times(task: SurfaceTask) -> DiveTimes:
    """A surface task by the moments of a dive: it starts at once and ends at once."""
    start, end = task.start_min, task.end_min
    return DiveTimes(start, start, end, end, end, end, start)


def _hangs(spell: DutySpell, one: Dive | SurfaceTask, times: DiveTimes) -> HeldFromTo:
    """The moments of a piece that a duty's start and end move with."""
    if isinstance(one, Dive):
        return held_from_to(spell, times)
    starts, ends = spell.start_min - one.start_min, spell.end_min - one.end_min
    return HeldFromTo(Moment.DRESS, starts, Moment.UNDRESSED, ends)


def _links(
    job: Job,
    pieces: list[Piece],
    index: int,
    held: tuple[TiedDuty, ...],
    dive: Dive | None,
    dressed: Mapping[DutySpell, DutySpell],
) -> list[Link]:
    links: dict[Link, None] = {}
    stays = set(dressed.values())
    for own in held:
        start, offset = own.hangs.start, own.hangs.start_offset_min
        if own.spell in dressed:
            # He waits in dress, however long it takes.
            start, offset = Moment.LEAVE, 0
        for earlier in pieces:
            for other in earlier.held:
                end, end_offset = other.hangs.end, other.hangs.end_offset_min
                free = 0
                if other.spell.duty == STANDBY and dressed.get(own.spell) is not other.spell:
                    # Two turns that touch would be one in dress; and where the dive that he goes on to is not
                    # made, he is undressed first.
                    free = 1 + (_undressing_min(job, earlier) if other.spell in stays else 0)
                    free = max(0, min(free, own.spell.start_min - other.spell.end_min))
                    end_offset += free
                same = other.spell.person == own.spell.person
                if same and other.spell.end_min <= own.spell.start_min:
                    after = start, offset
                    if start is Moment.SURFACE and dive is not None:
                        # A hand at the undressing: what delays him delays the dive.
                        after = Moment.LEAVE, max(0, other.spell.end_min + free - dive.leave_surface_min)
                    links[Link(earlier.index, end, end_offset, *after)] = None
                watch = _watch(job, other, earlier)
                if watch and same and own.spell.duty in DRESSED_DUTIES:
                    in_water = own.spell.duty in WATER_DUTIES and dive is not None
                    begins = dive.leave_surface_min if dive is not None and in_water else own.spell.start_min
                    out = earlier.dive.out_min if earlier.dive is not None else earlier.end_min
                    if out + watch <= begins:
                        at = (Moment.LEAVE, 0) if in_water else (start, offset)
                        links[Link(earlier.index, Moment.OUT, watch, *at)] = None
                if own.spell.outfit is not None and other.spell.outfit == own.spell.outfit:
                    wait = _turnaround(job, other, earlier)
                    until = earlier.dive.undressed_min if wait and earlier.dive else other.spell.end_min
                    if until + wait <= own.spell.start_min:
                        bare = end in (Moment.FREE, Moment.UNDRESSED)
                        worn = (Moment.UNDRESSED, 0) if bare else (end, end_offset)
                        links[Link(earlier.index, worn[0], worn[1] + wait, start, offset)] = None
    return list(links)


def _undressing_min(job: Job, piece: Piece) -> int:
    """Minutes that it takes to undress the standby diver of a piece; 0 of a surface task."""
    return dressing_of(job, piece.item)[1] if isinstance(piece.item, DiveItem) else 0


def _watch(job: Job, held: TiedDuty, piece: Piece) -> int:
    """Minutes that a diver of the piece stays near the chamber after it; 0 when none are asked."""
    dive = piece.dive
    if dive is None or held.spell.duty not in WATER_DUTIES:
        return 0
    outside = any(d.schedule.way_up != NO_STOP for d in dive.divers)
    deep = greatest_depth_fsw(job.site, dive.depth_fsw) > job.rules.chamber_trigger_fsw
    return job.rules.chamber_watch_min if outside or deep else 0


def _turnaround(job: Job, held: TiedDuty, piece: Piece) -> int:
    """Minutes that an outfit needs after a dive before it is worn again."""
    if piece.dive is None or held.hangs.end is not Moment.FREE or held.spell.outfit is None:
        return 0
    return job.outfit(held.spell.outfit).turnaround_min


def pieces_by_item(tied: TiedPlan) -> dict[str, list[Piece]]:
    """The pieces of each item, in order."""
    found: dict[str, list[Piece]] = defaultdict(list)
    for piece in tied.pieces:
        found[piece.item.name].append(piece)
    return found
