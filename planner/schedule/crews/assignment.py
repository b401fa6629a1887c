"""Name the people of every support duty for a draft whose times are fixed, and give out the outfits.

Exact: it finds a crew whenever one exists for those times. Among crews: beside a plan in force the fewest
changed duties, then the least overtime, then the fewest people-hours, then as few different duties a person
as can be, so that the watchbill reads simply.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

from ortools.sat.python import cp_model

from planner.plan.changed import HeldDuty
from planner.schedule.crews.greedy_assignment import greedy_crew
from planner.schedule.crews.outfits import give_outfits
from planner.schedule.crews.posts import Post, support_posts
from planner.schedule.draft.draft import Crew, Draft
from planner.schedule.draft.values import HeldDuties, named_in_draft, person_days
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.duty_hours import hours_rules
from planner.schedule.model.interval import Lit
from planner.schedule.model.one_briefing import settled_calls
from planner.schedule.model.person_days import PersonDays, Spell, days_held, overtime_of
from planner.schedule.model.solving import solved
from planner.schedule.model.watch_relief import Watch, watch_relief
from planner.schedule.problem.duty_hours import hours_hold, relieved
from planner.schedule.problem.problem import Problem

#: Seconds for the first aim, and for each that follows.
FIRST_SECONDS = 2.0
FURTHER_SECONDS = 1.2


@dataclass(frozen=True)
class Kept:
    """What a crew must keep of the stages that are settled, and the duties of the plan in force."""

    in_force: HeldDuties | None = None
    changes_at_most: int | None = None
    overtime_at_most_min: int | None = None
    people_at_most_min: int | None = None


#: With more choices of a person for a post than this, a plan shown in passing is named by rule of thumb.
QUICK_ABOVE = 4000


def name_crew(
    problem: Problem,
    draft: Draft,
    kept: Kept | None = None,
    deadline: Deadline | None = None,
    *,
    seed: int = 0,
    readable: bool = True,
    known: Crew | None = None,
    soon: bool = False,
) -> Crew | None:
    """A crew for the draft, or None when its times allow none within what is kept.

    ``known``: a crew for these very times, named in passing, that keeps all of it: its overtime is not
    searched again. ``readable`` False leaves out the last two aims, for a plan that is only shown in passing.
    ``soon``: None as well where none is found in a short time.
    On a large day such a plan, or any once the deadline is past, is named by rule of thumb where that finds a
    crew.
    """
    kept, deadline = kept or Kept(), deadline or Deadline()
    worn = give_outfits(problem, draft, readable=readable)
    if worn is None:
        return None
    posts = support_posts(problem, draft)
    if posts is None:
        return None
    thumb: Crew | None = None
    if (
        sum(len(p.able) for p in posts) > QUICK_ABOVE
        and kept.in_force is None
        and kept.people_at_most_min is None
    ):
        thumb = _by_thumb(problem, draft, posts, worn)
        most = kept.overtime_at_most_min
        if thumb is not None and most is not None and thumb.overtime_min > most:
            thumb = None
    if thumb is not None and (not deadline.left_s or not readable):
        return thumb
    model = cp_model.CpModel()
    chosen: list[dict[str, cp_model.IntVar]] = []
    for k, post in enumerate(posts):
        who = {p: model.new_bool_var(f"{k}.{p}") for p in post.able}
        model.add(sum(who.values()) == post.count)
        for p in post.pinned:
            model.add(who[p] == 1)
        chosen.append(who)
    _one_at_a_time(model, problem, posts, chosen)
    starts = [post.start_min for post in posts] + [start for _, start, _, _ in draft.water_spells()]
    calls = settled_calls(model, problem, starts)
    days = PersonDays(model, problem, _spells(problem, draft, posts, chosen), calls)
    hours_rules(days)
    watches: dict[str, list[Watch]] = {}
    for post, who in zip(posts, chosen, strict=True):
        for p, literal in who.items() if post.watch else ():
            watches.setdefault(p, []).append(Watch(literal, post.start_min, post.end_min))
    watch_relief(model, problem, watches)
    overtime = cp_model.LinearExpr.sum(overtime_of(days))
    people = cp_model.LinearExpr.sum(days_held(days)) if readable or kept.people_at_most_min else None
    aims: list[cp_model.LinearExpr] = []
    if kept.in_force is not None:
        changes, fewest = _changes(model, problem, draft, kept.in_force, posts, chosen)
        aims.append(fewest)
        if kept.changes_at_most is not None:
            model.add(changes <= kept.changes_at_most)
    if known is None:
        aims.append(overtime)
    else:
        model.add(overtime <= known.overtime_min)
    if kept.overtime_at_most_min is not None:
        model.add(overtime <= kept.overtime_at_most_min)
    if people is not None and kept.people_at_most_min is not None:
        model.add(people <= kept.people_at_most_min)
    if people is not None and readable:
        aims += [people, _variety(model, posts, chosen)]
    if known is not None or thumb is not None:
        held_by = set((known or thumb or Crew((), {}, 0)).spells)
        for post, who in zip(posts, chosen, strict=True):
            for p, literal in who.items():
                model.add_hint(literal, post.spell(p) in held_by)
    first_s = FIRST_SECONDS if known is None else FURTHER_SECONDS
    best = _in_turn(
        model, aims, seed, deadline, first_s, however_long=thumb is None and not soon, counts_last=readable
    )
    if best is None:
        return thumb
    spells = [
        post.spell(p)
        for post, who in zip(posts, chosen, strict=True)
        for p, literal in who.items()
        if best.value(literal)
    ]
    crew = _with_overtime(problem, draft, Crew(tuple(spells), worn, 0))
    return thumb if thumb is not None and thumb.overtime_min < crew.overtime_min else crew


def _with_overtime(problem: Problem, draft: Draft, crew: Crew) -> Crew:
    ordinary = problem.job.rules.overtime_after_min
    stretches = person_days(problem, draft, crew).values()
    return replace(crew, overtime_min=sum(max(0, last - first - ordinary) for first, last in stretches))


def _in_turn(
    model: cp_model.CpModel,
    aims: list[cp_model.LinearExpr],
    seed: int,
    deadline: Deadline,
    first_s: float,
    *,
    however_long: bool,
    counts_last: bool,
) -> cp_model.CpSolver | None:
    """Minimise the aims in strict order, each held for the next; None where the model holds no crew.

    ``counts_last``: the last aim counts yes or no alone. Then it is searched without linear relaxations,
    which say nothing of it and cost half the time.

    ``however_long`` False: None as well where none is found in a short time.
    """
    best: cp_model.CpSolver | None = None
    for place, aim in enumerate(aims, start=1):
        if best is None:
            model.minimize(aim)
            best, status = _solved(model, seed, first_s, deadline)
            if status == cp_model.UNKNOWN and however_long:
                # Rare: no crew and no proof in that time. Any will do, however long it takes to find.
                model.clear_objective()
                best, status = _solved(model, seed, 100 * FIRST_SECONDS, deadline)
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                return None
        elif best.value(aim) > 0:
            model.clear_hints()
            for index, value in enumerate(best.response_proto.solution):
                model.add_hint(model.get_int_var_from_proto_index(index), value)
            model.minimize(aim)
            counts = counts_last and place == len(aims)
            following, status = _solved(model, seed, FURTHER_SECONDS, deadline, linear=not counts)
            if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                best = following
        model.add(aim <= int(best.value(aim)))
    return best


def _changes(
    model: cp_model.CpModel,
    problem: Problem,
    draft: Draft,
    in_force: HeldDuties,
    posts: list[Post],
    chosen: list[dict[str, cp_model.IntVar]],
) -> tuple[cp_model.LinearExpr, cp_model.LinearExpr]:
    """Changed duties beside the plan in force; and the same, then the people whose day changes."""
    divers = named_in_draft(problem, draft)
    held: dict[HeldDuty, list[cp_model.IntVar]] = {}
    for post, who in zip(posts, chosen, strict=True):
        for person, literal in who.items():
            held.setdefault((person, post.duty, post.item, post.number), []).append(literal)
    terms: list[cp_model.LinearExprT] = [len(in_force ^ divers)]
    days: dict[str, list[cp_model.LinearExprT]] = {}
    """Person → expressions that are 1 where one of his duties changes."""
    for person, *_ in (in_force ^ divers) - held.keys():
        days.setdefault(person, []).append(1)
    for duty, literals in held.items():
        holds = literals[0]
        if len(literals) > 1:
            # Two posts in one duty of a dive, as a hand at the standby diver's dressing is.
            holds = model.new_bool_var("holds")
            model.add_max_equality(holds, literals)
        terms.append(-holds if duty in in_force else holds)
        days.setdefault(duty[0], []).append(1 - holds if duty in in_force else holds)
    changed = []
    for person, parts in days.items():
        day = model.new_bool_var(f"changed.{person}")
        for part in parts:
            model.add(day >= part)
        changed.append(day)
    changes = cp_model.LinearExpr.sum(terms)
    return changes, changes * (len(changed) + 1) + cp_model.LinearExpr.sum(changed)


def _by_thumb(
    problem: Problem, draft: Draft, posts: list[Post], worn: dict[tuple[int, str], str]
) -> Crew | None:
    """A crew by rule of thumb; None where it finds none within the rules of hours."""
    breadth = {p.name: len(p.duties) for p in problem.people}
    named = greedy_crew(posts, breadth, problem.job.rules.may_combine)
    if named is None:
        return None
    spells = tuple(post.spell(p) for post, who in zip(posts, named, strict=True) for p in sorted(who))
    held: dict[str, list[tuple[int, int]]] = {}
    leaves: dict[str, list[int]] = {}
    for name, start, end, leave in draft.water_spells():
        held.setdefault(name, []).append((start, end))
        if leave is not None:
            leaves.setdefault(name, []).append(leave)
    for spell in spells:
        held.setdefault(spell.person, []).append((spell.start_min, spell.end_min))
    calls = problem.job.calls({name: [start for start, _ in own] for name, own in held.items()})
    for name, own in held.items():
        person, dived = problem.job.person(name), leaves.get(name, [])
        if not hours_hold(problem, person, own[:-1], dived, *own[-1], calls):
            return None
    watches: dict[str, list[tuple[int, int]]] = {}
    for post, who in zip(posts, named, strict=True):
        for name in who if post.watch else ():
            watches.setdefault(name, []).append((post.start_min, post.end_min))
    if not all(relieved(problem.job.rules, own) for own in watches.values()):
        return None
    return _with_overtime(problem, draft, Crew(spells, worn, 0))


def _solved(
    model: cp_model.CpModel, seed: int, seconds: float, deadline: Deadline, *, linear: bool = True
) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = seed
    if not linear:
        solver.parameters.linearization_level = 0
    deadline.step(solver, seconds)
    status = solved(solver, model)
    deadline.spend(solver)
    return solver, status


def _one_at_a_time(
    model: cp_model.CpModel, problem: Problem, posts: list[Post], chosen: list[dict[str, cp_model.IntVar]]
) -> None:
    """one-duty-at-a-time: of the posts held at a moment a person has one.

    Said once for each moment at which a post begins (all that meet, meet there), which the solver takes in
    far sooner than pair by pair. Posts of one dive that may go together count as one.
    """
    may = problem.job.rules.may_combine
    for person in problem.people:
        own = [k for k, who in enumerate(chosen) if person.name in who]
        as_one: dict[tuple[int, ...], cp_model.IntVar] = {}
        said: set[tuple[int, ...]] = set()
        for moment in sorted({posts[k].start_min for k in own}):
            meet = tuple(k for k in own if posts[k].start_min <= moment < posts[k].end_min)
            if len(meet) < 2 or meet in said:
                continue
            said.add(meet)
            literals: list[cp_model.IntVar] = []
            by_dive: dict[int, list[int]] = {}
            for k in meet:
                by_dive.setdefault(-1 - k if posts[k].dive is None else posts[k].dive or 0, []).append(k)
            for group in by_dive.values():
                own_literals = [chosen[k][person.name] for k in group]
                pairs = list(combinations(group, 2))
                if not any(may(posts[i].duty, posts[j].duty) for i, j in pairs):
                    literals += own_literals
                    continue
                for i, j in pairs:
                    if not may(posts[i].duty, posts[j].duty):
                        model.add_at_most_one([chosen[i][person.name], chosen[j][person.name]])
                if tuple(group) not in as_one:
                    one = as_one[tuple(group)] = model.new_bool_var("")
                    for literal in own_literals:
                        model.add_implication(literal, one)
                literals.append(as_one[tuple(group)])
            if len(literals) > 1:
                model.add_at_most_one(literals)


def _spells(
    problem: Problem, draft: Draft, posts: list[Post], chosen: list[dict[str, cp_model.IntVar]]
) -> dict[str, list[Spell]]:
    """Every person's stretches of duty: the draft's, which are settled, and the posts that may be his."""
    out: dict[str, list[Spell]] = {}
    for person, start, end, leave in draft.water_spells():
        settled: dict[int, Lit | None] = {problem.day_of(start): None}
        out.setdefault(person, []).append(Spell(None, start, end, settled, leave))
    for post, who in zip(posts, chosen, strict=True):
        for person, literal in who.items():
            day: dict[int, Lit | None] = {problem.day_of(post.start_min): None}
            out.setdefault(person, []).append(Spell(literal, post.start_min, post.end_min, day))
    return out


def _variety(
    model: cp_model.CpModel, posts: list[Post], chosen: list[dict[str, cp_model.IntVar]]
) -> cp_model.LinearExpr:
    """Number of different duties summed over people."""
    by_duty: dict[tuple[str, str], list[cp_model.IntVar]] = {}
    for post, who in zip(posts, chosen, strict=True):
        for person, literal in who.items():
            by_duty.setdefault((person, post.duty), []).append(literal)
    used = []
    for (person, duty), literals in by_duty.items():
        one = model.new_bool_var(f"{person}.{duty}")
        for literal in literals:
            model.add_implication(literal, one)
        used.append(one)
    return cp_model.LinearExpr.sum(used)
