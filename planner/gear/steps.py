"""Inspection and dressing lists: built-in data, a crew's own, and how long they take.

The built-in steps are common practice of the trade; their minutes are from memory. A crew's own steps
(`CrewRules.bench_steps`) take the place of the built-in ones, list by list.

At a hold point the work stops until a named person has signed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any

from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job import BenchList, BenchStep, CrewRules, Gear, Job
from planner.job.base import JobMinute, Name, Part
from planner.job.duties import duty_qualifies
from planner.job.gear import TENDERS, dressing_minutes

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


def hold_points(steps: Iterable[BenchStep]) -> tuple[BenchStep, ...]:
    """Steps that a named person must sign."""
    return tuple(s for s in steps if s.hold_point)


def suggested_dressing_min(gear: Gear, rules: CrewRules | None = None, tenders: int | None = None) -> int:
    """Minutes of the dressing list: what `CrewRules` starts from before a crew has measured its own time."""
    steps = bench_steps(gear, BenchList.DRESSING, rules)
    return dressing_minutes(steps, TENDERS[gear] if tenders is None else tenders)


def suggested_undressing_min(gear: Gear, rules: CrewRules | None = None, tenders: int | None = None) -> int:
    """Minutes of the undressing list."""
    steps = bench_steps(gear, BenchList.UNDRESSING, rules)
    return dressing_minutes(steps, TENDERS[gear] if tenders is None else tenders)


class HoldPointSignature(Part):
    """Who signed a hold point, when, and for what."""

    step: Name
    person: Name
    at_min: JobMinute
    outfit: str = ""
    """The outfit that was inspected or put on."""
    dive: str = ""
    """The dive that it was put on for; blank for an inspection."""


def missing_signatures(
    steps: Iterable[BenchStep],
    signatures: Iterable[HoldPointSignature],
    *,
    outfit: str = "",
    dive: str = "",
) -> tuple[BenchStep, ...]:
    """Hold points of a list that nobody has signed for this outfit and this dive, in order."""
    signed = {s.step for s in signatures if s.outfit == outfit and s.dive == dive}
    return tuple(s for s in hold_points(steps) if s.id not in signed)


def signature_faults(
    job: Job,
    steps: Iterable[BenchStep],
    signatures: Iterable[HoldPointSignature],
    *,
    outfit: str = "",
    dive: str = "",
) -> list[Fault]:
    """Faults of the signatures of a list: hold points missing, signers unknown or of another duty."""
    listed = tuple(steps)
    given = tuple(s for s in signatures if s.outfit == outfit and s.dive == dive)
    of = ", ".join(
        part for part in (f"outfit {outfit}" if outfit else "", f"dive {dive}" if dive else "") if part
    )
    faults = [
        Fault(
            where=f"{of}: {step.id}" if of else step.id,
            found="no signature",
            allowed=f"the name of a {step.signed_by}",
            sentence=f"The hold point is not signed: {step.do}",
        )
        for step in missing_signatures(listed, given, outfit=outfit, dive=dive)
    ]
    known = {step.id: step for step in hold_points(listed)}
    people = {p.name: p for p in job.people}
    for signature in given:
        where = f"{of}: {signature.step}" if of else signature.step
        step = known.get(signature.step)
        person = people.get(signature.person)
        if step is None:
            faults.append(
                Fault(where, signature.step, ", ".join(known) or "none", "This list has no such hold point.")
            )
        elif person is None:
            faults.append(Fault(where, signature.person, "a name of the job", "Nobody of that name is here."))
        elif not duty_qualifies(person.duties, step.signed_by):
            faults.append(
                Fault(
                    where,
                    signature.person,
                    f"the name of a {step.signed_by}",
                    f"{person.name} may not hold the duty that signs here.",
                )
            )
    return faults


def refuse_unsigned(
    job: Job,
    steps: Iterable[BenchStep],
    signatures: Iterable[HoldPointSignature],
    *,
    outfit: str = "",
    dive: str = "",
) -> None:
    """Refuse a list whose hold points are not all signed by people who may sign them.

    Raises
    ------
    InputFaults
        With every fault.
    """
    faults = signature_faults(job, steps, signatures, outfit=outfit, dive=dive)
    if faults:
        raise InputFaults(faults)
