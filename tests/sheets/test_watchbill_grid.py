"""The grid tells what the plan tells: every spell in its quarter hours, every total to the minute."""

from __future__ import annotations

from datetime import date, time, timedelta
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from watchbill_reading import MADE, Grid, sheet, texts

from planner.charts.palette import duty_style
from planner.check import check
from planner.job import Job
from planner.plan.model import DutySpell
from planner.sheets.bill import nitrogen_at, posted_day, standby_left, standby_reach
from planner.sheets.grid import LETTERS_LINE_POINTS, MOST_QUARTERS, Bar, bands, blocks_of
from planner.workbook.letters import text_width_mm
from planner.workbook.style import INK
from tests.world.changed import with_item, with_rules
from tests.world.parts import at
from tests.world.pier import pier_job, pier_plan
from tests.world.reservoir import deep_job, deep_plan
from tests.world.sample_plans import SAMPLES, planned

JOB = pier_job()
PLAN = pier_plan(JOB)
PEOPLE = [person.name for person in JOB.people]


@cache
def _grid() -> Grid:
    return Grid(sheet(PLAN, JOB, "Watchbill"))


def test_the_example_plans_hold() -> None:
    """The independent check clears the hand-made plans; the barge has no reserve bank, and it says so."""
    assert check(JOB, PLAN) == ()
    job = deep_job()
    assert {finding.rule for finding in check(job, deep_plan(job))} == {"air-reserve"}


def test_hours_run_from_first_to_last_duty() -> None:
    """The grid shows whole hours from the first duty (07:00) to the last (14:52), no more."""
    assert _grid().hours == [f"{hour:02d}:00" for hour in range(7, 15)]


@pytest.mark.parametrize("person", PEOPLE)
def test_every_quarter_shows_the_duties_held_in_it(person: str) -> None:
    """A quarter hour has the letters of every duty that the person holds in any of its minutes, no other."""
    styles = duty_style(JOB)
    for index, (letters, fill) in enumerate(_grid().quarters(person)):
        start = at(7) + 15 * index
        held = [
            s for s in PLAN.duties if s.person == person and s.start_min < start + 15 and start < s.end_min
        ]
        assert sorted(letters) == sorted({styles[s.duty].letters for s in held}), (person, index)
        if not held:
            assert fill is None
            continue
        longest = max(min(s.end_min, start + 15) - max(s.start_min, start) for s in held)
        fills = {
            styles[s.duty].fill_hex
            for s in held
            if min(s.end_min, start + 15) - max(s.start_min, start) == longest
        }
        assert fill in fills


@pytest.mark.parametrize("person", PEOPLE)
def test_totals_agree_with_the_plan_to_the_minute(person: str) -> None:
    """Call, end, minutes on duty (two duties at once counted once) and bottom time are the plan's."""
    spells = [s for s in PLAN.duties if s.person == person]
    call, end, on_duty, bottom = _grid().after(person)
    if not spells:
        assert (call, end, on_duty, bottom) == ("–", "–", "–", "–")
        return
    minutes = {m for s in spells for m in range(s.start_min, s.end_min)}
    assert on_duty == timedelta(minutes=len(minutes))
    assert call == time(*divmod(min(minutes), 60)) or call.time() == time(*divmod(min(minutes), 60))
    last = max(minutes) + 1
    assert end.time() == time(*divmod(last, 60))
    dived = sum(d.bottom_time_min for d in PLAN.dives for e in d.divers if e.person == person)
    assert bottom == (timedelta(minutes=dived) if dived else "–")


def test_two_duties_at_once_show_both_letters() -> None:
    """The man who holds console and log has both letters in one cell."""
    letters, _ = _grid().quarters("Pieter van den Berg-Oosterhuis")[0]
    assert sorted(letters) == ["AC", "LK"]


def test_bands_name_dives_daylight_tide_and_slack() -> None:
    """Above the people: each dive in the water, sunrise to sunset, high water, the slack window."""
    found = texts(sheet(PLAN, JOB, "Watchbill"))
    for dive in PLAN.dives:
        assert any(text == dive.id or text.startswith(f"{dive.id} · ") for text in found)
    assert "slack 10:10–11:40" in found
    assert any(text.startswith("▾ high water 10:52") for text in found)
    assert not any("17:04" in text for text in found)
    assert any(text.startswith("sun up 07:0") and " to 18:2" in text for text in found)


