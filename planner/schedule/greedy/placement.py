"""A plan by rule of thumb, as a person would make it: item after item, each at its earliest fit.

It holds every rule that the model holds; the search then starts from it. In which order the items are taken
is settled by trying (`planner.schedule.greedy.local_search`).
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from planner.day import water_ascent_min
from planner.job import DiveItem, Pin, PinKind
from planner.job.duties import DIVER
from planner.job.standing import StandingItem
from planner.schedule.draft.draft import Draft, DraftDive, DraftTask
from planner.schedule.draft.pins import given_to, keeps, next_pin
from planner.schedule.greedy.crew import crew_of
from planner.schedule.greedy.partial_schedule import PartialSchedule, Supports
from planner.schedule.problem.matching import fill_posts
from planner.schedule.problem.problem import DiveWork, Placement, Problem, TaskWork
from planner.tables.schedule import IN_CHAMBER, NO_STOP

GRID_MIN = 15

#: A dive with the busy spells of its support people.
_Placed = tuple[DraftDive, list[Supports]]


@dataclass(frozen=True)
class _Asked:
    """A dive that is looked for."""

    index: int
    data: DiveWork
    left: int
    """Minutes of the item's work that are left."""
    earliest: int
    """First minute of leaving the surface."""
    needed: frozenset[str]
    """People who must be in the team."""
    station: str | None = None


#: Times at most that a day is made once more with its crew called later.
CALLED_LATER = 3

#: How much sooner a day's dives end, each time its closing work finds no place after them.
SOONER_MIN = 30


def build(
    problem: Problem, order: Iterable[str], *, in_hand: bool = False, longest_day_min: int | None = None
) -> Draft:
    """The day that comes of placing the items one after another in that order, each at its earliest fit.

    ``in_hand``: every dive leaves the minutes in hand that are wanted of it.

    ``longest_day_min``: from a day's first call to the end of what closes its dives, where it may be; else as
    long as the working day.
    """
    names = list(order)
    sooner = dict.fromkeys(range(len(problem.days)), 0)
    if longest_day_min is not None:
        for day, window in enumerate(problem.days):
            sooner[day] = max(0, window.end_min - problem.earliest_call_min(day) - longest_day_min)
    calls = {day: _earliest_call_min(problem, day) for day in problem.job.one_briefing_days}
    later = 0
    while True:
        builder = _Builder(problem, sooner, in_hand=in_hand, calls=calls)
        draft = builder.build(names)
        if builder.unclosed is not None:
            sooner[builder.unclosed] += SOONER_MIN
            continue
        called = _called(problem, draft)
        if later == CALLED_LATER or all(calls[day] == at for day, at in called.items()):
            return draft
        # Nobody need be called so early: the day once more, from when its work begins.
        calls, later = {**calls, **called}, later + 1


def _earliest_call_min(problem: Problem, day: int) -> int:
    """When the crew's one briefing may begin at the earliest; where a pin says when, then."""
    pinned = [p.start_min for p in problem.job.pins if p.kind is PinKind.BRIEFED and p.start_min is not None]
    return min((at for at in pinned if problem.day_of(at) == day), default=problem.earliest_call_min(day))


def _called(problem: Problem, draft: Draft) -> dict[int, int]:
    """Working day → when the crew's one briefing begins, of the days with work."""
    starts = [t.start_min for t in draft.tasks]
    starts += [min(d.dress_start_min, d.standing[0]) for d in draft.dives]
    first: dict[int, int] = {}
    for start in starts:
        day = problem.day_of(start)
        first[day] = min(start, first.get(day, start))
    minutes = problem.job.rules.briefing_min
    pinned = {problem.day_of(p.start_min or 0) for p in problem.job.pins if p.kind is PinKind.BRIEFED}
    return {
        day: _earliest_call_min(problem, day) if day in pinned else at - minutes
        for day, at in first.items()
        if day in problem.job.one_briefing_days
    }


def pressing_first(problem: Problem) -> list[str]:
    """The items that are pinned, then the others by weight, heaviest first; each after those it waits for."""
    names = [i.name for i in problem.job.items]
    pinned = {p.item for p in problem.job.pins if p.kind in (PinKind.STARTS, PinKind.DIVES)}
    names.sort(key=lambda n: (n not in pinned, -_weight(problem, n)))
    return predecessors_first(problem, names)


def _weight(problem: Problem, name: str) -> int:
    item = problem.job.item(name)
    return problem.job.rules.priority_weights[item.priority - 1]


