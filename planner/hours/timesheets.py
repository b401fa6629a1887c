"""Several days of plans and logs made into workweeks, with the rest rules over all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from planner.check.rest import ShortRest, short_rests
from planner.errors import Fault, InputFaults
from planner.hours.pay_rules import CountBy, PayRules
from planner.hours.shifts import Shift, Spell, by_day, person_shifts
from planner.hours.weeks import PersonWeek, person_weeks
from planner.hours.worked import WorkedDive, WorkedRecord
from planner.job.base import Clock

#: Why a plan may be clear and its hours not: a job's crew rules may ask for other rest, or for none.
REST_JUDGED = (
    "Rest is judged here by MLC 2006, Standard A2.3, over all days given and the work before them, "
    "whatever the crew rules of a job ask; the check of its plan judges by those."
)


@dataclass(frozen=True)
class Timesheets:
    """The hours of a crew."""

    records: tuple[WorkedRecord, ...]
    """What they are made from, in order of their days."""
    rules: PayRules
    """What they are paid by."""
    clock: Clock
    """The clock that every minute in here is of: that of the earliest record."""
    weeks: tuple[PersonWeek, ...]
    """A person's workweeks, person by person."""
    calls: tuple[Shift, ...]
    """Everybody's shifts from call to end, whatever the office counts by."""
    rest: tuple[tuple[str, ShortRest], ...]
    """Rest rules broken, by person."""
    notes: tuple[str, ...]
    """What the office has to look at, in sentences."""

    @property
    def people(self) -> tuple[str, ...]:
        """Everybody with hours, in the order of the sheets."""
        return tuple(dict.fromkeys(w.person for w in self.weeks))

    @property
    def shifts(self) -> tuple[Shift, ...]:
        """What the hours are counted by: shifts, or a person's calendar days."""
        return tuple(s for week in self.weeks for s in week.shifts)

    @property
    def worked_min(self) -> int:
        return sum(w.worked_min for w in self.weeks)

    @property
    def overtime_min(self) -> int:
        return sum(w.overtime_min for w in self.weeks)

    @property
    def pay(self) -> Decimal:
        return sum((w.pay for w in self.weeks), Decimal(0))

    @property
    def from_log(self) -> bool:
        return all(r.from_log for r in self.records)

    def rest_words(self, breach: ShortRest) -> str:
        """What is short of rest, with its times."""
        return breach.sentence(lambda minute: self.clock.hhmm(minute, with_day=True))

    @property
    def basis_sentence(self) -> str:
        """Where the hours come from, for the head of every sheet."""
        logs = sum(1 for r in self.records if r.from_log)
        if logs == len(self.records):
            return "Hours from the day log."
        if logs:
            return f"Hours from the day log of {logs} and from the plan of {len(self.records) - logs} job(s)."
        return "Hours from the plan: as planned, not as worked."


def timesheets(records: Iterable[WorkedRecord], rules: PayRules) -> Timesheets:
    """Make the timesheets of one or several records, in any order.

    Raises
    ------
    InputFaults
        No record, one day in two records, two time zones, or pay rules that contradict themselves.
    """
    known = tuple(sorted(records, key=lambda r: r.first_day))
    faults = [*_record_faults(known), *rules.faults()]
    if faults:
        raise InputFaults(faults)
    clock = known[0].clock
    spells: dict[str, list[Spell]] = defaultdict(list)
    dives: dict[str, list[WorkedDive]] = defaultdict(list)
    before: dict[str, list[tuple[int, int]]] = defaultdict(list)
    classes: dict[str, str] = {}
    order: dict[str, None] = {}
    for record in known:
        shift = clock.minute(record.clock.origin)
        classes.update({p: c for p, c in record.pay_classes.items() if c or p not in classes})
        order.update(dict.fromkeys(record.pay_classes))
        for spell in record.spells:
            order.setdefault(spell.person)
            spells[spell.person].append((spell.later(shift), record))
        for dive in record.dives:
            dives[dive.row.person].append(dive.replace(dive=dive.dive.later(shift)))
        for person, start, end in record.worked_before:
            before[person].append((start + shift, end + shift))
    weeks: list[PersonWeek] = []
    calls: list[Shift] = []
    rest: list[tuple[str, ShortRest]] = []
    for person in order:
        shifts = person_shifts(person, spells[person], dives[person], clock, rules)
        calls += shifts
        if rules.count_by is CountBy.DAY:
            shifts = by_day(shifts, dives[person], clock, rules)
        weeks += person_weeks(shifts, classes.get(person, ""), rules)
        work = [(s.start_min, s.end_min) for s, _ in spells[person]]
        began = min((s for s, _ in work), default=None)
        if began is not None:
            rest += [
                (person, breach) for breach in short_rests([*work, *before[person]]) if breach.end_min > began
            ]
    notes = _notes(known, weeks, rules, short=bool(rest))
    return Timesheets(known, rules, clock, tuple(weeks), tuple(calls), tuple(rest), notes)


def _record_faults(records: Sequence[WorkedRecord]) -> list[Fault]:
    if not records:
        return [Fault("hours", "", "at least one plan or log", "There is nothing to make timesheets from.")]
    faults = []
    zones = list(dict.fromkeys(r.time_zone for r in records))
    if len(zones) > 1:
        faults.append(
            Fault(
                "time zone",
                ", ".join(zones),
                "one time zone",
                "The jobs lie in different time zones; make the hours of each zone on its own.",
            )
        )
    seen: dict[date, str] = {}
    for record in records:
        for day in record.dates:
            if day in seen:
                faults.append(
                    Fault(
                        day.isoformat(),
                        f"{seen[day]}; {record.job_name}",
                        "each day once",
                        f"{day.isoformat()} is there twice, so its hours would be paid twice.",
                    )
                )
            seen.setdefault(day, record.job_name)
    return faults


def _notes(
    records: Sequence[WorkedRecord], weeks: Sequence[PersonWeek], rules: PayRules, *, short: bool
) -> tuple[str, ...]:
    """What to know of the sheets; ``short``: somebody is short of rest."""
    notes = [note for record in records for note in record.notes]
    if short:
        notes.append(REST_JUDGED)
    if rules.has_examples:
        notes.append("Pay rules marked as examples are in use: put the office's own rows in their place.")
    deepest = max((s.greatest_depth_fsw for w in weeks for s in w.shifts), default=0)
    if rules.bands and deepest > rules.bands[-1].to_fsw:
        notes.append(
            f"The depth bands end at {rules.bands[-1].to_fsw} fsw and somebody dives to {deepest} fsw: "
            "nothing is paid for the feet beyond."
        )
    classes = {w.pay_class for w in weeks}
    for pay_class in sorted(classes):
        if not any(r.pay_class.casefold() in (pay_class.casefold(), "") for r in rules.rates):
            notes.append(f"There is no hourly rate for pay class {pay_class or '(blank)'}.")
    days = {d for r in records for d in r.dates}
    if any(len({s.day for s in w.shifts}) < 7 for w in weeks) and len(days) < 7:
        notes.append(
            "Weekly and seventh-day overtime count only the days given here; add the other days of the week."
        )
    return tuple(notes)
