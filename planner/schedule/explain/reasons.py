"""Why an item is not fully planned: the rules that block it, with this job's names and numbers."""

from __future__ import annotations

from planner.air import item_air_breach
from planner.errors import TableRefusal
from planner.gear import outfit_fits
from planner.job import DiveItem, Item, SurfaceItem
from planner.job.bounds import CHAMBER_REACH_MIN
from planner.job.duties import DIVER, ENTRY_DIVER, STANDBY, crew_rule_of, duty_qualifies
from planner.plan.model import Plan, Reason
from planner.schedule.problem.eligibility import fit_to_dive
from planner.schedule.problem.matching import fill_posts
from planner.schedule.problem.prepare import crew_counts
from planner.schedule.problem.problem import NEVER_MIN, DiveWork, Problem, TaskWork
from planner.tables import modes
from planner.tables.schedule import NO_STOP

Reasons = dict[str, tuple[Reason, ...]]


def reasons_for(problem: Problem, plan: Plan | None, *, proven: bool) -> Reasons:
    """Reasons for every item that the plan does not do wholly.

    Parameters
    ----------
    plan
        The plan, or None when nothing was planned.
    proven
        Whether the search proved that no plan finishes more weighted work.
    """
    out: Reasons = {}
    for under in problem.items_under:
        planned = plan.worked_min(under.item.name) if plan else 0
        if planned < under.item.bottom_work_min:
            out[under.item.name] = dive_reasons(problem, under, plan, planned, proven)
    for above in problem.tasks:
        planned = plan.worked_min(above.item.name) if plan else 0
        if planned < above.item.duration_min:
            out[above.item.name] = task_reasons(problem, above, plan, proven)
    return out


def dive_reasons(
    problem: Problem, data: DiveWork, plan: Plan | None, planned: int, proven: bool
) -> tuple[Reason, ...]:
    """Every rule that alone keeps a dive item from being planned; else what the search knows."""
    found = standing_reasons(problem, data)
    found += _before(problem, data.item.name, plan)
    return tuple(found) or _search_says(
        problem, data.item.name, planned, data.item.bottom_work_min, plan, proven
    )


def task_reasons(problem: Problem, data: TaskWork, plan: Plan | None, proven: bool) -> tuple[Reason, ...]:
    """The same for a surface item."""
    item = data.item
    found = standing_task_reasons(problem, data)
    found += _before(problem, item.name, plan)
    return tuple(found) or _search_says(problem, item.name, 0, item.duration_min, plan, proven)


def standing_reasons(problem: Problem, data: DiveWork) -> list[Reason]:
    """Rules that keep a dive item from being planned even alone."""
    return [
        *_exposure(problem, data),
        *_people(problem, data),
        *_outfits(problem, data),
        *_water(problem, data),
    ]


def standing_task_reasons(problem: Problem, data: TaskWork) -> list[Reason]:
    """The same for a surface item."""
    found = []
    item = data.item
    if not data.spans:
        found.append(
            Reason(
                rule="item-window",
                sentence=f"It takes {item.duration_min} min in one go and no window within the working day "
                "is that long.",
            )
        )
    posts = [(duty, sorted(problem.qualified[duty])) for duty, count in data.crew for _ in range(count)]
    found += _unfilled("surface-crew", posts, data.crew, problem)
    return found


