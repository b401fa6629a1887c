"""Decision variables of one day: a dive slot, a surface task, and the literals that name their people.

A working day may run past midnight. Hours of duty are counted by working day, dives and bottom minutes by
the calendar day on which the surface is left, as the check counts them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from ortools.sat.python import cp_model

from planner.day import water_ascent_min
from planner.schedule.model.interval import Interval, Lit, Model
from planner.schedule.model.standby_dressing import StandbyVars, make_standby
from planner.schedule.problem.problem import (
    NEVER_MIN,
    DiveWork,
    DutyNeed,
    Group,
    Placement,
    Problem,
    TaskWork,
)
from planner.tables import Mode
from planner.tables.schedule import IN_CHAMBER, NO_STOP

#: The hour by the chamber may end after the day where nobody needs to be named for it.
CHAMBER_TAIL_MIN = 600


@dataclass
class SeatVars:
    """One person in the water."""

    duty: str
    who: dict[str, Lit]
    before: dict[Group, Lit] = field(default_factory=dict)
    """Incoming repetitive group (or lower) → literal."""
    after: dict[Group, Lit] = field(default_factory=dict)
    """Group at surfacing (or lower) → literal."""
    ways: list[tuple[Mode, Lit]] = field(default_factory=list)
    """Every way down and up with its literal."""


@dataclass
class DiveVars:
    """One possible dive of an item."""

    work: int
    slot: int
    data: DiveWork
    present: Lit
    dress_start: Lit
    leave_surface: Lit
    bottom: Lit
    ascent: cp_model.LinearExpr
    reach_surface: Lit
    out: Lit
    """Out of pressure: at the surface, or out of the chamber."""
    undressed: Lit
    watch_start: Lit
    place: dict[Placement, Lit]
    station: dict[str, Lit]
    day: dict[int, Lit]
    """Working day → literal."""
    date: dict[int, Lit]
    """Calendar day of leaving the surface → literal."""
    seats: list[SeatVars]
    standby: dict[str, Lit]
    water: Interval
    bench: Interval
    seat: Interval
    """What holds a diver: the bench, and the chamber where there is one."""
    in_chamber: Interval | None
    """From the surface until out of the chamber; None where no way up goes through one."""
    watch: Interval
    standing: Interval
    """What holds a standby diver: watch, dressing and undressing; the watch where there is none."""
    dresses: StandbyVars | None
    """How the standby diver is dressed; None where none is asked for."""
    chamber: Interval
    """From leave surface until the hour by the chamber is over."""
    deco: Lit | None
    """Outside the no-stop limits; None where no mode is."""
    late: Lit
    """The crew of the dive before covers the start of this one's dressing."""

    @property
    def name(self) -> str:
        return f"d{self.work}.{self.slot}"

    def work_done(self) -> cp_model.LinearExpr:
        """Minutes of work this slot adds to its item."""
        return self.bottom - self.data.descent_min * self.present

    def interval_of(self, post: DutyNeed) -> Interval:
        """When a support post of this dive is held."""
        return {"bench": self.bench, "watch": self.watch, "chamber": self.chamber}[post.held]

    def people_needed(self, post: DutyNeed) -> cp_model.LinearExpr | Lit:
        """People asked for in a post: by the dive's way up."""
        if self.deco is None or post.count == post.count_deco:
            return post.count * self.present
        return post.count * self.present + (post.count_deco - post.count) * self.deco

    def water_min(self) -> cp_model.LinearExpr:
        """Minutes from leaving to reaching the surface; 0 when the slot is not used."""
        return self.bottom + self.ascent

    def bench_min(self) -> cp_model.LinearExpr:
        """Minutes from the start of dressing to undressed; 0 when the slot is not used."""
        return self.water_min() + (self.data.dressing_min + self.data.undressing_min) * self.present


