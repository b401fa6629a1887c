"""What a working day holds beside its dives: everybody's briefing, and the standing work around them."""

from __future__ import annotations

from collections.abc import Iterator

from planner.check.facts import Facts, KnownDive
from planner.check.rule import Rule, convicts_by
from planner.job.duties import BRIEFING, STANDBY
from planner.job.standing import StandingItem
from planner.plan.finding import Finding


@convicts_by(
    Rule(
        "briefed",
        "Whoever has a duty is briefed for the job's briefing minutes when he comes on site: in each of his "
        "stretches on site of a working day, inside it and before his first duty there.",
        "common practice; the dive team is briefed on its tasks and hazards: 29 CFR 1910.421(f)(1)",
        limits=("briefing_min",),
    )
)
def briefed(facts: Facts) -> Iterator[Finding]:
    for name in facts.spells_of_person:
        person = facts.people[name]
        for stretch in facts.job.on_site[name]:
            asked = facts.job.briefing_min(person, stretch.start_min)
            inside = facts.begun_in(name, stretch)
            first = min((s.start_min for s in inside if s.duty != BRIEFING), default=None)
            if first is None or not asked:
                continue
            longest = max(
                (
                    min(s.end_min, first) - s.start_min
                    for s in inside
                    if s.duty == BRIEFING and s.start_min < first
                ),
                default=0,
            )
            if longest < asked:
                yield Finding(
                    "briefed",
                    f"{name} is on site {facts.stretch(stretch.start_min, stretch.end_min)}, first on duty "
                    f"{facts.at(first)}; briefed for {longest} min before it, {asked} asked.",
                    name,
                )


@convicts_by(
    Rule(
        "one-briefing",
        "Where the job asks for one briefing for the whole crew, the first duty of each working day is that "
        "briefing: whoever is on site then and has a duty in that stretch is briefed from then on, for the "
        "job's briefing minutes. A day for which somebody was briefed before is left out.",
        "common practice; on what the team is briefed: 29 CFR 1910.421(f)(1), which does not say all at once",
        limits=("one_briefing", "briefing_min"),
    )
)
def one_briefing(facts: Facts) -> Iterator[Finding]:
    for day in sorted(facts.job.one_briefing_days):
        window = facts.job.day_windows[day]
        begun = (facts.begun_in(name, window) for name in facts.spells_of_person)
        call = min((s.start_min for spells in begun for s in spells), default=None)
        if call is None:
            continue
        for name in facts.spells_of_person:
            stretch = next(
                (s for s in facts.job.on_site[name] if s.start_min <= call < s.end_min),
                None,
            )
            if stretch is None:
                continue
            own = facts.begun_in(name, stretch)
            asked = facts.job.briefing_min(facts.people[name], call)
            there = any(s.duty == BRIEFING and s.start_min == call and s.end_min - call >= asked for s in own)
            if any(s.duty != BRIEFING for s in own) and not there:
                yield Finding(
                    "one-briefing",
                    f"{name} is on site at {facts.at(call)}, when the day begins, has duties later on and is "
                    f"not briefed then for {asked} min with the crew.",
                    name,
                )


@convicts_by(
    Rule(
        "briefing-in-time",
        "No briefing is held earlier than need be: it ends when the first work begins, that of the day where "
        "it is one for the whole crew, else that of the person, unless a pin has it earlier.",
        "so that no wait after it counts as a break, and nobody is left out of the crew's: common practice",
        limits=("briefing_min", "one_briefing"),
    )
)
def briefed_in_time(facts: Facts) -> Iterator[Finding]:
    job = facts.job
    held: list[tuple[str, int, int, int]] = []
    calls: dict[int, int] = {}
    for name in facts.spells_of_person:
        person = facts.people[name]
        for stretch in job.on_site[name]:
            inside = facts.begun_in(name, stretch)
            first = min((s.start_min for s in inside if s.duty != BRIEFING), default=None)
            if first is None or not job.briefing_min(person, first):
                continue
            pinned = job.briefed_at_min(person, first)
            due = first - job.briefing_min(person, first) if pinned is None else min(pinned, first)
            day = job.working_day_of(first)
            if day in job.one_briefing_days:
                calls[day] = min(due, calls.get(day, due))
            at = max((s.start_min for s in inside if s.duty == BRIEFING and s.start_min < first), default=due)
            held.append((name, stretch.start_min, at, due))
    early: dict[tuple[int, int], list[str]] = {}
    for name, on_site_min, at, due in held:
        call = calls.get(job.working_day_of(due))
        latest = due if call is None or call < on_site_min else call
        if at < latest:
            early.setdefault((at, latest), []).append(name)
    for (at, latest), names in early.items():
        yield Finding(
            "briefing-in-time",
            f"The briefing is held from {facts.at(at)}; from {facts.at(latest)} is early enough for the "
            "first work. To hold it earlier, pin it.",
            ", ".join(names),
        )


@convicts_by(
    Rule(
        "day-blocks",
        "On each working day that is dived the standing work that its dives ask for is done, once: outfits "
        "inspected, stations set up and compressors warmed up before the first diver or standby diver it "
        "concerns begins to dress, stations struck and gear cleaned after the last of them is undressed; on "
        "other days there is none.",
        "common practice; the compressors' warm-up is the job's",
        limits=(
            "inspection_heavy_min",
            "inspection_light_min",
            "inspection_pairs",
            "station_set_up_min",
            "set_up_hands",
            "warm_up_hands",
            "station_strike_min",
            "cleaning_min",
            "cleaning_hands",
        ),
    )
)
def day_blocks(facts: Facts) -> Iterator[Finding]:
    for item in facts.job.standing_items:
        dives = [k for k in facts.dives if _is_of(facts, item, k)]
        tasks = [task for task, own in facts.tasks if own.name == item.name]

        def told(sentence: str, item: StandingItem = item) -> Finding:
            return Finding("day-blocks", sentence, item.name)

        if (dives or item.due) and not tasks:
            named = f" for {dives[0].where}" if dives else ""
            yield told(f"{item.name} is not planned{named}; it takes {item.duration_min} min.")
        if tasks and not dives and not item.due:
            yield told(f"{item.name} is planned on a day without a dive that asks for it.")
        if not dives:
            continue
        first = min(min(start for start, _ in _in_dress(facts, k)) for k in dives)
        last = max(max(end for _, end in _in_dress(facts, k)) for k in dives)
        for task in tasks:
            if item.block.opens and task.end_min > first:
                yield told(
                    f"{item.name} ends {facts.at(task.end_min)}; the first dressing that it concerns begins "
                    f"{facts.at(first)}."
                )
            if not item.block.opens and task.start_min < last:
                yield told(
                    f"{item.name} begins {facts.at(task.start_min)}; the last whom it concerns is "
                    f"undressed {facts.at(last)}."
                )


def _is_of(facts: Facts, item: StandingItem, known: KnownDive) -> bool:
    """Whether a dive is of the block's working day, gear and station."""
    window = facts.job.day_windows[item.day]
    on_its_day = window.start_min <= known.dive.leave_surface_min < window.end_min
    return on_its_day and item.concerns(known.item, known.dive.station)


def _in_dress(facts: Facts, known: KnownDive) -> Iterator[tuple[int, int]]:
    """From the start of dressing to undressed: the divers', then each standby diver's."""
    yield known.dive.dress_start_min, known.dive.undressed_min
    for spell in facts.holders(known, STANDBY):
        yield spell.start_min, spell.end_min
