"""What has happened by a minute: duties held, dives brought up, gear, and the whole day as one plan.

What a replan must leave as it is, and what the next day starts from.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.day import (
    AtLeave,
    DiveTimes,
    descent_min,
    diver_row,
    held_from_to,
    left_over,
    times_of,
    water_ascent_min,
    with_briefings,
)
from planner.job import OutfitState
from planner.job.air_plant import AirPlant
from planner.job.base import Span
from planner.job.bounds import DEEPEST_SHORT_FSW, LONGEST_BOTTOM_MIN
from planner.job.duties import BRIEFING, DIVER, STANDBY
from planner.job.gear import Outfit
from planner.job.job import Job
from planner.job.people import PastDive
from planner.log.day_log import ActualDay, ActualDive, Entry, Kind
from planner.log.exposures import ActualExposure, actual_exposures
from planner.log.left_over import FAR_MIN, DoneWork, minutes_left
from planner.plan.model import Dive, DiverExposure, DutySpell, Plan, Reason, Status, SurfaceTask
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.schedule import IN_CHAMBER


def dives_by_person(day: ActualDay, now_min: int) -> dict[str, tuple[PastDive, ...]]:
    """The finished dives of the day as each diver's past dives, with the group that they left.

    Where the tables printed no group the past dive has none either, so that it is worked out (and refused)
    again from depth and time; depth and time are never made less.
    """
    made: dict[str, list[PastDive]] = defaultdict(list)
    for one in actual_exposures(day, now_min):
        out = one.out_at_min()
        if not one.dive.in_water and out is not None:
            made[one.person].append(_past(one, out, day.job))
    return {name: tuple(dives) for name, dives in made.items()}


def _past(one: ActualExposure, out_min: int, job: Job) -> PastDive:
    bottom = one.dive.bottom_time_min(out_min)
    # a past dive is given by its greatest depth, the log by what the gauge reads
    depth = greatest_depth_fsw(job.site, max(one.dive.depth_fsw, one.series_depth_fsw))
    return PastDive(
        depth_fsw=min(DEEPEST_SHORT_FSW, depth),
        bottom_time_min=min(LONGEST_BOTTOM_MIN, bottom),
        surfaced_min=out_min,
        group_after=one.group_after,
    )


def duties_held(day: ActualDay, now_min: int) -> tuple[DutySpell, ...]:
    """Who held which duty until now, by the log where it says so, else as planned.

    Spells of a dive that was made move with its actual times; those of one that was not made count as
    planned as far as their time has come, since the people were there. Where somebody took over, the duty
    changes hands at that minute.
    """
    spells: list[DutySpell] = []
    outs: dict[str, int] = {}
    for one in actual_exposures(day, now_min):
        out = one.out_at_min()
        if out is not None:
            outs[one.dive.id] = max(out, outs.get(one.dive.id, out))
    for spell in day.plan.duties:
        start, end = _times(day, spell, outs, now_min)
        spells.append(spell.replace(start_min=start, end_min=min(end, max(start, now_min))))
    for dive in day.dives:
        spells = _with_actual_divers(day, dive, spells, _made(day, dive, outs, now_min))
    for entry in day.log.of_kind(Kind.TOOK_OVER):
        spells = _handed(day, spells, entry, now_min)
    return tuple(s for s in spells if s.start_min < s.end_min)


def _times(day: ActualDay, spell: DutySpell, outs: Mapping[str, int], now_min: int) -> tuple[int, int]:
    """From when to when a planned duty was held: by its dive's moments as they were, not as planned."""
    dive = day.dive(spell.dive) if spell.dive is not None else None
    if dive is None or dive.planned is None:
        return spell.start_min, spell.end_min
    start, end = held_from_to(spell, times_of(dive.planned)).span(_made(day, dive, outs, now_min))
    return start, max(start, now_min) if dive.in_water else end


def _made(day: ActualDay, dive: ActualDive, outs: Mapping[str, int], now_min: int) -> DiveTimes:
    """The moments of a dive as it was made; those to come are now."""
    up = now_min if dive.reach_surface_min is None else dive.reach_surface_min
    dress = dive.dress_start_min(day.job)
    return DiveTimes(
        dress_start_min=dress,
        leave_surface_min=dive.leave_surface_min,
        leave_bottom_min=up if dive.leave_bottom_min is None else dive.leave_bottom_min,
        reach_surface_min=up,
        undressed_min=now_min if dive.in_water else dive.undressed_min(day.job, up),
        out_min=max(up, outs.get(dive.id, up)),
        bench_start_min=dress,
    )


