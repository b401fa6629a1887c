"""More of the tide, hand-over in mid-dive, standby dressing, pins, several days, and further checks."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from planner.check import Rule, check
from planner.check.facts import Facts
from planner.check.rule import convicts_by
from planner.job import (
    After,
    AirPlant,
    Bank,
    CrewMinimum,
    DutyPair,
    Gear,
    Job,
    PastDive,
    Pin,
    PinKind,
    WorkSpell,
)
from planner.job.duties import BRIEFING, CONSOLE, LOG_KEEPER, STANDBY, STANDBY_TENDER, SUPERVISOR, TENDER
from planner.plan import DutySpell, Finding, Plan, SurfaceTask, no_flight, to_json, unchecked
from planner.table_sets import table_set
from tests.check.rule_cases import briefed_early, briefed_for, called_together
from tests.world.changed import (
    with_dive,
    with_item,
    with_outfit,
    with_person,
    with_rules,
    with_site,
    with_spells,
    without,
)
from tests.world.longer_days import NEXT_DAY, a_dressed_standby, over_two_days, with_charted_depth
from tests.world.parts import at, span
from tests.world.quay import ANODES, NORTH, RIG, RIGGER, SCRAP, SOUTH, WRAP, a_job, a_plan

NAVY = table_set()


PLAN, JOB = a_plan(), a_job()


def broken(plan: Plan, job: Job) -> set[str]:
    """Ids of the rules that a plan breaks."""
    return {b.rule for b in check(job, plan)}


@pytest.mark.parametrize(
    ("depth_fsw", "rules"), [(57, {"depth-of-item"}), (58, set()), (59, set()), (60, {"depth-of-item"})]
)
def test_a_depth_that_follows_the_tide(depth_fsw: int, rules: set[str]) -> None:
    """Charted 50 fsw and 7.29 ft of tide while down is 58 fsw; 8.4 ft at high water is 59, and no more."""
    plan, job = with_charted_depth(depth_fsw)
    assert broken(plan, job) == rules


def test_each_dive_has_the_tide_of_its_own_time() -> None:
    """Near low water the same item is 56 fsw deep: the second dive may be planned to 56, not to 55."""
    plan, job = with_charted_depth(58)
    assert broken(with_dive(plan, "3", depth_fsw=56), job) == set()
    assert broken(with_dive(plan, "3", depth_fsw=55), job) == {"depth-of-item"}


def test_the_planned_depth_is_what_counts() -> None:
    """A diver rated to 57 fsw may not dive where the tide makes 58 of 50 charted."""
    plan, job = with_charted_depth(58)
    assert broken(plan, with_person(job, "Ana", depth_rating_fsw=57)) == {"depth-rating"}
    assert broken(plan, with_person(job, "Dan", depth_rating_fsw=57)) == {"standby-able-to-go"}
    assert broken(plan, with_rules(job, greatest_depth_fsw=57)) == {"greatest-depth"}


def test_a_tide_that_is_not_known() -> None:
    """Without marks around the dive nobody knows the depth."""
    plan, job = with_charted_depth(58)
    assert broken(plan, job.replace(tide_marks=job.tide_marks[:1])) >= {"depth-of-item"}


def test_slack_from_the_tide_counts_as_typed() -> None:
    """High water at 06:00 and low at 12:00: with three hours of slack, two of them after each, the first dive
    (08:30 to 09:13) lies outside; with the middle two and a half hours later both dives lie inside."""
    _, tidal = with_charted_depth(58)
    job = JOB.replace(tide_marks=tidal.tide_marks, water_windows=())
    assert broken(PLAN, with_site(job, slack_length_min=180, slack_offset_min=30)) == {"slack-water"}
    assert broken(PLAN, with_site(job, slack_length_min=360, slack_offset_min=150)) == set()
    assert broken(PLAN, with_site(job, slack_length_min=0)) == {"slack-water"}


def relieved(duty: str, dive: str, out: str, comes: str, leaves_min: int, together_min: int) -> Plan:
    """``comes`` takes over in mid-dive after holding the duty together with ``out``."""
    old = next(s for s in PLAN.duties if (s.dive, s.duty, s.person) == (dive, duty, out))
    new = old.replace(person=comes, start_min=leaves_min - together_min)
    rest = tuple(s for s in PLAN.duties if s is not old)
    return PLAN.replace(duties=(*rest, old.replace(end_min=leaves_min), new))


@pytest.mark.parametrize(
    ("duty", "out", "comes", "field"),
    [
        (STANDBY_TENDER, "Uwe", "Tia too", "hand_over_min"),
        (SUPERVISOR, "Sam", "Ned", "hand_over_lead_min"),
        (TENDER, "Tom", "Tia too", "hand_over_lead_min"),
    ],
)
def test_hand_over_in_mid_dive(duty: str, out: str, comes: str, field: str) -> None:
    """Never as shipped; where the job allows it, after so many minutes together; supervisor and tenders have
    a limit of their own (common practice: not in mid-dive)."""
    more = JOB.replace(people=(*JOB.people, JOB.person("Tia").replace(name="Tia too")))
    plan = relieved(duty, "1", out, comes, at(8, 50), 10)
    assert broken(plan, more) == {"hand-over"}
    assert broken(plan, with_rules(more, **{field: 10})) == set()
    assert broken(plan, with_rules(more, **{field: 11})) == {"hand-over"}
    other = {"hand_over_min": "hand_over_lead_min", "hand_over_lead_min": "hand_over_min"}[field]
    assert broken(plan, with_rules(more, **{other: 10})) == {"hand-over"}


def test_a_standby_diver_never_hands_over_in_mid_dive() -> None:
    """Whatever the job allows for the others (common practice)."""
    job = with_rules(
        JOB.replace(people=(*JOB.people, JOB.person("Dan").replace(name="Fay"))),
        hand_over_min=1,
        hand_over_lead_min=1,
    )
    outfit = next(o for o in JOB.outfits if o.name == "H2")
    h3 = outfit.replace(name="H3", helmet_no="3", breastplate_no="3", straps_no="3")
    job = job.replace(outfits=(*job.outfits, h3))
    plan = relieved(STANDBY, "1", "Dan", "Fay", at(8, 50), 10)
    plan = with_spells(plan, "1", STANDBY, "Fay", outfit="H3")
    assert broken(plan, job) == {"hand-over", "standby-dressing"}


def test_the_standby_dresses_with_his_own_hands() -> None:
    """Two dress one diver in heavy dress (common practice): without the second hand, or with less than the
    dressing or the undressing time, the rule is broken, whether or not the job sets a limit."""
    plan, job = a_dressed_standby(120)
    assert broken(plan, job) == set()
    alone = plan.replace(duties=tuple(s for s in plan.duties if s.person != "Yan"))
    assert broken(alone, job) == {"standby-dressing"}
    assert broken(alone, with_rules(job, standby_dressed_max_min=0)) == {"standby-dressing"}
    early = with_spells(plan, "1", STANDBY, "Dan", end_min=at(9, 32))
    assert broken(early, job) == {"standby-dressing"}
    late = with_spells(plan, "1", STANDBY, "Dan", start_min=at(8, 1))
    assert "standby-dressing" in broken(late, job)


def test_a_standby_may_stay_dressed_between_two_dives() -> None:
    """From one dive to the next on the station without a gap: one dressing, one undressing, one limit.
    Dressed at 08:30 and up with the second dive at 12:33 is 243 min."""
    plan, job = a_dressed_standby(243)
    plan = with_spells(plan, "1", STANDBY, "Dan", end_min=at(11, 30))
    between = {at(9, 13), at(11, 30)}
    plan = plan.replace(
        duties=tuple(s for s in plan.duties if not (s.person == "Yan" and s.start_min in between))
    )
    assert broken(plan, job) == set()
    assert broken(plan, with_rules(job, standby_dressed_max_min=242)) == {"standby-dressing"}


def test_who_stands_by_twice_at_once_dresses_once() -> None:
    """Dan stands by for the third dive a minute before the first lets him go: that he cannot, in one outfit
    or two; but he is dressed all the time, and nothing is told of his dressing."""
    plan, job = a_dressed_standby(243)
    plan = with_spells(plan, "1", STANDBY, "Dan", end_min=at(11, 31))
    between = {at(9, 13), at(11, 30)}
    plan = plan.replace(
        duties=tuple(s for s in plan.duties if not (s.person == "Yan" and s.start_min in between))
    )
    assert broken(plan, job) == {"one-duty-at-a-time", "outfit-one-wearer"}


@pytest.mark.parametrize(("dress_min", "rules"), [(53, set()), (52, {"times-in-order", "standby-dressing"})])
def test_one_tender_dresses_a_diver_for_longer(dress_min: int, rules: set[str]) -> None:
    """Crew rows of one tender in heavy dress: by the built-in list 53 min into it and 40 out of it, for the
    diver and the standby diver, who has one tender as well."""
    job = with_rules(
        JOB,
        minima=tuple(
            r.replace(count=1) if (r.duty, r.gear) == (TENDER, Gear.HEAVY) else r for r in JOB.rules.minima
        ),
    )
    job = with_item(job, WRAP, after=())
    plan = PLAN.replace(surface_tasks=PLAN.surface_tasks[1:])
    plan = plan.replace(duties=tuple(s for s in plan.duties if s.dive or s.item != RIG))
    for dive in (PLAN.dives[0], PLAN.dives[2]):
        start, end = dive.leave_surface_min - dress_min, dive.reach_surface_min + 40
        plan = with_dive(plan, dive.id, dress_start_min=start, undressed_min=end)
        moved = {dive.dress_start_min: start, dive.undressed_min: end}
        plan = plan.replace(
            duties=tuple(
                s.replace(
                    start_min=moved.get(s.start_min, s.start_min), end_min=moved.get(s.end_min, s.end_min)
                )
                if s.dive == dive.id
                else s
                for s in plan.duties
                if s.dive != dive.id or s.person not in ("Tia", "Yan")
            )
        )
    told = ("leftovers-told", "objective-values", "objective-stages")
    assert broken(plan, job) - set(told) == rules


@pytest.mark.parametrize(("start_min", "rules"), [(at(9, 28), set()), (at(9, 27), {"day-blocks"})])
def test_cleaning_begins_when_the_last_is_undressed(start_min: int, rules: set[str]) -> None:
    """The anode divers and Eli, their standby, are out of the light helmets at 09:28: cleaning may begin then
    and not a minute sooner (common practice)."""
    job = with_rules(JOB, cleaning_min=20, cleaning_hands=1)
    block = next(i for i in job.standing_items if i.gear is Gear.LIGHT)
    job = job.replace(blocks_done=tuple(i.key for i in job.standing_items if i is not block))
    end = start_min + 20
    task = SurfaceTask(item=block.name, start_min=start_min, end_min=end)
    held = DutySpell(person="Xan", duty=TENDER, start_min=start_min, end_min=end, item=block.name)
    done = PLAN.replace(stages=(), surface_tasks=(*PLAN.surface_tasks, task), duties=(*PLAN.duties, held))
    assert broken(done, job) - {"one-duty-at-a-time"} == rules


def test_two_standby_divers_do_not_share_their_hands() -> None:
    """A second standby diver who dresses in the same half hour takes two tenders of his own (common practice:
    two dress one diver in heavy dress)."""
    dan = next(s for s in PLAN.duties if (s.dive, s.duty) == ("1", STANDBY))
    h3 = JOB.outfit("H2").replace(name="H3", helmet_no="3", breastplate_no="3", straps_no="3")
    more = (
        JOB.person("Dan").replace(name="Fay"),
        *(JOB.person("Uwe").replace(name=n) for n in ("Una", "Ula")),
    )
    job = JOB.replace(people=(*JOB.people, *more), outfits=(*JOB.outfits, h3))
    plan = PLAN.replace(duties=(*PLAN.duties, dan.replace(person="Fay", outfit="H3")))
    assert broken(plan, job) == {"standby-dressing"}
    yan = [s for s in PLAN.duties if (s.dive, s.person) == ("1", "Yan")]
    hands = tuple(s.replace(person=name) for s in yan for name in ("Una", "Ula"))
    assert broken(plan.replace(duties=(*plan.duties, *hands)), job) == set()


def test_no_step_from_one_outfit_into_another() -> None:
    """Eli, in a light helmet at the south side until 09:28, stands by at the north side in heavy dress from
    11:30: at 12:00 he is dressed; from 11:31 he is not, and in the minute in which he is out of the other
    outfit he does not begin."""
    job = with_person(JOB, "Eli", past_dives=())
    plan = with_spells(PLAN, "3", STANDBY, "Dan", person="Eli")
    assert broken(plan, job) == set()
    late = with_spells(plan, "3", STANDBY, "Eli", start_min=at(11, 31))
    assert "standby-dressing" in broken(late, job)
    at_once = with_spells(plan, "2", STANDBY, "Eli", end_min=at(11, 30))
    assert broken(at_once, job) == {"standby-dressing"}


ANA_AT_EIGHT_THIRTY = Pin(kind=PinKind.DIVES, item=WRAP, person="Ana", start_min=at(8, 30))


@pytest.mark.parametrize(
    ("pin", "kept"),
    [
        (ANA_AT_EIGHT_THIRTY, True),
        (ANA_AT_EIGHT_THIRTY.replace(bottom_time_min=41), True),
        (ANA_AT_EIGHT_THIRTY.replace(bottom_time_min=40), False),
        (ANA_AT_EIGHT_THIRTY.replace(station=SOUTH), False),
        (ANA_AT_EIGHT_THIRTY.replace(start_min=at(11, 50), end_min=at(12)), True),
        (Pin(kind=PinKind.DIVES, item=WRAP, person="Dan"), False),
        # at the entry Cruz is no working diver
        (Pin(kind=PinKind.DIVES, item=ANODES, person="Cruz"), False),
        (Pin(kind=PinKind.STAYS_UP, person="Cruz", item=ANODES), False),
        (Pin(kind=PinKind.STAYS_UP, person="Cruz", item=WRAP), True),
        (Pin(kind=PinKind.STAYS_UP, person="Ana"), False),
        (Pin(kind=PinKind.STAYS_UP, person="Dan"), True),
        (Pin(kind=PinKind.STARTS, item=WRAP, start_min=at(8, 30)), True),
        (Pin(kind=PinKind.STARTS, item=WRAP, start_min=at(12)), False),
        (Pin(kind=PinKind.STARTS, item=RIG, start_min=at(6), end_min=at(7)), True),
        (Pin(kind=PinKind.STARTS, item=RIG, start_min=at(7, 1), end_min=at(9)), False),
        (Pin(kind=PinKind.STARTS, item="Seal the gate", start_min=at(9)), False),
        (Pin(kind=PinKind.HOLDS, item=WRAP, person="Sam", duty=SUPERVISOR), True),
        (Pin(kind=PinKind.HOLDS, item=WRAP, person="Sol", duty=SUPERVISOR), False),
        (Pin(kind=PinKind.HOLDS, item=WRAP, person="Ned", duty=SUPERVISOR), False),
        (Pin(kind=PinKind.HOLDS, item=WRAP, person="Uwe", duty=STANDBY_TENDER), True),
        # Yan lends a hand while the standby diver dresses and undresses, and holds it on no dive
        (Pin(kind=PinKind.HOLDS, item=WRAP, person="Yan", duty=STANDBY_TENDER), False),
        (Pin(kind=PinKind.HOLDS, item=RIG, person="Rob", duty=RIGGER), True),
        (Pin(kind=PinKind.HOLDS, item=RIG, person="Tom", duty=RIGGER), False),
        # an item that is not planned has no duties to hold
        (Pin(kind=PinKind.HOLDS, item="Seal the gate", person="Sol", duty=SUPERVISOR), True),
        (Pin(kind=PinKind.AWAY, person="Tom", start_min=at(9, 33), end_min=at(11, 30)), True),
        (Pin(kind=PinKind.AWAY, person="Tom", start_min=at(9, 34), end_min=at(11, 29)), True),
        (Pin(kind=PinKind.AWAY, person="Tom", start_min=at(9, 32), end_min=at(11, 30)), False),
        (Pin(kind=PinKind.AWAY, person="Tom", start_min=at(9, 33), end_min=at(11, 31)), False),
        # all of a duty, and a part of its middle
        (Pin(kind=PinKind.AWAY, person="Tom", start_min=at(7, 55), end_min=at(9, 40)), False),
        (Pin(kind=PinKind.AWAY, person="Tom", start_min=at(8, 10), end_min=at(8, 20)), False),
        # up at 09:13, the next from that side leaves at 12:00, the last is up at 12:33 of a day until 19:00
        (Pin(kind=PinKind.KEEPS_FREE, item=WRAP, free_min=167), True),
        (Pin(kind=PinKind.KEEPS_FREE, item=WRAP, free_min=168), False),
        (Pin(kind=PinKind.DIVES, item=WRAP, free_min=387), True),
        (Pin(kind=PinKind.DIVES, item=WRAP, free_min=388), False),
        (ANA_AT_EIGHT_THIRTY.replace(free_min=167), True),
        (ANA_AT_EIGHT_THIRTY.replace(free_min=168), False),
        (Pin(kind=PinKind.KEEPS_FREE, item="Seal the gate", free_min=480), True),
        # nobody of this job is briefed, so nobody is to be from then
        (Pin(kind=PinKind.BRIEFED, start_min=at(7)), True),
    ],
)
def test_pins(pin: Pin, kept: bool) -> None:
    """Each kind of pin, kept and not kept."""
    assert broken(PLAN, JOB.replace(pins=(pin,))) == (set() if kept else {"pins-kept"})


@pytest.mark.parametrize(
    ("start_min", "station", "kept"),
    [
        (at(9, 12), NORTH, True),
        (at(9, 13), NORTH, False),
        (at(10, 12), NORTH, False),
        (at(10, 13), NORTH, True),
        (at(9, 13), SOUTH, True),
        (at(9, 13), None, True),
    ],
)
def test_free_behind_a_dive_no_work_begins_at_its_station(
    start_min: int, station: str | None, kept: bool
) -> None:
    """An hour behind the first dive at the north side, up at 09:13, of which the turnaround is a quarter: a
    task of that station begins before the diver is up or at 10:13, elsewhere at any time."""
    pin = Pin(kind=PinKind.DIVES, item=WRAP, start_min=at(8, 30), free_min=45)
    loading = next(i for i in JOB.surface_items if i.name == "Load scrap")
    own = tuple(i.replace(station=station) if i is loading else i for i in JOB.surface_items)
    job = with_rules(JOB.replace(surface_items=own, pins=(pin,)), station_turnaround_min=15)
    tasks = tuple(
        t.replace(start_min=start_min, end_min=start_min + 60) if t.item == loading.name else t
        for t in PLAN.surface_tasks
    )
    assert ("pins-kept" in broken(PLAN.replace(surface_tasks=tasks), job)) is not kept


@pytest.mark.parametrize(
    ("pin", "kept"),
    [
        (Pin(kind=PinKind.BRIEFED, person="Tom", start_min=at(6, 45)), True),
        (Pin(kind=PinKind.BRIEFED, person="Tom", start_min=at(6, 44)), False),
        # the others are briefed later, each before his first duty
        (Pin(kind=PinKind.BRIEFED, start_min=at(6, 45)), False),
    ],
)
def test_a_pinned_briefing(pin: Pin, kept: bool) -> None:
    """Tom is briefed at 06:45 for a quarter of an hour: a pin to that minute is kept; to another, or for
    everybody, it is not."""
    plan, day = briefed_for(15)
    assert broken(plan, day.replace(pins=(pin,))) == (set() if kept else {"pins-kept"})


def test_a_pinned_briefing_is_as_long_as_asked() -> None:
    """Fourteen minutes from the pinned one are neither the briefing that is asked for nor the one pinned."""
    plan, day = briefed_for(14)
    pin = Pin(kind=PinKind.BRIEFED, person="Tom", start_min=at(6, 46))
    assert broken(plan, day.replace(pins=(pin,))) == {"briefed", "pins-kept"}


def test_an_outfit_that_is_still_worn_is_nobody_elses() -> None:
    """Ana dresses in H1 at 08:00: it may have been on another until then, and no minute longer."""
    plan, job = a_plan(), a_job()
    assert broken(plan, with_outfit(job, "H1", worn_until_min=at(8))) == set()
    assert broken(plan, with_outfit(job, "H1", worn_until_min=at(8, 1))) == {"outfit-one-wearer"}


def test_a_duty_in_the_briefing_is_told_in_words() -> None:
    """Tom is briefed a minute past his first duty: both are named, the briefing without an item."""
    plan, day = briefed_for(15)
    late = with_spells(plan, None, BRIEFING, "Tom", start_min=at(6, 46), end_min=at(7, 1))
    told = {f.rule: f.sentence for f in check(day, late)}
    assert told["one-duty-at-a-time"] == (
        "Tom is in the briefing and tender (Rig the stage) at once, 07:00 to 07:01."
    )


@pytest.mark.parametrize("one", [False, True])
def test_a_briefing_held_earlier_is_a_pins_choice(one: bool) -> None:
    """A minute earlier than the first work asks for, of one or of the crew: told, unless a pin has it so."""
    assert broken(*briefed_early(0, one=one)) == set()
    assert broken(*briefed_early(1, one=one)) == {"briefing-in-time"}
    assert broken(*briefed_early(1, one=one, pinned=True)) == set()


def test_a_second_briefing_with_the_first_work_makes_the_first_no_later() -> None:
    """Tom is briefed a minute early, and once more as his first duty begins: that he cannot be, and the first
    one is early all the same."""
    plan, day = briefed_early(1)
    briefing = next(s for s in plan.duties if (s.person, s.duty) == ("Tom", BRIEFING))
    again = briefing.replace(start_min=at(7), end_min=at(7, 15))
    found = broken(plan.replace(duties=(*plan.duties, again)), day)
    assert found == {"briefing-in-time", "one-duty-at-a-time"}


def test_dives_are_counted_by_calendar_day() -> None:
    """Ana dives once on each of two days: one dive a day holds, and the bottom times are not added up."""
    plan, job = over_two_days()
    assert broken(plan, job) == set()
    assert broken(plan, with_rules(job, dives_a_day=1, bottom_minutes_a_day=41)) == set()
    assert broken(plan, with_rules(job, bottom_minutes_a_day=40)) == {"bottom-minutes-a-day"}


def test_the_duty_span_is_of_one_day() -> None:
    """Over two days Pia's longest day is 103 min and Tom's 153: the night between is no part of it."""
    plan, job = over_two_days()
    assert broken(plan, with_rules(job, duty_span_max_min=240)) == set()
    assert broken(plan, with_rules(job, duty_span_max_min=152)) == {"duty-span"}


def test_a_day_away_on_the_second_day() -> None:
    """The second day has its own working hours, windows and daylight."""
    plan, job = over_two_days()
    assert broken(plan, with_site(job, days=1)) == {"day-window"}
    gone = Pin(kind=PinKind.AWAY, person="Ana", start_min=NEXT_DAY, end_min=NEXT_DAY + at(12))
    assert broken(plan, job.replace(pins=(gone,))) == {"pins-kept"}


def test_rest_runs_over_the_days_of_the_job() -> None:
    """Rolling windows see both days: Pia rests 1277 min between her duties, in one part."""
    plan, job = over_two_days()
    assert broken(plan, with_rules(job, rest_in_24h_min=600, rest_in_7d_min=4620)) == set()
    tired = with_person(job, "Pia", past_work=(WorkSpell(start_min=-400, end_min=340),))
    assert broken(plan, with_rules(tired, rest_in_24h_min=600)) == {"rest-10-in-24"}


def test_custom_duties_share_a_person_only_as_the_pairs_allow() -> None:
    """The boat driver of the anode dive keeps the log too only where the job pairs the two."""
    job = with_person(JOB, "Kim", duties=frozenset({CONSOLE, LOG_KEEPER, "boat driver"}))
    plan = with_spells(PLAN, "2", "boat driver", "Ben", person="Kim")
    assert broken(plan, job) == {"one-duty-at-a-time"}
    pairs = (
        *job.rules.pairs,
        DutyPair(duty="boat driver", with_duty=CONSOLE),
        DutyPair(duty=LOG_KEEPER, with_duty="boat driver"),
    )
    assert broken(plan, with_rules(job, pairs=pairs)) == set()


def test_a_check_convicts_by_its_own_rules_alone() -> None:
    """A finding by another id is an error of the program, and is not passed on."""

    @convicts_by(Rule("fuel-for-the-day", "There is fuel for the day."))
    def fuel(facts: Facts) -> Iterator[Finding]:
        yield Finding("daylight", "The fuel lasts until 11:00.", "compressor")

    with pytest.raises(KeyError, match="daylight"):
        list(fuel(Facts(JOB, PLAN)))


def test_the_wait_before_flying() -> None:
    """Table 9-6, 8,000 ft: group K waits 15:35, so Ana (up 12:33) flies from 04:08 the next day on."""
    waits = {w.person: w for w in no_flight(PLAN, JOB)}
    assert set(waits) == {"Ana", "Bo", "Cruz"}
    assert (waits["Ana"].group, waits["Ana"].until_min) == ("K", at(12, 33) + 15 * 60 + 35)
    told = unchecked(JOB, PLAN)
    assert any("Ana does not fly before Wed 13 May 04:08" in sentence for sentence in told)
    assert "Ana does not fly before" in to_json(PLAN, JOB)
    assert not any("fly" in sentence for sentence in unchecked(JOB))


def test_a_dive_before_the_job_counts_for_the_wait_before_flying() -> None:
    """Table 9-6, note 1: yesterday's O, up 19:00, is within 24 h of Bo's last dive; it decides, from that
    dive's end on (NOAA Diving Center newsletter, October 1999). Two days before it does not count."""
    alone = {w.person: w for w in no_flight(PLAN, with_person(JOB, "Bo", past_dives=()))}["Bo"]
    assert alone.group is not None and alone.group < "O"
    yesterday = PastDive(depth_fsw=60, bottom_time_min=90, surfaced_min=at(19) - 1440, group_after="O")
    with_it = {w.person: w for w in no_flight(PLAN, with_person(JOB, "Bo", past_dives=(yesterday,)))}["Bo"]
    assert (with_it.group, with_it.until_min) == (
        "O",
        alone.surfaced_min + NAVY.wait_before_altitude_min("O"),
    )
    long_ago = yesterday.replace(surfaced_min=at(8) - 1440)
    assert {w.person: w for w in no_flight(PLAN, with_person(JOB, "Bo", past_dives=(long_ago,)))}[
        "Bo"
    ] == alone


