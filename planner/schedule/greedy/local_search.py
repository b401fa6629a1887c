"""The first plan: orders of the items tried one after another, each a neighbour of the best so far.

Pins kept count first, then most weighted work, then minutes in hand and the earliest finish in the job's
own order. Each order is built with dives that leave the minutes in hand; where that leaves work over, with
dives as long as can be too. A fixed number of orders, seeded, so that it repeats; on a large day the search
goes on from the same place for a while, since there the solver finds better plans late. Of several days a
plan as good is looked for whose longest is shorter, so that nobody works late on one and goes home early on
the next.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator, Sequence

from planner.check.stages import FINISH, MINUTES_IN_HAND, stage_kinds
from planner.schedule.draft.draft import Draft
from planner.schedule.draft.pins import pins_broken
from planner.schedule.draft.values import finish_value, margin_value, work_value
from planner.schedule.greedy.placement import build, predecessors_first, pressing_first
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.problem import Problem

#: Orders tried for the first plan: this many on small jobs, fewer as the number of dive slots grows.
TURNS = 24
SLOT_TURNS = 900

#: Several days are made shorter by no less than this, in so many rounds of orders.
SHORTER_MIN = 15
SHORTER_ROUNDS = 4

#: Moves of one item in one turn.
MOVES = (1, 1, 2, 3)


def worth(problem: Problem, draft: Draft) -> tuple[int, ...]:
    """A plan's work, minutes in hand and finish, in the order of its job: the less, the better."""
    work, finish = -work_value(problem, draft), finish_value(problem, draft)
    if not _margin_first(problem):
        return work, finish
    return work, margin_value(problem, draft), finish


def _margin_first(problem: Problem) -> bool:
    """Whether minutes in hand are wanted, and count before the finish."""
    kinds = stage_kinds(problem.job)
    return MINUTES_IN_HAND in kinds and kinds.index(MINUTES_IN_HAND) < kinds.index(FINISH)


class LocalSearch:
    """The best plan by rule of thumb so far, and the order that it came of."""

    def __init__(self, problem: Problem, *, seed: int = 0) -> None:
        self._problem = problem
        self._random = random.Random(seed)
        self._order = pressing_first(problem)
        self._tried: dict[tuple[str, ...], tuple[Draft, tuple[int, ...]]] = {}
        """Order → what came of it: few items have few orders, and each is tried once."""
        self.draft, self._score = self._built(self._order)

    def tried(self) -> Iterator[Draft]:
        """What came of every order so far, and what comes of the first items of the best one alone."""
        yield from (draft for draft, _ in self._tried.values())
        for last in range(len(self._order) - 1, 0, -1):
            yield self._best_of(self._order[:last])[0]

    def first(self) -> Draft:
        """After the turns that the first plan may take."""
        slots = sum(w.slots for w in self._problem.dives) + len(self._problem.tasks)
        # A day more is as many hours more to look for a place in.
        self.turn(min(TURNS, SLOT_TURNS // max(1, slots * len(self._problem.days))) - 1)
        return self.draft

    def turn(
        self, turns: int, *, seconds: float | None = None, ended: Callable[[], bool] = lambda: False
    ) -> bool:
        """Try more orders, within ``seconds`` where given; whether a better plan came of one."""
        over, before = _clock(seconds, ended), self._score
        for _ in range(turns if len(self._order) > 1 else 0):
            if over():
                break
            order = self._moved(self._order)
            draft, score = self._built(order)
            if score <= self._score:
                if score < self._score:
                    self.draft = draft
                self._order, self._score = order, score
        return self._score < before

    def shorten_days(
        self, turns: int, *, seconds: float | None = None, ended: Callable[[], bool] = lambda: False
    ) -> Iterator[Draft]:
        """Plans of several days as good as the best, each with the longest day shorter than the one before.

        Between the ordinary day and the longest of the last plan the half is tried; where no order holds
        it, half of what is left above.
        """
        over, least = _clock(seconds, ended), self._problem.job.rules.overtime_after_min
        longest, order = self._longest_day_min(self.draft), self._order
        for _ in range(SHORTER_ROUNDS):
            most = (least + longest) // 2
            if longest - most < SHORTER_MIN:
                return
            found = None
            for k in range(-(-turns // SHORTER_ROUNDS)):
                if over():
                    return
                tried = self._moved(order) if k else order
                draft, score = self._best_of(tried, most)
                if found is None or score <= found:
                    found, order = score, tried
                if score <= self._score:
                    longest = self._longest_day_min(draft)
                    yield draft
                    break
            else:
                least = most

    def _longest_day_min(self, draft: Draft) -> int:
        """Minutes of the longest day: from its earliest call to where the last has no duty left."""
        problem, longest = self._problem, 0
        ends = [(d.leave_surface_min, max(d.undressed_min, d.standing[1])) for d in draft.dives]
        for task in draft.tasks:
            if problem.tasks[task.task].standing is not None:
                end = task.start_min + problem.tasks[task.task].item.duration_min
                ends.append((task.start_min, end))
        for at, end in ends:
            longest = max(longest, end - problem.earliest_call_min(problem.day_of(at)))
        return longest

    def _moved(self, order: Sequence[str]) -> list[str]:
        """An order with a few items moved."""
        moved = list(order)
        for _ in range(self._random.choice(MOVES)):
            item = moved.pop(self._random.randrange(len(moved)))
            moved.insert(self._random.randrange(len(moved) + 1), item)
        return predecessors_first(self._problem, moved)

    def _built(self, order: Sequence[str]) -> tuple[Draft, tuple[int, ...]]:
        """The better plan that comes of an order, and what it is judged by."""
        if tuple(order) not in self._tried:
            self._tried[tuple(order)] = self._best_of(order)
        return self._tried[tuple(order)]

    def _best_of(
        self, order: Sequence[str], longest_day_min: int | None = None
    ) -> tuple[Draft, tuple[int, ...]]:
        """The better of the plans with minutes in hand and without, on days of that length at most."""
        problem = self._problem
        found = []
        for in_hand in (True, False) if _margin_first(problem) else (False,):
            draft = build(problem, order, in_hand=in_hand, longest_day_min=longest_day_min)
            found.append((draft, (pins_broken(problem, draft), *worth(problem, draft))))
            if found[-1][1][:2] == (0, -work_there_is(problem)):
                break
        return min(found, key=lambda f: f[1])


def _clock(seconds: float | None, ended: Callable[[], bool]) -> Callable[[], bool]:
    """Whether a search is to end: told so, or past its seconds where it has any."""
    began = time.perf_counter()
    return lambda: ended() or (seconds is not None and time.perf_counter() - began >= seconds)
