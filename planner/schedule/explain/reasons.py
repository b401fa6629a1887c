"""Why an item is not fully planned: the rules that block it, with this job's names and numbers."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from planner.air import item_air_finding
from planner.air.station_gear import deep_in_heavy_dress, stage_asked, station_lacks
from planner.day import crew_counts
from planner.errors import TableRefusal
from planner.gear.outfits import outfit_fits
from planner.job import DiveItem, Job, Policy, StandbyWayUp
from planner.job.bounds import CHAMBER_REACH_MIN
from planner.job.duties import (
    DIVER,
    ENTRY_DIVER,
    STANDBY,
    STANDBY_TENDER,
    TENDER,
    WATCH_DUTIES,
    crew_rule_of,
    duty_qualifies,
)
from planner.job.units import UnitSystem
from planner.plan.model import Plan, Reason
from planner.schedule.problem.eligibility import outfits_for, uncertified, unfit_to_dive
from planner.schedule.problem.matching import fill_posts
from planner.schedule.problem.problem import NEVER_MIN, DiveWork, Problem, TaskWork
from planner.tables import modes, standby_minutes_left, standby_options
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.schedule import IN_CHAMBER, NO_STOP
from planner.words.measures import depth_limit_words, own_depth_words, read_depth_words, standby_minutes_words

#: Id of a rule and what keeps the item from being planned, in a sentence.
_Told = tuple[str, str]


def reasons_for(problem: Problem, plan: Plan | None, *, proven: bool) -> dict[str, tuple[Reason, ...]]:
    """Reasons for every item that the plan does not do wholly.

    Every rule that alone keeps an item from being planned; where there is none, what the search knows.

    Parameters
    ----------
    plan
        The plan, or None when nothing was planned.
    proven
        Whether the search proved that no plan finishes more weighted work.
    """
    out: dict[str, tuple[Reason, ...]] = {}
    for work in problem.works:
        name, needed = work.item.name, work.item.needed_min
        planned = plan.worked_min(name) if plan else 0
        if planned < needed:
            found = standing_reasons(problem, work) + _unfinished_before(problem, name, plan)
            out[name] = tuple(found) or (_search_says(problem, name, planned, needed, plan, proven),)
    return out


def standing_reasons(problem: Problem, work: DiveWork | TaskWork) -> list[Reason]:
    """Rules that keep an item from being planned even alone."""
    found = (
        chain(*(rule(problem, work) for rule in _KEEP_OUT))
        if isinstance(work, DiveWork)
        else _on_deck(problem, work)
    )
    return [Reason(rule=rule, sentence=sentence) for rule, sentence in found]


def _on_deck(problem: Problem, work: TaskWork) -> Iterator[_Told]:
    if not work.spans:
        gates = _gates_words(problem.job, work.item.name)
        yield (
            "gate-held" if gates else "item-window",
            f"It takes {work.item.duration_min} min in one go and no window within the working day is that "
            f"long{gates}.",
        )
    posts = [(duty, sorted(problem.qualified[duty])) for duty, count in work.crew for _ in range(count)]
    yield from _unfilled("surface-crew", posts, work.crew, problem)


def _exposure(problem: Problem, data: DiveWork) -> Iterator[_Told]:
    """Depth, tables, chamber, air: the first that keeps everybody out."""
    job, item = problem.job, data.item
    greatest = greatest_depth_fsw(job.site, item.depth_fsw)
    depth, units = read_depth_words(job, item, item.depth_fsw, greatest), job.site.units
    if greatest > job.rules.greatest_depth_fsw:
        yield (
            "greatest-depth",
            f"It lies at {depth}; the greatest depth allowed is "
            f"{depth_limit_words(job.rules, units, 'greatest_depth_fsw')}.",
        )
        return
    try:
        every = modes(item.depth_fsw, data.options)
    except TableRefusal as refusal:
        yield "way-up-policy", str(refusal)
        return
    away_min = job.site.chamber_minutes_away
    if data.chamber_watch_always and not data.modes and (away_min is None or away_min > CHAMBER_REACH_MIN):
        where = "none is in reach" if away_min is None else f"the nearest is {away_min} min away"
        trigger = depth_limit_words(job.rules, units, "chamber_trigger_fsw")
        yield (
            "chamber-at-location",
            f"At {depth}, deeper than {trigger}, a chamber must be within {CHAMBER_REACH_MIN} min; {where}.",
        )
        return
    found = [(m.bottom_time_max_min, item_air_finding(job, item, m.schedule)) for m in every]
    short = [b for _, b in found if b is not None]
    longest = max((minutes for minutes, _ in found), default=0)
    work = max(0, longest - data.descent_min)
    carried = max((minutes for minutes, b in found if b is None), default=0)
    if short and (carried == 0 or carried - data.descent_min < data.least_work_min <= work):
        yield short[-1].rule, f"Air: {short[-1].sentence}"
    elif work < data.least_work_min and (late := _late_for_chamber(data, units)):
        yield "chamber-in-time", late
    elif work < data.least_work_min:
        what = "all of its work in one dive" if not item.splittable else "its least useful dive"
        yield (
            "way-up-policy",
            f"At {own_depth_words(item, units)} the longest bottom time allowed by the policy "
            f"'{job.site.policy.value}' is {longest} min, {work} min of it on the work; {what} needs "
            f"{data.least_work_min} min.",
        )


def _station_gear(problem: Problem, data: DiveWork) -> Iterator[_Told]:
    """No station of the item has the stage and the spare hose that all of its useful dives ask for."""
    job, item = problem.job, data.item
    deep = deep_in_heavy_dress(job, item, item.depth_fsw)
    if not stage_asked(job, item) or (deep and data.placements):
        return
    if not deep:
        try:
            every = modes(item.depth_fsw, data.options)
        except TableRefusal:
            return
        quick = max((m.bottom_time_max_min for m in every if m.way_up == NO_STOP), default=0)
        longest = max((m.bottom_time_max_min for m in every), default=0)
        kept_out = data.placements and not any(p.with_stops for p in data.placements)
        if not kept_out or not quick < data.descent_min + data.least_work_min <= longest:
            return
    days = job.site.first_day, job.clock.day_of(problem.window.end_min - 1)
    lacking = [
        f"{s.name} has {lacks}"
        for s in job.stations
        if item.station in (None, s.name)
        and (lacks := station_lacks(s, item, item.depth_fsw, *days, job.site.units))
    ]
    if lacking:
        why = (
            f"at {own_depth_words(item, job.site.units)}"
            if deep
            else "with the stops that its shortest useful dive takes"
        )
        yield (
            "heavy-stage-and-hose",
            f"In heavy dress, {why}, it is dived only from a station with an in-water stage and a spare hose "
            f"for the standby; {'; '.join(lacking)}.",
        )


def _lengths(problem: Problem, data: DiveWork) -> Iterator[_Told]:
    """What a diver may be asked for, on the bottom and in dress, is less than the shortest dive takes."""
    job, item, needed = problem.job, data.item, data.descent_min + data.least_work_min
    dressed = needed + data.ascent_least_min + data.dressing_min + data.undressing_min
    where = f"in {item.gear.value}"
    if job.site.water_temp_f is not None:
        where += f" in water of {job.site.water_temp_f:g} °F"
    for rule, minutes, most, what in (
        ("longest-bottom", needed, data.longest_bottom_min, "of bottom time"),
        ("longest-in-dress", dressed, data.longest_in_dress_min, "in dress"),
    ):
        if minutes > most:
            yield rule, f"Its shortest useful dive takes {minutes} min {what}; {most} at most {where}."
    rules, water_min = job.rules, needed + data.ascent_least_min
    held = {post.duty for post in data.posts if not rules.handed_over_min(post.duty)} & WATCH_DUTIES
    if held and 0 < rules.watch_max_min < water_min:
        yield (
            "watch-relief",
            f"Its shortest useful dive is {water_min} min in the water; as {' or '.join(sorted(held))} "
            f"nobody stays longer than {rules.watch_max_min} min, nor is relieved in mid-dive.",
        )


def _late_for_chamber(data: DiveWork, units: UnitSystem) -> str:
    """That only surface decompression would do, and its diver would not be in the chamber in time; or ""."""
    item, deck = data.item, data.options.on_deck
    needed_min = data.descent_min + data.least_work_min
    through = (
        m.schedule.leaves_water_fsw
        for m in modes(item.depth_fsw, data.options.any_time_on_deck)
        if m.bottom_time_max_min >= needed_min and m.way_up == IN_CHAMBER
    )
    leaves_fsw = next(through, None)
    if deck is None or leaves_fsw is None or deck.in_time(leaves_fsw):
        return ""
    return (
        f"{needed_min} min of bottom time at {own_depth_words(item, units)} need surface decompression, and "
        f"the diver would not be in the chamber in time, {deck.sum_words(leaves_fsw)}."
    )


def _people(problem: Problem, data: DiveWork) -> Iterator[_Told]:
    job, item = problem.job, data.item
    refusals: dict[str, list[str]] = {}
    for person in job.people:
        if not duty_qualifies(person.duties, DIVER):
            continue
        why = unfit_to_dive(job, person, item)
        if why is None and not problem.hours[person.name]:
            why = "hours-available", f"{person.name} has no rested hours that day"
            if problem.job.on_site[person.name] and problem.job.rules.briefing_min:
                why = "briefed", f"{person.name} is not there long enough, rested, to be briefed"
        own = frozenset() if why or not data.outfits else outfits_for(job, item, person)
        if own and not own & data.outfits:
            why = "bailout-carried", f"{person.name} fits no outfit whose bailout bottle is enough"
        if why is not None:
            refusals.setdefault(why[0], []).append(why[1])
    needed = len(data.seats) + data.standbys
    enough = len(data.divers) >= needed
    if not enough and (refusals or len(data.outfits) >= needed):
        lead = (
            f"A dive on it takes {len(data.seats)} in the water and {data.standbys} standing by; able to go "
            f"down there: {', '.join(data.divers) or 'nobody'}."
        )
        if not refusals:
            yield "duty-qualified", lead
        for rule, sentences in refusals.items():
            yield rule, f"{lead} {'; '.join(sentences)}."
    if data.standbys and data.standby_wait_min[job.tables.groups[0]] >= NEVER_MIN:
        nobody = _no_standby(job, item)
        if nobody:
            yield "standby-able-to-go", nobody
        return
    if enough:
        deco = bool(data.modes) and all(m.way_up != NO_STOP for m in data.modes)
        duties = [p.duty for p in data.posts for _ in range(p.people_needed(deco))]
        # Of two duties that one person may hold together, one is left out: told is only what is sure.
        paired = {p.with_duty for p in job.rules.pairs if p.duty in duties and p.with_duty in duties}
        posts = [(d, sorted(problem.qualified[d])) for d in duties if d not in paired]
        posts += [(DIVER, list(data.divers))] * len(data.seats)
        posts += [(STANDBY, list(data.standby_people))] * data.standbys
        counts = crew_counts(job, item, decompression=deco)
        crew = tuple((d, c) for d, c in counts.items() if d != ENTRY_DIVER)
        told = [*_unfilled(None, posts, crew, problem)]
        yield from told or _undressing(problem, data, deco)


def _undressing(problem: Problem, data: DiveWork, deco: bool) -> Iterator[_Told]:
    """Too few to undress a diver and the standby diver, which begins for both when the surface is reached.

    Counted for one diver: a standby diver who stays dressed for a further dive is undressed after the last.
    """
    tenders = sum(p.people_needed(deco) for p in data.posts if p.duty == TENDER) // max(1, len(data.seats))
    hands = [(TENDER, tenders), (STANDBY_TENDER, data.hands)]
    posts = [sorted(problem.qualified[duty]) for duty, count in hands for _ in range(count)]
    posts += [list(data.divers), *[list(data.standby_people)] * data.standbys]
    if data.hands and fill_posts(posts) is None:
        people = {person for free in posts for person in free}
        yield (
            "standby-dressing",
            f"When it is over the diver and the standby diver are undressed at once, by {tenders} and "
            f"{data.hands}: {len(posts)} people with the two of them. Of the {len(people)} "
            "who hold one of these duties no choice fills every post.",
        )


def _no_standby(job: Job, item: DiveItem) -> str:
    """That not even a clean diver may stand by for an item, and what the crew rules could say instead.

    Blank where the tables refuse the depth itself: then that is the reason.
    """
    rules = job.rules
    try:
        left = standby_minutes_left(item.depth_fsw, None, standby_options(job, item))
    except TableRefusal:
        return ""
    told = (
        f"At {own_depth_words(item, job.site.units)} even a clean diver has {left} "
        f"{standby_minutes_words(rules)}, fewer than the {rules.standby_no_stop_min} that the crew rules "
        "keep for the standby, so nobody may stand by."
    )
    if rules.standby_way_up is StandbyWayUp.NO_STOP and job.site.policy is not Policy.NO_STOP:
        told += f" They may count as the job's policy allows ('{job.site.policy.value}') instead."
    return told


def _unfilled(
    rule: str | None, posts: list[tuple[str, list[str]]], crew: tuple[tuple[str, int], ...], problem: Problem
) -> Iterator[_Told]:
    """Duties that too few people hold; or, when each has enough, that they are the same people."""
    holders = {duty: sorted(problem.qualified.get(duty, frozenset())) for duty, _ in crew}
    short = [(duty, count) for duty, count in crew if len(holders[duty]) < count]
    for duty, count in short:
        have = ", ".join(holders[duty]) or "nobody"
        sentence = f"It needs {count} as {duty}; on site for that: {have}."
        lacking = [
            f"{p.name} would need a valid {', '.join(missing)}"
            for p in problem.people
            if duty_qualifies(p.duties, duty)
            and problem.hours[p.name]
            and (missing := uncertified(problem.job, p, duty, problem.job.site.first_day))
        ]
        if lacking:
            yield "duty-certificates", f"{sentence} {'; '.join(lacking)}."
        else:
            yield rule or crew_rule_of(duty), sentence
    if not short and fill_posts([free for _, free in posts]) is None:
        people = {p for _, free in posts for p in free}
        wanted = ", ".join(f"{c} {d}" for d, c in crew)
        yield (
            "one-duty-at-a-time",
            f"Its crew ({wanted}) takes {len(posts)} people at once; of the {len(people)} who hold one of "
            "these duties no choice fills every post.",
        )


def _outfits(problem: Problem, data: DiveWork) -> Iterator[_Told]:
    day, units = problem.job.site.first_day, problem.job.site.units
    kind = [o for o in problem.job.outfits if o.kind is data.item.gear]
    hazard_ft = problem.job.hazard_ft(data.item.name)
    not_ready = [
        why for o in kind if (why := outfit_fits(o, data.item, None, day, hazard_ft, units)) is not None
    ]
    needed, usable = len(data.seats) + data.standbys, len(kind) - len(not_ready)
    by_hazard = sum(outfit_fits(o, data.item, None, day) is None for o in kind) >= needed
    if usable < needed:
        rest = f"; out of use: {', '.join(not_ready)}" if not_ready else ""
        yield (
            "hose-short-of-hazard" if by_hazard else "outfit-ready",
            f"It needs {needed} ready outfits of {data.item.gear.value} (diver and standby); there are "
            f"{usable}{rest}.",
        )
    elif not data.slots and len(data.outfits) < needed:
        bottles = [f"{o.name} {o.bailout_psi:.0f} psi" for o in kind if o.bailout_psi is not None]
        yield (
            "bailout-carried",
            f"It needs {needed} outfits (diver and standby) with a bailout bottle that is enough for its "
            f"depth and way up; there are {len(data.outfits)}. Bottles: "
            f"{', '.join(bottles) or 'none given'}.",
        )


def _water(problem: Problem, data: DiveWork) -> Iterator[_Told]:
    item, clock = data.item, problem.job.clock
    ascent = min((m.ascent_min for m in data.modes), default=0)
    least = data.least_work_min + data.descent_min + ascent
    longest = max((p.span.end_min - p.span.start_min for p in data.placements), default=0)
    if not data.placements and any(_station_gear(problem, data)):
        return
    if longest < least:
        gates = _gates_words(problem.job, item.name)
        rule = "slack-water" if item.needs_slack else "item-window" if item.windows else "daylight"
        rule = "gate-held" if gates else rule
        spans = dict.fromkeys(
            f"{clock.hhmm(p.span.start_min)}-{clock.hhmm(p.span.end_min)}" for p in data.placements
        )
        yield (
            rule,
            f"Its shortest useful dive is {least} min from leaving to reaching the surface; the times when "
            f"it may be dived are {', '.join(spans) or 'none'}, the longest {longest} min{gates}.",
        )


def _gates_words(job: Job, item: str) -> str:
    """The gates of an item that have times, with who holds each; "" where it has none."""
    told = [
        f"{what}, held by {', '.join(dict.fromkeys(r.held_by or 'nobody named' for r in rows))} "
        + " and ".join(
            f"{job.clock.hhmm(s.start_min)}-{job.clock.hhmm(s.end_min)}" for s in job.gate_spans(item)[what]
        )
        for what, rows in job.gates_of(item).items()
        if what in job.gate_spans(item)
    ]
    return f"; it waits for {'; '.join(told)}" if told else ""


def _blocks(problem: Problem, data: DiveWork) -> Iterator[_Told]:
    """The standing work around a dive: that nobody can do it, or that it leaves no time for one."""
    least = data.dressing_min + data.descent_min + data.least_work_min
    least += min((m.ascent_min for m in data.modes), default=0) + data.undressing_min
    room: list[int] = []
    unmanned: dict[str, None] = {}
    for place in data.placements:
        day = problem.day_of(place.span.start_min)
        asked = [
            problem.tasks[k]
            for k, block in problem.standing
            if block.day == day and block.concerns(data.item, place.station)
        ]
        longest = {True: 0, False: 0}
        short = False
        for task in asked:
            posts = [(d, sorted(problem.qualified[d])) for d, count in task.crew for _ in range(count)]
            told = list(_unfilled("day-blocks", posts, task.crew, problem)) or list(
                _never_together(problem, task)
            )
            if told:
                unmanned[f"{task.item.name}: {told[0][1]}"] = None
            short = short or bool(told)
            if task.standing is not None:
                opens = task.standing.block.opens
                longest[opens] = max(longest[opens], task.item.duration_min)
        if not short:
            window = problem.days[day]
            room.append(window.end_min - window.start_min - longest[True] - longest[False])
    if room or not data.placements:
        briefing = problem.least_briefing_min
        if room and max(room) - briefing < least:
            yield (
                "day-blocks",
                f"Its shortest useful dive takes {least} min from dressing to undressed; briefing and "
                f"standing work leave {max(0, max(room) - briefing)} min of the day.",
            )
        return
    for sentence in unmanned:
        yield "day-blocks", sentence


def _never_together(problem: Problem, task: TaskWork) -> Iterator[_Told]:
    """That a block's hands are each on site, but never all of them for as long as it takes."""
    long = task.item.duration_min
    holders = {duty: problem.qualified[duty] for duty, _ in task.crew}
    starts = {h.start_min for free in holders.values() for p in free for h in problem.hours[p]}
    for span in task.spans:
        for start in {span.start_min} | {s for s in starts if s > span.start_min}:
            there = {
                p
                for p, hours in problem.hours.items()
                if any(h.start_min <= start and start + long <= h.end_min for h in hours)
            }
            posts = [sorted(holders[duty] & there) for duty, count in task.crew for _ in range(count)]
            if start + long <= span.end_min and fill_posts(posts) is not None:
                return
    if task.spans:
        wanted = ", ".join(f"{count} as {duty}" for duty, count in task.crew)
        yield (
            "day-blocks",
            f"It takes {long} min of {wanted}; never are so many on site together for as long.",
        )