@dataclass
class TaskVars:
    index: int
    data: TaskWork
    present: Lit
    start: Lit
    size: Lit
    end: Lit
    interval: cp_model.IntervalVar
    day: dict[int, Lit]
    """Working day → literal."""

    @property
    def whole(self) -> Interval:
        """The task as a stretch, for the people who hold its posts."""
        return Interval(self.interval.name, self.start, self.size, self.end, self.interval)


def make_task(model: Model, problem: Problem, index: int) -> TaskVars:
    """Variables of a surface task; its start lies in one of its windows."""
    data = problem.tasks[index]
    length = data.item.duration_min
    present = model.new_bool_var(f"s{index}.present")
    domain = cp_model.Domain.from_intervals(
        [[s.start_min, s.end_min - length] for s in data.spans]
        or [[problem.window.start_min, problem.window.start_min]]
    )
    start = model.new_int_var_from_domain(domain, f"s{index}.start")
    if not data.spans:
        model.add(present == 0)
    size, end = model.new_constant(length), model.new_int_var(0, 100_000, f"s{index}.end")
    model.add(end == start + length)
    interval = model.new_optional_interval_var(start, size, end, present, f"s{index}")
    model.add(start == domain.min()).only_enforce_if(~present)
    starts: dict[int, tuple[int, int]] = {}
    for span in data.spans:
        at = problem.day_of(span.start_min)
        low, high = starts.get(at, (span.start_min, span.end_min - length))
        starts[at] = min(low, span.start_min), max(high, span.end_min - length)
    day = task_days(model, problem, f"s{index}", present, start, starts)
    return TaskVars(index, data, present, start, size, end, interval, day)


