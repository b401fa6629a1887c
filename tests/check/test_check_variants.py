"""More ways to break a rule than the one case each has, and what the check says of them."""

from __future__ import annotations

from datetime import date

import pytest
from pydantic import ValidationError

from planner.check import check
from planner.job import After, CrewMinimum, Job, OutfitState, Policy, StandbyWayUp
from planner.job.duties import CHAMBER_OPERATOR, DIVER, STANDBY, STANDBY_TENDER, SUPERVISOR
from planner.plan import Plan, Status, SurfaceTask, unchecked
from planner.tables import Stop, TableSchedule
from tests.world.changed import (
    past,
    shifted,
    with_dive,
    with_diver,
    with_item,
    with_outfit,
    with_person,
    with_rules,
    with_site,
    with_spells,
    without,
)
from tests.world.parts import at
from tests.world.quay import ANODES, NORTH, RIG, SCRAP, SOUTH, WRAP, a_job, a_plan

PLAN, JOB = a_plan(), a_job()


def broken(plan: Plan, job: Job) -> set[str]:
    """Ids of the rules that a plan breaks."""
    return {b.rule for b in check(job, plan)}


def test_a_sentence_names_people_times_and_numbers() -> None:
    """A breach says who, when and how much, so that it can be mended without the program."""
    (breach,) = check(with_rules(JOB, least_surface_interval_min=180), PLAN)
    assert breach.rule == "surface-interval"
    assert all(word in breach.sentence for word in ("Ana", "167 min", "12:00", "180"))
    assert breach.where == "dive 3 (Wrap piles), Ana"


@pytest.mark.parametrize(
    ("surfaced", "group", "able"),
    [
        # table 9-7: 63 min at 60 fsw; table 9-8: residual nitrogen time of G 40, of H 46, of I 52 min.
        # The standby diver keeps 15: G leaves 23, H leaves 17, I leaves 11. Ten minutes change no group.
        (at(8, 20), "G", True),
        (at(8, 20), "H", True),
        (at(8, 20), "I", False),
        # table 9-8: Z is O after 53 min, never H within the hour; 9 min is no interval
        (at(7, 30), "Z", False),
        (at(8, 21), "A", False),
    ],
)
def test_the_standby_divers_nitrogen_decides(surfaced: int, group: str, able: bool) -> None:
    """The group that is left at leave surface (08:30) must leave 15 no-stop minutes at 60 fsw."""
    job = with_person(JOB, "Dan", past_dives=(past(60, 5, surfaced, group),))
    assert broken(PLAN, job) == (set() if able else {"standby-able-to-go"})


def test_standby_after_a_dive_without_a_group() -> None:
    """No group printed (an exceptional exposure in the night): not able to stand by until clean."""
    job = with_person(JOB, "Dan", past_dives=(past(150, 90, at(2)),))
    assert broken(PLAN, job) == {"standby-able-to-go"}


@pytest.mark.parametrize(("minutes", "able"), [(0, True), (1, False)])
def test_standby_in_the_minute_in_which_he_is_clean(minutes: int, able: bool) -> None:
    """48 h after a schedule without a group he is clean (longest wait of table 9-6); a minute before not."""
    surfaced = at(8, 30) - 48 * 60 + minutes
    job = with_person(JOB, "Dan", past_dives=(past(150, 90, surfaced),))
    assert broken(PLAN, job) == (set() if able else {"standby-able-to-go"})


@pytest.mark.parametrize(
    ("surfaced", "rules"),
    [
        (at(8, 26), {"same-dive-under-ten"}),
        (at(8, 25), {"residual-nitrogen", "table-row"}),
    ],
)
def test_ten_minutes_make_two_dives(surfaced: int, rules: set[str]) -> None:
    """Cruz goes down at 08:35 as if clean: after nine minutes that is the same dive (table 9-8), after
    exactly ten he is in group B, with 21 min of residual nitrogen."""
    job = with_person(JOB, "Cruz", past_dives=(past(36, 20, surfaced),))
    assert broken(PLAN, job) == rules