#: What keeps a dive item out, each told by itself, in this order.
_KEEP_OUT = (_exposure, _station_gear, _lengths, _people, _outfits, _water, _blocks)


def _unfinished_before(problem: Problem, name: str, plan: Plan | None) -> list[Reason]:
    return [
        Reason(rule="precedence", sentence=f"It comes after '{link.item}', which this plan does not finish.")
        for link in problem.job.item(name).after
        if plan is None or plan.worked_min(link.item) < problem.job.item(link.item).needed_min
    ]


def _search_says(
    problem: Problem, name: str, planned: int, needed: int, plan: Plan | None, proven: bool
) -> Reason:
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
    item = problem.job.item(name)
    if not problem.job.rules.priority_weights[item.priority - 1]:
        text = (
            f"{left} of {needed} min are not planned: a minute of priority {item.priority} has weight 0 in "
            "this job, so nothing asks for it. Give the priority a weight, or the item another priority."
        )
    elif proven:
        text = (
            f"{left} of {needed} min do not fit{beside}: the people, surface intervals, outfits and hours of "
            "this day are used up. Proven: no plan that keeps the rules finishes more weighted work."
        )
    else:
        text = (
            f"{left} of {needed} min were not placed{beside} in the time given. Not proven that they cannot "
            "be: run the search longer."
        )
    return Reason(rule=None, sentence=text)
