"""Which cases of a sweep are worth their money: cost, the chance to finish, and the finish as third word."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from planner.whatif.results import CaseResult

#: Points of chance that a dearer case must bring to count as better: less is within the luck of the draws.
LEAST_GAIN_POINTS = 1.0

BEST_MARK, EARLIER_MARK = "★", "◇"


@dataclass(frozen=True)
class Knee:
    """The best cases and the bend among them."""

    best: tuple[CaseResult, ...]
    """Cases that no other beats: less cost for at least the same gain, or more gain for at most the same
    cost. Cheapest first; of cases with equal figures the one that finishes first."""
    bend: CaseResult | None
    """Up to it a little more money buys much, past it much money buys little; None with fewer than two best
    cases, or without a bend."""
    earlier: tuple[CaseResult, ...]
    """Cases that buy an earlier finish and nothing else: no cheaper case with as much gain is done by then.
    Cheapest first."""
    sentence: str
    """All that in words, with numbers."""
    at_least: int | None
    """The gain is the chance that at least so many per cent of the job's work are done; None where no days
    were drawn and it is the work planned, per cent, both weighted by priority."""

    @cached_property
    def marks(self) -> dict[int, str]:
        """By number of the case: ``★`` one of the best, ``◇`` one that only finishes earlier."""
        marked = ((self.best, BEST_MARK), (self.earlier, EARLIER_MARK))
        return {r.case.number: mark for results, mark in marked for r in results}

    def gain(self, result: CaseResult) -> float:
        """What a case brings, per cent: its chance, or its work where no days were drawn."""
        return _gain(result, self.at_least)

    @property
    def gain_words(self) -> str:
        """``chance of all the work, %``: what the gain is, with its unit."""
        if self.at_least is None:
            return "work done, % of all, weighted by priority"
        return f"chance of {_of_work(self.at_least)}, % of drawn days"


def _of_work(percent: int) -> str:
    return "all the work" if percent >= 100 else f"at least {percent} % of the work"


def most_planned(results: Sequence[CaseResult]) -> int:
    """The most work that any case plans, whole per cent of all the job's work, weighted by priority."""
    return max((math.floor(r.figures.work_percent + 1e-9) for r in results if r.figures), default=100)


def knee_of(results: Sequence[CaseResult], at_least: int | None = None) -> Knee:
    """The best cases of a sweep and its bend: the case furthest over the line from cheapest to dearest.

    Parameters
    ----------
    at_least
        Per cent of the work whose chance is weighed; the most that any case plans when not given.
    """
    found = [r for r in results if r.figures is not None]
    if any(r.sure is not None for r in found):
        at_least = most_planned(results) if at_least is None else at_least
    else:
        at_least = None
    tolerance = 0.0 if at_least is None else LEAST_GAIN_POINTS
    ranked = sorted(found, key=lambda r: (_cost(r), -_gain(r, at_least), _end(r), r.case.number))
    best: list[CaseResult] = []
    earlier: list[CaseResult] = []
    for k, result in enumerate(ranked):
        gain = _gain(result, at_least)
        if not best or gain > _gain(best[-1], at_least) + tolerance:
            best.append(result)
        elif all(_end(r) > _end(result) for r in ranked[:k] if _gain(r, at_least) >= gain - tolerance):
            earlier.append(result)
    if not best:
        return Knee((), None, (), "No case has a plan, so there is nothing to weigh.", at_least)
    bend = _bend(best, at_least) if len(best) > 1 else None
    said = _sentence(best, bend, at_least)
    if earlier:
        said += " " + _earlier(best, earlier, at_least)
    return Knee(tuple(best), bend, tuple(earlier), said, at_least)


def _gain(result: CaseResult, at_least: int | None) -> float:
    if result.figures is None:
        return 0.0
    if at_least is None:
        return result.figures.work_percent
    return result.sure.chance_of(at_least) if result.sure is not None else 0.0


def _cost(result: CaseResult) -> Decimal:
    return result.figures.total_cost if result.figures is not None else Decimal(0)


def _people(result: CaseResult) -> int:
    return result.figures.people if result.figures is not None else 0


def _end(result: CaseResult) -> int:
    return result.figures.end_min if result.figures is not None else 0


def _bend(best: Sequence[CaseResult], at_least: int | None) -> CaseResult | None:
    first, last = best[0], best[-1]
    money = float(_cost(last) - _cost(first))
    whole = _gain(last, at_least) - _gain(first, at_least)

    def over(result: CaseResult) -> float:
        """Height over the straight line from the cheapest to the dearest, as a part of the whole gain."""
        gained = _gain(result, at_least) - _gain(first, at_least)
        return gained / whole - float(_cost(result) - _cost(first)) / money

    inner = max(best[1:-1], key=lambda r: (over(r), -r.case.number), default=None)
    return inner if inner is not None and over(inner) > 0.02 else None


