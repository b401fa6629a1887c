"""Switches of the work, the gear and the air (`tests.attack.jobs`)."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from planner.job import (
    After,
    AirPlant,
    AirRole,
    Bank,
    Compressor,
    CrewNeed,
    Gear,
    Job,
    SurfaceItem,
    VolumeTank,
)
from planner.job.duties import (
    TENDER,
)
from tests.attack.base_job import DAY, RIGGER, one_item, rules
from tests.attack.water_switches import stops
from tests.world.parts import heavy, light


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
