"""What a day leaves behind in people and gear: dives made, hours worked, defects, meters, work done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from planner.job.air_plant import AirPlant
from planner.job.base import Span
from planner.job.gear import Outfit
from planner.job.people import PastDive
from planner.job.words import CHAMBER_OPERATOR, DIVER, STANDBY, OutfitState
from planner.log.actual import ActualDay, ActualDive
from planner.log.applies import Applies, applies
from planner.log.entry import Kind
from planner.plan.model import DutySpell

#: The deepest and longest dive that a job can tell of a person's past.
DEEPEST_PAST_FSW, LONGEST_PAST_MIN = 220, 1102


@dataclass(frozen=True)
class Held:
    """A person in a duty, by the log where it says so, else as planned. Job minutes."""

    person: str
    duty: str
    start_min: int
    end_min: int
    dive: str | None
    item: str
    outfit: str | None = None


def dives_by_person(day: ActualDay, now_min: int) -> dict[str, tuple[PastDive, ...]]:
    """The finished dives of the day as each diver's past dives, with the group that they left.

    Where the tables printed no group the past dive has none either, so that it is worked out (and refused)
    again from depth and time; depth and time are never made less.
    """
    made: dict[str, list[PastDive]] = defaultdict(list)
    for one in applies(day, now_min):
        out = one.out_at_min()
        if one.dive.over and out is not None:
            made[one.person].append(_past(one, out))
    return {name: tuple(dives) for name, dives in made.items()}


def _past(one: Applies, out_min: int) -> PastDive:
    bottom = one.dive.bottom_time_min(out_min)
    return PastDive(
        depth_fsw=min(DEEPEST_PAST_FSW, max(one.dive.depth_fsw, one.series_depth_fsw)),
        bottom_time_min=min(LONGEST_PAST_MIN, bottom),
        surfaced_min=out_min,
        group_after=one.group_after,
    )


def held(day: ActualDay, now_min: int) -> tuple[Held, ...]:
    """Who held which duty until now.

    Spells of a dive that was made move with its actual times; those of one that was not made count as
    planned as far as their time has come, since the people were there. Where somebody took over, the duty
    changes hands at that minute.
    """
    spells: list[Held] = []
    outs: dict[str, int] = {}
    for one in applies(day, now_min):
        out = one.out_at_min()
        if out is not None:
            outs[one.dive.id] = max(out, outs.get(one.dive.id, out))
    for spell in day.plan.duties:
        start, end = _times(day, spell, outs, now_min)
        spells.append(
            Held(
                spell.person,
                spell.duty,
                start,
                min(end, max(start, now_min)),
                spell.dive,
                spell.item,
                spell.outfit,
            )
        )
    for dive in day.dives:
        spells = _with_actual_divers(day, dive, spells, now_min)
    for entry in day.log.of_kind(Kind.TOOK_OVER):
        spells = _handed(spells, entry.people[0], entry.duty or "", entry.dive, entry.at_min, now_min)
    return tuple(s for s in spells if s.start_min < s.end_min)


def _times(day: ActualDay, spell: DutySpell, outs: Mapping[str, int], now_min: int) -> tuple[int, int]:
    dive = day.dive(spell.dive) if spell.dive is not None else None
    if dive is None or dive.planned is None:
        return spell.start_min, spell.end_min
    plan = dive.planned
    start = spell.start_min + dive.leave_surface_min - plan.leave_surface_min
    up = dive.reach_surface_min
    if up is None:
        return start, max(start, now_min)
    if spell.duty == CHAMBER_OPERATOR:
        # the watch begins when the last diver is out of pressure
        return start, outs.get(dive.id, up) + spell.end_min - plan.out_min
    return start, up + spell.end_min - plan.reach_surface_min


def _with_actual_divers(day: ActualDay, dive: ActualDive, spells: list[Held], now_min: int) -> list[Held]:
    """Divers who were not those of the plan hold the duty in their place."""
    planned = {d.person for d in dive.planned.divers} if dive.planned else set()
    out = [
        s for s in spells if not (s.dive == dive.id and s.person in planned - set(dive.people) and s.outfit)
    ]
    up = dive.reach_surface_min
    end = now_min if up is None else dive.undressed_min(day.job, up)
    for number, name in enumerate(dive.people):
        if name not in planned:
            worn = dive.outfits[number] if number < len(dive.outfits) else None
            out.append(Held(name, DIVER, dive.dress_start_min(day.job), end, dive.id, dive.item.name, worn))
    return out


def _handed(
    spells: list[Held], person: str, duty: str, dive: str | None, at_min: int, now_min: int
) -> list[Held]:
    """One person takes a duty from whoever holds it at that minute, to the end of that spell."""
    out: list[Held] = []
    done = False
    for s in spells:
        mine = s.duty == duty and (dive is None or s.dive == dive) and s.start_min <= at_min < s.end_min
        if done or not mine or s.person == person:
            out.append(s)
            continue
        done = True
        out.append(Held(s.person, s.duty, s.start_min, at_min, s.dive, s.item, s.outfit))
        out.append(Held(person, s.duty, at_min, s.end_min, s.dive, s.item))
    if not done and not any(s.person == person and s.start_min <= at_min < s.end_min for s in out):
        out.append(Held(person, duty, at_min, now_min, dive, ""))
    return out


def hours_worked(day: ActualDay, now_min: int) -> dict[str, Span]:
    """Each person's day from the first duty to the end of the last: breaks count as work (the safe side)."""
    out: dict[str, Span] = {}
    for s in held(day, now_min):
        before = out.get(s.person)
        start = s.start_min if before is None else min(before.start_min, s.start_min)
        end = s.end_min if before is None else max(before.end_min, s.end_min)
        out[s.person] = Span(start_min=start, end_min=end)
    return out


def standby_minutes(day: ActualDay, now_min: int) -> dict[str, int]:
    """Minutes that each person stood by for dives that were made."""
    made = {d.id for d in day.dives}
    out: dict[str, int] = defaultdict(int)
    for s in held(day, now_min):
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
    pressure: dict[str, float] = {}
    hours: dict[str, float] = {}
    for entry in day.log.of_kind(Kind.AIR_READING):
        if entry.thing is not None and entry.pressure_psi is not None:
            pressure[entry.thing] = entry.pressure_psi
        if entry.thing is not None and entry.hours_run is not None:
            hours[entry.thing] = entry.hours_run
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
