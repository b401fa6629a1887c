"""The day as it will stand once everyone in the water is up: what a replan must leave as it is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.job.words import STANDBY
from planner.log.actual import ActualDay, ActualDive
from planner.log.applies import Applies, applies
from planner.log.entry import Entry, Kind
from planner.log.history import Held, held
from planner.log.left_over import FAR_MIN, Settled, minutes_left
from planner.plan.model import SurfaceTask

#: Where no row of the tables applies to a diver in the water, he and his crew are taken as busy this long.
NO_ROW_UP_MIN = 180


@dataclass(frozen=True)
class Happened:
    """What has happened by a minute, and what is under way. Job minutes.

    Parameters
    ----------
    day
        The day with every dive in the water brought up on the row that applies to it.
    in_water
        Ids of the dives that are in the water now.
    tasks
        Surface tasks that are done or under way.
    person_free, station_free, outfit_free
        When people, stations and outfits that are in use will be free.
    unavailable
        People who cannot be planned any more, and since when.
    settled
        What is settled about the items.
    notes
        What was assumed.
    """

    now_min: int
    day: ActualDay
    in_water: tuple[str, ...]
    tasks: tuple[SurfaceTask, ...]
    person_free: Mapping[str, int]
    station_free: Mapping[str, int]
    outfit_free: Mapping[str, int]
    unavailable: Mapping[str, int]
    settled: Settled
    notes: tuple[str, ...]

    @property
    def spells(self) -> tuple[Held, ...]:
        """Duties of the dives that were made or are being made, and of the surface tasks."""
        made = {d.id for d in self.day.dives}
        tasks = {t.item for t in self.tasks}
        own = held(self.day, FAR_MIN)
        return tuple(s for s in own if s.dive in made or (s.dive is None and s.item in tasks))


def happened(day: ActualDay, now_min: int) -> Happened:
    """What has happened by ``now_min``.

    A diver who has not left the bottom is taken to leave it at the planned time, or now where that is past,
    and to come up on the row that then applies. A surface task whose planned time has begun is taken as
    under way to its planned end; one whose time is over and that nobody logged as done is still to do.
    """
    notes: list[str] = []
    in_water = tuple(d.id for d in day.in_water())
    ahead = day
    for dive in day.in_water():
        ahead = _brought_up(ahead, dive, now_min, notes)
    tasks, waits = _tasks(day, now_min, notes)
    spelled = Happened(now_min, ahead, in_water, tasks, {}, {}, {}, {}, Settled(), ()).spells
    done = {
        item.name: _ended(ahead, item.name, waits, now_min)
        for item in ahead.job.items
        if minutes_left(ahead, item) == 0 or item.name in waits
    }
    up = {d.id: d.reach_surface_min or now_min for d in ahead.dives}
    out = [(a.person, a.out_at_min() or now_min) for a in applies(ahead, now_min)]
    busy = {d.item.name: up[d.id] for d in ahead.dives if up[d.id] > now_min}
    return Happened(
        now_min=now_min,
        day=ahead,
        in_water=in_water,
        tasks=tasks,
        person_free=_latest(
            (name, end) for name, end in (*((s.person, s.end_min) for s in spelled), *out) if end > now_min
        ),
        station_free=_latest((d.station, up[d.id]) for d in ahead.dives if up[d.id] > now_min),
        outfit_free=_outfits(ahead, spelled, now_min),
        unavailable=day.sick(),
        settled=Settled(done=done, busy_until={**busy, **{i: m for i, m in waits.items() if m > now_min}}),
        notes=tuple(notes),
    )


def _brought_up(day: ActualDay, dive: ActualDive, now_min: int, notes: list[str]) -> ActualDay:
    hhmm = day.job.clock.hhmm
    if dive.leave_bottom_min is None:
        planned = dive.planned.bottom_time_min if dive.planned else 0
        leaves = max(now_min, dive.leave_surface_min + planned)
        day = _with(day, Kind.LEAVE_BOTTOM, dive.id, leaves)
        notes.append(f"Dive {dive.id} is taken to leave the bottom at {hhmm(leaves)}.")
    own = [a for a in applies(day, now_min) if a.dive.id == dive.id]
    left = next(a.dive.leave_bottom_min or now_min for a in own) if own else now_min
    up = max(now_min, left + max((_ascent_min(a) for a in own), default=NO_ROW_UP_MIN))
    if any(a.exposure is None for a in own):
        notes.append(
            f"No row of the tables applies to dive {dive.id}; its people are taken as busy until {hhmm(up)}."
        )
    return _with(day, Kind.REACH_SURFACE, dive.id, up)


def _ascent_min(one: Applies) -> int:
    return NO_ROW_UP_MIN if one.exposure is None else math.ceil(one.exposure.schedule.water_ascent_s / 60)


def _with(day: ActualDay, kind: Kind, dive: str, at_min: int) -> ActualDay:
    return ActualDay(day.job, day.plan, day.log.with_entry(Entry(kind=kind, at_min=at_min, dive=dive)))


def _tasks(day: ActualDay, now_min: int, notes: list[str]) -> tuple[tuple[SurfaceTask, ...], dict[str, int]]:
    """Surface tasks done or under way, and when each ended or will end."""
    tasks, ends = [], {}
    done = {e.item: e.at_min for e in day.log.of_kind(Kind.ITEM_DONE)}
    for task in day.plan.surface_tasks:
        if task.item in done:
            end = max(task.start_min + 1, min(task.end_min, done[task.item]))
            tasks.append(task.replace(end_min=end))
            ends[task.item] = done[task.item]
        elif task.start_min <= now_min < task.end_min:
            tasks.append(task)
            ends[task.item] = task.end_min
            notes.append(
                f"{task.item} is taken as under way to {day.job.clock.hhmm(task.end_min)}, as planned."
            )
        elif task.end_min <= now_min:
            notes.append(f"{task.item} was planned to be done by now and is not logged: still to do.")
    return tuple(tasks), ends


def _ended(day: ActualDay, item: str, waits: Mapping[str, int], now_min: int) -> int:
    ends = [d.reach_surface_min or now_min for d in day.dives if d.item.name == item]
    ends += [e.at_min for e in day.log.of_kind(Kind.ITEM_DONE) if e.item == item]
    ends += [waits[item]] if item in waits else []
    return max(ends, default=now_min)


def _latest(pairs: Iterable[tuple[str, int]]) -> dict[str, int]:
    out: dict[str, int] = {}
    for name, minute in pairs:
        out[name] = max(minute, out.get(name, minute))
    return out


def _outfits(day: ActualDay, spells: tuple[Held, ...], now_min: int) -> dict[str, int]:
    """Outfits in use: a diver's until it is turned around, a standby's until the end of the duty."""
    turn = {o.name: o.turnaround_min for o in day.job.outfits}
    ends = (
        (s.outfit, s.end_min + (0 if s.duty == STANDBY else turn[s.outfit]))
        for s in spells
        if s.outfit is not None and s.outfit in turn
    )
    return _latest((name, end) for name, end in ends if end > now_min)
