"""Rules that keep one person from one dive at one time, whatever else is planned that day.

The dive is put into a plan by itself, as short as is useful and with the best crew there is at that time, and
the check says what is wrong with it.
"""

from __future__ import annotations

from dataclasses import replace

from planner.check import check
from planner.check.told import OWN_WORDS
from planner.day import chamber_ascent_min, water_ascent_min
from planner.errors import TableRefusal
from planner.job import PinKind
from planner.job.duties import DIVER, STANDBY, crew_rule_of
from planner.plan.finding import Finding
from planner.plan.model import Plan, Reason, Status
from planner.schedule.draft.build import build_plan, exposures_of
from planner.schedule.draft.draft import Crew, Draft, DraftDive, NamedSpell
from planner.schedule.explain.reasons import standing_reasons
from planner.schedule.problem.eligibility import outfits_for
from planner.schedule.problem.matching import match_posts
from planner.schedule.problem.problem import DiveWork, Problem
from planner.tables.schedule import NO_STOP

#: What a plan of one dive breaks only because it is one, or because of who holds which post: other work,
#: other outfits or other hands may mend it, so the whole model decides about these.
_NOT_OF_THE_DIVE = OWN_WORDS | {"precedence", "standby-dressing", "outfit-one-wearer", "day-blocks"}


def standing_in_the_way(problem: Problem, name: str, diver: str, leave_min: int) -> list[Reason]:
    """What the check finds on the dive by itself; empty when nothing forbids it.

    Parameters
    ----------
    name
        The dive item.
    diver
        Who would dive.
    leave_min
        Job minute of leaving the surface.

    Returns
    -------
    list
        Rules that keep anybody from the item at any time; or, where there are none, the check's findings that
        are no fault of the other people on the dive.
    """
    work = _work_at(problem, name, leave_min)
    data = problem.dives[work]
    standing = standing_reasons(problem, data)
    if standing:
        return standing
    plan = _dive_alone(problem, work, diver, leave_min)
    # Pins that give duties and times are for the whole model; these take people away.
    pins = tuple(p for p in problem.job.pins if p.kind in (PinKind.AWAY, PinKind.STAYS_UP))
    passed_over = _NOT_OF_THE_DIVE | {crew_rule_of(p.with_duty) for p in problem.job.rules.pairs}
    crew_rules = {"divers-at-a-time", *(crew_rule_of(row.duty) for row in problem.job.rules.asked_rows)}
    others = {p.name for p in problem.people} - {diver}
    told: dict[str, Reason] = {}
    of_the_crew: dict[str, Reason] = {}
    for finding in check(problem.job.replace(pins=pins), plan):
        if finding.rule not in passed_over and not _is_about(finding, others):
            found = of_the_crew if finding.rule in crew_rules else told
            found.setdefault(finding.sentence, Reason(rule=finding.rule, sentence=finding.sentence))
    # Nobody is there before the day begins: what the crew lacks is told where nothing else forbids the dive.
    return list((told or of_the_crew).values())


def _is_about(finding: Finding, people: set[str]) -> bool:
    """Whether a finding stands at one of these people: somebody else might take that place."""
    return any(part in people for part in finding.where.split(", "))


def _work_at(problem: Problem, name: str, leave_min: int) -> int:
    """The shallowest depth at which an item may be dived at that time; the deepest where at none."""
    works = problem.by_item[name]
    open_then = [
        k
        for k in works
        if any(p.span.start_min <= leave_min < p.span.end_min for p in problem.dives[k].placements)
    ]
    return open_then[-1] if open_then else works[0]


