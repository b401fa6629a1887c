"""The tide: the level between high and low water, slack around them, depth with it, and the open CSV."""

from __future__ import annotations

from datetime import date

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from planner.errors import InputFaults
from planner.job import Clock, DiveItem, Job, Site, Span, TideMark, WaterWindow
from planner.job.tide import (
    covers,
    deepest_fsw,
    depth_with_tide_fsw,
    effective_water_windows,
    greatest_level_ft,
    level_ft,
    spans_no_deeper,
)
from planner.job.tide_csv import read_tide_csv
from tests.world.parts import at

CLOCK = Clock(date(2026, 5, 12), "Europe/Lisbon")


def mark(minute: int, level: float, high: bool) -> TideMark:
    return TideMark(minute=minute, level_ft=level, high=high)


#: A published exercise of a tide: high water 9.5 ft at 11:11, low water 0.5 ft at 17:12.
EXERCISE = (mark(at(11, 11), 9.5, True), mark(at(17, 12), 0.5, False))


def job_with(marks: tuple[TideMark, ...], item: DiveItem | None = None, **site: int) -> Job:
    return Job(
        site=Site(name="Quay", first_day=date(2026, 5, 12), time_zone="Europe/Lisbon", **site),
        stations=(),
        people=(),
        dive_items=(item,) if item else (),
        tide_marks=marks,
    )


def item(depth_fsw: int, follows: bool = True) -> DiveItem:
    return DiveItem(name="Piles", depth_fsw=depth_fsw, bottom_work_min=30, depth_follows_tide=follows)


def test_the_published_exercise() -> None:
    """High 9.5 ft at 11:11, low 0.5 ft at 17:12: half of the range of 9 ft is gone at about 14:00, so the
    level is 5 ft there within half a foot (rule of twelfths)."""
    level = level_ft(EXERCISE, at(14))
    assert level is not None
    assert level == pytest.approx(5.0, abs=0.5)
    assert level_ft(EXERCISE, at(14, 11) + 0.5) == pytest.approx(5.0)


def test_the_rule_of_twelfths() -> None:
    """By hand 1, 2, 3, 3, 2 and 1 twelfths of the range go in the six parts of the fall; the curve keeps
    within half a foot of that on a range of 9 ft."""
    gone = 0
    for part, twelfths in enumerate((1, 2, 3, 3, 2, 1), start=1):
        gone += twelfths
        level = level_ft(EXERCISE, at(11, 11) + part * 361 / 6)
        assert level == pytest.approx(9.5 - 9 * gone / 12, abs=0.5)


def test_outside_the_table_nobody_knows() -> None:
    """Before the first and after the last mark there is no level and no greatest level."""
    assert level_ft(EXERCISE, at(11, 10)) is None
    assert level_ft((), at(12)) is None
    assert greatest_level_ft(EXERCISE, at(11, 10), at(12)) is None
    assert not covers(EXERCISE, at(12), at(17, 13))
    assert covers(EXERCISE, at(11, 11), at(17, 12))


def test_the_greatest_level_of_a_span_may_lie_in_its_middle() -> None:
    """A span over high water has the high water's level, not that of either end."""
    marks = (mark(at(5), 0.5, False), *EXERCISE)
    assert greatest_level_ft(marks, at(10), at(12)) == 9.5
    ends = [level_ft(marks, at(10)), level_ft(marks, at(12))]
    assert all(e is not None and e < 9.5 for e in ends)


def test_depth_with_the_tide_is_rounded_up() -> None:
    """Charted 50 fsw and 9.5 ft are 60 fsw; 40 fsw and 1.0 ft are 41, not 42; a foot is taken as a fsw."""
    assert depth_with_tide_fsw(job_with(EXERCISE), item(50), at(11, 11), at(11, 30)) == 60
    flat = (mark(0, 1.0, True), mark(600, 1.0, False))
    assert depth_with_tide_fsw(job_with(flat), item(40), 10, 20) == 41
    assert depth_with_tide_fsw(job_with(EXERCISE), item(50), at(10), at(12)) is None
    assert depth_with_tide_fsw(job_with(()), item(50, follows=False), at(10), at(12)) == 50
    assert deepest_fsw(job_with(EXERCISE), item(50)) == 60
    assert deepest_fsw(job_with(EXERCISE), item(50, follows=False)) == 50


