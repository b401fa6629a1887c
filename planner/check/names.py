"""Known names, times in order, and duties that tell the same story as the dives."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Container, Iterator

from planner.check.crew import dressing_of
from planner.check.facts import Facts, KnownDive, times_of
from planner.check.rule import JOB_DATA, NAVY, PLAN_DEFINITIONS, Basis, Rule, convicts_by
from planner.job.duties import BRIEFING, DRESSED_DUTIES, WATER_DUTIES
from planner.job.job import Job
from planner.plan.finding import Finding
from planner.plan.model import DutySpell, Plan, in_range


def another_job(job: Job, plan: Plan) -> Finding:
    """What is said, once, of a plan that was made for a job of another name."""
    return Finding(
        "known-names",
        f"This plan was made for the job {plan.job_name!r}; the job given is {job.site.name!r}.",
        "plan",
    )


@convicts_by(
    Rule(
        "known-names",
        "Every name in the plan (job, item, station, person, duty, outfit, dive, rule) is known, and no "
        "dive has the name of another.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def known_names(facts: Facts) -> Iterator[Finding]:
    plan, job = facts.plan, facts.job
    for name, times in Counter(dive.id for dive in plan.dives).items():
        if times > 1:
            yield Finding("known-names", f"{times} dives are called {name!r}.", f"dive {name}")
    known: dict[str, Container[str]] = {
        "dive item": facts.dive_items,
        "surface item": facts.surface_items,
        "item": {*facts.dive_items, *facts.surface_items},
        "station": {station.name for station in job.stations},
        "outfit": {outfit.name for outfit in job.outfits},
        "person": facts.people,
        "duty": {
            *job.duties,
            *(row.duty for row in job.rules.minima),
            *(duty for person in job.people for duty in person.duties),
            BRIEFING,
        },
    }
    for kind, name, where in _names(plan):
        if name not in known[kind]:
            yield Finding("known-names", f"{name!r} is no {kind} of this job.", where)
    ids = {dive.id for dive in plan.dives}
    for spell in plan.duties:
        if spell.dive is not None and spell.dive not in ids:
            yield Finding(
                "known-names", f"{spell.dive!r} is no dive of this plan.", f"{spell.person}, {spell.duty}"
            )
    for left in plan.leftovers:
        for reason in left.reasons:
            if reason.rule is not None and reason.rule not in facts.rule_ids:
                yield Finding(
                    "known-names", f"{reason.rule!r} is not the id of a rule.", f"left over: {left.item}"
                )


def _names(plan: Plan) -> Iterator[tuple[str, str, str]]:
    """Every name of the job's that a plan gives: of what kind it is, the name, and where it stands."""
    for dive in plan.dives:
        where = f"dive {dive.id}"
        yield "dive item", dive.item, where
        yield "station", dive.station, where
        for diver in dive.divers:
            yield "person", diver.person, where
            yield "outfit", diver.outfit, f"{where}, {diver.person}"
    for task in plan.surface_tasks:
        yield "surface item", task.item, f"surface task {task.item}"
    for spell in plan.duties:
        where = f"{spell.person}, {spell.duty}"
        yield "person", spell.person, where
        yield "duty", spell.duty, where
        if spell.duty != BRIEFING:
            yield "item", spell.item, where
        if spell.station is not None:
            yield "station", spell.station, where
        if spell.outfit is not None:
            yield "outfit", spell.outfit, where
    for left in plan.leftovers:
        yield "item", left.item, f"left over: {left.item}"


