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
        ``min``, ``fsw``, ``fsw/min``, ``ft/min``, ``dives``, ``parts``, ``people``, ``outfits``,
        ``name``, ``names``, ``weights`` or ``yes or no``.
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
        "29 CFR 1910.423(c)(1): 100 fsw; the U.S. Coast Guard sets 130 fsw (46 CFR 197.432(e)(2))",
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
        "common practice; the tables' shortest interval is the least: mostly ten minutes",
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
        "standby_send_min",
        "Standby: from go to leaving the surface",
        "min",
        "Minutes until a standby diver who is dressed and waits leaves the surface; told beside each dive.",
        "common practice, from memory: two",
    ),
    Limit(
        "along_bottom_ft_per_min",
        "Standby: pace along the bottom",
        "ft/min",
        "How fast he goes along the bottom from below the station out to the work; told beside each dive.",
        "common practice, from memory: 30 ft a minute",
    ),
    Limit(
        "stage_deeper_than_fsw",
        "In-water stage and spare hose deeper than",
        "fsw",
        "In heavy dress a deeper dive, and one with stops at any depth, is made only from a station with an "
        "in-water stage and a spare hose for the standby diver; 0: neither is asked for.",
        "29 CFR 1910.425(c)(5): 100 fsw; the U.S. Coast Guard sets 130 fsw (46 CFR 197.432(e)(3))",
        Basis.REGULATION,
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
        "common practice: half an hour",
    ),
    Limit(
        "meal_break_after_min",
        "Longest duty without a break",
        "min",
        "The most time on duty without such a break.",
        "common practice: six hours",
    ),
    Limit(
        "watch_max_min",
        "Longest watch without a break",
        "min",
        "The most that anybody supervises dives, stands at the air console or keeps the log of dives without "
        "a break from it; 0: no limit.",
        "common practice (from memory): relieved after four hours",
    ),
    Limit(
        "watch_break_min",
        "Break of a watch",
        "min",
        "Time without any of these duties that counts as a break of the watch.",
        "common practice (from memory): a quarter of an hour",
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
        "From dressed to undressing, over one dive or several; 0: no limit.",
        "common practice (from memory): 3 h, as a new job has it; 0 where a workbook says nothing",
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
        "station_turnaround_min",
        "Turnaround of a station",
        "min",
        "Least time on a station from one dive's reach surface to the next one's leave surface; 0: the next "
        "may leave at once.",
        "common practice: ten minutes, for hose, lines, stage and log",
    ),
    Limit(
        "bailout_min",
        "Bailout bottle: minutes at depth",
        "min",
        "Minutes at depth that a carried bottle gives before the way up to the first stop; 0: no bottle "
        "is asked for.",
        "U.S. Navy Diving Manual 8-2.2.1: three minutes in its example",
    ),
    Limit(
        "bailout_deeper_than_fsw",
        "Bailout bottle deeper than",
        "fsw",
        "In a light helmet a deeper dive asks for a carried bottle, as one with stops or in an enclosed "
        "space does at any depth.",
        "29 CFR 1910.425(c)(4): 100 fsw; the U.S. Coast Guard sets 130 fsw (46 CFR 197), the U.S. Navy 60",
        Basis.REGULATION,
    ),
    Limit(
        "briefing_min",
        "Briefing",
        "min",
        "How long everybody is briefed when he comes on site, before his first duty there; 0: none is "
        "planned.",
        "common practice: a quarter of an hour; the dive team is briefed on its tasks and hazards: 29 CFR "
        "1910.421(f)(1)",
    ),
    Limit(
        "one_briefing",
        "One briefing for the whole crew",
        "yes or no",
        "Yes: each day begins with one briefing, for everyone on duty that day who is on site then; who "
        "comes later is briefed when he comes. No: each when he comes on duty. With a briefing of 0 min it "
        "does nothing.",
        "common practice; on what the team is briefed: 29 CFR 1910.421(f)(1), which does not say all at once",
    ),
    Limit(
        "longest_bottom_heavy_min",
        "Longest bottom time, heavy dress",
        "min",
        "No dive in heavy dress is longer on the bottom; 0: no limit. An item may say its own.",
        "common practice (from memory): 3 h",
    ),
    Limit(
        "longest_in_dress_heavy_min",
        "Longest time in heavy dress",
        "min",
        "From the start of dressing until undressed; 0: no limit. An item may say its own.",
        "common practice (from memory): 4 h",
    ),
    Limit(
        "longest_bottom_heavy_cold_min",
        "Longest bottom time in cold water, heavy dress",
        "min",
        "Stands for the longest bottom time where the water is cold; 0: no limit.",
        "common practice (from memory): 2 h",
    ),
    Limit(
        "longest_in_dress_heavy_cold_min",
        "Longest time in heavy dress in cold water",
        "min",
        "Stands for the longest time in dress where the water is cold; 0: no limit.",
        "common practice (from memory): 3 h",
    ),
    Limit(
        "longest_bottom_light_min",
        "Longest bottom time, light helmet",
        "min",
        "No dive in a light helmet is longer on the bottom; 0: no limit. An item may say its own.",
        "common practice (from memory): 4 h",
    ),
    Limit(
        "longest_in_dress_light_min",
        "Longest time in a light helmet",
        "min",
        "From the start of dressing until undressed; 0: no limit. An item may say its own.",
        "common practice (from memory): 5 h",
    ),
    Limit(
        "longest_bottom_light_cold_min",
        "Longest bottom time in cold water, light helmet",
        "min",
        "Stands for the longest bottom time where the water is cold; 0: no limit.",
        "common practice (from memory): 2 h",
    ),
    Limit(
        "longest_in_dress_light_cold_min",
        "Longest time in a light helmet in cold water",
        "min",
        "Stands for the longest time in dress where the water is cold; 0: no limit.",
        "common practice (from memory): 3 h",
    ),
    Limit(
        "cold_water_f",
        "Cold water: colder than",
        "°F",
        "Below this temperature of the water (sheet Site) the times for cold water hold.",
        "common practice (from memory): 50 °F",
    ),
    Limit(
        "inspection_heavy_min",
        "Inspecting and connecting, heavy dress",
        "min",
        "For each ready outfit on a day on which that gear is dived, before the first dressing in it; 0: "
        "not planned.",
        "common practice; the sum of the inspection and connecting lists of steps (minutes from memory)",
    ),
    Limit(
        "inspection_light_min",
        "Inspecting and connecting, light helmet",
        "min",
        "The same for a light helmet.",
        "common practice; the sum of the inspection and connecting lists of steps (minutes from memory)",
    ),
    Limit(
        "inspection_pairs",
        "Outfits inspected at once",
        "outfits",
        "How many outfits are inspected at once, each by as many tenders as dress a diver in it; no more "
        "than the team has tenders for.",
        "common practice, from memory: two",
    ),
    Limit(
        "station_set_up_min",
        "Setting up a station",
        "min",
        "On each day a station is dived from, before the first dressing there; 0: not planned.",
        "common practice, from memory",
    ),
    Limit(
        "set_up_hands",
        "Tenders who set up and strike",
        "people",
        "How many set up a station and strike it; no more than the team has.",
        "common practice, from memory: two",
    ),
    Limit(
        "warm_up_hands",
        "People at the console for the warm-up",
        "people",
        "How many are at the air console while the compressors on line warm up, as long as the slowest "
        "takes, before the day's first dressing; 0: not planned.",
        "common practice: one",
    ),
    Limit(
        "station_strike_min",
        "Striking a station",
        "min",
        "After the last undressing there of the day; 0: not planned.",
        "common practice, from memory",
    ),
    Limit(
        "cleaning_min",
        "Cleaning and stowing",
        "min",
        "For each kind of gear dived that day, after the last undressing in it; 0: not planned.",
        "common practice, from memory",
    ),
    Limit(
        "cleaning_hands",
        "Tenders who clean and stow",
        "people",
        "How many clean and stow the gear; no more than the team has.",
        "common practice, from memory: two",
    ),
    Limit(
        "priority_weights",
        "Weights of priorities 1 to 5",
        "weights",
        "What one minute of finished work counts in the first stage of the objective, by priority.",
        "the planner's own choice: each priority counts twice the next",
        Basis.ARITHMETIC,
    ),
    Limit(
        "margin_wanted_min",
        "Minutes in hand wanted",
        "min",
        "What a dive should have left when its divers leave the bottom, before the no-stop limit or the row "
        "of the tables ends. Sought right after the work, not demanded: a dive with less is planned where "
        "nothing better fits. The site's margin to the table is demanded, and comes off those limits first. "
        "0: not sought.",
        "common practice, from memory: plan a few minutes short of the limit; 5 as shipped",
    ),
    Limit(
        "stage_order",
        "Order of what counts",
        "names",
        "After the work finished, what makes one plan better than another, the first of these first; what is "
        "not named follows in the shipped order. Work finished stays before them all: on a day without work "
        "every other one is at its best.",
        "the planner's own choice",
        Basis.ARITHMETIC,
    ),
)

LIMITS: dict[str, Limit] = {limit.field: limit for limit in _LIMITS}