def test_below_datum_the_water_is_shallower() -> None:
    """A level under the datum takes from the charted depth; the depth is never less than 1 fsw."""
    marks = (mark(0, -0.5, True), mark(600, -3.0, False))
    assert depth_with_tide_fsw(job_with(marks), item(50), 0, 0) == 50
    assert depth_with_tide_fsw(job_with(marks), item(50), 600, 600) == 47
    assert depth_with_tide_fsw(job_with(marks), item(1), 0, 600) == 1


levels = st.lists(st.integers(0, 120), min_size=2, max_size=6)


@settings(max_examples=200, deadline=None)
@given(levels, st.integers(0, 13), st.data())
def test_spans_no_deeper_hold_what_they_promise(
    tenths: list[int], extra_fsw: int, data: st.DataObject
) -> None:
    """Any stretch inside one of the spans is no deeper; any minute that is no deeper lies in one."""
    marks = tuple(mark(370 * i, level / 10, i % 2 == 0) for i, level in enumerate(tenths))
    job, piles = job_with(marks), item(40)
    spans = spans_no_deeper(job, piles, 40 + extra_fsw)
    for span in spans:
        start = data.draw(st.integers(span.start_min, span.end_min))
        end = data.draw(st.integers(start, span.end_min))
        depth = depth_with_tide_fsw(job, piles, start, end)
        assert depth is not None and depth <= 40 + extra_fsw
    minute = data.draw(st.integers(0, marks[-1].minute - 1))
    depth = depth_with_tide_fsw(job, piles, minute, minute + 1)
    if depth is not None and depth <= 40 + extra_fsw:
        assert any(span.covers(minute, minute + 1) for span in spans)


@settings(max_examples=200, deadline=None)
@given(levels, st.data())
def test_the_greatest_level_is_no_less_than_any_in_between(tenths: list[int], data: st.DataObject) -> None:
    """Brute force, minute by minute: the greatest of the levels is what is found."""
    marks = tuple(mark(37 * i, level / 10, i % 2 == 0) for i, level in enumerate(tenths))
    start = data.draw(st.integers(0, marks[-1].minute))
    end = data.draw(st.integers(start, marks[-1].minute))
    every = [level_ft(marks, m) for m in range(start, end + 1)]
    assert greatest_level_ft(marks, start, end) == pytest.approx(
        max(e for e in every if e is not None), abs=1e-9
    )


def test_slack_around_each_water() -> None:
    """Offset 20 min and length 50: from 5 min before to 45 min after each mark; typed windows stay."""
    job = job_with(EXERCISE, slack_offset_min=20, slack_length_min=50)
    typed = WaterWindow(start_min=at(8), end_min=at(9))
    windows = effective_water_windows(job.replace(water_windows=(typed,)))
    assert windows[0] == typed
    assert [(w.start_min, w.end_min, w.label) for w in windows[1:]] == [
        (at(11, 6), at(11, 56), "slack at high water"),
        (at(17, 7), at(17, 57), "slack at low water"),
    ]
    assert all(not w.stations for w in windows[1:])


def test_without_a_length_only_what_was_typed() -> None:
    """As shipped no slack window is made from the tide."""
    assert effective_water_windows(job_with(EXERCISE)) == ()


CSV = "\n".join(
    (
        "Date Time, Prediction, Type",
        "2026-05-11 22:40,9.4,H",
        "2026-05-12 04:51,0.6,L",
        "2026-05-12 11:11,9.5,H",
        "2026-05-12 17:12,0.5,L",
        "2026-05-12 23:30,9.3,H",
        "2026-05-13 05:40,0.7,L",
        "2026-05-20 05:40,0.7,L",
    )
)


def faults(text: str) -> list[str]:
    with pytest.raises(InputFaults) as found:
        read_tide_csv(text, CLOCK)
    return [str(f) for f in found.value.faults]


def test_the_open_csv() -> None:
    """Date Time, Prediction, Type: local times, feet, H and L; what lies far from the job is left out."""
    marks = read_tide_csv(CSV, CLOCK)
    assert marks[2:4] == EXERCISE
    assert marks[0] == mark(-80, 9.4, True)
    assert len(marks) == 6