@convicts_by(
    Rule(
        "times-in-order",
        "A dive's times follow from one another: dressing, down at the descent rate, bottom time, the "
        "table's ascent to the surface, undressing, and the table's end in the chamber where the way up is "
        "surface decompression; every spell ends after it starts and lies in the job's days.",
        "the plan's own definitions; ascent from table 9-9, rounded up to the minute; five minutes from "
        f"40 fsw to 50 fsw in the chamber: {NAVY}",
        Basis.ARITHMETIC,
        by_tables=("no_stop", "stops"),
        limits=(
            "descent_fsw_per_min",
            "dressing_heavy_min",
            "undressing_heavy_min",
            "dressing_light_min",
            "undressing_light_min",
        ),
    )
)
def times_in_order(facts: Facts) -> Iterator[Finding]:
    for dive in facts.plan.dives:
        if not in_range(*times_of(dive)):
            yield Finding("times-in-order", "Its times lie far outside the job's days.", f"dive {dive.id}")
    for task in facts.plan.surface_tasks:
        if not in_range(task.start_min, task.end_min) or task.end_min <= task.start_min:
            yield Finding(
                "times-in-order",
                f"It runs from {facts.at(task.start_min)} to {facts.at(task.end_min)}.",
                f"surface task {task.item}",
            )
    for spell in facts.plan.duties:
        if not in_range(spell.start_min, spell.end_min) or spell.end_min <= spell.start_min:
            yield Finding(
                "times-in-order",
                f"The duty runs from {facts.at(spell.start_min)} to {facts.at(spell.end_min)}.",
                f"{spell.person}, {spell.duty}",
            )
    for known in facts.dives:
        yield from _dive_times(facts, known)


def _dive_times(facts: Facts, known: KnownDive) -> Iterator[Finding]:
    dive, item, rules = known.dive, known.item, facts.job.rules

    def wrong(sentence: str) -> Finding:
        return Finding("times-in-order", sentence, known.where)

    dressing, undressing = dressing_of(facts, known)
    dressed = dive.leave_surface_min - dive.dress_start_min
    if dressed < dressing:
        yield wrong(
            f"Dressing starts {facts.at(dive.dress_start_min)} and the divers leave the surface "
            f"{facts.at(dive.leave_surface_min)}: {dressed} min, and {item.gear} needs {dressing}."
        )
    bottom = dive.leave_surface_min + math.ceil(known.depth_fsw / rules.descent_fsw_per_min)
    if dive.reach_bottom_min != bottom:
        yield wrong(
            f"Reach bottom is {facts.at(dive.reach_bottom_min)}; {known.depth_fsw} fsw at "
            f"{rules.descent_fsw_per_min} fsw/min from {facts.at(dive.leave_surface_min)} gives "
            f"{facts.at(bottom)}."
        )
    if dive.leave_bottom_min <= dive.reach_bottom_min:
        yield wrong(
            f"It leaves the bottom {facts.at(dive.leave_bottom_min)}, not after reaching it "
            f"{facts.at(dive.reach_bottom_min)}."
        )
    bottom_time = known.bottom_time_min
    if dive.bottom_time_min != bottom_time:
        yield wrong(
            f"Bottom time is given as {dive.bottom_time_min} min; leave surface "
            f"{facts.at(dive.leave_surface_min)} to leave bottom {facts.at(dive.leave_bottom_min)} is "
            f"{bottom_time}."
        )
    work = known.work_min
    if dive.work_min != work:
        yield wrong(
            f"Work is given as {dive.work_min} min; reach bottom {facts.at(dive.reach_bottom_min)} to leave "
            f"bottom {facts.at(dive.leave_bottom_min)} is {work}."
        )
    ascent = facts.exposures.ascent_min(dive.id)
    if ascent is not None and dive.reach_surface_min != dive.leave_bottom_min + ascent:
        yield wrong(
            f"It reaches the surface {facts.at(dive.reach_surface_min)}; the table's ascent of {ascent} min "
            f"from {facts.at(dive.leave_bottom_min)} ends {facts.at(dive.leave_bottom_min + ascent)}."
        )
    if ascent is None and dive.reach_surface_min <= dive.leave_bottom_min:
        yield wrong(f"It reaches the surface {facts.at(dive.reach_surface_min)}, not after leaving bottom.")
    yield from _chamber_time(facts, known)
    undressed = dive.undressed_min - dive.reach_surface_min
    if undressed < undressing:
        yield wrong(
            f"The divers surface {facts.at(dive.reach_surface_min)} and are undressed "
            f"{facts.at(dive.undressed_min)}: {undressed} min, and {item.gear} needs {undressing}."
        )


