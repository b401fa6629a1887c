"""When and where: day, item, slack and daylight windows, order of the items, stations."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from planner.check.facts import Facts, KnownDive, covered
from planner.check.rule import JOB_DATA, Basis, Rule, convicts_by
from planner.job.daylight import daylight
from planner.job.tide import effective_water_windows
from planner.job.work import Item
from planner.plan.finding import Finding


@convicts_by(
    Rule(
        "day-window",
        "Every dive from dressing to undressed and out of the chamber, every surface task and every duty "
        "lies within one day's working hours.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def day_windows(facts: Facts) -> Iterator[Finding]:
    windows = facts.job.day_windows

    def outside(start: int, end: int) -> bool:
        return not any(w.covers(start, end) for w in windows)

    def told(start: int, end: int, where: str) -> Finding:
        return Finding(
            "day-window",
            f"{facts.stretch(start, end)} is not within the day ({facts.stretches(windows)}).",
            where,
        )

    for known in facts.dives:
        start, end = known.dive.dress_start_min, max(known.dive.undressed_min, known.dive.out_min)
        if outside(start, end):
            yield told(start, end, known.where)
    for task, item in facts.tasks:
        if outside(task.start_min, task.end_min):
            yield told(task.start_min, task.end_min, item.name)
    for spell in facts.spells:
        if outside(spell.start_min, spell.end_min):
            yield told(spell.start_min, spell.end_min, f"{spell.person}, {spell.duty}")


@convicts_by(
    Rule(
        "item-window",
        "Where an item has windows, people are in the water for it (or its surface task runs) only in them.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def item_windows(facts: Facts) -> Iterator[Finding]:
    for name, item, start, end in _runs(facts):
        if item.windows and not covered(item.windows, start, end):
            yield Finding(
                "item-window",
                f"{facts.stretch(start, end)} is not within the windows of {item.name} "
                f"({facts.stretches(item.windows)}).",
                name,
            )


@convicts_by(
    Rule(
        "gate-held",
        "People are in the water for an item, or its surface task runs, only while every isolation, permit "
        "and hazard window that the job names for it is held; one without times is confirmed by hand before "
        "the dive.",
        "control of hazardous energy: 29 CFR 1910.147(c)(1); at diving work: common practice; what "
        "is held, by whom and when: the job's own data",
    )
)
def gates_held(facts: Facts) -> Iterator[Finding]:
    for where, item, start, end in _runs(facts):
        for what, rows in facts.job.gates_of(item.name).items():
            held = [row.span for row in rows if row.span is not None]
            if held and not covered(held, start, end):
                times = "; ".join(
                    f"{facts.stretches([row.span])} by {row.held_by or 'nobody named'}"
                    for row in rows
                    if row.span is not None
                )
                yield Finding(
                    "gate-held",
                    f"{facts.stretch(start, end)} on {item.name}; {what} is held {times}.",
                    where,
                )


@convicts_by(
    Rule(
        "slack-water",
        "For an item that needs slack water, people are in the water only in a slack window that holds for "
        "the station: one typed in, or one around a high or low water by the site's offset and length.",
        "limits on current: common practice; windows, offset and length are the job's",
    )
)
def slack_water(facts: Facts) -> Iterator[Finding]:
    windows = effective_water_windows(facts.job)
    for known in facts.dives:
        station = known.dive.station
        slack = [w for w in windows if not w.stations or station in w.stations]
        if known.item.needs_slack and not covered(slack, *known.water):
            yield Finding(
                "slack-water",
                f"In the water {facts.stretch(*known.water)}; slack at {station}: "
                f"{facts.stretches(slack) or 'none given'}.",
                known.where,
            )


@convicts_by(
    Rule(
        "daylight",
        "Where the site dives by daylight only, people are in the water only between sunrise and sunset.",
        "common practice; sunrise and sunset by the astral library",
    )
)
def by_daylight(facts: Facts) -> Iterator[Finding]:
    light = daylight(facts.job)
    if light is None or not facts.job.site.daylight_only:
        return
    for known in facts.dives:
        if not known.item.in_the_dark and not covered(light, *known.water):
            up = facts.stretches(light) or "no sun"
            yield Finding(
                "daylight", f"In the water {facts.stretch(*known.water)}; daylight: {up}.", known.where
            )


@convicts_by(
    Rule(
        "precedence",
        "An item starts only when every item it comes after is completely done and the lag has passed.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def precedence(facts: Facts) -> Iterator[Finding]:
    runs = tuple(_runs(facts))
    ends = {item.name: max(e for _, i, _, e in runs if i.name == item.name) for _, item, _, _ in runs}
    known_items = {item.name for item in facts.job.items}
    for where, item, start, _ in runs:
        for after in item.after:
            if after.item not in known_items:
                continue
            done, needed = facts.worked_min(after.item), facts.needed_min(after.item)
            if done < needed:
                yield Finding(
                    "precedence",
                    f"{item.name} comes after {after.item}, of which {done} of {needed} min are planned.",
                    where,
                )
            elif start < ends[after.item] + after.lag_min:
                yield Finding(
                    "precedence",
                    f"{item.name} starts {facts.at(start)}; {after.item} ends {facts.at(ends[after.item])} "
                    f"and the lag is {after.lag_min} min.",
                    where,
                )


@convicts_by(
    Rule(
        "not-together",
        "Two items that exclude each other never run at the same time.",
        "common practice; the pairs are the job's",
    )
)
def not_together(facts: Facts) -> Iterator[Finding]:
    for (where, one, start, end), (other_where, other, other_start, other_end) in combinations(
        _runs(facts), 2
    ):
        excluded = other.name in one.not_together_with or one.name in other.not_together_with
        if excluded and one.name != other.name and start < other_end and other_start < end:
            yield Finding(
                "not-together",
                f"{one.name} ({facts.stretch(start, end)}) and {other.name} "
                f"({facts.stretch(other_start, other_end)}) run at the same time.",
                f"{where}; {other_where}",
            )


def _runs(facts: Facts) -> Iterator[tuple[str, Item, int, int]]:
    """Where it stands, the item, and from when to when people are down for it or its task runs."""
    for known in facts.dives:
        yield known.where, known.item, *known.water
    for task, item in facts.tasks:
        yield item.name, item, task.start_min, task.end_min


@convicts_by(
    Rule(
        "station-of-item",
        "An item that names its station is dived from that station.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def station_of_item(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        asked = known.item.station
        if asked is not None and known.dive.station != asked:
            yield Finding(
                "station-of-item",
                f"{known.item.name} is dived from {asked!r}, not from {known.dive.station!r}.",
                known.where,
            )


@convicts_by(
    Rule(
        "one-dive-a-station",
        "A station has at most one dive in the water at a time, and its crew, there from dressing on, "
        "dress the divers of one dive no sooner than those of the dive before it.",
    ),
    Rule("one-team-an-item", "Two teams are never in the water on one item at the same time."),
)
def one_in_the_water(facts: Facts) -> Iterator[Finding]:
    for one, other in combinations(facts.dives, 2):
        # in the order in which they leave the surface
        if other.water[0] >= one.water[1]:
            continue
        if one.dive.station == other.dive.station:
            yield Finding(
                "one-dive-a-station",
                f"{one.where} ({facts.stretch(*one.water)}) and {other.where} "
                f"({facts.stretch(*other.water)}) are in the water together at {one.dive.station}.",
                f"station {one.dive.station}",
            )
        elif one.item.name == other.item.name:
            yield Finding(
                "one-team-an-item",
                f"{one.where} at {one.dive.station} ({facts.stretch(*one.water)}) and {other.where} at "
                f"{other.dive.station} ({facts.stretch(*other.water)}) are in the water together.",
                one.item.name,
            )
    last: dict[str, KnownDive] = {}
    for known in facts.dives:
        before = last.get(known.dive.station)
        if before is not None and known.dive.dress_start_min < before.dive.dress_start_min:
            yield Finding(
                "one-dive-a-station",
                f"{known.where} dresses from {facts.at(known.dive.dress_start_min)} on, {before.where}, "
                f"which goes first, from {facts.at(before.dive.dress_start_min)}.",
                f"station {known.dive.station}",
            )
        last[known.dive.station] = known


@convicts_by(
    Rule(
        "station-turnaround",
        "On one station at least the job's turnaround lies between one dive's reach surface and the next "
        "one's leave surface.",
        "hose, lines, stage and log are made ready for the next dive: common practice",
        limits=("station_turnaround_min",),
    )
)
def station_turnaround(facts: Facts) -> Iterator[Finding]:
    least = facts.job.rules.station_turnaround_min
    for one, other in combinations(facts.dives, 2):
        gap = other.water[0] - one.water[1]
        if one.dive.station == other.dive.station and 0 <= gap < least:
            yield Finding(
                "station-turnaround",
                f"At {one.dive.station} {one.where} surfaces {facts.at(one.water[1])} and {other.where} "
                f"leaves the surface {facts.at(other.water[0])}, {gap} min later; {least} asked.",
                f"station {one.dive.station}",
            )


@convicts_by(
    Rule(
        "stations-at-once",
        "No more stations have people in the water at once than the site allows.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def stations_at_once(facts: Facts) -> Iterator[Finding]:
    limit = facts.job.site.stations_at_once
    for known in facts.dives:
        moment = known.water[0]
        busy = {k.dive.station for k in facts.dives if k.water[0] <= moment < k.water[1]}
        if len(busy) > limit:
            yield Finding(
                "stations-at-once",
                f"At {facts.at(moment)} {len(busy)} stations have people in the water "
                f"({', '.join(sorted(busy))}); {limit} at once at most.",
                known.where,
            )
