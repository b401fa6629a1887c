"""A plan run again under a draw: same order, same crews, everything pushed to the right as far as it must.

Nothing is decided anew, so a thousand days take seconds. A dive that takes longer lasts as long as its work
needs, up to the tables' limit for its divers then, the end of its window, and the end of the day. What does
not fit is left. People and gear go from piece to piece in the plan's order.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from operator import itemgetter

from planner.day import (
    AfterDive,
    AtLeave,
    DiveTimes,
    Moment,
    allowed_exposure,
    at_leave,
    chamber_ascent_min,
    dived_on,
    longest_bottom_min,
    water_ascent_min,
)
from planner.job import DiveItem, Span
from planner.job.base import joined
from planner.job.duties import STANDBY
from planner.job.standing import StandingItem
from planner.job.tide import deepest_fsw
from planner.plan.model import Dive
from planner.tables import standby_minutes_left
from planner.tables.schedule import NO_STOP
from planner.whatif.held import AIR, AirSums, Hours
from planner.whatif.run import Run
from planner.whatif.spread import Draw
from planner.whatif.ties import Piece, TiedPlan, task_times

#: Earlier than any minute of a job.
_LONG_AGO = -(10**9)


@dataclass
class DrawnDay:
    """A plan under one draw."""

    runs: list[Run]
    """Every piece, in the plan's order."""
    done: dict[str, float] = field(default_factory=dict)
    """Item → part of its work that was done, 0 to 1, of what the draw says it takes."""
    causes: dict[str, str] = field(default_factory=dict)
    """Item → why it was not finished."""

    @property
    def end_min(self) -> int:
        return max((r.times.free_min for r in self.runs if r.made), default=0)


class Divers:
    """What the divers of a drawn day carry: nitrogen, bottom minutes, the chamber's places."""

    def __init__(self, tied: TiedPlan) -> None:
        self.job = tied.job
        self.before = dict(tied.brought)
        self.made: dict[str, list[tuple[int, int]]] = defaultdict(list)
        """Dives of the day: leave surface and bottom time."""
        self.chamber_out: list[int] = []

    def take(self, run: Run, dive: Dive) -> None:
        """Remember a dive that was made."""
        times = run.times
        for diver, exposure in zip(dive.divers, run.exposures, strict=True):
            self.before[diver.person] = AfterDive(self.job.tables, times.out_min, exposure.group_after)
            spent = times.leave_bottom_min - times.leave_surface_min
            self.made[diver.person].append((times.leave_surface_min, spent))
        if chamber_ascent_min(e.schedule for e in run.exposures) is not None:
            self.chamber_out.append(times.out_min)

    def states(self, dive: Dive, at: int) -> tuple[AtLeave, ...]:
        """Each diver of a dive that leaves the surface then."""
        return tuple(at_leave(self.before.get(d.person), at) for d in dive.divers)

    def may_leave(self, person: str, state: AtLeave) -> bool:
        """Whether tables and rules let a diver in that state leave the surface."""
        if state.hindrance is not None or state.interval_min is None or person not in self.made:
            return state.hindrance is None
        return state.interval_min >= self.job.rules.least_surface_interval_min

    def minutes_left(self, person: str, at: int) -> int:
        """Bottom minutes that a diver still has on the calendar day of a minute."""
        _, spent = dived_on(self.job, person, self.job.clock.day_of(at), self.made.get(person, ()))
        return max(0, self.job.rules.bottom_minutes_a_day - spent)

    def chamber_free(self, run: Run) -> bool:
        """Whether a place in the chamber is free when this dive surfaces."""
        if chamber_ascent_min(e.schedule for e in run.exposures) is None:
            return True
        return sum(1 for out in self.chamber_out if out > run.up_min) < self.job.site.chamber_places

    def standby_ready(self, piece: Piece, depth: int, at: int) -> bool:
        """Whether every standby diver of the dive could go at once (rule ``standby-able-to-go``).

        The least interval between dives does not bind a standby; only nitrogen does.
        """
        assert piece.standby_options is not None
        for held in piece.held:
            before = self.before.get(held.spell.person)
            if held.spell.duty != STANDBY or before is None:
                continue
            state = at_leave(before, at)
            if state.hindrance is not None:
                return False
            minutes = standby_minutes_left(depth, state.group, piece.standby_options)
            if minutes is not None and minutes < self.job.rules.standby_no_stop_min:
                return False
        return True


