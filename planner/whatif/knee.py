"""Which cases are worth a look: those that no other beats on work and cost, and where the curve bends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from planner.whatif.sweep import CaseResult


@dataclass(frozen=True)
class Knee:
    """The best cases and the bend among them.

    Parameters
    ----------
    best
        Cases that no other beats: less cost for at least the same work, or more work for at most the same
        cost. Cheapest first; of cases with equal figures the first.
    bend
        Up to it a little more money buys much work, past it much money buys little; None with fewer than
        two best cases, or without a bend.
    sentence
        The bend in words, with numbers.
    """

    best: tuple[CaseResult, ...]
    bend: CaseResult | None
    sentence: str


def knee_of(results: Sequence[CaseResult]) -> Knee:
    """The best cases of a sweep and its bend: the case furthest over the line from cheapest to dearest."""
    ranked = sorted(
        (r for r in results if r.figures is not None),
        key=lambda r: (_cost(r), -_work(r), r.case.number),
    )
    best: list[CaseResult] = []
    for result in ranked:
        if not best or _work(result) > _work(best[-1]):
            best.append(result)
    if not best:
        return Knee((), None, "No case has a plan, so there is nothing to weigh.")
    if len(best) == 1:
        only = best[0]
        return Knee(
            (only,),
            None,
            f"Case {only.case.number} ({only.case.title}) does the most work and costs the least: no other "
            "case does more, whatever it costs.",
        )
    bend = _bend(best)
    return Knee(tuple(best), bend, _sentence(best, bend))


def _work(result: CaseResult) -> int:
    return result.figures.weighted if result.figures is not None else 0


def _cost(result: CaseResult) -> Decimal:
    return result.figures.total_cost if result.figures is not None else Decimal(0)


def _bend(best: Sequence[CaseResult]) -> CaseResult | None:
    first, last = best[0], best[-1]
    money, work = _cost(last) - _cost(first), Decimal(_work(last) - _work(first))

    def over(result: CaseResult) -> Decimal:
        """Height over the straight line from the cheapest to the dearest, as a part of the whole gain."""
        return (_work(result) - _work(first)) / work - (_cost(result) - _cost(first)) / money

    inner = max(best[1:-1], key=lambda r: (over(r), -r.case.number), default=None)
    return inner if inner is not None and over(inner) > Decimal("0.02") else None


def _sentence(best: Sequence[CaseResult], bend: CaseResult | None) -> str:
    first, last = best[0], best[-1]
    if bend is None:
        return (
            f"From case {first.case.number} ({first.case.title}) to case {last.case.number} "
            f"({last.case.title}) each further per cent of the work costs about the same, "
            f"{_price(first, last)}: there is no bend."
        )
    return (
        f"The bend is case {bend.case.number} ({bend.case.title}): up to it a further per cent of the work "
        f"costs {_price(first, bend)}, beyond it {_price(bend, last)} (work weighted by priority)."
    )


def _price(one: CaseResult, other: CaseResult) -> str:
    """Money for a further per cent of the work from one case to another."""
    assert one.figures is not None and other.figures is not None
    percent = Decimal(other.figures.weighted - one.figures.weighted) * 100 / one.figures.weighted_needed
    money = other.figures.total_cost - one.figures.total_cost
    return f"{money / percent:,.2f} {one.figures.cost.currency}"
