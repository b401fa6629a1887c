"""What each editable limit of a job's crew rules means: label, unit, sentence, source, basis."""

from __future__ import annotations

from dataclasses import dataclass

from planner.check.rule import COMMON_PRACTICE, Basis


@dataclass(frozen=True)
class Limit:
    """One editable field of `planner.job.CrewRules`.

    Parameters
    ----------
    field
        Name of the field.
    label
        Plain words for a screen or a sheet.
    unit
        ``min``, ``fsw``, ``fsw/min``, ``dives``, ``parts``, ``name`` or ``weights``.
    sentence
        What the value does.
    source
        Where the shipped value comes from.
    basis
        The ground it stands on.
    """

    field: str
    label: str
    unit: str
    sentence: str
    source: str = COMMON_PRACTICE
    basis: Basis = Basis.COMMON_PRACTICE


_LIMITS: tuple[Limit, ...] = (
    Limit(
        "preset",
        "Least team",
        "name",
        "Name of the set of least numbers that the crew rows started from.",
        "see the named least teams",
    ),
    Limit(
        "greatest_depth_fsw",
        "Greatest depth",
        "fsw",
        "No dive goes deeper. Where it is set past 190 fsw, a deeper dive has at most 30 min bottom time.",
        "29 CFR 1910.425(b)(1): 190 fsw; 220 fsw for a bottom time of 30 min or less",
        Basis.REGULATION,
    ),
    Limit(
        "chamber_trigger_fsw",
        "Chamber needed deeper than",
        "fsw",
        "A deeper dive needs a chamber at the location, an operator and the watch by the chamber.",
        "29 CFR 1910.423(c)(1): 100 fsw; the U.S. Coast Guard sets 130 fsw (46 CFR 197)",
        Basis.REGULATION,
    ),
    Limit(
        "chamber_watch_min",
        "Watch by the chamber",
        "min",
        "How long a diver stays near the chamber after a dive deeper than the trigger or with stops.",
        "29 CFR 1910.423(b)(2): at least 1 h",
        Basis.REGULATION,
    ),
    Limit(
        "descent_fsw_per_min",
        "Rate of descent",
        "fsw/min",
        "Used to plan reach bottom; the minutes are rounded up.",
        "no faster than 75 fsw/min: U.S. Navy Diving Manual, Revision 7; 60 as shipped: common practice",
    ),
    Limit(
        "dives_a_day",
        "Dives a person a day",
        "dives",
        "The most dives one person makes in a calendar day.",
        "common practice: two, and one when decompressing",
    ),
    Limit(
        "least_surface_interval_min",
        "Least surface interval",
        "min",
        "The least time on the surface between two planned dives of one person.",
        "common practice; ten minutes is the least the tables know (table 9-8)",
    ),
    Limit(
        "bottom_minutes_a_day",
        "Bottom minutes a person a day",
        "min",
        "The most that one person's bottom times of a calendar day add up to.",
    ),
    Limit(
        "standby_no_stop_min",
        "No-stop minutes kept for the standby",
        "min",
        "Time that the standby diver must still have at the working depth, 1 min at least; counted without "
        "stops unless the next setting says otherwise.",
    ),
    Limit(
        "standby_way_up",
        "Minutes of the standby counted",
        "name",
        "no-stop: to the no-stop limit; as the job's policy: to the longest row that it allows, where a "
        "chamber is at the location. For work so deep that few minutes are left without stops.",
    ),
    Limit(
        "dressing_heavy_min",
        "Dressing, heavy dress",
        "min",
        "Least time from the start of dressing to leave surface: the crew's own measured time, or 0 for the "
        "sum of the dressing list.",
    ),
    Limit(
        "undressing_heavy_min",
        "Undressing, heavy dress",
        "min",
        "Least time from reach surface to undressed; 0 for the sum of the undressing list.",
    ),
    Limit(
        "dressing_light_min",
        "Dressing, light helmet",
        "min",
        "Least time from the start of dressing to leave surface: the crew's own measured time, or 0 for the "
        "sum of the dressing list.",
    ),
    Limit(
        "undressing_light_min",
        "Undressing, light helmet",
        "min",
        "Least time from reach surface to undressed; 0 for the sum of the undressing list.",
    ),
    Limit(
        "chamber_heavy_min",
        "Out of heavy dress for the chamber",
        "min",
        "From reaching the surface until the diver walks to the chamber, as this crew has measured it. With "
        "the way, it must fit into the five minutes of surface decompression.",
        "common practice, from memory: as long as undressing, which is too long",
    ),
    Limit(
        "chamber_light_min",
        "Out of a light helmet for the chamber",
        "min",
        "The same for a light helmet: helmet, harness, weights.",
        "common practice, from memory",
    ),
    Limit(
        "duty_span_max_min",
        "Longest duty span",
        "min",
        "The most from the start of a person's first duty of a day to the end of the last.",
        "common practice: twelve hours",
    ),
    Limit(
        "overtime_after_min",
        "Overtime after",
        "min",
        "Span of a day past which a person's minutes count as overtime in the objective.",
        "common practice: eight hours; pay follows the local contract",
    ),
    Limit(
        "rest_before_duty_min",
        "Rest before the first duty",
        "min",
        "Least time from the end of the last duty before the job to the first duty in it.",
        "common practice: eight unbroken hours",
    ),
    Limit(
        "rest_in_24h_min",
        "Rest in any 24 hours",
        "min",
        "The least rest in every 24 hours; 0: not asked, and nor are the parts of it.",
        "MLC 2006, Standard A2.3: 10 hours; 0 as shipped",
        Basis.REGULATION,
    ),
    Limit(
        "rest_in_7d_min",
        "Rest in any 7 days",
        "min",
        "The least rest in every 7 days; 0: not asked.",
        "MLC 2006, Standard A2.3: 77 hours; 0 as shipped",
        Basis.REGULATION,
    ),
    Limit(
        "rest_parts",
        "Parts of the rest",
        "parts",
        "The most parts in which the rest of 24 hours may come.",
        "MLC 2006, Standard A2.3: two",
        Basis.REGULATION,
    ),
    Limit(
        "rest_long_part_min",
        "Longest part of the rest",
        "min",
        "The least length of the longest part.",
        "MLC 2006, Standard A2.3: 6 hours",
        Basis.REGULATION,
    ),
    Limit(
        "work_between_rests_max_min",
        "Work between rests",
        "min",
        "The most time from one rest to the next.",
        "MLC 2006, Standard A2.3: 14 hours",
        Basis.REGULATION,
    ),
    Limit(
        "rest_least_min",
        "Least time that is rest",
        "min",
        "A shorter gap between duties is a break and no rest.",
        "common practice: an hour; MLC 2006, Standard A2.3 has short breaks as no rest and gives no number",
    ),
    Limit(
        "meal_break_min",
        "Meal break",
        "min",
        "The least length of a break from all duties; 0: none is planned.",
        "common practice; 0 as shipped",
    ),
    Limit(
        "meal_break_after_min",
        "Longest duty without a break",
        "min",
        "The most time on duty without such a break.",
        "common practice: six hours",
    ),
    Limit(
        "rest_after_night_min",
        "Time off after a night",
        "min",
        "The least time from the end of a duty in the night (midnight to five) to leave surface; 0: not "
        "asked.",
        "common practice; 0 as shipped",
    ),
    Limit(
        "standby_dressed_max_min",
        "Longest time a standby stays dressed",
        "min",
        "From dressed to undressing, over one dive or several; 0: the standby's dressing is not planned.",
        "common practice; 0 as shipped",
    ),
    Limit(
        "hand_over_min",
        "Hand-over in mid-dive",
        "min",
        "How long both hold a duty that changes hands while a diver is down; 0: never in mid-dive.",
        "common practice: never",
    ),
    Limit(
        "hand_over_lead_min",
        "Hand-over in mid-dive, supervisor and tenders",
        "min",
        "The same for the supervisor and the divers' tenders; 0: never in mid-dive.",
        "common practice: never",
    ),
    Limit(
        "priority_weights",
        "Weights of priorities 1 to 5",
        "weights",
        "What one minute of finished work counts in the first stage of the objective, by priority.",
        "the planner's own choice: each priority counts twice the next",
        Basis.ARITHMETIC,
    ),
)

LIMITS: dict[str, Limit] = {limit.field: limit for limit in _LIMITS}
