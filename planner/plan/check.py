"""The independent check: any plan against any job, every rule, no solver.

Everything is worked out again from the job, the tables and the plan's times and names; what the plan says
of itself (groups, schedules, minutes, values) is only compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.job.job import Job
from planner.plan import crew, names, nitrogen, outfits, people, windows, work
from planner.plan.breach import Breach
from planner.plan.exposures import TrueExposures
from planner.plan.facts import Facts
from planner.plan.model import Plan


def check(plan: Plan, job: Job) -> tuple[Breach, ...]:
    """Every breach of every rule, in the order of the rules; empty when the plan holds.

    What the program cannot weigh (weather, fitness on the day, …) is in `planner.plan.unchecked`.

    Parameters
    ----------
    plan
        Any plan, from the scheduler or from a file; it need not be sound.
    job
        The job it is for.
    """
    return tuple(dict.fromkeys(_breaches(Facts(plan, job))))


def _breaches(facts: Facts) -> Iterator[Breach]:
    exposures = TrueExposures(facts)
    yield from names.known_names(facts)
    yield from names.times_in_order(facts, exposures)
    yield from names.duties_match_dives(facts)
    yield from nitrogen.depth_rules(facts)
    yield from nitrogen.table_rules(facts, exposures)
    yield from nitrogen.interval_rules(facts, exposures)
    yield from nitrogen.daily_rules(facts)
    yield from nitrogen.chamber_rules(facts, exposures)
    yield from windows.day_windows(facts)
    yield from windows.item_windows(facts)
    yield from windows.order_of_items(facts)
    yield from windows.stations(facts)
    yield from work.item_work(facts)
    yield from work.surface_crews(facts)
    yield from people.fit_for_duty(facts)
    yield from people.hours(facts)
    yield from people.one_duty(facts)
    yield from crew.crews(facts, exposures)
    yield from crew.hand_over(facts)
    yield from crew.standby_able(facts, exposures)
    yield from outfits.outfit_rules(facts)
    yield from work.leftovers(facts)
    yield from work.objective(facts)
