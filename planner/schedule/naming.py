"""Name the people of every support duty for a draft whose times are fixed, and give out the outfits.

Exact: it finds a crew whenever one exists for those times. Among crews: least overtime first, then as few
different duties a person as can be, so that the watchbill reads simply.
"""

from __future__ import annotations

from itertools import combinations

from ortools.sat.python import cp_model

from planner.job import PinKind
from planner.schedule.draft import Crew, Draft, DraftDive, NamedSpell
from planner.schedule.outfitting import give_outfits
from planner.schedule.problem import Problem, away
from planner.schedule.quick_naming import Post, quick_crew

#: Deterministic seconds (so that a run repeats) for the least overtime, and for a crew simple to read.
OVERTIME_SECONDS = 0.5
READABLE_SECONDS = 0.3


#: With more choices of a person for a post than this, a plan shown in passing is named by rule of thumb.
QUICK_ABOVE = 4000


def support_posts(problem: Problem, draft: Draft) -> list[Post]:
    """Every support post that a draft asks for."""
    posts = []
    for k, dive in enumerate(draft.dives):
        for post in problem.dives[dive.work].posts:
            count = post.asked(dive.deco)
            start, end = stretch_of(problem, dive, post.held)
            if count:
                posts.append(Post(post.duty, count, start, end, dive=k))
    for k, task in enumerate(draft.tasks):
        data = problem.tasks[task.task]
        end = task.start_min + data.item.duration_min
        posts += [Post(duty, count, task.start_min, end, task=k) for duty, count in data.crew]
    return posts


def stretch_of(problem: Problem, dive: DraftDive, held: str) -> tuple[int, int]:
    """When a support post of a dive is held."""
    return {
        "bench": (dive.dress_start_min, dive.undressed_min),
        "watch": (dive.watch_start_min, dive.reach_surface_min),
        "chamber": (
            dive.leave_surface_min,
            dive.out_min + problem.job.rules.chamber_watch_min,
        ),
    }[held]


def name_crew(
    problem: Problem,
    draft: Draft,
    *,
    overtime_at_most_min: int | None = None,
    seed: int = 0,
    readable: bool = True,
    hurried: bool = False,
) -> Crew | None:
    """A crew for the draft, or None when its times allow none.

    ``readable`` False leaves out the second solve, for a plan that is only shown in passing. On a large day
    such a plan, or any once the budget is spent (``hurried``), is named by rule of thumb where that finds a
    crew.
    """
    worn = give_outfits(problem, draft, readable=readable)
    if worn is None:
        return None
    posts = support_posts(problem, draft)
    fixed = _named_spells(draft)
    able: list[list[str]] = []
    pinned: list[frozenset[str]] = []
    for post in posts:
        free = [
            p
            for p in sorted(problem.qualified[post.duty])
            if not _meets(away(problem, p) + fixed.get(p, []), post.start_min, post.end_min)
        ]
        held = _pinned(problem, draft, post)
        if len(free) < post.count or not held <= set(free):
            return None
        able.append(free)
        pinned.append(frozenset(held))
    thumb: Crew | None = None
    if sum(map(len, able)) > QUICK_ABOVE:
        quick = _by_thumb(problem, draft, posts, able, pinned)
        if quick is not None and (overtime_at_most_min is None or quick[1] <= overtime_at_most_min):
            thumb = Crew(quick[0], worn, quick[1])
    if thumb is not None and (hurried or not readable):
        return thumb
    model = cp_model.CpModel()
    chosen: list[dict[str, cp_model.IntVar]] = []
    for k, post in enumerate(posts):
        who = {p: model.new_bool_var(f"{k}.{p}") for p in able[k]}
        model.add(sum(who.values()) == post.count)
        for p in pinned[k]:
            model.add(who[p] == 1)
        chosen.append(who)
    _one_at_a_time(model, problem, posts, chosen)
    overtime = _spans(model, problem, posts, chosen, fixed)
    if overtime_at_most_min is not None:
        model.add(overtime <= overtime_at_most_min)
    if thumb is not None:
        held_by = {(s.person, s.duty, s.dive, s.task) for s in thumb.spells}
        for post, who in zip(posts, chosen, strict=True):
            for p, literal in who.items():
                model.add_hint(literal, (p, post.duty, post.dive, post.task) in held_by)
    model.minimize(overtime)
    solver = _solver(seed, OVERTIME_SECONDS)
    status = solver.solve(model)
    if status == cp_model.UNKNOWN and thumb is not None:
        return thumb
    if status == cp_model.UNKNOWN:
        # Rare: no crew and no proof in that time. Any crew will do, however long it takes to find.
        model.clear_objective()
        solver = _solver(seed, 100 * OVERTIME_SECONDS)
        status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    least = int(solver.value(overtime))
    best = solver
    if readable:
        model.add(overtime <= least)
        model.clear_hints()
        for index, value in enumerate(solver.response_proto.solution):
            model.add_hint(model.get_int_var_from_proto_index(index), value)
        model.minimize(_variety(model, posts, chosen))
        second = _solver(seed, READABLE_SECONDS)
        if second.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            best = second
    if thumb is not None and thumb.overtime_min < least:
        return thumb
    spells = [
        NamedSpell(p, post.duty, post.start_min, post.end_min, dive=post.dive, task=post.task)
        for post, who in zip(posts, chosen, strict=True)
        for p, literal in who.items()
        if best.value(literal)
    ]
    return Crew(tuple(spells), worn, least)


