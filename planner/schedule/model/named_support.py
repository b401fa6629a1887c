"""Support duties given to people inside the model: the exact form, used where counting is not enough."""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.job.duties import STANDBY_TENDER, WATCH_DUTIES
from planner.schedule.model.interval import Interval, Lit, Model
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.model.watch_relief import Watch
from planner.schedule.problem.problem import Problem


@dataclass
class NamedSupport:
    """Literals of the support posts, and each person's intervals from them."""

    dives: dict[tuple[int, str], dict[str, Lit]] = field(default_factory=dict)
    """(index of the dive slot, duty) → person → literal."""
    tasks: dict[tuple[int, str], dict[str, Lit]] = field(default_factory=dict)
    """(index of the task, duty) → person → literal."""
    intervals: dict[str, list[cp_model.IntervalVar]] = field(default_factory=dict)
    watches: dict[str, list[Watch]] = field(default_factory=dict)
    """Person → the watches over dives that he may be given, from which he is to be relieved."""
    spells: dict[str, list[tuple[Lit, Interval, dict[int, Lit]]]] = field(default_factory=dict)
    """Person → (literal, stretch, working days) of each stretch that a support duty may take."""


def name_support(
    model: Model, problem: Problem, dives: list[DiveVars], tasks: list[TaskVars]
) -> NamedSupport:
    """Give every support post of every dive slot and task to people.

    Two duties of one dive may meet in one person only where the pair table allows it.
    """
    out = NamedSupport()
    for k, dive in enumerate(dives):
        alone: dict[tuple[str, Interval], list[Lit]] = {}
        watch: dict[str, dict[str, Lit]] = {}
        for post in dive.data.posts:
            if dive.deco is None and not post.count:
                continue
            end = dive.interval_of(post).end
            who = _post(model, problem, f"{dive.name}.{post.duty}", post.duty, dive.people_needed(post), end)
            out.dives[k, post.duty] = who
            for person, literal in who.items():
                if post.held == "watch":
                    watch.setdefault(person, {})[post.duty] = literal
                else:
                    alone.setdefault((person, dive.interval_of(post)), []).append(literal)
        if problem.job.rules.watch_max_min:
            _watches(model, out, dive, [out.dives.get((k, duty), {}) for duty in sorted(WATCH_DUTIES)])
        if _pairs_over_stretches(problem, dive):
            for person in sorted({p for p, _ in alone} | watch.keys()):
                own = {p.duty: out.dives[k, p.duty] for p in dive.data.posts if (k, p.duty) in out.dives}
                _joined(model, out, person, dive, {d: who[person] for d, who in own.items() if person in who})
                _pairs(model, problem, {d: who[person] for d, who in own.items() if person in who})
            alone, watch = {}, {}
        for (person, stretch), literals in alone.items():
            _interval(model, out, person, literals, stretch, dive.day)
        for hands in dive.dresses.hands if dive.dresses is not None else []:
            label = f"{hands.stretch.name}.{STANDBY_TENDER}"
            who = _post(model, problem, label, STANDBY_TENDER, hands.count * hands.when, hands.stretch.end)
            for person, literal in who.items():
                _interval(model, out, person, [literal], hands.stretch, dive.day)
        for person, held in watch.items():
            _pairs(model, problem, held)
            _interval(model, out, person, list(held.values()), dive.watch, dive.day, may_meet=len(held) > 1)
    for task in tasks:
        mine: dict[str, list[Lit]] = {}
        for duty, count in task.data.crew:
            who = _post(model, problem, f"s{task.index}.{duty}", duty, count * task.present, task.end)
            out.tasks[task.index, duty] = who
            for person, literal in who.items():
                mine.setdefault(person, []).append(literal)
        for person, literals in mine.items():
            _interval(model, out, person, literals, task.whole, task.day)
    return out


def _watches(model: Model, out: NamedSupport, dive: DiveVars, posts: list[dict[str, Lit]]) -> None:
    """The stretch over which a person holds one or more of the duties that he is to be relieved from."""
    for person in sorted({p for who in posts for p in who}):
        held = [who[person] for who in posts if person in who]
        literal = held[0]
        if len(held) > 1:
            literal = model.new_bool_var(f"{dive.name}.watch.{person}")
            model.add_max_equality(literal, held)
        out.watches.setdefault(person, []).append(Watch(literal, dive.watch.start, dive.watch.end))


def _post(
    model: Model, problem: Problem, name: str, duty: str, asked: cp_model.LinearExpr | Lit, end: Lit
) -> dict[str, Lit]:
    who = {p: model.new_bool_var(f"{name}.{p}") for p in sorted(problem.qualified[duty])}
    model.add(cp_model.LinearExpr.sum(list(who.values())) == asked)
    while_certified(model, problem, duty, who, end)
    return who


def while_certified(model: Model, problem: Problem, duty: str, who: dict[str, Lit], end: Lit) -> None:
    """duty-certificates: nobody holds a duty past the last day of a certificate that it asks for."""
    for person, literal in who.items():
        until = problem.certified_until.get((person, duty))
        if until is not None:
            model.add(end <= until).only_enforce_if(literal)


def _pairs(model: Model, problem: Problem, held: dict[str, Lit]) -> None:
    duties = list(held)
    for k, one in enumerate(duties):
        for other in duties[k + 1 :]:
            if not problem.job.rules.may_combine(one, other):
                model.add_at_most_one([held[one], held[other]])


def _pairs_over_stretches(problem: Problem, dive: DiveVars) -> bool:
    """Whether one person may hold two duties of a dive that do not begin and end together."""
    posts, may = dive.data.posts, problem.job.rules.may_combine
    return any(one.held != other.held and may(one.duty, other.duty) for one in posts for other in posts)


def _joined(model: Model, out: NamedSupport, person: str, dive: DiveVars, held: dict[str, Lit]) -> None:
    """One stretch of a person's on a dive: from the first start to the last end of the duties that he holds.

    All duties of a dive are held while the divers are in the water, so the stretch has no gap.
    """
    stretches = {post.duty: dive.interval_of(post) for post in dive.data.posts}
    if len(held) == 1:
        ((duty, literal),) = held.items()
        _interval(model, out, person, [literal], stretches[duty], dive.day)
        return
    low = min(dive.bench.start.proto.domain)
    high = max(dive.chamber.end.proto.domain)
    name = f"{dive.name}.any.{person}"
    start, end = model.new_int_var(low, high, f"{name}.start"), model.new_int_var(low, high, f"{name}.end")
    size, any_of = model.new_int_var(0, high - low, f"{name}.size"), model.new_bool_var(name)
    model.add_max_equality(any_of, list(held.values()))
    for duty, literal in held.items():
        model.add(start <= stretches[duty].start).only_enforce_if(literal)
        model.add(end >= stretches[duty].end).only_enforce_if(literal)
    whole = Interval(name, start, size, end, model.new_optional_interval_var(start, size, end, any_of, name))
    out.spells.setdefault(person, []).append((any_of, whole, dive.day))
    out.intervals.setdefault(person, []).append(whole.interval)


def _interval(
    model: Model,
    out: NamedSupport,
    person: str,
    literals: list[Lit],
    whole: Interval,
    day: dict[int, Lit],
    *,
    may_meet: bool = False,
) -> None:
    literal = literals[0]
    if len(literals) > 1:
        literal = model.new_bool_var(f"{whole.name}.{person}")
        if may_meet:
            model.add_max_equality(literal, literals)
        else:
            model.add(literal == sum(literals))
    out.spells.setdefault(person, []).append((literal, whole, day))
    out.intervals.setdefault(person, []).append(whole.when(model, literal, person))
