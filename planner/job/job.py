"""The whole job, and the questions that everything above asks of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property

from planner.job.base import MINUTES_A_DAY, Span, joined
from planner.job.crew_rules import LONGEST_BOTTOM, LONGEST_IN_DRESS
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.gear import Outfit
from planner.job.given import GivenJob
from planner.job.names import fold
from planner.job.people import Person
from planner.job.pins import PinKind
from planner.job.standing import StandingItem, standing_items
from planner.job.work import DiveItem, Gate, Item
from planner.table_sets import TableSet


class Job(GivenJob):
    """Everything a day's plan is made from. Built by `planner.workbook` or from JSON; see `cross_faults`."""

    def __repr__(self) -> str:
        return (
            f"Job({self.site.name!r}, {self.site.first_day.isoformat()}, {self.site.days} day(s), "
            f"{len(self.people)} people, {len(self.dive_items)} dive item(s), "
            f"{len(self.surface_items)} surface item(s))"
        )

    __str__ = __repr__

    @cached_property
    def tables(self) -> TableSet:
        """The set of decompression tables that the job is planned by."""
        return self.site.tables

    @cached_property
    def early_enough_min(self) -> int:
        """The job minute, on the last working day, up to which no finish is better than another.

        The start of the job's days where it does not say. A time of day that is not in the last day's window
        stands for that end of it which is nearer in time: before it the start, after it the end.
        """
        at = self.site.early_enough
        if at is None:
            return self.day_windows[0].start_min
        last = self.day_windows[-1]
        same = self.clock.minute_on(self.clock.day_of(last.start_min), at)
        inside = [m for m in (same, same + MINUTES_A_DAY) if last.start_min <= m <= last.end_min]
        return inside[0] if inside else min(max(same, last.start_min), last.end_min)

    def finish_counted_min(self, finish_min: int) -> int:
        """A finish as it counts in the objective: no earlier than is early enough."""
        return max(finish_min, self.early_enough_min)

    def margin_wanted_of(self, item: DiveItem) -> int:
        """Minutes in hand that the dives of an item should have."""
        own = item.margin_wanted_min
        return self.rules.margin_wanted_min if own is None else own

    @property
    def items(self) -> tuple[Item, ...]:
        return (*self.dive_items, *self.surface_items)

    @cached_property
    def standing_items(self) -> tuple[StandingItem, ...]:
        """The standing work that a dived day of the job may hold; derived, no part of `surface_items`."""
        return tuple(standing_items(self))

    @cached_property
    def duties(self) -> tuple[str, ...]:
        """Every duty of the job: the built-in ones, then those that surface items or people bring in."""
        own: dict[str, None] = {}
        for item in self.surface_items:
            for need in item.crew:
                own.setdefault(need.duty)
        return (*BUILT_IN_DUTIES, *(d for d in own if d not in BUILT_IN_DUTIES))

    def person(self, name: str) -> Person:
        """The person of that name. KeyError when there is none."""
        return self._person_of[name]

    def item(self, name: str) -> Item:
        return self._item_of[name]

    def dive_item(self, name: str) -> DiveItem:
        found = self.item(name)
        if not isinstance(found, DiveItem):
            raise KeyError(name)
        return found

    def outfit(self, name: str) -> Outfit:
        return self._outfit_of[name]

    def gates_of(self, item: str) -> dict[str, tuple[Gate, ...]]:
        """The gates of an item: what each is, with its rows in the order of the job."""
        named: dict[str, str] = {}
        found: dict[str, tuple[Gate, ...]] = {}
        for gate in self.gates:
            if item in gate.items:
                what = named.setdefault(fold(gate.what), gate.what)
                found[what] = (*found.get(what, ()), gate)
        return found

    def gate_spans(self, item: str) -> dict[str, tuple[Span, ...]]:
        """When each gate of an item is held; one that is to be confirmed by hand is left out."""
        held = {what: [g.span for g in rows if g.span] for what, rows in self.gates_of(item).items()}
        return {what: _as_one(spans) for what, spans in held.items() if spans}

    def allowed_spans(self, item: Item) -> tuple[Span, ...] | None:
        """When an item may be worked by its windows and its gates together; None: at any time."""
        allowed = [_as_one(item.windows)] if item.windows else []
        allowed += self.gate_spans(item.name).values()
        if not allowed:
            return None
        spans, *others = allowed
        for other in others:
            spans = tuple(
                Span(start_min=max(a.start_min, b.start_min), end_min=min(a.end_min, b.end_min))
                for a in spans
                for b in other
                if a.overlaps(b.start_min, b.end_min)
            )
        return spans

    def longest_bottom_min(self, item: DiveItem) -> int | None:
        """Longest bottom time of a dive on an item, by its own limit or by gear and water; None: no limit."""
        return item.longest_bottom_min or self.rules.longest_min(
            LONGEST_BOTTOM[item.gear], self.site.water_temp_f
        )

    def longest_in_dress_min(self, item: DiveItem) -> int | None:
        """The same from the start of dressing until undressed."""
        return item.longest_in_dress_min or self.rules.longest_min(
            LONGEST_IN_DRESS[item.gear], self.site.water_temp_f
        )

    def hazard_ft(self, item: str) -> int | None:
        """Distance from the station to the nearest hazard that no hose of an item may reach; None: none."""
        told = [g.hazard_distance_ft for rows in self.gates_of(item).values() for g in rows]
        return min((ft for ft in told if ft is not None), default=None)

    def available(self, person: Person) -> tuple[Span, ...]:
        """Hours of a person within the day windows, in order."""
        if not person.available:
            return self.day_windows
        spans = []
        for own in person.available:
            for day in self.day_windows:
                start, end = max(own.start_min, day.start_min), min(own.end_min, day.end_min)
                if start < end:
                    spans.append(Span(start_min=start, end_min=end))
        return tuple(sorted(spans, key=lambda s: s.start_min))

    @cached_property
    def on_site(self) -> dict[str, tuple[Span, ...]]:
        """Person → stretches on site, each within one working day, less what pins take away."""
        return {person.name: tuple(self._on_site(person)) for person in self.people}

    def _on_site(self, person: Person) -> Iterator[Span]:
        hours = self.available(person)
        pins = [p.window for p in self.pins if p.kind is PinKind.AWAY and p.person == person.name]
        away = joined(window for window in pins if window is not None)
        for day in self.day_windows:
            inside = [s for s in hours if day.start_min <= s.start_min < day.end_min]
            for start, end in joined((s.start_min, s.end_min) for s in inside):
                at = start
                for first, last in away:
                    if at < min(first, end):
                        yield Span(start_min=at, end_min=min(first, end))
                    at = max(at, last)
                if at < end:
                    yield Span(start_min=at, end_min=end)

    def briefing_min(self, person: Person, minute: int) -> int:
        """Minutes of briefing before his first duty in the stretch on site that holds a minute."""
        for stretch in self.on_site[person.name]:
            if stretch.start_min <= minute < stretch.end_min:
                briefed = person.briefed_until_min
                return 0 if briefed is not None and stretch.start_min < briefed else self.rules.briefing_min
        return 0

    def briefed_at_min(self, person: Person, minute: int) -> int | None:
        """Where a pin has his briefing in the stretch on site that holds a minute; None: no pin says it.

        Whoever needs no briefing there has none, whatever is pinned.
        """
        own = next((s for s in self.on_site[person.name] if s.start_min <= minute < s.end_min), None)
        if own is None or not self.briefing_min(person, minute):
            return None
        pins = (p for p in self.pins if p.kind is PinKind.BRIEFED and p.person in (None, person.name))
        return next((at for p in pins if own.start_min <= (at := p.start_min or 0) < own.end_min), None)

    def briefed_from_min(self, person: Person, first_min: int, calls: Mapping[int, int] | None = None) -> int:
        """Start of the briefing before a first duty at a minute; that minute where there is none.

        ``calls``: working day → start of the crew's one briefing, for whoever is on site then.
        """
        for call in (calls or {}).values():
            if any(s.start_min <= call <= first_min < s.end_min for s in self.on_site[person.name]):
                return call
        at = self.briefed_at_min(person, first_min)
        return first_min - self.briefing_min(person, first_min) if at is None else min(at, first_min)

    def calls(self, firsts: Mapping[str, Iterable[int]]) -> dict[int, int]:
        """Working day → start of the crew's one briefing, on the days that begin with one.

        Parameters
        ----------
        firsts
            Person → minutes at which his duties start, at least the first of each stretch on site.
        """
        if not self.one_briefing_days:
            return {}
        out: dict[int, int] = {}
        for name, starts in firsts.items():
            person = self.person(name)
            for first in starts:
                day = self.working_day_of(first)
                if day in self.one_briefing_days:
                    at = self.briefed_from_min(person, first)
                    out[day] = min(at, out.get(day, at))
        return out

    def working_day_of(self, minute: int) -> int:
        """Index of the working day that a minute belongs to: the last that has begun, else the first."""
        return max((k for k, day in enumerate(self.day_windows) if day.start_min <= minute), default=0)

    @cached_property
    def one_briefing_days(self) -> frozenset[int]:
        """Working days that begin with one briefing for the whole crew: all, where the job asks for it and
        briefs at all, but those for which somebody has been briefed already."""
        if not self.rules.one_briefing or not self.rules.briefing_min:
            return frozenset()
        begun = {
            k
            for person in self.people
            for stretch in self.on_site[person.name]
            for k, day in enumerate(self.day_windows)
            if day.start_min <= stretch.start_min < day.end_min
            and not self.briefing_min(person, stretch.start_min)
        }
        return frozenset(range(len(self.day_windows))) - begun

    @cached_property
    def _person_of(self) -> dict[str, Person]:
        return {p.name: p for p in self.people}

    @cached_property
    def _item_of(self) -> dict[str, Item]:
        return {i.name: i for i in (*self.standing_items, *self.items)}

    @cached_property
    def _outfit_of(self) -> dict[str, Outfit]:
        return {o.name: o for o in self.outfits}


def _as_one(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Spans in order, those that touch made one."""
    return tuple(
        Span(start_min=start, end_min=end) for start, end in joined((s.start_min, s.end_min) for s in spans)
    )