def _sentence(best: Sequence[CaseResult], bend: CaseResult | None, at_least: int | None) -> str:
    first, last = best[0], best[-1]
    further = "per cent of the work" if at_least is None else f"point of chance of {_of_work(at_least)}"
    if len(best) == 1:
        does = (
            "does the most work and costs the least: no other case does more"
            if at_least is None
            else f"is as likely as any to see {_of_work(at_least)} done ({_gain(first, at_least):.0f} % of "
            "the drawn days) and costs the least: no other case is likelier"
        )
        return f"{_named(first)} {does}, whatever it costs."
    if bend is None:
        return (
            f"From {_named(first, small=True)} to {_named(last, small=True)} each further {further} costs "
            f"about the same, {_price(first, last, at_least)}: there is no bend."
        )
    weighted = " (work weighted by priority)" if at_least is None else ""
    return (
        f"The bend is {_named(bend, small=True)}: up to it a further {further} costs "
        f"{_price(first, bend, at_least)}, beyond it {_price(bend, last, at_least)}{weighted}."
    )


def _earlier(best: Sequence[CaseResult], earlier: Sequence[CaseResult], at_least: int | None) -> str:
    """What the cheapest case that only finishes earlier costs more, and what for."""
    one, tolerance = earlier[0], LEAST_GAIN_POINTS
    than = next(r for r in best if _gain(r, at_least) >= _gain(one, at_least) - tolerance)
    money = f"{_cost(one) - _cost(than):,.2f} {one.figures.cost.currency if one.figures else ''}".strip()
    more = f" So do {len(earlier) - 1} more." if len(earlier) > 1 else ""
    return (
        f"{_named(one)} buys an earlier finish only: {money} more than case {than.case.number} for "
        f"{finish_words(one)} instead of {finish_words(than)}.{more}"
    )


def finish_words(result: CaseResult) -> str:
    """When everybody is free as planned: ``15:51``, with the day where there are several."""
    return result.when(_end(result))


def point_words(result: CaseResult) -> str:
    """What stands beside the point of a case in a chart: ``3 · 15:51``."""
    return f"{result.case.number} · {finish_words(result)}"


def _named(result: CaseResult, *, small: bool = False) -> str:
    return f"{'case' if small else 'Case'} {result.case.number} ({result.case.title})"


def _price(one: CaseResult, other: CaseResult, at_least: int | None) -> str:
    """Money for a further per cent from one case to another."""
    assert other.figures is not None
    gained = Decimal(str(_gain(other, at_least) - _gain(one, at_least)))
    return f"{(_cost(other) - _cost(one)) / gained:,.2f} {other.figures.cost.currency}"


@dataclass(frozen=True)
class BestCase:
    """What was asked of a sweep in one line: the case that answers, None where none does, and the words."""

    result: CaseResult | None
    sentence: str


def least_crew(
    results: Sequence[CaseResult], likely: float, at_least: int, budget: Decimal | None = None
) -> BestCase:
    """The case with the fewest people whose chance of so much work reaches what is asked.

    Parameters
    ----------
    likely
        Chance asked, per cent of drawn days.
    at_least
        Per cent of the job's work, weighted by priority.
    budget
        Most that it may cost; None: any.
    """
    drawn = _within(results, budget)
    enough = [r for r in drawn if _gain(r, at_least) >= likely]
    asked = f"{_of_work(at_least)} in at least {likely:g} % of drawn days{_for(budget)}"
    if not enough:
        return _nearest(drawn, f"No case does {asked}", at_least)
    one = min(enough, key=lambda r: (_people(r), _cost(r), r.case.number))
    return BestCase(one, f"Least crew for {asked}: {_told(one, at_least)}")


def best_within(results: Sequence[CaseResult], budget: Decimal, at_least: int) -> BestCase:
    """The likeliest case that costs no more than a budget; of equally likely ones the cheapest."""
    drawn = _within(results, budget)
    if not drawn:
        return BestCase(None, f"No case with a plan costs {budget:,.2f} or less.")
    most = max(_gain(r, at_least) for r in drawn)
    like = [r for r in drawn if _gain(r, at_least) >= most - LEAST_GAIN_POINTS]
    one = min(like, key=lambda r: (_cost(r), _end(r), r.case.number))
    return BestCase(one, f"Best within {budget:,.2f}: {_told(one, at_least)}")


def _within(results: Sequence[CaseResult], budget: Decimal | None) -> list[CaseResult]:
    return [r for r in results if r.sure is not None and (budget is None or _cost(r) <= budget)]


def _for(budget: Decimal | None) -> str:
    return "" if budget is None else f" for {budget:,.2f} or less"


def _nearest(drawn: Sequence[CaseResult], refusal: str, at_least: int) -> BestCase:
    if not drawn:
        return BestCase(None, f"{refusal}: none has a plan with drawn days.")
    near = min(drawn, key=lambda r: (-_gain(r, at_least), _cost(r), r.case.number))
    return BestCase(None, f"{refusal}; the likeliest is {_told(near, at_least)}")


def _told(result: CaseResult, at_least: int) -> str:
    assert result.figures is not None and result.sure is not None
    return (
        f"{_named(result, small=True)}, {_people(result)} people, {_cost(result):,.2f} "
        f"{result.figures.cost.currency}: {_of_work(at_least)} in {result.sure.chance_of(at_least):.0f} % of "
        f"{result.sure.draws} drawn days, finish {finish_words(result)} as planned."
    )
