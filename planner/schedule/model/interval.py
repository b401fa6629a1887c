"""A stretch of time in a model, and short names for the solver's types."""

from __future__ import annotations

from dataclasses import dataclass

from ortools.sat.python import cp_model

Lit = cp_model.IntVar
Model = cp_model.CpModel


@dataclass(frozen=True)
class Interval:
    """A stretch of a dive (in the water, on the bench, on watch) that several rules put to use."""

    name: str
    start: Lit
    size: Lit
    end: Lit
    interval: cp_model.IntervalVar

    def when(
        self, model: Model, literal: Lit, label: str, *, extra_min: int = 0, earlier_min: int = 0
    ) -> cp_model.IntervalVar:
        """The same stretch, there only under ``literal``, longer by minutes at its end and its start."""
        return model.new_optional_interval_var(
            self.start - earlier_min,
            self.size + extra_min + earlier_min,
            self.end + extra_min,
            literal,
            f"{self.name}.{label}",
        )
