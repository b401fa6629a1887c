"""What stands exactly on the edge of a rule: the minute on which somebody comes, the least limit there is."""

from __future__ import annotations

from datetime import time
from typing import Any

import pytest

from planner.check import RULES, check
from planner.check.air import air_findings
from planner.check.facts import Facts
from planner.check.outfits import wearings
from planner.check.rest import rest_limits, rest_windows_asked
from planner.check.stages import divers_beyond_one_team, minutes_short, share_takers, uneven_turns
from planner.day import with_briefings
from planner.job import After, Pin, PinKind, WorkSpell
from planner.job.crew_rules import CrewRules
from planner.job.duties import BRIEFING, DIVER, ENTRY_DIVER, STANDBY, STANDBY_TENDER, SUPERVISOR, TENDER
from planner.job.given import DueBlock
from planner.plan import Dive, DutySpell, Leftover, Reason, SurfaceTask
from planner.table_sets import table_set
from tests.check.rule_cases import (
    JOB,
    PLAN,
    briefed_for,
    called_together,
    from_north,
    handed_over,
    only_dressing_the_standby,
)
from tests.world import lock
from tests.world.chamber_day import through_the_chamber
from tests.world.changed import (
    shifted,
    with_dive,
    with_diver,
    with_item,
    with_outfit,
    with_person,
    with_rules,
    with_site,
    with_spells,
)
from tests.world.parts import PLAIN_RULES, at, equipped, span
from tests.world.quay import ANODES, GATE, RIG, WRAP


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
    # where only the week's rest is asked for no stretch of work is too long by itself
    assert asked or limits.between_max_min > 7 * 1440


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


def test_a_diver_at_the_entry_is_no_working_diver() -> None:
    """Cruz stands at the entry of dive 2; with the duty of a diver he is not among its divers, and the
    one who stands there has no duty."""
    found = check(JOB, with_spells(PLAN, "2", ENTRY_DIVER, "Cruz", duty=DIVER))
    told = [one.sentence for one in found if one.rule == "duties-match-dives"]
    assert "Cruz is not among the divers of dive 2." in told
    assert any(sentence.startswith("Cruz dives and has no duty 'diver at the entry'") for sentence in told)


def test_more_at_the_entry_than_asked_are_no_fault() -> None:
    """One is asked for at the entry of the enclosed space; where Dan stands there too, enough do."""
    entry = next(d for d in PLAN.dives[1].divers if d.duty == ENTRY_DIVER)
    divers = (*PLAN.dives[1].divers, entry.replace(person="Dan"))
    found = {one.rule for one in check(JOB, with_dive(PLAN, "2", divers=divers))}
    assert "crew-entry-diver" not in found
    none = tuple(d for d in divers if d.duty == DIVER)
    assert "crew-entry-diver" in {one.rule for one in check(JOB, with_dive(PLAN, "2", divers=none))}


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


@pytest.mark.parametrize(("sooner_min", "later_min"), [(0, 0), (0, 1), (1, 0)])
def test_who_only_undresses_the_standby_does_not_hold_the_duty(sooner_min: int, later_min: int) -> None:
    """Uwe is pinned to tend the standby of dive 1, is gone when it leaves the surface, or a minute sooner,
    and comes back when it is up, or a minute later: he does not hold the duty."""
    plan = only_dressing_the_standby()
    gone, back = sorted(
        (s for s in plan.duties if (s.dive, s.duty, s.person) == ("1", STANDBY_TENDER, "Uwe")),
        key=lambda s: s.start_min,
    )
    assert (gone.end_min, back.start_min) == (
        PLAN.dives[0].leave_surface_min,
        PLAN.dives[0].reach_surface_min,
    )
    soon, late = (
        gone.replace(end_min=gone.end_min - sooner_min),
        back.replace(start_min=back.start_min + later_min),
    )
    plan = plan.replace(duties=(*(s for s in plan.duties if s not in (gone, back)), soon, late))
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


