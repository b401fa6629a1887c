"""Rules that keep one person from one dive at one time, whatever else is planned that day."""

from __future__ import annotations

from planner.job import PinKind
from planner.job.duties import DIVER, duty_qualifies
from planner.plan.model import Reason
from planner.schedule.explain.reasons import standing_reasons
from planner.schedule.problem.eligibility import fit_to_dive, outfits_for, stays_up
from planner.schedule.problem.matching import fill_posts
from planner.schedule.problem.problem import DiveWork, Problem, rank
from planner.tables import SAME_DIVE_UNDER_MIN, group_after_interval


def standing_in_the_way(problem: Problem, data: DiveWork, diver: str, leave_min: int) -> list[Reason]:
    """Every rule that alone forbids the dive, with its numbers; empty when none does.

    Those that keep anybody from the item at any time come first; then what the person lacks, the time of
    day, the person's own history, and the crew there is at that time.
    """
    return (
        standing_reasons(problem, data)
        or _person(problem, data, diver)
        or _day(problem, data, leave_min)
        or [
            *_hours(problem, data, diver, leave_min),
            *_water(problem, data, leave_min),
            *_history(problem, data, diver, leave_min),
            *_crew(problem, data, diver, leave_min),
        ]
    )


def _shortest(data: DiveWork) -> int:
    """Minutes in the water of the shortest useful dive."""
    return data.descent_min + data.least_work_min + data.ascent_least_min


def _person(problem: Problem, data: DiveWork, diver: str) -> list[Reason]:
    job, item = problem.job, data.item
    person = job.person(diver)
    if not duty_qualifies(person.duties, DIVER):
        return [Reason(rule="duty-qualified", sentence=f"{diver} does not hold the duty diver.")]
    why = fit_to_dive(job, person, item)
    if why is not None:
        rule = "depth-rating" if "is rated to" in why else "medical" if "medical" in why else "certificates"
        return [Reason(rule=rule, sentence=f"{why}; {item.name} lies at {item.depth_fsw} fsw.")]
    if diver in stays_up(job, item):
        return [Reason(rule="pins-kept", sentence=f"A pin keeps {diver} out of the water for {item.name}.")]
    if not outfits_for(job, item, person):
        return [
            Reason(
                rule="outfit-kind",
                sentence=f"No ready outfit of {item.gear.value} fits {diver} for {item.name}.",
            )
        ]
    return []


def _day(problem: Problem, data: DiveWork, leave_min: int) -> list[Reason]:
    clock, window = problem.job.clock, problem.window
    start, end = leave_min - data.dressing_min, leave_min + _shortest(data) + data.undressing_min
    if window.start_min <= start and end <= window.end_min:
        return []
    return [
        Reason(
            rule="day-window",
            sentence=f"From dressing to undressed the shortest useful dive takes {clock.hhmm(start)}-"
            f"{clock.hhmm(end)}; the working day is {clock.hhmm(window.start_min)}-"
            f"{clock.hhmm(window.end_min)}.",
        )
    ]


def _hours(problem: Problem, data: DiveWork, diver: str, leave_min: int) -> list[Reason]:
    clock = problem.job.clock
    start = leave_min - data.dressing_min
    end = leave_min + _shortest(data) + data.undressing_min
    if any(s.start_min <= start and end <= s.end_min for s in problem.hours[diver]):
        return []
    person = problem.job.person(diver)
    rule = "hours-available"
    if any(p.kind is PinKind.AWAY and p.person == diver for p in problem.job.pins):
        rule = "pins-kept"
    elif person.last_duty_end_min is not None and (
        start < person.last_duty_end_min + problem.job.rules.rest_before_duty_min
    ):
        rule = "rest-before-duty"
    hours = ", ".join(f"{clock.hhmm(s.start_min)}-{clock.hhmm(s.end_min)}" for s in problem.hours[diver])
    return [
        Reason(
            rule=rule,
            sentence=f"From dressing to undressed it takes {diver} at least {clock.hhmm(start)}-"
            f"{clock.hhmm(end)}; {diver} is there, rested, {hours or 'not at all'}.",
        )
    ]


def _water(problem: Problem, data: DiveWork, leave_min: int) -> list[Reason]:
    clock, item = problem.job.clock, data.item
    reach = leave_min + _shortest(data)
    if any(p.span.start_min <= leave_min and reach <= p.span.end_min for p in data.placements):
        return []
    rule = "slack-water" if item.needs_slack else "item-window" if item.windows else "daylight"
    spans = dict.fromkeys(
        f"{clock.hhmm(p.span.start_min)}-{clock.hhmm(p.span.end_min)}" for p in data.placements
    )
    return [
        Reason(
            rule=rule,
            sentence=f"The shortest useful dive is in the water {clock.hhmm(leave_min)}-{clock.hhmm(reach)}; "
            f"{item.name} may be dived {', '.join(spans) or 'at no time'}.",
        )
    ]