def _with_actual_divers(
    day: ActualDay, dive: ActualDive, spells: list[DutySpell], times: DiveTimes
) -> list[DutySpell]:
    """Divers who were not those of the plan hold the duty in their place."""
    planned = {d.person for d in dive.planned.divers} if dive.planned else set()
    out = [
        s for s in spells if not (s.dive == dive.id and s.person in planned - set(dive.people) and s.outfit)
    ]
    for number, name in enumerate(dive.people):
        if name not in planned:
            out.append(
                DutySpell(
                    person=name,
                    duty=DIVER,
                    start_min=times.dress_start_min,
                    end_min=times.undressed_min if dive.in_water else times.free_min,
                    dive=dive.id,
                    item=dive.item.name,
                    station=dive.station,
                    outfit=dive.outfits[number] if number < len(dive.outfits) else None,
                )
            )
    return out


def _handed(day: ActualDay, spells: list[DutySpell], entry: Entry, now_min: int) -> list[DutySpell]:
    """One person takes a duty from whoever holds it at that minute, to the end of that spell.

    Of several who hold it, one who was logged as sick gives it up first; a duty of the dive that nobody holds
    yet is taken whole.
    """
    person, duty, at_min = entry.people[0], entry.duty or "", entry.at_min
    sick = {name for name, since in day.sick().items() if since <= at_min}

    def taken(s: DutySpell) -> bool:
        mine = s.duty == duty and s.person != person and s.end_min > at_min
        return mine and (s.start_min <= at_min if entry.dive is None else s.dive == entry.dive)

    given = min(
        (s for s in spells if taken(s)),
        key=lambda s: (s.person not in sick, max(s.start_min, at_min)),
        default=None,
    )
    out = [s for s in spells if s is not given]
    done = given is not None
    if given is not None:
        since = max(at_min, given.start_min)
        out += [given.replace(end_min=since), given.replace(person=person, start_min=since, outfit=None)]
    if not done and not any(s.person == person and s.start_min <= at_min < s.end_min for s in out):
        dive = day.dive(entry.dive) if entry.dive is not None else None
        out.append(
            DutySpell(
                person=person,
                duty=duty,
                start_min=at_min,
                end_min=now_min,
                dive=entry.dive,
                item="",
                station=None if dive is None else dive.station,
            )
        )
    return out


def briefings_held(day: ActualDay, now_min: int) -> list[DutySpell]:
    """Briefings of the plan that have begun, to their end."""
    return [s for s in day.plan.duties if s.duty == BRIEFING and s.start_min < now_min]


def hours_worked(day: ActualDay, now_min: int) -> dict[str, Span]:
    """Each person's day from the first duty to the end of the last: breaks count as work (the safe side)."""
    held: dict[str, list[DutySpell]] = defaultdict(list)
    for s in duties_held(day, now_min):
        held[s.person].append(s)
    return {
        name: Span(start_min=min(s.start_min for s in own), end_min=max(s.end_min for s in own))
        for name, own in held.items()
    }


def standby_minutes(day: ActualDay, now_min: int) -> dict[str, int]:
    """Minutes that each person stood by for dives that were made."""
    made = {d.id for d in day.dives}
    out: dict[str, int] = defaultdict(int)
    for s in duties_held(day, now_min):
        if s.duty == STANDBY and s.dive in made:
            out[s.person] += s.end_min - s.start_min
    return dict(out)


def outfits_after(day: ActualDay) -> tuple[Outfit, ...]:
    """The outfits with the defects of the log: an open defect takes an outfit out of the plan."""
    defects = {e.thing: w for w in day.log.standing if (e := w.entry).kind is Kind.DEFECT}
    out = []
    for outfit in day.job.outfits:
        found = defects.get(outfit.name)
        if found is not None:
            outfit = outfit.replace(
                state=OutfitState.DEFECT_OPEN,
                state_note=found.entry.text,
                state_by=found.written_by,
                state_on=day.job.clock.day_of(found.entry.at_min),
            )
        out.append(outfit)
    return tuple(out)


