"""One contradiction inside a job, placed by paths into the job, and the checks that several areas share."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol
from zoneinfo import available_timezones

from planner.job.base import Clock, Span
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.job import Job
from planner.job.names import fold, unclear, unknown_name

#: Field names and indices from the job downwards, for example ``("people", 3, "medical_expires")``.
Path = tuple[str | int, ...]


@dataclass(frozen=True)
class Says:
    """How figures are said in a contradiction: each takes the inside value and gives it with its unit."""

    depth: Callable[[float], str]
    pressure: Callable[[float], str]


class HasName(Protocol):
    """Anything of a job that carries a name."""

    @property
    def name(self) -> str: ...


#: Figures as they are inside: fsw and psi gauge.
IN_FEET = Says(lambda depth_fsw: f"{depth_fsw:g} fsw", lambda pressure_psi: f"{pressure_psi:g} psi")


@dataclass(frozen=True)
class Contradiction:
    """One contradiction."""

    path: Path
    """Where it is best put right."""
    found: str
    allowed: str
    sentence: str
    """As in `planner.errors.Fault`."""
    also: tuple[Path, ...] = ()
    """Other places that it rests on."""

    @property
    def paths(self) -> tuple[Path, ...]:
        """Every place that it rests on."""
        return (self.path, *self.also)


def name_places(path: Path, things: Iterable[HasName]) -> list[tuple[Path, str]]:
    """The names of a list of the job's things, each with its path."""
    return [((*path, i, "name"), thing.name) for i, thing in enumerate(things)]


def one_spelling(
    names: Iterable[tuple[Path, str]], what: str, known: Iterable[str] = ()
) -> Iterator[Contradiction]:
    """A name that is spelled in two ways would match nowhere."""
    spelled = {fold(name): name for name in known}
    for path, name in names:
        first = spelled.setdefault(fold(name), name)
        if first != name:
            sentence = f"The {what} {first} is spelled in another way here, so it would not match."
            yield Contradiction(path, name, first, sentence)


def duplicate_names(names: Iterable[tuple[Path, str]], what: str) -> Iterator[Contradiction]:
    """Names that stand twice, whatever their case, blanks and accents' encoding."""
    first: dict[str, tuple[Path, str]] = {}
    for path, name in names:
        before = first.setdefault(fold(name), (path, name))
        if before[0] != path:
            yield Contradiction(
                path,
                name,
                "a name of its own",
                f"Two {what} are called {before[1]}; every one needs a name of its own.",
                (before[0],),
            )


def unclear_names(names: Iterable[tuple[Path, str]]) -> Iterator[Contradiction]:
    """Names that are not what they look like: another person's to the eye, somebody else to the program."""
    for path, name in names:
        if found := unclear(name):
            seen = "one alphabet, and nothing that cannot be seen"
            yield Contradiction(path, name, seen, f"The name {name} holds {found}: type it anew.")


def unknown_reference(path: Path, typed: str, known: Iterable[str], what: str) -> Iterator[Contradiction]:
    """A name that must be one of the known ones, letter for letter."""
    names = list(known)
    if typed not in names:
        allowed, sentence = unknown_name(what, typed, names)
        yield Contradiction(path, typed, allowed, sentence)


def backward_span(path: Path, span: Span, clock: Clock, what: str) -> Iterator[Contradiction]:
    """A stretch of time that ends before it starts, or at once."""
    if span.end_min > span.start_min:
        return
    found = f"{clock.hhmm(span.start_min, with_day=True)} to {clock.hhmm(span.end_min, with_day=True)}"
    yield Contradiction(
        (*path, "end_min"),
        found,
        "an end after the start; past midnight, give the day it ends",
        f"{what} ends before it starts.",
        ((*path, "start_min"),),
    )


@lru_cache(maxsize=1)
def known_time_zones() -> frozenset[str]:
    """Names of the IANA time zone database on this machine (the ``tzdata`` package holds a copy)."""
    return frozenset(available_timezones())


#: What the list of known duties rests on.
DUTIES_COME_FROM: tuple[Path, ...] = (("surface_items",), ("people",))


def clock_of(job: Job) -> Clock | None:
    """The job's clock; None while its time zone is unknown."""
    return job.clock if job.site.time_zone in known_time_zones() else None


def wall_clock(job: Job) -> Clock:
    """A clock to show times by: the job's, or one without a zone while that is unknown."""
    return clock_of(job) or Clock(job.site.first_day, "UTC")


def known_duties(job: Job) -> tuple[str, ...]:
    """Duties that may be named: the built-in ones, those of crews, those that crew rows ask for."""
    own: dict[str, None] = dict.fromkeys(BUILT_IN_DUTIES)
    for item in job.surface_items:
        own.update(dict.fromkeys(need.duty for need in item.crew))
    held = {duty for person in job.people for duty in person.duties}
    own.update(dict.fromkeys(row.duty for row in job.rules.minima if row.duty in held))
    return tuple(own)
