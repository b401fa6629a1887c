"""Moves: a plan changed as a person might change it. Whether it still holds is for the check alone to say.

Times, groups and rows that follow from a move are worked out by `planner.day.by_hand`; people, outfits and
cut duties are changed by hand. After each move posts that a dive now lacks are filled and those it no longer
needs are let go.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from random import Random

from planner.check.crew import people_asked
from planner.check.facts import Facts
from planner.day import left_over, with_briefings
from planner.day.by_hand import BY_HAND, Move, Takes, may_dive, may_hold, moved, swap, worked_out
from planner.job import Job
from planner.job.duties import BRIEFING, DIVER, DRESSED_DUTIES, STANDBY
from planner.plan import Dive, DutySpell, Plan

#: A move: the changed plan, or None where the plan has nothing to change that way.
Moved = Callable[[Random, Job, Plan], Plan | None]

#: How many moves are made at once at most, before the check is asked.
AT_ONCE = 3


def by_hand(job: Job, plan: Plan, move: Move) -> Plan:
    """A move by hand; whoever comes into dress wears what the one before wore."""
    return moved(plan, job, move, lambda _: 0)


def shift(random: Random, job: Job, plan: Plan) -> Plan | None:
    """One dive some minutes earlier or later."""
    dive = _dive(random, plan)
    if dive is None:
        return None
    by = random.choice((-60, -20, -5, -2, -1, 1, 2, 5, 20, 60))
    return by_hand(job, plan, Move(dive=dive.id, start_min=dive.leave_surface_min + by))


def shift_all_after(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A dive and every dive after it by as many minutes."""
    dive = _dive(random, plan)
    if dive is None:
        return None
    by, first = random.choice((-30, -10, -3, -1, 1, 5, 30)), dive.leave_surface_min
    for one in plan.dives:
        if one.leave_surface_min >= first:
            plan = by_hand(job, plan, Move(dive=one.id, start_min=one.leave_surface_min + by))
    return plan


def close_up(random: Random, job: Job, plan: Plan) -> Plan | None:
    """One dive to the moment at which something ends: another dive, its undressing, the start of the day."""
    dive = _dive(random, plan)
    if dive is None:
        return None
    dressing = dive.leave_surface_min - dive.dress_start_min
    edges = [w.start_min + dressing for w in job.day_windows]
    for other in plan.dives:
        if other.id != dive.id:
            ends = (other.reach_surface_min, other.undressed_min, other.out_min)
            edges += [*ends, *(e + dressing for e in ends)]
    edges += [t.end_min + e for t in plan.surface_tasks for e in (0, dressing)]
    return by_hand(job, plan, Move(dive=dive.id, start_min=random.choice(edges)))


def swap_order(random: Random, job: Job, plan: Plan) -> Plan | None:
    """Two dives in each other's place."""
    if len(plan.dives) < 2:
        return None
    one, other = sorted(random.sample(plan.dives, 2), key=lambda d: d.leave_surface_min)
    later = other.reach_surface_min - (one.reach_surface_min - one.leave_surface_min)
    plan = by_hand(job, plan, Move(dive=other.id, start_min=one.leave_surface_min))
    return by_hand(job, plan, Move(dive=one.id, start_min=later))


