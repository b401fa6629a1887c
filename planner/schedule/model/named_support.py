"""Support duties given to people inside the model: the exact form, used where counting is not enough."""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.job.duties import STANDBY_TENDER
from planner.schedule.model.interval import Interval, Lit, Model
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.problem.problem import Problem


@dataclass
class NamedSupport:
    """Literals of the support posts, and each person's intervals from them."""

    dives: dict[tuple[int, str], dict[str, Lit]] = field(default_factory=dict)
    """(index of the dive slot, duty) → person → literal."""
    tasks: dict[tuple[int, str], dict[str, Lit]] = field(default_factory=dict)
    """(index of the task, duty) → person → literal."""
    intervals: dict[str, list[cp_model.IntervalVar]] = field(default_factory=dict)
    spells: dict[str, list[tuple[Lit, Lit, Lit, dict[int, Lit]]]] = field(default_factory=dict)
    """Person → (literal, start, end, working days) of each stretch that a support duty may take."""


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
            who = _post(model, problem, f"{dive.name}.{post.duty}", post.duty, dive.asked(post))
            out.dives[k, post.duty] = who
            for person, literal in who.items():
                if post.held == "watch":
                    watch.setdefault(person, {})[post.duty] = literal
                else:
                    alone.setdefault((person, dive.interval_of(post)), []).append(literal)
        for (person, stretch), literals in alone.items():
            _interval(model, out, person, literals, stretch, dive.day)
        for hands in dive.dresses.hands if dive.dresses is not None else []:
            label = f"{hands.stretch.name}.{STANDBY_TENDER}"
            who = _post(model, problem, label, STANDBY_TENDER, hands.count * hands.when)
            for person, literal in who.items():
                _interval(model, out, person, [literal], hands.stretch, dive.day)
        for person, held in watch.items():
            _pairs(model, problem, held)
            _interval(model, out, person, list(held.values()), dive.watch, dive.day, may_meet=len(held) > 1)
    for task in tasks:
        mine: dict[str, list[Lit]] = {}
        for duty, count in task.data.crew:
            who = _post(model, problem, f"s{task.index}.{duty}", duty, count * task.present)
            out.tasks[task.index, duty] = who
            for person, literal in who.items():
                mine.setdefault(person, []).append(literal)
        for person, literals in mine.items():
            _interval(model, out, person, literals, task.whole, task.day)
    return out


def _post(
    model: Model, problem: Problem, name: str, duty: str, asked: cp_model.LinearExpr | Lit
) -> dict[str, Lit]:
    who = {p: model.new_bool_var(f"{name}.{p}") for p in sorted(problem.qualified[duty])}
    model.add(cp_model.LinearExpr.sum(list(who.values())) == asked)
    return who


def _pairs(model: Model, problem: Problem, held: dict[str, Lit]) -> None:
    duties = list(held)
    for k, one in enumerate(duties):
        for other in duties[k + 1 :]:
            if not problem.job.rules.may_combine(one, other):
                model.add_at_most_one([held[one], held[other]])


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
    out.spells.setdefault(person, []).append((literal, whole.start, whole.end, day))
    out.intervals.setdefault(person, []).append(whole.when(model, literal, person))
