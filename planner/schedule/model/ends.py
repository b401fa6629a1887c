"""Least overtime of a day with standing work: who can be on its first and last dive and on the blocks around.

A small model of its own, since what makes a day long is who is there at both ends: all on the first dive come
before its dressing, all on the last stay until they are undressed (the watch: until they have
surfaced), the standby diver is dressed before and undressed after by hands of his own, and the opening and
closing blocks come before and after. All else is left out, so that no plan has less overtime.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations

from ortools.sat.python import cp_model

from planner.job.duties import DIVER, STANDBY, STANDBY_TENDER
from planner.schedule.model.capacity import held_together
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.overtime import ends_of, in_order
from planner.schedule.problem.problem import DiveWork, Problem, TaskWork

#: Seconds; a bound that is not found in them is taken as far as it is proven.
SECONDS = 8.0

#: Part of what is left that it may take at most.
PART = 0.2

#: With more ways of coming and of going over all people than this the bound is not looked for.
MOST_WAYS = 60_000


#: What somebody holds at an end of the day: a duty of a dive, a standing block, or the standby diver's dress.
_Held = tuple[str, str]
_DUTY, _BLOCK = "duty", "block"
_HANDS, _HANDS_BEFORE, _EARLY = ("hands", ""), ("hands", "before"), (STANDBY, "before")


@dataclass(frozen=True)
class _Way:
    """One way of a person to begin his day, or to end it: what he holds there, and how far from the dives."""

    minutes: int
    """From his first duty to the first dressing, or from the last undressed to his last (before it: less)."""
    held: tuple[_Held, ...]


@dataclass
class _Days:
    """The ways that somebody has, each with its literal, and those by what is held in them."""

    model: cp_model.CpModel
    ways: int = 0
    held: dict[tuple[str, _Held], list[cp_model.IntVar]] = field(default_factory=dict)
    costs: list[cp_model.LinearExpr] = field(default_factory=list)

    def person(
        self,
        first: list[_Way],
        last: list[_Way],
        between_min: int,
        ordinary_min: int,
        called_min: int | None = None,
    ) -> None:
        """Choose one way of coming and one of going, and pay what lies between past the ordinary day.

        ``called_min``: so many minutes before the first dressing he comes at the latest, whatever he has.
        """
        self.ways += len(first) + len(last)
        both: dict[tuple[int | None, int | None], cp_model.IntVar] = {}
        sides = []
        for end, ways in (("first", first), ("last", last)):
            chosen: dict[int | None, list[cp_model.IntVar]] = {}
            for way in ways:
                literal = self.model.new_bool_var("")
                chosen.setdefault(way.minutes if way.held else None, []).append(literal)
                for what in way.held:
                    self.held.setdefault((end, what), []).append(literal)
            self.model.add_exactly_one([v for own in chosen.values() for v in own])
            sides.append(chosen)
        for early in sides[0]:
            for late in sides[1]:
                pair = both[early, late] = self.model.new_bool_var("")
                comes = [minutes for minutes in (early, called_min) if minutes is not None]
                if comes and late is not None:
                    self.costs.append(max(0, max(comes) + between_min + late - ordinary_min) * pair)
        # Only the minutes of both ends meet in the cost, so only they are paired.
        for side, chosen in enumerate(sides):
            for minutes, own in chosen.items():
                self.model.add(sum(v for k, v in both.items() if k[side] == minutes) == sum(own))

    def at_least(self, end: str, what: _Held, count: cp_model.LinearExprT) -> None:
        """So many people hold it at that end of the day."""
        self.model.add(cp_model.LinearExpr.sum(self.held.get((end, what), [])) >= count)


def overtime_at_the_ends(
    problem: Problem, dived_min: int, around_min: int, deadline: Deadline | None = None
) -> int:
    """Least overtime, minutes, of a one-day job.

    Parameters
    ----------
    dived_min
        No plan in question has fewer minutes from its first dressing to its last undressed.
    around_min
        No plan in question has more minutes before that and after that together, from the first minute of
        duty to the finish.
    """
    works = [w for w in problem.dives if w.slots]
    if not works or dived_min <= 0 or len(problem.days) > 1:
        return 0
    around = [t for t in problem.tasks if t.spans and _asked_by_all(problem, t)]
    opening, closing = [t for t in around if _opens(t)], [t for t in around if not _opens(t)]
    posts, ends = of_any_dive(problem), [ends_of(problem, w) for w in works]
    stays = stays_until_undressed(works)
    dressing, undressing = min(w.dressing_min for w in works), max(w.undressing_min for w in works)
    # What the one side takes at least is not there for the other.
    early_most = around_min - max((t.item.duration_min for t in closing), default=0)
    late_most = around_min - max((t.item.duration_min for t in opening), default=0)
    days = _Days(cp_model.CpModel())
    # With one briefing for the whole crew all come before the first opening work.
    called = max((t.item.duration_min for t in opening), default=0) if problem.all_called else None
    for person in problem.people:
        name = person.name
        if not problem.hours[name]:
            continue
        able = [duty for duty, (_, people) in posts.items() if name in people]
        comes = [_Way(0, ((_DUTY, duty),)) for duty in able]
        goes = [_Way(0 if duty in stays else -undressing, ((_DUTY, duty),)) for duty in able]
        if STANDBY in able:
            comes.append(_Way(dressing, ((_DUTY, STANDBY), _EARLY)))
        if name in problem.qualified[STANDBY_TENDER]:
            comes += [_Way(0, (_HANDS,)), _Way(dressing, (_HANDS_BEFORE,))]
            comes += [_Way(dressing, ((_DUTY, d), _HANDS_BEFORE)) for d in able if d != STANDBY]
            goes += [_Way(0, (_HANDS,)), *(_Way(0, ((_DUTY, d), _HANDS)) for d in able if d not in stays)]
        comes = _with_blocks(problem, name, comes, opening, early_most)
        goes = _with_blocks(problem, name, goes, closing, late_most)
        if days.ways + len(comes) + len(goes) > MOST_WAYS:
            return 0
        ordinary = problem.job.rules.overtime_after_min - _briefed_min(problem, name)
        days.person(comes, goes, dived_min, ordinary, called)
    for duty, (count, _) in posts.items():
        for end in ("first", "last"):
            days.at_least(end, (_DUTY, duty), count)
    # The standby diver dresses with the divers, by hands of his own, or before them, by anyone's.
    before = days.model.new_bool_var("before")
    days.at_least("first", _HANDS, min(one.more for one in ends) * (1 - before))
    days.at_least("first", _EARLY, min(one.standbys_before for one in ends) * before)
    days.at_least("first", _HANDS_BEFORE, min(one.hands_before for one in ends) * before)
    days.at_least("last", _HANDS, min(one.hands for one in ends))
    for task in around:
        for _, count in task.crew:
            days.at_least("first" if _opens(task) else "last", (_BLOCK, task.item.name), count)
    days.model.minimize(cp_model.LinearExpr.sum(days.costs))
    solver, deadline = cp_model.CpSolver(), deadline or Deadline()
    solver.parameters.linearization_level = 2
    deadline.step(solver, min(SECONDS, deadline.left_s * PART))
    status = solver.solve(days.model)
    deadline.spend(solver)
    return max(0, round(solver.best_objective_bound)) if status != cp_model.INFEASIBLE else 0


def _opens(task: TaskWork) -> bool:
    return task.standing is not None and task.standing.block.opens


def _asked_by_all(problem: Problem, task: TaskWork) -> bool:
    block = task.standing
    return block is not None and all(
        block.concerns(w.item, p.station) for w in problem.dives if w.slots for p in w.placements
    )


def _with_blocks(
    problem: Problem, person: str, ways: list[_Way], tasks: list[TaskWork], most_min: int
) -> list[_Way]:
    """A person's ways to begin or to end his day, each with blocks on that side of the dives, one after
    another; no duty at that end at all, too."""
    able = [t for t in tasks if any(person in problem.qualified[duty] for duty, _ in t.crew)]
    out = [_Way(0, ()), *ways]
    for size in range(1, len(able) + 1):
        for chosen in combinations(able, size):
            blocks = tuple((_BLOCK, t.item.name) for t in chosen)
            minutes = sum(t.item.duration_min for t in chosen)
            out += [_Way(max(0, way.minutes) + minutes, way.held + blocks) for way in (_Way(0, ()), *ways)]
    return [way for way in out if way.minutes <= max(0, most_min)]


def _briefed_min(problem: Problem, person: str) -> int:
    """Minutes of briefing that somebody surely has."""
    if problem.several_stretches(person, 0):
        return problem.least_briefing_min
    return problem.briefing_of_day(person, 0)


def stays_until_undressed(works: list[DiveWork]) -> set[str]:
    """Duties that are held from a dive's dressing until its undressing is done."""
    return {DIVER, STANDBY} | {p.duty for w in works for p in w.posts if p.held == "bench"}


def of_any_dive(problem: Problem) -> dict[str, tuple[int, frozenset[str]]]:
    """Duties of a dive: as few in each as any dive of the job asks for, and who may have it on any."""
    works = [w for w in problem.dives if w.slots]
    asked = []
    for work in works:
        need = held_together(problem, work)
        own = {p.duty: need[p.duty] for p in work.posts if p.held != "chamber"}
        standing = {STANDBY: work.standbys} if in_order(problem) else {}
        asked.append(own | {DIVER: len(work.seats)} | standing)
    able = {
        DIVER: frozenset(p for w in works for p in w.divers),
        STANDBY: frozenset(p for w in works for p in w.standby_people),
    }
    return {
        duty: (count, able[duty] if duty in able else problem.qualified[duty])
        for duty in asked[0]
        if (count := min(need.get(duty, 0) for need in asked))
    }
