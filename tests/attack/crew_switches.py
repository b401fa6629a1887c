"""Switches of the crew, its rules, hours and papers (`tests.attack.jobs`)."""

from __future__ import annotations

from datetime import date, time, timedelta
from random import Random

from planner.job import (
    Certificate,
    CrewMinimum,
    DutyCertificate,
    DutyPair,
    Job,
    PastDive,
    Person,
    Span,
    WorkSpell,
)
from planner.job.crew_rules import STAGE_ORDER
from planner.job.duties import (
    CHAMBER_OPERATOR,
    CONSOLE,
    DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.job.presets import PRESETS
from tests.attack.base_job import CUTTING, START, one_item, rules, site


def operator(random: Random, job: Job) -> Job:
    """Two more may operate the chamber."""
    chosen = {p.name for p in random.sample(job.people, 2)}
    return job.replace(
        people=tuple(
            p.replace(duties=p.duties | {CHAMBER_OPERATOR}) if p.name in chosen else p for p in job.people
        )
    )


def pairs(random: Random, job: Job) -> Job:
    """Two more pairs of duties that one person may hold at once, the chamber operator in one of them; now and
    then a third, with whoever dresses the standby diver."""
    made = [
        (CHAMBER_OPERATOR, random.choice((LOG_KEEPER, CONSOLE, SUPERVISOR, TENDER))),
        (SUPERVISOR, LOG_KEEPER),
    ]
    own = [DutyPair(duty=a, with_duty=b) for a, b in (p if random.random() < 0.5 else p[::-1] for p in made)]
    if random.random() < 0.4:
        own.append(DutyPair(duty=STANDBY_TENDER, with_duty=random.choice((TENDER, LOG_KEEPER, CONSOLE))))
    return rules(job, pairs=(*job.rules.pairs, *own))


def preset(random: Random, job: Job) -> Job:
    return job.replace(rules=PRESETS[random.choice(("three", "five", "six"))].on(job.rules))


def more_standby_with_stops(random: Random, job: Job) -> Job:
    """Outside the no-stop limits two standby divers."""
    row = CrewMinimum(duty=STANDBY, count=2, decompression=True, source="the test")
    return rules(job, minima=(*job.rules.minima, row))


def standby_minutes(random: Random, job: Job) -> Job:
    return rules(job, standby_no_stop_min=random.choice((1, 5, 40)))


def standby_dressing(random: Random, job: Job) -> Job:
    return rules(job, standby_dressed_max_min=random.choice((90, 150, 240)))


def hand_over(random: Random, job: Job) -> Job:
    return rules(job, hand_over_min=random.choice((0, 5)), hand_over_lead_min=random.choice((5, 10)))


def turnaround(random: Random, job: Job) -> Job:
    return rules(job, station_turnaround_min=random.choice((1, 10, 25)))


def briefing(random: Random, job: Job) -> Job:
    return rules(job, briefing_min=random.choice((1, 15, 40)))


def one_briefing(random: Random, job: Job) -> Job:
    """One briefing for the whole crew; now and then somebody comes later."""
    called = rules(job, one_briefing=True, briefing_min=job.rules.briefing_min or random.choice((10, 15)))
    late = random.choice(job.people)
    if late.available or random.random() < 0.5:
        return called
    span = Span(start_min=START + random.randint(10, 120), end_min=job.day_windows[-1].end_min)
    return called.replace(
        people=tuple(p.replace(available=(span,)) if p is late else p for p in called.people)
    )


def minutes_in_hand(random: Random, job: Job) -> Job:
    """Minutes in hand wanted on every dive, on one item other than on the rest."""
    wanted = rules(job, margin_wanted_min=random.choice((1, 5, 12)))
    return one_item(random, wanted, margin_wanted_min=random.choice((None, 0, 3, 20)))


def early_enough(random: Random, job: Job) -> Job:
    return site(job, early_enough=time(random.choice((8, 9, 10, 12)), random.choice((0, 30))))


def another_order(random: Random, job: Job) -> Job:
    """What counts after the work, in any order."""
    return rules(job, stage_order=tuple(random.sample(STAGE_ORDER, len(STAGE_ORDER))))


def relief(random: Random, job: Job) -> Job:
    """Watches over dives have an end, sometimes after a single dive."""
    return rules(
        job, watch_max_min=random.choice((110, 150, 220)), watch_break_min=random.choice((5, 15, 45))
    )


def length_of_dives(random: Random, job: Job) -> Job:
    """Longest bottom time and time in dress, by the rules and one item's own."""
    own = one_item(random, job, longest_bottom_min=random.choice((25, 60)))
    return rules(
        own,
        longest_bottom_heavy_min=random.choice((0, 45)),
        longest_bottom_light_min=random.choice((0, 45)),
        longest_in_dress_heavy_min=random.choice((0, 100, 140)),
        longest_in_dress_light_min=random.choice((0, 70, 100)),
    )


def day_blocks(random: Random, job: Job) -> Job:
    """Some of the standing work of a day."""
    minutes = (0, 5, 20)
    return rules(
        job,
        inspection_heavy_min=random.choice(minutes),
        inspection_light_min=random.choice(minutes),
        inspection_pairs=random.choice((1, 2)),
        station_set_up_min=random.choice(minutes),
        set_up_hands=random.choice((1, 2)),
        warm_up_hands=random.choice((0, 1)),
        station_strike_min=random.choice(minutes),
        cleaning_min=random.choice(minutes),
        cleaning_hands=1,
    )


def short_hours(random: Random, job: Job) -> Job:
    """Two people who are there for a part of the day only."""
    chosen = random.sample([p.name for p in job.people], 2)
    end = job.day_windows[-1].end_min
    middle = random.randint(START + 90, START + 200)
    spans = {
        chosen[0]: Span(start_min=START, end_min=middle),
        chosen[1]: Span(start_min=middle, end_min=end),
    }
    return job.replace(
        people=tuple(p.replace(available=(spans[p.name],)) if p.name in spans else p for p in job.people)
    )


def rest_and_meals(random: Random, job: Job) -> Job:
    """Windows of rest, a meal, hours worked the day before."""
    worked = WorkSpell(start_min=-8 * 60, end_min=-random.randint(60, 180))
    first, *others = job.people
    tired = job.replace(people=(first.replace(past_work=(worked,)), *others))
    return rules(
        tired,
        rest_in_24h_min=600,
        rest_in_7d_min=4620,
        meal_break_min=random.choice((0, 30)),
        meal_break_after_min=random.choice((120, 240)),
        duty_span_max_min=random.choice((240, 400, 720)),
        overtime_after_min=random.choice((120, 240, 480)),
    )


def dive_limits(random: Random, job: Job) -> Job:
    return rules(
        job,
        dives_a_day=random.choice((1, 2, 3)),
        least_surface_interval_min=random.choice((10, 90)),
        bottom_minutes_a_day=random.choice((60, 100)),
    )


def past_dives(random: Random, job: Job) -> Job:
    """Some divers, standbys among them, with dives of the night before."""

    def dived() -> PastDive:
        return PastDive(
            depth_fsw=random.choice((40, 60, 90)),
            bottom_time_min=random.choice((20, 40)),
            surfaced_min=START - random.choice((20, 75, 240, 700)),
        )

    chosen = {p.name for p in job.people if DIVER in p.duties and random.random() < 0.6}
    return job.replace(
        people=tuple(p.replace(past_dives=(dived(),)) if p.name in chosen else p for p in job.people)
    )


def certificates(random: Random, job: Job) -> Job:
    """An item for those certified, whose certificates run out on the first day or later."""
    asked = one_item(random, job, certificates=frozenset({CUTTING}))
    ends = (job.site.first_day, date(2028, 1, 1))
    return asked.replace(
        people=tuple(
            p.replace(certificates=(Certificate(name=CUTTING, expires=random.choice(ends)),))
            if DIVER in p.duties and random.random() < 0.8
            else p
            for p in job.people
        )
    )


def papers(random: Random, job: Job) -> Job:
    """One of the supervisors' or console's papers run out on a day of two; a diver's on the first."""
    duty = random.choice((SUPERVISOR, CONSOLE, DIVER, TENDER))
    rows = (DutyCertificate(duty=duty, certificate="first aid"),)
    two = rules(site(job, days=2), duty_certificates=rows)
    first = job.site.first_day

    def held(person: Person) -> Person:
        expires = random.choice((None, None, first, first + timedelta(days=1)))
        return person.replace(
            certificates=(*person.certificates, Certificate(name="first aid", expires=expires))
        )

    return two.replace(people=tuple(held(p) for p in two.people))