def _longest_fit(
    depth: int, states: Sequence[AtLeave], piece: Piece, bottom: int, room: int, room_out: int
) -> int:
    """Longest bottom time up to ``bottom`` whose way up ends within the room; 0 when none does.

    ``room`` is until the surface, ``room_out`` until out of the chamber, from leave surface.
    """
    assert piece.options is not None
    while bottom > 0:
        found = [allowed_exposure(depth, bottom, s.group, piece.options) for s in states]
        schedules = [e.schedule for e in found if e is not None]
        if len(schedules) < len(found):
            bottom -= 1
            continue
        up = water_ascent_min(schedules)
        inside = chamber_ascent_min(schedules)
        over = bottom + max(up - room, (up if inside is None else inside) - room_out)
        if over <= 0:
            return bottom
        bottom -= over
    return 0


#: The earliest moment that something leaves, and what had made it late.
Wait = tuple[int, str]


def _latest(*waits: Wait) -> Wait:
    """The wait that ends last; of equal ones the first."""
    return max(waits, key=itemgetter(0))


#: Minutes that a piece waits before it is tried again.
STEP_MIN = 5

LATE, LOST, NO_TIME, TABLES = "a late start", "a lost slack window", "no time left", "the tables' limit"


def retime(
    tied: TiedPlan,
    draw: Draw,
    *,
    air: AirSums | None = None,
    day_end_later_min: int = 0,
    slack_longer_min: int = 0,
) -> DrawnDay:
    """Run a plan under a draw.

    ``air``: the plan's sums of air, made anew when not given. To see what spare time is worth, each day and
    everybody's hours may end later, and each slack window may last longer.
    """
    return _Retimer(tied, draw, air or AirSums(tied), day_end_later_min, slack_longer_min).run()