def air_after(day: ActualDay) -> AirPlant:
    """The air plant with the last readings of the log; a source with an open defect is off line."""
    read = day.log.of_kind(Kind.AIR_READING)
    pressure = {e.thing: e.pressure_psi for e in read if e.pressure_psi is not None}
    hours = {e.thing: e.hours_run for e in read if e.hours_run is not None}
    broken = {e.thing for e in day.log.of_kind(Kind.DEFECT)}
    air = day.job.air
    return air.replace(
        compressors=tuple(
            c.replace(hours_run=hours.get(c.name, c.hours_run), on_line=c.on_line and c.name not in broken)
            for c in air.compressors
        ),
        banks=tuple(
            b.replace(
                pressure_psi=pressure.get(b.name, b.pressure_psi), on_line=b.on_line and b.name not in broken
            )
            for b in air.banks
        ),
        tanks=tuple(t.replace(on_line=t.on_line and t.name not in broken) for t in air.tanks),
    )


#: Where no row of the tables applies to a diver in the water, he and his crew are taken as busy this long.
NO_ROW_UP_MIN = 180


@dataclass(frozen=True)
class Happened:
    """What has happened by a minute, and what is under way. Job minutes."""

    now_min: int
    day: ActualDay
    """The day with every dive in the water brought up on the row that applies to it."""
    in_water: tuple[str, ...]
    """Ids of the dives that are in the water now."""
    tasks: tuple[SurfaceTask, ...]
    """Surface tasks that are done or under way."""
    person_free: Mapping[str, int]
    station_free: Mapping[str, int]
    outfit_free: Mapping[str, int]
    """When people, stations and outfits that are in use will be free."""
    unavailable: Mapping[str, int]
    """People who cannot be planned any more, and since when."""
    settled: DoneWork
    """What is settled about the items."""
    notes: tuple[str, ...]
    """What was assumed."""

    @property
    def spells(self) -> tuple[DutySpell, ...]:
        """Duties of the dives that were made or are being made, and of the surface tasks."""
        made = {d.id for d in self.day.dives}
        tasks = {t.item for t in self.tasks}
        own = duties_held(self.day, FAR_MIN)
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
    notes += [
        f"Dive {d.id} is in the chamber; its divers are taken to come out by the row."
        for d in day.dives
        if d.in_chamber
    ]
    tasks, waits = _tasks(day, now_min, notes)
    spelled = Happened(now_min, ahead, in_water, tasks, {}, {}, {}, {}, DoneWork(), ()).spells
    notes += _not_taken_over(ahead, spelled, now_min)
    done = {
        item.name: ended_min(ahead, item.name, waits, now_min)
        for item in ahead.job.items
        if minutes_left(ahead, item) == 0 or item.name in waits
    }
    up = {d.id: d.reach_surface_min or now_min for d in ahead.dives}
    turned = {d.id: up[d.id] + day.job.rules.station_turnaround_min for d in ahead.dives}
    out = [(a.person, a.out_at_min() or now_min) for a in actual_exposures(ahead, now_min)]
    busy = {d.item.name: up[d.id] for d in ahead.dives if up[d.id] > now_min}
    return Happened(
        now_min=now_min,
        day=ahead,
        in_water=in_water,
        tasks=tasks,
        person_free=_latest(
            (name, end) for name, end in (*((s.person, s.end_min) for s in spelled), *out) if end > now_min
        ),
        station_free=_latest((d.station, turned[d.id]) for d in ahead.dives if turned[d.id] > now_min),
        outfit_free=_outfits(ahead, spelled, now_min),
        unavailable=day.sick(),
        settled=DoneWork(done=done, busy_until={**busy, **{i: m for i, m in waits.items() if m > now_min}}),
        notes=tuple(notes),
    )


def _not_taken_over(day: ActualDay, spells: tuple[DutySpell, ...], now_min: int) -> list[str]:
    """Who is sick and still has a duty of what is under way, since the log does not say who took over."""
    told = []
    for s in spells:
        if s.person in day.sick() and s.end_min > now_min and s.duty != DIVER:
            where = f"of dive {s.dive}" if s.dive else f"at {s.item}"
            told.append(
                f"{s.person} is logged as sick and still {s.duty} {where} "
                f"until {day.job.clock.hhmm(s.end_min)}: put somebody in the place, "
                "and say in the log who took over."
            )
    return told


