"""Falsified plans: one number or one name of a checked plan's file changed, anywhere in it.

Each is refused in words, convicted, or stands in `HARMLESS` with the reason why it may pass. Nothing of a
life and nothing of the record passes: times, depths, groups, rows, stops, people, outfits, stations, minutes
done and left, values, proofs.
"""

from __future__ import annotations

import json
import random
import re
from collections import Counter
from collections.abc import Callable, Iterator
from copy import deepcopy
from datetime import datetime, timedelta
from functools import cache, partial
from typing import Any

import pytest

from planner.check import check
from planner.check.stages import stage_kinds, stage_value
from planner.errors import InputFaults
from planner.job import Job, OutfitState
from planner.job.duties import DRESSED_DUTIES, STANDBY, TENDER, duty_qualifies
from planner.plan import Plan, Stage, Status, from_json, to_json
from tests.world.chamber_day import through_the_chamber
from tests.world.longer_days import over_two_days
from tests.world.pier import pier_job, pier_plan
from tests.world.quay import a_job, a_plan
from tests.world.sample_plans import SAMPLES, planned

Path = tuple[str | int, ...]
#: Changes tried of each kind of place, on each day: in the plain run, and in the long one.
QUICK, LONG = 1, 24


def proud(job: Job, plan: Plan) -> tuple[Job, Plan]:
    """The plan with every stage told and called proven best: the most that can be claimed of it."""
    stages = []
    for kind in stage_kinds(job):
        value = stage_value(job, plan, kind)
        assert value is not None
        stages.append(
            Stage(
                name=kind.name,
                unit=kind.unit,
                value=value,
                bound=value,
                maximise=kind.maximise,
                proven=True,
            )
        )
    return job, plan.replace(stages=tuple(stages), status=Status.PROVEN_BEST)


def _swapped(pair: tuple[Plan, Job]) -> tuple[Job, Plan]:
    return pair[1], pair[0]


DAYS: dict[str, Callable[[], tuple[Job, Plan]]] = {
    **{name: partial(planned, name) for name in SAMPLES},
    "quay": lambda: (a_job(), a_plan()),
    "quay, through the chamber": lambda: _swapped(through_the_chamber()),
    "quay, two days": lambda: _swapped(over_two_days()),
    "pier": lambda: (pier_job(), pier_plan(pier_job())),
}


@cache
def day(name: str) -> tuple[Job, Plan, str]:
    """A day's job, its plan, and the file of that plan."""
    job, plan = proud(*DAYS[name]())
    assert check(job, plan) == ()
    return job, plan, to_json(plan, job)


def leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every value of a file that holds no others, with its place."""
    if isinstance(value, dict | list) and value:
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(inner, (*path, key))
    else:
        yield path, value


def lists(value: Any, path: Path = ()) -> Iterator[tuple[Path, list[Any]]]:
    """Every list of a file that holds anything, with its place."""
    if isinstance(value, list) and value:
        yield path, value
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from lists(inner, (*path, key))


def kind_of(path: Path) -> str:
    """The place without its numbers: ``dives.divers.group_before``."""
    return ".".join(str(step) for step in path if isinstance(step, str))


def moved(text: str, minutes: int) -> str:
    return (datetime.fromisoformat(text) + timedelta(minutes=minutes)).isoformat()


def lies(content: Any) -> Iterator[tuple[Path, Any, Any]]:
    """Place, what stands there, and what is put there in its stead."""
    others: dict[str, dict[Any, None]] = {}
    every = list(leaves(content))
    for path, value in every:
        if isinstance(value, str | int | float):
            others.setdefault(kind_of(path), {})[value] = None
    for path, value in every:
        if isinstance(value, bool):
            yield path, value, not value
        elif isinstance(value, int | float):
            for step in (-10, -1, 1, 10):
                yield path, value, value + step
        elif isinstance(value, str) and re.match(r"\d{4}-\d\d-\d\dT", value):
            for step in (-60, -1, 1, 60):
                yield path, value, moved(value, step)
        elif value is None:
            for other in [*others.get(kind_of(path), {})][:3] or [1, "A"]:
                yield path, value, other
        elif isinstance(value, str):
            yield path, value, "Nobody and nothing"
            for other in [o for o in others[kind_of(path)] if o != value][:4]:
                yield path, value, other
            if path == ("status",):
                yield from ((path, value, status.value) for status in Status if status.value != value)
        if value is not None:
            yield path, value, None
    for path, value in lists(content):
        yield path, value, value[:-1]
        yield path, value, value[1:]
        yield path, value, [*value, value[-1]]
        if len(value) > 1:
            yield path, value, value[::-1]


def put(content: Any, path: Path, value: Any) -> Any:
    """The content with another value at a place."""
    changed = deepcopy(content)
    spot = changed
    for step in path[:-1]:
        spot = spot[step]
    spot[path[-1]] = value
    return changed


def one_of(content: Any, path: Path) -> Any:
    """The entry of the outermost list in which a place stands."""
    return content[path[0]][path[1]]


def _same_in_another_order(job: Job, content: Any, path: Path, old: Any, new: Any) -> bool:
    return isinstance(new, list) and sorted(map(json.dumps, old)) == sorted(map(json.dumps, new))


def _always(job: Job, content: Any, path: Path, old: Any, new: Any) -> bool:
    return True


def _claims_nothing(job: Job, content: Any, path: Path, old: Any, new: Any) -> bool:
    """An older version is read without its stages, so nothing of it is called proven."""
    plan = from_json(json.dumps(put(content, path, new)), job)
    return plan.stages == () and plan.status is not Status.PROVEN_BEST


def _claims_less(job: Job, content: Any, path: Path, old: Any, new: Any) -> bool:
    return old == Status.PROVEN_BEST.value


def _longer(job: Job, content: Any, path: Path, old: Any, new: Any) -> bool:
    """The duty begins no later, or ends no sooner, than before."""
    before, after = datetime.fromisoformat(old), datetime.fromisoformat(new)
    return after <= before if path[-1] == "start" else after >= before


def _another_who_may(job: Job, content: Any, path: Path, old: Any, new: Any) -> bool:
    """He may hold the duty, is not in dress then, and holds no other but one of an allowed pair."""
    spell = one_of(content, path)
    start, end = (datetime.fromisoformat(spell[key]) for key in ("start", "end"))
    meeting = [
        other
        for other in content["duties"]
        if other["person"] == new
        and datetime.fromisoformat(other["start"]) < end
        and start < datetime.fromisoformat(other["end"])
    ]
    return duty_qualifies(job.person(new).duties, spell["duty"]) and all(
        other["station"] == spell["station"]
        and other["duty"] not in DRESSED_DUTIES
        and job.rules.may_combine(other["duty"], spell["duty"])
        for other in meeting
    )


def _standby_in_another_that_is_ready(job: Job, content: Any, path: Path, old: Any, new: Any) -> bool:
    """A standby diver goes in another outfit of the same kind that is ready and that nobody wears then."""
    spell, worn = one_of(content, path), job.outfit(new)
    start, end = (datetime.fromisoformat(spell[key]) for key in ("start", "end"))
    in_use = [
        other
        for other in content["duties"]
        if other["outfit"] == new
        and datetime.fromisoformat(other["start"]) < end
        and start < datetime.fromisoformat(other["end"])
    ]
    return (
        spell["duty"] == STANDBY
        and worn.kind is job.outfit(old).kind
        and worn.state is OutfitState.READY
        and not in_use
    )


Harmless = Callable[[Job, Any, Path, Any, Any], bool]
#: Places (a pattern), what must hold of a change there, and why it may then pass the check.
HARMLESS: tuple[tuple[str, Harmless, str], ...] = (
    (
        r"cautions?",
        _always,
        "not read: whoever reads the plan works the cautions out anew and prints his own",
    ),
    (r"run\..*", _always, "about the search that made the plan; no number of the plan rests on it"),
    (r"version", _claims_nothing, "a plan of the first version is read without what it says of itself"),
    (r"status", _claims_less, "a plan that is proven best is also one that is only checked: less is claimed"),
    (r"leftovers\.reasons.*", _always, "words of the search; the minutes done and left are held"),
    (r"dives\.divers\.schedule\.notes", _always, "words beside the row; every number of the row is held"),
    (r"\w+(\.\w+)*", _same_in_another_order, "the same entries in another order: a list claims no order"),
    (r"duties\.(start|end)", _longer, "the duty held longer within all hours and values: a plan that holds"),
    (r"duties\.person", _another_who_may, "another who may and is free, at equal values: a plan that holds"),
    (
        r"duties\.outfit",
        _standby_in_another_that_is_ready,
        "the standby diver in another outfit that is ready and free: a plan that holds",
    ),
)


def why_harmless(job: Job, content: Any, path: Path, old: Any, new: Any) -> str | None:
    """The reason why a change may pass; None where it may not."""
    kind = kind_of(path)
    return next(
        (
            reason
            for pattern, holds, reason in HARMLESS
            if re.fullmatch(pattern, kind) and holds(job, content, path, old, new)
        ),
        None,
    )


def tried(name: str, of_each_kind: int, seed: int) -> tuple[Counter[str], list[str]]:
    """How many changes of a day's plan were refused, convicted or harmless, and those that went through."""
    job, plan, text = day(name)
    content = json.loads(text)
    by_kind: dict[str, list[tuple[Path, Any, Any]]] = {}
    for lie in lies(content):
        by_kind.setdefault(kind_of(lie[0]), []).append(lie)
    draw = random.Random(f"{name} {seed}")
    counted: Counter[str] = Counter()
    through = []
    for own in by_kind.values():
        for path, old, new in draw.sample(own, min(of_each_kind, len(own))):
            try:
                read = from_json(json.dumps(put(content, path, new)), job)
            except InputFaults:
                counted["refused in words"] += 1
                continue
            if read != plan and check(job, read):
                counted["convicted"] += 1
            elif why_harmless(job, content, path, old, new) is not None:
                counted["harmless"] += 1
            else:
                through.append(f"{path}: {old!r} -> {new!r}")
    return counted, through


