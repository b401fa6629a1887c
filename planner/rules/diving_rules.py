"""Rules of the dive itself: tables, residual nitrogen, depth, intervals, the chamber, the clock of a dive."""

from __future__ import annotations

from planner.rules.rule import Basis, Rule

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
