"""Plans by rule of thumb, before any model is made: the first one, better orders, shorter days."""

from __future__ import annotations

from planner.check import check
from planner.check.told import OWN_WORDS
from planner.plan.model import Plan
from planner.schedule.crews.assignment import FIRST_SECONDS
from planner.schedule.draft.draft import Draft, draft_of
from planner.schedule.draft.values import finish_value, margin_value, work_value
from planner.schedule.greedy.local_search import LocalSearch, worth
from planner.schedule.problem.least import work_there_is
from planner.schedule.search.goals import FINISH, MARGIN, OVERTIME, WORK
from planner.schedule.search.incumbent import Incumbent
from planner.schedule.search.known_bounds import told

#: From this many possible dives on the rule of thumb goes on before the model is made: so many orders for
#: each second of the budget (a count, so that one worker repeats), with more workers that part of it at most.
ORDERS_FROM_SLOTS = 40
ORDERS_A_SECOND = 2
ORDERS_PART = 0.15

#: The same where there is no model: this part of the budget, and a plan told after each so many of its parts.
ORDERS_ALONE_PART = 0.7
ORDERS_TELLS = 8

#: Part of the budget, with more workers than one, that shorter days by rule of thumb take at most.
SHORTER_PART = 0.25

#: Where the best plan by rule of thumb has no crew, so many others are tried, in this part of what is left.
BEGUN_WITH, BEGUN_PART = 40, 0.25


class FirstPlans:
    """Plans by rule of thumb for one search.

    Parameters
    ----------
    best
        Takes what is found.
    start
        A plan to start from, where it holds.
    """

    def __init__(self, best: Incumbent, start: Plan | None) -> None:
        self.best, self.start = best, start

    def first(self) -> Plan | None:
        """The better of the plan by rule of thumb and the one to start from; None when there is neither."""
        best = self.best
        self._local_search = LocalSearch(best.problem, seed=best.seed)
        given = self._given()
        found = [] if given is None else [given]
        if given is None or not self._as_good_as_can_be(given):
            found.append(self._local_search.first())
        found = [d for d in found if d.dives or d.tasks]
        found.sort(key=lambda d: worth(best.problem, d))
        # A budget that this naming alone uses up: it is not done twice, first in passing.
        at_once = best.deadline.counted and 0 < best.deadline.budget_s < FIRST_SECONDS / 2
        for draft in found:
            # The rule of thumb knows neither pins nor sizes of outfits: what does not hold is passed over.
            if best.take(draft, readable=at_once):
                return best.plan({})
        return best.plan({}) if found and self._begins(readable=at_once) else None

    def _begins(self, *, readable: bool) -> bool:
        """Keep the best other plan by rule of thumb that has a crew, of all items or the first ones alone.

        For all dives of the best one there may be none: somebody has to eat, or be relieved of a watch. A
        search that begins with fewer dives finds the others sooner than one that begins with nothing.
        """
        best, refused = self.best, self.best.refused
        kept_back_s = best.left_s * (1 - BEGUN_PART)
        others = {draft: None for draft in self._local_search.tried() if draft.dives or draft.tasks}
        for draft in sorted(others, key=lambda d: worth(best.problem, d))[:BEGUN_WITH]:
            kept = best.take(draft, readable=readable, soon=True)
            # As above: what the rule of thumb does not know is no fault of a search.
            best.refused = refused
            if kept or best.stop.is_set() or best.left_s < kept_back_s:
                return kept
        return False

    def _as_good_as_can_be(self, draft: Draft) -> bool:
        """Whether no plan does more work than a draft, has more in hand or ends sooner as it counts."""
        best = self.best
        work = work_value(best.problem, draft)
        return (
            work == work_there_is(best.problem)
            and margin_value(best.problem, draft) <= MARGIN.known(best.problem, work)
            and finish_value(best.problem, draft) <= FINISH.known(best.problem, work)
        )

    def _given(self) -> Draft | None:
        """The plan to start from, where its dives and duties hold; what it tells of itself is made anew."""
        if self.start is None:
            return None
        breaches = check(self.best.problem.job, self.start.replace(stages=()))
        if any(b.rule not in OWN_WORDS for b in breaches):
            return None
        return draft_of(self.best.problem, self.start)

    def without_air(self) -> None:
        """The plan by rule of thumb with air left to the check, where it holds and is better."""
        best = self.best
        draft = LocalSearch(best.problem, seed=best.seed).first()
        before = (1,) if best.draft is None else worth(best.problem, best.draft)
        if worth(best.problem, draft) < before:
            best.take(draft, readable=False)
            best.air_binds = False

    def better_orders(self, plan: Plan, parts: int) -> Plan:
        """On a large day, better plans by rule of thumb before the model is made, which finds few there.

        ``parts``: 1, or where no model follows the number of parts of which this is one.
        """
        best = self.best
        if sum(w.slots for w in best.problem.dives) < ORDERS_FROM_SLOTS or best.problem.job.pins:
            return plan
        part = ORDERS_PART if parts == 1 else ORDERS_ALONE_PART / parts
        seconds = None if best.workers == 1 else part * best.deadline.budget_s
        turns = round(ORDERS_A_SECOND * best.deadline.budget_s / parts)
        if not self._local_search.turn(turns, seconds=seconds, ended=best.stop.is_set):
            return plan
        draft, crew = best.held()
        before = worth(best.problem, draft)
        if not best.take(self._local_search.draft, readable=False) or before <= worth(
            best.problem, best.held()[0]
        ):
            best.draft, best.crew = draft, crew
            return plan
        better = best.plan({})
        best.tell("first plan", best.value(WORK), work_there_is(best.problem), better)
        return better

    def shorter_days(self) -> None:
        """Plans of several days as good by rule of thumb, with shorter days and less overtime."""
        best = self.best
        if best.in_force is not None or best.crew is None or best.crew.overtime_min == 0:
            return
        if len(best.problem.days) == 1:
            # One day is made shorter near the best plan (`planner.schedule.search.neighbourhoods`).
            return
        seconds = None if best.workers == 1 else SHORTER_PART * best.deadline.budget_s
        turns = round(ORDERS_A_SECOND * best.deadline.budget_s)
        for draft in self._local_search.shorten_days(turns, seconds=seconds, ended=best.stop.is_set):
            if worth(best.problem, draft) <= worth(best.problem, best.held()[0]):
                best.take(draft, readable=False, goal=OVERTIME)
            if best.value(OVERTIME) <= told(best, OVERTIME):
                return
