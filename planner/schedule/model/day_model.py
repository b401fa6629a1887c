"""The model of one day: wires variables, rules and objective, and reads a solution back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.cores import release_memory
from planner.schedule.draft.draft import Draft, DraftDive, DraftTask, in_order
from planner.schedule.model import capacity, constraints, pins
from planner.schedule.model.bounds import bound_finish
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.duty_hours import hours_rules
from planner.schedule.model.fairness import spread_of_minutes, spread_of_turns
from planner.schedule.model.interval import Lit
from planner.schedule.model.minutes_in_hand import minutes_short
from planner.schedule.model.named_support import NamedSupport, name_support
from planner.schedule.model.one_briefing import calls_of
from planner.schedule.model.overtime import ends_of
from planner.schedule.model.person_days import PersonDays, days_held, overtime_of, spells_of
from planner.schedule.model.sequence import Order, station_intervals, stay_dressed
from planner.schedule.model.solving import solved
from planner.schedule.model.standby_change import changes_apart
from planner.schedule.model.variables import DiveVars, TaskVars, make_dive, make_task
from planner.schedule.model.watch_relief import watch_relief
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.problem import Problem

#: Seconds at most for completing a hint.
HINT_SECONDS = 10.0

#: Past this many constraints a model counts as large.
LARGE_CONSTRAINTS = 100_000


@dataclass(frozen=True)
class Free:
    """What is left open where a plan's decisions are fixed."""

    dives: frozenset[tuple[int, int]] = frozenset()
    """Work and slot of each possible dive that may be any other, or none."""
    tasks: frozenset[int] = frozenset()
    people: bool = False
    """Who dives and who stands by, on every dive."""


