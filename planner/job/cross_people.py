"""Contradictions of the people: who they are, what they hold, what they did before the job."""

from __future__ import annotations

from collections.abc import Iterator

from planner.job.contradiction import (
    DUTIES_COME_FROM,
    Contradiction,
    Path,
    backward_span,
    clock_of,
    duplicate_names,
    known_duties,
    name_places,
    one_spelling,
    unclear_names,
    wall_clock,
)
from planner.job.duties import DRESSED_DUTIES
from planner.job.job import Job
from planner.job.names import fold, unknown_name
from planner.job.people import Person


def people_contradictions(job: Job) -> Iterator[Contradiction]:
    """All of them."""
    if not job.people:
        yield Contradiction(("people",), "", "one row or more", "The job has nobody to do it.")
    yield from duplicate_names(name_places(("people",), job.people), "people")
    yield from unclear_names(name_places(("people",), job.people))
    duties = known_duties(job)
    for i, person in enumerate(job.people):
        path: Path = ("people", i)
        yield from _duties(path, person, duties)
        yield from _papers(path, person, job)
        yield from _before_the_job(path, person, job)
        for j, span in enumerate(person.available):
            yield from backward_span(
                (*path, "available", j), span, wall_clock(job), f"A stretch on site of {person.name}"
            )
    yield from one_spelling(_certificates(job), "certificate")


def _duties(path: Path, person: Person, known: tuple[str, ...]) -> Iterator[Contradiction]:
    if not person.duties:
        yield Contradiction(
            (*path, "duties"), "", "one duty or more", f"{person.name} holds no duty, so cannot be posted."
        )
    for duty in sorted(person.duties):
        if duty not in known:
            allowed, sentence = unknown_name("duty", duty, known)
            also = f"{allowed}, or a duty of a surface item's crew"
            yield Contradiction((*path, "duties"), duty, also, sentence, DUTIES_COME_FROM)
    wet = sorted(person.duties & DRESSED_DUTIES)
    if wet and person.depth_rating_fsw == 0:
        yield Contradiction(
            (*path, "depth_rating_fsw"),
            "0",
            "the deepest dive this person may make",
            f"{person.name} may be {wet[0]}, but has no depth rating.",
            ((*path, "duties"),),
        )


def _papers(path: Path, person: Person, job: Job) -> Iterator[Contradiction]:
    first_day = job.site.first_day
    day: Path = ("site", "first_day")
    allowed = f"{first_day.isoformat()} or later, or no row while it is not renewed"
    if person.medical_expires and person.medical_expires < first_day:
        yield Contradiction(
            (*path, "medical_expires"),
            person.medical_expires.isoformat(),
            f"{first_day.isoformat()} or later; blank for one who does not dive",
            f"The medical of {person.name} expired before the job's first day.",
            (day,),
        )
    seen: dict[str, Path] = {}
    for j, certificate in enumerate(person.certificates):
        here = (*path, "certificates", j)
        if certificate.expires and certificate.expires < first_day:
            yield Contradiction(
                (*here, "expires"),
                certificate.expires.isoformat(),
                allowed,
                f"The certificate {certificate.name} of {person.name} expired before the job's first day.",
                (day,),
            )
        before = seen.setdefault(fold(certificate.name), here)
        if before != here:
            yield Contradiction(
                (*here, "name"),
                certificate.name,
                "each certificate of a person once",
                f"The certificate {certificate.name} of {person.name} stands there twice.",
                ((*before, "name"),),
            )


def _before_the_job(path: Path, person: Person, job: Job) -> Iterator[Contradiction]:
    clock = clock_of(job)
    if clock is None:
        return
    opening = job.day_windows[0].start_min
    starts = (("site", "first_day"), ("site", "day_start"), ("site", "time_zone"))
    allowed = f"{clock.hhmm(opening, with_day=True)} or earlier"
    end = person.last_duty_end_min
    if end is not None and end > opening:
        yield Contradiction(
            (*path, "last_duty_end_min"),
            clock.hhmm(end, with_day=True),
            allowed,
            f"The last duty of {person.name} before the job ends after the job's day has started.",
            starts,
        )
    there = min((span.start_min for span in person.available), default=opening)
    if person.arrived_min is not None and person.arrived_min > there:
        yield Contradiction(
            (*path, "arrived_min"),
            clock.hhmm(person.arrived_min, with_day=True),
            f"{clock.hhmm(there, with_day=True)} or earlier, or hours on site that begin later",
            f"{person.name} arrives at altitude after the hours on site begin.",
            starts,
        )
    for j, spell in enumerate(person.past_work):
        here = (*path, "past_work", j)
        yield from backward_span(here, spell, clock, f"A stretch of work of {person.name}")
        if spell.end_min > opening:
            yield Contradiction(
                (*here, "end_min"),
                clock.hhmm(spell.end_min, with_day=True),
                allowed,
                f"Hours worked by {person.name} end after the job's day has started; "
                "they must lie before it.",
                starts,
            )
    dives = sorted(enumerate(person.past_dives), key=lambda pair: pair[1].surfaced_min)
    surfaced_before: int | None = None
    for j, dive in dives:
        here = (*path, "past_dives", j)
        if dive.surfaced_min > opening:
            yield Contradiction(
                (*here, "surfaced_min"),
                clock.hhmm(dive.surfaced_min, with_day=True),
                allowed,
                f"A past dive of {person.name} ends after the job's day has started; it must lie before it.",
                starts,
            )
        if surfaced_before is not None and dive.surfaced_min - dive.bottom_time_min < surfaced_before:
            yield Contradiction(
                (*here, "surfaced_min"),
                clock.hhmm(dive.surfaced_min, with_day=True),
                "dives one after the other",
                f"Two past dives of {person.name} overlap.",
                ((*here, "bottom_time_min"),),
            )
        surfaced_before = dive.surfaced_min


def _certificates(job: Job) -> Iterator[tuple[Path, str]]:
    """Every certificate that a person holds, or an item or a duty asks for."""
    for i, person in enumerate(job.people):
        yield from name_places(("people", i, "certificates"), person.certificates)
    for i, item in enumerate(job.dive_items):
        yield from ((("dive_items", i, "certificates"), name) for name in sorted(item.certificates))
    for i, row in enumerate(job.rules.duty_certificates):
        yield ("rules", "duty_certificates", i, "certificate"), row.certificate
