"""Rest between hours of work, in windows that roll: the rules, and who breaks them when.

The arithmetic is of stretches of work in minutes of any one clock; used for plans, for logs and for a
crew's week. What is not known is taken as rest, so more days of hours can only bring more breaches to light.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from planner.check.facts import Facts
from planner.check.rule import Basis, Rule, convicts_by
from planner.job.crew_rules import CrewRules
from planner.job.job import Job
from planner.plan.finding import Finding
from planner.words.measures import minutes_words

DAY_MIN = 1440
WEEK_MIN = 7 * DAY_MIN

_MLC = "MLC 2006, Standard A2.3, paragraphs 5 and 6: rolling windows, not calendar days"
_JUDGED = f"{_MLC}; judged in the 24 hours from each start and up to each end of work: common practice"

REST_IN_24, REST_IN_7_DAYS, REST_PARTS, REST_SIX_HOURS, REST_14_BETWEEN = (
    "rest-10-in-24",
    "rest-77-in-7-days",
    "rest-two-parts",
    "rest-six-hours",
    "rest-14-between",
)

REST_RULES: tuple[Rule, ...] = tuple(
    Rule(id, sentence, source, Basis.REGULATION, limits)
    for id, sentence, source, limits in (
        (
            REST_IN_24,
            "At least 10 hours of rest in any 24 hours.",
            _MLC,
            ("rest_in_24h_min", "rest_least_min"),
        ),
        (REST_IN_7_DAYS, "At least 77 hours of rest in any 7 days.", _MLC, ("rest_in_7d_min",)),
        (REST_PARTS, "The 10 hours of rest in 24 come in no more than two parts.", _JUDGED, ("rest_parts",)),
        (REST_SIX_HOURS, "One of the two parts is at least 6 hours long.", _JUDGED, ("rest_long_part_min",)),
        (
            REST_14_BETWEEN,
            "No more than 14 hours from one rest to the next.",
            _MLC,
            ("work_between_rests_max_min",),
        ),
    )
)


@dataclass(frozen=True)
class RestLimits:
    """The numbers of the rest rules, minutes."""

    in_24h_min: int = 600
    in_7_days_min: int = 77 * 60
    """Least rest in any 24 hours and in any 7 days."""
    parts: int = 2
    """In how many parts the rest of 24 hours may come."""
    one_part_min: int = 360
    """Least length of one of the parts."""
    between_max_min: int = 840
    """Most work from one rest to the next."""
    short_break_min: int = 60
    """A shorter gap in the work is a break and no rest (common practice: an hour; MLC 2006 A2.3 says that
    short breaks are no rest and gives no number)."""


@dataclass(frozen=True)
class ShortRest:
    """Too little rest: in the window from ``start_min`` to ``end_min`` there is ``found_min``.

    For ``rest-14-between`` the window is the work without rest and ``found_min`` its length.
    """

    rule: str
    start_min: int
    end_min: int
    found_min: int
    asked_min: int

    def sentence(self, at: Callable[[int], str]) -> str:
        """What is short, in words; ``at`` writes a minute as a time."""
        window = f"{at(self.start_min)} to {at(self.end_min)}"
        found, asked = minutes_words(self.found_min), minutes_words(self.asked_min)
        if self.rule == REST_14_BETWEEN:
            return f"{found} from one rest to the next, {window}; {asked} at most."
        what = {
            REST_IN_24: "of rest",
            REST_IN_7_DAYS: "of rest",
            REST_PARTS: "of rest in its two longest parts",
            REST_SIX_HOURS: "in the longest part of the rest",
        }[self.rule]
        return f"{found} {what} in the window {window}; at least {asked}."


def stretches_of_work(
    work: Iterable[tuple[int, int]], short_break_min: int = 60
) -> tuple[tuple[int, int], ...]:
    """Work in order, with everything joined that has less than a short break between it."""
    merged: list[tuple[int, int]] = []
    for start, end in sorted((s, e) for s, e in work if e > s):
        if merged and start - merged[-1][1] < short_break_min:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return tuple(merged)


def short_rests(
    work: Iterable[tuple[int, int]], limits: RestLimits | None = None, since_min: int | None = None
) -> tuple[ShortRest, ...]:
    """Every rest rule that one person's hours break, in order of time.

    Parameters
    ----------
    work
        Stretches of work of one person, start and end in minutes of one clock, in any order; they may
        overlap.
    limits
        The numbers; those of MLC 2006 when not given.
    since_min
        Where given, only windows that end after this minute are judged: what lies wholly before is past.

    Returns
    -------
    tuple of ShortRest
        Of windows that overlap only the worst is told.
    """
    limits = limits or RestLimits()
    spells = stretches_of_work(work, limits.short_break_min)
    if _surely_rested(spells, limits):
        return ()
    rests = _Rests(spells)
    starts = _reaching(sorted({s for s, _ in spells} | {e - DAY_MIN for _, e in spells}), DAY_MIN, since_min)
    days = _reaching(_windows(spells, DAY_MIN), DAY_MIN, since_min)
    weeks = _reaching(_windows(spells, WEEK_MIN), WEEK_MIN, since_min)
    found = [
        *_worst(days, rests.total, DAY_MIN, limits.in_24h_min, REST_IN_24),
        *_worst(weeks, rests.total, WEEK_MIN, limits.in_7_days_min, REST_IN_7_DAYS),
        *_worst(
            starts,
            lambda a, b: sum(sorted(rests.parts(a, b), reverse=True)[: limits.parts]),
            DAY_MIN,
            limits.in_24h_min,
            REST_PARTS,
        ),
        *_worst(
            starts,
            lambda a, b: max(rests.parts(a, b), default=0),
            DAY_MIN,
            limits.one_part_min,
            REST_SIX_HOURS,
        ),
        *(
            ShortRest(REST_14_BETWEEN, start, end, end - start, limits.between_max_min)
            for start, end in spells
            if end - start > limits.between_max_min and (since_min is None or end > since_min)
        ),
    ]
    # too little rest in all is told once, not again as too little in two parts
    short = [b for b in found if b.rule == REST_IN_24]
    kept = [
        b
        for b in found
        if b.rule != REST_PARTS or not any(s.start_min < b.end_min and b.start_min < s.end_min for s in short)
    ]
    return tuple(sorted(kept, key=lambda b: (b.start_min, b.rule)))


def _surely_rested(spells: Sequence[tuple[int, int]], limits: RestLimits) -> bool:
    """Whether every rule holds by the days alone, as on nearly all of them: a night as long as a day's rest
    between two days, no day longer than that leaves of 24 hours, no more work in all than a week may hold.

    A window of a day then meets one day, with the rest on one side of it where it begins or ends with work,
    or the whole night between two.
    """
    night_min = max(limits.in_24h_min, limits.one_part_min)
    days = stretches_of_work(spells, night_min)
    return (
        all(end - start <= DAY_MIN - night_min for start, end in days)
        and all(end - start <= limits.between_max_min for start, end in spells)
        and sum(end - start for start, end in days) <= WEEK_MIN - limits.in_7_days_min
    )


class _Rests:
    """Rest around the stretches of work of one person; before the first and after the last without end."""

    def __init__(self, spells: Sequence[tuple[int, int]]) -> None:
        self._spells = spells
        self._ends = [end for _, end in spells]

    def parts(self, start_min: int, end_min: int) -> list[int]:
        """Lengths of the pieces of rest inside a window."""
        pieces, at = [], start_min
        for spell_start, spell_end in self._spells[bisect_left(self._ends, start_min) :]:
            if spell_start >= end_min:
                break
            if spell_start > at:
                pieces.append(spell_start - at)
            at = max(at, spell_end)
        if at < end_min:
            pieces.append(end_min - at)
        return pieces

    def total(self, start_min: int, end_min: int) -> int:
        """All rest inside a window."""
        return sum(self.parts(start_min, end_min))


def _windows(spells: Sequence[tuple[int, int]], length_min: int) -> list[int]:
    """Starts of windows among which the least rest of all windows is found.

    The rest in a sliding window is a line between the moments at which one of its sides passes a start or
    an end of work, so its least value lies at such a moment.
    """
    sides = {minute for spell in spells for minute in spell}
    return sorted(sides | {minute - length_min for minute in sides})


def _reaching(starts: list[int], length_min: int, since_min: int | None) -> list[int]:
    """Of the windows those that end after ``since_min``, and the first that does."""
    if since_min is None:
        return starts
    first = since_min + 1 - length_min
    return sorted({first, *(start for start in starts if start > first)})


def _worst(
    starts: Iterable[int], rest: Callable[[int, int], int], length_min: int, asked_min: int, rule: str
) -> list[ShortRest]:
    """The worst of each run of windows that overlap and have too little rest."""
    kept: list[ShortRest] = []
    for start in starts:
        found = rest(start, start + length_min)
        if found >= asked_min:
            continue
        breach = ShortRest(rule, start, start + length_min, found, asked_min)
        if kept and start < kept[-1].end_min:
            if found < kept[-1].found_min:
                kept[-1] = breach
        else:
            kept.append(breach)
    return kept


def rest_limits(rules: CrewRules) -> RestLimits:
    """The job's numbers for rest in rolling windows; those it does not ask for can never be broken."""
    asked = rules.rest_in_24h_min > 0
    return RestLimits(
        in_24h_min=rules.rest_in_24h_min,
        in_7_days_min=rules.rest_in_7d_min,
        parts=rules.rest_parts,
        one_part_min=rules.rest_long_part_min if asked else 0,
        between_max_min=rules.work_between_rests_max_min if asked else 10**6,
        short_break_min=rules.rest_least_min,
    )


def rest_windows_asked(job: Job) -> bool:
    return job.rules.rest_in_24h_min > 0 or job.rules.rest_in_7d_min > 0


@convicts_by(*REST_RULES)
def rest_in_windows(facts: Facts) -> Iterator[Finding]:
    limits = rest_limits(facts.job.rules)
    for name, spells in facts.spells_of_person.items():
        work = [(s.start_min, s.end_min) for s in facts.people[name].past_work]
        work += [(s.start_min, s.end_min) for s in spells]
        for short in short_rests(work, limits, since_min=spells[0].start_min):
            yield Finding(short.rule, f"{name}: {short.sentence(facts.at)}", name)