def test_legend_has_the_duties_of_the_plan_only() -> None:
    """Every duty of the plan stands in the legend with its letters; one that nobody holds does not."""
    found = texts(sheet(PLAN, JOB, "Watchbill"))
    for duty in {s.duty for s in PLAN.duties}:
        assert duty in found
    assert "chamber operator" not in found


def test_head_says_what_the_plan_is_worth() -> None:
    """Name, date, worth of the plan in a crew's words, when made, revision; the gap with the sources."""
    found = texts(sheet(PLAN, JOB, "Watchbill"))
    assert JOB.site.name in found
    facts = next(text for text in found if text.startswith("Tuesday 3 March 2026 · "))
    assert "2 items left over, more work might fit" in facts and "gap" not in facts
    assert any("gap 1.5 %" in text for text in texts(sheet(PLAN, JOB, "Cautions and sources")))
    assert f"made {MADE:%Y-%m-%d %H:%M}" in facts
    assert "revision B" in facts


def test_each_day_has_its_own_block() -> None:
    """Two evenings past midnight: two blocks of hours, each with the spells of its own day."""
    job = deep_job()
    ws = sheet(deep_plan(job), job, "Watchbill")
    for block, diver in ((0, "Paulo Dias"), (1, "Aino Virtanen")):
        grid = Grid(ws, block)
        assert grid.hours == ["22:00", "23:00", "00:00", "01:00"]
        letters = [letters for letters, _ in grid.quarters(diver)]
        # 22:10 to 00:22, so every quarter from 22:00 to 00:30
        assert letters == [["D"]] * 10 + [[]] * 6


def test_hours_skip_the_one_that_the_clocks_leave_out() -> None:
    """In the night of 29 March 2026 Lisbon's clocks go from 01:00 to 02:00 (EU summer time)."""
    job = JOB.replace(site=JOB.site.replace(first_day=date(2026, 3, 28), day_start=time(22), day_end=time(6)))
    spell = PLAN.duties[0].replace(start_min=at(23, 10), end_min=at(26, 50), person="Rui Matos")
    plan = PLAN.replace(dives=(), surface_tasks=(), duties=(spell,))
    grid = Grid(sheet(plan, job, "Watchbill"))
    assert grid.hours == ["23:00", "00:00", "02:00", "03:00"]
    assert grid.after("Rui Matos")[2] == timedelta(minutes=220)


def test_a_long_day_goes_on_in_a_second_block() -> None:
    """No block has more columns than paper can show; together they hold the whole day."""
    spell = PLAN.duties[0].replace(start_min=at(7), end_min=at(29, 30))
    blocks = blocks_of(PLAN.replace(duties=(spell,)), JOB)
    assert [b.quarters <= MOST_QUARTERS for b in blocks] == [True, True]
    assert blocks[0].start_min == at(7)
    assert blocks[0].end_min == blocks[1].start_min
    assert blocks[1].end_min == at(30)


def test_a_plan_without_work_is_still_a_sheet() -> None:
    """An empty plan is written, and says that nothing is planned."""
    empty = PLAN.replace(dives=(), surface_tasks=(), duties=())
    assert any(text.startswith("Nothing is planned") for text in texts(sheet(empty, JOB, "Watchbill")))


_TIMES = st.lists(
    st.tuples(st.integers(420, 1100), st.integers(1, 300), st.sampled_from(PEOPLE)), min_size=1, max_size=8
)


@settings(max_examples=60, deadline=None)
@given(_TIMES)
def test_any_spells_are_covered_and_added_up(times: list[tuple[int, int, str]]) -> None:
    """For any spells: the blocks hold them all, and minutes on duty are those of a minute-by-minute count."""
    duties = tuple(
        DutySpell(
            person=person, duty="tender", start_min=start, end_min=start + long, item="Rig crane and slings"
        )
        for start, long, person in times
    )
    plan = PLAN.replace(dives=(), surface_tasks=(), duties=duties)
    blocks = blocks_of(plan, JOB)
    assert blocks[0].start_min <= min(d.start_min for d in duties) < blocks[0].start_min + 60
    assert blocks[-1].end_min - 60 < max(d.end_min for d in duties) <= blocks[-1].end_min
    for person in PEOPLE:
        own = [d for d in duties if d.person == person]
        day = posted_day(plan, JOB, person, 0)
        assert (day is None) == (not own)
        if day:
            assert day.on_duty_min == len({m for d in own for m in range(d.start_min, d.end_min)})