class _Retimer:
    def __init__(self, tied: TiedPlan, draw: Draw, air: AirSums, later_min: int, slack_min: int) -> None:
        self.tied, self.job, self.draw = tied, tied.job, draw
        self.later_min, self.slack_min = later_min, slack_min
        self.runs: list[Run] = []
        self.divers = Divers(tied)
        self.hours, self.air = Hours(tied, later_min), air
        self.short: dict[str, float] = defaultdict(float)
        self.got: dict[str, float] = defaultdict(float)
        self.causes: dict[str, str] = {}

    def run(self) -> DrawnDay:
        for piece in self.tied.pieces:
            self.runs.append(self._dive(piece) if piece.dive is not None else self._task(piece))
        day = DrawnDay(self.runs)
        for item in self.job.items:
            needed = self._needed(item.name)
            day.done[item.name] = min(1.0, self.got[item.name] / needed) if needed else 1.0
            if day.done[item.name] < 1 - 1e-9:
                day.causes[item.name] = self.causes.get(item.name, "left over in the plan")
            else:
                day.done[item.name] = 1.0
        return day

    # ------------------------------------------------------------------ work

    def _needed(self, name: str) -> float:
        item = self.job.item(name)
        factor = self.draw.work.get(name, 1.0) if isinstance(item, DiveItem) else 1.0
        return math.ceil(item.needed_min * factor - 1e-9)

    def _wanted(self, piece: Piece, dive: Dive) -> int:
        """Minutes of work that this dive would take to do its part and what earlier ones left."""
        name = piece.item.name
        factor = self.draw.work.get(name, 1.0)
        want = dive.work_min * factor + self.short[name]
        is_last = self.tied.last_of_item[name] == piece.index
        if is_last and self.tied.plan.worked_min(name) >= piece.item.needed_min:
            want = self._needed(name) - self.got[name]
        return max(0, math.ceil(want - 1e-9))

    def _fail(self, piece: Piece, cause: str) -> Run:
        name = piece.item.name
        self.causes.setdefault(name, cause)
        if piece.dive is not None:
            self.short[name] += piece.dive.work_min * self.draw.work.get(name, 1.0)
        return Run(piece, cause=cause)

    # ------------------------------------------------------------------ when

    def _waits(self, piece: Piece) -> tuple[str | None, Wait]:
        """What must be done before: the item that is not (or None), and the wait for those that are."""
        waits = [(_LONG_AGO, "")]
        for name, lag in piece.after:
            before = [r for r in self.runs if r.piece.item.name == name]
            if not before or self.got[name] < self._needed(name) - 1e-9:
                return name, waits[0]
            last = max(before, key=lambda r: r.up_min)
            waits.append((last.up_min + lag, last.blame))
        return None, _latest(*waits, self._all_up(lambda p: p.item.name in piece.not_with))

    def _all_up(self, of: Callable[[Piece], bool]) -> Wait:
        """When the last of these pieces that were made is up."""
        made = ((r.up_min, r.blame) for r in self.runs if r.made and of(r.piece))
        return max(made, key=itemgetter(0), default=(_LONG_AGO, ""))

    def _ties(self, piece: Piece, moment: Moment) -> Wait:
        """Earliest such moment of a piece by the people and outfits that earlier pieces hold."""
        waits = [
            (run.times.at(link.end) + link.end_offset_min - link.start_offset_min, run.blame)
            for link in piece.links
            if link.start is moment and (run := self.runs[link.piece]).made
        ]
        return _latest((_LONG_AGO, ""), *waits)

    def _ready(self, piece: Piece) -> Wait:
        """When the day's work can begin, with a late start."""
        late = self.draw.late_min[piece.day] if piece.day < len(self.draw.late_min) else 0
        if not late:
            return piece.start_min, ""
        return self.tied.first_day_start.get(piece.day, piece.start_min) + late, LATE

    # ------------------------------------------------------------------ tasks

    def _task(self, piece: Piece) -> Run:
        assert piece.task is not None
        undone, waited = self._waits(piece)
        if undone is not None:
            return self._fail(piece, f"waits for {undone}")
        first, last = self._pinned(piece)
        start, why = _latest(
            self._ready(piece),
            (piece.task.start_min, ""),
            (first, ""),
            waited,
            self._ties(piece, Moment.DRESS),
            self._closes_after(piece),
        )
        length = piece.task.end_min - piece.task.start_min
        _, latest, _ = self.tied.last_moment(piece, self.later_min)
        allowed = self.job.allowed_spans(piece.item)
        for window in (Span(start_min=-14 * 1440, end_min=15 * 1440),) if allowed is None else allowed:
            begin = max(start, window.start_min)
            while begin <= last and begin + length <= min(window.end_min, latest):
                ends = piece.task.replace(start_min=begin, end_min=begin + length)
                blame = why if begin > piece.task.start_min else ""
                run = Run(piece, made=True, times=task_times(ends), blame=blame)
                hindered = self.hours.hinders(run)
                if not hindered:
                    self.got[piece.item.name] += length
                    self.hours.take(run)
                    return run
                why, begin = why or hindered, begin + STEP_MIN
        return self._fail(piece, f"{NO_TIME} because of {why}" if why else NO_TIME)

    def _pinned(self, piece: Piece) -> tuple[int, int]:
        """First and last minute at which a pin lets a piece leave: its own, or that of its item's start."""
        name = piece.item.name
        begun = any(r.made and r.piece.item.name == name for r in self.runs)
        starts = None if begun else self.tied.starts.get(name)
        within = [w for w in (piece.leave_within, starts) if w is not None]
        return max((a for a, _ in within), default=_LONG_AGO), min((b for _, b in within), default=-_LONG_AGO)

    def _closes_after(self, piece: Piece) -> Wait:
        """When the last whom a closing block concerns is undressed."""
        block = piece.item
        if not isinstance(block, StandingItem) or block.block.opens:
            return _LONG_AGO, ""
        waits: list[Wait] = []
        for run in self.runs:
            dive, item = run.piece.dive, run.piece.item
            if not run.made or dive is None or run.piece.day != piece.day or not isinstance(item, DiveItem):
                continue
            if block.concerns(item, dive.station):
                standing = (h.hangs for h in run.piece.held if h.spell.duty == STANDBY)
                ends = [run.times.at(hangs.end) + hangs.end_offset_min for hangs in standing]
                waits.append((max([run.times.undressed_min, *ends]), run.blame))
        return _latest((_LONG_AGO, ""), *waits)

    # ------------------------------------------------------------------ dives

    def _dive(self, piece: Piece) -> Run:
        dive = piece.dive
        assert dive is not None
        if piece.unmanned:
            return self._fail(piece, piece.unmanned)
        undone, waited = self._waits(piece)
        if undone is not None:
            return self._fail(piece, f"waits for {undone}")
        wanted = self._wanted(piece, dive)
        if wanted == 0:
            return Run(piece)  # earlier dives did it all: nobody goes down
        if piece.bottom_min is not None:
            wanted = piece.bottom_min - (dive.reach_bottom_min - dive.leave_surface_min)
        start = _latest(self._ready(piece), (dive.dress_start_min, ""), self._ties(piece, Moment.DRESS))
        up = self._all_up(lambda p: p.dive is not None and p.dive.station == dive.station)
        held = self._ties(piece, Moment.BENCH)
        if held[0] > max(start[0], up[0]):
            start = held
        dressing = dive.leave_surface_min - dive.dress_start_min
        least_dressing = min(dressing, piece.dressing[0])
        name = piece.item.name
        leave, blame = _latest(
            (dive.leave_surface_min, ""),
            (start[0] + least_dressing, start[1]),
            (up[0] + self.job.rules.station_turnaround_min, up[1]),
            waited,
            self._ties(piece, Moment.LEAVE),
            (self.hours.dressed_again_min(piece) or _LONG_AGO, "the standby being dressed"),
            self._stations_free(),
            # two teams are never on one item at once
            self._all_up(lambda p: p.item.name == name),
        )
        late_by = blame if leave > dive.leave_surface_min else ""
        run = self._place(piece, dive, wanted, leave, start[0], up[0], late_by)
        if not run.made:
            return self._fail(piece, run.cause)
        descent = dive.reach_bottom_min - dive.leave_surface_min
        work = run.times.leave_bottom_min - run.times.leave_surface_min - descent
        self.got[name] += work
        self.short[name] = max(0.0, wanted - work)
        self.divers.take(run, dive)
        self.hours.take(run)
        return run

    def _stations_free(self) -> Wait:
        """When fewer stations than the site allows have people in the water."""
        limit = self.job.site.stations_at_once
        ends = sorted(
            ((r.up_min, r.blame) for r in self.runs if r.made and r.piece.dive is not None), reverse=True
        )
        return ends[limit - 1] if len(self.job.stations) > limit and len(ends) >= limit else (_LONG_AGO, "")

    def _place(
        self, piece: Piece, dive: Dive, wanted: int, earliest: int, start: int, up: int, blame: str
    ) -> Run:
        """Find the first moment from ``earliest`` on at which the dive can be made, and make it."""
        descent = dive.reach_bottom_min - dive.leave_surface_min
        item = piece.item
        assert isinstance(item, DiveItem) and piece.options is not None
        surface_last, undressed_last, out_last = self.tied.last_moment(piece, self.later_min)
        undressing = dive.undressed_min - dive.reach_surface_min
        latest = min(surface_last, undressed_last - undressing)
        least_work = (
            min(item.least_useful_min, wanted, dive.work_min)
            if item.splittable and piece.bottom_min is None
            else min(dive.work_min, wanted)
        )
        no_stop = all(d.schedule.way_up == NO_STOP for d in dive.divers)
        longest = self.job.longest_bottom_min(item) or wanted + descent
        in_dress = self.job.longest_in_dress_min(item)
        in_water = latest if in_dress is None else in_dress - undressing
        in_water -= 0 if in_dress is None else dive.leave_surface_min - dive.dress_start_min
        tables_stop, hindered = False, ""
        pin_first, pin_last = self._pinned(piece)
        for window_start, window_end, cut in self._windows(piece, dive, latest):
            at = max(earliest, window_start, pin_first)
            while at <= pin_last and at + descent + least_work < window_end:
                states = self.divers.states(dive, at)
                depth = self._depth(piece, dive, at, wanted + descent)
                cap = max(1, min(window_end - at, wanted + descent, longest))
                limit = min(
                    min(
                        longest_bottom_min(depth, s.group, piece.options, no_stop, cap),
                        self.divers.minutes_left(d.person, at),
                    )
                    if self.divers.may_leave(d.person, s)
                    else 0
                    for d, s in zip(dive.divers, states, strict=True)
                )
                most = min(limit, wanted + descent)
                room = window_end - at if in_dress is None else min(window_end - at, in_water)
                bottom = _longest_fit(depth, states, piece, most, room, out_last - at)
                ready = self.divers.standby_ready(piece, depth, at)
                found = None
                if bottom - descent >= least_work and ready:
                    found = self._made(piece, dive, at, bottom, depth, states, start, up, blame)
                if found is not None and self.divers.chamber_free(found):
                    held = self.hours.hinders(found) or ("" if self.air.carries(found, self.runs) else AIR)
                    if held:
                        hindered = hindered or held
                        at += STEP_MIN
                        continue
                    found.blame = found.blame or hindered
                    if bottom - descent < wanted:
                        self._cut_short(piece, found, limit < wanted + descent and bottom == limit, cut)
                    elif bottom - dive.bottom_time_min > at - dive.leave_surface_min:
                        found.blame = f"{item.name} taking longer"
                    return found
                tables_stop = tables_stop or limit - descent < least_work
                at += STEP_MIN
        if blame or hindered:
            return Run(piece, cause=f"{NO_TIME} because of {blame or hindered}")
        if tables_stop:
            return Run(piece, cause=f"{TABLES} for the divers of {item.name}")
        return Run(piece, cause=LOST if item.needs_slack and self.draw.lost else NO_TIME)

    def _cut_short(self, piece: Piece, run: Run, by_tables: bool, window: str) -> None:
        name = piece.item.name
        over = f"{name} taking longer"
        end = TABLES if by_tables else window
        own = self.draw.work.get(name, 1.0) > 1
        cause = f"{over} than {end} allows" if own or not run.blame else f"{NO_TIME} because of {run.blame}"
        if self.tied.last_of_item[name] == piece.index:
            self.causes.setdefault(name, cause)
        run.blame = over if own else run.blame

    def _made(
        self,
        piece: Piece,
        dive: Dive,
        at: int,
        bottom: int,
        depth: int,
        states: tuple[AtLeave, ...],
        start: int,
        up: int,
        blame: str,
    ) -> Run:
        assert piece.options is not None
        found = [allowed_exposure(depth, bottom, s.group, piece.options) for s in states]
        exposures = tuple(e for e in found if e is not None)
        schedules = [e.schedule for e in exposures]
        surface = at + bottom + water_ascent_min(schedules)
        inside = chamber_ascent_min(schedules)
        dress = max(start, at - (dive.leave_surface_min - dive.dress_start_min))
        times = DiveTimes(
            dress_start_min=dress,
            leave_surface_min=at,
            leave_bottom_min=at + bottom,
            reach_surface_min=surface,
            undressed_min=surface + dive.undressed_min - dive.reach_surface_min,
            out_min=surface if inside is None else at + bottom + inside,
            bench_start_min=max(dress, up),
        )
        return Run(
            piece, made=True, times=times, depth_fsw=depth, exposures=exposures, states=states, blame=blame
        )

    def _depth(self, piece: Piece, dive: Dive, at: int, bottom: int) -> int:
        """The planned depth; the deepest of the tide for an item that follows it at another time."""
        item = piece.item
        assert isinstance(item, DiveItem)
        as_planned = at >= dive.leave_surface_min and at + bottom <= dive.leave_bottom_min
        if not item.depth_follows_tide or as_planned:
            return dive.depth_fsw
        return max(dive.depth_fsw, deepest_fsw(self.job, item))

    def _windows(self, piece: Piece, dive: Dive, latest: int) -> list[tuple[int, int, str]]:
        """Stretches in which the dive's people may be in the water, with what ends each."""
        item = piece.item
        assert isinstance(item, DiveItem)
        spans: list[tuple[int, int, str]] = [(_LONG_AGO, latest, "the end of the day")]
        if item.windows:
            spans = _meet(spans, [(w.start_min, w.end_min) for w in item.windows], "the end of its window")
        for what, held in self.job.gate_spans(item.name).items():
            spans = _meet(spans, [(s.start_min, s.end_min) for s in held], f"the end of {what}")
        if item.needs_slack:
            slack = [
                (s.start_min, s.end_min + self.slack_min)
                for n, s, stations in self.tied.slack
                if n not in self.draw.lost and (not stations or dive.station in stations)
            ]
            spans = _meet(spans, slack, "the end of slack water")
        if self.tied.light is not None and not item.in_the_dark:
            spans = _meet(spans, [(s.start_min, s.end_min) for s in self.tied.light], "sunset")
        return sorted(spans)


def _meet(
    spans: list[tuple[int, int, str]], others: list[tuple[int, int]], word: str
) -> list[tuple[int, int, str]]:
    """What two lists of stretches share; touching ones of the second are joined first."""
    return [
        (max(a, c), min(b, d), word if d < b else why)
        for a, b, why in spans
        for c, d in joined(others)
        if max(a, c) < min(b, d)
    ]
