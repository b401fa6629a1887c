"""The fields of a job as rows give them, each with the cell that it came from."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any

from planner.job.base import Clock, Span
from planner.job.contradiction import Path
from planner.job.names import fold, unknown_name
from planner.workbook.cells import WallTime
from planner.workbook.columns import DAY_AND_TIME, bounds_of
from planner.workbook.sheet_reader import Row, SheetReader

Tree = dict[str, Any]
_JOB_MINUTES = bounds_of(Span.model_fields["start_min"])


class Names:
    """The names of one kind. ``complete``: they could all be read, so a name not among them is unknown."""

    def __init__(self, what: str, names: Iterable[str] = (), *, complete: bool = True) -> None:
        self.what, self.complete = what, complete
        self._spelled: dict[str, str] = {}
        for name in names:
            self.add(name)

    def add(self, name: str) -> str:
        """The first spelling of a name, which is this one when it is new."""
        return self._spelled.setdefault(fold(name), name)

    def get(self, name: str) -> str | None:
        """The spelling of a name, or None when it is not among them."""
        return self._spelled.get(fold(name))

    @property
    def all(self) -> tuple[str, ...]:
        """Every name as first spelled."""
        return tuple(self._spelled.values())


class FieldCells:
    """The fields of the job with the cell that each came from, and those that could not be read."""

    def __init__(self, reader: SheetReader, clock: Clock) -> None:
        self.reader, self.clock = reader, clock
        self.places: dict[Path, str] = {}
        self.bad: set[Path] = set()

    def part(self, row: Row, path: Path, **more: Any) -> Tree:
        """The fields of a row's model as plain values, each with its cell; ``more`` stands in their place."""
        model = row.sheet.model
        self.places[path] = row.place
        tree: Tree = {}
        for column in row.sheet.columns:
            if column.field in model.model_fields:
                self.note((*path, column.field), row, column.field)
                if column.field in row.values:
                    value = row.values[column.field]
                    tree[column.field] = value.wall if isinstance(value, WallTime) else value
        if row.typed:
            tree["typed"] = tuple(row.typed.items())
        for field, (_, at) in DAY_AND_TIME.items():
            if field in more:
                self.note((*path, field), row, at)
        return {**tree, **more}

    def note(self, path: Path, row: Row, field: str) -> None:
        """Remember the cell of a path, and whether it is in doubt."""
        self.places[path] = row.where(field)
        if field in row.bad:
            self.bad.add(path)

    def name(self, row: Row, field: str, known: Names) -> str | None:
        """The thing that a cell names; None, with a fault, when there is no such thing."""
        typed = row.values.get(field)
        if typed is None or not isinstance(typed, str):
            return None
        return self._resolve(row, field, typed, known)

    def names(self, row: Row, field: str, known: Names) -> tuple[str, ...]:
        """The things that a cell names, with a fault for each that does not exist."""
        typed = row.values.get(field, ())
        found = (self._resolve(row, field, one, known) for one in typed)
        return tuple(one for one in found if one is not None)

    def _resolve(self, row: Row, field: str, typed: str, known: Names) -> str | None:
        found = known.get(typed)
        if found is None:
            row.bad.add(field)
            if known.complete:
                allowed, sentence = unknown_name(known.what, typed, known.all)
                self.reader.fault(row.where(field), typed, allowed, sentence)
        return found

    def minute(
        self, row: Row, day_field: str, time_field: str, default_day: date | None = None
    ) -> int | None:
        """The job minute of a day cell and a time cell; None, with a fault noted, when there is none."""
        wall = row.values.get(time_field)
        if day_field in row.bad or time_field in row.bad or not isinstance(wall, WallTime):
            return None
        day = row.values.get(day_field)
        if wall.day is not None and day is not None and wall.day != day:
            self._doubt(row, time_field, wall.day.isoformat(), day.isoformat(), "carries another day")
            return None
        day = wall.day or day or default_day or self.clock.first_day
        moment = datetime.combine(day, wall.wall)
        if wall.end_of_day:
            moment += timedelta(days=1)
        try:
            minute = self.clock.minute(moment)
        except OverflowError:
            minute = None
        if minute is None or not _JOB_MINUTES.hold(minute):
            self._doubt(
                row,
                day_field if day_field in row.values else time_field,
                day.isoformat(),
                f"within two weeks of {self.clock.first_day.isoformat()}",
                "is too far from the job's first day",
            )
            return None
        if moment.tzinfo is None and self.clock.at(minute).replace(tzinfo=None) != moment:
            self._doubt(
                row,
                time_field,
                f"{wall.wall:%H:%M}",
                "a time that the clock shows that day",
                "does not exist on that day: the clocks are set forward past it",
            )
            return None
        return minute

    def _doubt(self, row: Row, field: str, found: str, allowed: str, trouble: str) -> None:
        row.bad.add(field)
        title = row.sheet.column(field).title
        self.reader.fault(row.where(field), found, allowed, f"{title} {trouble}.")

    def ends(self, row: Row) -> Tree:
        """Start and end of a row's stretch of time; None for one that is blank or could not be read."""
        start = self.minute(row, "day", "from")
        wall = row.values.get("from")
        same_day = row.values.get("day") or (wall.day if isinstance(wall, WallTime) else None)
        # without its day a stretch cannot be placed at all
        end = None if "day" in row.bad else self.minute(row, "until_day", "until", same_day)
        return {"start_min": start, "end_min": end}

    def place_of(self, path: Path) -> str:
        """The cell behind a path, or behind the nearest thing around it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.places:
                return self.places[path[:length]]
        return "workbook"

    def in_doubt(self, path: Path) -> bool:
        """Whether a path, or anything around it, could not be read."""
        return any(path[:length] in self.bad for length in range(1, len(path) + 1))