@pytest.mark.parametrize("name", sorted(DAYS))
def test_no_falsified_plan_passes(name: str) -> None:
    """One change at each kind of place in the file: refused, convicted, or harmless for a reason."""
    counted, through = tried(name, QUICK, seed=1)
    print(f"{name}: {counted.total()} changes: {dict(counted)}")
    assert through == []
    assert counted["convicted"] > counted["harmless"]


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(DAYS))
def test_no_falsified_plan_passes_in_many(name: str) -> None:
    """Two dozen changes at each kind of place."""
    counted, through = tried(name, LONG, seed=2)
    print(f"{name}: {counted.total()} changes: {dict(counted)}")
    assert through == []


#: What the check once let pass, each changed in the file of the day "quay".
ONCE_PASSED: dict[str, tuple[Callable[[Any], Any], str]] = {
    "a tender in an outfit": (
        lambda c: next(d for d in c["duties"] if d["duty"] == TENDER).update(outfit="L1"),
        "duties-match-dives",
    ),
    "work on deck at a diving station": (
        lambda c: next(d for d in c["duties"] if d["dive"] is None).update(station="South side"),
        "duties-match-dives",
    ),
    "a diver listed twice": (
        lambda c: c["dives"][0]["divers"].append(c["dives"][0]["divers"][0]),
        "duties-match-dives",
    ),
    "an item left over twice": (lambda c: c["leftovers"].append(c["leftovers"][0]), "leftovers-told"),
    "a surface interval left out": (
        lambda c: c["dives"][1]["divers"][0].update(surface_interval_min=None),
        "residual-nitrogen",
    ),
    "no stages": (lambda c: c.update(stages=[]), "objective-stages"),
    "overtime": (lambda c: c["stages"][2].update(value=1, bound=1), "objective-values"),
    "time on the way up": (lambda c: c["stages"][3].update(value=7, bound=7), "objective-values"),
    "nitrogen": (lambda c: c["stages"][4].update(value=28, bound=28), "objective-values"),
    "fair shares": (lambda c: c["stages"][5].update(value=3, bound=3), "objective-values"),
}


@pytest.mark.parametrize("what", sorted(ONCE_PASSED))
def test_what_once_passed_is_convicted(what: str) -> None:
    """Changes that earlier checks let through, each convicted by its rule alone."""
    job, _, text = day("quay")
    content = json.loads(text)
    change, rule = ONCE_PASSED[what]
    change(content)
    assert {f.rule for f in check(job, from_json(json.dumps(content), job))} == {rule}
