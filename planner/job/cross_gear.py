"""Contradictions of the outfits and the air plant."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from planner.job.finding import IN_FEET, Finding, Path, Says, duplicate_names
from planner.job.gear import Outfit
from planner.job.job import Job
from planner.job.names import fold
from planner.job.words import Gear


def gear_findings(job: Job, says: Says = IN_FEET) -> Iterator[Finding]:
    """All of them."""
    yield from duplicate_names(
        ((("outfits", i, "name"), o.name) for i, o in enumerate(job.outfits)), "outfits"
    )
    stamped: dict[tuple[Gear, str], tuple[Path, str]] = {}
    for i, outfit in enumerate(job.outfits):
        path: Path = ("outfits", i)
        yield from _numbers(path, outfit)
        yield from _dates(path, outfit)
        number = (outfit.kind, fold(outfit.helmet_no))
        if number[1]:
            first, name = stamped.setdefault(number, (path, outfit.name))
            if first != path:
                yield Finding(
                    (*path, "helmet_no"),
                    outfit.helmet_no,
                    "each helmet once",
                    f"The {outfit.kind} helmet {outfit.helmet_no} stands in two outfits: "
                    f"{name} and {outfit.name}.",
                    ((*first, "helmet_no"), (*path, "kind"), (*first, "kind")),
                )
    yield from _air(job, says)


def _numbers(path: Path, outfit: Outfit) -> Iterator[Finding]:
    if not outfit.helmet_no.strip():
        yield Finding(
            (*path, "helmet_no"), "", "the number stamped on it", f"{outfit.name} lacks its helmet's number."
        )
    elif not outfit.numbers_agree:
        parts = {
            "helmet_no": ("helmet", outfit.helmet_no),
            "breastplate_no": ("breastplate", outfit.breastplate_no),
            "straps_no": ("straps", outfit.straps_no),
        }
        told = ", ".join(f"{part} {number or '(none)'}" for part, number in parts.values())
        odd = next(field for field, (_, number) in parts.items() if number != outfit.helmet_no)
        yield Finding(
            (*path, odd),
            told,
            "one number on helmet, breastplate and straps",
            f"The numbers of {outfit.name} disagree ({told}); parts of two outfits never mix.",
            tuple((*path, field) for field in (*parts, "kind")),
        )


def _dates(path: Path, outfit: Outfit) -> Iterator[Finding]:
    done, due = outfit.inspected_on, outfit.inspection_due
    if done and due and due < done:
        yield Finding(
            (*path, "inspection_due"),
            due.isoformat(),
            f"{done.isoformat()} or later",
            f"The next inspection of {outfit.name} is due before the last one was made.",
            ((*path, "inspected_on"),),
        )


def _air(job: Job, says: Says) -> Iterator[Finding]:
    named = chain(
        ((("air", "compressors", i, "name"), s.name) for i, s in enumerate(job.air.compressors)),
        ((("air", "banks", i, "name"), s.name) for i, s in enumerate(job.air.banks)),
        ((("air", "tanks", i, "name"), s.name) for i, s in enumerate(job.air.tanks)),
    )
    yield from duplicate_names(named, "sources of air")
    for i, bank in enumerate(job.air.banks):
        path: Path = ("air", "banks", i)
        if bank.pressure_psi > bank.working_pressure_psi:
            yield Finding(
                (*path, "pressure_psi"),
                says.pressure(bank.pressure_psi),
                f"the working pressure, {says.pressure(bank.working_pressure_psi)}, or less",
                f"{bank.name} is charged above its working pressure.",
                ((*path, "working_pressure_psi"),),
            )
    for i, tank in enumerate(job.air.tanks):
        path = ("air", "tanks", i)
        if tank.working_pressure_psi is not None and tank.pressure_psi > tank.working_pressure_psi:
            yield Finding(
                (*path, "pressure_psi"),
                says.pressure(tank.pressure_psi),
                f"the working pressure, {says.pressure(tank.working_pressure_psi)}, or less",
                f"{tank.name} is kept above its working pressure.",
                ((*path, "working_pressure_psi"),),
            )
