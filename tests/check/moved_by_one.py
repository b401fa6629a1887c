"""What the check finds when one figure of a sound day is moved by one, figure after figure.

`moved_by_one.txt` keeps it, a line a figure, to be read by a person whenever it changes: each limit on both
its sides, each sentence with its figures. ``python -m tests.make_pages`` remakes it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from planner.air import air_report
from planner.check import check
from planner.check.air import air_findings
from planner.errors import TableRefusal
from planner.job import CrewRules, Job
from planner.plan import Finding, Plan
from tests.check.later_rule_cases import LATER_CASES
from tests.check.rule_cases import CASES as EARLIER_CASES
from tests.check.rule_cases import called_together, inspected_at
from tests.world import lock, quay
from tests.world.chamber_day import through_the_chamber
from tests.world.changed import with_rules
from tests.world.longer_days import over_two_days
from tests.world.parts import at

CASES = {**EARLIER_CASES, **LATER_CASES}

KEPT = Path(__file__).with_suffix(".txt")

DAYS: Mapping[str, Callable[[], tuple[Plan, Job]]] = {
    "quay": lambda: (quay.a_plan(), quay.a_job()),
    "chamber": through_the_chamber,
    "two days": over_two_days,
    "briefed": lambda: called_together(one=True),
    "inspected": lambda: inspected_at(at(8)),
}

#: Limits that each day but the first is there for, by the beginnings of their names.
LIMITS_OF = {
    "quay": ("",),
    "chamber": ("chamber", "standby", "out_of", "way", "stage", "bailout", "bottom", "greatest"),
    "two days": ("rest", "work_between", "duty_span", "overtime", "least_surface", "dives"),
    "briefed": ("briefing", "watch", "meal", "hand_over", "duty_span", "work_between"),
    "inspected": ("inspection", "dressing", "undressing", "station", "cleaning"),
}

#: Parts that are moved: all of the first day, of the others what they are there for.
SECTIONS = (
    *("quay rules", "quay dives", "quay duties", "quay surface_tasks", "quay leftovers", "quay stages"),
    *(
        "quay parts",
        "quay people",
        "quay outfits",
        "quay air",
        "quay site",
        "quay stations",
        "quay dive_items",
    ),
    *("quay surface_items", "quay water_windows"),
    *(
        "chamber rules",
        "chamber dives",
        "two days rules",
        "two days duties",
        "briefed rules",
        "briefed duties",
    ),
    *("briefed taken_away", "two days taken_away", "inspected taken_away", "chamber taken_away"),
    *("inspected rules", "inspected surface_tasks", "by hand cases"),
    *("lock report", "lock air", "lock outfits", "lock site", "lock dive_items", "lock dives", "lock duties"),
)


def section(name: str) -> list[str]:
    """The lines of a section: ``quay dives``."""
    day, _, part = name.rpartition(" ")
    if day == "lock":
        return list(_air(part))
    if part == "cases":
        return [
            f"{rule}: {_words(check(job, plan))}"
            for rule, case in CASES.items()
            for plan, job in [case.breaks()]
        ]
    plan, job = DAYS[day]()
    assert check(job, plan) == ()
    if part in ("parts", "taken_away"):
        return list(_whole_parts(plan, job, alone=part == "taken_away"))
    if part == "rules":
        return list(_limits(plan, job, LIMITS_OF[day]))
    whole: BaseModel = plan if hasattr(plan, part) else job
    return [
        line for path, moved, told in _moved(whole, part) if (line := _line(plan, job, path, moved, told))
    ]


def _line(plan: Plan, job: Job, path: str, moved: BaseModel | None, told: str) -> str:
    if moved is None:
        return f"{path} {told}: cannot be"
    found = check(job, moved) if isinstance(moved, Plan) else check(_job(moved), plan)
    return f"{path} {told}: {_words(found)}" if found else ""


def _words(found: Sequence[Finding]) -> str:
    """The first finding by each rule, and how many there are by it."""
    by_rule: dict[str, list[Finding]] = {}
    for one in found:
        by_rule.setdefault(one.rule, []).append(one)
    return " / ".join(
        f"[{rule}{f' x {len(all_)}' if all_[1:] else ''}] {all_[0].where}: {all_[0].sentence}"
        for rule, all_ in by_rule.items()
    )


def _air(part: str) -> Iterator[str]:
    """Of the day at the lock what its air report says, and what of that changes with each figure moved."""
    first = lock.dive()
    deep = lock.dive("2", start=540, item=lock.DEEP_SILL, depth=100, bottom=45, schedule=lock.STOPS_100)
    plan, job = lock.plan(first, deep), lock.job()
    now = dict(_air_figures(plan, job))
    if part == "report":
        yield from (f"{name}: {value}" for name, value in now.items())
        return
    whole: BaseModel = plan if hasattr(plan, part) else job
    for path, moved, told in _moved(whole, part):
        if moved is None:
            yield f"{path} {told}: cannot be"
            continue
        others = (moved, job) if isinstance(moved, Plan) else (plan, _job(moved))
        try:
            then = dict(_air_figures(*others))
        except TableRefusal as refused:
            yield f"{path} {told}: {refused}"
            continue
        other = [f"{name} {then.get(name)}" for name in now | then if now.get(name) != then.get(name)]
        # the first few tell; of a dive's hour all of them would
        if other:
            yield f"{path} {told}: {len(other)} others, {'; '.join(other[:6])}"


def _air_figures(plan: Plan, job: Job) -> Iterator[tuple[str, str]]:
    report = asdict(air_report(plan, job))
    findings = {one.rule: f"{one.where}: {one.sentence}" for one in air_findings(job, plan)}
    yield from _named({"report": report, "findings": findings}, "")


def _named(value: Any, name: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _named(one, f"{name}.{key}".removeprefix("."))
    elif isinstance(value, tuple | list):
        for number, one in enumerate(value):
            yield from _named(one, f"{name}[{number}]")
    elif isinstance(value, BaseModel):
        yield name, getattr(value, "name", type(value).__name__)
    else:
        yield name, f"{value:.6g}" if isinstance(value, float) else str(value)


def _job(moved: BaseModel) -> Job:
    assert isinstance(moved, Job)
    return moved


def _limits(plan: Plan, job: Job, beginnings: tuple[str, ...]) -> Iterator[str]:
    """Of each limit that is a whole number the values between which the rules broken are the same."""

    def broken(name: str, value: int) -> str:
        try:
            changed = with_rules(job, **{name: value})
        except ValidationError:
            return "cannot be"
        return ", ".join(sorted({one.rule for one in check(changed, plan)})) or "–"

    for name, field in CrewRules.model_fields.items():
        if field.annotation is not int or not name.startswith(beginnings):
            continue
        least, most = (next(m for m in map(_bound(b), field.metadata) if m is not None) for b in ("ge", "le"))
        now = int(getattr(job.rules, name))
        seen = {value: broken(name, value) for value in sorted({least, least + 1, now, most})}
        yield f"{name}, now {now}: " + "; ".join(
            f"{first} to {last} {rules}" for first, last, rules in _runs(seen, lambda v, n=name: broken(n, v))
        )


def _bound(name: str) -> Callable[[object], int | None]:
    return lambda constraint: getattr(constraint, name, None)


def _runs(seen: dict[int, str], at: Callable[[int], str]) -> Iterator[tuple[int, int, str]]:
    """First and last of the values with one verdict, by halving where two neighbours differ."""
    ordered = sorted(seen)
    first = ordered[0]
    for low, high in pairwise(ordered):
        while seen[low] != seen[high]:
            one, other = low, high
            while other - one > 1:
                middle = (one + other) // 2
                seen.setdefault(middle, at(middle))
                one, other = (middle, other) if seen[middle] == seen[low] else (one, middle)
            yield first, one, seen[low]
            first = low = other
    yield first, ordered[-1], seen[ordered[-1]]


def _moved(whole: BaseModel, part: str) -> Iterator[tuple[str, BaseModel | None, str]]:
    """A day's half with one figure moved, where it stands, and how; None where no such half can be."""
    for path, value in _figures(getattr(whole, part), (part,)):
        for other in _others(value):
            told = f"{value} -> {other}"
            where = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)[1:]
            try:
                yield where, _with(whole, path, other), told
            except ValidationError:
                yield where, None, told