def test_a_group_that_no_table_has_waits_longest() -> None:
    """A plan from a file may carry anything: no group waits 48 h (table 9-6, exceptional exposure)."""
    dive = PLAN.dives[0]
    odd = with_dive(PLAN, "1", divers=(dive.divers[0].replace(group_after="?"),)).replace(dives=())
    assert no_flight(odd, JOB) == ()
    odd = PLAN.replace(dives=(dive.replace(divers=(dive.divers[0].replace(group_after="?"),)),))
    (wait,) = no_flight(odd, JOB)
    assert (wait.group, wait.until_min) == (None, at(9, 13) + 48 * 60)
    assert no_flight(PLAN.replace(dives=(dive.replace(reach_surface_min=10**9),)), JOB) == ()


def test_hours_are_for_a_person_to_tick_while_the_program_does_not_weigh_them() -> None:
    """With rest in rolling windows on, a person vouches for the hours before the job, not for the rest."""
    assert any("hours of rest hold" in s for s in unchecked(JOB))
    on = unchecked(with_rules(JOB, rest_in_24h_min=600, rest_in_7d_min=4620))
    assert not any("hours of rest hold" in s for s in on)
    assert any("worked in the 7 days before" in s for s in on)
    one = unchecked(with_rules(JOB, rest_in_24h_min=600))
    assert any("hours of rest hold over any 7 days" in s for s in one)
    _, tidal = with_charted_depth(58)
    assert any("raised the tide" in s for s in unchecked(tidal))


