"""The cases of a sweep: ranges read, cases counted, a job made for each."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job import Job
from planner.job.cross_checks import cross_faults
from planner.job.names import did_you_mean, fold
from planner.whatif.axes import EACH, Axis, axes_of

#: More cases than this are refused: nobody reads them, and they run for hours.
MOST_CASES = 1000

_RANGE = re.compile(r"^\s*(-?\d+(?:\.\d+)?)\s*\.\.\s*(-?\d+(?:\.\d+)?)\s*(?:/\s*(\d+(?:\.\d+)?)\s*)?$")
_FORM = "KEY=2..6, KEY=2..6/2 or KEY=2,4,6"


@dataclass(frozen=True)
class Variation:
    """One axis with the values it takes, in the order given."""

    axis: Axis
    values: tuple[str, ...]


@dataclass(frozen=True)
class Case:
    number: int
    """From 1, in the order of the sweep."""
    settings: tuple[tuple[str, str], ...]
    """Each varied thing with its value."""
    job: Job
    """The job with the values put in."""
    as_given: bool = False
    """Whether it is the job as it was given."""
    faults: tuple[Fault, ...] = ()
    """Why this job cannot be planned; empty when it can."""

    @property
    def title(self) -> str:
        """``tenders 3, divers 5``."""
        return ", ".join(f"{label} {value}" for label, value in self.settings) or "as given"

    @property
    def varied(self) -> str:
        """The same for a list of cases, where the job as it was given says so."""
        return self.title + (" (as given)" if self.as_given else "")


def parse_variations(job: Job, texts: Sequence[str], beside: Sequence[Job] = ()) -> tuple[Variation, ...]:
    """Read ``tenders=2..6`` and the like; ``beside``: further jobs that they are put into.

    Raises
    ------
    InputFaults
        Every text that cannot be read: an unknown thing, an empty range, a value out of range.
    """
    axes = axes_of(job, *beside)
    found: list[Variation] = []
    faults: list[Fault] = []
    for text in texts:
        try:
            one = _variation(axes, text)
        except InputFaults as wrong:
            faults += wrong.faults
            continue
        if any(v.axis.key == one.axis.key for v in found):
            faults.append(
                Fault(f"--vary {text}", text, "each thing once", f"{one.axis.key} is varied twice.")
            )
        found.append(one)
    if not texts:
        faults.append(Fault("--vary", "", _FORM, "Nothing is varied, so there is nothing to compare."))
    if faults:
        raise InputFaults(faults)
    return tuple(found)


def _variation(axes: Sequence[Axis], text: str) -> Variation:
    where = f"--vary {text}"
    key, equals, values = text.partition("=")
    if not equals:
        raise InputFaults.one(where, text, _FORM, "There is no = between the thing and its values.")
    by_key = {_key(axis.key): axis for axis in axes}
    typed = _key(key)
    axis = by_key.get(typed) or by_key.get(f"{typed}s")
    if axis is None:
        keys, asked = [a.key for a in axes], key.strip()
        sentence = f"{asked or 'That'} cannot be varied.{did_you_mean(key, keys)}"
        raise InputFaults.one(where, asked, ", ".join(keys), sentence)
    return Variation(axis, _values(axis, values, where))


def _key(text: str) -> str:
    return fold(text.replace("-", " ").replace("_", " "))


def _values(axis: Axis, text: str, where: str) -> tuple[str, ...]:
    if not text.strip():
        raise InputFaults.one(where, text, _FORM, f"No value is given for {axis.key}.")
    span = _RANGE.match(text)
    if span and (not axis.words or axis.key == "chamber"):
        return _checked(axis, _range(span, where, text), where)
    if ".." in text:
        raise InputFaults.one(where, text, _FORM, "The range cannot be read.")
    parts = [p.strip() for p in text.split(";" if ";" in text else ",")]
    if axis.key == "away" and parts == [EACH]:
        return axis.words
    return _checked(axis, [p for p in parts if p], where)


def _range(span: re.Match[str], where: str, text: str) -> list[str]:
    first, last, step = float(span[1]), float(span[2]), float(span[3] or 1)
    if last < first:
        raise InputFaults.one(
            where, text, "a range from the smaller to the larger", f"The range {text.strip()} is empty."
        )
    if step <= 0:
        raise InputFaults.one(where, text, "a step of more than 0", "The step of a range cannot be 0.")
    count = math.floor((last - first) / step + 1e-9) + 1
    if count > MOST_CASES:
        raise InputFaults([_too_many(count, where)])
    return [f"{first + n * step:g}" for n in range(count)]


def _too_many(count: int, where: str) -> Fault:
    return Fault(
        where,
        f"{count} cases",
        f"{MOST_CASES} cases at most",
        f"That makes {count} cases; at most {MOST_CASES} are run. Narrow a range or take a larger step.",
    )


def _checked(axis: Axis, values: Sequence[str], where: str) -> tuple[str, ...]:
    checked = []
    faults = []
    for value in values:
        if axis.words:
            known = {fold(w): w for w in axis.words}
            if fold(value) in known:
                checked.append(known[fold(value)])
                continue
            shown = axis.words if len(axis.words) < 40 else (*axis.words[:3], "…", axis.words[-1])
            sentence = f"{value} is no value of {axis.key}.{did_you_mean(value, axis.words)}"
            faults.append(Fault(where, value, ", ".join(shown), sentence))
            continue
        number = _number(value)
        unit = 0.5 if axis.halves else 1.0
        if number is None or not axis.least <= number <= axis.most or number % unit:
            kind = "a whole or a half number" if axis.halves else "a whole number"
            allowed = f"{kind} from {axis.least:g} to {axis.most:g}"
            faults.append(Fault(where, value, allowed, f"{value} is no value of {axis.key}."))
            continue
        checked.append(f"{number:g}")
    if not checked and not faults:
        faults.append(Fault(where, "", _FORM, f"No value is given for {axis.key}."))
    if faults:
        raise InputFaults(faults)
    return tuple(dict.fromkeys(checked))


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def cases_of(job: Job, variations: Sequence[Variation]) -> tuple[Case, ...]:
    """A case for every combination of the values.

    Raises
    ------
    InputFaults
        More than `MOST_CASES` cases (the fault says how many), or a value that no job can take.
    """
    count = math.prod(len(v.values) for v in variations)
    if count > MOST_CASES:
        raise InputFaults([_too_many(count, "--vary")])
    if not count:
        raise InputFaults.one("--vary", "", _FORM, "There is no case to run.")
    cases = []
    for number, values in enumerate(itertools.product(*(v.values for v in variations)), start=1):
        changed = job
        for variation, value in zip(variations, values, strict=True):
            try:
                changed = variation.axis.apply(changed, value)
            except (ValidationError, ValueError) as wrong:
                told = (
                    [e["msg"] for e in wrong.errors()] if isinstance(wrong, ValidationError) else [str(wrong)]
                )
                why = "; ".join(told)
                raise InputFaults.one(
                    f"--vary {variation.axis.key}={value}",
                    value,
                    "a value that the job can take",
                    f"The job cannot be made with {variation.axis.label} {value}: {why}",
                ) from wrong
        settings = tuple((v.axis.label, value) for v, value in zip(variations, values, strict=True))
        cases.append(Case(number, settings, changed, changed == job, tuple(cross_faults(changed))))
    return tuple(cases)