def make_dive(model: Model, problem: Problem, work: int, slot: int) -> DiveVars:
    """Variables of one dive slot and the constraints among its own times and modes."""
    data = problem.dives[work]
    name = f"d{work}.{slot}"
    low, high = problem.window.start_min, problem.window.end_min
    present = model.new_bool_var(f"{name}.present")

    def minute(label: str) -> Lit:
        return model.new_int_var(low, high, f"{name}.{label}")

    dress, leave, reach = minute("dress"), minute("leave"), minute("reach")
    undressed, watch = minute("undressed"), minute("watch")
    bottom = model.new_int_var(0, data.bottom_max_min, f"{name}.bottom")
    late = model.new_bool_var(f"{name}.late")

    model.add(leave == dress + data.dressing_min).only_enforce_if(present)
    model.add(undressed == reach + data.undressing_min).only_enforce_if(present)
    model.add(watch == dress).only_enforce_if(~late)
    model.add(watch >= dress)
    model.add(watch <= leave).only_enforce_if(present)
    model.add_implication(late, present)
    model.add(bottom >= data.descent_min + data.least_work_min).only_enforce_if(present)
    for var in (dress, leave, reach, undressed):
        model.add(var == low).only_enforce_if(~present)
    model.add(bottom <= data.bottom_max_min * present)
    model.add(bottom >= (data.descent_min + data.least_work_min) * present)

    deco = model.new_bool_var(f"{name}.deco") if any(m.way_up != NO_STOP for m in data.modes) else None
    through = any(m.way_up == IN_CHAMBER for m in data.modes)
    out = minute("out") if through else reach
    chamber_end = model.new_int_var(low, high + CHAMBER_TAIL_MIN, f"{name}.watched")
    model.add(chamber_end == out + problem.job.rules.chamber_watch_min)
    for post in data.posts:
        if post.held != "chamber":
            continue
        if post.count:
            model.add(chamber_end <= high).only_enforce_if(present)
        elif deco is not None:
            model.add(chamber_end <= high).only_enforce_if(deco)

    ascents = sorted({water_ascent_min((m.schedule,)) for m in data.modes})
    ascent: cp_model.LinearExpr = ascents[0] * present
    if len(ascents) > 1:
        ascent = model.new_int_var(0, ascents[-1], f"{name}.ascent")
    model.add(reach == leave + bottom + ascent).only_enforce_if(present)

    if data.longest_in_dress_min < NEVER_MIN:
        # longest-in-dress; the bottom time has its own limit as its bound
        model.add(reach - leave <= data.water_max_min)

    place, station = _places(model, data, name, present, leave, reach)
    when = dive_days(model, problem, name, present, leave, place)
    for at, literal in when.day.items():
        if len(problem.days) > 1:
            _within_the_day(model, problem, data, literal, at, (dress, undressed, out), chamber_end, deco)

    seats = _seats(model, data, name, present, bottom, ascent, deco)
    if deco is not None:
        for where, literal in place.items():
            if not where.with_stops:
                model.add_bool_or(~literal, ~deco)
    if through:
        model.add(out == reach + _after_surface(model, data, name, seats)).only_enforce_if(present)
        model.add(out == low).only_enforce_if(~present)
        last = minute("last")
        model.add_max_equality(last, [undressed, out])
    _teams(model, data, seats, present, when.date)
    standby = _standbys(model, data, name, seats, present, when.date)

    def stretch(start: Lit, end: Lit, label: str) -> Interval:
        # The hour by the chamber may be longer than what is left of a short day.
        tail = CHAMBER_TAIL_MIN if label == "chamber" else 0
        size = model.new_int_var(0, high - low + tail, f"{name}.{label}.size")
        whole = model.new_optional_interval_var(start, size, end, present, f"{name}.{label}")
        return Interval(f"{name}.{label}", start, size, end, whole)

    dressing = None
    if standby:
        dressing = make_standby(model, problem, data, name, present, (leave, watch, reach))
        for at, literal in when.day.items():
            model.add(dressing.start >= problem.days[at].start_min).only_enforce_if(literal)
            model.add(dressing.end <= problem.days[at].end_min).only_enforce_if(literal)
    bench, watched = stretch(dress, undressed, "bench"), stretch(watch, reach, "watch")
    return DiveVars(
        work=work,
        slot=slot,
        data=data,
        present=present,
        dress_start=dress,
        leave_surface=leave,
        bottom=bottom,
        ascent=ascent,
        reach_surface=reach,
        out=out,
        undressed=undressed,
        watch_start=watch,
        place=place,
        station=station,
        day=when.day,
        date=when.date,
        seats=seats,
        standby=standby,
        water=stretch(leave, reach, "water"),
        bench=bench,
        seat=stretch(dress, last, "seat") if through else bench,
        in_chamber=stretch(reach, out, "in") if through else None,
        watch=watched,
        standing=watched if dressing is None else dressing.standing,
        dresses=dressing,
        chamber=stretch(leave, chamber_end, "chamber"),
        deco=deco,
        late=late,
    )


def _places(
    model: Model, data: DiveWork, name: str, present: Lit, leave: Lit, reach: Lit
) -> tuple[dict[Placement, Lit], dict[str, Lit]]:
    """Where and when the dive is in the water: a literal for each placement and for each station."""
    place = {p: model.new_bool_var(f"{name}.{p.station}.{p.span.start_min}") for p in data.placements}
    model.add(sum(place.values()) == present)
    station: dict[str, Lit] = {}
    for where, literal in place.items():
        model.add(leave >= where.span.start_min).only_enforce_if(literal)
        model.add(reach <= where.span.end_min).only_enforce_if(literal)
    for one in {p.station: None for p in data.placements}:
        here = [literal for where, literal in place.items() if where.station == one]
        if len(here) == 1:
            station[one] = here[0]
        else:
            station[one] = model.new_bool_var(f"{name}.at.{one}")
            model.add(station[one] == sum(here))
    return place, station