def _dive_alone(problem: Problem, work: int, diver: str, leave_min: int) -> Plan:
    """A plan of the shortest useful dive and nothing else, with as many of its posts filled as can be."""
    data = problem.dives[work]
    open_then = [p for p in data.placements if p.span.start_min <= leave_min < p.span.end_min]
    # Where only some stations may have a dive with stops, one of those.
    best = max(open_then, key=lambda p: p.with_stops, default=None)
    station = best.station if best else data.item.station or problem.job.stations[0].name
    bottom = data.descent_min + data.least_work_min
    reach = leave_min + bottom + data.ascent_least_min
    dress = leave_min - data.dressing_min
    dive = DraftDive(
        work,
        station,
        dress,
        leave_min,
        bottom,
        reach,
        reach + data.undressing_min,
        dress,
        ((diver, DIVER),),
        (),
    )
    try:
        (exposures,) = exposures_of(problem, Draft((dive,), ()))
    except TableRefusal:
        # The check tells it: for that the plan is made as if everybody were clean.
        problem = replace(problem, brought_in={})
        (exposures,) = exposures_of(problem, Draft((dive,), ()))
    schedules = [e.schedule for _, e in exposures]
    inside = chamber_ascent_min(schedules)
    reach = leave_min + bottom + water_ascent_min(schedules)
    dive = replace(
        dive,
        reach_surface_min=reach,
        undressed_min=reach + data.undressing_min,
        out_of_chamber_min=None if inside is None else leave_min + bottom + inside,
        deco=any(s.way_up != NO_STOP for s in schedules),
    )
    dive, spells = _manned(problem, data, dive, diver)
    try:
        return build_plan(problem, *_dressed(problem, data, dive, spells), status=Status.CONSTRUCTIVE)
    except TableRefusal:
        # One of the others in the water: told, if it matters, by the whole model.
        clean = replace(problem, brought_in={p: b for p, b in problem.brought_in.items() if p == diver})
        return build_plan(clean, *_dressed(problem, data, dive, spells), status=Status.CONSTRUCTIVE)


def _manned(
    problem: Problem, data: DiveWork, dive: DraftDive, diver: str
) -> tuple[DraftDive, tuple[NamedSpell, ...]]:
    """The dive with everyone who is there then and able, no person twice; posts may stay empty."""

    def there(names: frozenset[str], from_min: int, to_min: int) -> list[str]:
        return [
            p
            for p in sorted(names - {diver})
            if any(s.start_min <= from_min and to_min <= s.end_min for s in problem.hours[p])
        ]

    def can_go(person: str) -> bool:
        past = problem.brought_in.get(person)
        leave = dive.leave_surface_min
        return problem.watch_until.get(person, 0) <= leave and (
            past is None or leave - past.ended_min >= data.standby_wait_min[past.group]
        )

    paired = {p.with_duty for p in problem.job.rules.pairs}
    posts: list[tuple[str, int, int, list[str]]] = []
    bench = dive.dress_start_min, dive.held_until_min
    posts += [(duty, *bench, there(frozenset(data.divers), *bench)) for duty in data.seats[1:]]
    watch = dive.standing
    ready = [p for p in there(frozenset(data.standby_people), *watch) if can_go(p)]
    posts += [(STANDBY, *watch, ready)] * data.standbys
    for post in data.posts:
        if post.duty not in paired:
            span = dive.stretch(post.held, problem.job.rules.chamber_watch_min)
            posts += [(post.duty, *span, there(problem.qualified[post.duty], *span))] * post.people_needed(
                dive.deco
            )
    named = match_posts([able for *_, able in posts])
    held = [
        (p, duty, start, end) for p, (duty, start, end, _) in zip(named, posts, strict=True) if p is not None
    ]
    seats = tuple((p, duty) for p, duty, *_ in held if duty in data.seats)
    spells = tuple(
        NamedSpell(p, duty, start, end, dive=0)
        for p, duty, start, end in held
        if duty not in (*data.seats, STANDBY)
    )
    standby = tuple(p for p, duty, *_ in held if duty == STANDBY)
    return replace(dive, seats=(*dive.seats, *seats), standby=standby), spells


def _dressed(
    problem: Problem, data: DiveWork, dive: DraftDive, spells: tuple[NamedSpell, ...]
) -> tuple[Draft, Crew]:
    """The dive with outfits: each person one that fits, another's where there are none left."""
    job, day = problem.job, problem.job.clock.day_of(dive.leave_surface_min)
    people = [p for p, _ in dive.seats] + list(dive.standby)
    own = [outfits_for(job, data.item, job.person(p), day) for p in people]
    fitting = [sorted(fits & data.outfits or fits) for fits in own]
    of_the_kind = next(o.name for o in job.outfits if o.kind is data.item.gear)
    outfits = {
        (0, p): given or next(iter(fits), of_the_kind)
        for p, given, fits in zip(people, match_posts(fitting), fitting, strict=True)
    }
    return Draft((dive,), ()), Crew(spells, outfits, 0)
