"""One contradiction inside a job, placed by paths into the job, and the checks that several areas share."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from planner.job.base import Span
from planner.job.clock import Clock
from planner.job.names import fold, unknown_name

#: Field names and indices from the job downwards, for example ``("people", 3, "medical_expires")``.
Path = tuple[str | int, ...]


@dataclass(frozen=True)
class Says:
    """How figures are said in a finding: each takes the inside value and gives it with its unit."""

    depth: Callable[[float], str]
    pressure: Callable[[float], str]


#: Figures as they are inside: fsw and psi gauge.
IN_FEET = Says(lambda depth_fsw: f"{depth_fsw:g} fsw", lambda pressure_psi: f"{pressure_psi:g} psi")


@dataclass(frozen=True)
class Finding:
    """One contradiction.

    Parameters
    ----------
    path
        Where it is best put right.
    found, allowed, sentence
        As in `planner.errors.Fault`.
    also
        Other places that it rests on.
    """

    path: Path
    found: str
    allowed: str
    sentence: str
    also: tuple[Path, ...] = ()

    @property
    def paths(self) -> tuple[Path, ...]:
        """Every place that it rests on."""
        return (self.path, *self.also)


def duplicate_names(names: Iterable[tuple[Path, str]], what: str) -> Iterator[Finding]:
    """Names that stand twice, whatever their case, blanks and accents' encoding."""
    first: dict[str, tuple[Path, str]] = {}
    for path, name in names:
        before = first.setdefault(fold(name), (path, name))
        if before[0] != path:
            yield Finding(
                path,
                name,
                "a name of its own",
                f"Two {what} are called {before[1]}; every one needs a name of its own.",
                (before[0],),
            )


def unknown_reference(path: Path, typed: str, known: Iterable[str], what: str) -> Iterator[Finding]:
    """A name that must be one of the known ones, letter for letter."""
    names = list(known)
    if typed not in names:
        allowed, sentence = unknown_name(what, typed, names)
        yield Finding(path, typed, allowed, sentence)


def backward_span(path: Path, span: Span, clock: Clock, what: str) -> Iterator[Finding]:
    """A stretch of time that ends before it starts, or at once."""
    if span.end_min > span.start_min:
        return
    found = f"{clock.hhmm(span.start_min, with_day=True)} to {clock.hhmm(span.end_min, with_day=True)}"
    yield Finding(
        (*path, "end_min"),
        found,
        "an end after the start; past midnight, give the day it ends",
        f"{what} ends before it starts.",
        ((*path, "start_min"),),
    )