@pytest.mark.parametrize(
    ("minutes", "rules"),
    [
        (15, set()),
        (16, set()),
        (14, {"briefed", "pins-kept"}),
    ],
)
def test_a_briefing_soon_after_midnight_is_as_long_as_any(minutes: int, rules: set[str]) -> None:
    """A day that begins at midnight, Tom pinned to be briefed from then: a quarter of an hour is enough there
    too, a minute less is not."""
    plan, day = briefed_for(15)
    day = with_rules(with_site(day, day_start=time(0)), duty_span_max_min=1440)
    pin = Pin(kind=PinKind.BRIEFED, person="Tom", start_min=0)
    early = with_spells(plan, None, BRIEFING, "Tom", start_min=0, end_min=minutes)
    assert {one.rule for one in check(day.replace(pins=(pin,)), early)} == rules


@pytest.mark.parametrize(
    ("pinned_min", "kept"), [(at(6, 10), True), (at(6, 45), True), (at(7), False), (at(7, 40), False)]
)
def test_a_pinned_briefing_is_of_the_stretch_that_holds_it(pinned_min: int, kept: bool) -> None:
    """Tom is on site from six to half past, without a duty, and from 06:45 on, when he is briefed: a pin in
    the first stretch asks nothing of him; one to the first minute of the second is kept, one to the minute in
    which he begins a duty and one in the midst of it are not."""
    plan, day = briefed_for(15)
    day = with_person(day, "Tom", available=(span(at(6), at(6, 30)), span(at(6, 45), at(18))))
    pin = Pin(kind=PinKind.BRIEFED, person="Tom", start_min=pinned_min)
    told = {one.rule for one in check(day.replace(pins=(pin,)), plan)}
    assert told == (set() if kept else {"pins-kept", "briefing-in-time"})


def test_who_comes_twice_is_briefed_where_he_has_a_duty() -> None:
    """Vic is on site when the crew is briefed at 06:45, leaves at seven without a duty and is back at half
    past seven: the crew's briefing is not his, his own before he tends dive 2 is, and it is told once where
    he has none or has it a minute early."""
    _, job = briefed_for(15)
    job = with_person(job, "Vic", available=(span(at(6, 30), at(7)), span(at(7, 30), at(18))))
    for one in (True, False):
        day = with_rules(job, one_briefing=one)
        plan = with_briefings(day, PLAN.replace(stages=()))
        briefing = next(s for s in plan.duties if (s.person, s.duty) == ("Vic", BRIEFING))
        assert check(day, plan) == ()
        without = plan.replace(duties=tuple(s for s in plan.duties if s is not briefing))
        (told,) = check(day, without)
        assert (told.rule, told.where) == ("briefed", "Vic")
        assert told.sentence.startswith("Vic is on site 07:30 to 18:00")
        early = briefing.replace(start_min=briefing.start_min - 1)
        (told,) = check(day, without.replace(duties=(*without.duties, early)))
        assert (told.rule, told.where) == ("briefing-in-time", "Vic")


def test_who_has_been_there_before_the_call_is_briefed_with_the_crew() -> None:
    """Vic, on site from six to half past and again from 06:40, is there when the crew is briefed at 06:45 and
    has duties after it: his own briefing later is not enough."""
    _, job = briefed_for(15)
    apart = with_briefings(job, PLAN.replace(stages=()))
    late = next(s for s in apart.duties if (s.person, s.duty) == ("Vic", BRIEFING))
    twice = (span(at(6), at(6, 30)), span(at(6, 40), at(18)))
    job = with_person(with_rules(job, one_briefing=True), "Vic", available=twice)
    plan = with_briefings(job, PLAN.replace(stages=()))
    assert check(job, plan) == ()
    others = tuple(s for s in plan.duties if (s.person, s.duty) != ("Vic", BRIEFING))
    assert [one.where for one in check(job, plan.replace(duties=(*others, late)))] == ["Vic"]


