"""What a diver has done over all the jobs of a store: his dives by the day logs, days in a row, last medical.

Only what is logged counts: a plan is no dive. Times are told by the clock of the job in which they fell.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from planner.hours.pay_rules import PayRules
from planner.hours.worked import WorkedDive, WorkedRecord
from planner.job.another_day import PRACTICE


@dataclass(frozen=True)
class LoggedDive:
    """One dive of a diver, with the record of the day on which it was made."""

    record: WorkedRecord
    worked: WorkedDive

    @property
    def left_at(self) -> datetime:
        """When he left the surface, local time."""
        return self.record.clock.at(self.worked.dive.leave_surface_min)

    @property
    def in_water_min(self) -> int:
        """Leave surface to reach surface."""
        return self.worked.dive.reach_surface_min - self.worked.dive.leave_surface_min

    @property
    def in_charge(self) -> str:
        """The supervisors of the dive, or of the day where the record names none for it."""
        return ", ".join(self.record.in_charge_of(self.worked.dive.id))


@dataclass(frozen=True)
class Logbook:
    """One diver over all the jobs given."""

    person: str
    dives: tuple[LoggedDive, ...]
    """In order of time."""
    days: tuple[date, ...]
    """The days on which a shift of his began, dived or not, in order."""
    medical_until: date | None
    """Last day of his diving medical by the newest job that gives one; None where none does."""
    medical_by: str
    """The name of that job."""

    @property
    def in_water_min(self) -> int:
        return sum(d.in_water_min for d in self.dives)

    @property
    def bottom_min(self) -> int:
        return sum(d.worked.dive.bottom_time_min for d in self.dives)

    @property
    def greatest_depth_fsw(self) -> int:
        return max(d.worked.greatest_depth_fsw for d in self.dives)

    @property
    def greatest_depth_m(self) -> float:
        return max(d.worked.greatest_depth_m for d in self.dives)

    @property
    def dived_days(self) -> tuple[date, ...]:
        """The days on which he left the surface, in order."""
        return tuple(sorted({d.left_at.date() for d in self.dives}))

    @property
    def medical_words(self) -> str:
        """Until when the medical holds, and whether it held on the day of the last dive."""
        if self.medical_until is None:
            return "no date given"
        ended = self.dived_days[-1] > self.medical_until
        return f"{self.medical_until.isoformat()}{', run out before the last dive' if ended else ''}"


def runs_of_days(days: Iterable[date]) -> tuple[int, ...]:
    """Lengths of the runs of days in a row, in order."""
    each = enumerate(sorted(set(days)))
    return tuple(len([*own]) for _, own in groupby(each, lambda pair: pair[1] - timedelta(days=pair[0])))


def logbooks(records: Iterable[WorkedRecord]) -> tuple[Logbook, ...]:
    """A logbook for everybody who dived by a log, by name.

    Parameters
    ----------
    records
        Plans and logs of any jobs, in any order and any time zones; those of plans and of jobs moved to
        another day to practise on are passed over.
    """
    real = (r for r in records if r.from_log and not r.job_name.endswith(PRACTICE))
    known = sorted(real, key=lambda r: r.clock.origin)
    divers = sorted({d.row.person for r in known for d in r.dives}, key=str.casefold)
    return tuple(_logbook(person, known) for person in divers)


def _logbook(person: str, records: Sequence[WorkedRecord]) -> Logbook:
    dives: list[LoggedDive] = []
    spells: list[tuple[datetime, datetime]] = []
    medical: tuple[date | None, str] = (None, "")
    for record in records:
        at = record.clock.at
        dives += [LoggedDive(record, d) for d in record.dives if d.row.person == person]
        spells += [(at(s.start_min), at(s.end_min)) for s in record.spells if s.person == person]
        if person in record.medicals:
            medical = record.medicals[person], record.job_name
    dives.sort(key=lambda d: d.left_at)
    return Logbook(person, tuple(dives), _days_of_shifts(spells), *medical)


def _days_of_shifts(spells: Iterable[tuple[datetime, datetime]]) -> tuple[date, ...]:
    """The local days on which a shift begins: a night over midnight is one."""
    rest, until, days = timedelta(minutes=PayRules().shift_ends_min), None, set()
    for start, end in sorted(spells):
        if until is None or start - until >= rest:
            days.add(start.date())
        until = end if until is None else max(until, end)
    return tuple(sorted(days))
