"""The crew's overtime that no plan can beat: of those who are on a day's first dive and on its last.

All on the first dive come before its dressing, all on the last stay until they are undressed, and there are
only so many people: some are both, and their day is as long as the diving. What makes a day of diving long is
the work, on several days spread over them as evenly as there is time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.job.duties import STANDBY_TENDER
from planner.schedule.model.bounds import HELD, first_duty_min, least_dived, least_dived_min
from planner.schedule.model.capacity import held_together
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.problem import DiveWork, Problem


@dataclass(frozen=True)
class DiveEnds:
    """People whom a day's first dive has at its dressing and its last at its undressing, at least."""

    there: int
    """On the bench, on watch and standing by."""
    more: int
    """Hands beside them, where the standby diver dresses with the divers."""
    standbys_before: int
    hands_before: int
    """The standby diver and his hands, where he dresses before the divers."""
    hands: int
    """Hands beside the bench that undress him; those who were on watch may lend them."""
    to_the_end: int
    """Those on the bench, the standby divers and those hands: all until undressed."""


def ends_of(problem: Problem, work: DiveWork) -> DiveEnds:
    """Of one dive; hands that may hold another of its duties (the job's pairs) count once."""
    need = held_together(problem, work)
    bench = len(work.seats) + sum(need[p.duty] for p in work.posts if p.held == "bench")
    watch = sum(need[p.duty] for p in work.posts if p.held == "watch")
    if not in_order(problem):
        return DiveEnds(bench + watch, 0, 0, 0, 0, bench)
    paired = problem.paired_with_hands(work)
    shared = {
        kind: sum(need[p.duty] for p in work.posts if p.held == kind and p.duty in {STANDBY_TENDER, *paired})
        for kind in HELD
    }
    # Of several standby divers one may dress after the other, by the same hands; all undress at once.
    alone = work.standbys == 1
    hands = max(0, work.hands - shared["bench"])
    return DiveEnds(
        there=bench + watch + work.standbys,
        more=max(0, work.hands - shared["bench"] - shared["watch"]) if alone else 0,
        standbys_before=work.standbys if alone else 0,
        hands_before=work.hands if alone else 0,
        hands=hands,
        to_the_end=bench + work.standbys + hands,
    )


def in_order(problem: Problem) -> bool:
    """Whether the dive that is dressed for first is also the first in the water of its station, and the last
    undressed the last, so that no standby diver stays in dress for another before or after it."""
    works = [w for w in problem.dives if w.slots]
    water = min((w.descent_min + w.least_work_min + w.ascent_least_min for w in works), default=0)
    dressing, undressing = ([getattr(w, f) for w in works] for f in ("dressing_min", "undressing_min"))
    return not works or max(max(d) - min(d) for d in (dressing, undressing)) <= water


def overtime_bound(problem: Problem, *, finish_min: int, latest_start_min: int) -> int:
    """Least overtime of the crew, minutes.

    Parameters
    ----------
    finish_min
        No plan with that work ends its last piece of work earlier than this.
    latest_start_min
        No plan with that finish and that work starts its first piece of work later than this.
    """
    firsts, lasts = _crews_at_the_ends(problem, latest_start_min, finish_min)
    for task in problem.tasks:
        if task.spans:
            count = sum(c for _, c in task.crew)
            firsts.append([latest_start_min] * count)
            lasts.append([finish_min] * count)
    return _least_of_both(problem, firsts, lasts)


def least_overtime_min(problem: Problem, work: int) -> int:
    """Overtime, minutes, of any plan of a one-day job with so much work, told without a search: of those who
    are on its first dive and on its last, whatever stands around them."""
    if len(problem.days) > 1 or any(w.beyond_what_is_offered for w in problem.dives if w.slots):
        return 0
    dived = least_dived_min(problem, work)
    if not dived:
        return 0
    return _least_of_both(problem, *_crews_at_the_ends(problem, 0, dived))