def test_standby_minutes_are_limit_less_residual_nitrogen() -> None:
    """Bruno surfaces at 08:47 in group H; 123 min later he is in F (table 9-8: 105 to 157 min), residual
    nitrogen time 64 min at 35 fsw (9-8), and 232 (9-7) less 64 leaves 168 min."""
    dive = next(d for d in PLAN.dives if d.id == "N3")
    assert nitrogen_at(PLAN, JOB, "Bruno Aalto", dive.leave_surface_min).group == "F"
    assert standby_left(PLAN, JOB, dive, "Bruno Aalto") == "168 min"


def test_standby_sent_is_told_by_hand() -> None:
    """N3: 2 min from go to leaving the surface, 35 fsw down at 60 fsw a minute 1 min, then 61 ft along the
    bottom at 30 ft a minute 3 min: with him after 6 min, 4 of his 168 min gone; 15 are asked for."""
    dive = next(d for d in PLAN.dives if d.id == "N3")
    far = with_item(JOB, dive.item, reach_ft=61)
    told = standby_reach(PLAN, far, dive)
    assert told == "reaches him in 6 min, 164 min left there (15 asked)"
    slow = with_rules(far, standby_send_min=0, along_bottom_ft_per_min=5)
    assert standby_reach(PLAN, slow, dive).startswith("reaches him in 14 min, 154 min left there")


def test_standby_who_comes_too_late_is_told() -> None:
    """168 min of walking and more: no minute is left at the diver."""
    dive = next(d for d in PLAN.dives if d.id == "N3")
    far = with_rules(with_item(JOB, dive.item, reach_ft=835), along_bottom_ft_per_min=5)
    assert standby_reach(PLAN, far, dive).startswith("reaches him in 170 min, no minute left there")


def test_group_stays_until_the_table_gives_credit() -> None:
    """Under ten minutes on the surface no credit is given; after H's 532 min (table 9-8) the man is clean."""
    up = at(8, 47)
    assert nitrogen_at(PLAN, JOB, "Bruno Aalto", up - 1).word == "clean"
    assert nitrogen_at(PLAN, JOB, "Bruno Aalto", up + 9).word == "H"
    assert nitrogen_at(PLAN, JOB, "Bruno Aalto", up + 532).word == "A"
    assert nitrogen_at(PLAN, JOB, "Bruno Aalto", up + 533).word == "clean"
    day = posted_day(PLAN, JOB, "Bruno Aalto", 0)
    assert day is not None and day.at_end.clean_min == up + 533


def test_no_printed_group_is_not_called_clean() -> None:
    """After a dive without a printed group the word is none printed, and a standby has none left."""
    dives = tuple(
        d.replace(divers=tuple(e.replace(group_after=None) for e in d.divers)) if d.id == "N1" else d
        for d in PLAN.dives
    )
    plan = PLAN.replace(dives=dives)
    dive = next(d for d in dives if d.id == "N3")
    assert nitrogen_at(plan, JOB, "Bruno Aalto", dive.leave_surface_min).word == "none printed"
    assert standby_left(plan, JOB, dive, "Bruno Aalto") == "none"


def _bands_of(job: Job, quarter_mm: float = 4.0) -> dict[str, list[Bar]]:
    (block,) = blocks_of(PLAN, JOB)
    found: dict[str, list[Bar]] = {}
    title = ""
    for band in bands(PLAN, job, block, quarter_mm):
        title = band.title or title
        found.setdefault(title, []).extend(band.bars)
    return found


def test_windows_that_overlap_are_both_shown() -> None:
    """Two water windows at once stand on two rows: none hides the other."""
    other = JOB.water_windows[0].replace(start_min=at(11), end_min=at(13), label="lock shut")
    job = JOB.replace(water_windows=(*JOB.water_windows, other))
    labels = [bar.label for bar in _bands_of(job)["Water window"]]
    assert labels == ["slack 10:10–11:40", "lock shut 11:00–13:00"]


