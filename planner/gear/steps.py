"""Inspection and dressing lists: built-in data and a crew's own.

The built-in steps are common practice of the trade; their minutes are from memory. A crew's own steps
(`CrewRules.bench_steps`) take the place of the built-in ones, list by list.

At a hold point the work stops until a person of the duty named there has signed on the card.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any

from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job import BenchList, BenchStep, CrewRules, Gear

#: File of each gear kind in this package's ``data`` folder.
_FILES = {Gear.HEAVY: "heavy_dress.toml", Gear.LIGHT: "light_helmet.toml"}


def read_steps(text: str, gear: Gear, where: str = "list") -> tuple[BenchStep, ...]:
    """Read lists written as TOML: one ``[[inspection]]``, ``[[connecting]]``, ... table a step, in order.

    Raises
    ------
    InputFaults
        With every fault found: not TOML, an unknown list, a field missing or not allowed, an id twice.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputFaults(
            [Fault(where, "", "a TOML text", f"It cannot be read as TOML: {error}.")]
        ) from error
    steps: list[BenchStep] = []
    faults: list[Fault] = []
    for name, rows in data.items():
        if name not in list(BenchList) or not isinstance(rows, list):
            allowed = ", ".join(f"[[{n}]]" for n in BenchList)
            faults.append(Fault(where, name, allowed, f"There is no list called {name}."))
            continue
        for number, row in enumerate(rows, start=1):
            found = _read_step(row, gear, BenchList(name), number, where)
            (steps if isinstance(found, BenchStep) else faults).append(found)  # type: ignore[arg-type]
    faults += step_faults(steps, where)
    if faults:
        raise InputFaults(faults)
    return tuple(steps)


def _read_step(row: Any, gear: Gear, name: BenchList, number: int, where: str) -> BenchStep | Fault:
    place = f"{where}, {name} step {number}"
    if not isinstance(row, dict):
        return Fault(place, str(row), "a table of fields", "A step is a table of fields.")
    try:
        return BenchStep.model_validate({**row, "gear": gear, "list": name, "order": number})
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        field = ".".join(str(part) for part in first["loc"])
        return Fault(f"{place}: {field}", str(first["input"]), first["msg"], "This field cannot be used.")


def step_faults(steps: Iterable[BenchStep], where: str = "bench steps") -> list[Fault]:
    """Faults between steps: an id that is used twice in one list of one gear kind."""
    seen: set[tuple[Gear, BenchList, str]] = set()
    faults = []
    for step in steps:
        key = (step.gear, step.list, step.id)
        if key in seen:
            place = f"{where}, {step.list} of {step.gear}"
            faults.append(Fault(place, step.id, "one step an id", f"Two steps are called {step.id}."))
        seen.add(key)
    return faults


@cache
def built_in_steps(gear: Gear) -> tuple[BenchStep, ...]:
    """Every built-in step of a gear kind, list by list."""
    text = resources.files("planner.gear").joinpath("data", _FILES[gear]).read_text(encoding="utf-8")
    return read_steps(text, gear, _FILES[gear])


def bench_steps(gear: Gear, name: BenchList, rules: CrewRules | None = None) -> tuple[BenchStep, ...]:
    """Steps of one list in order: the crew's own where it has any for this list, else the built-in ones."""
    own = [s for s in (rules.bench_steps if rules else ()) if s.gear is gear and s.list is name]
    steps = own or [s for s in built_in_steps(gear) if s.list is name]
    return tuple(sorted(steps, key=lambda s: s.order))
