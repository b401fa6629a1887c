"""The day as far as a first plan has placed it, and the questions that the rule of thumb asks of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from planner.job import Gear
from planner.schedule.draft.draft import DraftDive, DraftTask
from planner.schedule.problem.air_limits import AIR_PADDING_MIN, edge_after_min
from planner.schedule.problem.duty_hours import hours_hold, hours_matter
from planner.schedule.problem.eligibility import usable_outfits
from planner.schedule.problem.problem import DiveWork, Group, Problem, away, rank, wait_minutes
from planner.tables import GROUPS, Mode, rank_after
from planner.tables.schedule import NO_STOP


@dataclass
class State:
    """What has been placed so far."""

    busy: dict[str, list[tuple[int, int]]]
    dived: dict[str, list[DraftDive]] = field(default_factory=dict)
    after: dict[tuple[str, int], Group] = field(default_factory=dict)
    """(person, minute of surfacing) → group."""
    dives: list[DraftDive] = field(default_factory=list)
    tasks: list[DraftTask] = field(default_factory=list)
    worn: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    held: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    """Person → stretches of duty."""


class PlacedDay:
    """What has been placed so far, asked by the minute."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.job = problem.job
        self.state = State(busy={p.name: away(problem, p.name) for p in problem.people})
        self._hours = hours_matter(problem)
        self._fits: dict[tuple[str, int, Group], list[Mode]] = {}
        self._longest_min: dict[tuple[str, int, Group], int] = {}

    def _station_gap(self, station: str, dress: int, leave: int) -> tuple[int | None, int]:
        """(when the station duties begin, latest reach surface), or (None, _) when the water is taken."""
        watch, latest = dress, self._day_end(leave)
        for other in self.state.dives:
            if other.station != station:
                continue
            if other.leave_surface_min <= leave:
                if other.reach_surface_min > leave or dress < other.dress_start_min:
                    return None, latest
                watch = max(watch, other.reach_surface_min)
            else:
                latest = min(latest, other.dress_start_min)
        return (watch, latest) if latest > leave else (None, latest)

    def _day_end(self, minute: int) -> int:
        """End of the working day that a minute belongs to."""
        return self.problem.days[self.problem.day_of(minute)].end_min

    def _in_water(self, leave: int, reach: int) -> int:
        return sum(1 for d in self.state.dives if d.leave_surface_min < reach and leave < d.reach_surface_min)

    def _chamber_free(self, start: int, end: int) -> bool:
        """Whether the chamber has room beside the decompressions placed so far."""
        inside = [
            d
            for d in self.state.dives
            if d.out_of_chamber_min and d.reach_surface_min < end and start < d.out_min
        ]
        return len(inside) < self.job.site.chamber_places

    def _air_holds(self, index: int, leave: int, reach: int) -> bool:
        """Whether the plant carries this dive beside those placed so far."""
        limits = self.problem.air
        for ceiling in limits.ceilings:
            spells = [(d.work, d.leave_surface_min, d.reach_surface_min) for d in self.state.dives]
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
            spells = [(d.work, d.leave_surface_min, d.reach_surface_min) for d in self.state.dives]
            drawn = sum(
                limits.draw[k] * (end - start + 2 * AIR_PADDING_MIN)
                for k, start, end in [*spells, (index, leave, reach)]
            )
            return drawn <= limits.store
        return True

    def _free(self, people: frozenset[str], start: int, end: int) -> list[str]:
        free = [
            p for p in people if is_free(self.state.busy[p], start, end) and self._hours_hold(p, start, end)
        ]
        return sorted(free, key=lambda p: (self._breadth(p), p))

    def _hours_hold(self, person: str, start: int, end: int, leave: int | None = None) -> bool:
        """Whether the rules of hours let a person take one more stretch of duty."""
        if not self._hours:
            return True
        leaves = [d.leave_surface_min for d in self.state.dived.get(person, [])]
        leaves += [] if leave is None else [leave]
        held = self.state.held.get(person, [])
        return hours_hold(self.problem, self.job.person(person), held, leaves, start, end)

    def _take(self, person: str, start: int, end: int) -> None:
        """Give a person a stretch of duty."""
        self.state.busy[person].append((start, end))
        self.state.held.setdefault(person, []).append((start, end))

    def _breadth(self, person: str) -> int:
        return len(self.job.person(person).duties)

    def _group_at(self, person: str, minute: int) -> Group:
        """Group at a minute after the last dive so far; the entry history where there is none."""
        earlier = [d for d in self.state.dived.get(person, []) if d.out_min <= minute]
        if earlier:
            last = max(earlier, key=lambda d: d.out_min)
            return _decayed(self.state.after[person, last.out_min], minute - last.out_min)
        known = self.problem.entry_group.get(person)
        return None if known is None else _decayed(known[1], minute - known[0])

    def _fit(self, data: DiveWork, before: Group) -> list[Mode]:
        """Ways up open to a diver in a group (kept: asked for at every minute tried)."""
        key = (data.item.name, data.item.depth_fsw, before)
        if key not in self._fits:
            self._fits[key] = [m for m in data.modes if _not_above(before, m.group_before)]
        return self._fits[key]

    def _mode(self, data: DiveWork, person: str, leave: int, bottom: int) -> Mode:
        """The way up of one diver at a time: the quickest allowed, then the lowest group after."""
        before = self._group_at(person, leave)
        fit = [m for m in self._fit(data, before) if m.bottom_time_max_min >= bottom]
        return min(fit, key=lambda m: (m.ascent_min, rank_after(m.group_after)))

    def _bottom_caps(self, data: DiveWork, leave: int) -> dict[str, int]:
        """Longest bottom time of each person who may dive at this minute and can dress before it."""
        rules, date = self.job.rules, self.problem.date_of(leave)
        dress = leave - data.dressing_min
        caps = {}
        for person in data.divers:
            if not is_free(self.state.busy[person], dress, leave + 1):
                continue
            own = self.state.dived.get(person, [])
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
            quick = [m for m in fit if m.way_up == NO_STOP]
            longest = max((m.bottom_time_max_min for m in quick), default=0)
            if longest < data.descent_min + data.least_work_min:
                longest = max((m.bottom_time_max_min for m in fit), default=0)
            self._longest_min[key] = longest
        return self._longest_min[key]

    def _watched_until(self, person: str) -> int:
        """End of the person's last watch by the chamber so far."""
        ends = [self.problem.watch_until.get(person, 0)]
        for dive in self.state.dived.get(person, []):
            if dive.deco or self.problem.dives[dive.work].chamber_watch_always:
                ends.append(dive.out_min + self.job.rules.chamber_watch_min)
        return max(ends)

    def _may_stand_by(self, data: DiveWork, person: str, watch: int, leave: int) -> bool:
        if watch < self._watched_until(person) or self.problem.date_of(leave) in data.unfit_dates.get(
            person, ()
        ):
            return False
        own = self.state.dived.get(person, [])
        if any(d.leave_surface_min >= leave for d in own):
            return all(d.out_min > leave for d in own)
        if own:
            last = max(own, key=lambda d: d.out_min)
            group = self.state.after[person, last.out_min]
            return leave - last.out_min >= data.standby_wait_min[group]
        known = self.problem.entry_group.get(person)
        return known is None or leave - known[0] >= data.standby_wait_min[known[1]]

    def _still_stands_by(self, data: DiveWork, person: str, leave: int, out: int, mode: Mode) -> bool:
        """Whether the turns of standing by that a person has later in the day hold after a dive."""
        watched = data.chamber_watch_always or mode.way_up != NO_STOP
        for later in self.state.dives:
            if person not in later.standby or later.leave_surface_min < leave:
                continue
            wait = self.problem.dives[later.work].standby_wait_min[mode.group_after]
            if later.leave_surface_min - out < wait:
                return False
            if watched and later.standing[0] - out < self.job.rules.chamber_watch_min:
                return False
        return True

    def _turnaround_min(self, kind: Gear) -> int:
        """Longest turnaround of the outfits of a kind that may be worn on any day, as in the model."""
        dates = range(len(self.problem.midnights))
        usable = {o for date in dates for o in usable_outfits(self.problem, kind, date)}
        return max((self.job.outfit(o).turnaround_min for o in usable), default=0)

    def _outfits_free(self, data: DiveWork, dress: int, undressed: int, standing: tuple[int, int]) -> bool:
        kind = data.item.gear
        turn = self._turnaround_min(kind)
        own = [(dress, undressed + turn)] * len(data.seats) + [standing] * data.standbys
        spells = self.state.worn.get(kind.value, []) + own
        # As in the model: what runs out at midnight is not worn, nor made ready, past it.
        moments = {s for s, _ in spells} | {
            m for m in self.problem.midnights if any(s < m < e for s, e in spells)
        }
        return all(
            sum(1 for s, e in spells if s <= moment < e)
            <= len(usable_outfits(self.problem, kind, self.problem.date_of(moment)))
            for moment in moments
        )


def is_free(spells: list[tuple[int, int]], start: int, end: int) -> bool:
    return all(e <= start or s >= end for s, e in spells)


def _not_above(group: Group, allowed: Group) -> bool:
    return rank(group) <= rank(allowed)


def _decayed(group: Group, minutes: int) -> Group:
    for wanted in (None, *GROUPS):
        if minutes >= wait_minutes(group, wanted):
            return wanted
    return "Z"
