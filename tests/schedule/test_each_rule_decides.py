"""For each rule a smallest job in which it alone decides: on its wrong side less is done, on its right all.

The two jobs of a pair differ in nothing but what the rule asks about. Invented.
"""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from planner.check import RULES, check
from planner.job import (
    After,
    Certificate,
    CrewMinimum,
    CrewNeed,
    DiveItem,
    DutyCertificate,
    Gate,
    Gear,
    Job,
    OutfitState,
    PastDive,
    Person,
    Pin,
    PinKind,
    Policy,
    Span,
    Station,
    SurfaceItem,
    WaterWindow,
)
from planner.job.duties import DUTIES, HeldAt
from planner.schedule import solve
from tests.schedule.day import PEOPLE, item, job, outfit, person
from tests.world.changed import with_rules
from tests.world.parts import equipped

Pair = tuple[Job, Job]
YESTERDAY, TODAY = date(2027, 3, 15), date(2027, 3, 16)
DIVERS = {"Ciro", "Dana", "Efe"}


def rules(made: Job, **changes: Any) -> Job:
    return made.replace(rules=made.rules.replace(**changes))


def site(made: Job, **changes: Any) -> Job:
    return made.replace(site=made.site.replace(**changes))


def someone(made: Job, names: set[str], **changes: Any) -> Job:
    return made.replace(people=tuple(p.replace(**changes) if p.name in names else p for p in made.people))


def row(made: Job, duty: str, count: int) -> Job:
    """The crew minima with another number in one duty."""
    return rules(
        made, minima=tuple(r.replace(count=count) if r.duty == duty else r for r in made.rules.minima)
    )


def of_rules(made: Job, wrong: dict[str, Any], right: dict[str, Any]) -> Pair:
    return rules(made, **wrong), rules(made, **right)


def of_people(made: Job, names: set[str], wrong: dict[str, Any], right: dict[str, Any]) -> Pair:
    return someone(made, names, **wrong), someone(made, names, **right)


def past(surfaced_min: int, depth_fsw: int = 30, minutes: int = 10) -> dict[str, Any]:
    return {
        "past_dives": (PastDive(depth_fsw=depth_fsw, bottom_time_min=minutes, surfaced_min=surfaced_min),)
    }


def one_item(**facts: Any) -> Job:
    return job(item("A", 40, 40, splittable=False, **facts))


def three_items() -> Job:
    """Three short dives at 30 fsw and two who dive: one of them must dive twice."""
    made = job(*(item(n, 30, 20, splittable=False) for n in "ABC"))
    return someone(made, {"Efe"}, duties=frozenset({"tender"}), depth_rating_fsw=0)