@pytest.mark.parametrize("past_midnight_min", [-1, 0, 1])
def test_a_spare_hose_is_in_date_until_the_dive_is_up(past_midnight_min: int) -> None:
    """A deep dive in heavy dress begins on the last day of the spare hose's year: up by midnight it is in
    date, a minute later it is not (29 CFR 1910.430(c)(1)(iii): tested at least annually)."""
    north = equipped("North", spare_hose_tested_on=lock.DAY.replace(year=lock.DAY.year - 1))
    job = lock.job(stations=(north,), rules=PLAIN_RULES.replace(stage_deeper_than_fsw=99))

    def deep(start_min: int) -> Dive:
        return lock.dive(item=lock.DEEP_SILL, depth=100, bottom=45, schedule=lock.STOPS_100, start=start_min)

    dive = deep(at(24) + past_midnight_min - deep(0).reach_surface_min)
    told = [one.where for one in check(job, lock.plan(dive)) if one.rule == "heavy-stage-and-hose"]
    assert told == (["dive 1 (Deep sill)"] if past_midnight_min > 0 else [])


@pytest.mark.parametrize("name", ["Ana", "Dan"])
def test_turns_of_one_who_may_not_have_them_count_as_they_are(name: str) -> None:
    """Ana dives twice, Dan stands by twice; others do neither. Whether or not their rating lets them, the
    spread of the turns is two each (arithmetic); that they may not is another rule's to tell."""
    job = with_person(JOB, name, depth_rating_fsw=1)
    assert uneven_turns(Facts(JOB, PLAN)) == uneven_turns(Facts(job, PLAN)) == 2 + 2


def test_who_leaves_in_the_same_minute_does_not_go_on_with_the_duty() -> None:
    """Sam and Ned supervise dive 1 together until 08:50 and both leave; Sol takes over in that minute.
    Neither goes on, so the duty is not handed over; where Ned stays a minute longer Sam has handed over."""
    job = with_rules(JOB, hand_over_lead_min=10)
    sam = next(s for s in PLAN.duties if (s.dive, s.duty) == ("1", SUPERVISOR))
    for ned_until, leaves in ((at(8, 50), ["Ned", "Sam"]), (at(8, 51), ["Ned"])):
        duties = (
            *(s for s in PLAN.duties if s is not sam and s.person != "Sol"),
            sam.replace(end_min=at(8, 50)),
            sam.replace(person="Ned", end_min=ned_until),
            sam.replace(person="Sol", start_min=at(8, 50)),
        )
        told = [one.sentence for one in check(job, PLAN.replace(duties=duties)) if one.rule == "hand-over"]
        assert sorted(sentence.split()[0] for sentence in told) == leaves


def test_who_left_before_the_duty_began_hands_nothing_over() -> None:
    """Sam hands dive 1 over to Ned on the bench, at 08:20, which is told; Sol, who supervised there until
    half past seven, before anybody was dressed, is not."""
    plan, job = handed_over(at(8, 20))
    sam = next(s for s in plan.duties if (s.dive, s.duty, s.person) == ("1", SUPERVISOR, "Sam"))
    sol = sam.replace(person="Sol", start_min=at(7), end_min=at(7, 30))
    for duties in (plan.duties, (*plan.duties, sol)):
        told = [one for one in check(job, plan.replace(duties=duties)) if one.rule == "hand-over"]
        assert [one.sentence.split()[0] for one in told] == ["Sam"]


def _after_work(minutes: int) -> dict[str, Any]:
    """On site from seven to nine, at work until then."""
    worked = WorkSpell(start_min=at(7) - minutes, end_min=at(7))
    return {"past_work": (worked,), "available": (span(at(7), at(9)),)}


def _away(*spans: tuple[int, int]) -> tuple[Pin, ...]:
    return tuple(Pin(kind=PinKind.AWAY, person="Ana", start_min=start, end_min=end) for start, end in spans)