def _exposure(problem: Problem, data: DiveWork) -> list[Reason]:
    job, item = problem.job, data.item
    if item.depth_fsw > job.rules.greatest_depth_fsw:
        return [
            Reason(
                rule="greatest-depth",
                sentence=f"It lies at {item.depth_fsw} fsw; the greatest depth allowed is "
                f"{job.rules.greatest_depth_fsw} fsw.",
            )
        ]
    try:
        every = modes(item.depth_fsw, data.options)
    except TableRefusal as refusal:
        return [Reason(rule="way-up-policy", sentence=str(refusal))]
    away_min = job.site.chamber_minutes_away
    if data.chamber_watch_always and not data.modes and (away_min is None or away_min > CHAMBER_REACH_MIN):
        where = "none is in reach" if away_min is None else f"the nearest is {away_min} min away"
        return [
            Reason(
                rule="chamber-at-location",
                sentence=f"At {item.depth_fsw} fsw, deeper than {job.rules.chamber_trigger_fsw} fsw, a "
                f"chamber must be within {CHAMBER_REACH_MIN} min; {where}.",
            )
        ]
    short = [b for m in every if (b := item_air_breach(job, item, m.schedule)) is not None]
    if len(short) == len(every) and short:
        return [Reason(rule=short[-1].rule, sentence=f"Air: {short[-1].sentence}")]
    longest = max((m.bottom_time_max_min for m in every), default=0)
    work = max(0, longest - data.descent_min)
    if work < data.least_work_min:
        what = "all of its work in one dive" if not item.splittable else "its least useful dive"
        return [
            Reason(
                rule="way-up-policy",
                sentence=f"At {item.depth_fsw} fsw the longest bottom time allowed by the policy "
                f"'{job.site.policy.value}' is {longest} min, {work} min of it on the work; "
                f"{what} needs {data.least_work_min} min.",
            )
        ]
    return []


def _people(problem: Problem, data: DiveWork) -> list[Reason]:
    job, item = problem.job, data.item
    found: list[Reason] = []
    refusals: dict[str, list[str]] = {}
    for person in job.people:
        if not duty_qualifies(person.duties, DIVER):
            continue
        why = fit_to_dive(job, person, item)
        if why is None and not problem.hours[person.name]:
            refusals.setdefault("hours-available", []).append(f"{person.name} has no rested hours that day")
        elif why is not None:
            rule = (
                "depth-rating" if "is rated to" in why else "medical" if "medical" in why else "certificates"
            )
            refusals.setdefault(rule, []).append(why)
    needed = len(data.seats) + data.standbys
    if len(data.divers) < needed:
        have = ", ".join(data.divers) or "nobody"
        lead = (
            f"A dive on it takes {len(data.seats)} in the water and {data.standbys} standing by; "
            f"able to go down there: {have}."
        )
        if not refusals:
            found.append(Reason(rule="duty-qualified", sentence=lead))
        for rule, sentences in refusals.items():
            found.append(Reason(rule=rule, sentence=f"{lead} {'; '.join(sentences)}."))
    if data.standbys and data.standby_wait_min["A"] >= NEVER_MIN:
        found.append(
            Reason(
                rule="standby-able-to-go",
                sentence=f"At {item.depth_fsw} fsw even a clean diver has fewer than "
                f"{job.rules.standby_no_stop_min} no-stop minutes, so nobody may stand by.",
            )
        )
    counts = crew_counts(job, item, decompression=_only_deco(data))
    posts = [
        (d, sorted(problem.qualified[d])) for p in data.posts for d in [p.duty] * p.asked(_only_deco(data))
    ]
    posts += [(DIVER, list(data.divers))] * len(data.seats)
    posts += [(STANDBY, list(data.standby_people))] * data.standbys
    if len(data.divers) >= needed:
        drop = _held_with_another(problem, [d for d, _ in posts])
        short = [p for p in posts if p[0] not in drop]
        crew = tuple((d, c) for d, c in counts.items() if d != ENTRY_DIVER)
        found += _unfilled(None, short, crew, problem)
    return found


def _only_deco(data: DiveWork) -> bool:
    return bool(data.modes) and all(m.way_up != NO_STOP for m in data.modes)


def _held_with_another(problem: Problem, duties: list[str]) -> set[str]:
    for pair in problem.job.rules.pairs:
        if pair.duty in duties and pair.with_duty in duties:
            return {pair.with_duty}
    return set()