class DayModel:
    """One day's CP-SAT model.

    Parameters
    ----------
    problem
        The job made ready.
    named_support
        False: support duties are counted (fast; a relaxation, since one person must stay for a whole
        dive). True: every support duty is given to a person inside the model (exact).
    """

    def __init__(self, problem: Problem, *, named_support: bool = False) -> None:
        self.problem = problem
        self.model = cp_model.CpModel()
        self.dives: list[DiveVars] = [
            make_dive(self.model, problem, k, slot)
            for k, work in enumerate(problem.dives)
            for slot in range(work.slots)
        ]
        self.tasks: list[TaskVars] = [make_task(self.model, problem, k) for k in range(len(problem.tasks))]
        order = Order(self.model, self.dives, problem.job.rules.station_turnaround_min)
        constraints.stations(self.model, problem, self.dives, order)
        self.done = constraints.items(self.model, problem, self.dives, self.tasks)
        constraints.day_blocks(self.model, problem, self.dives, self.tasks)
        stay_dressed(self.model, self.dives, order)
        changes_apart(self.model, problem, self.dives, order)
        constraints.nitrogen(self.model, problem, self.dives, order)
        constraints.outfits(self.model, problem, self.dives)
        capacity.air(self.model, problem, self.dives)
        capacity.chamber_gas(self.model, problem, self.dives)
        capacity.crews(self.model, problem, self.dives, self.tasks)
        self.benches: dict[str, list[int]] = {}
        for station in problem.job.stations:
            own = sorted({d.work for d in self.dives if station.name in d.station})
            clique = capacity.one_bench_at_a_time(problem, own)
            self.benches[station.name] = clique
            mine = [d for d in self.dives if d.work in clique]
            self.model.add_no_overlap(station_intervals(self.model, mine, station.name, "bench"))
        self.tasks_apart = capacity.tasks_one_at_a_time(problem)
        for group in self.tasks_apart:
            self.model.add_no_overlap([self.tasks[k].interval for k in group])
        self.support: NamedSupport | None = None
        if named_support:
            self.support = name_support(self.model, problem, self.dives, self.tasks)
        self.bottom = constraints.day_limits(self.model, problem, self.dives)
        constraints.people(self.model, problem, self.dives, self.support)
        spells = {p.name: spells_of(p.name, self.dives, self.support) for p in problem.people}
        calls = calls_of(self.model, problem, self.dives, self.tasks)
        self.person_days = PersonDays(self.model, problem, spells, calls)
        hours_rules(self.person_days)
        if self.support is not None:
            watch_relief(self.model, problem, self.support.watches)
        pins.keep(self.model, problem, self.dives, self.tasks, self.support, order)
        self._finish: Lit | None = None
        self._finish_counted: Lit | None = None
        self._short: cp_model.LinearExpr | None = None
        self._shares: Lit | None = None
        self._overtime: Lit | None = None
        self._start: Lit | None = None
        self._people: Lit | None = None
        self._hinted: tuple[Draft, int] | None = None
        self.finish()

    # ------------------------------------------------------------------ objectives

    def work(self) -> cp_model.LinearExpr:
        """Priority-weighted minutes of work finished."""
        terms = [d.data.weight * d.work_done() for d in self.dives]
        terms += [t.data.weight * t.data.item.duration_min * t.present for t in self.tasks]
        return cp_model.LinearExpr.sum(terms)

    @property
    def work_bound(self) -> int:
        """Weighted minutes if everything that has a slot were done."""
        return work_there_is(self.problem)

    @property
    def large(self) -> bool:
        """Whether building and presolving take a good part of a minute: the stages then save."""
        return len(self.model.proto.constraints) > LARGE_CONSTRAINTS

    def finish_everything(self) -> None:
        """Say outright that every item with a slot is wholly done (implied once the work is at its bound, but
        of an item whose priority has no weight)."""
        for work in self.problem.items_under:
            if work.slots and work.weight:
                self.model.add(self.done[work.item.name] == 1)
        for task in self.tasks:
            if task.data.spans and task.data.standing is None and task.data.weight:
                self.model.add(task.present == 1)

    def short(self) -> cp_model.LinearExpr:
        """Minutes missing to the margin that each dive should have in hand."""
        if self._short is None:
            self._short = minutes_short(self.model, self.problem, self.dives)
        return self._short

    def finish_counted(self) -> Lit:
        """The finish as it counts: no earlier than is early enough."""
        enough = self.problem.job.early_enough_min
        if enough <= self.problem.window.start_min:
            return self.finish()
        if self._finish_counted is None:
            finish = self.finish()
            self._finish_counted = self.model.new_int_var(
                enough, self.problem.window.end_min, "finish.counted"
            )
            self.model.add(self._finish_counted >= finish)
        return self._finish_counted

    def finish(self) -> Lit:
        """Minute at which the last diver is undressed and the last task done."""
        if self._finish is None:
            window = self.problem.window
            self._finish = self.model.new_int_var(window.start_min, window.end_min, "finish")
            for dive in self.dives:
                self.model.add(self._finish >= dive.undressed)
            for task in self.tasks:
                end = task.start + task.data.item.duration_min
                self.model.add(self._finish >= end).only_enforce_if(task.present)
            bound_finish(
                self.model, self.problem, self._finish, self.dives, self.tasks, self.benches, self.tasks_apart
            )
        return self._finish

    def start(self) -> Lit:
        """Minute at which the first piece of work starts; the end of the day where there is none."""
        if self._start is None:
            window = self.problem.window
            self._start = self.model.new_int_var(window.start_min, window.end_min, "start")
            for dive in self.dives:
                self.model.add(self._start <= dive.dress_start).only_enforce_if(dive.present)
            for task in self.tasks:
                self.model.add(self._start <= task.start).only_enforce_if(task.present)
            for station, works in self.benches.items():
                bench = [d for d in self.dives if d.work in works and set(d.station) == {station}]
                total = cp_model.LinearExpr.sum([d.bench_min() for d in bench])
                self.model.add(self._start + total <= self.finish())
        return self._start

    def dived_min(self) -> Lit:
        """Minutes from the first dressing to the last undressed; 0 without a dive."""
        window, model = self.problem.window, self.model
        length = window.end_min - window.start_min
        first = model.new_int_var(window.start_min, window.end_min, "first.dressing")
        last = model.new_int_var(window.start_min, window.end_min, "last.undressed")
        whole = model.new_int_var(0, length, "dived")
        for dive in self.dives:
            model.add(first <= dive.dress_start).only_enforce_if(dive.present)
            model.add(last >= dive.undressed).only_enforce_if(dive.present)
            model.add(whole >= last - first).only_enforce_if(dive.present)
        for station, works in self.benches.items():
            bench = [d for d in self.dives if d.work in works and set(d.station) == {station}]
            model.add(whole >= cp_model.LinearExpr.sum([d.bench_min() for d in bench]))
        return whole

    def decompression(self) -> cp_model.LinearExpr:
        """Minutes on the way up, summed over everyone in the water."""
        return cp_model.LinearExpr.sum(
            [mode.ascent_min * v for d in self.dives for s in d.seats for mode, v in s.ways]
        )

    def nitrogen(self) -> cp_model.LinearExpr:
        """Repetitive groups at surfacing, A as 1, summed over everyone in the water."""
        rank_after = self.problem.job.tables.rank_after
        return cp_model.LinearExpr.sum(
            [rank_after(mode.group_after) * v for d in self.dives for s in d.seats for mode, v in s.ways]
        )

    def overtime(self) -> Lit:
        """Crew's minutes past the ordinary day, each from first duty to last."""
        if self.support is None:
            raise ValueError("overtime is only known where the model names every support duty")
        if self._overtime is None:
            self._overtime = self.model.new_int_var(0, 1_000_000, "overtime")
            self.model.add(self._overtime == cp_model.LinearExpr.sum(overtime_of(self.person_days)))
        return self._overtime

    def hold_overtime(self, most: cp_model.LinearExprT) -> None:
        """Keep the overtime where support duties are counted, as far as it shows: that of the divers and
        standby divers, and of those who stay to the end of a dive where one briefing calls the whole crew."""
        model, problem = self.model, self.problem
        model.add(cp_model.LinearExpr.sum(overtime_of(self.person_days)) <= most)
        if not problem.all_called:
            return
        after = problem.job.rules.overtime_after_min
        stay: list[tuple[Lit, Mapping[int, Lit], cp_model.LinearExprT, int]] = [
            (d.present, d.day, d.undressed, ends_of(problem, d.data).to_the_end) for d in self.dives
        ]
        for task in self.tasks:
            people = sum(count for _, count in task.data.crew)
            stay.append((task.present, task.day, task.start + task.data.item.duration_min, people))
        for present, days, end, people in stay:
            for day, literal in days.items():
                on = [one for one in (present, literal) if one is not None]
                past = cp_model.LinearExpr.weighted_sum([end, self.person_days.calls[day]], [people, -people])
                model.add(past <= most + people * after).only_enforce_if(on)

    def shares(self) -> Lit:
        """Spread of dives over the divers plus spread of turns standing by."""
        if self._shares is None:
            self._shares = self.model.new_int_var(0, 1000, "shares")
            self.model.add(self._shares == spread_of_turns(self.model, self.problem, self.dives))
        return self._shares

    def uneven_minutes(self) -> cp_model.LinearExpr:
        """Spread of bottom minutes plus spread of standby minutes, past ones counted."""
        return spread_of_minutes(self.model, self.problem, self.dives, self.bottom)

    def people_minutes(self) -> Lit:
        """Minutes from first duty to last, over everyone and each working day."""
        if self.support is None:
            raise ValueError("people-hours are only known where the model names every support duty")
        if self._people is None:
            self._people = self.model.new_int_var(0, 10_000_000, "people")
            self.model.add(self._people == cp_model.LinearExpr.sum(days_held(self.person_days)))
        return self._people

    def watches(self) -> cp_model.LinearExpr:
        """Minutes of station duties, summed over the dives: the shorter, the easier to name."""
        return cp_model.LinearExpr.sum([d.watch.size for d in self.dives])

    # ------------------------------------------------------------------ drafts

    def draft(self, value: Callable[[cp_model.IntVar], int]) -> Draft:
        """The schedule that a solution stands for. ``value`` maps a variable to its value."""
        dives = []
        for dive in self.dives:
            if not value(dive.present):
                continue
            station = next(s for s, literal in dive.station.items() if value(literal))
            seats = tuple((p, s.duty) for s in dive.seats for p, v in s.who.items() if value(v))
            dives.append(
                DraftDive(
                    dive.work,
                    station,
                    value(dive.dress_start),
                    value(dive.leave_surface),
                    value(dive.bottom),
                    value(dive.reach_surface),
                    value(dive.undressed),
                    value(dive.watch_start),
                    seats,
                    tuple(p for p, v in dive.standby.items() if value(v)),
                    dive.deco is not None and bool(value(dive.deco)),
                    value(dive.out) if value(dive.out) > value(dive.reach_surface) else None,
                    *_dressed(dive, value),
                )
            )
        tasks = [DraftTask(t.index, value(t.start)) for t in self.tasks if value(t.present)]
        dives.sort(key=lambda d: (d.leave_surface_min, d.station))
        tasks.sort(key=lambda t: (t.start_min, t.task))
        return Draft(tuple(dives), tuple(tasks))

    def _planned(self, draft: Draft) -> list[tuple[DiveVars, int | None]]:
        """Each possible dive with the place of the draft's dive that it is; None where it is not used."""
        by_work: dict[int, list[int]] = {}
        for k, one in enumerate(draft.dives):
            by_work.setdefault(one.work, []).append(k)
        return [(d, dict(enumerate(by_work.get(d.work, []))).get(d.slot)) for d in self.dives]

    def _decisions(self, draft: Draft, free: Free = Free()) -> list[tuple[Lit, int]]:
        """The main decisions but those left free, and what a draft makes of them; all the rest follows."""
        out: list[tuple[Lit, int]] = []
        for dive, k in self._planned(draft):
            if (dive.work, dive.slot) in free.dives:
                continue
            if k is None:
                out.append((dive.present, 0))
                continue
            one = draft.dives[k]
            out += [
                (dive.present, 1),
                (dive.leave_surface, one.leave_surface_min),
                (dive.bottom, one.bottom_time_min),
                (dive.watch_start, one.watch_start_min),
                *((v, int(name == one.station)) for name, v in dive.station.items()),
            ]
            if not free.people:
                out += [
                    *_who_dives(dive, one),
                    *((v, int(p in one.standby)) for p, v in dive.standby.items()),
                ]
        starts = {t.task: t.start_min for t in draft.tasks}
        for task in self.tasks:
            if task.index in free.tasks:
                continue
            out.append((task.present, int(task.index in starts)))
            if task.index in starts:
                out.append((task.start, starts[task.index]))
        return out

    def keep_but(self, model: cp_model.CpModel, draft: Draft, free: set[int], swapped: set[int]) -> None:
        """Fix who dives where, and in which order at each station, in ``model`` (a clone of this one),
        but for some of a draft's dives: all times stay free.

        Parameters
        ----------
        free
            Places in the draft of the dives that are not kept; their items may take other pieces.
        swapped
            Places of those whose standby divers are not kept.
        """
        draft = in_order(self.problem, draft)
        loose, last = {draft.dives[k].work for k in free}, dict[str, cp_model.IntVar]()
        kept: list[tuple[Lit, int]] = []
        ordered: list[tuple[int, DiveVars]] = []
        for dive, k in self._planned(draft):
            if k is None:
                kept += [] if dive.work in loose else [(dive.present, 0)]
            elif k not in free:
                one = draft.dives[k]
                kept += [
                    (dive.present, 1),
                    *((v, int(name == one.station)) for name, v in dive.station.items()),
                ]
                kept += _who_dives(dive, one)
                kept += [] if k in swapped else [(v, int(p in one.standby)) for p, v in dive.standby.items()]
                ordered.append((k, dive))
        for var, wanted in kept:
            model.add(model.get_int_var_from_proto_index(var.index) == wanted)
        for k, dive in sorted(ordered, key=lambda pair: pair[0]):
            station = draft.dives[k].station
            if station in last:
                model.add(last[station] <= dive.leave_surface)
            last[station] = dive.leave_surface

    def pin(self, model: cp_model.CpModel, draft: Draft, free: Free = Free()) -> None:
        """Fix the main decisions of ``model`` (this model or its clone), but those left free, to a draft."""
        for var, wanted in self._decisions(draft, free):
            model.add(model.get_int_var_from_proto_index(var.index) == wanted)

    def hint(self, draft: Draft, deadline: Deadline | None = None, *, seconds: float = HINT_SECONDS) -> bool:
        """Hint every variable with a draft's values; False when the draft does not fit the model.

        The draft fixes the main decisions; a solve of the pinned clone finds all the rest, so that the
        hint is complete (CP-SAT may drop an incomplete one). Where ``seconds`` are not enough for that, the
        main decisions alone are hinted.
        """
        size = len(self.model.proto.variables)
        if self._hinted == (draft, size):
            return True
        if self.large:
            release_memory()
        clone = self.model.clone()
        self.pin(clone, in_order(self.problem, draft))
        clone.clear_objective()
        solver, deadline = cp_model.CpSolver(), deadline or Deadline()
        deadline.step(solver, seconds)
        # With every decision fixed there is nothing to probe for.
        solver.parameters.cp_model_probing_level = 0
        status = solved(solver, clone)
        deadline.spend(solver)
        del clone
        if status == cp_model.UNKNOWN:
            self._hinted = None
            self.model.clear_hints()
            for var, wanted in self._decisions(in_order(self.problem, draft)):
                self.model.add_hint(var, wanted)
            return True
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False
        self.hint_values(list(solver.response_proto.solution))
        self._hinted = draft, size
        return True

    def hint_values(self, values: list[int]) -> None:
        """Hint the first ``len(values)`` variables of the model with a solution's values."""
        self._hinted = None
        self.model.clear_hints()
        for index, value in enumerate(values):
            self.model.add_hint(self.model.get_int_var_from_proto_index(index), value)


def _who_dives(dive: DiveVars, one: DraftDive) -> list[tuple[Lit, int]]:
    """That the divers of a possible dive are those of a draft's."""
    seats = zip(dive.seats, one.seats, strict=True)
    return [(v, int(p == person)) for seat, (person, _) in seats for p, v in seat.who.items()]


def _dressed(
    dive: DiveVars, value: Callable[[cp_model.IntVar], int]
) -> tuple[int | None, int | None, bool, bool]:
    """How the standby diver is dressed: the last fields of a `DraftDive`."""
    if dive.dresses is None:
        return None, None, False, False
    by = dive.dresses
    return value(by.start), value(by.end), bool(value(by.comes_dressed)), bool(value(by.stays_dressed))