@pytest.mark.parametrize(
    ("depth_fsw", "bottom_time_min", "too_much"),
    [(190, 31, False), (190, 30, False), (191, 30, False), (191, 31, True)],
)
def test_deeper_than_190_fsw_for_more_than_half_an_hour(
    depth_fsw: int, bottom_time_min: int, too_much: bool
) -> None:
    """29 CFR 1910.425(b)(1): to 190 fsw, or to 220 fsw for a bottom time of 30 min or less."""
    job = with_item(with_rules(JOB, greatest_depth_fsw=220), ANODES, depth_fsw=depth_fsw)
    plan = with_dive(PLAN, "2", depth_fsw=depth_fsw, leave_bottom_min=at(8, 35) + bottom_time_min)
    assert ("greatest-depth" in broken(plan, job)) is too_much


@pytest.mark.parametrize(("deeper_than_fsw", "asked"), [(58, False), (57, True)])
def test_stage_and_spare_hose_at_the_depth_itself(deeper_than_fsw: int, asked: bool) -> None:
    """29 CFR 1910.425(c)(5): deeper than; a dive to that very depth without stops asks for neither."""
    job = with_rules(JOB, stage_deeper_than_fsw=deeper_than_fsw)
    assert broken(PLAN, job) == ({"heavy-stage-and-hose"} if asked else set())


@pytest.mark.parametrize(("water_temp_f", "cold"), [(50.0, False), (49.9, True)])
def test_water_at_the_limit_is_not_cold(water_temp_f: float, cold: bool) -> None:
    """Colder than 50 °F (common practice, from memory): 41 min on the bottom are one too many only there."""
    job = with_rules(JOB, longest_bottom_heavy_cold_min=40)
    assert broken(PLAN, with_site(job, water_temp_f=water_temp_f)) == ({"longest-bottom"} if cold else set())


@pytest.mark.parametrize(
    ("limits", "rule"),
    [
        # Tom from 07:00 to 09:33, his gap of 30 min no break: 153 min
        ({"meal_break_min": 31, "meal_break_after_min": 153}, None),
        ({"meal_break_min": 31, "meal_break_after_min": 152}, "meal-break"),
        # Sam and Cal from 08:00 to 12:33, their gap of 137 min no break: 273 min
        ({"watch_break_min": 138, "watch_max_min": 273}, None),
        ({"watch_break_min": 138, "watch_max_min": 272}, "watch-relief"),
    ],
)
def test_as_long_as_allowed_without_a_break(limits: dict[str, int], rule: str | None) -> None:
    """The longest stretch that is allowed is allowed; a minute more is not."""
    assert broken(PLAN, with_rules(JOB, **limits)) == ({rule} if rule else set())


def test_standby_must_be_fit_like_a_diver() -> None:
    """Certificates, medical and an outfit count for the standby diver too."""
    assert broken(PLAN, with_person(JOB, "Dan", certificates=())) == {"standby-able-to-go"}
    assert broken(PLAN, with_person(JOB, "Dan", medical_expires=date(2026, 5, 11))) == {"standby-able-to-go"}
    assert broken(with_spells(PLAN, "1", STANDBY, "Dan", outfit=None), JOB) == {"standby-able-to-go"}
    assert broken(PLAN, with_outfit(JOB, "H2", state=OutfitState.IN_REPAIR)) == {"outfit-ready"}


def test_a_planned_diver_stands_by_only_with_nitrogen_to_spare() -> None:
    """Bo surfaces 09:18 in E after 40 fsw / 41 min (table 9-7) and stands by for leave surface 12:00 in B
    (table 9-8: E is B after 160 to 235 min, with 14 min of residual nitrogen): 63 less 14 leaves 49 min."""
    plan = with_spells(PLAN, "3", STANDBY, "Dan", person="Bo")
    assert broken(plan, JOB) == set()
    assert broken(plan, with_rules(JOB, standby_no_stop_min=49)) == set()
    assert broken(plan, with_rules(JOB, standby_no_stop_min=50)) == {"standby-able-to-go"}