@pytest.mark.parametrize(
    ("facts", "pins", "takes"),
    [
        # rated to the depth of the piles, 58 fsw, or a foot less; the anodes ask for another helmet
        ({"depth_rating_fsw": 58}, (), True),
        ({"depth_rating_fsw": 57}, (), False),
        # eight hours of rest end with the day, 19:00, or a minute before
        ({"last_duty_end_min": at(11)}, (), False),
        ({"last_duty_end_min": at(10, 59)}, (), True),
        # away all day; but for its first minute; its last; one in between
        ({}, ((at(7), at(19)),), False),
        ({}, ((at(7, 1), at(19)),), True),
        ({}, ((at(7), at(18, 59)),), True),
        ({}, ((at(7), at(12)), (at(12), at(19))), False),
        ({}, ((at(12), at(19)), (at(7), at(12))), False),
        ({}, ((at(7), at(12)), (at(12, 1), at(19))), True),
        # there for two hours after a night of work: 14 h of it and a minute leave less than 10 h of rest
        (_after_work(839), (), True),
        (_after_work(840), (), False),
    ],
)
def test_who_has_a_minute_left_shares_the_turns(
    facts: dict[str, Any], pins: tuple[tuple[int, int], ...], takes: bool
) -> None:
    """Dives are shared between those who may have one: fit for it, and with a minute of duty left by absences
    and by the rest that the job asks for (10 h in 24: MLC 2006, A2.3; 8 h before the first duty)."""
    job = with_item(JOB, ANODES, certificates=frozenset({"light helmet"}))
    job = with_person(with_rules(job, rest_in_24h_min=600), "Ana", **facts).replace(pins=_away(*pins))
    assert ("Ana" in share_takers(job)[0]) is takes


def test_a_dive_of_nobody_known_has_no_minutes_in_hand() -> None:
    """Three minutes wanted, and three there on every dive; the one of a diver whom the job does not know is
    short of them all."""
    job = with_rules(JOB, margin_wanted_min=3)
    assert minutes_short(Facts(job, PLAN)) == 0
    assert minutes_short(Facts(job, with_diver(PLAN, "1", "Ana", person="Nobody"))) == 3


@pytest.mark.parametrize(
    ("due", "planned", "told"),
    [
        (True, True, []),
        (True, False, ["Striking, North side is not planned; it takes 20 min."]),
        (False, True, ["Striking, North side is planned on a day without a dive that asks for it."]),
        (False, False, []),
    ],
)
def test_a_station_is_struck_though_its_dives_are_over(due: bool, planned: bool, told: list[str]) -> None:
    """The rest of a running day without a dive: what its morning's dives have left to strike is done,
    once, and nothing that no dive has asked for (common practice)."""
    rows = (DueBlock(key="Striking, North side", from_min=at(14)),) if due else ()
    job = with_rules(JOB, station_strike_min=20).replace(blocks_due=rows)
    task = SurfaceTask(item="Striking, North side", start_min=at(14), end_min=at(14, 20))
    plan = PLAN.replace(
        dives=(), duties=(), stages=(), leftovers=(), surface_tasks=(task,) if planned else ()
    )
    assert [one.sentence for one in check(job, plan) if one.rule == "day-blocks"] == told


def test_a_duty_at_the_call_is_no_briefing() -> None:
    """The crew is briefed from 06:45; Tom tends from then on instead, as long as the others are briefed: he
    is told, and he alone."""
    plan, job = called_together(one=True)
    plan = with_spells(plan, None, BRIEFING, "Tom", duty=TENDER, item=RIG)
    told = [one.where for one in check(job, plan) if one.rule == "one-briefing"]
    assert told == ["Tom"]


