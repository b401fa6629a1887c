"""Rest in rolling windows: the worked example and the rules' edges (MLC 2006, Standard A2.3)."""

from __future__ import annotations

from unittest import mock

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check.rest import REST_RULES, RestLimits, short_rests, stretches_of_work
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.hours.timesheets import REST_JUDGED, timesheets
from tests.world.worked_days import record, spell

HOUR = 60


def _rules_broken(*work: tuple[float, float]) -> set[str]:
    return {b.rule for b in short_rests([(int(s * HOUR), int(e * HOUR)) for s, e in work])}


def test_worked_example_of_the_rolling_window() -> None:
    """Rest 00–06 and 20–24, next day work at 05: the window 06–06 holds 9 h, a breach.

    Source: STCW A-VIII/1 and MLC 2006 A2.3, windows that roll.
    """
    (breach,) = short_rests([(6 * HOUR, 20 * HOUR), (29 * HOUR, 40 * HOUR)])
    assert breach.rule == "rest-10-in-24"
    assert (breach.start_min, breach.end_min) == (6 * HOUR, 30 * HOUR)
    assert (breach.found_min, breach.asked_min) == (9 * HOUR, 10 * HOUR)


def test_the_same_days_an_hour_later_hold() -> None:
    """With work from 06:00 on the second day the window holds exactly 10 h: no breach (same source)."""
    assert _rules_broken((6, 20), (30, 40)) == set()


def test_seven_days_need_seventy_seven_hours() -> None:
    """Seven days of 13 h leave 77 h of rest; with one quarter hour more they do not (MLC 2006 A2.3)."""
    assert _rules_broken(*((24 * d + 6, 24 * d + 19) for d in range(7))) == set()
    longer = [(24 * d + 6.0, 24 * d + 19.0) for d in range(7)]
    longer[3] = (24 * 3 + 6, 24 * 3 + 19.25)
    assert _rules_broken(*longer) == {"rest-77-in-7-days"}


def test_rest_in_three_parts_is_not_enough() -> None:
    """6 + 3 + 3 h are 12 h, but the two longest parts only 9 (MLC 2006 A2.3: no more than two parts)."""
    assert _rules_broken((6, 10), (13, 17), (20, 24), (30, 34)) == {"rest-two-parts"}


def test_one_part_of_six_hours() -> None:
    """5 + 5 h are 10 h in two parts, none of six (MLC 2006 A2.3)."""
    assert "rest-six-hours" in _rules_broken((5, 12), (17, 24), (29, 36), (41, 48))


def test_fourteen_hours_between_rests() -> None:
    """14 h of work hold, 15 do not; under an hour is no rest (MLC 2006 A2.3; the hour: common practice)."""
    assert _rules_broken((0, 14)) == set()
    assert "rest-14-between" in _rules_broken((0, 7), (7.5, 15))


def test_an_hour_is_a_rest_and_a_minute_less_is_none() -> None:
    """7 + 7 h with 60 min between are two stretches, with 59 min one of 14 h 59 min (common practice)."""
    assert stretches_of_work([(0, 420), (480, 900)]) == ((0, 420), (480, 900))
    assert stretches_of_work([(0, 420), (479, 899)]) == ((0, 899),)


@given(st.lists(st.tuples(st.integers(0, 4000), st.integers(1, 900)), min_size=1, max_size=8))
@settings(deadline=None)
def test_no_window_is_missed(spells: list[tuple[int, int]]) -> None:
    """Counting every minute of every 24 h window finds a breach exactly when the rule does (arithmetic)."""
    work = [(start, start + length) for start, length in spells]
    busy = [0] * 8000
    for start, end in work:
        busy[start + 1500 : end + 1500] = [1] * (end - start)
    # breaks under an hour are no rest
    at = 0
    edges = [i for i in range(1, 8000) if busy[i] != busy[i - 1]]
    for one, other in zip(edges[1::2], edges[2::2], strict=False):
        if other - one < 60:
            busy[one:other] = [1] * (other - one)
    worked = sum(busy[:1440])
    most = worked
    for at in range(1440, 8000):
        worked += busy[at] - busy[at - 1440]
        most = max(most, worked)
    told = {b.rule for b in short_rests(work)}
    assert ("rest-10-in-24" in told) == (most > 840)


_A_DAY = st.tuples(st.integers(0, 700), st.integers(1, 500), st.integers(0, 400), st.integers(0, 500))


@given(st.lists(_A_DAY, min_size=1, max_size=9), st.sampled_from([1, 2, 3]), st.sampled_from([0, 360, 900]))
@settings(deadline=None, max_examples=300)
def test_days_that_are_surely_rested_break_no_window(
    days: list[tuple[int, int, int, int]], parts: int, one_part_min: int
) -> None:
    """Two stretches a day with a break between: what the days alone settle, the windows find as well."""
    work = []
    for number, (begins, first, between, second) in enumerate(days):
        start = 1440 * number + begins
        work += [(start, start + first), (start + first + between, start + first + between + second)]
    limits = RestLimits(parts=parts, one_part_min=one_part_min)
    told = short_rests(work, limits)
    with mock.patch("planner.check.rest._surely_rested", lambda *_: False):
        assert short_rests(work, limits) == told


def test_work_before_the_job_counts() -> None:
    """Hours worked the evening before break the window of the first morning, under the rule's id."""
    late = record(
        spell("Ana", "tender", "0500", "1500"), days=1, worked_before=(("Ana", -18 * HOUR, -4 * HOUR),)
    )
    ((person, breach),) = timesheets([late], EXAMPLE_RULES).rest
    assert person == "Ana" and breach.rule == "rest-10-in-24" and breach.found_min == 9 * HOUR
    assert breach.rule in {rule.id for rule in REST_RULES}
    assert "9 h 00 of rest" in breach.sentence(str)


def test_short_rest_says_by_what_it_is_judged() -> None:
    """A plan is checked by the rules of its job, which may ask for no rest: the hours say so."""
    for before, told in (((("Ana", -18 * HOUR, -4 * HOUR),), True), ((), False)):
        day = record(spell("Ana", "tender", "0500", "1500"), days=1, worked_before=before)
        assert (REST_JUDGED in timesheets([day], EXAMPLE_RULES).notes) is told


@pytest.mark.parametrize("rule", REST_RULES, ids=lambda rule: rule.id)
def test_every_rest_rule_names_its_source(rule: object) -> None:
    """Each rule says where it comes from."""
    assert "MLC 2006" in getattr(rule, "source")  # noqa: B009
