"""What contradicts what inside a job, however it was made: one change to a sound job, one finding."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import Any

import pytest

from planner.errors import Fault
from planner.job import (
    After,
    Certificate,
    CrewMinimum,
    CrewNeed,
    DutyPair,
    Job,
    Outfit,
    PastDive,
    Person,
    Span,
    Station,
    SurfaceItem,
    WaterWindow,
    WorkSpell,
)
from planner.job.cross_checks import cross_faults
from tests.samples import small_heavy_dress, tidal_pier
from tests.samples.shared import dived

JOB = tidal_pier.job()


def person(name: str, **changes: Any) -> Job:
    """The job with one person changed."""
    return JOB.replace(people=tuple(p.replace(**changes) if p.name == name else p for p in JOB.people))


def dive(name: str, **changes: Any) -> Job:
    """The job with one dive item changed."""
    items = tuple(i.replace(**changes) if i.name == name else i for i in JOB.dive_items)
    return JOB.replace(dive_items=items)


def outfit(index: int, **changes: Any) -> Job:
    """The job with one outfit changed."""
    outfits = list(JOB.outfits)
    outfits[index] = outfits[index].replace(**changes)
    return JOB.replace(outfits=tuple(outfits))


def rules(**changes: Any) -> Job:
    """The job with rules changed."""
    return JOB.replace(rules=JOB.rules.replace(**changes))


def site(**changes: Any) -> Job:
    """The job with its site changed."""
    return JOB.replace(site=JOB.site.replace(**changes))


def air(**changes: Any) -> Job:
    """The job with its air plant changed."""
    return JOB.replace(air=JOB.air.replace(**changes))


BANK, TANK = JOB.air.banks[0], JOB.air.tanks[0]

CASES: list[tuple[str, Callable[[], Job], str, str]] = [
    (
        "two people of one name",
        lambda: JOB.replace(people=(*JOB.people, JOB.people[0].replace(name="CATRIN  llewelyn"))),
        "CATRIN  llewelyn: name",
        "Two people are called Catrin Llewelyn",
    ),
    (
        "two stations of one name",
        lambda: JOB.replace(stations=(*JOB.stations, Station(name="north STAGE"))),
        "north STAGE: name",
        "Two stations are called North stage",
    ),
    (
        "composed and decomposed accents are one name",
        lambda: JOB.replace(stations=(*JOB.stations, Station(name="Sténd"), Station(name="Ste\u0301nd"))),
        "Ste\u0301nd: name",
        "Two stations are called Sténd",
    ),
    (
        "a dive item and a surface item of one name",
        lambda: JOB.replace(
            surface_items=(*JOB.surface_items, SurfaceItem(name="pile wraps, bay 2", duration_min=5, crew=()))
        ),
        "pile wraps, bay 2: name",
        "Two items are called Pile wraps, bay 2",
    ),
    (
        "a bank named like a compressor",
        lambda: air(banks=(BANK.replace(name="Compressor north"),)),
        "air: Compressor north: name",
        "Two sources of air",
    ),
    (
        "no people",
        lambda: JOB.replace(people=()).replace(rules=JOB.rules),
        "people",
        "The job has nobody to do it.",
    ),
    (
        "a duty nobody knows",
        lambda: person("Catrin Llewelyn", duties=frozenset({"supervisr"})),
        "Catrin Llewelyn: duties",
        "There is no duty called supervisr. Did you mean supervisor?",
    ),
    (
        "no duty at all",
        lambda: person("Catrin Llewelyn", duties=frozenset()),
        "Catrin Llewelyn: duties",
        "holds no duty",
    ),
    (
        "a diver without a rating",
        lambda: person("Aroha Ngatai", depth_rating_fsw=0),
        "Aroha Ngatai: depth rating",
        "may be diver, but has no depth rating",
    ),
    (
        "an expired medical",
        lambda: person("Aroha Ngatai", medical_expires=date(2027, 3, 15)),
        "Aroha Ngatai: medical expires",
        "The medical of Aroha Ngatai expired",
    ),
    (
        "an expired certificate",
        lambda: person(
            "Aroha Ngatai", certificates=(Certificate(name="confined space", expires=date(2027, 3, 15)),)
        ),
        "Aroha Ngatai: confined space: expires",
        "The certificate confined space of Aroha Ngatai expired",
    ),
    (
        "a certificate twice",
        lambda: person(
            "Aroha Ngatai",
            certificates=(Certificate(name="confined space"), Certificate(name="confined space")),
        ),
        "Aroha Ngatai: confined space: name",
        "stands there twice",
    ),
    (
        "a certificate spelled in two ways",
        lambda: dive("Clear the intake chamber", certificates=frozenset({"Confined Space"})),
        "Clear the intake chamber: certificates",
        "spelled in another way",
    ),
    (
        "a last duty that ends after the day has begun",
        lambda: person("Aroha Ngatai", last_duty_end_min=7 * 60),
        "Aroha Ngatai: last duty end",
        "ends after the job's day has started",
    ),
    (
        "an arrival at altitude after the hours on site begin",
        lambda: person("Aroha Ngatai", arrived_min=12 * 60),
        "Aroha Ngatai: arrived",
        "arrives at altitude after the hours on site begin",
    ),
    (
        "a past dive in the future",
        lambda: person(
            "Aroha Ngatai", past_dives=(PastDive(depth_fsw=30, bottom_time_min=20, surfaced_min=600),)
        ),
        "Aroha Ngatai: past dive 1: surfaced",
        "must lie before it",
    ),
    (
        "past dives that overlap",
        lambda: person("Aroha Ngatai", past_dives=(dived(30, 20, "1200"), dived(40, 60, "1230"))),
        "Aroha Ngatai: past dive 2: surfaced",
        "Two past dives of Aroha Ngatai overlap.",
    ),
    (
        "hours worked that end before they start",
        lambda: person("Aroha Ngatai", past_work=(WorkSpell(start_min=-60, end_min=-120),)),
        "Aroha Ngatai: hours worked 1: end",
        "ends before it starts",
    ),
    (
        "a stretch on site that ends when it starts",
        lambda: person("Aroha Ngatai", available=(Span(start_min=480, end_min=480),)),
        "Aroha Ngatai: hours on site 1: end",
        "ends before it starts",
    ),
    (
        "an item after itself",
        lambda: dive("Pile wraps, bay 2", after=(After(item="Pile wraps, bay 2"),)),
        "Pile wraps, bay 2: after 1: item",
        "is set after itself",
    ),
    (
        "an item after nothing",
        lambda: dive("Pile wraps, bay 2", after=(After(item="Pile wrap, bay 2"),)),
        "Pile wraps, bay 2: after 1: item",
        "There is no item called Pile wrap, bay 2. Did you mean Pile wraps, bay 2?",
    ),
    (
        "two items in a circle",
        lambda: dive("Anodes, dolphin 4", after=(After(item="Sling the lost ladder"),)).replace(
            surface_items=(
                JOB.surface_items[0].replace(after=(After(item="Anodes, dolphin 4"),)),
                *JOB.surface_items[1:],
            )
        ),
        "Sling the lost ladder: after 1: item",
        "wait for one another in a circle",
    ),
    (
        "an item kept apart from itself",
        lambda: dive("Pile wraps, bay 2", not_together_with=("Pile wraps, bay 2",)),
        "Pile wraps, bay 2: not together with 1",
        "kept apart from itself",
    ),
    (
        "an item on a station that is not there",
        lambda: dive("Pile wraps, bay 2", station="Noth stage"),
        "Pile wraps, bay 2: station",
        "Did you mean North stage?",
    ),
    (
        "a window that ends before it starts",
        lambda: dive("Pile wraps, bay 2", windows=(Span(start_min=600, end_min=540),)),
        "Pile wraps, bay 2: window 1: end",
        "A window of Pile wraps, bay 2 ends before it starts.",
    ),
    (
        "a crew that spells a duty in another way",
        lambda: JOB.replace(
            surface_items=(
                *JOB.surface_items,
                SurfaceItem(name="x", duration_min=5, crew=(CrewNeed(duty="Rigger"),)),
            )
        ),
        "x: crew 1: duty",
        "The duty rigger is spelled in another way",
    ),
    (
        "a water window for a station that is not there",
        lambda: JOB.replace(water_windows=(WaterWindow(start_min=0, end_min=9, stations=("West",)),)),
        "water window 1: station 1",
        "There is no station called West.",
    ),
    ("helmets that differ", lambda: outfit(0, straps_no="6"), "Heavy 5: straps no", "straps 6"),
    (
        "a lost breastplate",
        lambda: outfit(0, breastplate_no=""),
        "Heavy 5: breastplate no",
        "breastplate (none)",
    ),
    (
        "no helmet number",
        lambda: outfit(3, helmet_no=" "),
        "Light 21: helmet no",
        "lacks its helmet's number",
    ),
    ("one helmet in two outfits", lambda: outfit(4, helmet_no="21"), "Light 22: helmet no", "in two outfits"),
    (
        "an inspection due before the last one",
        lambda: outfit(0, inspection_due=date(2027, 2, 28)),
        "Heavy 5: inspection due",
        "due before the last one was made",
    ),
    (
        "a bank over its working pressure",
        lambda: air(banks=(BANK.replace(pressure_psi=3001),)),
        "air: Reserve bank: pressure",
        "charged above its working pressure",
    ),
    (
        "a tank over its working pressure",
        lambda: air(tanks=(TANK.replace(pressure_psi=201),)),
        "air: Receiver: pressure",
        "kept above its working pressure",
    ),
    ("an unknown time zone", lambda: site(time_zone="Europe"), "site: time zone", "is not known"),
    ("half a position", lambda: site(latitude_deg=None), "site: latitude", "its latitude and its longitude"),
    (
        "daylight without a position",
        lambda: site(latitude_deg=None, longitude_deg=None),
        "site: latitude",
        "sunrise",
    ),
    (
        "no stations",
        lambda: small_heavy_dress.job().replace(stations=()),
        "stations",
        "Diving needs a station",
    ),
    (
        "no work",
        lambda: small_heavy_dress.job().replace(dive_items=()),
        "dive items",
        "The job has no work to plan.",
    ),
    ("no crew rows", lambda: rules(minima=()), "rules: minima", "ask for no crew at all"),
    (
        "a crew row for an unknown duty",
        lambda: rules(minima=(*JOB.rules.minima, CrewMinimum(duty="stanby diver", count=1, source="x"))),
        f"rules: crew minimum {len(JOB.rules.minima) + 1}: duty",
        "Did you mean standby diver?",
    ),
    (
        "a crew row without a source",
        lambda: rules(minima=(JOB.rules.minima[0].replace(source=" "), *JOB.rules.minima[1:])),
        "rules: crew minimum 1: source",
        "does not say where its number comes from",
    ),
    (
        "a pair of one duty",
        lambda: rules(pairs=(DutyPair(duty="tender", with_duty="tender"),)),
        "rules: duty pair 1: with duty",
        "names tender twice",
    ),
    (
        "a pair with the standby diver",
        lambda: rules(pairs=(DutyPair(duty="log keeper", with_duty="standby diver"),)),
        "rules: duty pair 1: with duty",
        "can hold no second duty",
    ),
    (
        "weights that rise",
        lambda: rules(priority_weights=(16, 8, 9, 2, 1)),
        "rules: weight of priority 3",
        "weighs more than priority 2",
    ),
]


@pytest.mark.parametrize(("make", "where", "says"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_one_contradiction_is_one_fault(make: Callable[[], Job], where: str, says: str) -> None:
    """Placed by the names of things, with what was found and what is allowed."""
    told: dict[str, Fault] = {fault.where: fault for fault in cross_faults(make())}
    assert where in told, list(map(str, told.values()))
    assert says in told[where].sentence
    assert told[where].allowed


def test_a_sound_job_has_none() -> None:
    """The sample that the cases start from."""
    assert cross_faults(JOB) == ()


def test_a_ring_of_items_is_told_once_and_names_them_in_order() -> None:
    """Three items that wait for one another are one fault, not three; a second ring is another."""
    after = {"a": "b", "b": "c", "c": "a", "d": "e", "e": "d", "f": "a"}
    items = tuple(
        SurfaceItem(name=name, duration_min=5, crew=(), after=(After(item=before),))
        for name, before in after.items()
    )
    job = JOB.replace(dive_items=(), surface_items=items)
    rings = [f.found for f in cross_faults(job) if "circle" in f.sentence]
    assert rings == ["a after b after c after a", "d after e after d"]


def test_a_certificate_that_expires_on_the_day_still_holds() -> None:
    """The day printed on it is its last."""
    job = person(
        "Aroha Ngatai", certificates=(Certificate(name="confined space", expires=date(2027, 3, 16)),)
    )
    assert cross_faults(job) == ()


def test_a_duty_of_a_users_own_is_known_once_a_crew_or_a_crew_row_asks_for_it() -> None:
    """'safety boat' held by a person is unknown until the rules ask for it; with no holder it is a typo."""
    own = person("Catrin Llewelyn", duties=frozenset({"supervisor", "safety boat"}))
    assert [f.found for f in cross_faults(own)] == ["safety boat"]
    asked = CrewMinimum(duty="safety boat", count=1, source="common practice")
    both = own.replace(rules=own.rules.replace(minima=(*own.rules.minima, asked)))
    assert cross_faults(both) == ()
    nobody = JOB.replace(rules=JOB.rules.replace(minima=(*JOB.rules.minima, asked)))
    assert [f.found for f in cross_faults(nobody)] == ["safety boat"]


def test_a_light_helmet_has_only_its_own_number() -> None:
    """Breastplate and straps belong to heavy dress (common practice)."""
    light = Outfit(name="L", kind="light helmet", helmet_no="90")
    assert cross_faults(JOB.replace(outfits=(*JOB.outfits, light))) == ()


def test_times_are_judged_by_wall_time_while_the_zone_is_unknown() -> None:
    """An unknown zone hides no backward window, and breaks nothing else."""
    job = dive("Pile wraps, bay 2", windows=(Span(start_min=600, end_min=540),))
    job = job.replace(site=job.site.replace(time_zone="Nowhere/At_all", day_start=time(7)))
    told = {f.where for f in cross_faults(job)}
    assert told == {"site: time zone", "Pile wraps, bay 2: window 1: end"}


def test_someone_who_does_not_dive_needs_no_rating() -> None:
    """A tender's rating may stay 0."""
    hand = Person(name="Zofia Aldana", duties=frozenset({"tender"}))
    assert cross_faults(JOB.replace(people=(*JOB.people, hand))) == ()
