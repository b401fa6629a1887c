"""Minutes in hand: what a dive has left, when its divers leave the bottom, before its limit or its row ends.

A mode of the model holds for a group before the dive *or lower*, so without stops the minutes are exact: the
lower the group, the later the limit. With stops they are the most that there can be: a row is not taken for a
bottom time that a shorter one would do for, but a diver may be read as of a higher group than his own, whose
row has just begun. So the value is taken from the plan, and it is proven where plan and model meet.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.variables import DiveVars, SeatVars
from planner.schedule.problem.problem import Problem
from planner.tables.schedule import NO_STOP


def minutes_short(model: Model, problem: Problem, dives: list[DiveVars]) -> cp_model.LinearExpr:
    """Minutes missing to the margin wanted, summed over the dives: no plan is short of fewer."""
    missing: list[Lit] = []
    for dive in dives:
        margin = dive.data.margin_min
        if not margin:
            continue
        short = model.new_int_var(0, margin, f"{dive.name}.short")
        for number, seat in enumerate(dive.seats):
            ends = cp_model.LinearExpr.sum([mode.row_ends_min * v for mode, v in seat.ways])
            model.add(short + ends - dive.bottom >= margin * dive.present)
            _rows_needed(model, problem, dives, dive, number, seat)
        missing.append(short)
    return cp_model.LinearExpr.sum(missing)


def _rows_needed(
    model: Model, problem: Problem, dives: list[DiveVars], dive: DiveVars, number: int, seat: SeatVars
) -> None:
    """A row with stops is taken for a bottom time that needs it, and from a group that the diver may have.

    Who has made no dive, of the job or before it, is clean.
    """
    stops = [(mode, v) for mode, v in seat.ways if mode.way_up != NO_STOP]
    if not stops:
        return
    model.add(dive.bottom >= cp_model.LinearExpr.sum([(mode.row_from_min + 1) * v for mode, v in stops]))
    grouped = cp_model.LinearExpr.sum([v for mode, v in stops if mode.group_before is not None])
    for person, literal in seat.who.items():
        if person in problem.brought_in:
            continue
        others = [s.who[person] for o in dives if o is not dive for s in o.seats if person in s.who]
        model.add(grouped <= cp_model.LinearExpr.sum(others)).only_enforce_if(literal)
