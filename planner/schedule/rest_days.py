"""Rest in rolling windows, for the models: each working day of a person is one stretch of work.

The check takes a long gap between two duties as rest; the models count the whole stretch from the first
duty of a day to the last as work, since whoever waits on the jobsite is not off duty. So what holds here
holds in the check, and the bounds speak of plans within that (recorded in docs as a limit).

With one stretch a day, the rules over 24 hours need only two days side by side:

- the least rest in any 24 hours around two stretches is the greater of the gap between them and of what
  their lengths leave of 24 hours;
- the rest comes in two parts at most, as soon as there are no more than two stretches.

What people worked before the job enters as numbers, by the check's own function.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.job import Person
from planner.plan.hours import rest_limits
from planner.rules.rest import DAY_MIN, WEEK_MIN, RestLimits, stretches_of_work
from planner.schedule.person_days import PersonDay, PersonDays
from planner.schedule.problem import Problem
from planner.schedule.rested import asked, past_of, stretches_hold


def latest_ends(problem: Problem, person: Person) -> list[int]:
    """For each minute of the first working day: the latest end of a stretch of work that begins then."""
    window = problem.days[0]
    ends, end = [], window.start_min
    for start in range(window.start_min, window.end_min + 1):
        end = max(end, start)
        while end < window.end_min and stretches_hold(problem.job, person, [(start, end + 1)]):
            end += 1
        ends.append(end)
    return ends


def rest(days: PersonDays) -> None:
    """rest-10-in-24, rest-77-in-7-days, rest-two-parts, rest-six-hours and rest-14-between."""
    problem = days.problem
    if not asked(problem.job):
        return
    limits = rest_limits(problem.job.rules)
    for person in problem.people:
        mine = days.of_person(person.name)
        for one in mine:
            _alone(days, limits, one)
        for one in mine:
            following = days.of(person.name, one.day + 1) if one.day + 1 < len(problem.days) else None
            if following is not None:
                _two_days(days, limits, one, following)
        _week(days, limits, person, mine)
        if person.past_work and mine and mine[0].day == 0:
            _after_history(days, person, mine[0])


def _alone(days: PersonDays, limits: RestLimits, one: PersonDay) -> None:
    """One stretch: not longer than from one rest to the next, and what is left of 24 hours is enough."""
    most = min(limits.between_max_min, DAY_MIN - max(limits.in_24h_min, limits.one_part_min))
    window = days.problem.days[one.day]
    if window.end_min - window.start_min > most:
        days.model.add(one.length_min <= most).only_enforce_if(one.worked)


def _two_days(days: PersonDays, limits: RestLimits, one: PersonDay, following: PersonDay) -> None:
    """Two working days side by side; see the head of this file."""
    first, second = days.problem.days[one.day], days.problem.days[following.day]
    model, both = days.model, [one.worked, following.worked]
    night = second.start_min - first.end_min
    hull = following.last - one.first
    label = f"{one.person}.{one.day}"
    if night < limits.short_break_min:
        # A shorter gap is a break and no rest: the two days would be one stretch.
        model.add(following.first - one.last >= limits.short_break_min).only_enforce_if(both)
    if night < limits.in_24h_min:
        gap = model.new_bool_var(f"rested.{label}")
        model.add(following.first - one.last >= limits.in_24h_min).only_enforce_if([gap, *both])
        left = DAY_MIN - limits.in_24h_min
        if limits.parts > 1:
            total = one.length_min + following.length_min
            model.add(total <= left).only_enforce_if([~gap, *both])
        else:
            model.add(hull <= left).only_enforce_if([~gap, *both])
    if night < limits.one_part_min:
        part = model.new_bool_var(f"part.{label}")
        model.add(following.first - one.last >= limits.one_part_min).only_enforce_if([part, *both])
        model.add(hull <= DAY_MIN - limits.one_part_min).only_enforce_if([~part, *both])


def _week(days: PersonDays, limits: RestLimits, person: Person, mine: list[PersonDay]) -> None:
    """Any 7 days: a job is at most that long, so its days so far, and what the window holds of the past."""
    if not limits.in_7_days_min or not mine:
        return
    model, problem = days.model, days.problem
    past = stretches_of_work(past_of(person), limits.short_break_min)
    most = WEEK_MIN - limits.in_7_days_min
    lengths: list[cp_model.IntVar] = []
    for one in mine:
        window = problem.days[one.day]
        length = model.new_int_var(0, window.end_min - window.start_min, f"held.{person.name}.{one.day}")
        model.add(length >= one.length_min).only_enforce_if(one.worked)
        before = cp_model.LinearExpr.sum(lengths)
        lengths.append(length)
        # Windows that end with this day's last duty.
        inside = [
            _overlap(past, e - WEEK_MIN, window.start_min)
            for e in range(window.start_min, window.end_min + 1)
        ]
        if max(inside) == min(inside):
            earlier = model.new_constant(inside[0])
        else:
            earlier = model.new_int_var(0, max(inside), f"week.{person.name}.{one.day}")
            model.add_element(one.last - window.start_min, inside, earlier)
        model.add(before + length + earlier <= most).only_enforce_if(one.worked)
        # Windows that begin with a stretch of the past and end within this day.
        for start, _ in past:
            end = start + WEEK_MIN
            if window.start_min < end < window.end_min:
                part = model.new_int_var(0, window.end_min - window.start_min, f"week.{person.name}.{start}")
                whole = model.new_bool_var(f"whole.{person.name}.{start}")
                model.add(part >= length).only_enforce_if([whole, one.worked])
                model.add(part >= end - one.first).only_enforce_if([~whole, one.worked])
                since = _overlap(past, start, window.start_min)
                model.add(before + part + since <= most).only_enforce_if(one.worked)


def _overlap(spells: tuple[tuple[int, int], ...], start: int, end: int) -> int:
    return sum(max(0, min(e, end) - max(s, start)) for s, e in spells)


def _after_history(days: PersonDays, person: Person, one: PersonDay) -> None:
    """The first day after what was worked before the job: for each start the latest end, from the check."""
    window, model = days.problem.days[0], days.model
    ends = latest_ends(days.problem, person)
    if all(end == window.end_min for end in ends):
        return
    latest = model.new_int_var(window.start_min, window.end_min, f"until.{person.name}")
    model.add_element(one.first - window.start_min, ends, latest)
    model.add(one.last <= latest).only_enforce_if(one.worked)