def _seats(
    model: Model,
    data: DiveWork,
    name: str,
    present: Lit,
    bottom: Lit,
    ascent: cp_model.LinearExpr,
    deco: Lit | None,
) -> list[SeatVars]:
    """Who is in the water, each with one way down and up; the dive has stops where one of them has."""
    seats: list[SeatVars] = []
    with_stops: list[cp_model.LinearExpr] = []
    for number, duty in enumerate(data.seats):
        who = {p: model.new_bool_var(f"{name}.{number}.{p}") for p in data.divers}
        model.add(sum(who.values()) == present)
        seat = SeatVars(duty, who)
        stops = _choose_mode(model, f"{name}.{number}", data, seat, present, bottom, ascent)
        if deco is not None:
            with_stops.append(stops)
        seats.append(seat)
    if deco is not None:
        if len(with_stops) == 1:
            model.add(deco == with_stops[0])
        else:
            model.add_max_equality(deco, with_stops)
    return seats


def _after_surface(model: Model, data: DiveWork, name: str, seats: list[SeatVars]) -> Lit:
    """Minutes from the surface until out of the chamber; several divers decompress together."""
    longest = model.new_int_var(0, max(m.ascent_min for m in data.modes), f"{name}.after")
    for seat in seats:
        own = sum(
            (m.ascent_min - water_ascent_min((m.schedule,))) * v
            for m, v in seat.ways
            if m.way_up == IN_CHAMBER
        )
        model.add(longest == own) if len(seats) == 1 else model.add(longest >= own)
    return longest


def _teams(
    model: Model, data: DiveWork, seats: list[SeatVars], present: Lit, dates_of: dict[int, Lit]
) -> None:
    """Each person in one seat at most, and none on a day on which he is not fit for the item."""
    for p in data.divers:
        if len(seats) > 1:
            model.add_at_most_one(s.who[p] for s in seats)
        for date in data.unfit_dates.get(p, frozenset()) & dates_of.keys():
            for seat in seats:
                model.add_bool_or(~seat.who[p], ~dates_of[date])
    # Seats of one duty are alike: order their people to leave one copy of each team.
    for left, right in pairwise(seats):
        if left.duty == right.duty:
            rank = {p: k for k, p in enumerate(data.divers)}
            model.add(
                sum(rank[p] * v for p, v in left.who.items()) + present
                <= sum(rank[p] * v for p, v in right.who.items())
            ).only_enforce_if(present)


def _standbys(
    model: Model, data: DiveWork, name: str, seats: list[SeatVars], present: Lit, dates_of: dict[int, Lit]
) -> dict[str, Lit]:
    """Who stands by: nobody in the water, and nobody on a day on which he could not go down."""
    standby: dict[str, Lit] = {}
    if data.standbys:
        standby = {p: model.new_bool_var(f"{name}.sb.{p}") for p in data.standby_people}
        model.add(sum(standby.values()) == data.standbys * present)
        for p in data.standby_people:
            model.add_at_most_one([standby[p], *(s.who[p] for s in seats if p in s.who)])
            for date in data.unfit_dates.get(p, frozenset()) & dates_of.keys():
                model.add_bool_or(~standby[p], ~dates_of[date])
    return standby


def _within_the_day(
    model: Model,
    problem: Problem,
    data: DiveWork,
    literal: Lit,
    day: int,
    edges: tuple[Lit, Lit, Lit],
    chamber_end: Lit,
    deco: Lit | None,
) -> None:
    """day-window of a job of several days: from the start of dressing to the end of the last duty."""
    window = problem.days[day]
    dress, undressed, out = edges
    model.add(dress >= window.start_min).only_enforce_if(literal)
    for edge in (undressed, out):
        model.add(edge <= window.end_min).only_enforce_if(literal)
    for post in data.posts:
        if post.held != "chamber":
            continue
        if post.count:
            model.add(chamber_end <= window.end_min).only_enforce_if(literal)
        elif deco is not None:
            model.add(chamber_end <= window.end_min).only_enforce_if([literal, deco])


