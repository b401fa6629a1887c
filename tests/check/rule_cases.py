"""For a rule one change that breaks it and nothing else, and one just on the right side of it.

Of the plan by hand. A rule that has no case here is judged on the two jobs in which it decides
(`tests/schedule/test_each_rule_decides.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time

from planner.day import with_briefings
from planner.job import (
    After,
    Certificate,
    CrewMinimum,
    DutyCertificate,
    DutyPair,
    Gate,
    Gear,
    Job,
    OutfitState,
    Pin,
    PinKind,
)
from planner.job.duties import (
    BRIEFING,
    CHAMBER_OPERATOR,
    CONSOLE,
    ENTRY_DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.plan import DutySpell, Leftover, Plan, Reason, SurfaceTask
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
from tests.world.parts import at, span
from tests.world.quay import ANODES, BOAT, NORTH, RIG, RIGGER, SCRAP, SOUTH, TICKET, WRAP, a_job, a_plan

Pair = tuple[Plan, Job]
JOB, PLAN = a_job(), a_plan()


@dataclass(frozen=True)
class Case:
    """``breaks`` and ``holds`` make a plan and its job, from the same sound pair."""

    breaks: Callable[[], Pair]
    holds: Callable[[], Pair]


def on(job: Job) -> Pair:
    """The sound plan against a changed job."""
    return PLAN, job


def of(plan: Plan) -> Pair:
    """A changed plan against the sound job."""
    return plan, JOB


def handed_over(minute: int) -> Pair:
    """Ned takes over from Sam as supervisor of the first dive at a minute."""
    sam = next(s for s in PLAN.duties if (s.dive, s.duty) == ("1", SUPERVISOR))
    both = (sam.replace(end_min=minute), sam.replace(person="Ned", start_min=minute))
    return of(PLAN.replace(duties=(*(s for s in PLAN.duties if s is not sam), *both)))


def from_north(minutes_later: int) -> Pair:
    """The anode dive moved to the north side and later: dive 1 is in the water there until 09:13."""
    plan = with_diver(shifted(PLAN, "2", minutes_later), "2", "Bo", surface_interval_min=635 + minutes_later)
    plan = with_dive(plan, "2", station=NORTH)
    north = tuple(s.replace(station=NORTH) if s.dive == "2" else s for s in plan.duties)
    return plan.replace(duties=north), with_item(JOB, ANODES, station=None)


def turned_around(turnaround_min: int) -> Pair:
    """The same two minutes after dive 1 has surfaced, where the job asks for a turnaround."""
    plan, job = from_north(40)
    return plan, with_rules(job, station_turnaround_min=turnaround_min)


def briefed_for(minutes: int) -> Pair:
    """Everybody briefed for a quarter of an hour, as the job asks, and Tom for some minutes."""
    early = with_person(with_site(JOB, day_start=time(6)), "Rob", available=(span(at(6), at(18)),))
    job = with_rules(early, briefing_min=15)
    plan = with_briefings(job, PLAN.replace(stages=()))
    return with_spells(plan, None, BRIEFING, "Tom", start_min=at(7) - minutes), job


def briefed_early(minutes: int, *, one: bool = False, pinned: bool = False) -> Pair:
    """Tom, or the whole crew, is briefed some minutes earlier than the first work asks for."""
    _, job = briefed_for(15)
    job = with_rules(job, one_briefing=one)
    plan = with_briefings(job, PLAN.replace(stages=()))
    start = min(s.start_min for s in plan.duties if s.duty == BRIEFING and (one or s.person == "Tom"))

    def sooner(s: DutySpell) -> DutySpell:
        mine = s.duty == BRIEFING and (one or s.person == "Tom")
        return s.replace(start_min=s.start_min - minutes, end_min=s.end_min - minutes) if mine else s

    early = plan.replace(duties=tuple(sooner(s) for s in plan.duties))
    pin = Pin(kind=PinKind.BRIEFED, person=None if one else "Tom", start_min=start - minutes)
    return early, job.replace(pins=(*job.pins, pin)) if pinned else job


def called_together(one: bool) -> Pair:
    """Tom has the first duty, at 07:00: all are briefed with him; or each before his own first duty."""
    _, job = briefed_for(15)
    together = with_rules(job, one_briefing=True)
    return with_briefings(together if one else job, PLAN.replace(stages=())), together


def only_dressing_the_standby() -> Plan:
    """Uwe dresses and undresses the standby diver of the first dive, and is not there while it is down."""
    uwe = next(s for s in PLAN.duties if (s.dive, s.duty, s.person) == ("1", STANDBY_TENDER, "Uwe"))
    both = (uwe.replace(end_min=at(8, 30)), uwe.replace(start_min=at(9, 13)))
    return PLAN.replace(duties=(*(s for s in PLAN.duties if s is not uwe), *both))


def inspected_at(end_min: int | None) -> Pair:
    """Two heavy outfits inspected for ten minutes each by the tenders of dive 1, who dress its diver from
    08:00; None: not at all."""
    job = with_rules(JOB, inspection_heavy_min=10, inspection_pairs=1)
    plan = PLAN.replace(stages=())
    if end_min is None:
        return plan, job
    (block,) = job.standing_items
    task = SurfaceTask(item=block.name, start_min=end_min - 20, end_min=end_min)
    hands = [s for s in plan.duties if (s.dive, s.duty) == ("1", TENDER)]
    held = [
        DutySpell(person=s.person, duty=TENDER, start_min=end_min - 20, end_min=end_min, item=block.name)
        for s in hands
    ]
    return plan.replace(surface_tasks=(*plan.surface_tasks, task), duties=(*plan.duties, *held)), job


def with_hoses(divers_ft: int, standbys_ft: int) -> Job:
    """The sound job with those umbilicals on the outfits of the first dive."""
    job = with_outfit(JOB, "H1", umbilical_length_ft=divers_ft)
    return with_outfit(job, "H2", umbilical_length_ft=standbys_ft)


def left_over(item: str, planned: int, needed: int) -> Plan:
    """The sound plan with one more item left over."""
    more = Leftover(
        item=item, planned_min=planned, needed_min=needed, reasons=(Reason(rule=None, sentence="No time."),)
    )
    return PLAN.replace(leftovers=(*PLAN.leftovers, more))


def expiring(day: date) -> tuple[Certificate, ...]:
    return (Certificate(name=TICKET, expires=day),)


def first_aid(expires: date) -> Pair:
    """Supervisors need first aid; Sam's is good until a day, the others' for ever."""
    rows = (DutyCertificate(duty=SUPERVISOR, certificate="first aid"),)
    job = with_rules(JOB, duty_certificates=rows)
    for name in ("Sam", "Sol", "Ned"):
        until = expires if name == "Sam" else None
        job = with_person(job, name, certificates=(Certificate(name="first aid", expires=until),))
    return on(job)


def tagged_out(until: int) -> Pair:
    """The intake by the piles is tagged out by one person after the other, and again for the third dive."""

    def held(by: str, start: int, end: int) -> Gate:
        return Gate(what="intake tagged out", items=(WRAP,), held_by=by, start_min=start, end_min=end)

    gates = (held("Ira", at(8), at(8, 50)), held("Jon", at(8, 50), until), held("Ira", at(12), at(13)))
    return on(JOB.replace(gates=(*gates, Gate(what="propeller locked", items=(WRAP,)))))


def hoses_of(length_ft: int, hazard_ft: int) -> Pair:
    """Heavy hoses of a length, and the intake that far from the station."""
    job = with_outfit(
        with_outfit(JOB, "H1", umbilical_length_ft=length_ft), "H2", umbilical_length_ft=length_ft
    )
    return on(job.replace(gates=(Gate(what="intake", items=(WRAP,), hazard_distance_ft=hazard_ft),)))


DAY, DAY_BEFORE = date(2026, 5, 12), date(2026, 5, 11)
FINISH = PLAN.stages[1]

CASES: dict[str, Case] = {
    "known-names": Case(lambda: of(PLAN.replace(job_name="Another Quay")), lambda: (PLAN, JOB)),
    "times-in-order": Case(
        lambda: of(with_dive(PLAN, "1", bottom_time_min=40)),
        lambda: of(with_dive(PLAN, "1", bottom_time_min=41)),
    ),
    "depth-of-item": Case(
        lambda: of(with_dive(PLAN, "1", depth_fsw=57)), lambda: of(with_dive(PLAN, "1", depth_fsw=58))
    ),
    "table-row": Case(
        lambda: of(
            with_diver(PLAN, "3", "Ana", schedule=PLAN.dives[2].divers[0].schedule.replace(depth_fsw=70))
        ),
        lambda: of(
            with_diver(
                PLAN, "3", "Ana", schedule=PLAN.dives[2].divers[0].schedule.replace(notes=("A note.",))
            )
        ),
    ),
    # equivalent 60 min against a limit of 63 at 60 fsw: a margin of 4 is one too many, 3 is not
    "way-up-policy": Case(lambda: on(with_site(JOB, margin_min=4)), lambda: on(with_site(JOB, margin_min=3))),
    "residual-nitrogen": Case(
        lambda: of(with_diver(PLAN, "3", "Ana", group_before="D")),
        lambda: of(with_diver(PLAN, "3", "Ana", group_before="E")),
    ),
    # 150 fsw for 90 min is an exceptional exposure; clean 48 h after surfacing
    "no-group-no-dive": Case(
        lambda: on(with_person(JOB, "Cruz", past_dives=(past(150, 90, at(8, 35) - 48 * 60 + 1),))),
        lambda: (
            with_diver(PLAN, "2", "Cruz", surface_interval_min=48 * 60),
            with_person(JOB, "Cruz", past_dives=(past(150, 90, at(8, 35) - 48 * 60),)),
        ),
    ),
    "same-dive-under-ten": Case(
        lambda: on(with_person(JOB, "Cruz", past_dives=(past(36, 20, at(8, 26)),))),
        # 40 fsw / 20 min is B; still B 10 min later; residual nitrogen time of B at 40 fsw is 21 min
        lambda: (
            with_diver(
                PLAN,
                "2",
                "Cruz",
                group_before="B",
                surface_interval_min=10,
                residual_nitrogen_min=21,
                equivalent_min=62,
                group_after="G",
                schedule=PLAN.dives[1].divers[1].schedule.replace(table="9-7, 9-8"),
            ),
            with_person(JOB, "Cruz", past_dives=(past(36, 15, at(8, 25)),)),
        ),
    ),
    # Ana surfaces 09:13 and leaves the surface 12:00
    "surface-interval": Case(
        lambda: on(with_rules(JOB, least_surface_interval_min=168)),
        lambda: on(with_rules(JOB, least_surface_interval_min=167)),
    ),
    "depth-rating": Case(
        lambda: on(with_person(JOB, "Ana", depth_rating_fsw=57)),
        lambda: on(with_person(JOB, "Ana", depth_rating_fsw=58)),
    ),
    # Sam supervises dive 1 on the day; his first aid is good until that day, or ended the day before
    "duty-certificates": Case(lambda: first_aid(DAY_BEFORE), lambda: first_aid(DAY)),
    "certificates": Case(
        lambda: on(with_person(JOB, "Ana", certificates=expiring(DAY_BEFORE))),
        lambda: on(with_person(JOB, "Ana", certificates=expiring(DAY))),
    ),
    "medical": Case(
        lambda: on(with_person(JOB, "Ana", medical_expires=DAY_BEFORE)),
        lambda: on(with_person(JOB, "Ana", medical_expires=DAY)),
    ),
    "chamber-at-location": Case(
        lambda: on(with_site(with_rules(JOB, chamber_trigger_fsw=57), chamber_minutes_away=6)),
        lambda: on(with_site(with_rules(JOB, chamber_trigger_fsw=57), chamber_minutes_away=5)),
    ),
    # the watch from 09:13 against leave surface 12:00
    "chamber-watch": Case(
        lambda: watched(168),
        lambda: watched(167),
    ),
    "standby-able-to-go": Case(
        lambda: on(with_person(JOB, "Dan", depth_rating_fsw=57)),
        lambda: on(with_person(JOB, "Dan", depth_rating_fsw=58)),
    ),
    "outfit-ready": Case(
        lambda: on(with_outfit(JOB, "H1", state=OutfitState.DEFECT_OPEN)),
        lambda: on(with_outfit(JOB, "H1", inspection_due=DAY)),
    ),
    "outfit-matched": Case(
        lambda: on(with_outfit(JOB, "H1", straps_no="12")),
        lambda: on(with_outfit(JOB, "H1", helmet_no="7", breastplate_no="7", straps_no="7")),
    ),
    "outfit-kind": Case(
        lambda: on(with_outfit(JOB, "L1", kind=Gear.HEAVY, breastplate_no="L1", straps_no="L1")),
        lambda: on(with_outfit(JOB, "L1", breastplate_no="none")),
    ),
    # H1 is off Ana at 09:33 and on again at 11:30
    "outfit-one-wearer": Case(
        lambda: on(with_outfit(JOB, "H1", turnaround_min=118)),
        lambda: on(with_outfit(JOB, "H1", turnaround_min=117)),
    ),
    # inside the pipe at 36 fsw without stops: 3 min at 1.4 × 69/33, 2 min up at 1.4 × 51/33, 13.11 scf;
    # out of 0.4 cu ft that is 481.8 psi, and 135 for the regulator (U.S. Navy Diving Manual 8-2.2.1)
    "bailout-carried": Case(
        lambda: on(with_outfit(JOB, "L1", bailout_psi=616)),
        lambda: on(with_outfit(JOB, "L1", bailout_psi=617)),
    ),
    "day-window": Case(
        lambda: on(with_site(JOB, day_start=time(7, 1))), lambda: on(with_site(JOB, day_start=time(7, 0)))
    ),
    "item-window": Case(
        lambda: on(with_item(JOB, WRAP, windows=(span(at(8, 30), at(12, 32)),))),
        lambda: on(with_item(JOB, WRAP, windows=(span(at(8, 30), at(12, 33)),))),
    ),
    # dive 1 is in the water 08:30 to 09:13; Jon's hold begins as Ira's ends
    "gate-held": Case(lambda: tagged_out(at(9, 12)), lambda: tagged_out(at(9, 13))),
    "hose-short-of-hazard": Case(lambda: hoses_of(60, 60), lambda: hoses_of(60, 61)),
    "slack-water": Case(
        lambda: on(
            JOB.replace(
                water_windows=(
                    *JOB.water_windows[:2],
                    JOB.water_windows[2].replace(stations=(SOUTH,)),
                )
            )
        ),
        lambda: on(
            JOB.replace(
                water_windows=(
                    *JOB.water_windows[:2],
                    JOB.water_windows[2].replace(stations=(NORTH, SOUTH)),
                )
            )
        ),
    ),
    # in May the sun does not rise at 78° south
    "daylight": Case(
        lambda: on(with_site(JOB, latitude_deg=-78.0)),
        lambda: on(with_site(JOB, latitude_deg=-78.0, daylight_only=False)),
    ),
    # rigging ends 07:30, the first dive leaves the surface 08:30
    "precedence": Case(
        lambda: on(with_item(JOB, WRAP, after=(After(item=RIG, lag_min=61),))),
        lambda: on(with_item(JOB, WRAP, after=(After(item=RIG, lag_min=60),))),
    ),
    "not-together": Case(
        lambda: on(with_item(JOB, WRAP, not_together_with=(ANODES,))),
        lambda: on(with_item(JOB, WRAP, not_together_with=(SCRAP,))),
    ),
    "item-whole": Case(
        lambda: (left_over(ANODES, 40, 41), with_item(JOB, ANODES, bottom_work_min=41)),
        lambda: (
            left_over(ANODES, 40, 41),
            with_item(JOB, ANODES, bottom_work_min=41, splittable=True),
        ),
    ),
    # the dives work 40 and 30 min
    "least-useful": Case(
        lambda: on(with_item(JOB, WRAP, least_useful_min=31)),
        lambda: on(with_item(JOB, WRAP, least_useful_min=30)),
    ),
    "work-not-exceeded": Case(
        lambda: on(with_item(JOB, WRAP, bottom_work_min=69)),
        lambda: on(with_item(JOB, WRAP, bottom_work_min=70)),
    ),
    "divers-at-a-time": Case(
        lambda: on(with_item(JOB, ANODES, divers=2)), lambda: on(with_item(JOB, ANODES, divers=1))
    ),
    "one-dive-a-station": Case(lambda: from_north(37), lambda: from_north(38)),
    "station-turnaround": Case(lambda: turned_around(3), lambda: turned_around(2)),
    "stations-at-once": Case(
        lambda: on(with_site(JOB, stations_at_once=1)), lambda: on(with_site(JOB, stations_at_once=2))
    ),
    "station-of-item": Case(
        lambda: on(with_item(JOB, WRAP, station=SOUTH)), lambda: on(with_item(JOB, WRAP, station=NORTH))
    ),
    "duties-match-dives": Case(
        lambda: of(with_spells(PLAN, "1", SUPERVISOR, "Sam", station=SOUTH)),
        lambda: of(with_spells(PLAN, "1", SUPERVISOR, "Sam", station=NORTH)),
    ),
    "leftovers-told": Case(
        lambda: of(PLAN.replace(leftovers=(PLAN.leftovers[0].replace(reasons=()),))),
        lambda: of(
            PLAN.replace(
                leftovers=(PLAN.leftovers[0].replace(reasons=(Reason(rule=None, sentence="No time."),)),)
            )
        ),
    ),
    "objective-stages": Case(
        lambda: of(PLAN.replace(stages=(FINISH, PLAN.stages[0]))),
        lambda: of(PLAN.replace(stages=(PLAN.stages[0],))),
    ),
    "objective-values": Case(
        lambda: of(PLAN.replace(stages=(PLAN.stages[0].replace(value=1521), FINISH))),
        lambda: of(PLAN.replace(stages=(PLAN.stages[0].replace(bound=1520, proven=True), FINISH))),
    ),
    "duty-qualified": Case(
        lambda: on(with_person(JOB, "Sam", duties=frozenset({TENDER}))),
        # a tender may tend the standby diver: common practice
        lambda: on(with_person(JOB, "Uwe", duties=frozenset({TENDER}))),
    ),
    "hours-available": Case(
        lambda: on(with_person(JOB, "Rob", available=(span(at(7), at(10, 59)),))),
        lambda: on(with_person(JOB, "Rob", available=(span(at(7), at(8)), span(at(8), at(11))))),
    ),
    # 8 h of rest before 07:00
    "rest-before-duty": Case(
        lambda: on(with_person(JOB, "Tom", last_duty_end_min=-59)),
        lambda: on(with_person(JOB, "Tom", last_duty_end_min=-60)),
    ),
    "briefed": Case(lambda: briefed_for(14), lambda: briefed_for(15)),
    "one-briefing": Case(lambda: called_together(False), lambda: called_together(True)),
    "briefing-in-time": Case(lambda: briefed_early(1), lambda: briefed_early(0)),
    "day-blocks": Case(lambda: inspected_at(None), lambda: inspected_at(at(8))),
    # Tom from 07:00 to 12:53
    "duty-span": Case(
        lambda: on(with_rules(JOB, duty_span_max_min=352)), lambda: on(with_rules(JOB, duty_span_max_min=353))
    ),
    "one-duty-at-a-time": Case(
        lambda: on(with_rules(JOB, pairs=())),
        lambda: on(with_rules(JOB, pairs=(DutyPair(duty=LOG_KEEPER, with_duty=CONSOLE),))),
    ),
    "surface-crew": Case(
        lambda: of(without(PLAN, None, RIGGER, "Rob")),
        lambda: of(with_spells(PLAN, None, "crane driver", "Cat", start_min=at(9, 59))),
    ),
    "crew-supervisor": Case(
        lambda: of(without(PLAN, "2", SUPERVISOR, "Sol")),
        lambda: of(with_spells(PLAN, "2", SUPERVISOR, "Sol", end_min=at(9, 19))),
    ),
    "crew-tenders": Case(
        lambda: of(without(PLAN, "1", TENDER, "Tia")),
        lambda: of(with_spells(PLAN, "1", TENDER, "Tia", end_min=at(9, 34))),
    ),
    "standby-hose": Case(lambda: on(with_hoses(200, 199)), lambda: on(with_hoses(200, 200))),
    "crew-standby": Case(
        lambda: of(without(PLAN, "1", STANDBY, "Dan")),
        lambda: of(with_spells(PLAN, "1", STANDBY, "Dan", end_min=at(9, 34))),
    ),
    "crew-standby-tender": Case(
        lambda: of(only_dressing_the_standby()),
        lambda: of(with_spells(PLAN, "1", STANDBY_TENDER, "Uwe", end_min=at(9, 34))),
    ),
    "crew-console": Case(
        lambda: of(without(PLAN, "1", CONSOLE, "Cal")),
        lambda: of(with_spells(PLAN, "1", CONSOLE, "Cal", end_min=at(9, 14))),
    ),
    "crew-log-keeper": Case(
        lambda: of(without(PLAN, "1", LOG_KEEPER, "Cal")),
        lambda: of(with_spells(PLAN, "1", LOG_KEEPER, "Cal", end_min=at(9, 14))),
    ),
    # until an hour after surfacing at 09:13: 29 CFR 1910.423(c)
    "crew-chamber-operator": Case(
        lambda: of(with_spells(PLAN, "1", CHAMBER_OPERATOR, "Pia", end_min=at(10, 12))),
        lambda: of(with_spells(PLAN, "1", CHAMBER_OPERATOR, "Pia", end_min=at(10, 13))),
    ),
    "crew-entry-diver": Case(
        lambda: of(with_dive(without(PLAN, "2", ENTRY_DIVER, "Cruz"), "2", divers=PLAN.dives[1].divers[:1])),
        lambda: (
            with_dive(without(PLAN, "2", ENTRY_DIVER, "Cruz"), "2", divers=PLAN.dives[1].divers[:1]),
            with_item(JOB, ANODES, enclosed_space=False),
        ),
    ),
    "crew-other": Case(
        lambda: of(without(PLAN, "2", BOAT, "Ben")),
        lambda: (
            without(PLAN, "2", BOAT, "Ben"),
            with_rules(JOB, minima=tuple(r for r in JOB.rules.minima if r.duty != BOAT)),
        ),
    ),
    # leave surface 08:30: who has checked the dive stays with it (common practice)
    "hand-over": Case(lambda: handed_over(at(8, 30)), lambda: of(PLAN)),
}


def with_minimum(duty: str, count: int, gear: Gear) -> Job:
    """The sound job with another least number in one duty and kind of dress."""
    rows = tuple(
        CrewMinimum(duty=duty, count=count, per_diver=True, gear=gear, source="this job, for the test")
        if (row.duty, row.gear) == (duty, gear)
        else row
        for row in JOB.rules.minima
    )
    return with_rules(JOB, minima=rows)


def watched(watch_min: int) -> Pair:
    """A trigger of 57 fsw and that long a watch after the dives on the piles, each with its own operator."""
    job = with_rules(JOB, chamber_trigger_fsw=57, chamber_watch_min=watch_min)
    pia = next(p for p in job.people if p.name == "Pia")
    job = job.replace(people=(*job.people, pia.replace(name="Pip")))
    plan = with_spells(PLAN, "1", CHAMBER_OPERATOR, "Pia", end_min=at(9, 13) + watch_min)
    plan = with_spells(plan, "3", CHAMBER_OPERATOR, "Pia", person="Pip", end_min=at(12, 33) + watch_min)
    return plan, job