def test_windows_lines_a_byte_order_mark_and_another_order() -> None:
    """CRLF, a byte order mark, blank lines, columns in another order and unsorted lines change nothing."""
    head, *lines = CSV.split("\n")
    rows = [line.split(",") for line in reversed(lines)]
    text = "\ufeff" + "Type,Date Time,Prediction\r\n\r\n"
    text += "\r\n".join(f"{kind},{when},{level}" for when, level, kind in rows)
    assert read_tide_csv(text, CLOCK) == read_tide_csv(CSV, CLOCK)
    assert head.startswith("Date Time")


def test_metres_and_utc() -> None:
    """3 m are 9.84 ft (NIST SP 811: 1 ft is 0.3048 m); Lisbon in May is an hour ahead of UTC."""
    text = CSV.replace("2026-05-12 11:11,9.5", "2026-05-12 11:11,3")
    found = read_tide_csv(text, CLOCK, metres=True, utc=True)
    high = next(m for m in found if m.minute == at(12, 11))
    assert high.level_ft == pytest.approx(9.8425, abs=1e-4)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "no waters"),
        ("Date Time, Prediction, Type", "no waters"),
        ("time,height\n1,2", "The column Date Time is missing"),
        (CSV.replace("17:12,0.5,L", "17:12,0.5,X"), "neither a high nor a low"),
        (CSV.replace("17:12,0.5,L", "17:12,low,L"), "no level"),
        (CSV.replace("17:12,0.5,L", "17:12,nan,L"), "no level"),
        (CSV.replace("17:12,0.5,L", "17:12,61,L"), "no level"),
        (CSV.replace("2026-05-12 17:12", "12 May, noon"), "no date and time"),
        (CSV.replace("2026-05-12 17:12", "2026-02-30 17:12"), "no date and time"),
        (CSV.replace("17:12,0.5,L", "17:12"), "no level"),
        (CSV.replace("17:12,0.5,L", "17:12,0.5,H"), "Two high waters follow"),
        (CSV.replace("2026-05-12 17:12", "2026-05-12 11:11"), "at the same time"),
        (CSV.replace("2026-05-", "2026-06-"), "does not reach over"),
        ("Date Time, Prediction, Type\n" + "x,1,H\n" * 60_000, "too long"),
        ('Date Time, Prediction, Type\n"2026-05-12 17:12,0.5,L', "no date and time"),
    ],
)
def test_a_bad_table_is_told_in_sentences(text: str, word: str) -> None:
    """Whatever is wrong with the file, the answer is faults with a sentence and what is allowed."""
    told = faults(text)
    assert any(word in fault for fault in told), told
    assert all("Allowed:" in fault for fault in told)


def test_all_faults_are_told_with_their_lines() -> None:
    """Three wrong lines are three faults, each with its line number."""
    text = CSV.replace("11:11,9.5,H", "11:11,9.5,?").replace("17:12,0.5", "17:12,x").replace("23:30", "25:30")
    told = faults(text)
    assert [t.split(":")[0] for t in told] == [f"tide table, line {n}" for n in (4, 5, 6)]


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=60) | st.text(max_size=60).map(lambda t: CSV.replace("0.5,L", t)))
def test_any_text_is_marks_or_faults(text: str) -> None:
    """No text ends in a traceback."""
    try:
        marks = read_tide_csv(text, CLOCK)
    except InputFaults as found:
        assert found.faults
    else:
        assert covers(marks, 0, 1440)


def test_a_span_is_a_span() -> None:
    """The rising half of the exercise turned round is shallow first, so the span begins at low water."""
    rising = (mark(0, 0.5, False), mark(361, 9.5, True))
    (span,) = spans_no_deeper(job_with(rising), item(50), 55)
    assert span == Span(start_min=0, end_min=180)


def test_bytes_are_read_as_text_is_and_what_is_no_text_is_told() -> None:
    """The file may be handed over as its bytes; bytes that are no UTF-8 are a fault with a sentence."""
    assert read_tide_csv(CSV.encode(), CLOCK) == read_tide_csv(CSV, CLOCK)
    with pytest.raises(InputFaults, match="no CSV"):
        read_tide_csv(b"\xff\xfe\x00D", CLOCK)


def test_a_high_water_below_the_low_before_it_is_told_with_its_line() -> None:
    """A table whose levels contradict its types is refused as the job would be."""
    told = faults(CSV.replace("17:12,0.5,L", "17:12,9.9,L"))
    assert any("A low water lies above the high water before it" in fault for fault in told), told
