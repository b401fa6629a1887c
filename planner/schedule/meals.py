"""meal-break in the models: a chain of breaks through each person's working day.

Between the first duty and the last lies a chain of breaks, each at least as long as the job asks, with no
duty inside, such that no piece between two of them is longer than is allowed without one. A break may be
longer, before the first duty or after the last, so that a fixed number of them serves every day.
"""

from __future__ import annotations

import math

from planner.schedule.person_days import PersonDay, PersonDays, longest_day_min


def breaks_needed(longest_day: int, after_min: int) -> int:
    """How many breaks a day is chained with: two pieces with their break are longer than one may be."""
    return max(0, 2 * math.ceil(longest_day / after_min) - 1)


def meal_breaks(days: PersonDays) -> None:
    """State the rule for every person and working day."""
    rules = days.problem.job.rules
    longest = longest_day_min(days.problem)
    if rules.meal_break_min == 0 or longest <= rules.meal_break_after_min:
        return
    for person in days.problem.people:
        for one in days.of_person(person.name):
            window = days.problem.days[one.day]
            if window.end_min - window.start_min > rules.meal_break_after_min:
                _chain(days, one, breaks_needed(longest, rules.meal_break_after_min))


def _chain(days: PersonDays, one: PersonDay, count: int) -> None:
    rules, window, model = days.problem.job.rules, days.problem.days[one.day], days.model
    latest = window.end_min + count * rules.meal_break_min
    earliest = window.start_min - count * rules.meal_break_min
    mine = [(s, when) for s in days.spells[one.person] if (when := s.on(one.day)) is not None]
    at = one.first
    for k in range(count):
        label = f"{one.person}.{one.day}.{k}"
        start = model.new_int_var(earliest, latest, f"break.{label}")
        end = model.new_int_var(earliest, latest, f"again.{label}")
        model.add(end >= start + rules.meal_break_min)
        model.add(start - at <= rules.meal_break_after_min).only_enforce_if(one.worked)
        if k:
            model.add(start >= at)
        for number, (spell, when) in enumerate(mine):
            before = model.new_bool_var(f"eats.{label}.{number}")
            model.add(end <= spell.start).only_enforce_if([before, *when])
            model.add(start >= spell.end).only_enforce_if([~before, *when])
        at = end
    model.add(one.last - at <= rules.meal_break_after_min).only_enforce_if(one.worked)