def test_air_is_for_a_person_to_tick_while_no_plant_is_given() -> None:
    """With a plant the air rules check primary and reserve; without one nobody has."""
    assert any("Air supply and reserve" in s for s in unchecked(JOB))
    bank = Bank(name="B1", bottles=4, floodable_cuft_each=1.5, pressure_psi=2000, working_pressure_psi=2400)
    assert not any("Air supply" in s for s in unchecked(JOB.replace(air=AirPlant(banks=(bank,)))))


def test_rules_that_are_off_change_nothing() -> None:
    """Without a meal break and rest in rolling windows their other limits say nothing about a plan."""
    job = with_rules(
        JOB,
        meal_break_after_min=60,
        watch_break_min=240,
        rest_parts=1,
        rest_long_part_min=1440,
        rest_least_min=360,
    )
    assert broken(PLAN, job) == set()
    assert broken(without(PLAN, "2", "boat driver", "Ben"), job) == {"crew-other"}


def test_the_tenders_of_a_row_without_divers_help_too() -> None:
    """A row of two tenders for the station asks two hands for the standby of a single diver."""
    plan, job = a_dressed_standby(120)
    row = CrewMinimum(duty=TENDER, count=2, source="this job, for the test")
    minima = (*(r for r in job.rules.minima if r.duty != TENDER), row)
    assert broken(plan, with_rules(job, minima=minima)) == set()
    assert broken(plan, with_rules(job, minima=(*minima[:-1], row.replace(count=3)))) == {
        "crew-tenders",
        "standby-dressing",
    }


