"""When and where: day, item, slack and daylight windows, order of the items, stations."""

from __future__ import annotations

from collections.abc import Iterator

from planner.check.facts import Facts, covered
from planner.job.base import Span
from planner.job.daylight import daylight
from planner.job.water import effective_water_windows
from planner.job.work import Item
from planner.plan.finding import Finding


def day_windows(facts: Facts) -> Iterator[Finding]:
    """Rule ``day-window``."""
    windows = facts.job.day_windows

    def outside(start: int, end: int) -> bool:
        return not any(w.covers(start, end) for w in windows)

    def told(start: int, end: int, where: str) -> Finding:
        hours = ", ".join(facts.stretch(w.start_min, w.end_min) for w in windows)
        return Finding("day-window", f"{facts.stretch(start, end)} is not within the day ({hours}).", where)

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


def item_windows(facts: Facts) -> Iterator[Finding]:
    """Rules ``item-window``, ``slack-water`` and ``daylight``."""
    light = daylight(facts.job)
    water_windows = effective_water_windows(facts.job)
    for name, item, start, end in _runs(facts):
        if item.windows and not covered(item.windows, start, end):
            allowed = ", ".join(facts.stretch(w.start_min, w.end_min) for w in item.windows)
            yield Finding(
                "item-window",
                f"{facts.stretch(start, end)} is not within the windows of {item.name} ({allowed}).",
                name,
            )
    for known in facts.dives:
        start, end = known.water
        if known.item.needs_slack:
            slack: list[Span] = [
                w for w in water_windows if not w.stations or known.dive.station in w.stations
            ]
            if not covered(slack, start, end):
                allowed = ", ".join(facts.stretch(w.start_min, w.end_min) for w in slack) or "none given"
                yield Finding(
                    "slack-water",
                    f"In the water {facts.stretch(start, end)}; slack at {known.dive.station}: {allowed}.",
                    known.where,
                )
        if light is None or not facts.job.site.daylight_only or known.item.in_the_dark:
            continue
        if not covered(light, start, end):
            up = ", ".join(facts.stretch(s.start_min, s.end_min) for s in light) or "no sun"
            yield Finding(
                "daylight", f"In the water {facts.stretch(start, end)}; daylight: {up}.", known.where
            )


def order_of_items(facts: Facts) -> Iterator[Finding]:
    """Rules ``precedence`` and ``not-together``."""
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
    for index, (where, one, start, end) in enumerate(runs):
        for other_where, other, other_start, other_end in runs[index + 1 :]:
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


def stations(facts: Facts) -> Iterator[Finding]:
    """Rules ``one-dive-a-station``, ``one-team-an-item``, ``stations-at-once`` and ``station-of-item``."""
    dives = facts.dives
    for known in dives:
        asked = known.item.station
        if asked is not None and known.dive.station != asked:
            yield Finding(
                "station-of-item",
                f"{known.item.name} is dived from {asked!r}, not from {known.dive.station!r}.",
                known.where,
            )
    for index, one in enumerate(dives):
        for other in dives[index + 1 :]:
            meet = one.water[0] < other.water[1] and other.water[0] < one.water[1]
            if meet and one.dive.station == other.dive.station:
                yield Finding(
                    "one-dive-a-station",
                    f"{one.where} ({facts.stretch(*one.water)}) and {other.where} "
                    f"({facts.stretch(*other.water)}) are in the water together at {one.dive.station}.",
                    f"station {one.dive.station}",
                )
            elif meet and one.item.name == other.item.name:
                yield Finding(
                    "one-team-an-item",
                    f"{one.where} at {one.dive.station} ({facts.stretch(*one.water)}) and {other.where} at "
                    f"{other.dive.station} ({facts.stretch(*other.water)}) are in the water together.",
                    one.item.name,
                )
    limit = facts.job.site.stations_at_once
    for known in dives:
        moment = known.water[0]
        busy = {k.dive.station for k in dives if k.water[0] <= moment < k.water[1]}
        if len(busy) > limit:
            yield Finding(
                "stations-at-once",
                f"At {facts.at(moment)} {len(busy)} stations have people in the water "
                f"({', '.join(sorted(busy))}); {limit} at once at most.",
                known.where,
            )
