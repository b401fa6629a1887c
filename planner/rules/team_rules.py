"""Rules of the team: who may hold which duty, for how long, and how many people a dive takes."""

from __future__ import annotations

from planner.job.duties import DUTIES
from planner.rules.rule import Basis, Rule

CREW_DATA = "the job's crew rules"

TEAM_RULES: tuple[Rule, ...] = (
    Rule(
        "duty-qualified",
        "Nobody is posted to a duty that he or she may not hold; a standby diver and a diver at the entry "
        "are divers, a standby's tender is a tender.",
        "qualified by experience or training: 29 CFR 1910.410(a) (from memory)",
        Basis.REGULATION,
    ),
    Rule(
        "hours-available",
        "Nobody has a duty outside the hours in which he or she is on site.",
        "the job's own data",
        Basis.ARITHMETIC,
    ),
    Rule(
        "rest-before-duty",
        "Nobody starts within the job's rest after the end of the last duty before the job.",
        "common practice: eight unbroken hours",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "duty-span",
        "From the start of a person's first duty of a day to the end of the last is at most the job's "
        "longest duty span.",
        "common practice: twelve hours",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "one-duty-at-a-time",
        "Nobody holds two duties at once, except a pair that the job allows, on one station, and never "
        "while diving or standing by.",
        "common practice; the pairs are the job's",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "surface-crew",
        "A surface item has its whole crew, in every duty it asks for, from its start to its end.",
        "the job's own data",
        Basis.ARITHMETIC,
    ),
    *(
        Rule(
            duty.rule.id,
            duty.rule.sentence,
            f"{duty.rule.source}; {CREW_DATA}",
            Basis.REGULATION if duty.rule.regulation else Basis.COMMON_PRACTICE,
        )
        for duty in DUTIES
        if duty.rule is not None
    ),
    Rule(
        "crew-other",
        "Every other duty for which the job sets a least number is manned from dressing until the divers "
        "have surfaced.",
        CREW_DATA,
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "hand-over",
        "A duty of a station or of a dive changes hands only when nobody is in the water there, or where the "
        "job allows it after both have held it together for the job's hand-over minutes; a standby diver "
        "never, a chamber operator at any time.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
)
