"""The independent check: any plan against any job, every rule, no solver.

Everything is worked out again from the job, the tables and the plan's times and names; what the plan says
of itself (groups, schedules, minutes, values) is only compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.check import (
    air,
    chamber,
    crew,
    hours,
    names,
    nitrogen,
    outfits,
    people,
    pins,
    windows,
    work,
)
from planner.check.catalog import RULES
from planner.check.exposures import TrueExposures
from planner.check.facts import Facts
from planner.job.job import Job
from planner.plan.finding import Finding
from planner.plan.model import Plan


def check(job: Job, plan: Plan) -> tuple[Finding, ...]:
    """Every breach of every rule, in the order in which they are looked for; empty when the plan holds.

    What the program cannot weigh (weather, fitness on the day, …) is in `planner.plan.unchecked`.

    Parameters
    ----------
    job
        The job that the plan is for.
    plan
        Any plan, from the scheduler or from a file; it need not be sound.

    Raises
    ------
    KeyError
        When a check convicts by an id that is no rule's: an error of this program.
    """
    found = tuple(dict.fromkeys(_findings(Facts(plan, job))))
    for finding in found:
        if finding.rule not in RULES:
            raise KeyError(f"{finding.rule!r} is not the id of a rule")
    return found


def _findings(facts: Facts) -> Iterator[Finding]:
    exposures = TrueExposures(facts)
    yield from names.known_names(facts, frozenset(RULES))
    yield from names.times_in_order(facts, exposures)
    yield from names.duties_match_dives(facts)
    yield from nitrogen.depth_rules(facts)
    yield from nitrogen.table_rules(facts, exposures)
    yield from nitrogen.interval_rules(facts, exposures)
    yield from nitrogen.daily_rules(facts)
    yield from nitrogen.chamber_rules(facts, exposures)
    yield from chamber.in_the_chamber(facts, exposures)
    yield from chamber.one_at_a_time(facts, exposures)
    yield from windows.day_windows(facts)
    yield from windows.item_windows(facts)
    yield from windows.order_of_items(facts)
    yield from windows.stations(facts)
    yield from work.item_work(facts)
    yield from work.surface_crews(facts)
    yield from people.fit_for_duty(facts)
    yield from people.hours(facts)
    yield from hours.spans_and_rest(facts)
    yield from hours.meal_breaks(facts)
    yield from hours.after_a_night(facts)
    yield from people.one_duty(facts)
    yield from crew.crews(facts, exposures)
    yield from crew.hand_over(facts, exposures)
    yield from crew.standby_able(facts, exposures)
    yield from crew.standby_dressing(facts, exposures)
    yield from outfits.outfit_rules(facts)
    yield from pins.pins_kept(facts)
    yield from work.leftovers(facts)
    yield from work.objective(facts)
    yield from outfits.size_and_length(facts.job, facts.plan)
    yield from air.air_findings(facts.job, facts.plan)