def test_a_standby_has_at_least_a_minute() -> None:
    """60 fsw: 63 min without stops (table 9-7), group J takes 58 of them, K 65 (table 9-8). Asked for one
    minute, J with 5 may stand by and K, who would come to -2, may not; asking for none is refused."""
    asked = with_rules(JOB, standby_no_stop_min=1)
    for group, able in (("J", True), ("K", False)):
        job = with_person(asked, "Dan", past_dives=(past(60, 5, at(8, 20), group),))
        assert broken(PLAN, job) == (set() if able else {"standby-able-to-go"})
    with pytest.raises(ValidationError, match="greater than or equal to 1"):
        with_rules(JOB, standby_no_stop_min=0)


def test_a_standbys_minutes_counted_as_the_policy() -> None:
    """60 fsw, group I: 63 less 52 leaves 11 min without stops. Table 9-9, 60/65 with 2 min of stops: 65 less
    52 leaves 13, where the job counts so, its policy allows 2 min, and a chamber is at the location."""
    tired = with_person(JOB, "Dan", past_dives=(past(60, 5, at(8, 20), "I"),))
    two_min = with_site(tired, policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=2)
    for least, able in ((13, True), (14, False)):
        job = with_rules(two_min, standby_no_stop_min=least, standby_way_up=StandbyWayUp.POLICY)
        assert broken(PLAN, job) == (set() if able else {"standby-able-to-go"})
    counted = with_rules(two_min, standby_no_stop_min=13, standby_way_up=StandbyWayUp.POLICY)
    for job in (
        with_rules(counted, standby_way_up=StandbyWayUp.NO_STOP),
        with_site(counted, in_water_stop_max_min=1),
        with_site(counted, policy=Policy.NO_STOP),
        with_site(counted, chamber_minutes_away=6),
    ):
        assert broken(PLAN, job) == {"standby-able-to-go"}
        assert broken(PLAN, with_rules(job, standby_no_stop_min=11)) == set()


def test_the_watch_by_the_chamber_bars_the_standby() -> None:
    """29 CFR 1910.423(b)(2): near the chamber for an hour after a dive deeper than 100 fsw."""
    deep_night = with_person(JOB, "Dan", past_dives=(past(110, 5, at(7, 1), "A"),))
    assert broken(PLAN, deep_night) == {"chamber-watch"}
    earlier = with_person(JOB, "Dan", past_dives=(past(110, 5, at(7, 0), "A"),))
    assert broken(PLAN, earlier) == set()


def test_inspection_due_yesterday_is_not_ready() -> None:
    """An outfit marked ready whose inspection was due before the day is not ready."""
    assert broken(PLAN, with_outfit(JOB, "H1", inspection_due=date(2026, 5, 11))) == {"outfit-ready"}


def test_past_dives_of_the_same_day_count() -> None:
    """A dive made earlier on the day counts among the dives a day and the bottom minutes a day."""
    early = with_person(JOB, "Cruz", past_dives=(past(30, 10, at(0, 30), "A"),))
    rested = with_diver(PLAN, "2", "Cruz", surface_interval_min=at(8, 35) - at(0, 30))
    assert broken(rested, early) == set()
    assert broken(rested, with_rules(early, bottom_minutes_a_day=72)) == set()
    twice = with_person(JOB, "Ana", past_dives=(past(30, 10, at(0, 30), "A"),))
    third = with_diver(PLAN, "1", "Ana", surface_interval_min=at(8, 30) - at(0, 30))
    assert broken(third, twice) == {"dives-a-day"}


def test_residual_nitrogen_of_yesterday_is_carried_in() -> None:
    """Ana surfaced in Z an hour before: O by table 9-8, 93 min of residual nitrogen at 60 fsw: no way."""
    job = with_person(JOB, "Ana", past_dives=(past(60, 63, at(7, 30), "Z"),))
    assert broken(PLAN, job) >= {"way-up-policy"}


