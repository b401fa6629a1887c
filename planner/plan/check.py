"""The independent check: any plan against any job, every rule, no solver.

Everything is worked out again from the job, the tables and the plan's times and names; what the plan says
of itself (groups, schedules, minutes, values) is only compared.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from planner.job.job import Job
from planner.plan import chamber, crew, hours, names, nitrogen, outfits, people, pins, standby, windows, work
from planner.plan.breach import Breach, BreachLike, FurtherBreach
from planner.plan.exposures import TrueExposures
from planner.plan.facts import Facts
from planner.plan.model import Plan
from planner.rules.catalog import RULES
from planner.rules.rule import Rule

#: A check from another part of the program, with rules of its own (air, gear).
FurtherCheck = Callable[[Plan, Job], Iterable[BreachLike]]


def check(
    plan: Plan, job: Job, more: Iterable[FurtherCheck] = (), more_rules: Mapping[str, Rule] | None = None
) -> tuple[Breach, ...]:
    """Every breach of every rule, in the order of the rules; empty when the plan holds.

    What the program cannot weigh (weather, fitness on the day, …) is in `planner.plan.unchecked`.

    Parameters
    ----------
    plan
        Any plan, from the scheduler or from a file; it need not be sound.
    job
        The job it is for.
    more
        Further checks; what they find follows.
    more_rules
        Rules beyond `planner.rules.RULES` that a plan may name as the reason for what it leaves over.
    """
    ids = frozenset(RULES) | frozenset(more_rules or ())
    found: list[Breach] = list(_breaches(Facts(plan, job), ids))
    for further in more:
        found += [FurtherBreach(b.rule, b.sentence, b.where) for b in further(plan, job)]
    return tuple(dict.fromkeys(found))


def _breaches(facts: Facts, rule_ids: frozenset[str]) -> Iterator[Breach]:
    exposures = TrueExposures(facts)
    yield from names.known_names(facts, rule_ids)
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
    yield from standby.standby_dressing(facts, exposures)
    yield from outfits.outfit_rules(facts)
    yield from pins.pins_kept(facts)
    yield from work.leftovers(facts)
    yield from work.objective(facts)