def _by_thumb(
    problem: Problem,
    draft: Draft,
    posts: list[Post],
    able: list[list[str]],
    pinned: list[frozenset[str]],
) -> tuple[tuple[NamedSpell, ...], int] | None:
    """Spells and overtime of a crew by rule of thumb; None where it finds none within the duty span."""
    rules = problem.job.rules
    breadth = {p.name: len(p.duties) for p in problem.people}
    named = quick_crew(posts, able, pinned, breadth, rules.may_combine)
    if named is None:
        return None
    spells = tuple(
        NamedSpell(p, post.duty, post.start_min, post.end_min, dive=post.dive, task=post.task)
        for post, who in zip(posts, named, strict=True)
        for p in sorted(who)
    )
    held = _named_spells(draft)
    for spell in spells:
        held.setdefault(spell.person, []).append((spell.start_min, spell.end_min))
    lengths = [max(e for _, e in own) - min(s for s, _ in own) for own in held.values()]
    if max(lengths, default=0) > rules.duty_span_max_min:
        return None
    return spells, sum(max(0, length - rules.overtime_after_min) for length in lengths)


def _pinned(problem: Problem, draft: Draft, post: Post) -> set[str]:
    """People whom a pin gives this post."""
    if post.dive is not None:
        item: str = problem.dives[draft.dives[post.dive].work].item.name
    else:
        item = problem.tasks[draft.tasks[post.task or 0].task].item.name
    return {
        p.person or ""
        for p in problem.job.pins
        if p.kind is PinKind.HOLDS and p.item == item and p.duty == post.duty
    }


def _solver(seed: int, seconds: float) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = seconds
    return solver


def _named_spells(draft: Draft) -> dict[str, list[tuple[int, int]]]:
    out: dict[str, list[tuple[int, int]]] = {}
    for dive in draft.dives:
        for person, _ in dive.seats:
            out.setdefault(person, []).append((dive.dress_start_min, max(dive.undressed_min, dive.out_min)))
        for person in dive.standby:
            out.setdefault(person, []).append((dive.watch_start_min, dive.reach_surface_min))
    return out


def _meets(spells: list[tuple[int, int]], start: int, end: int) -> bool:
    return any(s < end and start < e for s, e in spells)


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


def _spans(
    model: cp_model.CpModel,
    problem: Problem,
    posts: list[Post],
    chosen: list[dict[str, cp_model.IntVar]],
    fixed: dict[str, list[tuple[int, int]]],
) -> cp_model.LinearExpr:
    """duty-span as a hard rule; returns the crew's overtime in minutes."""
    rules, window = problem.job.rules, problem.window
    length = window.end_min - window.start_min
    overs = []
    for person in problem.people:
        first = model.new_int_var(window.start_min, window.end_min, f"first.{person.name}")
        last = model.new_int_var(window.start_min, window.end_min, f"last.{person.name}")
        for start, end in fixed.get(person.name, []):
            model.add(first <= start)
            model.add(last >= end)
        for post, who in zip(posts, chosen, strict=True):
            if person.name in who:
                model.add(first <= post.start_min).only_enforce_if(who[person.name])
                model.add(last >= post.end_min).only_enforce_if(who[person.name])
        model.add(last - first <= rules.duty_span_max_min)
        over = model.new_int_var(0, length, f"over.{person.name}")
        model.add(over >= last - first - rules.overtime_after_min)
        overs.append(over)
    return cp_model.LinearExpr.sum(overs)


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