def two_stations(*items: DiveItem, minutes: int = 125, stations: int = 2) -> Job:
    """Crew and outfits for two stations; a day with time for one dive of 60 min at 30 fsw on each."""
    people: tuple[Person, ...] = (
        *PEOPLE,
        person("Ivo", "supervisor", "air console", "log keeper"),
        person("Jun", "air console", "log keeper"),
        person("Kim", "diver", "tender"),
        person("Lea", "tender"),
        person("Mo", "tender"),
    )
    made = job(
        *items,
        people=people,
        outfits=tuple(outfit(n, Gear.LIGHT) for n in range(1, 7)),
        stations=tuple(Station(name=n) for n in ("North", "South")[:stations]),
    )
    return site(made, day_end=time(7 + minutes // 60, minutes % 60))


def shallow_bottles(shown_psi: float) -> Job:
    """Two light helmets with bottles, asked for at any depth."""
    made = rules(light_pair(divers=1), bailout_deeper_than_fsw=0)
    return made.replace(outfits=tuple(o.replace(bailout_psi=shown_psi) for o in made.outfits))


def side(name: str, **facts: Any) -> DiveItem:
    return item(name, 30, 60, gear=Gear.LIGHT, splittable=False, **facts)


def deep() -> Job:
    """110 fsw, deeper than 100: a chamber with its operator, and the hour beside it."""
    made = job(
        item("A", 110, 15, splittable=False),
        people=(*(p.replace(depth_rating_fsw=150) if p.name in DIVERS else p for p in PEOPLE), OPERATOR),
    )
    return site(made, chamber_minutes_away=0)


def deep_from_a_stage(hose_ft: int) -> Job:
    """The same from a station with a stage and a spare hose of a length."""
    made = deep().replace(stations=(equipped("North", spare_hose_length_ft=hose_ft),))
    return rules(made, stage_deeper_than_fsw=100)


def through_chamber() -> Job:
    """80 fsw for longer than the 39 min without stops (table 9-7): surface decompression, chamber beside."""
    made = job(item("A", 78, 50, splittable=False), people=(*PEOPLE, OPERATOR))
    return site(made, policy=Policy.SURFACE_DECOMPRESSION, chamber_minutes_away=0)


OPERATOR = person("Ada", "chamber operator")


def two_deep() -> Job:
    """Two such dives and two divers: who dived first must stand by for the second. No operator."""
    made = deep()
    made = made.replace(dive_items=(*made.dive_items, made.dive_items[0].replace(name="B")))
    made = someone(made, {"Efe"}, duties=frozenset({"tender"}), depth_rating_fsw=0)
    return rules(
        made,
        minima=tuple(r for r in made.rules.minima if r.duty != "chamber operator"),
        standby_no_stop_min=1,
    )


def light_pair(**facts: Any) -> Job:
    """A dive in light helmets with more than one in the water, and hands enough for everyone on deck."""
    hands = tuple(person(f"Hand {k}", "tender") for k in range(4))
    return job(
        item("A", 30, 30, gear=Gear.LIGHT, splittable=False, **facts),
        people=(*PEOPLE, *hands),
        outfits=tuple(outfit(n, Gear.LIGHT) for n in range(1, 5)),
    )


def length_of_day(made: Job, minutes: int) -> Job:
    return site(made, day_end=time(7 + minutes // 60, minutes % 60))


#: 40 min of work at 40 fsw: 30 dressing, 1 descent, 40 work, 2 ascent, 20 undressing (heavy dress).
WATER = 43


def whole(made: Job) -> int:
    own = made.dive_items[0]
    return made.rules.dressing_min(own.gear) + WATER + made.rules.undressing_min(own.gear)


def rigger(made: Job) -> Job:
    """With a surface task of an hour beside the dive."""
    lift = SurfaceItem(name="Lift", duration_min=60, crew=(CrewNeed(duty="rigger"),))
    return made.replace(surface_items=(lift,), people=(*made.people, person("Gül", "rigger")))


def late_dive() -> Job:
    """A lift at seven and a dive at noon, everybody briefed, five hours of duty at most."""
    made = rigger(one_item(windows=(Span(start_min=720, end_min=800),)))
    lift = made.surface_items[0].replace(windows=(Span(start_min=435, end_min=495),))
    return rules(made.replace(surface_items=(lift,)), briefing_min=15, duty_span_max_min=300)


def one_too_few(duty: str) -> Pair:
    """A crew with one free hand for a duty: two are asked for, or one."""
    made = one_item()
    if all(r.duty != duty for r in made.rules.minima):
        asked = CrewMinimum(duty=duty, count=1, source="the test")
        made = rules(made, minima=(*made.rules.minima, asked))
        made = made.replace(people=(*made.people, person("Hana", duty)))
    return row(made, duty, 2), row(made, duty, 1)


def tagged_out(start: int, end: int) -> Gate:
    return Gate(what="intake tagged out", items=("A",), held_by="Ira", start_min=start, end_min=end)


def hoses_by_intake(length_ft: int) -> Job:
    """An intake 80 ft from the station and hoses of a length."""
    made = one_item()
    intake = Gate(what="intake", items=("A",), hazard_distance_ft=80)
    hoses = tuple(o.replace(umbilical_length_ft=length_ft) for o in made.outfits)
    return made.replace(gates=(intake,), outfits=hoses)


def pairs() -> dict[str, Pair]:
    """Rule → (a job on the wrong side of it, the same on the right side)."""
    base, short = one_item(), one_item()
    crane = CrewMinimum(duty="crane", count=1, source="the test")
    with_crane = rules(base, minima=(*base.rules.minima, crane))
    heavy = base.outfits
    half = {"available": (Span(start_min=420, end_min=520),)}
    long_dive = length_of_day(job(item("A", 30, 130, splittable=False)), 200)
    relay = (*long_dive.people, person("Ivo", "supervisor", available=(Span(start_min=520, end_min=620),)))
    return {
        **{d.rule.id: one_too_few(d.name) for d in DUTIES if d.rule is not None and d.place is HeldAt.DECK},
        "way-up-policy": (
            site(job(item("A", 60, 62, splittable=False)), margin_min=1),
            job(item("A", 60, 62, splittable=False)),
        ),
        "residual-nitrogen": of_people(
            length_of_day(job(item("A", 60, 55, splittable=False)), 150), DIVERS, past(400, 60, 60), {}
        ),
        "no-group-no-dive": of_people(base, DIVERS, past(100, 150, 90), past(-2400, 150, 90)),
        "greatest-depth": of_rules(base, {"greatest_depth_fsw": 39}, {"greatest_depth_fsw": 40}),
        "same-dive-under-ten": of_people(
            job(item("A", 20, 20, splittable=False, windows=(Span(start_min=460, end_min=482),))),
            DIVERS,
            past(452),
            past(440),
        ),
        "surface-interval": of_rules(
            three_items(), {"least_surface_interval_min": 400}, {"least_surface_interval_min": 10}
        ),
        "dives-a-day": of_rules(three_items(), {"dives_a_day": 1}, {"dives_a_day": 2}),
        # 1 min of descent and 20 of work, twice
        "bottom-minutes-a-day": of_rules(
            three_items(), {"bottom_minutes_a_day": 41}, {"bottom_minutes_a_day": 42}
        ),
        "depth-rating": of_people(base, DIVERS, {"depth_rating_fsw": 39}, {"depth_rating_fsw": 40}),
        "certificates": of_people(
            one_item(certificates=frozenset({"Cutting"})),
            DIVERS,
            {"certificates": (Certificate(name="Cutting", expires=YESTERDAY),)},
            {"certificates": (Certificate(name="Cutting", expires=TODAY),)},
        ),
        "duty-certificates": of_people(
            rules(base, duty_certificates=(DutyCertificate(duty="supervisor", certificate="First aid"),)),
            {"Ines"},
            {"certificates": (Certificate(name="First aid", expires=YESTERDAY),)},
            {"certificates": (Certificate(name="First aid", expires=TODAY),)},
        ),
        "medical": of_people(base, DIVERS, {"medical_expires": YESTERDAY}, {"medical_expires": TODAY}),
        "heavy-stage-and-hose": (deep_from_a_stage(109), deep_from_a_stage(110)),
        "chamber-at-location": (site(deep(), chamber_minutes_away=6), site(deep(), chamber_minutes_away=5)),
        "chamber-in-time": of_rules(through_chamber(), {"chamber_heavy_min": 4}, {"chamber_heavy_min": 3}),
        "chamber-watch": of_rules(two_deep(), {"chamber_watch_min": 420}, {"chamber_watch_min": 60}),
        "standby-able-to-go": of_people(
            someone(base, {"Efe"}, duties=frozenset({"tender"}), depth_rating_fsw=0),
            {"Dana"},
            {"depth_rating_fsw": 39},
            {"depth_rating_fsw": 40},
        ),
        "outfit-ready": (
            base.replace(outfits=(heavy[0], outfit(2, state=OutfitState.DEFECT_OPEN))),
            base.replace(outfits=heavy[:2]),
        ),
        "outfit-matched": (
            base.replace(outfits=(heavy[0], outfit(2, straps_no="9"))),
            base.replace(outfits=heavy[:2]),
        ),
        "outfit-kind": (
            base.replace(outfits=(heavy[0], outfit(2, Gear.LIGHT))),
            base.replace(outfits=heavy[:2]),
        ),
        "outfit-one-wearer": (
            job(*(item(n, 30, 20, splittable=False) for n in "AB")).replace(
                outfits=tuple(outfit(n, turnaround_min=420) for n in (1, 2))
            ),
            job(*(item(n, 30, 20, splittable=False) for n in "AB")).replace(
                outfits=tuple(outfit(n, turnaround_min=15) for n in (1, 2))
            ),
        ),
        # 30 fsw: 3 min at 1.4 × 63/33 and 1 min up at 1.4 × 48/33, out of 0.4 cu ft: 504.5 psi with the 135
        "bailout-carried": (shallow_bottles(504), shallow_bottles(505)),
        # from the start of dressing to reach surface
        "watch-relief": of_rules(base, {"watch_max_min": 30 + WATER - 1}, {"watch_max_min": 30 + WATER}),
        "longest-bottom": of_rules(base, {"longest_bottom_heavy_min": 40}, {"longest_bottom_heavy_min": 41}),
        "longest-in-dress": of_rules(
            base,
            {"longest_in_dress_heavy_min": whole(base) - 1},
            {"longest_in_dress_heavy_min": whole(base)},
        ),
        "day-window": (length_of_day(short, whole(short) - 1), length_of_day(short, whole(short))),
        "item-window": (
            one_item(windows=(Span(start_min=600, end_min=600 + WATER - 1),)),
            one_item(windows=(Span(start_min=600, end_min=600 + WATER),)),
        ),
        "gate-held": (
            base.replace(gates=(tagged_out(480, 480 + WATER - 1), tagged_out(600, 600 + WATER - 1))),
            base.replace(gates=(tagged_out(480, 490), tagged_out(490, 480 + WATER))),
        ),
        "hose-short-of-hazard": (hoses_by_intake(80), hoses_by_intake(79)),
        "slack-water": (
            one_item(needs_slack=True).replace(
                water_windows=(WaterWindow(start_min=600, end_min=600 + WATER - 1),)
            ),
            one_item(needs_slack=True).replace(
                water_windows=(WaterWindow(start_min=600, end_min=600 + WATER),)
            ),
        ),
        # in January the sun does not rise at 89° north
        "daylight": (
            site(base, latitude_deg=89.0, longitude_deg=0.0, first_day=date(2027, 1, 16)),
            site(
                base, latitude_deg=89.0, longitude_deg=0.0, first_day=date(2027, 1, 16), daylight_only=False
            ),
        ),
        # the lag alone is longer than the day
        "precedence": (
            job(item("A", 30, 20), item("B", 30, 20, after=(After(item="A", lag_min=480),))),
            job(item("A", 30, 20), item("B", 30, 20, after=(After(item="A", lag_min=100),))),
        ),
        "not-together": (
            length_of_day(rigger(one_item(not_together_with=("Lift",))), whole(short)),
            length_of_day(rigger(one_item()), whole(short)),
        ),
        "one-team-an-item": (
            two_stations(item("A", 30, 120, gear=Gear.LIGHT, least_useful_min=60)),
            two_stations(side("A"), side("B")),
        ),
        "pins-kept": (
            length_of_day(base, whole(base)).replace(
                people=(*PEOPLE, person("Ulf", "tender")),
                pins=(Pin(kind=PinKind.AWAY, person="Ines", start_min=450, end_min=451),),
            ),
            length_of_day(base, whole(base)).replace(
                people=(*PEOPLE, person("Ulf", "tender")),
                pins=(Pin(kind=PinKind.AWAY, person="Ulf", start_min=450, end_min=451),),
            ),
        ),
        "item-whole": (
            job(item("A", 60, 100, splittable=False)),
            job(item("A", 60, 100, splittable=True)),
        ),
        # the longest piece at 60 fsw is 62 min: of 100, 38 are left
        "least-useful": (
            job(item("A", 60, 100, least_useful_min=51)),
            job(item("A", 60, 100, least_useful_min=50)),
        ),
        "divers-at-a-time": (light_pair(divers=3), light_pair(divers=2)),
        "one-dive-a-station": (
            two_stations(side("A"), side("B"), stations=1),
            two_stations(side("A"), side("B")),
        ),
        # 15 to dress, 62 in the water, the turnaround, 62 in the water, 10 to undress
        "station-turnaround": (
            with_rules(two_stations(side("A"), side("B"), minutes=154, stations=1), station_turnaround_min=6),
            with_rules(two_stations(side("A"), side("B"), minutes=154, stations=1), station_turnaround_min=5),
        ),
        "stations-at-once": (
            site(two_stations(side("A"), side("B")), stations_at_once=1),
            site(two_stations(side("A"), side("B")), stations_at_once=2),
        ),
        "station-of-item": (
            two_stations(side("A", station="North"), side("B", station="North")),
            two_stations(side("A", station="North"), side("B", station="South")),
        ),
        "duty-qualified": of_people(
            someone(base, {"Efe"}, duties=frozenset({"tender"}), depth_rating_fsw=0),
            {"Dana"},
            {"duties": frozenset({"tender"}), "depth_rating_fsw": 0},
            {},
        ),
        "hours-available": of_people(base, {"Ines"}, {"available": (Span(start_min=420, end_min=490),)}, {}),
        "rest-before-duty": of_people(base, {"Ines"}, {"last_duty_end_min": 350}, {"last_duty_end_min": -60}),
        "duty-span": of_rules(
            base, {"duty_span_max_min": whole(base) - 1}, {"duty_span_max_min": whole(base)}
        ),
        "day-blocks": of_rules(
            length_of_day(base, whole(base) + 30), {"station_set_up_min": 31}, {"station_set_up_min": 30}
        ),
        "briefed": of_rules(
            length_of_day(base, whole(base) + 14), {"briefing_min": 15}, {"briefing_min": 14}
        ),
        # the lift at 07:00 calls those who dive at noon: five hours and more on duty
        "one-briefing": of_rules(late_dive(), {"one_briefing": True}, {"one_briefing": False}),
        "one-duty-at-a-time": (
            base.replace(people=tuple(p for p in PEOPLE if p.name not in ("Bo", "Gus"))),
            base,
        ),
        "surface-crew": (
            rigger(base).replace(
                surface_items=(
                    SurfaceItem(name="Lift", duration_min=60, crew=(CrewNeed(duty="rigger", count=2),)),
                )
            ),
            rigger(base),
        ),
        "crew-tenders": (row(base, "tender", 3), row(base, "tender", 2)),
        "crew-standby": (
            row(someone(base, {"Efe"}, duties=frozenset({"tender"}), depth_rating_fsw=0), "standby diver", 2),
            row(someone(base, {"Efe"}, duties=frozenset({"tender"}), depth_rating_fsw=0), "standby diver", 1),
        ),
        "crew-standby-tender": (row(base, "standby's tender", 3), row(base, "standby's tender", 2)),
        "crew-chamber-operator": (
            deep().replace(people=tuple(p for p in deep().people if p is not OPERATOR)),
            deep(),
        ),
        "crew-entry-diver": (
            light_pair(divers=2, enclosed_space=True),
            light_pair(divers=1, enclosed_space=True),
        ),
        "crew-other": (with_crane, with_crane.replace(people=(*with_crane.people, person("Hana", "crane")))),
        # two supervisors, each there for half of the dive, against one for all of it
        "hand-over": (
            someone(long_dive.replace(people=relay), {"Ines"}, **half),
            long_dive.replace(people=relay),
        ),
    }


#: What the scheduler gives by itself (times, tables, names, what is told): there is nothing to choose.
BY_CONSTRUCTION = {
    "times-in-order",
    "briefing-in-time",
    "depth-of-item",
    "table-row",
    "known-names",
    "duties-match-dives",
    "leftovers-told",
    "objective-values",
    "objective-stages",
    "in-the-chamber",
    "work-not-exceeded",
}
#: Tested elsewhere, by its own file.
ELSEWHERE = {"chamber-gas": "test_policies.py", "chamber-one-at-a-time": "test_policies.py"}
#: The plant and the outfits' sizes and lengths: tested beside their arithmetic (tests/air, tests/gear).
OF_PLANT_AND_GEAR = {
    "air-primary-flow",
    "air-primary-pressure",
    "air-reserve",
    "air-reserve-independent",
    "air-test-due",
    "gauge-test-due",
    "hose-test-due",
    "outfit-length",
    "standby-hose",
    "outfit-size",
}
#: Rules of hours over a day and more, and how long a standby is dressed: off by default; their own tests.
OF_LONGER_DAYS = {
    "rest-between-days",
    "meal-break",
    "night-duty",
    "rest-10-in-24",
    "rest-77-in-7-days",
    "rest-two-parts",
    "rest-six-hours",
    "rest-14-between",
    "standby-dressing",
}
PAIRS = pairs()


def all_work(made: Job) -> int:
    weights = made.rules.priority_weights
    under = sum(weights[i.priority - 1] * i.bottom_work_min for i in made.dive_items)
    return under + sum(weights[i.priority - 1] * i.duration_min for i in made.surface_items)


def done(made: Job) -> float:
    """Weighted work of a day, proven the most there can be."""
    outcome = solve(made, seconds=10, only_work=True)
    if outcome.plan is None:
        return 0.0
    assert check(made, outcome.plan) == ()
    assert outcome.plan.stages[0].proven
    return outcome.plan.stages[0].value


def test_every_rule_is_accounted_for() -> None:
    """Each rule of the catalog decides a smallest job here, or is told why it does not."""
    told_why = BY_CONSTRUCTION | set(ELSEWHERE) | OF_PLANT_AND_GEAR | OF_LONGER_DAYS
    assert set(PAIRS) | told_why == set(RULES)


@pytest.mark.parametrize("rule", sorted(PAIRS))
def test_the_rule_alone_decides(rule: str) -> None:
    """On the wrong side of the rule not all work is done (proven); on the right side all of it is."""
    wrong, right = PAIRS[rule]
    assert done(wrong) < all_work(wrong)
    assert done(right) == all_work(right)
