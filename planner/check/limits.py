"""What each editable limit of a job's crew rules means: label, unit, sentence, source, basis.

They stand in ``limits.toml`` beside, a record each.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from planner.check.rule import COMMON_PRACTICE, Basis


@dataclass(frozen=True)
class Limit:
    """One editable field of `planner.job.CrewRules`."""

    field: str
    """Name of the field."""
    label: str
    """Plain words for a screen or a sheet."""
    unit: str
    """``min``, ``fsw``, ``fsw/min``, ``ft/min``, ``dives``, ``parts``, ``people``, ``outfits``, ``name``,
    ``names``, ``weights`` or ``yes or no``."""
    sentence: str
    """What the value does."""
    source: str = COMMON_PRACTICE
    """Where the shipped value comes from."""
    basis: Basis = Basis.COMMON_PRACTICE
    """The ground it stands on."""


def _read() -> dict[str, Limit]:
    said = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))["limit"]
    limits = (Limit(**{**one, "basis": Basis(one.get("basis", Basis.COMMON_PRACTICE))}) for one in said)
    return {limit.field: limit for limit in limits}


LIMITS: dict[str, Limit] = _read()
