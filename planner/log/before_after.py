"""A day before and after a replan: what differs for each person, in a line; what is dropped, and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Mapping
from dataclasses import dataclass

from planner.job.duties import BRIEFING
from planner.job.job import Job
from planner.plan.model import DutySpell, Plan, Reason


@dataclass(frozen=True)
class PersonChange:
    """What changes for one person, in one line."""

    who: str
    told: str


@dataclass(frozen=True)
class WorkChange:
    """An item of which more or less is planned than before, in minutes; why not all of it, where known."""

    item: str
    was_min: int
    now_min: int
    needed_min: int
    reasons: tuple[Reason, ...]

    @property
    def told(self) -> str:
        """``now 30 min, not 60 min``."""
        return f"now {self.now_min} min, not {self.was_min} min"


@dataclass(frozen=True)
class _Held:
    """What one person has in one dive, task or briefing: ``at_min`` is leave surface, or the start."""

    duties: tuple[str, ...]
    at_min: int
    end_min: int
    where: str
    outfit: str


#: An item, and which of its dives that both plans still have before them, from 0; 0 for what is no dive.
_Thing = tuple[str, int]


def changes(
    old: Plan, new: Plan, job: Job, from_min: int = -(10**6), made: Container[str] = ()
) -> tuple[PersonChange, ...]:
    """What is different for each person from a minute on, by name; people without a change are left out.

    Numbers of dives and who else takes part do not matter: the n-th dive of an item is held against the n-th.

    Parameters
    ----------
    from_min
        Duties that ended by then are past.
    made
        Dives that were made or are in the water: what happened is no change of the plan.
    """
    before, after = _held(old, from_min, made), _held(new, from_min, made)
    found = []
    for person in sorted({*before, *after}):
        was, now = before.get(person, {}), after.get(person, {})
        things = sorted({*was, *now}, key=lambda thing: ((now.get(thing) or was[thing]).at_min, thing))
        told = [line for thing in things if (line := _told(was.get(thing), now.get(thing), job))]
        if told:
            found.append(PersonChange(person, "; ".join(told)))
    return tuple(found)


def _held(plan: Plan, from_min: int, made: Container[str]) -> Mapping[str, Mapping[_Thing, _Held]]:
    """What each person has before him, by what it is for."""
    dives = {d.id: d for d in plan.dives if d.id not in made}
    things: dict[str, _Thing] = {}
    seen: dict[str, int] = defaultdict(int)
    for d in sorted(dives.values(), key=lambda d: (d.leave_surface_min, d.id)):
        things[d.id] = (d.item, seen[d.item])
        seen[d.item] += 1
    own: dict[str, dict[_Thing, list[DutySpell]]] = defaultdict(lambda: defaultdict(list))
    for s in plan.duties:
        if s.end_min > from_min and (s.dive is None or s.dive in dives):
            # A briefing is for all dives: its item is only the one that it is held before.
            task = (BRIEFING, 0) if s.duty == BRIEFING else (s.item, 0)
            own[s.person][task if s.dive is None or s.duty == BRIEFING else things[s.dive]].append(s)
    found: dict[str, dict[_Thing, _Held]] = defaultdict(dict)
    for person, spells_of in own.items():
        for thing, spells in spells_of.items():
            first = min(spells, key=lambda s: s.start_min)
            dive = dives.get(first.dive or "") if thing[0] != BRIEFING else None
            where = f" on {dive.id} ({dive.item})" if dive is not None else f" for {first.item}"
            found[person][thing] = _Held(
                duties=tuple(dict.fromkeys(sorted(s.duty for s in spells))),
                at_min=first.start_min if dive is None else dive.leave_surface_min,
                end_min=max(s.end_min for s in spells),
                where="" if thing[0] == BRIEFING else where,
                outfit=next((s.outfit for s in spells if s.outfit), ""),
            )
    return found


def _told(was: _Held | None, now: _Held | None, job: Job) -> str:
    """``now standby diver on D3 (Weld) 13:24, not diver``; blank where nothing differs."""
    if now is None:
        return "" if was is None else f"no more {_posts(was)}{was.where} {job.clock.hhmm(was.at_min)}"
    at = job.clock.hhmm(now.at_min)
    told = f"now {_posts(now)}{now.where} {at}"
    if was is None:
        return told
    not_any_more = [] if was.duties == now.duties else [_posts(was)]
    if was.at_min != now.at_min:
        not_any_more.append(job.clock.hhmm(was.at_min))
    elif was.end_min != now.end_min and not not_any_more:
        return f"{told}, until {job.clock.hhmm(now.end_min)}, not {job.clock.hhmm(was.end_min)}"
    if was.outfit and now.outfit and was.outfit != now.outfit:
        told += f" in {now.outfit}"
        not_any_more = not_any_more or [was.outfit]
    return f"{told}, not {', '.join(not_any_more)}" if not_any_more else ""


def _posts(held: _Held) -> str:
    return " and ".join(held.duties)


def work_changes(old: Plan, new: Plan, job: Job) -> tuple[WorkChange, ...]:
    """Items whose planned minutes of the day are different, in the order of the job."""
    why = {left.item: left.reasons for left in new.leftovers}
    found = []
    for item in job.items:
        was, now = old.worked_min(item.name), new.worked_min(item.name)
        if was != now:
            found.append(WorkChange(item.name, was, now, item.needed_min, why.get(item.name, ())))
    return tuple(found)