def lengthen(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A dive some minutes longer or shorter, or as long as its item still asks."""
    dive = _dive(random, plan)
    if dive is None:
        return None
    left = job.dive_item(dive.item).bottom_work_min - plan.worked_min(dive.item)
    bottom = dive.bottom_time_min + random.choice((-20, -5, -1, 1, 5, 20, left, left))
    return None if bottom < 1 else by_hand(job, plan, Move(dive=dive.id, bottom_time_min=bottom))


def split(random: Random, job: Job, plan: Plan) -> Plan | None:
    """An item's dive in two, the second after the first, by the same crew."""
    dive = _dive(random, plan)
    if dive is None:
        return None
    descent = dive.reach_bottom_min - dive.leave_surface_min
    part = random.randint(1, max(1, dive.work_min - 1)) if random.random() < 0.5 else dive.work_min
    rest = job.dive_item(dive.item).bottom_work_min - plan.worked_min(dive.item) + dive.work_min - part
    if rest < 1:
        return None
    plan = by_hand(job, plan, Move(dive=dive.id, bottom_time_min=part + descent))
    plan = _copied(plan, dive.id, dive.item)
    new = plan.dives[-1]
    start = new.leave_surface_min + random.choice((0, 1, 5, 30, 60))
    return by_hand(job, plan, Move(dive=new.id, start_min=start, bottom_time_min=rest + descent))


def another_item(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A dive on an item of which work is left, after one of the dives and by its crew."""
    left = [i for i in job.dive_items if plan.worked_min(i.name) < i.bottom_work_min]
    dive = _dive(random, plan)
    if dive is None or not left:
        return None
    item = random.choice(left)
    plan = worked_out(_copied(plan, dive.id, item.name), job, plan)
    new = plan.dives[-1]
    missing = item.bottom_work_min - plan.worked_min(item.name) + new.work_min
    bottom = (
        max(1, min(missing, random.choice((missing, missing, 10, 25)))) + new.bottom_time_min - new.work_min
    )
    start = new.leave_surface_min + random.choice((0, 1, 5, 30))
    return by_hand(job, plan, Move(dive=new.id, start_min=start, bottom_time_min=bottom))


def join(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A dive left out, its work given to another dive on its item (or to nobody)."""
    dive = _dive(random, plan)
    if dive is None:
        return None
    others = [d for d in plan.dives if d.item == dive.item and d.id != dive.id]
    plan = plan.replace(
        dives=tuple(d for d in plan.dives if d.id != dive.id),
        duties=tuple(s for s in plan.duties if s.dive != dive.id),
    )
    if others:
        taker = random.choice(others)
        longer = taker.bottom_time_min + dive.work_min
        return by_hand(job, plan, Move(dive=taker.id, bottom_time_min=longer))
    return worked_out(plan, job, plan)


def other_station(random: Random, job: Job, plan: Plan) -> Plan | None:
    dive = _dive(random, plan)
    if dive is None or len(job.stations) < 2:
        return None
    other = random.choice([s.name for s in job.stations if s.name != dive.station])
    return by_hand(job, plan, Move(dive=dive.id, station=other))


def task_moved(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A task on deck at another time."""
    if not plan.surface_tasks:
        return None
    task = random.choice(plan.surface_tasks)
    ends = [d.undressed_min for d in plan.dives] + [d.reach_surface_min for d in plan.dives]
    starts = [task.start_min + random.choice((-30, -5, -1, 1, 30)), job.day_windows[0].start_min, *ends]
    return by_hand(job, plan, Move(task=task.item, start_min=random.choice(starts)))


def other_person(random: Random, job: Job, plan: Plan) -> Plan | None:
    """Somebody else in a post: a diver, a standby diver, anyone on deck."""
    spell = _spell(random, plan)
    if spell is None:
        return None
    able = [p for p in may_hold(job, job.item(spell.item), spell.duty) if p != spell.person]
    if not able:
        return None
    take = Takes(spell.item, spell.duty, spell.person, random.choice(able), spell.dive)
    return by_hand(job, plan, Move(takes=(take,)))


def swap_people(random: Random, job: Job, plan: Plan) -> Plan | None:
    """Two people in each other's posts, on one dive or on all."""
    people = sorted({s.person for s in plan.duties})
    if len(people) < 2:
        return None
    one, other = random.sample(people, 2)
    dives = tuple(d.id for d in plan.dives if random.random() < 0.7)
    tasks = tuple(t.item for t in plan.surface_tasks)
    move = swap(plan, one, other, dives, tasks)
    return None if move.nothing else by_hand(job, plan, move)


def other_outfit(random: Random, job: Job, plan: Plan) -> Plan | None:
    """Another outfit on a diver or a standby diver."""
    worn = [s for s in plan.duties if s.outfit is not None]
    if not worn:
        return None
    spell, outfit = random.choice(worn), random.choice(job.outfits).name
    return plan.replace(
        dives=tuple(
            d.replace(
                divers=tuple(
                    x.replace(outfit=outfit) if (x.person, x.duty) == (spell.person, spell.duty) else x
                    for x in d.divers
                )
            )
            if d.id == spell.dive
            else d
            for d in plan.dives
        ),
        duties=tuple(s.replace(outfit=outfit) if s is spell else s for s in plan.duties),
    )


def handed_over(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A duty that changes hands at a moment of the day, both holding it for a while."""
    spell = _spell(random, plan)
    if spell is None or spell.duty == DIVER:
        return None
    edges = [t for d in plan.dives for t in (d.leave_surface_min, d.reach_surface_min, d.leave_bottom_min)]
    edges = [t for t in edges if spell.start_min < t < spell.end_min]
    if not edges:
        return None
    at, together = random.choice(edges), random.choice((0, 0, 5, 10))
    able = [p for p in may_hold(job, job.item(spell.item), spell.duty) if p != spell.person]
    if not able:
        return None
    first = spell.replace(end_min=min(spell.end_min, at + together))
    second = spell.replace(start_min=at, person=random.choice(able))
    return _respelled(plan, spell, first, second)


def duty_cut(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A duty that starts later or ends earlier, up to the next moment of a dive (or the other way)."""
    spell = _spell(random, plan)
    if spell is None:
        return None
    edges = [t for d in plan.dives for t in (d.dress_start_min, d.leave_surface_min, d.reach_surface_min)]
    edges += [d.undressed_min for d in plan.dives] + [spell.start_min + 1, spell.end_min - 1]
    at = random.choice(edges)
    cut = spell.replace(start_min=at) if random.random() < 0.5 else spell.replace(end_min=at)
    return _respelled(plan, spell, cut) if cut.start_min < cut.end_min else None


def duty_gone(random: Random, job: Job, plan: Plan) -> Plan | None:
    """A post given up altogether: somebody may be more than what is asked."""
    spell = _spell(random, plan)
    return None if spell is None or spell.duty == DIVER else _respelled(plan, spell)


MOVES: tuple[Moved, ...] = (
    shift,
    shift_all_after,
    close_up,
    close_up,
    swap_order,
    lengthen,
    lengthen,
    split,
    another_item,
    join,
    other_station,
    task_moved,
    other_person,
    other_person,
    swap_people,
    other_outfit,
    handed_over,
    duty_cut,
    duty_gone,
)


def neighbour(random: Random, job: Job, plan: Plan) -> tuple[Plan, str] | None:
    """A plan a few random moves away, and which they were; None where none could be made."""
    names: list[str] = []
    for _ in range(random.randint(1, AT_ONCE)):
        move = random.choice(MOVES)
        after = move(random, job, plan)
        if after is not None:
            plan, names = after, [*names, move.__name__]
    return (told_again(job, manned(random, job, plan)), ", ".join(names)) if names else None


def told_again(job: Job, plan: Plan) -> Plan:
    """The plan with what it says of itself made anew: what is left over, and no stages."""
    told = {left.item: left.reasons for left in plan.leftovers}
    plan = with_briefings(job, plan)
    return plan.replace(stages=(), leftovers=left_over(plan, job, told, BY_HAND))


def for_another(random: Random, job: Job, plan: Plan) -> Plan:
    """A plan of an easier job, made one of this job: what the tables say of it and who is needed, anew."""
    return told_again(job, manned(random, job, worked_out(plan, job, plan)))


def manned(random: Random, job: Job, plan: Plan) -> Plan:
    """Posts that a dive lacks given to anyone who may hold them; those of more than are asked let go."""
    facts = Facts(job, plan)
    duties = list(plan.duties)
    for known in facts.dives:
        own = [s for s in duties if s.dive == known.dive.id and s.duty not in DRESSED_DUTIES - {STANDBY}]
        have, asked = Counter(s.duty for s in own), people_asked(facts, known)
        for duty in sorted(have.keys() | asked.keys()):
            for _ in range(have[duty] - asked.get(duty, 0)):
                gone = [s for s in own if s.duty == duty]
                # two who share a watch are one post: only a duty nobody asks for is let go
                if duty not in asked:
                    duties.remove(gone[0])
                    own.remove(gone[0])
            if duty in DRESSED_DUTIES - {STANDBY}:
                continue
            for _ in range(asked.get(duty, 0) - have[duty]):
                able = _free(job, known.dive, duty, own)
                if able:
                    start, end = known.span_of(duty, job.rules.chamber_watch_min)
                    spell = DutySpell(
                        person=random.choice(able),
                        duty=duty,
                        start_min=start,
                        end_min=max(end, start + 1),
                        dive=known.dive.id,
                        item=known.item.name,
                        station=known.dive.station,
                        outfit=random.choice(job.outfits).name if duty == STANDBY else None,
                    )
                    duties.append(spell)
                    own.append(spell)
    return plan.replace(duties=tuple(duties))


def _free(job: Job, dive: Dive, duty: str, own: list[DutySpell]) -> list[str]:
    item = job.dive_item(dive.item)
    able = may_dive(job, item, duty) if duty in DRESSED_DUTIES else may_hold(job, item, duty)
    down = {d.person for d in dive.divers}
    return [p for p in able if p not in down and not any(s.person == p and s.duty == duty for s in own)]


def _dive(random: Random, plan: Plan) -> Dive | None:
    return random.choice(plan.dives) if plan.dives else None


def _spell(random: Random, plan: Plan) -> DutySpell | None:
    posts = [s for s in plan.duties if s.duty != BRIEFING]
    return random.choice(posts) if posts else None


def _respelled(plan: Plan, gone: DutySpell, *new: DutySpell) -> Plan:
    return plan.replace(duties=(*(s for s in plan.duties if s is not gone), *new))


def _copied(plan: Plan, dive_id: str, item: str) -> Plan:
    """The plan with one more dive on an item, right after another one and by its crew."""
    dive = next(d for d in plan.dives if d.id == dive_id)
    number = next(n for n in range(1, 99) if all(d.id != f"N{n}" for d in plan.dives))
    by = dive.reach_surface_min - dive.leave_surface_min
    times = ("dress_start_min", "leave_surface_min", "reach_bottom_min", "leave_bottom_min")
    later = {f: getattr(dive, f) + by for f in (*times, "reach_surface_min", "undressed_min")}
    out = dive.out_of_chamber_min
    new = dive.replace(
        id=f"N{number}", item=item, out_of_chamber_min=None if out is None else out + by, **later
    )
    spells = tuple(
        s.replace(dive=new.id, item=item, start_min=s.start_min + by, end_min=s.end_min + by)
        for s in plan.duties
        if s.dive == dive_id
    )
    return plan.replace(dives=(*plan.dives, new), duties=(*plan.duties, *spells))
