"""The one-page summary: everything the officer asks first, within 100 columns, safe for a terminal."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import CAUTION
from planner.job import AirPlant
from planner.plan.model import Status
from planner.sheets.summary import COLUMNS, columns_of, pad, plain, summary_text
from tests.world.pier import pier_job, pier_plan

JOB = pier_job()
PLAN = pier_plan(JOB)


@cache
def page() -> str:
    """The page of the pier's day."""
    return summary_text(PLAN, JOB)


def flat() -> str:
    """Its words in one line."""
    return " ".join(page().split())


def test_lines_fit_a_hundred_columns() -> None:
    """No line is wider than 100 columns, Chinese letters counted as two."""
    assert max(columns_of(line) for line in page().splitlines()) <= COLUMNS


def test_it_says_what_when_and_how_good() -> None:
    """Job, caution, first call, end, work planned, status, each stage with its proof."""
    for words in (
        JOB.site.name,
        CAUTION,
        "First call 07:00",
        "last hand free 14:52",
        "6 dives",
        "17 of 17 people on duty",
        "2 items left over",
        "work finished: 4,040 weighted minutes, not proven: no plan reaches more than 4,100, gap 1.5 %",
        "finish: 14:52, proven best",
    ):
        assert words in flat()


@pytest.mark.parametrize("dive", PLAN.dives, ids=lambda d: d.id)
def test_each_dive_has_its_line(dive) -> None:  # type: ignore[no-untyped-def]
    """Id, leave surface, leave bottom, reach surface, depth, bottom time; divers and standby under it."""
    line = next(line for line in page().splitlines() if line.startswith(f"{dive.id} "))
    for minute in (dive.leave_surface_min, dive.leave_bottom_min, dive.reach_surface_min):
        assert JOB.clock.hhmm(minute) in line
    assert f"{dive.depth_fsw} fsw" in line and f"{dive.bottom_time_min} min" in line
    for diver in dive.divers:
        assert f"{dive.station}: " in flat() and diver.person in flat()
    standby = next(s.person for s in PLAN.duties if s.dive == dive.id and s.duty == "standby diver")
    assert f"standby {standby}: " in flat()


def test_leftovers_come_with_reasons_and_rule_ids() -> None:
    """What is left of each item and why, with the id of the rule that decides."""
    assert "Replace fender chain: 1 h 00 of 1 h 00 left" in flat()
    for left in PLAN.leftovers:
        for reason in left.reasons:
            assert reason.sentence in flat()
            assert reason.rule is None or f"[{reason.rule}]" in flat()


def test_a_leftover_without_reasons_is_not_silent() -> None:
    """When no reason could be proven the page says so."""
    plan = PLAN.replace(leftovers=(PLAN.leftovers[0].replace(reasons=()),))
    assert "No reason could be proven" in summary_text(plan, JOB)


def test_nothing_left_is_said() -> None:
    """An empty list of leftovers is told, not left to be guessed; what is proven of the plan stands in words
    of the crew at the head, its status under HOW GOOD, and no gap above that."""
    text = summary_text(PLAN.replace(leftovers=(), status=Status.PROVEN_BEST), JOB)
    assert "nothing: every item is planned in full" in text
    assert "all work planned, no better plan by these rules" in text.splitlines()[1]
    head, good = page().split("HOW GOOD")
    assert "gap" not in head and "gap 1.5 %" in good
    assert "HOW GOOD  proven best" in text


def test_air_tells_peak_and_what_fails() -> None:
    """Peak flow and capacity; without a plant that supply is not checked; a broken air rule is marked."""
    assert "peak 33.5 scfm at 12:15, compressors give 95.0" in flat()
    assert "supply is not checked" in " ".join(summary_text(PLAN, JOB.replace(air=AirPlant())).split())
    weak = JOB.air.compressors[0].replace(delivered_scfm=5.0)
    plant = JOB.air.replace(compressors=(weak,), tanks=())
    assert "[air-primary-flow]" in summary_text(PLAN, JOB.replace(air=plant))


def test_an_empty_plan_is_told() -> None:
    """A plan without work prints a page as well."""
    empty = PLAN.replace(dives=(), duties=(), surface_tasks=())
    assert "Nothing is planned." in summary_text(empty, JOB)


def test_no_typed_text_reaches_the_terminal_raw() -> None:
    """An escape sequence in a name is printed as blanks, not obeyed."""
    job = JOB.replace(site=JOB.site.replace(name="Quay\x1b[2J\x07"))
    text = summary_text(PLAN, job)
    assert "\x1b" not in text and "\x07" not in text
    assert "Quay" in text


@given(st.text(max_size=30), st.integers(2, 40))
def test_padding_is_exact(text: str, columns: int) -> None:
    """A padded text takes just its columns; one that was too long ends in a mark."""
    clean = plain(text)
    padded = pad(clean, columns)
    assert columns_of(padded) == columns
    if columns_of(clean) > columns:
        assert padded.rstrip(" ").endswith("…")
