"""Small random jobs, each with a few switches on: one switch turns on one thing that the rules speak of.

A switch draws from a stream of its own, so the same seed without it is the same job but for that one thing: a
job that is easier (or harder) by one rule alone. Invented people and places.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, time, timedelta
from random import Random

from planner.job import (
    After,
    AirPlant,
    AirRole,
    Bank,
    Certificate,
    Compressor,
    CrewMinimum,
    CrewNeed,
    DiveItem,
    DutyCertificate,
    DutyPair,
    Gate,
    Gear,
    Job,
    Outfit,
    PastDive,
    Person,
    Pin,
    PinKind,
    Policy,
    Site,
    Span,
    Station,
    SurfaceItem,
    TideMark,
    VolumeTank,
    WaterWindow,
    WorkSpell,
)
from planner.job.crew_rules import STAGE_ORDER
from planner.job.cross_checks import cross_faults
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
from planner.table_sets.shelf import SHIPPED
from tests.world.parts import PLAIN_RULES, heavy, light, person

Switch = Callable[[Random, Job], Job]

NAMES = ("Ada", "Bo", "Cem", "Dag", "Eli", "Fay", "Gus", "Hal", "Ida", "Jon", "Kai", "Lea")
CUTTING, RIGGER = "Cutting", "rigger"
DAY = date(2027, 3, 16)
START = 7 * 60


def base_job(random: Random) -> Job:
    """Six to twelve people, two to four dive items, one or two stations, a short day, default rules."""
    gear = random.choice((Gear.HEAVY, Gear.LIGHT, Gear.LIGHT))
    hours = random.randint(4, 9)
    site = Site(
        name="Attacked quay",
        first_day=DAY,
        day_start=time(START // 60),
        day_end=time(START // 60 + hours, random.choice((0, 20, 45))),
        time_zone="UTC",
        daylight_only=False,
    )
    stations = random.choice((1, 1, 2))
    return Job(
        rules=PLAIN_RULES,
        site=site,
        stations=tuple(Station(name=n) for n in ("North", "South")[:stations]),
        people=tuple(_people(random, gear, stations)),
        dive_items=tuple(_item(random, f"Item {k + 1}", gear) for k in range(random.randint(2, 4))),
        outfits=tuple(_outfits(random, gear, stations)),
    )


def _people(random: Random, gear: Gear, stations: int) -> Iterator[Person]:
    """Enough for one dive in that gear, and up to twelve in all."""
    roles: list[tuple[str, ...]] = [(SUPERVISOR, CONSOLE), (CONSOLE, LOG_KEEPER, TENDER)]
    roles += [(DIVER, TENDER)] * random.randint(2, 3)
    roles += [(TENDER,)] * (2 if gear is Gear.HEAVY else 1)
    more: tuple[tuple[str, ...], ...] = (
        (SUPERVISOR, LOG_KEEPER, CONSOLE),
        (CONSOLE, LOG_KEEPER),
        (DIVER, TENDER),
        (DIVER,),
        (TENDER, STANDBY_TENDER),
        (CHAMBER_OPERATOR, TENDER),
    )
    if stations == 2:
        roles += [(SUPERVISOR, LOG_KEEPER, CONSOLE), (CONSOLE, LOG_KEEPER)]
    least = max(6, len(roles))
    while len(roles) < random.randint(least, 12):
        roles.append(random.choice(more))
    for name, duties in zip(NAMES, roles, strict=False):
        rated = {"depth_rating_fsw": random.choice((60, 130, 130))} if DIVER in duties else {}
        yield person(name, *duties, medical_expires=date(2028, 1, 1) if rated else None, **rated)


def _item(random: Random, name: str, gear: Gear) -> DiveItem:
    return DiveItem(
        name=name,
        depth_fsw=random.choice((18, 25, 33, 40, 47, 52, 58)),
        bottom_work_min=random.choice((12, 20, 31, 45, 60, 75)),
        priority=random.randint(1, 5),
        splittable=random.random() < 0.6,
        least_useful_min=random.choice((5, 10, 20)),
        gear=gear,
    )


def _outfits(random: Random, gear: Gear, stations: int) -> Iterator[Outfit]:
    make = heavy if gear is Gear.HEAVY else light
    for number in range(1, random.randint(1 + stations, 3 + stations) + 1):
        yield make(f"Set {number}", str(number))


# ------------------------------------------------------------------ switches: the day and its water


def several_days(random: Random, job: Job) -> Job:
    return site(job, days=2)


def daylight(random: Random, job: Job) -> Job:
    """Short days at 60 degrees north, one item that may be dived in the dark."""
    first, *rest = job.dive_items
    lit = site(job, daylight_only=True, latitude_deg=60.0, longitude_deg=0.0, first_day=date(2027, 1, 12))
    return lit.replace(dive_items=(first.replace(in_the_dark=True), *rest))


def slack_windows(random: Random, job: Job) -> Job:
    """One item in slack water only, with two windows a day, the second at one station."""
    start = START + random.randint(20, 90)
    later = start + random.randint(100, 200)
    windows = (
        WaterWindow(start_min=start, end_min=start + random.randint(30, 80)),
        WaterWindow(
            start_min=later, end_min=later + random.randint(30, 80), stations=(job.stations[0].name,)
        ),
    )
    return one_item(random, job, needs_slack=True).replace(water_windows=windows)


def tide(random: Random, job: Job) -> Job:
    """A tide table over all days, and an item whose depth follows it."""
    first, step, high = random.randint(-300, 0), 372, random.random() < 0.5
    marks = []
    for k in range(12):
        level = random.uniform(8, 14) if high else random.uniform(0.5, 3)
        marks.append(TideMark(minute=first + k * step, level_ft=round(level, 1), high=high))
        high = not high
    return one_item(random, job, depth_follows_tide=True).replace(tide_marks=tuple(marks))


def altitude(random: Random, job: Job) -> Job:
    return site(job, altitude_ft=random.choice((1500, 4200)))


def item_windows(random: Random, job: Job) -> Job:
    start = START + random.randint(30, 150)
    return one_item(random, job, windows=(Span(start_min=start, end_min=start + random.randint(60, 200)),))


def gates(random: Random, job: Job) -> Job:
    """An intake tagged out in two stretches, the second held by another, for one or two of the items."""
    items = tuple(i.name for i in job.dive_items[: random.choice((1, 2))])
    start, first, second = START + random.randint(0, 90), random.randint(60, 150), random.randint(60, 200)
    later = start + first + random.choice((0, 0, 30))
    held = ((start, start + first, "Ira"), (later, later + second, "Jon"))
    return job.replace(
        gates=tuple(
            Gate(what="intake tagged out", items=items, held_by=by, start_min=s, end_min=e)
            for s, e, by in held
        )
    )


# ------------------------------------------------------------------ switches: ways up


def stops(random: Random, job: Job) -> Job:
    """Stops in the water, a chamber near, one item long enough to need them."""
    near = site(
        job,
        policy=Policy.IN_WATER_STOPS,
        in_water_stop_max_min=random.choice((15, 40)),
        oxygen_in_water=random.random() < 0.3,
        chamber_minutes_away=random.choice((0, 4)),
    )
    return one_item(random, near, depth_fsw=68, bottom_work_min=55)


def other_tables(random: Random, job: Job) -> Job:
    """The other shipped set: no stops, other limits, groups and intervals."""
    return site(job, table_set=SHIPPED[1])


def surface_decompression(random: Random, job: Job) -> Job:
    near = site(job, policy=Policy.SURFACE_DECOMPRESSION, chamber_minutes_away=0)
    return one_item(random, near, depth_fsw=75, bottom_work_min=50)


def lowered_trigger(random: Random, job: Job) -> Job:
    return rules(site(job, chamber_minutes_away=0), chamber_trigger_fsw=random.choice((30, 45, 57)))


def deep(random: Random, job: Job) -> Job:
    """An item deeper than 100 fsw, a chamber at the dive location, somebody to operate it."""
    near = site(job, chamber_minutes_away=0)
    return one_item(random, near, depth_fsw=random.choice((102, 112)), bottom_work_min=12)


# ------------------------------------------------------------------ switches: crew


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


# ------------------------------------------------------------------ switches: work


def on_deck(random: Random, job: Job) -> Job:
    """A surface task with a duty of its own, sometimes one that must not run beside an item."""
    task = SurfaceItem(
        name="Lift",
        duration_min=random.choice((30, 75)),
        crew=(CrewNeed(duty=RIGGER, count=1), CrewNeed(duty=TENDER, count=1)),
        not_together_with=(job.dive_items[0].name,) if random.random() < 0.5 else (),
    )
    chosen = {p.name for p in random.sample(job.people, 2)}
    return job.replace(
        surface_items=(task,),
        people=tuple(p.replace(duties=p.duties | {RIGGER}) if p.name in chosen else p for p in job.people),
    )


def order_of_work(random: Random, job: Job) -> Job:
    first, second, *rest = job.dive_items
    link = After(item=first.name, lag_min=random.choice((0, 30, 120)))
    return job.replace(dive_items=(first, second.replace(after=(link,)), *rest))


def two_divers(random: Random, job: Job) -> Job:
    return one_item(random, job, divers=2)


def enclosed(random: Random, job: Job) -> Job:
    return one_item(random, job, enclosed_space=True)


def same_diver(random: Random, job: Job) -> Job:
    return one_item(random, job, same_diver=True, splittable=True, bottom_work_min=90)


def in_one_go(random: Random, job: Job) -> Job:
    """An item of several dives in one go, beside another that may ask for it too."""
    first, *rest = job.dive_items
    first = first.replace(in_one_go=True, splittable=True, bottom_work_min=random.choice((60, 90, 120)))
    rest = [i.replace(in_one_go=random.random() < 0.5) for i in rest]
    return job.replace(dive_items=(first, *rest))


def one_station_items(random: Random, job: Job) -> Job:
    return one_item(random, job, station=job.stations[-1].name)


def both_gears(random: Random, job: Job) -> Job:
    """An item in the other kind of dress, with outfits for it."""
    other = Gear.LIGHT if job.dive_items[0].gear is Gear.HEAVY else Gear.HEAVY
    make = heavy if other is Gear.HEAVY else light
    more = tuple(make(f"Other {n}", f"1{n}") for n in (1, 2))
    return one_item(random, job, gear=other).replace(outfits=(*job.outfits, *more))


def turnarounds(random: Random, job: Job) -> Job:
    """Outfits of different turnaround."""
    return job.replace(
        outfits=tuple(o.replace(turnaround_min=random.choice((0, 15, 90, 180))) for o in job.outfits)
    )


def bottles(random: Random, job: Job) -> Job:
    """Bailout bottles of different pressure, some of them nearly empty, asked for at a depth or a place."""
    shown = (2800.0, 2800.0, 950.0, 600.0, 100.0)
    outfits = (o.replace(bailout_psi=random.choice(shown)) if o.carries_bailout else o for o in job.outfits)
    asked = {"bailout_min": random.choice((1, 3)), "bailout_deeper_than_fsw": random.choice((20, 45, 100))}
    return rules(job.replace(outfits=tuple(outfits)), **asked)


def stages_at_stations(random: Random, job: Job) -> Job:
    """Stations with and without a stage, spare hoses that reach and that do not, and dives with stops."""
    stations = (
        s.replace(
            in_water_stage=random.random() < 0.8,
            spare_hose_length_ft=random.choice((0, 35, 50, 300)),
            spare_hose_tested_on=random.choice((DAY - timedelta(days=365), DAY, DAY, None)),
        )
        for s in job.stations
    )
    asked = {"stage_deeper_than_fsw": random.choice((20, 45, 100))}
    return stops(random, rules(job.replace(stations=tuple(stations)), **asked))


# ------------------------------------------------------------------ switches: air


def ample_air(random: Random, job: Job) -> Job:
    """A compressor that carries the dives, and a bank behind it."""
    return job.replace(air=_plant(random.uniform(70, 160), bottles=random.randint(2, 8)))


def weak_compressor(random: Random, job: Job) -> Job:
    """A compressor below the flow of the deeper items, with bank and tank on the primary to help it out."""
    helped = _plant(random.uniform(12, 40), bottles=random.randint(4, 12))
    bank = _bank("First", AirRole.PRIMARY, random.randint(1, 4))
    return job.replace(air=helped.replace(banks=(bank, *helped.banks)))


def primary_bank(random: Random, job: Job) -> Job:
    """No compressor: all air from bank and tank."""
    return job.replace(
        air=AirPlant(
            banks=(
                _bank("First", AirRole.PRIMARY, random.randint(3, 10)),
                _bank("Second", AirRole.RESERVE, random.randint(4, 10)),
            ),
            tanks=(
                VolumeTank(name="Tank", volume_cuft=30, pressure_psi=175, relies_on="First"),
                VolumeTank(name="Spare tank", role=AirRole.RESERVE, volume_cuft=20, pressure_psi=175),
            ),
            gauges_tested_on=date(2027, 1, 4),
        )
    )


def _plant(scfm: float, bottles: int) -> AirPlant:
    return AirPlant(
        compressors=(
            Compressor(
                name="C1", delivered_scfm=round(scfm, 1), discharge_psi=175, air_tested_on=date(2027, 1, 4)
            ),
        ),
        banks=(_bank("Bank", AirRole.RESERVE, bottles),),
        tanks=(VolumeTank(name="Tank", volume_cuft=20, pressure_psi=175),),
        gauges_tested_on=date(2027, 1, 4),
    )


def _bank(name: str, role: AirRole, bottles: int) -> Bank:
    return Bank(
        name=name,
        role=role,
        bottles=bottles,
        floodable_cuft_each=1.526,
        pressure_psi=2400,
        working_pressure_psi=3000,
    )


# ------------------------------------------------------------------ switches: pins


def pin_start(random: Random, job: Job) -> Job:
    start = START + random.randint(40, 200)
    chosen = random.choice(job.dive_items).name
    return pinned(job, Pin(kind=PinKind.STARTS, item=chosen, start_min=start, end_min=start + 40))


def pin_diver(random: Random, job: Job) -> Job:
    person = random.choice([p for p in job.people if DIVER in p.duties])
    chosen = random.choice(job.dive_items).name
    return pinned(job, Pin(kind=PinKind.DIVES, item=chosen, person=person.name))


def pin_up(random: Random, job: Job) -> Job:
    person = random.choice([p for p in job.people if DIVER in p.duties])
    return pinned(job, Pin(kind=PinKind.STAYS_UP, person=person.name))


def pin_duty(random: Random, job: Job) -> Job:
    duty = random.choice((CONSOLE, TENDER, SUPERVISOR))
    able = [p.name for p in job.people if duty in p.duties]
    chosen = random.choice(job.dive_items).name
    return pinned(job, Pin(kind=PinKind.HOLDS, item=chosen, duty=duty, person=random.choice(able)))


def pin_away(random: Random, job: Job) -> Job:
    start = START + random.randint(0, 240)
    gone = random.choice(job.people).name
    return pinned(job, Pin(kind=PinKind.AWAY, person=gone, start_min=start, end_min=start + 45))


def pin_block(random: Random, job: Job) -> Job:
    block = random.choice((*job.standing_items, *job.items))
    if isinstance(block, DiveItem):
        return job
    start = START + random.randint(0, 90)
    return pinned(job, Pin(kind=PinKind.STARTS, item=block.name, start_min=start, end_min=start + 60))


def pin_briefing(random: Random, job: Job) -> Job:
    person = random.choice((None, random.choice(job.people).name))
    return pinned(job, Pin(kind=PinKind.BRIEFED, person=person, start_min=START + random.randint(0, 30)))


def pin_free(random: Random, job: Job) -> Job:
    """Minutes kept free behind every dive of an item, or behind one of them."""
    chosen, kind = random.choice(job.dive_items).name, random.choice((PinKind.KEEPS_FREE, PinKind.DIVES))
    return pinned(job, Pin(kind=kind, item=chosen, free_min=random.choice((1, 10, 30, 60))))


# ------------------------------------------------------------------ the whole


def site(job: Job, **changes: object) -> Job:
    return job.replace(site=job.site.replace(**changes))


def rules(job: Job, **changes: object) -> Job:
    return job.replace(rules=job.rules.replace(**changes))


def pinned(job: Job, pin: Pin) -> Job:
    return job.replace(pins=(*job.pins, pin))


def one_item(random: Random, job: Job, **changes: object) -> Job:
    """One of the dive items changed."""
    chosen = random.choice(job.dive_items).name
    return job.replace(
        dive_items=tuple(i.replace(**changes) if i.name == chosen else i for i in job.dive_items)
    )


#: Every switch; applied in this order, each where its own stream says so.
SWITCHES: tuple[Switch, ...] = (
    several_days,
    daylight,
    slack_windows,
    tide,
    altitude,
    item_windows,
    gates,
    stops,
    surface_decompression,
    other_tables,
    deep,
    lowered_trigger,
    operator,
    preset,
    more_standby_with_stops,
    pairs,
    standby_minutes,
    standby_dressing,
    hand_over,
    minutes_in_hand,
    early_enough,
    another_order,
    turnaround,
    briefing,
    one_briefing,
    length_of_dives,
    relief,
    day_blocks,
    short_hours,
    rest_and_meals,
    dive_limits,
    past_dives,
    certificates,
    papers,
    on_deck,
    order_of_work,
    two_divers,
    enclosed,
    same_diver,
    in_one_go,
    one_station_items,
    both_gears,
    turnarounds,
    bottles,
    stages_at_stations,
    ample_air,
    weak_compressor,
    primary_bank,
    pin_start,
    pin_diver,
    pin_up,
    pin_block,
    pin_briefing,
    pin_duty,
    pin_away,
    pin_free,
)

#: How many switches a job has on, about.
ON = 6


def random_job(seed: int, *, without: str = "") -> tuple[Job, tuple[str, ...]]:
    """The job of a seed, and the names of the switches that are on; ``without`` one of them left out.

    A switch whose job would contradict itself (two pins that clash) stays off.
    """
    job = base_job(Random(f"{seed} base"))
    on = []
    for switch in SWITCHES:
        name = switch.__name__
        random = Random(f"{seed} {name}")
        if random.random() >= ON / len(SWITCHES) or name == without:
            continue
        changed = switch(random, job)
        if not cross_faults(changed):
            job = changed
            on.append(name)
    return job, tuple(on)


def job_with(switch: Switch, seed: int) -> Job:
    """The base job of a seed with one switch on, and two who may operate a chamber."""
    job = operator(Random(f"{seed} operator"), base_job(Random(f"{seed} base")))
    return switch(Random(f"{seed} {switch.__name__}"), job)