def least_overtime_over_days(problem: Problem, finish_at_most_min: int | None = None) -> int:
    """Overtime, minutes, of any plan of a job of several days with all of its work, told without a search.

    Each day that is dived on has a stretch from its first dressing to its last undressed, and together they
    are as long as the work asks for. What somebody's day is past the ordinary one is counted for each length
    of a day's stretch in people who are at both its ends (`_lengths_past_which_one_more`): a sum that grows
    ever faster, so that it is least where the stretches are as even as the days allow.

    Parameters
    ----------
    finish_at_most_min
        The plans in question end no later; None: with the last day.
    """
    if len(problem.days) == 1 or any(w.beyond_what_is_offered for w in problem.dives if w.slots):
        return 0
    last = problem.days[-1].end_min if finish_at_most_min is None else finish_at_most_min
    room = [
        max(0, min(window.end_min, last) - first_duty_min(problem, day))
        for day, window in enumerate(problem.days)
    ]
    lengths = _lengths_past_which_one_more(problem)
    least = 0
    for dived in least_dived(problem, work_there_is(problem)):
        spread = [
            sum(max(0, stretch - length) for stretch in stretches for length in lengths)
            for days in range(1, len(room) + 1)
            if (stretches := _evenly(dived.over(days), sorted(room, reverse=True)[:days])) is not None
        ]
        least = max(least, min(spread, default=0))
    return least


def _evenly(total: int, room: list[int]) -> list[int] | None:
    """A total spread over days as evenly as the room on each allows; None where it is more than all of it."""
    if total > sum(room):
        return None
    out = []
    for k, most in enumerate(sorted(room)):
        out.append(min(most, total // (len(room) - k)))
        total -= out[-1]
    return out


def _lengths_past_which_one_more(problem: Problem) -> list[int]:
    """Minutes from a day's first dressing to its last undressed past which one more person has overtime, for
    each who surely is there at both ends: the latest of any pair of dives that may be the first and last."""
    firsts, lasts = _crews_at_the_ends(problem, 0, 0)
    people = sum(1 for p in problem.people if problem.hours[p.name])
    firsts = _called(problem, firsts, people)
    ordinary = problem.job.rules.overtime_after_min - problem.least_briefing_min
    pairs = {(tuple(sorted(s)), tuple(sorted(e))) for s in firsts for e in lasts}
    each = [sorted(ordinary - day for day in _days_of_both(list(s), list(e), people)) for s, e in pairs]
    return [max(own) for own in zip(*each, strict=False)]


def _crews_at_the_ends(
    problem: Problem, start_min: int, end_min: int
) -> tuple[list[list[int]], list[list[int]]]:
    """When those on a first dive, dressed for then, come at the latest, and those on a last one, undressed
    then, go at the earliest: for each dive that may be it."""
    firsts, lasts = [], []
    for work in problem.dives:
        if not work.slots:
            continue
        crew = ends_of(problem, work)
        # The standby diver dresses with the divers, by hands of his own, or before them, by anyone's.
        firsts.append([start_min] * (crew.there + crew.more))
        before = crew.standbys_before + crew.hands_before
        earlier = [start_min - work.dressing_min] * before
        firsts.append(earlier + [start_min] * max(0, crew.there - before))
        off = max(0, crew.there - crew.to_the_end)
        lasts.append([end_min - work.undressing_min] * off + [end_min] * crew.to_the_end)
    return firsts, lasts


def _called(problem: Problem, firsts: list[list[int]], people: int) -> list[list[int]]:
    """The crews of a first dive; where one briefing calls the whole crew, whoever has a duty that day
    is there with the first of them."""
    if not problem.all_called or not firsts:
        return firsts
    return [[max(max(own) for own in firsts if own)] * people]


def _least_of_both(problem: Problem, firsts: list[list[int]], lasts: list[list[int]]) -> int:
    people = sum(1 for p in problem.people if problem.hours[p.name])
    firsts = _called(problem, firsts, people)
    ordinary = problem.job.rules.overtime_after_min - problem.least_briefing_min
    return min((_least_over(s, e, people, ordinary) for s in firsts for e in lasts), default=0)


def _least_over(starts: list[int], ends: list[int], people: int, ordinary_min: int) -> int:
    """Least overtime of those who must be both in a first crew and in a last one."""
    return sum(max(0, day - ordinary_min) for day in _days_of_both(starts, ends, people))


def _days_of_both(starts: list[int], ends: list[int], people: int) -> Iterator[int]:
    """Minutes of the day of each who must be both in a first crew and in a last one: the latest to come and
    the earliest to go, each with his like (the sum of what passes the ordinary day is convex)."""
    starts, ends = sorted(starts, reverse=True)[:people], sorted(ends)[:people]
    both = max(0, len(starts) + len(ends) - people)
    return (end - start for start, end in zip(starts[:both], ends[:both][::-1], strict=True))
