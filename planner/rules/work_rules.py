"""Rules of the work and the day: items, windows, order, stations, and what a plan must tell."""

from __future__ import annotations

from planner.rules.rule import Basis, Rule

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