def test_bars_lie_where_the_dive_is_in_the_water() -> None:
    """N3 is in the water from 10:50 to 12:32: every quarter hour from 10:45 to 12:45, eight of them."""
    there = _bands_of(JOB)["In the water, North ladder"]
    bars = [bar for bar in there if bar.label.startswith("N3") and bar.look.fill == INK]
    assert [(bar.first, bar.last) for bar in bars] == [(15, 22)]


@pytest.mark.parametrize("quarter_mm", [1.5, 3.0, 6.0])
def test_labels_never_outgrow_their_bars(quarter_mm: float) -> None:
    """However narrow a quarter hour is, a label is cut before it is wider than its place, and only where the
    whole day is too narrow for it."""
    for bars in _bands_of(JOB, quarter_mm).values():
        for bar in bars:
            assert text_width_mm(bar.label, bar.look.size) <= (bar.last - bar.first + 1) * quarter_mm
            assert quarter_mm < 3 or "…" not in bar.label


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_block_is_named_whole_and_nothing_lies_on_another(sample: str) -> None:
    """On the quarters of an A4 page each dive has its id and item, each task on deck its item; bars of a row
    do not overlap."""
    job, plan = planned(sample)
    blocks = blocks_of(plan, job)
    quarter_mm = 196 / max(block.quarters for block in blocks)
    labels = ""
    for block in blocks:
        for band in bands(plan, job, block, quarter_mm):
            labels += " · ".join(["", *(bar.label for bar in band.bars), ""])
            taken = [quarter for bar in band.bars for quarter in range(bar.first, bar.last + 1)]
            assert len(taken) == len(set(taken)) and set(taken) <= set(range(block.quarters))
    for words in [f"{d.id} · {d.item}" for d in plan.dives] + [task.item for task in plan.surface_tasks]:
        assert f" · {words} · " in labels


def test_a_quarter_of_three_duties_makes_its_row_taller() -> None:
    """Each of three letters has a line of its own, so the row is half as tall again as one for two."""
    name = "Rui Matos"
    duties = tuple(
        PLAN.duties[0].replace(person=name, duty=duty) for duty in ("tender", "log keeper", "supervisor")
    )
    ws = sheet(PLAN.replace(duties=duties), JOB, "Watchbill")
    (row,) = [cell.row for cell in ws["A"] if cell.value == name]
    assert ws.row_dimensions[row].height >= 3 * LETTERS_LINE_POINTS


def test_each_day_has_its_letters_and_its_place_to_sign() -> None:
    """A page of two evenings each is read and signed alone."""
    job = deep_job()
    found = texts(sheet(deep_plan(job), job, "Watchbill"))
    assert found.count("Letters") == found.count("Supervisor") == 2


def test_a_short_task_still_has_a_bar() -> None:
    """Four minutes on deck are shown as one quarter hour."""
    plan = PLAN.replace(surface_tasks=(PLAN.surface_tasks[0].replace(end_min=at(7, 4)),))
    (block,) = blocks_of(PLAN, JOB)
    (deck,) = [band for band in bands(plan, JOB, block, 4.0) if band.title == "Work on deck"]
    item = PLAN.surface_tasks[0].item
    assert [(bar.first, bar.last) for bar in deck.bars if bar.look.fill] == [(0, 0)]
    assert [bar.label for bar in deck.bars] == ["", item]


def test_hours_are_repeated_on_a_second_page() -> None:
    """A crew too large for one page goes on under a second row of hours; nobody is lost."""
    extra = tuple(JOB.people[-1].replace(name=f"Hand {n}") for n in range(30))
    job = JOB.replace(people=(*JOB.people, *extra))
    ws = sheet(PLAN, job, "Watchbill")
    assert [cell.value for cell in ws["B"]].count("Call") == 2
    assert len(ws.row_breaks.brk) == 1
    names = {cell.value for cell in ws["A"]}
    assert {person.name for person in job.people} <= names


def test_a_crew_that_is_a_little_too_large_is_squeezed() -> None:
    """Four people over the page: the sheet is printed a little smaller on one page instead of on two."""
    extra = tuple(JOB.people[-1].replace(name=f"Hand {n}") for n in range(4))
    ws = sheet(PLAN, JOB.replace(people=(*JOB.people, *extra)), "Watchbill")
    assert ws.page_setup.fitToHeight == 1
    assert not ws.row_breaks.brk