def _brought_up(day: ActualDay, dive: ActualDive, now_min: int, notes: list[str]) -> ActualDay:
    hhmm = day.job.clock.hhmm
    if dive.leave_bottom_min is None:
        planned = dive.planned.bottom_time_min if dive.planned else 0
        leaves = max(now_min, dive.leave_surface_min + planned)
        day = day.with_entry(Entry(kind=Kind.LEAVE_BOTTOM, at_min=leaves, dive=dive.id))
        notes.append(f"Dive {dive.id} is taken to leave the bottom at {hhmm(leaves)}.")
    own = [a for a in actual_exposures(day, now_min) if a.dive.id == dive.id]
    left = next(a.dive.leave_bottom_min or now_min for a in own) if own else now_min
    ascents = [NO_ROW_UP_MIN if a.schedule is None else water_ascent_min([a.schedule]) for a in own]
    up = max(now_min, left + max(ascents, default=NO_ROW_UP_MIN))
    if any(a.exposure is None for a in own):
        notes.append(
            f"No row of the tables applies to dive {dive.id}; its people are taken as busy until {hhmm(up)}."
        )
    return day.with_entry(Entry(kind=Kind.REACH_SURFACE, at_min=up, dive=dive.id))


def _tasks(day: ActualDay, now_min: int, notes: list[str]) -> tuple[tuple[SurfaceTask, ...], dict[str, int]]:
    """Surface tasks done or under way, and when each ended or will end."""
    tasks, ends = [], {}
    standing = {item.name for item in day.job.standing_items}
    done = {e.item: e.at_min for e in day.log.of_kind(Kind.ITEM_DONE)}
    for task in day.plan.surface_tasks:
        if task.item in done:
            end = max(task.start_min + 1, min(task.end_min, done[task.item]))
            tasks.append(task.replace(end_min=end))
            ends[task.item] = done[task.item]
        elif task.start_min <= now_min < task.end_min and (task.item not in standing or _opening(day, task)):
            tasks.append(task)
            ends[task.item] = task.end_min
            notes.append(
                f"{task.item} is taken as under way to {day.job.clock.hhmm(task.end_min)}, as planned."
            )
        elif task.end_min <= now_min and _opening(day, task):
            # Nobody logs standing work: what was to be done by now is taken as done.
            tasks.append(task)
            ends[task.item] = task.end_min
        elif task.end_min <= now_min and task.item not in standing:
            notes.append(f"{task.item} was planned to be done by now and is not logged: still to do.")
    return tuple(tasks), ends


def _opening(day: ActualDay, task: SurfaceTask) -> bool:
    return any(item.name == task.item and item.block.opens for item in day.job.standing_items)


def ended_min(day: ActualDay, item: str, waits: Mapping[str, int], now_min: int) -> int:
    """When the last of an item was done: its dives, its entry, its task under way; else now."""
    ends = [d.reach_surface_min or now_min for d in day.dives if d.item.name == item]
    ends += [e.at_min for e in day.log.of_kind(Kind.ITEM_DONE) if e.item == item]
    ends += [waits[item]] if item in waits else []
    return max(ends, default=now_min)


def _latest(pairs: Iterable[tuple[str, int]]) -> dict[str, int]:
    out: dict[str, int] = {}
    for name, minute in pairs:
        out[name] = max(minute, out.get(name, minute))
    return out


def _outfits(day: ActualDay, spells: tuple[DutySpell, ...], now_min: int) -> dict[str, int]:
    """Outfits in use: a diver's until it is turned around, a standby's until the end of the duty."""
    turn = {o.name: o.turnaround_min for o in day.job.outfits}
    ends = (
        (s.outfit, s.end_min + (0 if s.duty == STANDBY else turn[s.outfit]))
        for s in spells
        if s.outfit is not None and s.outfit in turn
    )
    return _latest((name, end) for name, end in ends if end > now_min)


#: A dive's name: letters, then its number.
_NUMBERED = re.compile(r"^(\D*)(\d+)$")


