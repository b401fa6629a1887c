"""What every part of a job is: frozen, strict about names, round-trips as JSON."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from planner.job.clock import MINUTES_A_DAY

#: A name that a person typed: trimmed, 1 to 60 characters, any alphabet.
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60)]

#: Job minutes (see `planner.job.clock`): from a week before the job to two weeks after its start.
JobMinute = Annotated[int, Field(ge=-14 * MINUTES_A_DAY, le=15 * MINUTES_A_DAY)]


class Part(BaseModel):
    """Base of the job's and the plan's data: immutable, no unknown fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    def replace(self, **changes: Any) -> Self:
        """A changed copy, validated again."""
        # Fields only: cached properties also live in the instance's dict.
        fields = {name: getattr(self, name) for name in type(self).model_fields}
        return type(self).model_validate({**fields, **changes})


class Span(Part):
    """A stretch of time, ``start_min`` up to ``end_min`` (not included), in job minutes."""

    start_min: JobMinute
    end_min: JobMinute

    def covers(self, start_min: int, end_min: int) -> bool:
        return self.start_min <= start_min and end_min <= self.end_min

    def overlaps(self, start_min: int, end_min: int) -> bool:
        return self.start_min < end_min and start_min < self.end_min
