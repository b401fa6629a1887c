"""All rules of people's hours, stated for a model's persons and days."""

from __future__ import annotations

from planner.schedule.meals import meal_breaks
from planner.schedule.nights import after_nights
from planner.schedule.person_days import PersonDays, duty_spans, rest_between_days
from planner.schedule.rest_days import rest


def hours_rules(days: PersonDays) -> None:
    """duty-span, rest-between-days, rest in rolling windows, meal-break and night-duty."""
    duty_spans(days)
    rest_between_days(days)
    rest(days)
    meal_breaks(days)
    after_nights(days)