def _chamber_time(facts: Facts, known: KnownDive) -> Iterator[Finding]:
    """What is wrong with the time at which a dive is out of the chamber."""
    dive, chamber = known.dive, facts.exposures.chamber_min(known.dive.id)
    out = None if chamber is None else dive.leave_bottom_min + chamber
    if out == dive.out_of_chamber_min:
        return
    told = "not given" if dive.out_of_chamber_min is None else facts.at(dive.out_of_chamber_min)
    true = (
        "no diver goes through it"
        if out is None
        else f"the table's {chamber} min from leaving the bottom {facts.at(dive.leave_bottom_min)} end "
        f"{facts.at(out)}"
    )
    yield Finding("times-in-order", f"Out of the chamber is {told}; {true}.", known.where)


@convicts_by(
    Rule(
        "duties-match-dives",
        "Duties and dives tell the same story: every diver of a dive is listed once and holds the duty over "
        "the whole of it in the same outfit, every duty names the item and station of its dive or a planned "
        "surface task, and only those who dive or stand by wear an outfit.",
        PLAN_DEFINITIONS,
        Basis.ARITHMETIC,
    )
)
def duties_match_dives(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        dive = known.dive
        for person, times in Counter(diver.person for diver in dive.divers).items():
            if times > 1:
                yield Finding("duties-match-dives", f"{person} is listed {times} times.", known.where)
        for diver in dive.divers:
            if diver.duty not in WATER_DUTIES:
                yield Finding(
                    "duties-match-dives",
                    f"{diver.person} is listed as a diver in the duty {diver.duty!r}.",
                    known.where,
                )
                continue
            own = [s for s in facts.holders(known, diver.duty) if s.person == diver.person]
            if diver.person in facts.people and not any(_holds_over(s, known) for s in own):
                yield Finding(
                    "duties-match-dives",
                    f"{diver.person} dives and has no duty {diver.duty!r} over "
                    f"{facts.stretch(dive.dress_start_min, dive.undressed_min)}.",
                    known.where,
                )
            for spell in own:
                if spell.outfit != diver.outfit:
                    yield Finding(
                        "duties-match-dives",
                        f"{diver.person} dives in outfit {diver.outfit!r}, the duty says "
                        f"{spell.outfit or 'none'!r}.",
                        known.where,
                    )
    tasks = {item.name for _, item in facts.tasks}
    for spell in facts.spells:
        yield from _spell_story(facts, spell, tasks)


def _holds_over(spell: DutySpell, known: KnownDive) -> bool:
    return spell.start_min <= known.dive.dress_start_min and known.dive.undressed_min <= spell.end_min


def _spell_story(facts: Facts, spell: DutySpell, tasks: set[str]) -> Iterator[Finding]:
    def wrong(sentence: str) -> Finding:
        where = f"{spell.person}, {spell.duty} {facts.stretch(spell.start_min, spell.end_min)}"
        return Finding("duties-match-dives", sentence, where)

    if spell.outfit is not None and spell.duty not in DRESSED_DUTIES:
        yield wrong(f"Outfit {spell.outfit!r} is named; nobody wears one in the duty {spell.duty}.")
    if spell.duty == BRIEFING and (spell.item or spell.dive is not None):
        yield wrong("The briefing names what it is for; it is for the whole stretch on site.")
    if spell.dive is None:
        if spell.station is not None:
            yield wrong(f"The duty names station {spell.station!r}; work on deck has none.")
        if spell.item in facts.dive_items:
            yield wrong(f"The duty is for {spell.item}, a dive item, and names no dive.")
        elif spell.item in facts.surface_items and spell.item not in tasks:
            yield wrong(f"The duty is for {spell.item}, which the plan does not do.")
        return
    known = facts.dive_by_id.get(spell.dive)
    if known is None:
        return
    if spell.item != known.item.name:
        yield wrong(f"The duty names {spell.item!r}; dive {spell.dive} is on {known.item.name!r}.")
    if spell.station != known.dive.station:
        yield wrong(
            f"The duty names station {spell.station or 'none'!r}; dive {spell.dive} is on "
            f"{known.dive.station!r}."
        )
    if spell.duty in WATER_DUTIES and not any(
        d.person == spell.person and d.duty == spell.duty for d in known.dive.divers
    ):
        yield wrong(f"{spell.person} is not among the divers of dive {spell.dive}.")
