"""Standing work of the days in the scheduler: placed by the first plan and the search, on dived days."""

from __future__ import annotations

from datetime import time
from pathlib import Path

from planner.check import check
from planner.job import AirPlant, Compressor, Gear, Job, Station
from planner.job.cross_checks import cross_faults
from planner.job.standing import Block
from planner.plan import Plan, Status
from planner.schedule import first_plan, solve
from planner.workbook.job_reader import read_job
from tests.schedule.day import PEOPLE, item, job, outfit, person
from tests.world.changed import with_person, with_rules, with_site
from tests.world.parts import PLAIN, span

CASES = Path(__file__).parents[1] / "cases"

ALL = {
    "inspection_heavy_min": 10,
    "inspection_light_min": 8,
    "station_set_up_min": 20,
    "warm_up_hands": 1,
    "station_strike_min": 15,
    "cleaning_min": 10,
}


def blocked(made: Job, **rules: int) -> Job:
    return with_rules(made, **(rules or ALL))


def planned(made: Job, seconds: float = 8, *, only_work: bool = False) -> Plan:
    outcome = solve(made, seconds=seconds, workers=1, only_work=only_work)
    assert outcome.plan is not None, outcome.sentence
    assert check(made, outcome.plan) == ()
    return outcome.plan


def at(plan: Plan, name: str) -> tuple[int, int]:
    [task] = [t for t in plan.surface_tasks if t.item == name]
    return task.start_min, task.end_min


def test_a_dived_day_opens_and_closes() -> None:
    """A heavy dive from 07:00: three outfits inspected by two pairs (20 min) and the station set up (20 min)
    before the dressing, struck and cleaned after it; both plans hold, and the finish is proven."""
    made = blocked(job(item("A", 30, 40)))
    plan = planned(made)
    [dive] = plan.dives
    assert at(plan, "Inspecting and connecting, heavy dress")[1] <= dive.dress_start_min
    assert at(plan, "Setting up, North")[1] <= dive.dress_start_min
    assert at(plan, "Striking, North")[0] >= dive.undressed_min
    assert at(plan, "Cleaning and stowing, heavy dress")[0] >= dive.undressed_min
    assert plan.end_min == max(t.end_min for t in plan.surface_tasks)
    assert all(stage.proven for stage in plan.stages[:3])
    assert not plan.leftovers
    first = first_plan(made)
    assert first is not None and check(made, first) == ()


def test_compressors_warm_up_before_the_first_dressing() -> None:
    """The slowest of those on line takes 25 min, one at the console: dressing from 07:25."""
    machines = tuple(
        Compressor(name=f"C{m}", delivered_scfm=300, discharge_psi=200, warm_up_min=m, on_line=on)
        for m, on in ((25, True), (10, True), (60, False))
    )
    made = blocked(job(item("A", 30, 40), air=AirPlant(compressors=machines)), warm_up_hands=1)
    [block] = made.standing_items
    assert (block.block, block.duration_min, block.crew[0].duty) == (Block.WARM_UP, 25, "air console")


def test_hands_that_dress_the_standby_diver_first_wait_for_the_setting_up() -> None:
    """Without Gus two hands dress the standby diver, 30 min, and then the diver. The setting up ends 07:25,
    which concerns both: the standby diver dresses from then, the divers leave the surface from 08:25."""
    few = tuple(p for p in PEOPLE if p.name != "Gus")
    made = blocked(job(item("A", 30, 40), people=few), station_set_up_min=25)
    first = first_plan(made)
    assert first is not None and check(made, first) == ()
    [dive] = first.dives
    [stands] = [s.start_min for s in first.duties if s.duty == "standby diver"]
    assert (stands, dive.dress_start_min, dive.leave_surface_min) == (445, 475, 505)


def test_no_dive_no_block() -> None:
    """Two days, work for one: on the other there is no standing work."""
    made = blocked(with_site(job(item("A", 30, 40)), days=2))
    assert len(made.standing_items) == 8
    plan = planned(made)
    assert len(plan.surface_tasks) == 4


def test_a_night_shift_closes_in_its_own_day() -> None:
    """Days of 16:00 to 02:00: what is struck after midnight is of the day that began at 16:00."""
    late = with_site(job(item("A", 30, 150), item("B", 30, 150)), days=2, day_start=time(16), day_end=time(2))
    plan = planned(blocked(with_rules(late, rest_before_duty_min=0)), 10, only_work=True)
    days = {(d.leave_surface_min - 960) // 1440 for d in plan.dives}
    assert len(plan.surface_tasks) == 4 * len(days)


def test_two_stations_and_two_kinds_of_gear() -> None:
    """Each station is set up and struck, each kind inspected and cleaned; a kind that nobody dives is not."""
    more = tuple(
        person(n, "diver", "tender", "air console", "log keeper", "supervisor") for n in ("Ida", "Jo", "Kit")
    )
    made = blocked(
        job(
            item("A", 30, 40, station="North"),
            item("B", 30, 40, gear=Gear.LIGHT, station="South"),
            people=(
                *PEOPLE,
                *more,
                *(person(n, "tender", "supervisor", "log keeper") for n in ("Lou", "Mia")),
            ),
            stations=(Station(name="North"), Station(name="South")),
            outfits=(*(outfit(n) for n in (1, 2)), *(outfit(n, Gear.LIGHT) for n in (3, 4))),
        )
    )
    plan = planned(made, 10, only_work=True)
    assert len(plan.dives) == 2 and len(plan.surface_tasks) == 8


def test_what_leaves_no_time_for_a_dive_is_told() -> None:
    """A day of two hours with an hour of setting up: the item is left over for ``day-blocks``."""
    short = with_site(job(item("A", 30, 40, splittable=False)), day_end=time(9))
    outcome = solve(blocked(short, station_set_up_min=60), seconds=4, workers=1)
    assert outcome.plan is None or not outcome.plan.dives
    assert {r.rule for r in outcome.reasons["A"]} == {"day-blocks"}


def test_an_item_may_not_have_a_blocks_name() -> None:
    """A dive item called as the setting up of a station is a fault of the job."""
    made = blocked(job(item("setting up, north", 30, 40)))
    assert any("standing work" in f.sentence for f in cross_faults(made))


def test_with_blocks_the_best_is_still_proven() -> None:
    """A short day with every block, briefing and turnaround: each stage meets its bound."""
    made = with_rules(blocked(job(item("A", 30, 40))), briefing_min=15, station_turnaround_min=10)
    assert planned(made, 20).status is Status.PROVEN_BEST


def test_hands_that_are_never_on_site_together_are_told() -> None:
    """Setting up takes two tenders for 30 min. Of the two that there are one goes when the other comes, at
    09:15 (minute 555): never two of them. Half an hour longer and they are."""
    of = with_rules(read_job(CASES / "hand_over_at_leave.xlsx"), **{**PLAIN, "station_set_up_min": 30})
    for until, told in ((555, True), (584, True), (585, False)):
        made = with_person(of, "Ola", available=(span(420, until),))
        (reason,) = solve(made, seconds=1, workers=1, only_work=True).reasons["A"]
        sentence = "Setting up, North: It takes 30 min of 2 as tender; never are so many on site together"
        assert (sentence in reason.sentence) == told, reason