def whole_day(past: Happened, rest: Plan | None, before: Plan) -> Plan:
    """What has happened and the rest, as one plan of the day's job.

    Dives of the rest get numbers that neither the plan before nor the log has used, so that a number means
    one dive for ever.

    Parameters
    ----------
    rest
        The plan of the rest in the minutes of the day's job; None for what has happened alone.
    before
        The plan that was in force.
    """
    job = past.day.job
    by_dive: dict[str, list[ActualExposure]] = defaultdict(list)
    for one in actual_exposures(past.day, past.now_min):
        by_dive[one.dive.id].append(one)
    made = [_dive(own, job) for own in by_dive.values() if all(_row_of(a) is not None for a in own)]
    dives, duties = list(made), list(past.spells)
    tasks = list(past.tasks)
    if rest is not None:
        names = _new_numbers(rest, (d.id for d in (*before.dives, *made)))
        dives += [d.replace(id=names[d.id]) for d in rest.dives]
        duties += [s.replace(dive=names[s.dive]) if s.dive is not None else s for s in rest.duties]
        tasks += rest.surface_tasks
    whole = Plan(
        job_name=before.job_name,
        status=Status.FEASIBLE if rest is None else rest.status,
        stages=(),
        dives=tuple(dives),
        surface_tasks=tuple(tasks),
        duties=tuple(duties),
        seconds=0.0 if rest is None else rest.seconds,
        seed=0 if rest is None else rest.seed,
        workers=0 if rest is None else rest.workers,
    )
    whole = with_briefings(job, whole, briefings_held(past.day, past.now_min), since_min=past.now_min)
    # the stages of the rest speak of the rest alone, so the whole day claims no proof
    best = (Status.PROVEN_BEST, Status.LOOKED_FOR)
    status = Status.FEASIBLE if whole.status in best else whole.status
    done = (Reason(rule=None, sentence="Logged as done with fewer minutes than planned."),)
    told = {left.item: left.reasons for left in (rest.leftovers if rest is not None else ())}
    told |= dict.fromkeys(past.day.items_done, done)
    left = left_over(whole, job, told, "No more of it is planned today.")
    return whole.replace(status=status, leftovers=left)


def _row_of(one: ActualExposure) -> DiverExposure | None:
    """The exposure as the plan writes it; None when neither the tables nor the plan have a row."""
    if one.exposure is None:
        return one.planned
    worn = dict(zip(one.dive.people, one.dive.outfits, strict=False))
    return diver_row(
        one.person,
        one.planned.duty if one.planned else DIVER,
        worn.get(one.person) or (one.planned.outfit if one.planned else ""),
        AtLeave(one.interval_min, one.group_before),
        one.exposure,
    )


def _dive(own: list[ActualExposure], job: Job) -> Dive:
    dive = own[0].dive
    up = dive.reach_surface_min
    left = dive.leave_bottom_min if dive.leave_bottom_min is not None else up
    assert up is not None and left is not None
    reached = dive.reach_bottom_min
    if reached is None:
        reached = min(left, dive.leave_surface_min + descent_min(dive.depth_fsw, job.rules))
    rows = [row for row in (_row_of(a) for a in own) if row is not None]
    chamber = [
        a.out_at_min() or up for a in own if a.schedule is not None and a.schedule.way_up == IN_CHAMBER
    ]
    return Dive(
        id=dive.id,
        item=dive.item.name,
        station=dive.station,
        dress_start_min=dive.dress_start_min(job),
        leave_surface_min=dive.leave_surface_min,
        reach_bottom_min=reached,
        leave_bottom_min=left,
        reach_surface_min=up,
        undressed_min=dive.undressed_min(job, up),
        depth_fsw=dive.depth_fsw,
        bottom_time_min=left - dive.leave_surface_min,
        work_min=left - reached,
        divers=tuple(rows),
        out_of_chamber_min=max(chamber, default=None),
    )


def _new_numbers(rest: Plan, used: Iterable[str]) -> dict[str, str]:
    """Names for the dives of the rest that go on where those used before end: ``D9`` is followed by D10."""
    parts = [found.groups() for name in used if (found := _NUMBERED.match(name))]
    heads = Counter(head for head, _ in parts)
    head = heads.most_common(1)[0][0] if heads else ""
    following = max((int(number) for own, number in parts if own == head), default=0) + 1
    order = sorted(rest.dives, key=lambda d: (d.leave_surface_min, d.id))
    return {dive.id: f"{head}{following + n}" for n, dive in enumerate(order)}