def test_surface_items_are_done_whole_and_once() -> None:
    """A surface item runs its whole time in one go."""
    rig, scrap = PLAN.surface_tasks
    short = PLAN.replace(surface_tasks=(rig, scrap.replace(end_min=at(10, 59))))
    assert "item-whole" in broken(short, JOB)
    twice = PLAN.replace(surface_tasks=(rig, scrap, scrap.replace(start_min=at(11), end_min=at(12))))
    assert "work-not-exceeded" in broken(twice, JOB)
    longer = PLAN.replace(surface_tasks=(rig, scrap.replace(end_min=at(11, 1))))
    assert "work-not-exceeded" in broken(longer, JOB)


def test_a_successor_needs_the_whole_of_what_comes_before() -> None:
    """An item after one that is left over may not start."""
    job = with_item(JOB, SCRAP, after=(After(item="Seal the gate"),))
    assert broken(PLAN, job) == {"precedence"}


def test_an_item_done_and_listed_is_told_twice() -> None:
    """Leftovers hold nothing that is done, every item that is not, with its own minutes."""
    left = PLAN.leftovers[0]
    done = PLAN.replace(leftovers=(left, left.replace(item=WRAP, planned_min=70, needed_min=70)))
    assert broken(done, JOB) == {"leftovers-told"}
    assert broken(PLAN.replace(leftovers=()), JOB) == {"leftovers-told"}
    assert broken(PLAN.replace(leftovers=(left.replace(planned_min=1),)), JOB) == {"leftovers-told"}
    blank = left.replace(reasons=(left.reasons[0].replace(sentence="  "),))
    assert broken(PLAN.replace(leftovers=(blank,)), JOB) == {"leftovers-told"}


def test_stages_must_be_honest() -> None:
    """A value past its bound, a proof with a gap, a last end that is not the plan's: all are convicted."""
    work, finish = PLAN.stages
    for stages in (
        (work.replace(bound=1519), finish),
        (work.replace(proven=True), finish),
        (work, finish.replace(value=at(12, 54))),
        (work, finish.replace(bound=at(12, 54))),
    ):
        assert broken(PLAN.replace(stages=stages), JOB) == {"objective-values"}
    assert broken(PLAN.replace(status=Status.PROVEN_BEST), JOB) == {"objective-values", "objective-stages"}


def test_unknown_names_of_every_kind() -> None:
    """Person, outfit, station, item, dive and rule that are not there are each convicted."""
    left = PLAN.leftovers[0]
    for plan in (
        with_diver(PLAN, "1", "Ana", outfit="H9"),
        with_dive(PLAN, "1", station="West side"),
        with_dive(PLAN, "1", item="Find treasure"),
        with_dive(PLAN, "1", id="3"),
        with_spells(PLAN, "1", SUPERVISOR, "Sam", person="Nobody"),
        with_spells(PLAN, "1", SUPERVISOR, "Sam", duty="juggler"),
        with_spells(PLAN, "1", SUPERVISOR, "Sam", dive="9"),
        PLAN.replace(leftovers=(left.replace(reasons=(left.reasons[0].replace(rule="no-such"),)),)),
        PLAN.replace(surface_tasks=(*PLAN.surface_tasks, SurfaceTask(item="Tea", start_min=1, end_min=2))),
    ):
        assert "known-names" in broken(plan, JOB)


def test_divers_and_their_duties_tell_one_story() -> None:
    """A diver without the duty, a duty without the diver, a duty of an item that is not done."""
    for plan in (
        without(PLAN, "1", DIVER, "Ana"),
        with_diver(PLAN, "1", "Ana", duty=SUPERVISOR),
        with_spells(PLAN, "1", DIVER, "Ana", outfit="H2"),
        with_spells(PLAN, "1", SUPERVISOR, "Sam", item=ANODES),
        with_spells(PLAN, "1", SUPERVISOR, "Sam", dive=None),
        PLAN.replace(surface_tasks=PLAN.surface_tasks[:1]),
    ):
        assert "duties-match-dives" in broken(plan, JOB)


def test_one_person_on_two_stations_is_convicted_even_in_an_allowed_pair() -> None:
    """The pair of console and log keeper holds on one station only."""
    plan = with_spells(PLAN, "2", "log keeper", "Kim", person="Cal")
    assert broken(plan, JOB) == {"one-duty-at-a-time"}