def _whole_parts(plan: Plan, job: Job, *, alone: bool) -> Iterator[str]:
    """Of each part of a plan what is found without it; unless that alone is asked for, also with it twice,
    backwards, and with another name in it."""
    for part in ("dives", "surface_tasks", "duties", "leftovers"):
        own = getattr(plan, part)
        for number, one in enumerate(own):
            others = {
                "taken away": own[:number] + own[number + 1 :],
                "twice": (*own, one),
                "backwards": _backwards(own, number),
                **{
                    f"{field} {value} -> {value}?": _with(own, (number, field), f"{value}?")
                    for field in type(one).model_fields
                    if type(value := getattr(one, field)) is str
                },
            }
            for told, changed in list(others.items())[: 1 if alone else None]:
                if line := _line(plan, job, f"{part}[{number}]", plan.replace(**{part: changed}), told):
                    yield line


def _backwards(own: tuple[Any, ...], number: int) -> tuple[Any, ...]:
    """A part that ends before it begins, where it has both."""
    one = own[number]
    if not hasattr(one, "end_min"):
        return own
    turned = one.replace(start_min=one.end_min, end_min=one.start_min)
    return (*own[:number], turned, *own[number + 1 :])


def _figures(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _figures(getattr(value, name), (*path, name))
    elif isinstance(value, tuple):
        for number, one in enumerate(value):
            yield from _figures(one, (*path, number))
    elif _others(value):
        yield path, value


def _others(value: Any) -> Sequence[Any]:
    """What a figure is moved to."""
    if isinstance(value, bool):
        return (not value,)
    if type(value) in (int, float):
        return (value - 1, value + 1)
    if type(value) is date:
        return (value - timedelta(days=1), value + timedelta(days=1))
    return ()


def _with(value: Any, path: tuple[str | int, ...], figure: Any) -> Any:
    """The same with one figure another; every part on the way is made anew, with its own bounds."""
    if not path:
        return figure
    step, *rest = path
    if isinstance(step, int):
        return tuple(_with(one, tuple(rest), figure) if n == step else one for n, one in enumerate(value))
    return value.replace(**{step: _with(getattr(value, step), tuple(rest), figure)})


def page() -> str:
    """All sections, as they are kept."""
    return "".join(f"## {name}\n" + "".join(f"{line}\n" for line in section(name)) for name in SECTIONS)


def kept(name: str) -> list[str]:
    """The lines of a section that are kept."""
    whole = KEPT.read_text(encoding="utf-8")
    return whole.partition(f"## {name}\n")[2].partition("\n## ")[0].splitlines()
