"""How much of each item is done, in how many pieces, and by how many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from planner.check.facts import Facts, first_gap
from planner.check.rule import JOB_DATA, Basis, Rule, convicts_by
from planner.job.duties import DIVER
from planner.plan.finding import Finding


@convicts_by(
    Rule(
        "item-whole",
        "An item that may not be split is done whole in one dive, and a surface item in one go, or not at "
        "all.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def item_whole(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        item = known.item
        if not item.splittable and known.work_min < item.bottom_work_min:
            yield Finding(
                "item-whole",
                f"{item.name} may not be split and needs {item.bottom_work_min} min; this dive works "
                f"{known.work_min}.",
                known.where,
            )
    for task, surface in facts.tasks:
        length = task.end_min - task.start_min
        if length < surface.duration_min:
            yield Finding(
                "item-whole",
                f"{surface.name} takes {surface.duration_min} min in one go; this task runs {length}.",
                surface.name,
            )


@convicts_by(
    Rule(
        "longest-bottom",
        "No dive's bottom time is longer than its item allows or, where the item says nothing, than the job "
        "allows in its kind of dress and in water of that temperature.",
        "fatigue and cold: common practice (from memory)",
        limits=(
            "longest_bottom_heavy_min",
            "longest_bottom_light_min",
            "longest_bottom_heavy_cold_min",
            "longest_bottom_light_cold_min",
            "cold_water_f",
        ),
    ),
    Rule(
        "longest-in-dress",
        "No diver is longer in dress, from the start of dressing until undressed, than the item allows or, "
        "where it says nothing, than the job allows in that kind of dress and in water of that temperature.",
        "fatigue and cold: common practice (from memory)",
        limits=(
            "longest_in_dress_heavy_min",
            "longest_in_dress_light_min",
            "longest_in_dress_heavy_cold_min",
            "longest_in_dress_light_cold_min",
            "cold_water_f",
        ),
    ),
)
def length_of_dive(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        item, dive = known.item, known.dive
        water = facts.job.site.water_temp_f
        told = "" if water is None else f", water of {water:g} °F"
        for rule, minutes, most, what in (
            (
                "longest-bottom",
                known.bottom_time_min,
                facts.job.longest_bottom_min(item),
                "on the bottom",
            ),
            (
                "longest-in-dress",
                dive.undressed_min - dive.dress_start_min,
                facts.job.longest_in_dress_min(item),
                "in dress",
            ),
        ):
            if most is not None and minutes > most:
                yield Finding(
                    rule,
                    f"{minutes} min {what} on {item.name}; {most} at most in {item.gear.value}{told}.",
                    known.where,
                )


@convicts_by(
    Rule(
        "least-useful",
        "Every dive on an item that may be split works at least the item's least useful minutes.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def least_useful(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        item = known.item
        least = min(item.least_useful_min, item.bottom_work_min)
        if item.splittable and known.work_min < least:
            yield Finding(
                "least-useful",
                f"It works {known.work_min} min on {item.name}; less than {least} min is of no use.",
                known.where,
            )


@convicts_by(
    Rule(
        "divers-at-a-time",
        "Every dive has exactly as many working divers as its item asks for.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def divers_at_a_time(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        working = {d.person for d in known.dive.divers if d.duty == DIVER}
        if len(working) != known.item.divers:
            yield Finding(
                "divers-at-a-time",
                f"{len(working)} working divers; {known.item.name} asks for {known.item.divers}.",
                known.where,
            )


@convicts_by(
    Rule("work-not-exceeded", "No item is given more minutes than it needs.", JOB_DATA, Basis.ARITHMETIC)
)
def work_not_exceeded(facts: Facts) -> Iterator[Finding]:
    tasks = Counter(item.name for _, item in facts.tasks)
    for task, surface in facts.tasks:
        length = task.end_min - task.start_min
        if tasks[surface.name] > 1 and length <= surface.duration_min:
            tasks[surface.name] = 0
            yield Finding("work-not-exceeded", f"{surface.name} is planned more than once.", surface.name)
        elif length > surface.duration_min:
            yield Finding(
                "work-not-exceeded",
                f"{surface.name} takes {surface.duration_min} min; this task runs {length}.",
                surface.name,
            )
    for item in facts.job.dive_items:
        done = facts.worked_min(item.name)
        if done > item.bottom_work_min:
            yield Finding(
                "work-not-exceeded",
                f"{done} min are planned for {item.name}, which needs {item.bottom_work_min}.",
                item.name,
            )


@convicts_by(
    Rule(
        "surface-crew",
        "A surface item has its whole crew, in every duty it asks for, from its start to its end.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def surface_crews(facts: Facts) -> Iterator[Finding]:
    for task, item in facts.tasks:
        needs: Counter[str] = Counter()
        for need in item.crew:
            needs[need.duty] += need.count
        for duty, count in needs.items():
            own = [s for s in facts.spells if s.dive is None and s.item == item.name and s.duty == duty]
            gap = first_gap(own, task.start_min, task.end_min, count)
            if gap is not None:
                yield Finding(
                    "surface-crew",
                    f"{gap[2]} in the duty {duty} {facts.stretch(gap[0], gap[1])}; {item.name} asks for "
                    f"{count}.",
                    item.name,
                )