def test_item_windows_still_hold_beside_a_pin() -> None:
    """A pin never loosens another rule."""
    job = with_item(JOB, WRAP, windows=(span(at(8, 31), at(15)),)).replace(pins=(ANA_AT_EIGHT_THIRTY,))
    assert broken(PLAN, job) == {"item-window"}


def test_a_briefing_at_the_very_start_counts_and_one_after_the_first_duty_does_not() -> None:
    """Tom comes at 06:45 and is briefed from then: enough. Briefed once his first duty has begun: 0 min."""
    plan, day = briefed_for(15)
    day = with_person(day, "Tom", available=(span(at(6, 45), at(18)),))
    assert broken(plan, day) == set()
    late = with_spells(plan, None, BRIEFING, "Tom", start_min=at(13, 30), end_min=at(13, 45))
    told = [b for b in check(day, late) if b.rule == "briefed"]
    assert [b.where for b in told] == ["Tom"]
    assert "first on duty 07:00; briefed for 0 min before it, 15 asked" in told[0].sentence


def test_one_briefing_is_as_long_as_asked() -> None:
    """All are called at 06:45, and Ana goes after 14 of 15 minutes."""
    plan, day = called_together(True)
    (ana,) = (s for s in plan.duties if (s.duty, s.person) == (BRIEFING, "Ana"))
    short = with_spells(plan, None, BRIEFING, "Ana", end_min=ana.end_min - 1)
    assert broken(plan, day) == set()
    assert broken(short, day) == {"briefed", "one-briefing"}


def test_rest_before_duty_says_when_he_may_start() -> None:
    """Eight hours after 23:01 is 07:01."""
    (told,) = check(with_person(JOB, "Tom", last_duty_end_min=-59), PLAN)
    assert "ended Mon 23:01" in told.sentence or "23:01" in told.sentence
    assert "with 480 min of rest the next starts" in told.sentence
    assert "07:01 at the earliest, not" in told.sentence


def test_an_item_after_one_that_is_overdone_is_not_told() -> None:
    """Scrap is loaded twice, which is told for scrap; what comes after it is told nothing."""
    rig, scrap = PLAN.surface_tasks
    twice = PLAN.replace(surface_tasks=(rig, scrap.replace(start_min=rig.end_min), scrap))
    after = with_item(JOB, WRAP, after=(After(item=RIG, lag_min=60), After(item=SCRAP, lag_min=0)))
    assert "work-not-exceeded" in broken(twice, after)
    assert not [b for b in check(after, twice) if "of which" in b.sentence]
