"""meal-break in the models: nobody is on duty longer than is allowed without a break of the length asked for.

Where times are variables: between a day's first duty and its last lies a chain of breaks, each an interval
that meets no duty, such that no piece between two of them is longer than is allowed. Where times are settled
(the naming): of two duties further apart than that one is not the person's, or a break lies between them.

The briefing before the first duty is duty: no break lies in it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ortools.sat.python import cp_model

from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.person_days import PersonDay, PersonDays, Spell, longest_day_min


def breaks_needed(longest_day_min: int, after_min: int, break_min: int) -> int:
    """Most breaks that a day may need: one whose two pieces around it are together no longer than one piece
    may be is not needed, so there is room for so many pairs of pieces only."""
    pairs = (longest_day_min + break_min) // (after_min + 1 + break_min)
    return 2 * max(0, pairs)


def meal_breaks(days: PersonDays) -> None:
    """State the rule for every person and working day."""
    rules = days.problem.job.rules
    longest = longest_day_min(days.problem)
    if rules.meal_break_min == 0 or longest <= rules.meal_break_after_min:
        return
    count = breaks_needed(longest, rules.meal_break_after_min, rules.meal_break_min)
    for person in days.problem.people:
        mine = days.spells.get(person.name, [])
        settled = all(isinstance(s.start, int) and isinstance(s.end, int) for s in mine)
        chained: list[cp_model.IntervalVar] = []
        for one in days.of_person(person.name):
            window = days.problem.days[one.day]
            if window.end_min - window.start_min <= rules.meal_break_after_min:
                continue
            alone = not days.problem.several_stretches(one.person, one.day)
            if settled and alone and not isinstance(days.calls.get(one.day), cp_model.IntVar):
                _between_settled(days, one)
            else:
                chained += _chain(days, one, count)
        if chained:
            days.model.add_no_overlap([*_stretches(days, person.name), *chained])


def _stretches(days: PersonDays, person: str) -> Iterator[cp_model.IntervalVar]:
    """What no break of a person may meet: his duties, those after which he comes back with the briefing."""
    for number, spell in enumerate(days.spells[person]):
        # On the safe side before every duty that may be the first after he has come back.
        again = max(
            days.problem.briefing_of_day(person, day) if days.problem.several_stretches(person, day) else 0
            for day in spell.day
        )
        name = f"no.break.{person}.{number}"
        if isinstance(spell.start, int) and isinstance(spell.end, int):
            start, size = spell.start - again, spell.end - spell.start + again
            if spell.literal is None:
                yield days.model.new_fixed_size_interval_var(start, size, name)
            else:
                yield days.model.new_optional_fixed_size_interval_var(start, size, spell.literal, name)
        else:
            assert spell.size is not None and spell.literal is not None
            yield days.model.new_optional_interval_var(
                spell.start - again, spell.size + again, spell.end, spell.literal, name
            )


def _chain(days: PersonDays, one: PersonDay, count: int) -> list[cp_model.IntervalVar]:
    """The breaks of a person's working day, as intervals; one that is not used has no length."""
    rules, window, model = days.problem.job.rules, days.problem.days[one.day], days.model
    low, high = window.start_min, window.end_min
    briefing = days.problem.briefing_of_day(one.person, one.day)
    pinned = days.problem.briefed_at(one.person, one.day)
    if one.called is True:
        pass  # The call lies right before the day's first work, or where a pin has it.
    elif pinned is not None:
        model.add(one.first >= pinned).only_enforce_if(one.worked)
    elif briefing:
        _first_is_his(model, one, days.own(one), briefing)
    out: list[cp_model.IntervalVar] = []
    at, before = one.first, one.worked
    for k in range(count):
        label = f"{one.person}.{one.day}.{k}"
        used = model.new_bool_var(f"breaks.{label}")
        start = model.new_int_var(low, high, f"break.{label}")
        size = model.new_int_var(0, high - low, f"break.size.{label}")
        end = model.new_int_var(low, high, f"again.{label}")
        model.add_implication(used, before)
        model.add(start - at <= rules.meal_break_after_min).only_enforce_if(used)
        model.add(start >= at + (briefing if k == 0 else 0)).only_enforce_if(used)
        model.add(size >= rules.meal_break_min).only_enforce_if(used)
        model.add(end <= one.last).only_enforce_if(used)
        model.add(end == at).only_enforce_if(~used)
        out.append(model.new_optional_interval_var(start, size, end, used, f"break.{label}"))
        at, before = end, used
    model.add(one.last - at <= rules.meal_break_after_min).only_enforce_if(one.worked)
    return out


def _first_is_his(
    model: Model, one: PersonDay, mine: list[tuple[Spell, list[Lit]]], briefing_min: int
) -> None:
    """The day begins with the briefing for one of its duties, and no earlier, or with the crew's."""
    begins = [] if isinstance(one.called, bool) else [one.called]
    for number, (spell, when) in enumerate(mine):
        literal = model.new_bool_var(f"begins.{one.person}.{one.day}.{number}")
        model.add_bool_and(when).only_enforce_if(literal) if when else None
        model.add(one.first >= spell.start - briefing_min).only_enforce_if(literal)
        begins.append(literal)
    model.add_bool_or(begins).only_enforce_if(one.worked)


def _between_settled(days: PersonDays, one: PersonDay) -> None:
    """A person's working day whose times are settled.

    A run of duties without a break is too long exactly where two of them, the first and the last of it, are.
    A break after a duty begins at its end; so there are as many moments for one as ends.
    """
    rules, model = days.problem.job.rules, days.model
    briefing = days.problem.briefing_of_day(one.person, one.day)
    mine = [(int(s.start), int(s.end), when) for s, when in days.own(one)]  # type: ignore[arg-type]
    pinned = days.problem.briefed_at(one.person, one.day)
    call = days.calls.get(one.day)
    if one.called is True and isinstance(call, int):
        pinned = call
    if pinned is not None:
        # Then it is a stretch of the day like any other, and no other lies before it.
        mine, briefing = [(pinned, pinned + briefing, []), *mine], 0
    starts = _held(model, [(start, when) for start, _, when in mine])
    ends = _held(model, [(end, when) for _, end, when in mine])
    free: dict[int, Lit] = {}
    for start, begun in starts.items():
        earlier = [when for at, _, when in mine if at < start]
        for end, ended in ends.items():
            if end - start + briefing <= rules.meal_break_after_min:
                continue
            ways: list[Lit] = []
            for at in ends:
                if start < at and at + rules.meal_break_min < end:
                    if at not in free:
                        free[at] = model.new_bool_var(f"eats.{one.person}.{at}")
                        for a, b, when in mine:
                            if a < at + rules.meal_break_min and at < b:
                                model.add_bool_or([~free[at], *(~w for w in when)])
                    ways.append(free[at])
            if end - start <= rules.meal_break_after_min:
                # Too long only with the briefing, and that only where this is the first of his duties.
                if not all(earlier):
                    continue
                ways += [literal for when in earlier for literal in when]
            model.add_bool_or([~begun, ~ended, *ways])


def _held(model: Model, moments: list[tuple[int, list[Lit]]]) -> dict[int, Lit]:
    """Moment → literal that is true where any of the duties of that moment is the person's."""
    out: dict[int, Lit] = {}
    for at, when in sorted(moments, key=lambda m: m[0]):
        if at not in out:
            out[at] = model.new_bool_var(f"held.{at}")
        model.add_bool_or([out[at], *(~literal for literal in when)])
    return out