def test_a_standby_diver_holds_nothing_else() -> None:
    """Even where the job pairs it with another duty, standing by is held alone (common practice)."""
    pairs = (*JOB.rules.pairs, JOB.rules.pairs[0].replace(duty=STANDBY, with_duty=STANDBY_TENDER))
    job = with_person(with_rules(JOB, pairs=pairs), "Dan", duties=frozenset({DIVER, "tender"}))
    plan = with_spells(PLAN, "1", STANDBY_TENDER, "Uwe", person="Dan")
    assert broken(plan, job) == {"one-duty-at-a-time"}


def test_a_station_duty_begins_when_the_dive_before_is_up() -> None:
    """While one diver dresses and another is in the water, the crew of the dive in the water covers both:
    the duties of the second dive begin at 09:13, not at its dressing; its standby diver dresses before."""
    own = (DIVER, "diver at the entry", "tender", STANDBY, STANDBY_TENDER)
    plan = shifted(with_diver(PLAN, "2", "Bo", surface_interval_min=635 + 38), "2", 38)
    plan = with_dive(plan, "2", station=NORTH)
    plan = plan.replace(
        duties=tuple(
            s.replace(station=NORTH, start_min=at(9, 13) if s.start_min == at(8, 58) else s.start_min)
            if s.dive == "2" and s.duty not in own
            else s
            for s in plan.duties
            if not (s.dive == "2" and s.duty in own)
        )
        + tuple(s.replace(station=NORTH) for s in plan.duties if s.dive == "2" and s.duty in own)
    )
    job = with_item(JOB, ANODES, station=None)
    assert broken(plan, job) == set()
    sol = with_spells(plan, "2", SUPERVISOR, "Sol", start_min=at(9, 14))
    assert broken(sol, job) == {"crew-supervisor"}


def test_the_largest_row_of_a_duty_decides() -> None:
    """Several rows of one duty: the largest count is asked, a row per diver times the divers."""
    row = CrewMinimum(duty="boat driver", count=1, per_diver=True, source="this job, for the test")
    job = with_rules(JOB, minima=(*JOB.rules.minima, row))
    found = [b for b in check(job, PLAN) if b.rule == "crew-other"]
    # one for dive 1 and dive 3 each, and the second for the two in the water on dive 2
    assert len(found) == 3
    assert any("2 asked" in b.sentence for b in found)


STOP_ROW = TableSchedule(
    table="9-8, 9-9",
    way_up="air",
    depth_fsw=60,
    time_min=65,
    stops=(Stop(depth_fsw=20, minutes=2),),
    time_to_first_stop_s=80,
    ascent_s=240,
)


def a_dive_with_stops() -> tuple[Plan, Job]:
    """Dive 3 five minutes longer: an equivalent 65 min at 60 fsw. Table 9-9: 2 min at 20 fsw on air, first
    stop after 1:20, ascent 4:00, group L. Leave bottom 12:36, surface 12:40, undressed 13:00."""
    plan = with_dive(
        PLAN,
        "3",
        leave_bottom_min=at(12, 36),
        reach_surface_min=at(12, 40),
        undressed_min=at(13),
        bottom_time_min=36,
        work_min=35,
    )
    plan = with_diver(plan, "3", "Ana", equivalent_min=65, group_after="L", schedule=STOP_ROW)
    later = {at(12, 33): at(12, 40), at(12, 53): at(13), at(13, 33): at(13, 40)}
    plan = plan.replace(
        duties=tuple(
            s.replace(start_min=later.get(s.start_min, s.start_min), end_min=later.get(s.end_min, s.end_min))
            if s.dive == "3"
            else s
            for s in plan.duties
        ),
        stages=(
            PLAN.stages[0].replace(value=1600),
            PLAN.stages[1].replace(value=at(13)),
        ),
    )
    job = with_site(
        with_item(JOB, WRAP, bottom_work_min=75), policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=2
    )
    return plan, job


