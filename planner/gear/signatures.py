"""Hold points: the work stops until a named person has signed."""

from __future__ import annotations

from collections.abc import Iterable

from planner.errors import Fault, InputFaults
from planner.gear.steps import hold_points
from planner.job import BenchStep, Job
from planner.job.base import JobMinute, Name, Part
from planner.job.duties import duty_qualifies


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
