"""The duties that a new plan changes beside a plan in force: counted in a model, and kept where they can be.

A duty is told as in `planner.plan.changed`. The dives of an item are in the order of the clock in a model
(slot 0 first), in a draft and in a plan, so the n-th dive is the same one in all three.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from ortools.sat.python import cp_model

from planner.job.duties import STANDBY, STANDBY_TENDER
from planner.schedule.draft.draft import Draft
from planner.schedule.draft.values import HeldDuties
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.interval import Lit
from planner.schedule.search.stage import find_any

#: Seconds to look for a plan that keeps every diver and standby.
KEPT_SECONDS = 4.0


def changes_expression(day: DayModel, in_force: HeldDuties) -> cp_model.LinearExpr:
    """Changed duties in a model.

    Exact where the model names every support duty (but for hands at the standby diver's dressing, which a
    model names without counting them here). Where they are counted, each support post counts the
    changes that its number of people alone makes necessary: never more than there will be.
    """
    before = holders(in_force)
    # All that was held is taken away, less what is held again, and more by what is new.
    terms: list[cp_model.LinearExprT] = [len(in_force)]
    for k, dive in enumerate(day.dives):
        where = dive.data.item.name, dive.slot
        for seat in dive.seats:
            terms += signed(seat.who, before.get((seat.duty, *where), ()))
        terms += signed(dive.standby, before.get((STANDBY, *where), ()))
        for post in dive.data.posts:
            if dive.deco is None and not post.count:
                continue
            were = before.get((post.duty, *where), ())
            if post.duty == STANDBY_TENDER and dive.dresses is not None:
                # Others lend a hand with his dressing in the same duty: taken as those who held it.
                terms.append(-len(were) * dive.present)
            elif day.support is not None:
                terms += signed(day.support.dives[k, post.duty], were)
            else:
                usual = abs(post.count - len(were)) - len(were)
                terms.append(usual * dive.present)
                if dive.deco is not None:
                    terms.append((abs(post.count_deco - len(were)) - len(were) - usual) * dive.deco)
    for task in day.tasks:
        for duty, count in task.data.crew:
            were = before.get((duty, task.data.item.name, 0), ())
            if day.support is not None:
                terms += signed(day.support.tasks[task.index, duty], were)
            else:
                terms.append((abs(count - len(were)) - len(were)) * task.present)
    return cp_model.LinearExpr.sum(terms)


def kept_draft(day: DayModel, in_force: HeldDuties, deadline: Deadline, *, seed: int = 0) -> Draft | None:
    """A plan in which divers and standby divers all do again what they did, where they still may.

    Mostly there is one, and it is found at once where the search would grope for it: first with every dive
    that there was, then with those that there still are. None where none was found in a little time.
    """
    with_all = _kept(day, in_force, deadline, seed, every_dive=True)
    return with_all or _kept(day, in_force, deadline, seed, every_dive=False)


def _kept(
    day: DayModel, in_force: HeldDuties, deadline: Deadline, seed: int, *, every_dive: bool
) -> Draft | None:
    before = holders(in_force)
    clone = day.model.clone()
    for dive in day.dives:
        where = dive.data.item.name, dive.slot
        lists = [(seat.duty, seat.who) for seat in dive.seats] + [(STANDBY, dive.standby)]
        for duty in dict.fromkeys(duty for duty, _ in lists):
            for person in before.get((duty, *where), ()):
                his = [who[person] for own, who in lists if own == duty and person in who]
                if not his:
                    continue
                again = clone.add_bool_or(clone.get_bool_var_from_proto_index(v.index) for v in his)
                if not every_dive:
                    again.only_enforce_if(clone.get_bool_var_from_proto_index(dive.present.index))
    clone.clear_objective()
    return find_any(day, clone, KEPT_SECONDS, deadline, seed=seed)[1]


def holders(in_force: HeldDuties) -> dict[tuple[str, str, int], set[str]]:
    """(duty, item, which of its dives) → who holds it."""
    out: dict[tuple[str, str, int], set[str]] = {}
    for person, duty, item, number in in_force:
        out.setdefault((duty, item, number), set()).add(person)
    return out


def signed(who: Mapping[str, Lit], were: Collection[str]) -> list[cp_model.LinearExprT]:
    """One less for each who holds a duty again, one more for each who is new to it."""
    return [-literal if person in were else literal for person, literal in who.items()]