def _choose_mode(
    model: Model,
    name: str,
    data: DiveWork,
    seat: SeatVars,
    present: Lit,
    bottom: Lit,
    ascent: cp_model.LinearExpr,
) -> cp_model.LinearExpr:
    """Exactly one way down and up per seat: it caps the bottom time and sets the ascent.

    A mode holds for an incoming group "or lower" and promises a group at surfacing "or lower", so the
    bottom time stays a free integer under the mode's cap and nothing between the modes is lost.
    Returns the literal (as an expression) that the mode is outside the no-stop limits.
    """
    literals = [model.new_bool_var(f"{name}.m{k}") for k in range(len(data.modes))]
    seat.ways = list(zip(data.modes, literals, strict=True))
    model.add(sum(literals) == present)
    model.add(bottom <= sum(m.bottom_time_max_min * v for m, v in zip(data.modes, literals, strict=True)))
    if isinstance(ascent, cp_model.IntVar):
        total = sum(water_ascent_min((m.schedule,)) * v for m, v in seat.ways)
        model.add(ascent == total) if len(data.seats) == 1 else model.add(ascent >= total)
    for side in ("before", "after"):
        groups: dict[Group, list[Lit]] = {}
        for mode, literal in zip(data.modes, literals, strict=True):
            groups.setdefault(getattr(mode, f"group_{side}"), []).append(literal)
        chosen = seat.before if side == "before" else seat.after
        for group, members in groups.items():
            if len(members) == 1:
                chosen[group] = members[0]
            else:
                chosen[group] = model.new_bool_var(f"{name}.{side}.{group}")
                model.add(chosen[group] == sum(members))
    return cp_model.LinearExpr.sum(
        [v for m, v in zip(data.modes, literals, strict=True) if m.way_up != NO_STOP]
    )


@dataclass(frozen=True)
class DayLiterals:
    """Working day → literal, and calendar day → literal. Where there is only one it is the whole dive's."""

    day: dict[int, Lit]
    date: dict[int, Lit]


def dive_days(
    model: Model, problem: Problem, name: str, present: Lit, leave: Lit, place: Mapping[Placement, Lit]
) -> DayLiterals:
    """The days of one dive slot from where and when it may be in the water."""
    days: dict[int, list[Lit]] = {}
    dates: dict[int, list[Lit]] = {}
    for where, literal in place.items():
        days.setdefault(problem.day_of(where.span.start_min), []).append(literal)
        first, last = problem.date_of(where.span.start_min), problem.date_of(where.span.end_min - 1)
        if first == last:
            dates.setdefault(first, []).append(literal)
            continue
        parts = []
        for date in range(first, last + 1):
            part = model.new_bool_var(f"{name}.{where.station}.{where.span.start_min}.{date}")
            parts.append(part)
            dates.setdefault(date, []).append(part)
            if date > first:
                model.add(leave >= problem.midnights[date]).only_enforce_if(part)
            if date < last:
                model.add(leave < problem.midnights[date + 1]).only_enforce_if(part)
        model.add(sum(parts) == literal)
    return DayLiterals(
        _joined(model, f"{name}.day", present, days), _joined(model, f"{name}.date", present, dates)
    )


def _joined(model: Model, name: str, present: Lit, groups: dict[int, list[Lit]]) -> dict[int, Lit]:
    if len(groups) == 1:
        return dict.fromkeys(groups, present)
    out = {}
    for key, literals in sorted(groups.items()):
        if len(literals) == 1:
            out[key] = literals[0]
        else:
            out[key] = model.new_bool_var(f"{name}.{key}")
            model.add(out[key] == sum(literals))
    return out


def task_days(
    model: Model, problem: Problem, name: str, present: Lit, start: Lit, starts: Mapping[int, tuple[int, int]]
) -> dict[int, Lit]:
    """The working day of a surface task; ``starts``: day → earliest and latest start on it."""
    if len(starts) <= 1:
        return dict.fromkeys(starts, present)
    out = {}
    for day, (low, high) in starts.items():
        out[day] = model.new_bool_var(f"{name}.day.{day}")
        model.add(start >= low).only_enforce_if(out[day])
        model.add(start <= high).only_enforce_if(out[day])
    model.add(sum(out.values()) == present)
    return out