def predecessors_first(problem: Problem, names: list[str]) -> list[str]:
    """The items in that order, but each after those that it waits for."""
    after = {i.name: [a.item for a in i.after] for i in problem.job.items}
    out: list[str] = []

    def put(name: str) -> None:
        for earlier in after[name]:
            if earlier not in out:
                put(earlier)
        if name not in out:
            out.append(name)

    for name in names:
        put(name)
    return out


class _Builder:
    """Places item after item into a partial schedule."""

    def __init__(
        self, problem: Problem, sooner: Mapping[int, int], *, in_hand: bool, calls: Mapping[int, int]
    ) -> None:
        """``sooner``: working day → minutes by which its dives end before its closing work must begin.

        ``calls``: working day → when the crew's one briefing begins.
        """
        self.problem = problem
        self.job = problem.job
        self.placed = PartialSchedule(problem, in_hand=in_hand, calls=calls)
        self.sooner = sooner
        self.opened: dict[int, int | None] = {}
        """Opening block of a day → its end; None where it finds no place."""
        self.unclosed: int | None = None
        """A working day whose closing work finds no place after its dives."""
        self.done: dict[str, int] = {}
        """Wholly done item → minute of its end."""

    def build(self, order: Iterable[str]) -> Draft:
        above = {w.item.name: (k, w) for k, w in enumerate(self.problem.tasks)}
        for name in order:
            if name in self.problem.by_item:
                self._dive_item(self.problem.by_item[name])
            else:
                self._task(*above[name])
        self._close()
        dives = sorted(self.placed.dives, key=lambda d: (d.leave_surface_min, d.station))
        return Draft(tuple(dives), tuple(sorted(self.placed.tasks, key=lambda t: t.start_min)))

    def _ready_from(self, name: str) -> int | None:
        """Earliest start that the items before allow; None when one of them is not wholly done."""
        at = self.problem.window.start_min
        for link in self.job.item(name).after:
            if link.item not in self.done:
                return None
            at = max(at, self.done[link.item] + link.lag_min)
        return at

    def _clear_of(self, name: str, start: int, end: int) -> bool:
        foes = set(self.job.item(name).not_together_with)
        foes |= {i.name for i in self.job.items if name in i.not_together_with}
        if not foes:
            return True
        for dive in self.placed.dives:
            if (
                self.problem.dives[dive.work].item.name in foes
                and dive.leave_surface_min < end
                and start < dive.reach_surface_min
            ):
                return False
        for task in self.placed.tasks:
            item = self.problem.tasks[task.task].item
            if item.name in foes and task.start_min < end and start < task.start_min + item.duration_min:
                return False
        return True

    # ------------------------------------------------------------------ standing work of the days

    def _opened_at(self, day: int, item: DiveItem, station: str) -> int | None:
        """When the opening blocks that a dive asks for are done; they are placed when first asked for."""
        at = self.problem.days[day].start_min
        for index, block in self.problem.standing:
            if block.day != day or not block.block.opens or not block.concerns(item, station):
                continue
            if index not in self.opened:
                self.opened[index] = self._put_task(index, self.problem.tasks[index], at_earliest=0)
            ended = self.opened[index]
            if ended is None:
                return None
            at = max(at, ended)
        return at

    def _closes_from(self, day: int, item: DiveItem, station: str) -> int:
        """Until when the people of a dive must be undressed, so that the closing blocks have room."""
        room = sum(
            block.duration_min
            for _, block in self.problem.standing
            if block.day == day and not block.block.opens and block.concerns(item, station)
        )
        return self.problem.days[day].end_min - room - self.sooner[day]

    def _close(self) -> None:
        """Place the closing blocks, and let go of opening ones that nothing has asked for in the end."""
        kept = []
        for task in self.placed.tasks:
            block = self.problem.tasks[task.task].standing
            if block is None or self._asking(block):
                kept.append(task)
        self.placed.tasks = kept
        for index, block in self.problem.standing:
            asking = self._asking(block)
            if block.block.opens or not (asking or block.due):
                continue
            after = max((max(d.undressed_min, d.standing[1]) for d in asking), default=0)
            if self._put_task(index, self.problem.tasks[index], at_earliest=after) is None and asking:
                self.unclosed = block.day
                return

    def _asking(self, block: StandingItem) -> list[DraftDive]:
        return [
            d
            for d in self.placed.dives
            if self.problem.day_of(d.leave_surface_min) == block.day
            and block.concerns(self.problem.dives[d.work].item, d.station)
        ]

    # ------------------------------------------------------------------ surface items

    def _task(self, index: int, data: TaskWork) -> None:
        ready = self._ready_from(data.item.name)
        if ready is None:
            return
        ended = self._put_task(index, data, at_earliest=ready)
        if ended is not None:
            self.done[data.item.name] = ended

    def _item(self, dive: DraftDive) -> str:
        return self.problem.dives[dive.work].item.name

    def _put_task(self, index: int, data: TaskWork, *, at_earliest: int) -> int | None:
        """Place a task at its earliest fit; its end, or None where there is none."""
        ready = at_earliest
        length = data.item.duration_min
        times = {s.start_min for s in data.spans} | {ready}
        times |= {end for spells in self.placed.busy.values() for _, end in spells}
        kept = [
            d
            for d in self.placed.dives
            if d.station == data.item.station and self.placed.free_min(self._item(d))
        ]
        times |= {self.placed.clear_min(d) for d in kept}
        for start in sorted(times):
            inside = any(s.start_min <= start and start + length <= s.end_min for s in data.spans)
            if any(d.reach_surface_min <= start < self.placed.clear_min(d) for d in kept):
                continue
            if start < ready or not inside or not self._clear_of(data.item.name, start, start + length):
                continue
            posts = [
                (duty, self.placed.free((duty,), start, start + length))
                for duty, count in data.crew
                for _ in range(count)
            ]
            named = fill_posts([free for _, free in posts])
            if named is None:
                continue
            self.placed.put_task(DraftTask(index, start), named)
            return start + length
        return None

    # ------------------------------------------------------------------ dive items

    def _dive_item(self, works: tuple[int, ...]) -> None:
        """Place an item's dives one after another; at each of its depths what fits first, then most work."""
        item = self.problem.dives[works[0]].item
        left, used = item.bottom_work_min, dict.fromkeys(works, 0)
        at = self._ready_from(item.name)
        if at is None:
            return
        while True:
            fits = []
            for index in works:
                data = self.problem.dives[index]
                placed = self._first_fit(index, data, left, at) if used[index] < data.slots else None
                if placed is not None:
                    fits.append((placed[0].leave_surface_min, -placed[0].bottom_time_min, index, placed))
            if not fits:
                break
            _, _, index, (dive, support) = min(fits, key=lambda f: f[:3])
            data = self.problem.dives[index]
            used[index] += 1
            self.placed.put_dive(dive, support)
            left -= dive.bottom_time_min - data.descent_min
            at = dive.reach_surface_min
            if left == 0:
                self.done[item.name] = at
                return

    def _first_fit(self, index: int, data: DiveWork, left: int, ready: int) -> _Placed | None:
        times: set[int] = set()
        for place in data.placements:
            times.add(place.span.start_min)
            times |= set(range(place.span.start_min, place.span.end_min, GRID_MIN))
        times |= {at for d in self.placed.dives for at in (d.reach_surface_min, self.placed.clear_min(d))}
        times.add(ready)
        times |= {e + data.dressing_min for spells in self.placed.busy.values() for _, e in spells}
        earliest = max(ready, self.problem.window.start_min + data.dressing_min)
        asked = _Asked(index, data, left, earliest, given_to(self.problem, data.item.name, DIVER))
        wish = next_pin(self.problem, data.item.name, self.placed.dives)
        if wish is not None:
            # What is pinned goes in first; where it does not fit, the dive that does.
            pinned = self._fit_pin(asked, times, wish)
            if pinned is not None:
                return pinned
        return self._fit_at(asked, times)

    def _fit_pin(self, asked: _Asked, times: set[int], pin: Pin) -> _Placed | None:
        if pin.window is not None:
            times = {t for t in times if pin.allows(t)} | set(pin.window)
        if pin.person is not None:
            asked = replace(asked, needed=asked.needed | {pin.person})
        if pin.bottom_time_min is not None:
            asked = replace(asked, left=min(asked.left, pin.bottom_time_min - asked.data.descent_min))
        placed = self._fit_at(replace(asked, station=pin.station), times)
        if placed is None or (pin.kind is PinKind.DIVES and not keeps(pin, placed[0])):
            return None
        return placed

    def _fit_at(self, asked: _Asked, times: set[int]) -> _Placed | None:
        """The dive at the first of some times that one fits at."""
        coming = sorted(t for t in times if t >= asked.earliest)
        for leave in coming:
            day = self.problem.day_of(leave)
            for place in asked.data.placements:
                here = asked.station in (None, place.station)
                if not here or not place.span.start_min <= leave < place.span.end_min:
                    continue
                opened = self._opened_at(day, asked.data.item, place.station)
                if opened is None:
                    continue
                ready = opened + asked.data.dressing_min
                if leave < ready:
                    # The standby diver may have to be dressed before the divers, after the opening work too.
                    for at in (ready, ready + asked.data.dressing_min):
                        if at not in coming:
                            insort(coming, at)
                    continue
                dive = self._try(asked, leave, place)
                if dive is not None:
                    return dive
        return None

    def _try(self, asked: _Asked, leave: int, place: Placement) -> _Placed | None:
        data, needed = asked.data, asked.needed
        watch, latest = self.placed.station_gap(
            data.item.name, place.station, leave - data.dressing_min, leave
        )
        if watch is None:
            return None
        # By rule of thumb the standby diver dresses and undresses for each dive.
        in_dress = self.job.rules.standby_dressed_max_min or data.water_max_min
        latest = min(latest, place.span.end_min, leave + min(data.water_max_min, in_dress))
        cap = self.placed.bottom_caps(data, leave)
        if not needed <= cap.keys():
            return None
        ranked = sorted(
            cap,
            key=lambda p: (
                p not in needed,
                -min(cap[p], asked.left + data.descent_min),
                self.placed.breadth(p),
                p,
            ),
        )
        for first in range(1 if needed else min(4, len(ranked))):
            team = ranked[first : first + len(data.seats)]
            if len(team) < len(data.seats):
                return None
            work = self._work_min(asked, min(cap[p] for p in team), latest - leave)
            if work is not None:
                placed = self._with_team(asked, leave, place, latest, watch, team, work)
                if placed is not None:
                    return placed
        return None

    def _work_min(self, asked: _Asked, cap: int, room: int) -> int | None:
        """Minutes of work within a longest bottom time and a gap in the water; None where too few."""
        data = asked.data
        work = min(asked.left, cap - data.descent_min, room - data.ascent_least_min - data.descent_min)
        if 0 < asked.left - work < data.least_work_min:
            work = asked.left - data.least_work_min
        if work < data.least_work_min or (not data.item.splittable and work < asked.left):
            return None
        return work

    def _with_team(
        self, asked: _Asked, leave: int, place: Placement, latest: int, watch: int, team: list[str], work: int
    ) -> _Placed | None:
        """The dive of a team with its crew; None where a rule or the crew forbids it."""
        data, placed = asked.data, self.placed
        bottom = work + data.descent_min
        ways = [placed.mode_for(data, p, leave, bottom) for p in team]
        reach = leave + bottom + water_ascent_min(m.schedule for m in ways)
        if reach > latest:
            return None
        inside = [m.ascent_min for m in ways if m.way_up == IN_CHAMBER]
        dress = leave - data.dressing_min
        dive = DraftDive(
            asked.index,
            place.station,
            dress,
            leave,
            bottom,
            reach,
            reach + data.undressing_min,
            watch,
            _seats(data, team),
            (),
            any(m.way_up != NO_STOP for m in ways),
            leave + bottom + max(inside) if inside else None,
            dress,
            reach + data.undressing_min,
        )
        if not (
            (place.with_stops or not dive.deco)
            and (not inside or placed.chamber_free(reach, dive.out_min))
            and dive.held_until_min <= placed.day_end(leave)
            and max(dive.undressed_min, dive.standing[1])
            <= self._closes_from(self.problem.day_of(leave), data.item, place.station)
            and self._clear_of(data.item.name, leave, reach)
            and all(placed.may_hold(p, dress, dive.held_until_min, leave) for p in team)
            and all(self.problem.certified(p, duty, dive.held_until_min) for p, duty in dive.seats)
            and all(placed.still_stands_by(dive, p, m) for p, m in zip(team, ways, strict=True))
            and placed.outfits_free(dive)
            and placed.in_water(leave, reach) < self.job.site.stations_at_once
            and placed.air_holds(asked.index, leave, reach)
            and placed.chamber_gas_holds(leave, ways)
        ):
            return None
        # Where hands are few the standby diver dresses before the divers, by the same hands.
        opened = self._opened_at(self.problem.day_of(leave), data.item, place.station)
        for stands in (dress, dress - data.dressing_min)[: 1 + bool(data.hands)]:
            if opened is None or stands < opened:
                continue
            dive = replace(dive, standby_from_min=stands)
            crew = crew_of(placed, dive)
            if crew is not None and placed.outfits_free(dive):
                return replace(dive, standby=crew[1]), crew[0]
        return None


def _seats(data: DiveWork, team: list[str]) -> tuple[tuple[str, str], ...]:
    """The team's seats: duty after duty, the people of each in the order of the item's divers."""
    rank = {p: k for k, p in enumerate(data.divers)}
    seats: list[tuple[str, str]] = []
    for duty in dict.fromkeys(data.seats):
        chosen = team[len(seats) : len(seats) + data.seats.count(duty)]
        seats += [(p, duty) for p in sorted(chosen, key=rank.__getitem__)]
    return tuple(seats)