@pytest.mark.parametrize(("asked_min", "told"), [(0, False), (1, True)])
def test_a_dive_in_the_minute_in_which_the_last_surfaces(asked_min: int, told: bool) -> None:
    """From one station a dive leaves the surface as the dive before it reaches it: no turnaround at all."""
    plan, job = from_north(38)
    assert plan.dives[1].leave_surface_min == plan.dives[0].reach_surface_min
    found = {one.rule for one in check(with_rules(job, station_turnaround_min=asked_min), plan)}
    assert ("station-turnaround" in found) is told


def test_the_same_diver_is_asked_of_an_items_own_dives() -> None:
    """One diver reads the anodes and one wraps the piles: each item has its one team, whichever asks."""
    for item in (ANODES, WRAP):
        job = with_item(JOB, item, same_diver=True)
        assert divers_beyond_one_team(Facts(job, PLAN)) == 0


def test_each_left_over_item_is_told() -> None:
    """Two items done and still listed: both are told, and so is one behind them that is not listed."""
    reason = Reason(rule=None, sentence="No time.")
    done = tuple(
        Leftover(item=name, planned_min=1, needed_min=2, reasons=(reason,)) for name in (WRAP, ANODES)
    )
    told = [one.where for one in check(JOB, PLAN.replace(leftovers=done)) if one.rule == "leftovers-told"]
    assert told == [f"left over: {name}" for name in (WRAP, ANODES, GATE)]


def test_an_item_after_one_that_is_not_there_still_comes_after_the_others() -> None:
    """The piles come after an item that nobody has given, and an hour after the rigging, which ends 07:30:
    the second is asked all the same."""
    for lag_min, rules in ((60, set()), (61, {"precedence"})):
        after = (After(item="Survey"), After(item=RIG, lag_min=lag_min))
        assert {one.rule for one in check(with_item(JOB, WRAP, after=after), PLAN)} == rules


@pytest.mark.parametrize(("diver", "other"), [("Bo", "L2"), ("Cruz", "L1")])
def test_a_diver_wears_in_his_duty_what_he_dives_in(diver: str, other: str) -> None:
    """Bo dives in L1 and Cruz in L2: with the other's outfit in his duty either is told."""
    duty = next(d.duty for d in PLAN.dives[1].divers if d.person == diver)
    found = check(JOB, with_spells(PLAN, "2", duty, diver, outfit=other))
    assert [one.rule for one in found] == ["duties-match-dives"]


@pytest.mark.parametrize(("sooner_min", "told"), [(0, False), (1, True)])
def test_a_second_station_from_the_minute_in_which_the_first_is_up(sooner_min: int, told: bool) -> None:
    """One station at a time: the south side leaves the surface as the north side reaches it, or a minute
    sooner."""
    plan, job = shifted(PLAN, "2", 38 - sooner_min), with_site(JOB, stations_at_once=1)
    assert plan.dives[1].leave_surface_min == plan.dives[0].reach_surface_min - sooner_min
    assert ("stations-at-once" in {one.rule for one in check(job, plan)}) is told


def test_a_duty_taken_up_again_is_not_held_in_between() -> None:
    """Ana's duty ends 12:50, in the chamber, and begins again two minutes later: the time between is nobody's
    (surface decompression: she is on that duty until out of its pressure)."""
    plan, job = through_the_chamber(at(12, 50))
    first = next(s for s in plan.duties if (s.dive, s.duty, s.person) == ("3", DIVER, "Ana"))
    again = first.replace(start_min=at(12, 52), end_min=at(12, 59))
    assert "in-the-chamber" in {one.rule for one in check(job, plan.replace(duties=(*plan.duties, again)))}


def test_a_dive_above_the_water_draws_no_air() -> None:
    """Planned to a foot above it the dive is told for its depth, and its air is left out."""
    plan, job = lock.plan(lock.dive(depth=-1)), lock.job(air=lock.plant().replace(compressors=()))
    assert {one.rule for one in air_findings(job, plan)} == set()
    assert "depth-of-item" in {one.rule for one in check(job, plan)}
