"""Which outfit every diver and standby of a draft wears: exact, and the same one again where it can be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.schedule.draft.draft import Draft
from planner.schedule.model.solving import solved
from planner.schedule.problem.eligibility import outfits_for
from planner.schedule.problem.problem import Problem

#: Seconds, counted, to find any choice, and to wear as few different outfits as can be.
FIRST_SECONDS = 2.0
READABLE_SECONDS = 0.3


@dataclass(frozen=True)
class _Wearing:
    """One person in an outfit; ``dived``: the outfit must be turned around afterwards."""

    dive: int
    person: str
    start_min: int
    end_min: int
    dived: bool
    choice: tuple[str, ...]


def give_outfits(
    problem: Problem, draft: Draft, *, readable: bool = True
) -> dict[tuple[int, str], str] | None:
    """(index of the dive, person) → outfit; None when no choice keeps each on one wearer at a time.

    ``readable`` False takes the first choice found, for a plan that is only shown in passing.
    """
    wearings = _wearings(problem, draft)
    turn = {o.name: o.turnaround_min for o in problem.job.outfits}
    model = cp_model.CpModel()
    chosen = [{o: model.new_bool_var("") for o in w.choice} for w in wearings]
    for literals in chosen:
        model.add_exactly_one(literals.values())
    for outfit in turn:
        mine = [
            (w.start_min, w.end_min + (turn[outfit] if w.dived else 0), c[outfit])
            for w, c in zip(wearings, chosen, strict=True)
            if outfit in c
        ]
        # All who meet, meet where one of them begins: said once for that minute, not pair by pair.
        for moment in {start for start, _, _ in mine}:
            model.add_at_most_one([literal for start, end, literal in mine if start <= moment < end])
    for i, j in _kept_on(draft, wearings):
        for outfit in chosen[i].keys() | chosen[j].keys():
            one_wears, other_wears = chosen[i].get(outfit), chosen[j].get(outfit)
            if one_wears is None or other_wears is None:
                for literal in (one_wears, other_wears):
                    if literal is not None:
                        model.add(literal == 0)
            else:
                model.add(one_wears == other_wears)
    _hoses_reach(model, problem, wearings, chosen)
    for literals, outfit in zip(chosen, _in_order(wearings, draft, turn), strict=True):
        for name, literal in literals.items():
            model.add_hint(literal, name == outfit)
    found = _solved(model, FIRST_SECONDS)
    used = []
    for person in dict.fromkeys(w.person for w in wearings) if readable and found is not None else ():
        for outfit in turn:
            own = [
                c[outfit] for w, c in zip(wearings, chosen, strict=True) if w.person == person and outfit in c
            ]
            if own:
                kept = model.new_bool_var("")
                for literal in own:
                    model.add_implication(literal, kept)
                used.append(kept)
    if used and found is not None:
        model.clear_hints()
        for literals in chosen:
            for literal in literals.values():
                model.add_hint(literal, found.value(literal))
        model.minimize(cp_model.LinearExpr.sum(used))
        found = _solved(model, READABLE_SECONDS) or found
    if found is None:
        return None
    return {
        (w.dive, w.person): next(o for o, literal in c.items() if found.value(literal))
        for w, c in zip(wearings, chosen, strict=True)
    }


def _solved(model: cp_model.CpModel, seconds: float) -> cp_model.CpSolver | None:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_deterministic_time = seconds
    return solver if solved(solver, model) in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _in_order(wearings: list[_Wearing], draft: Draft, turn: Mapping[str, int]) -> list[str]:
    """A choice in the order of the clock, to start from; it need not hold.

    Who goes on in dress keeps what he wears, the others take their own again where it is ready, else the one
    that has been ready longest.
    """
    same = {j: i for i, j in _kept_on(draft, wearings)}
    ready: dict[str, int] = {}
    last: dict[str, str] = {}
    out = [""] * len(wearings)
    for k in sorted(range(len(wearings)), key=lambda k: wearings[k].start_min):
        one = wearings[k]
        free = [o for o in one.choice if ready.get(o, one.start_min) <= one.start_min]
        own = out[same[k]] if k in same else last.get(one.person, "")
        if own not in free and k not in same:
            own = min(free or one.choice, key=lambda o: ready.get(o, 0), default="")
        out[k] = last[one.person] = own
        ready[own] = one.end_min + (turn.get(own, 0) if one.dived else 0)
    return out


def _hoses_reach(
    model: cp_model.CpModel,
    problem: Problem,
    wearings: list[_Wearing],
    chosen: list[dict[str, cp_model.IntVar]],
) -> None:
    """standby-hose: no standby diver on a shorter umbilical than a diver of his dive; 0 is not known."""
    length = {o.name: o.umbilical_length_ft for o in problem.job.outfits}
    if len(set(length.values()) - {0}) < 2:
        return
    for one, divers in zip(wearings, chosen, strict=True):
        for other, standing in zip(wearings, chosen, strict=True):
            if one.dive != other.dive or not one.dived or other.dived:
                continue
            for longer, worn in divers.items():
                for shorter, stood in standing.items():
                    if 0 < length[shorter] < length[longer]:
                        model.add_bool_or(~worn, ~stood)


def _kept_on(draft: Draft, wearings: list[_Wearing]) -> list[tuple[int, int]]:
    """Pairs of wearings of which the second goes on from the first in dress."""
    out = []
    for j, later in enumerate(wearings):
        if later.dived or not draft.dives[later.dive].comes_dressed:
            continue
        out += [
            (i, j)
            for i, one in enumerate(wearings)
            if one.person == later.person
            and not one.dived
            and one.end_min == later.start_min
            and draft.dives[one.dive].stays_dressed
        ]
    return out


def _wearings(problem: Problem, draft: Draft) -> list[_Wearing]:
    out = []
    for k, dive in enumerate(draft.dives):
        data = problem.dives[dive.work]
        spells = [(p, dive.dress_start_min, dive.undressed_min, True) for p, _ in dive.seats]
        spells += [(p, *dive.standing, False) for p in dive.standby]
        for person, start, end, dived in spells:
            day = problem.job.clock.day_of(end - 1)
            fitting = outfits_for(problem.job, data.item, problem.job.person(person), day) & data.outfits
            fitting -= {o.name for o in problem.job.outfits if (o.worn_until_min or start) > start}
            out.append(_Wearing(k, person, start, end, dived, tuple(sorted(fitting))))
    return out