def test_stops_are_allowed_as_far_as_the_policy_goes() -> None:
    """Table 9-9, 60 fsw / 65 min: two minutes of stops hold under a policy of two, not of one or none."""
    plan, job = a_dive_with_stops()
    assert broken(plan, job) == set()
    assert broken(plan, with_site(job, in_water_stop_max_min=1)) == {"way-up-policy"}
    assert broken(plan, with_site(job, policy=Policy.NO_STOP)) == {"way-up-policy"}


def test_a_dive_with_stops_needs_chamber_operator_and_watch() -> None:
    """29 CFR 1910.423(c)(1) and (b)(2): outside the no-stop limits a chamber at the location and a watch."""
    plan, job = a_dive_with_stops()
    assert broken(plan, with_site(job, chamber_minutes_away=None)) == {"chamber-at-location"}
    deep_row_only = tuple(r for r in job.rules.minima if r.deeper_than_fsw is None)
    job = with_rules(job, minima=deep_row_only)
    assert broken(plan, job) == set()
    assert broken(without(plan, "3", CHAMBER_OPERATOR, "Pia"), job) == {"crew-chamber-operator"}
    # the dives without stops ask for none
    assert broken(without(plan, "1", CHAMBER_OPERATOR, "Pia"), job) == set()


def test_a_wrong_stop_is_a_wrong_row() -> None:
    """A minute less at the stop is not the table's row."""
    plan, job = a_dive_with_stops()
    row = STOP_ROW.replace(stops=(Stop(depth_fsw=20, minutes=1),))
    assert broken(with_diver(plan, "3", "Ana", schedule=row), job) == {"table-row"}


def test_altitude_and_position_are_for_a_person_to_tick() -> None:
    """What the program cannot know is listed, never assumed."""
    plain = unchecked(JOB)
    assert any("Weather" in s for s in plain)
    assert not any("sunset" in s for s in plain)
    nowhere = with_site(JOB, latitude_deg=None, longitude_deg=None, altitude_ft=2000)
    told = unchecked(with_person(nowhere, "Ana", medical_expires=None))
    assert any("sunset" in s for s in told)
    assert any("2000 ft" in s for s in told)
    assert any("Ana" in s and "medical" in s for s in told)


def test_without_a_position_daylight_is_not_convicted() -> None:
    """No latitude and longitude: the rule is listed as unchecked, the plan not convicted by it."""
    assert broken(PLAN, with_site(JOB, latitude_deg=None, longitude_deg=None)) == set()


def test_a_plan_of_nothing() -> None:
    """An empty plan is no breach but for what it leaves untold."""
    empty = Plan(job_name="Test Quay", status=Status.CONSTRUCTIVE, stages=())
    assert broken(empty, JOB) == {"leftovers-told"}
    assert {b.where for b in check(JOB, empty)} == {
        f"left over: {name}" for name in (WRAP, ANODES, "Seal the gate", RIG, SCRAP)
    }


def test_stations_of_slack_windows() -> None:
    """A slack window of another station is none here."""
    job = JOB.replace(water_windows=tuple(w.replace(stations=(SOUTH,)) for w in JOB.water_windows))
    assert broken(PLAN, job) == {"slack-water"}


@pytest.mark.parametrize("other", [RIG, "Inspecting"])
def test_who_works_on_another_item_is_no_crew_of_this_one(other: str) -> None:
    """Cat drives the crane for another item, named before or after this one, while the scrap is loaded."""
    found = check(JOB, with_spells(PLAN, None, "crane driver", "Cat", item=other))
    assert ("surface-crew", SCRAP) in {(b.rule, b.where) for b in found}


def test_more_time_to_undress_than_asked_is_no_breach() -> None:
    """A diver who is in no hurry out of his dress: nothing is told of the times of the dive."""
    later = with_dive(PLAN, "3", undressed_min=PLAN.dives[-1].undressed_min + 5)
    sooner = with_dive(PLAN, "3", undressed_min=PLAN.dives[-1].undressed_min - 5)
    for plan, told in ((later, False), (sooner, True)):
        assert any("are undressed" in b.sentence for b in check(JOB, plan)) is told
