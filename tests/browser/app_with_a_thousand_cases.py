"""The app with a comparison of 1,000 cases, done before, on the desk `TOKEN`.

The cases are built, not searched: the small sample is planned by rule of thumb, its plan is drawn on 50
days, and 1,000 copies of it are told apart by a start in their words, and by cost and chance made up of their
number. Each has a whole job and a whole plan.
"""

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from functools import cache

from planner.screens.desk import Desk
from planner.screens.navigation import main
from planner.screens.runs import EarlierRun
from planner.screens.session import shelf
from planner.screens.what_if_record import COMPARED, COMPARED_JOB
from planner.whatif.cases import cases_of, parse_variations
from planner.whatif.figures import figures_of
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.sure import how_sure
from tests.world.sample_plans import planned

TOKEN = "a-desk-of-a-thousand"

JOB, PLAN = planned("small heavy dress")

DRAWS = 50


def cost_of(number: int) -> int:
    """What a case costs, made up: every number another, in no order."""
    return 2000 + number * 389 % 1000


def days_of(number: int) -> int:
    """On how many of the days drawn a case does all the work, made up."""
    return number * 7 % (DRAWS + 1)


@cache
def thousand() -> Sweep:
    """The comparison."""
    (case,) = cases_of(JOB, parse_variations(JOB, ["tenders=2"]))
    figures = figures_of([(PLAN, JOB)])
    sure = how_sure(PLAN, JOB, draws=DRAWS)

    def one(number: int) -> CaseResult:
        cost = replace(
            figures.cost, worked_pay=Decimal(cost_of(number)), waiting_pay=Decimal(0), gear=Decimal(0)
        )
        reached = Counter({100: days_of(number), 0: DRAWS - days_of(number)})
        return CaseResult(
            replace(
                case, number=number, job=JOB, settings=(("start, min", str(number)),), as_given=number == 1
            ),
            PLAN,
            replace(figures, cost=cost),
            "built for the test",
            sure=replace(sure, draws=DRAWS, reached=tuple(reached[percent] for percent in range(101))),
        )

    return Sweep(tuple(map(one, range(1, 1001))), 1000, False, 1.0)


def put_on_a_desk() -> None:
    """The desk, once."""
    if shelf().find(TOKEN) is None:
        here = Desk(TOKEN, JOB, "made for the test")
        here.beside |= {COMPARED: EarlierRun(thousand), COMPARED_JOB: JOB}
        shelf().take_in(here)


if __name__ == "__main__":
    put_on_a_desk()
    main()
