"""What stands exactly on the edge of a rule: the minute on which somebody comes, the least limit there is."""

from __future__ import annotations

import pytest

from planner.check import RULES, check
from planner.check.facts import Facts
from planner.check.outfits import wearings
from planner.check.rest import rest_limits, rest_windows_asked
from planner.job import Pin, PinKind
from planner.job.crew_rules import CrewRules
from planner.job.duties import DIVER, ENTRY_DIVER, STANDBY, STANDBY_TENDER
from planner.plan import DutySpell, SurfaceTask
from planner.table_sets import table_set
from tests.check.rule_cases import JOB, PLAN, called_together, only_dressing_the_standby
from tests.world import lock
from tests.world.changed import with_diver, with_outfit, with_person, with_rules, with_spells
from tests.world.parts import at, span


def test_who_comes_on_site_with_the_first_duty_is_briefed_with_the_crew() -> None:
    """Everybody is on site from the very minute of the crew's briefing: it is theirs, and it is in time."""
    plan, job = called_together(one=True)
    call = min(s.start_min for s in plan.duties)
    for person in job.people:
        own = [s for s in plan.duties if s.person == person.name]
        if own and min(s.start_min for s in own) == call:
            job = with_person(job, person.name, available=(span(call, max(s.end_min for s in own)),))
    assert check(job, plan) == ()


@pytest.mark.parametrize(("least_min", "asked"), [(0, False), (1, True), (2, True)])
def test_rest_of_a_minute_is_asked_for(least_min: int, asked: bool) -> None:
    """A job that asks for one minute in 24 hours asks for rest, with its long part and its longest work; one
    that asks for none asks for neither."""
    limits = rest_limits(CrewRules(rest_in_24h_min=least_min, rest_long_part_min=300))
    assert limits.in_24h_min == least_min
    assert limits.one_part_min == (300 if asked else 0)
    assert (limits.between_max_min == CrewRules().work_between_rests_max_min) == asked


def test_a_diver_is_not_a_diver_at_the_entry() -> None:
    """Who dives on a dive and has a duty at its entry is told: he is not among those who stand there."""
    dive = PLAN.dives[0]
    diver = next(d for d in dive.divers if d.duty == DIVER)
    spell = DutySpell(
        person=diver.person,
        duty=ENTRY_DIVER,
        dive=dive.id,
        item=dive.item,
        station=dive.station,
        start_min=dive.leave_surface_min,
        end_min=dive.reach_surface_min,
    )
    found = check(JOB, PLAN.replace(duties=(*PLAN.duties, spell)))
    assert f"{diver.person} is not among the divers of dive {dive.id}." in [one.sentence for one in found]


def test_an_outfit_still_worn_names_its_first_wearer() -> None:
    """H1 is worn until 08:01 from the day before; Ana has it from 08:00, Dan only in the afternoon: Ana is
    told, and not if it is free at 08:00."""
    plan = with_diver(PLAN, "3", "Ana", outfit="H2")
    plan = with_spells(with_spells(plan, "3", STANDBY, "Dan", outfit="H1"), "3", DIVER, "Ana", outfit="H2")
    told = [
        [(one.sentence, one.where) for one in check(with_outfit(JOB, "H1", worn_until_min=until), plan)]
        for until in (at(8), at(8, 1))
    ]
    assert told == [
        [],
        [
            (
                "Outfit H1 is worn or turned around until 08:01, and is on Ana from 08:00.",
                "dive 1 (Wrap piles), Ana",
            )
        ],
    ]


@pytest.mark.parametrize("past_midnight_min", [-1, 0, 1])
def test_an_outfit_taken_off_at_midnight_is_of_the_day_before(past_midnight_min: int) -> None:
    """Its inspection is due on the day of the dive: taken off at midnight it is in date, later not."""
    job = lock.job(outfits=(lock.outfit("H1", "11", inspection_due=lock.DAY), *lock.job().outfits[1:]))
    [off] = {w.taken_off_min for w in wearings(Facts(job, lock.plan(lock.dive()))) if w.outfit.name == "H1"}
    dive = lock.dive(start=480 + at(24) - off + past_midnight_min)
    ready = [one.where for one in check(job, lock.plan(dive)) if one.rule == "outfit-ready"]
    assert ready == (["dive 1 (Gate sill), Ana"] if past_midnight_min > 0 else [])


@pytest.mark.parametrize(("day_min", "week_min", "asked"), [(0, 0, False), (1, 0, True), (0, 1, True)])
def test_rest_in_windows_is_asked_for_from_a_minute_on(day_min: int, week_min: int, asked: bool) -> None:
    """A minute in 24 hours or in seven days is asked for; none in both is not."""
    job = with_rules(JOB, rest_in_24h_min=day_min, rest_in_7d_min=week_min)
    assert rest_windows_asked(job) == asked


def test_a_working_diver_too_many_is_told() -> None:
    """Of the two divers of dive 2 one stands at the entry; put to work, he is one more than the item asks."""
    entry = next(d for d in PLAN.dives[1].divers if d.duty == ENTRY_DIVER)
    told = [one.sentence for one in check(JOB, with_diver(PLAN, "2", entry.person, duty=DIVER))]
    assert "2 working divers; Read anodes asks for 1." in told


@pytest.mark.parametrize("later_min", [0, 1])
def test_who_only_undresses_the_standby_does_not_hold_the_duty(later_min: int) -> None:
    """Uwe is pinned to tend the standby of dive 1, is gone while it is down, and comes back when it is up, or
    a minute later: he does not hold the duty."""
    plan = only_dressing_the_standby()
    back = next(s for s in plan.duties if (s.dive, s.duty, s.start_min) == ("1", STANDBY_TENDER, at(9, 13)))
    late = back.replace(start_min=back.start_min + later_min)
    plan = plan.replace(duties=tuple(late if s is back else s for s in plan.duties))
    pin = Pin(kind=PinKind.HOLDS, person="Uwe", duty=STANDBY_TENDER, item=PLAN.dives[0].item)
    told = [one.sentence for one in check(JOB.replace(pins=(pin,)), plan)]
    assert any("Uwe is pinned to the duty" in one and "dive 1" in one for one in told), told


@pytest.mark.parametrize(("later_min", "told"), [(-1, True), (0, False), (1, False)])
def test_a_station_is_struck_once_all_are_undressed(later_min: int, told: bool) -> None:
    """From the minute on which the last of its divers is out of dress; later is as good, a minute before is
    told."""
    job = with_rules(JOB, station_strike_min=20)
    struck = {item.name: item for item in job.standing_items}
    last = {s.station: s.end_min for s in sorted(PLAN.duties, key=lambda s: s.end_min) if s.duty == DIVER}
    tasks = tuple(
        SurfaceTask(item=name, start_min=start, end_min=start + 20)
        for name, item in struck.items()
        for start in [last[item.station] + later_min]
    )
    assert tasks
    found = check(job, PLAN.replace(surface_tasks=PLAN.surface_tasks + tasks))
    assert [one.rule for one in found].count("day-blocks") == (len(tasks) if told else 0)


def test_a_rule_by_tables_names_those_of_the_job() -> None:
    """By another set than the shipped one its source is that set; a rule that no table sets keeps its own."""
    own, other = table_set(), table_set("noaa-no-decompression")
    by_tables, by_none = RULES["table-row"], RULES["duty-span"]
    assert by_tables.source_by(own) == by_tables.source
    assert by_tables.source_by(other) != by_tables.source
    assert {by_none.source_by(own), by_none.source_by(other)} == {by_none.source}
