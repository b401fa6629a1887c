"""Random jobs for round trips: every field of every part may hold anything that its model allows."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from hypothesis import strategies as st

from planner.job import (
    AirPlant,
    AirRole,
    Bank,
    BenchHand,
    BenchList,
    BenchStep,
    Certificate,
    Compressor,
    CrewMinimum,
    CrewNeed,
    CrewRules,
    DiveItem,
    DutyCertificate,
    DutyPair,
    Gate,
    Gear,
    Job,
    Outfit,
    OutfitState,
    PastDive,
    Person,
    Pin,
    PinKind,
    Policy,
    Site,
    Span,
    StandbyWayUp,
    Station,
    SurfaceItem,
    TideMark,
    UnitSystem,
    VolumeTank,
    Water,
    WaterWindow,
    WorkSpell,
)
from planner.job.crew_rules import STAGE_ORDER
from planner.job.names import fold
from planner.job.work import After

_letters = st.characters(
    codec="utf-8", exclude_categories=("Cc", "Cs", "Cn", "Zl", "Zp"), exclude_characters="\ufffe\uffff"
)
_tricky = st.sampled_from(
    [
        "=1+1",
        "+x",
        "@y",
        "-z",
        "#N/A",
        "TRUE",
        "007",
        "1e5",
        "a; b",
        '"a"',
        "森崎 健司",
        "Ελένη",
        "  ",
        "_x0041_",
        "e\u0301",
    ]
)
texts = (st.text(_letters, max_size=30) | _tricky).map(str.strip)
names = texts.filter(lambda text: 0 < len(text) <= 60 and fold(text) != "")
dates = st.dates(date(1850, 1, 1), date(2150, 12, 31))
maybe_date = st.none() | dates
clocks = st.times().map(lambda t: time(t.hour, t.minute))


def _distinct(count: int) -> st.SearchStrategy[list[str]]:
    return st.lists(names, max_size=count, unique_by=fold)


def _numbers(low: float, high: float) -> st.SearchStrategy[float]:
    # spreadsheets keep fifteen significant digits
    return st.floats(low, high, allow_nan=False, allow_subnormal=False).map(lambda x: float(f"{x:.12g}"))


def _spans(kind: type[Span] = Span, **more: Any) -> st.SearchStrategy[Any]:
    minutes = st.tuples(st.integers(-10_000, 10_000), st.integers(1, 5_000))
    return minutes.flatmap(
        lambda pair: st.builds(kind, start_min=st.just(pair[0]), end_min=st.just(pair[0] + pair[1]), **more)
    )


def _tuples(of: st.SearchStrategy[Any], most: int = 3) -> st.SearchStrategy[tuple[Any, ...]]:
    return st.lists(of, max_size=most).map(tuple)


@st.composite
def sites(draw: st.DrawFn, units: UnitSystem) -> Site:
    """A site with a time zone that changes its clocks, or one that does not."""
    return draw(
        st.builds(
            Site,
            name=names,
            first_day=st.dates(date(2020, 1, 1), date(2035, 12, 31)),
            days=st.integers(1, 7),
            day_start=clocks,
            day_end=clocks,
            early_enough=st.none() | clocks,
            time_zone=st.sampled_from(["UTC", "Europe/London", "America/Lima", "Australia/Lord_Howe"]),
            latitude_deg=_numbers(-90, 90),
            longitude_deg=_numbers(-180, 180),
            altitude_ft=st.integers(0, 10_000),
            water=st.sampled_from(Water),
            water_temp_f=st.none() | st.integers(280, 1040).map(lambda tenths: tenths / 10),
            daylight_only=st.booleans(),
            chamber_minutes_away=st.none() | st.integers(0, 1440),
            policy=st.sampled_from(Policy),
            chamber_places=st.integers(1, 8),
            margin_min=st.integers(0, 30),
            slack_offset_min=st.integers(-360, 360),
            units=st.just(units),
        )
    )


@st.composite
def people(draw: st.DrawFn, name: str, duties: list[str], certificates: list[str]) -> Person:
    """A person with any history."""
    own = draw(st.lists(st.sampled_from(certificates), unique=True)) if certificates else []
    return draw(
        st.builds(
            Person,
            name=st.just(name),
            duties=st.frozensets(st.sampled_from(duties), min_size=1),
            depth_rating_fsw=st.integers(0, 220),
            certificates=st.tuples(
                *(st.builds(Certificate, name=st.just(c), expires=maybe_date) for c in own)
            ),
            medical_expires=maybe_date,
            available=_tuples(_spans()),
            last_duty_end_min=st.none() | st.integers(-10_000, 0),
            arrived_min=st.none() | st.integers(-10_000, 0),
            past_dives=_tuples(
                st.builds(
                    PastDive,
                    depth_fsw=st.integers(1, 220),
                    bottom_time_min=st.integers(1, 1440),
                    surfaced_min=st.integers(-10_000, 300),
                    group_after=st.none() | st.sampled_from("ABCDEFGHIJKLMNOZ"),
                )
            ),
            past_work=_tuples(_spans(WorkSpell)),
            past_standby_min=st.integers(0, 5000),
            pay_class=texts,
            outfit_size=texts,
        )
    )


def _item_facts(own: str, items: list[str], stations: list[str]) -> dict[str, st.SearchStrategy[Any]]:
    others = [name for name in items if name != own]
    other = st.sampled_from(others or [own])
    return {
        "name": st.just(own),
        "priority": st.integers(1, 5),
        "windows": _tuples(_spans()),
        "after": _tuples(st.builds(After, item=other, lag_min=st.integers(0, 10_080))),
        "not_together_with": _tuples(other),
        "station": st.none() | st.sampled_from(stations) if stations else st.none(),
    }


def _dive_item(name: str, items: list[str], stations: list[str], certificates: list[str]) -> Any:
    return st.builds(
        DiveItem,
        **_item_facts(name, items, stations),
        depth_fsw=st.integers(1, 220),
        bottom_work_min=st.integers(1, 2000),
        divers=st.integers(1, 4),
        splittable=st.booleans(),
        least_useful_min=st.integers(1, 1000),
        gear=st.sampled_from(Gear),
        certificates=st.frozensets(st.sampled_from(certificates)) if certificates else st.just(frozenset()),
        enclosed_space=st.booleans(),
        needs_slack=st.booleans(),
        in_one_go=st.booleans(),
        longest_bottom_min=st.none() | st.integers(1, 1440),
        longest_in_dress_min=st.none() | st.integers(1, 1440),
        reach_ft=st.integers(0, 1000),
        margin_wanted_min=st.none() | st.integers(0, 60),
    )


def _surface_item(name: str, items: list[str], stations: list[str], duties: list[str]) -> Any:
    crew = st.builds(CrewNeed, duty=st.sampled_from(duties), count=st.integers(1, 20))
    facts = _item_facts(name, items, stations)
    return st.builds(SurfaceItem, **facts, duration_min=st.integers(1, 1440), crew=_tuples(crew))


def _outfit(name: str) -> st.SearchStrategy[Outfit]:
    number = texts.filter(bool)
    return st.builds(
        Outfit,
        name=st.just(name),
        kind=st.sampled_from(Gear),
        helmet_no=number,
        breastplate_no=texts,
        straps_no=texts,
        size=texts,
        state=st.sampled_from(OutfitState),
        inspected_on=maybe_date,
        inspection_due=maybe_date,
        state_note=texts,
        umbilical_length_ft=st.integers(0, 2000),
        hose_working_psi=st.none() | st.integers(1, 50_000).map(lambda tenths: tenths / 10),
        lifeline_length_ft=st.integers(0, 2000),
        turnaround_min=st.integers(0, 1440),
    )


_tenths_psi = st.integers(1, 5000).map(lambda tenths: tenths / 10)
_thousandths = st.integers(1, 50_000).map(lambda steps: steps / 1000)


def _air(sources: list[str]) -> st.SearchStrategy[AirPlant]:
    third = len(sources) // 3
    shared = {"role": st.sampled_from(AirRole), "on_line": st.booleans(), "relies_on": texts}
    return st.builds(
        AirPlant,
        compressors=st.tuples(
            *(
                st.builds(
                    Compressor,
                    name=st.just(name),
                    **shared,
                    delivered_scfm=_thousandths,
                    discharge_psi=_tenths_psi,
                    hours_run=_numbers(0, 200_000),
                    fuel_gal_per_hour=_thousandths,
                    air_tested_on=maybe_date,
                    load_factor=_numbers(0.01, 1),
                )
                for name in sources[:third]
            )
        ),
        banks=st.tuples(
            *(
                st.builds(
                    Bank,
                    name=st.just(name),
                    **shared,
                    bottles=st.integers(1, 200),
                    floodable_cuft_each=_thousandths,
                    pressure_psi=_tenths_psi,
                    working_pressure_psi=_tenths_psi,
                    regulator_min_psi=_tenths_psi,
                )
                for name in sources[third : 2 * third]
            )
        ),
        tanks=st.tuples(
            *(
                st.builds(
                    VolumeTank,
                    name=st.just(name),
                    **shared,
                    volume_cuft=_thousandths,
                    pressure_psi=_tenths_psi,
                )
                for name in sources[2 * third :]
            )
        ),
        gauges_tested_on=maybe_date,
        inlet_temp_f=st.none() | st.integers(-400, 1400).map(lambda tenths: tenths / 10),
    )


@st.composite
def _rules(draw: st.DrawFn, duties: list[str]) -> CrewRules:
    duty = st.sampled_from(duties)
    minimum = st.builds(
        CrewMinimum,
        duty=duty,
        count=st.integers(0, 10),
        per_diver=st.booleans(),
        gear=st.none() | st.sampled_from(Gear),
        deeper_than_fsw=st.none() | st.integers(0, 220),
        decompression=st.booleans(),
        source=texts.filter(bool),
        changed_by=texts,
        changed_at=st.none() | st.datetimes(datetime(1999, 1, 1), datetime(2100, 1, 1)),
    )
    step = st.builds(
        BenchStep,
        id=names,
        gear=st.sampled_from(Gear),
        list=st.sampled_from(BenchList),
        order=st.integers(1, 999),
        who=st.sampled_from(BenchHand),
        minutes=_numbers(0, 120),
        do=texts.filter(bool),
        good=texts,
        signed_by=st.just("") | duty,
        basis=texts.filter(bool),
    )
    return draw(
        st.builds(
            CrewRules,
            minima=st.lists(minimum, min_size=1, max_size=3).map(tuple),
            pairs=_tuples(st.builds(DutyPair, duty=duty, with_duty=duty, source=texts.filter(bool))),
            duty_certificates=_tuples(
                st.builds(
                    DutyCertificate, duty=duty, certificate=st.just("first aid"), source=texts.filter(bool)
                )
            ),
            preset=texts.filter(bool),
            greatest_depth_fsw=st.integers(10, 220),
            descent_fsw_per_min=st.integers(10, 75),
            chamber_trigger_fsw=st.integers(10, 220),
            standby_no_stop_min=st.integers(1, 120),
            standby_way_up=st.sampled_from(StandbyWayUp),
            margin_wanted_min=st.integers(0, 60),
            one_briefing=st.booleans(),
            stage_order=st.permutations(STAGE_ORDER).map(tuple),
            priority_weights=st.tuples(*(st.integers(0, 1000) for _ in range(5))),
            bench_steps=_tuples(step),
        )
    )


def _gate(items: list[str]) -> Any:
    minutes = st.none() | st.integers(-10_000, 10_000)
    return st.builds(
        Gate,
        what=names,
        items=st.lists(st.sampled_from(items), min_size=1, unique=True).map(tuple),
        held_by=texts,
        start_min=minutes,
        end_min=minutes,
        hazard_distance_ft=st.none() | st.integers(1, 2000),
        note=texts,
    )


def _pins(items: list[str], people: list[str], stations: list[str], duties: list[str]) -> Any:
    def maybe(names: list[str]) -> st.SearchStrategy[str | None]:
        return st.none() | st.sampled_from(names) if names else st.none()

    minutes = st.none() | st.integers(-10_000, 10_000)
    return st.builds(
        Pin,
        kind=st.sampled_from(PinKind),
        item=maybe(items),
        person=maybe(people),
        duty=maybe(duties),
        station=maybe(stations),
        start_min=minutes,
        end_min=minutes,
        bottom_time_min=st.none() | st.integers(1, 1440),
        free_min=st.none() | st.integers(1, 480),
        note=texts,
    )


@st.composite
def _station(draw: st.DrawFn, name: str) -> Station:
    return Station(
        name=name,
        in_water_stage=draw(st.booleans()),
        spare_hose_length_ft=draw(st.integers(0, 2000)),
        spare_hose_no=draw(texts),
        spare_hose_tested_on=draw(maybe_date),
    )


@st.composite
def jobs(draw: st.DrawFn, units: UnitSystem) -> Job:
    """A job without regard to whether it makes sense; names of one kind differ."""
    item_names = draw(_distinct(5))
    stations, certificates = draw(_distinct(3)), draw(_distinct(3))
    built_in = ["diver", "tender", "supervisor", "air console"]
    own = [d for d in draw(_distinct(3)) if fold(d) not in built_in]
    duties = built_in + own
    team = draw(_distinct(4))
    half = len(item_names) // 2
    return Job(
        site=draw(sites(units)),
        stations=tuple(draw(_station(s)) for s in stations),
        people=tuple(draw(people(name, duties, certificates)) for name in team),
        dive_items=tuple(
            draw(_dive_item(name, item_names, stations, certificates)) for name in item_names[:half]
        ),
        surface_items=tuple(draw(_surface_item(n, item_names, stations, duties)) for n in item_names[half:]),
        gates=draw(_tuples(_gate(item_names))) if item_names else (),
        water_windows=draw(
            _tuples(
                _spans(
                    WaterWindow,
                    stations=st.lists(st.sampled_from(stations), unique=True).map(tuple)
                    if stations
                    else st.just(()),
                    label=names,
                )
            )
        ),
        tide_marks=draw(
            _tuples(
                st.builds(
                    TideMark,
                    minute=st.integers(-10_000, 10_000),
                    level_ft=st.integers(-6000, 6000).map(lambda hundredths: hundredths / 100),
                    high=st.booleans(),
                )
            )
        ),
        outfits=tuple(draw(_outfit(name)) for name in draw(_distinct(3))),
        air=draw(_air(draw(_distinct(6)))),
        rules=draw(_rules(duties)),
        pins=draw(_tuples(_pins(item_names, team, stations, duties))),
    )