def _history(problem: Problem, data: DiveWork, diver: str, leave_min: int) -> list[Reason]:
    found: list[Reason] = []
    rules, clock = problem.job.rules, problem.job.clock
    dives, minutes = problem.dived_before(diver, 0)
    least = data.descent_min + data.least_work_min
    if dives >= rules.dives_a_day:
        found.append(
            Reason(
                rule="dives-a-day",
                sentence=f"{diver} has dived {dives} times that day already; at most {rules.dives_a_day}.",
            )
        )
    if minutes + least > rules.bottom_minutes_a_day:
        found.append(
            Reason(
                rule="bottom-minutes-a-day",
                sentence=f"{diver} has {minutes} min of bottom time that day already and the shortest useful "
                f"dive takes {least}; at most {rules.bottom_minutes_a_day}.",
            )
        )
    until = problem.watch_until.get(diver, 0)
    if until > leave_min:
        found.append(
            Reason(
                rule="chamber-watch",
                sentence=f"{diver} stays by the chamber until {clock.hhmm(until)} after an earlier dive.",
            )
        )
    known = problem.brought_in.get(diver)
    if known is None:
        return found
    surfaced, after = known.ended_min, known.group
    interval = leave_min - surfaced
    if interval < SAME_DIVE_UNDER_MIN:
        return [*found, Reason(rule="surface-interval", sentence=f"{diver} surfaced {interval} min before.")]
    if after is None:
        # No group printed: nothing is known until clean; the whole model holds that.
        return found
    group = group_after_interval(after, interval)
    longest = max(
        (m.bottom_time_max_min for m in data.modes if rank(group) <= rank(m.group_before)), default=0
    )
    if longest < least:
        found.append(
            Reason(
                rule="residual-nitrogen",
                sentence=f"{diver} is in group {group} then, {interval} min after surfacing in {after}: "
                f"by the policy the longest bottom time at {data.item.depth_fsw} fsw is {longest} min; "
                f"the shortest useful dive takes {least}.",
            )
        )
    return found


def _crew(problem: Problem, data: DiveWork, diver: str, leave_min: int) -> list[Reason]:
    """Posts that nobody can fill at that time, by the hours of those who hold them."""
    clock = problem.job.clock
    start, reach = leave_min - data.dressing_min, leave_min + _shortest(data)

    def there(names: list[str], from_min: int, to_min: int) -> list[str]:
        return [
            p
            for p in names
            if p != diver and any(s.start_min <= from_min and to_min <= s.end_min for s in problem.hours[p])
        ]

    others = there(list(data.divers), start, reach + data.undressing_min)
    if len(others) < len(data.seats) - 1:
        return [
            Reason(
                rule="divers-at-a-time",
                sentence=f"{data.item.name} takes {len(data.seats)} in the water; beside {diver} there at "
                f"{clock.hhmm(leave_min)} and able: {', '.join(others) or 'nobody'}.",
            )
        ]
    ready = [
        p
        for p in there(list(data.standby_people), leave_min, reach)
        if problem.watch_until.get(p, 0) <= leave_min
        and (
            p not in problem.brought_in
            or leave_min - problem.brought_in[p].ended_min
            >= data.standby_wait_min[problem.brought_in[p].group]
        )
    ]
    if len(ready) < data.standbys:
        return [
            Reason(
                rule="crew-standby",
                sentence=f"It takes {data.standbys} standing by; there at {clock.hhmm(leave_min)}, able to "
                f"go down to {data.item.depth_fsw} fsw and not diving: {', '.join(ready) or 'nobody'}.",
            )
        ]
    posts: list[list[str]] = [ready] * data.standbys
    wanted = [f"{data.standbys} standing by"] if data.standbys else []
    paired = {p.with_duty for p in problem.job.rules.pairs}
    for post in data.posts:
        if not post.count or post.duty in paired:
            continue
        span = (start, reach + data.undressing_min) if post.held == "bench" else (leave_min, reach)
        posts += [there(sorted(problem.qualified[post.duty]), *span)] * post.count
        wanted.append(f"{post.count} {post.duty}")
    if fill_posts(posts) is None:
        free = sorted({p for names in posts for p in names})
        return [
            Reason(
                rule="one-duty-at-a-time",
                sentence=f"Beside {diver} the dive takes {', '.join(wanted)} at {clock.hhmm(leave_min)}; of "
                f"those there then ({', '.join(free) or 'nobody'}) no choice fills every post.",
            )
        ]
    return []