def _unfilled(
    rule: str | None, posts: list[tuple[str, list[str]]], crew: tuple[tuple[str, int], ...], problem: Problem
) -> list[Reason]:
    """Duties that too few people hold; or, when each has enough, that they are the same people."""
    found = []
    for duty, count in crew:
        holders = sorted(problem.qualified.get(duty, frozenset()))
        if len(holders) < count:
            found.append(
                Reason(
                    rule=rule or crew_rule_of(duty),
                    sentence=f"It needs {count} as {duty}; on site for that: "
                    f"{', '.join(holders) or 'nobody'}.",
                )
            )
    if not found and fill_posts([free for _, free in posts]) is None:
        people = {p for _, free in posts for p in free}
        wanted = ", ".join(f"{c} {d}" for d, c in crew)
        found.append(
            Reason(
                rule="one-duty-at-a-time",
                sentence=f"Its crew ({wanted}) takes {len(posts)} people at once; of the {len(people)} "
                "who hold one of these duties no choice fills every post.",
            )
        )
    return found


def _outfits(problem: Problem, data: DiveWork) -> list[Reason]:
    day = problem.job.site.first_day
    kind = [o for o in problem.job.outfits if o.kind is data.item.gear]
    usable = [o for o in kind if outfit_fits(o, data.item, None, day) is None]
    needed = len(data.seats) + data.standbys
    if len(usable) >= needed:
        return []
    not_ready = [str(outfit_fits(o, data.item, None, day)) for o in kind if o not in usable]
    rest = f"; out of use: {', '.join(not_ready)}" if not_ready else ""
    return [
        Reason(
            rule="outfit-ready",
            sentence=f"It needs {needed} ready outfits of {data.item.gear.value} (diver and standby); "
            f"there are {len(usable)}{rest}.",
        )
    ]


def _water(problem: Problem, data: DiveWork) -> list[Reason]:
    item, clock = data.item, problem.job.clock
    ascent = min((m.ascent_min for m in data.modes), default=0)
    least = data.least_work_min + data.descent_min + ascent
    longest = max((p.span.end_min - p.span.start_min for p in data.placements), default=0)
    if longest >= least:
        return []
    rule = "slack-water" if item.needs_slack else "item-window" if item.windows else "daylight"
    spans = ", ".join(
        dict.fromkeys(f"{clock.hhmm(p.span.start_min)}-{clock.hhmm(p.span.end_min)}" for p in data.placements)
    )
    return [
        Reason(
            rule=rule,
            sentence=f"Its shortest useful dive is {least} min from leaving to reaching the surface; the "
            f"times when it may be dived are {spans or 'none'}, the longest {longest} min.",
        )
    ]


def _before(problem: Problem, name: str, plan: Plan | None) -> list[Reason]:
    found = []
    for link in problem.job.item(name).after:
        earlier = problem.job.item(link.item)
        needed = earlier.bottom_work_min if isinstance(earlier, DiveItem) else _duration(earlier)
        if plan is None or plan.worked_min(link.item) < needed:
            found.append(
                Reason(
                    rule="precedence",
                    sentence=f"It comes after '{link.item}', which this plan does not finish.",
                )
            )
    return found


def _duration(item: Item) -> int:
    return item.duration_min if isinstance(item, SurfaceItem) else 0


def _search_says(
    problem: Problem, name: str, planned: int, needed: int, plan: Plan | None, proven: bool
) -> tuple[Reason, ...]:
    left = needed - planned
    rivals = [
        i.name
        for i in problem.job.items
        if i.name != name
        and i.priority <= problem.job.item(name).priority
        and plan is not None
        and plan.worked_min(i.name) > 0
    ]
    beside = f" beside {', '.join(rivals)}" if rivals else ""
    if proven:
        text = (
            f"{left} of {needed} min do not fit{beside}: the people, surface intervals, outfits and hours of "
            "this day are used up. Proven: no plan that keeps the rules finishes more weighted work."
        )
    else:
        text = (
            f"{left} of {needed} min were not placed{beside} in the time given. Not proven that they cannot "
            "be: run the search longer."
        )
    return (Reason(rule=None, sentence=text),)
