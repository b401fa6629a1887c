"""The day as far as a first plan has placed it: who is free, in which group, in which outfit, on what air."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from planner.job import Gear
from planner.schedule.draft.draft import DraftDive, DraftTask
from planner.schedule.draft.pins import free_asked_min
from planner.schedule.problem.air_limits import AIR_PADDING_MIN, edge_after_min
from planner.schedule.problem.duty_hours import hours_hold, hours_matter, relieved
from planner.schedule.problem.eligibility import usable_outfits
from planner.schedule.problem.problem import DiveWork, Group, Problem, away, wait_minutes
from planner.table_sets import TableSet
from planner.tables import Mode
from planner.tables.schedule import NO_STOP

#: One outfit worn: from, to, whether it is turned around afterwards, as after a dive, and which it may be.
_Wearing = tuple[int, int, bool, frozenset[str]]


#: A support person of a dive: who, from, to, and whether it is a watch that he is to be relieved from.
Supports = tuple[str, int, int, bool]


class PartialSchedule:
    """The dives and tasks placed so far, and what the rule of thumb asks of them by the minute."""

    def __init__(
        self, problem: Problem, *, in_hand: bool = False, calls: Mapping[int, int] | None = None
    ) -> None:
        """``in_hand``: every dive leaves the minutes in hand that are wanted of it.

        ``calls``: working day → when the crew's one briefing begins, on the days that have one.
        """
        self.problem = problem
        self._calls = calls or {}
        self.job = problem.job
        self._in_hand = in_hand
        self.dives: list[DraftDive] = []
        self.tasks: list[DraftTask] = []
        self.busy = {p.name: away(problem, p.name) for p in problem.people}
        """Person → stretches in which he can take no duty: away, or on duty already."""
        self._held: dict[str, list[tuple[int, int]]] = {}
        """Person → stretches of duty."""
        self._watches: dict[str, list[tuple[int, int]]] = {}
        """Person → stretches at the console, at the log, or leading dives."""
        self._dived: dict[str, list[DraftDive]] = {}
        self._group_after: dict[tuple[str, int], Group] = {}
        """(person, minute of surfacing) → group."""
        self._periods: dict[int, list[tuple[float, ...]]] = {}
        """Calendar day → periods in the chamber of each dive's divers."""
        self._worn: dict[Gear, list[_Wearing]] = {}
        self._rank = {p.name: (len(p.duties), p.name) for p in problem.people}
        self._hours = hours_matter(problem)
        self._fits: dict[tuple[str, int, Group], list[Mode]] = {}
        self._longest_min: dict[tuple[str, int, Group], int] = {}
        self._free: dict[str, int] = {}
        self._ways: dict[tuple[str, int, Group, int], Mode] = {}

    # ------------------------------------------------------------------ placing

    def put_task(self, task: DraftTask, people: Iterable[str]) -> None:
        """Place a surface task with the people who hold its posts."""
        end = task.start_min + self.problem.tasks[task.task].item.duration_min
        for person in people:
            self._hold(person, task.start_min, end)
        self.tasks.append(task)

    def put_dive(self, dive: DraftDive, support: Iterable[Supports]) -> None:
        """Place a dive; ``support``: everyone else on it, the standby divers too."""
        data = self.problem.dives[dive.work]
        for person, start, end, watch in support:
            self._hold(person, start, end)
            if watch:
                self._watches.setdefault(person, []).append((start, end))
        ways = []
        for person, _ in dive.seats:
            self._hold(person, dive.dress_start_min, dive.held_until_min)
            ways.append(self.mode_for(data, person, dive.leave_surface_min, dive.bottom_time_min))
            self._dived.setdefault(person, []).append(dive)
            self._group_after[person, dive.out_min] = ways[-1].group_after
        self._periods.setdefault(self.problem.date_of(dive.leave_surface_min), []).append(_periods(ways))
        self._worn.setdefault(data.item.gear, []).extend(_wearings(data, dive))
        self.dives.append(dive)

    def _hold(self, person: str, start: int, end: int) -> None:
        self.busy[person].append((start, end))
        self._held.setdefault(person, []).append((start, end))

    # ------------------------------------------------------------------ station, water, plant

    def station_gap(self, item: str, station: str, dress: int, leave: int) -> tuple[int | None, int]:
        """(when the station duties begin, latest reach surface), or (None, _) when the water is taken."""
        turnaround = self.job.rules.station_turnaround_min + self.free_min(item)
        watch, latest = dress, self.day_end(leave)
        if self.free_min(item):
            latest -= turnaround
            starts = (t.start_min for t in self.tasks if self.problem.tasks[t.task].item.station == station)
            latest = min((latest, *(start - turnaround for start in starts if start > leave)))
        for other in self.dives:
            if other.station != station:
                continue
            if other.leave_surface_min <= leave:
                if self.clear_min(other) > leave or dress < other.dress_start_min:
                    return None, latest
                watch = max(watch, other.reach_surface_min)
            else:
                latest = min(latest, other.dress_start_min, other.leave_surface_min - turnaround)
        return (watch, latest) if latest > leave else (None, latest)

    def free_min(self, item: str) -> int:
        """Minutes that a station stays free behind a dive of an item, as far as one is pinned to."""
        if item not in self._free:
            self._free[item] = free_asked_min(self.problem, item)
        return self._free[item]

    def clear_min(self, dive: DraftDive) -> int:
        """From when something may begin at the station of a dive."""
        free = self.free_min(self.problem.dives[dive.work].item.name)
        return dive.reach_surface_min + self.job.rules.station_turnaround_min + free

    def day_end(self, minute: int) -> int:
        """End of the working day that a minute belongs to."""
        return self.problem.days[self.problem.day_of(minute)].end_min

    def in_water(self, leave: int, reach: int) -> int:
        """Dives in the water at any time of a stretch."""
        return sum(1 for d in self.dives if d.leave_surface_min < reach and leave < d.reach_surface_min)

    def chamber_free(self, start: int, end: int) -> bool:
        """Whether the chamber has room beside the decompressions placed so far."""
        inside = [
            d for d in self.dives if d.out_of_chamber_min and d.reach_surface_min < end and start < d.out_min
        ]
        return len(inside) < self.job.site.chamber_places

    def chamber_gas_holds(self, leave: int, ways: Iterable[Mode]) -> bool:
        """Whether the chamber's gas is enough for a dive beside those placed on its calendar day."""
        gas, own = self.problem.chamber_gas, _periods(ways)
        placed = self._periods.get(self.problem.date_of(leave), [])
        return gas is None or not own or gas.holds([*placed, own])

    def air_holds(self, index: int, leave: int, reach: int) -> bool:
        """Whether the plant carries this dive beside those placed so far."""
        if self.problem.without_air:
            return True
        limits = self.problem.air
        for ceiling in limits.ceilings:
            spells = [(d.work, d.leave_surface_min, d.reach_surface_min) for d in self.dives]
            spells.append((index, leave, reach))
            after = {k: edge_after_min(self.job, self.problem.dives[k].item) for k, _, _ in spells}
            # The sum can only rise where someone goes on air or down.
            moments = {m for _, a, b in spells for m in (a - AIR_PADDING_MIN, a, b)}
            if any(
                sum(ceiling.at_work(k, m, a, b, after[k]) for k, a, b in spells) > ceiling.capacity
                for m in moments
            ):
                return False
        if limits.draw:
            spells = [(d.work, d.leave_surface_min, d.reach_surface_min) for d in self.dives]
            drawn = sum(
                limits.draw[k] * (end - start) + limits.edge_draw[k]
                for k, start, end in [*spells, (index, leave, reach)]
            )
            return drawn <= limits.store
        return True

    # ------------------------------------------------------------------ people

    def free(self, duties: Iterable[str], start: int, end: int, *, watch: bool = False) -> list[str]:
        """Those who can hold all these duties over a stretch, the ones with fewest other duties first.

        ``watch``: it is one that they are to be relieved from.
        """
        problem, wanted = self.problem, tuple(duties)
        able = frozenset.intersection(*(problem.qualified[d] for d in wanted))
        may: Iterable[str] = able
        if problem.certified_until:
            may = [p for p in able if all(problem.certified(p, d, end) for d in wanted)]
        if watch:
            rules = self.job.rules
            may = [p for p in may if relieved(rules, [*self._watches.get(p, ()), (start, end)])]
        return self.free_of(may, start, end)

    def free_of(self, people: Iterable[str], start: int, end: int) -> list[str]:
        """Those of some people who can take a stretch of duty, the ones with fewest other duties first."""
        return sorted((p for p in people if self.may_hold(p, start, end)), key=self._rank.__getitem__)

    def may_hold(self, person: str, start: int, end: int, leave: int | None = None) -> bool:
        """Whether a person is free and the rules of hours let him take one more stretch of duty."""
        if any(s < end and start < e for s, e in self.busy[person]):
            return False
        if not self._hours:
            return True
        leaves = [d.leave_surface_min for d in self._dived.get(person, [])]
        leaves += [] if leave is None else [leave]
        held = self._held.get(person, [])
        return hours_hold(self.problem, self.job.person(person), held, leaves, start, end, self._calls)

    def breadth(self, person: str) -> int:
        """Number of duties a person holds."""
        return self._rank[person][0]

    def _group_at(self, person: str, minute: int) -> Group:
        """Group at a minute after the last dive so far; the entry history where there is none."""
        earlier = [d for d in self._dived.get(person, []) if d.out_min <= minute]
        if earlier:
            last = max(earlier, key=lambda d: d.out_min)
            return _decayed(self.job.tables, self._group_after[person, last.out_min], minute - last.out_min)
        known = self.problem.brought_in.get(person)
        return None if known is None else _decayed(known.tables, known.group, minute - known.ended_min)

    def _fit(self, data: DiveWork, before: Group) -> list[Mode]:
        """Ways up open to a diver in a group (kept: asked for at every minute tried)."""
        key = (data.item.name, data.item.depth_fsw, before)
        if key not in self._fits:
            rank = self.job.tables.rank_before
            self._fits[key] = [m for m in data.modes if rank(before) <= rank(m.group_before)]
        return self._fits[key]

    def mode_for(self, data: DiveWork, person: str, leave: int, bottom: int) -> Mode:
        """The way up of one diver at a time: the quickest allowed, then the lowest group after."""
        before = self._group_at(person, leave)
        key = (data.item.name, data.item.depth_fsw, before, bottom)
        if key not in self._ways:
            fit = [m for m in self._fit(data, before) if m.bottom_time_max_min >= bottom]
            rank_after = self.job.tables.rank_after
            self._ways[key] = min(fit, key=lambda m: (m.ascent_min, rank_after(m.group_after)))
        return self._ways[key]

    def bottom_caps(self, data: DiveWork, leave: int) -> dict[str, int]:
        """Longest bottom time of each person who may dive at this minute and can dress before it."""
        rules, date = self.job.rules, self.problem.date_of(leave)
        dress = leave - data.dressing_min
        caps = {}
        for person in data.divers:
            if any(s < leave + 1 and dress < e for s, e in self.busy[person]):
                continue
            own = self._dived.get(person, [])
            dives, spent = self.problem.dived_before(person, date)
            today = [d for d in own if self.problem.date_of(d.leave_surface_min) == date]
            if len(today) + dives >= rules.dives_a_day or any(d.leave_surface_min >= leave for d in own):
                continue
            if date in data.unfit_dates.get(person, ()) or leave < self.problem.dive_from.get(person, 0):
                continue
            if any(leave - d.out_min < rules.least_surface_interval_min for d in own):
                continue
            if leave < self._watched_until(person):
                continue
            longest = self._longest(data, self._group_at(person, leave))
            spent += sum(d.bottom_time_min for d in today)
            if longest:
                caps[person] = min(longest, rules.bottom_minutes_a_day - spent)
        return caps

    def _longest(self, data: DiveWork, before: Group) -> int:
        """Longest bottom time of a diver in a group (kept).

        Without stops where that is long enough to be useful, since it holds the crew least.
        """
        key = (data.item.name, data.item.depth_fsw, before)
        if key not in self._longest_min:
            fit = self._fit(data, before)
            useful = data.descent_min + data.least_work_min
            longest = 0
            margin = data.margin_min if self._in_hand else 0
            for modes in ([m for m in fit if m.way_up == NO_STOP], fit):
                if longest < useful:
                    ends = (min(m.bottom_time_max_min, m.row_ends_min - margin) for m in modes)
                    longest = max(ends, default=0)
            self._longest_min[key] = min(longest, data.bottom_max_min)
        return self._longest_min[key]

    def _watched_until(self, person: str) -> int:
        """End of the person's last watch by the chamber so far."""
        ends = [self.problem.watch_until.get(person, 0)]
        for dive in self._dived.get(person, []):
            if dive.deco or self.problem.dives[dive.work].chamber_watch_always:
                ends.append(dive.out_min + self.job.rules.chamber_watch_min)
        return max(ends)

    def may_stand_by(self, data: DiveWork, person: str, start: int, leave: int) -> bool:
        """Whether a person can go down at once from ``start`` on, for a dive that leaves the surface then."""
        if start < self._watched_until(person) or self.problem.date_of(leave) in data.unfit_dates.get(
            person, ()
        ):
            return False
        own = self._dived.get(person, [])
        if any(d.leave_surface_min >= leave for d in own):
            if any(d.out_min <= leave for d in own):
                return False
        elif own:
            last = max(own, key=lambda d: d.out_min)
            group = self._group_after[person, last.out_min]
            return leave - last.out_min >= data.standby_wait_min[group]
        known = self.problem.brought_in.get(person)
        return known is None or leave - known.ended_min >= data.standby_wait_min[known.group]

    def touches(self, person: str, start: int, end: int) -> bool:
        """Whether a stretch of standing by would begin or end in the minute in which another ends or begins:
        two that touch are one stretch in dress."""
        own = [d.standing for d in self.dives if person in d.standby]
        return any(start == stood or end == stands for stands, stood in own)

    def still_stands_by(self, dive: DraftDive, person: str, mode: Mode) -> bool:
        """Whether the turns of standing by that a diver has later in the day hold after a dive."""
        watched = self.problem.dives[dive.work].chamber_watch_always or mode.way_up != NO_STOP
        out = dive.out_min
        for later in self.dives:
            if person not in later.standby or later.leave_surface_min < dive.leave_surface_min:
                continue
            wait = self.problem.dives[later.work].standby_wait_min[mode.group_after]
            if later.leave_surface_min - out < wait:
                return False
            if watched and later.standing[0] - out < self.job.rules.chamber_watch_min:
                return False
        return True

    # ------------------------------------------------------------------ outfits

    def outfits_free(self, dive: DraftDive) -> bool:
        """Whether there are outfits for a dive beside those worn or being turned around."""
        data = self.problem.dives[dive.work]
        kind = data.item.gear
        worn = self._worn.get(kind, []) + _wearings(data, dive)
        dates = range(len(self.problem.midnights))
        usable = {o for date in dates for o in usable_outfits(self.problem, kind, date)}
        turns = {o: self.job.outfit(o).turnaround_min for o in sorted(usable)}
        if len(set(turns.values())) > 1 or any(usable - choice for *_, choice in worn):
            return self._each_finds_one(kind, worn, turns)
        turn = max(turns.values(), default=0)
        spells = [(start, end + turn * dived) for start, end, dived, _ in worn]
        spells += [(self.problem.window.start_min, end) for end in map(self._worn_until, sorted(usable))]
        # What runs out at midnight is not worn past it; on the safe side, nor made ready.
        moments = {s for s, _ in spells} | {
            m for m in self.problem.midnights if any(s < m < e for s, e in spells)
        }
        return all(
            sum(1 for s, e in spells if s <= moment < e)
            <= len(usable_outfits(self.problem, kind, self.problem.date_of(moment)))
            for moment in moments
        )

    def _worn_until(self, outfit: str) -> int:
        """Until when an outfit is on somebody whose dive is no longer to plan."""
        start, until = self.problem.window.start_min, self.job.outfit(outfit).worn_until_min
        return start if until is None else max(start, until)

    def _each_finds_one(self, kind: Gear, worn: list[_Wearing], turns: dict[str, int]) -> bool:
        """Whether each wearer finds an outfit, in the order of the clock: a diver the one that is ready again
        soonest, a standby diver, after whom none is turned around, the one that takes longest; of those with
        bottle enough for his dive."""
        free_from = {name: self._worn_until(name) for name in turns}
        for start, end, dived, choice in sorted(worn, key=lambda w: (w[0], not w[2], len(w[3]))):
            for name in sorted(choice & turns.keys(), key=lambda n: (turns[n], n), reverse=not dived):
                until = end + (turns[name] if dived else 0)
                days = range(self.problem.date_of(start), self.problem.date_of(until - 1) + 1)
                ready = all(name in usable_outfits(self.problem, kind, day) for day in days)
                if free_from[name] <= start and ready:
                    free_from[name] = until
                    break
            else:
                return False
        return True


def _wearings(data: DiveWork, dive: DraftDive) -> list[_Wearing]:
    """Who wears an outfit on a dive."""
    divers = [(dive.dress_start_min, dive.undressed_min, True, data.outfits)] * len(data.seats)
    return divers + [(*dive.standing, False, data.outfits)] * data.standbys


def _periods(ways: Iterable[Mode]) -> tuple[float, ...]:
    """Periods in the chamber of those who go through it."""
    return tuple(m.schedule.chamber_periods for m in ways if m.schedule.chamber_periods)


def _decayed(tables: TableSet, group: Group, minutes: int) -> Group:
    for wanted in (None, *tables.carried):
        if minutes >= wait_minutes(tables, group, wanted):
            return wanted
    return tables.carried[-1]
