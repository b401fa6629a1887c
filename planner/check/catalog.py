"""Every rule once, by id: what the check convicts by, the scheduler obeys, and the documents list."""

from __future__ import annotations

from planner.check.air import AIR_RULES
from planner.check.outfits import GEAR_RULES
from planner.check.rest import REST_RULES
from planner.check.rule import Basis, Rule
from planner.job.duties import DUTIES

NAVY = "U.S. Navy Diving Manual, Revision 7"

DIVING_RULES: tuple[Rule, ...] = (
    Rule(
        "times-in-order",
        "A dive's times follow from one another: dressing, down at the descent rate, bottom time, the "
        "table's ascent to the surface, undressing, and the table's end in the chamber where the way up is "
        "surface decompression; every spell ends after it starts and lies in the job's days.",
        "the plan's own definitions; ascent from table 9-9, rounded up to the minute; five minutes from "
        f"40 fsw to 50 fsw in the chamber: {NAVY}",
        Basis.ARITHMETIC,
    ),
    Rule(
        "depth-of-item",
        "A dive is planned to the depth of its item; where that follows the tide, at least to the charted "
        "depth and the greatest level from leave surface to leave bottom, rounded up, and no deeper than at "
        "the highest water of the tide table.",
        "the job's own data; half a cosine between high and low water: common practice",
        Basis.ARITHMETIC,
    ),
    Rule(
        "table-row",
        "Each diver's schedule is the row of the tables for the depth or next deeper and for the "
        "equivalent single dive time or next longer, never between rows.",
        f"{NAVY}, tables 9-7 and 9-9",
        Basis.PUBLISHED_TABLE,
    ),
    Rule(
        "way-up-policy",
        "Every diver comes up in a way that the job's policy allows: within the no-stop limits, or with no "
        "more stops than the policy permits; exceptional exposures are never planned.",
        f"{NAVY}, tables 9-7 and 9-9; the policy is the job's",
        Basis.PUBLISHED_TABLE,
    ),
    Rule(
        "residual-nitrogen",
        "Each diver's group before the dive, residual nitrogen time, equivalent single dive time and group "
        "after it follow from all earlier dives and the minutes on the surface between them.",
        f"{NAVY}, table 9-8",
        Basis.PUBLISHED_TABLE,
    ),
    Rule(
        "no-group-no-dive",
        "After a schedule for which the tables print no repetitive group, a diver makes no other dive "
        "until clean.",
        f"{NAVY}, table 9-9 (from memory); clean 48 h after it, the longest wait of table 9-6",
        Basis.PUBLISHED_TABLE,
    ),
    Rule(
        "greatest-depth",
        "No dive is deeper than the job's greatest depth; one deeper than 190 fsw has a bottom time of at "
        "most 30 minutes.",
        "29 CFR 1910.425(b)(1)",
        Basis.REGULATION,
    ),
    Rule(
        "same-dive-under-ten",
        "Less than ten minutes on the surface does not part two dives: nobody leaves the surface again "
        "within ten minutes of reaching it.",
        f"{NAVY}, table 9-8",
        Basis.PUBLISHED_TABLE,
    ),
    Rule(
        "surface-interval",
        "Between two planned dives a diver spends at least the job's least surface interval on the surface.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "dives-a-day",
        "Nobody makes more dives in a calendar day than the job allows.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "bottom-minutes-a-day",
        "Nobody's bottom times of a calendar day add up to more than the job allows.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "depth-rating",
        "No diver goes deeper than his or her depth rating.",
        "experience and training for the task: 29 CFR 1910.410(a) (from memory); a rating in fsw: common "
        "practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "certificates",
        "Every diver on an item holds all certificates it asks for, none of them expired on the day.",
        "experience and training for the task: 29 CFR 1910.410(a) (from memory)",
        Basis.REGULATION,
    ),
    Rule(
        "medical",
        "No diver's medical has expired on the day of the dive.",
        "medically fit for the dive: 29 CFR 1910.410 and 1910.421 (from memory); a dated medical: common "
        "practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "chamber-at-location",
        "A dive deeper than the job's trigger depth or outside the no-stop limits needs a chamber at the "
        "dive location, within five minutes.",
        "29 CFR 1910.423(c)(1); five minutes: 1910.423(c)(3)(iii); the trigger is 130 fsw in 46 CFR 197",
        Basis.REGULATION,
    ),
    Rule(
        "chamber-watch",
        "After such a dive the diver stays awake near the chamber for the job's watch, and neither dives "
        "nor stands by in it.",
        "29 CFR 1910.423(b)(2); not standing by: common practice",
        Basis.REGULATION,
    ),
    Rule(
        "in-the-chamber",
        "A diver who decompresses in the chamber is on that duty until out of its pressure, undressed or "
        "not, and has no other duty before.",
        f"surface decompression on oxygen: {NAVY}, table 9-9, chamber times partly from memory",
        Basis.PUBLISHED_TABLE,
    ),
    Rule(
        "chamber-one-at-a-time",
        "From reaching the surface until out of the chamber, no more dives have divers decompressing in it "
        "than the job gives it places: one, unless the job says more.",
        "a dual-lock chamber within five minutes: 29 CFR 1910.423(c) (paragraph (3) from memory); five "
        f"minutes from 40 fsw to 50 fsw in the chamber: {NAVY}; one decompression at a time: common practice",
        Basis.REGULATION,
    ),
    Rule(
        "standby-able-to-go",
        "The standby diver could go at once: rated for the depth, with the item's certificates and a valid "
        "medical, in an outfit, at least ten minutes on the surface, and with a repetitive group that "
        "leaves the job's least no-stop minutes at that depth.",
        "common practice; no-stop minutes left: tables 9-7 and 9-8",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "standby-dressing",
        "Where the job limits how long a standby diver stays dressed: he begins to dress the dressing time "
        "before the divers leave the surface, or has stood by on that station without a gap; he undresses "
        "when the last dive of the stretch has surfaced; for both he has as many standby's tenders as a "
        "diver has tenders; and he stays dressed no longer than the limit.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "outfit-ready",
        "Every outfit worn by a diver or a standby diver is marked ready and not past its inspection date.",
        "inspected before each dive: 29 CFR 1910.421(g)",
        Basis.REGULATION,
    ),
    Rule(
        "outfit-matched",
        "Helmet, breastplate and straps of an outfit in heavy dress carry the same number.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "outfit-kind",
        "Divers and standby diver wear the kind of dress that the item asks for.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "outfit-one-wearer",
        "An outfit serves one wearer at a time, and rests its turnaround after each dive.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
)


JOB_DATA = "the job's own data"

WORK_RULES: tuple[Rule, ...] = (
    Rule(
        "known-names",
        "Every name in the plan (job, item, station, person, duty, outfit, dive, rule) is known, and no "
        "dive has the name of another.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "day-window",
        "Every dive from dressing to undressed and out of the chamber, every surface task and every duty "
        "lies within one day's working hours.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "item-window",
        "Where an item has windows, people are in the water for it (or its surface task runs) only in them.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "slack-water",
        "For an item that needs slack water, people are in the water only in a slack window that holds for "
        "the station: one typed in, or one around a high or low water by the site's offset and length.",
        "limits on current: common practice; windows, offset and length are the job's",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "daylight",
        "Where the site dives by daylight only, people are in the water only between sunrise and sunset.",
        "common practice; sunrise and sunset by the astral library",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "precedence",
        "An item starts only when every item it comes after is completely done and the lag has passed.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "not-together",
        "Two items that exclude each other never run at the same time.",
        "common practice; the pairs are the job's",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "one-team-an-item",
        "Two teams are never in the water on one item at the same time.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "pins-kept",
        "Everything that is pinned holds: the start of an item, who dives it or stays up, where and how "
        "long, who holds a duty for it, and when a person is away.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "item-whole",
        "An item that may not be split is done whole in one dive, and a surface item in one go, or not at "
        "all.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "least-useful",
        "Every dive on an item that may be split works at least the item's least useful minutes.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "work-not-exceeded",
        "No item is given more minutes than it needs.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "divers-at-a-time",
        "Every dive has exactly as many working divers as its item asks for.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "one-dive-a-station",
        "A station has at most one dive in the water at a time.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "stations-at-once",
        "No more stations have people in the water at once than the site allows.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "station-of-item",
        "An item that names its station is dived from that station.",
        JOB_DATA,
        Basis.ARITHMETIC,
    ),
    Rule(
        "duties-match-dives",
        "Duties and dives tell the same story: every diver of a dive holds the duty over the whole of it "
        "in the same outfit, and every duty names the item and station of its dive or a planned surface "
        "task.",
        "the plan's own definitions",
        Basis.ARITHMETIC,
    ),
    Rule(
        "leftovers-told",
        "Every item that is not completely done is listed with its minutes and at least one reason, and "
        "no item that is done is listed.",
        "the plan's own definitions",
        Basis.ARITHMETIC,
    ),
    Rule(
        "objective-values",
        "The values of the objective's stages can be worked out again from the plan, no bound "
        "contradicts its value, and only a plan whose stages are all proven is called proven best.",
        "the plan's own definitions",
        Basis.ARITHMETIC,
    ),
)


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


RULES: dict[str, Rule] = {
    rule.id: rule
    for rule in (
        *DIVING_RULES,
        *WORK_RULES,
        *TEAM_RULES,
        *HOURS_RULES,
        *REST_RULES,
        *GEAR_RULES.values(),
        *AIR_RULES.values(),
    )
}
