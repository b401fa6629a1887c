"""Rules of the hours: rest between the days of a job, meal breaks, and diving after a night."""

from __future__ import annotations

from planner.rules.rule import Basis, Rule

HOURS_RULES: tuple[Rule, ...] = (
    Rule(
        "rest-between-days",
        "From the end of a person's last duty of one day to the first of the next lies at least the job's "
        "rest before duty.",
        "common practice: eight unbroken hours",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "meal-break",
        "Where the job sets a meal break: nobody is on duty longer than the job allows without a break of at "
        "least that length.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "night-duty",
        "Where the job sets time off after a night: nobody leaves the surface sooner than that after the end "
        "of a duty that took in any time between midnight and five in the morning.",
        "time off before diving: common practice; midnight to five as the core of the night: MLC 2006, "
        "Standard A1.1 (from memory)",
        Basis.COMMON_PRACTICE,
    ),
)
