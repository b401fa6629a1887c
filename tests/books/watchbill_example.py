"""Two invented jobs with hand-made plans that the sheets are tested and looked at with.

Every time follows the meaning of a dive: dressing, leave surface, reach bottom at 60 fsw a minute, leave
bottom, the table's ascent rounded up, undressing. Groups and schedules come from the tables.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date, time

from planner.job import (
    After,
    AirPlant,
    AirRole,
    Bank,
    Compressor,
    CrewNeed,
    DiveItem,
    Gear,
    Job,
    Outfit,
    OutfitState,
    PastDive,
    Person,
    Policy,
    Site,
    Station,
    SurfaceItem,
    TideMark,
    UnitSystem,
    VolumeTank,
    WaterWindow,
)
from planner.job.duties import STATION_DUTIES
from planner.plan.model import (
    Dive,
    DiverExposure,
    DutySpell,
    Leftover,
    Plan,
    Reason,
    Stage,
    Status,
    SurfaceTask,
)
from planner.tables import group_after_interval, options_for, plan_exposure

STRIP, FIT = "Strip old zinc anodes", "Fit new anodes, panels 1–6"
SURVEY, SCREEN, CHAIN = "Survey sheet piling, row C", "Clear intake screen", "Replace fender chain"
RIG, SCRAP = "Rig crane and slings", "Load out scrap"
NORTH, SOUTH = "North ladder", "South ladder"


def at(hour: int, minute: int = 0, day: int = 0) -> int:
    """Job minute of a wall time."""
    return (day * 24 + hour) * 60 + minute


@dataclass
class PlanMaker:
    """Puts a plan together dive by dive, with the groups and schedules of the tables."""

    job: Job
    dives: list[Dive] = field(default_factory=list)
    duties: list[DutySpell] = field(default_factory=list)
    tasks: list[SurfaceTask] = field(default_factory=list)
    surfaced: dict[str, tuple[int, str | None]] = field(default_factory=dict)
    last_up: dict[str, int] = field(default_factory=dict)

    def dive(
        self,
        name: str,
        item: str,
        station: str,
        dress_start: int,
        leave_surface: int,
        bottom_time: int,
        divers: list[tuple[str, str, str]],
        crew: list[tuple[str, str]],
        standby_outfit: str,
    ) -> None:
        """One dive: divers as (person, duty, outfit), crew as (person, duty)."""
        job, work = self.job, self.job.dive_item(item)
        exposures = []
        ascent_s = 0
        for person, duty, outfit in divers:
            interval, group = None, None
            if person in self.surfaced:
                interval = leave_surface - self.surfaced[person][0]
                group = group_after_interval(str(self.surfaced[person][1]), interval)
            exposure = plan_exposure(work.depth_fsw, bottom_time, group, options_for(job, work))
            ascent_s = max(ascent_s, exposure.schedule.ascent_s)
            exposures.append(
                DiverExposure(
                    person=person,
                    duty=duty,
                    outfit=outfit,
                    group_before=group,
                    surface_interval_min=interval,
                    residual_nitrogen_min=exposure.residual_nitrogen_min,
                    equivalent_min=exposure.equivalent_min,
                    group_after=exposure.group_after,
                    schedule=exposure.schedule,
                )
            )
        leave_bottom = leave_surface + bottom_time
        reach_bottom = leave_surface + math.ceil(work.depth_fsw / job.rules.descent_fsw_per_min)
        reach_surface = leave_bottom + math.ceil(ascent_s / 60)
        undressed = reach_surface + job.rules.undressing_min(work.gear)
        self.dives.append(
            Dive(
                id=name,
                item=item,
                station=station,
                dress_start_min=dress_start,
                leave_surface_min=leave_surface,
                reach_bottom_min=reach_bottom,
                leave_bottom_min=leave_bottom,
                reach_surface_min=reach_surface,
                undressed_min=undressed,
                depth_fsw=work.depth_fsw,
                bottom_time_min=bottom_time,
                work_min=leave_bottom - reach_bottom,
                divers=tuple(exposures),
            )
        )
        bench = max(dress_start, self.last_up.get(station, dress_start))
        self.last_up[station] = reach_surface
        for exposure in exposures:
            self.surfaced[exposure.person] = (reach_surface, exposure.group_after)
            self._spell(
                exposure.person, exposure.duty, dress_start, undressed, name, item, station, exposure.outfit
            )
        for person, duty in crew:
            start, end = dress_start, undressed
            if duty in STATION_DUTIES:
                start, end = bench, reach_surface
            elif duty == "chamber operator":
                start, end = leave_surface, reach_surface + job.rules.chamber_watch_min
            worn = standby_outfit if duty == "standby diver" else None
            self._spell(person, duty, start, end, name, item, station, worn)

    def task(self, item: str, start: int, crew: list[tuple[str, str]]) -> None:
        """One surface task."""
        work = next(i for i in self.job.surface_items if i.name == item)
        end = start + work.duration_min
        self.tasks.append(SurfaceTask(item=item, start_min=start, end_min=end))
        for person, duty in crew:
            self._spell(person, duty, start, end, None, item, None, None)

    def _spell(
        self,
        person: str,
        duty: str,
        start: int,
        end: int,
        dive: str | None,
        item: str,
        station: str | None,
        outfit: str | None,
    ) -> None:
        self.duties.append(
            DutySpell(
                person=person,
                duty=duty,
                start_min=start,
                end_min=end,
                dive=dive,
                item=item,
                station=station,
                outfit=outfit,
            )
        )

    def plan(self, stages: tuple[Stage, ...], leftovers: tuple[Leftover, ...]) -> Plan:
        return Plan(
            job_name=self.job.site.name,
            status=Status.FEASIBLE,
            stages=stages,
            dives=tuple(self.dives),
            surface_tasks=tuple(self.tasks),
            duties=tuple(self.duties),
            leftovers=leftovers,
            seconds=30.0,
            seed=7,
            workers=2,
        )


def _diver(name: str, rating: int = 100, **more: object) -> Person:
    return Person(
        name=name,
        duties=frozenset({"diver", "tender"}),
        depth_rating_fsw=rating,
        medical_expires=date(2027, 1, 31),
        **more,  # type: ignore[arg-type]
    )


def _hand(name: str, *duties: str) -> Person:
    return Person(name=name, duties=frozenset(duties))


def _heavy(number: int, **more: object) -> Outfit:
    stamped = str(100 + number)
    return Outfit(
        name=f"H{number}",
        kind=Gear.HEAVY,
        helmet_no=stamped,
        **{"breastplate_no": stamped, "straps_no": stamped, **more},  # type: ignore[arg-type]
    )


PEOPLE = (
    _hand("Ana Reyes", "supervisor"),
    _hand("Tomasz Żuk", "supervisor", "tender"),
    _diver("Bruno Aalto"),
    _diver("Ивана Петрова"),
    _diver("Γιώργος Λάμπρου"),
    _diver("李 明"),
    _diver("Chidi Okonkwo"),
    _diver("Maeve Doyle"),
    _hand("Sofia Lindqvist", "tender", "log keeper", "air console"),
    _hand("Rui Matos", "tender"),
    _hand("Hana Sato", "tender"),
    _hand("Pieter van den Berg-Oosterhuis", "air console", "log keeper"),
    _hand("Lucía Ferrer", "air console", "log keeper"),
    _hand("Omar Haddad", "tender", "rigger"),
    _hand("Jun Park", "tender", "rigger", "crane operator"),
    _hand("Ewa Nowak", "tender"),
    _hand("Old Tom", "tender"),
)


def pier_job() -> Job:
    """A tidal quay, two ladders, seventeen people, one day."""
    return Job(
        site=Site(
            name="Quay wall 7, Port of Merrow",
            first_day=date(2026, 3, 3),
            time_zone="Europe/Lisbon",
            latitude_deg=41.2,
            longitude_deg=-8.7,
            day_start=time(7),
            day_end=time(19),
        ),
        stations=(Station(name=NORTH), Station(name=SOUTH)),
        people=PEOPLE,
        dive_items=(
            DiveItem(name=STRIP, priority=1, depth_fsw=33, bottom_work_min=130, least_useful_min=30),
            DiveItem(
                name=FIT,
                priority=2,
                depth_fsw=33,
                bottom_work_min=180,
                least_useful_min=30,
                after=(After(item=STRIP),),
            ),
            DiveItem(
                name=SURVEY,
                priority=2,
                depth_fsw=58,
                bottom_work_min=40,
                splittable=False,
                gear=Gear.LIGHT,
                needs_slack=True,
            ),
            DiveItem(
                name=SCREEN,
                depth_fsw=42,
                bottom_work_min=39,
                gear=Gear.LIGHT,
                enclosed_space=True,
                least_useful_min=20,
            ),
            DiveItem(name=CHAIN, priority=4, depth_fsw=28, bottom_work_min=60, splittable=False),
        ),
        surface_items=(
            SurfaceItem(
                name=RIG,
                duration_min=60,
                crew=(CrewNeed(duty="rigger"), CrewNeed(duty="crane operator")),
            ),
            SurfaceItem(
                name=SCRAP,
                priority=5,
                duration_min=60,
                crew=(CrewNeed(duty="rigger"), CrewNeed(duty="crane operator")),
                after=(After(item=STRIP),),
            ),
        ),
        water_windows=(
            WaterWindow(start_min=at(10, 10), end_min=at(11, 40), label="slack"),
            WaterWindow(start_min=at(16, 20), end_min=at(17, 45), label="slack"),
        ),
        tide_marks=(
            TideMark(minute=at(10, 52), level_ft=11.2, high=True),
            TideMark(minute=at(17, 4), level_ft=2.1, high=False),
        ),
        outfits=(
            _heavy(1, inspection_due=date(2026, 6, 1), umbilical_length_ft=300),
            _heavy(2, inspection_due=date(2026, 6, 1), umbilical_length_ft=300),
            _heavy(3),
            _heavy(4, straps_no="107", state=OutfitState.DEFECT_OPEN, state_note="strap buckle cracked"),
            Outfit(name="L1", kind=Gear.LIGHT, helmet_no="21", size="M"),
            Outfit(name="L2", kind=Gear.LIGHT, helmet_no="22", size="L"),
            Outfit(name="L3", kind=Gear.LIGHT, helmet_no="23", size="L"),
        ),
        air=AirPlant(
            compressors=(
                Compressor(
                    name="Quay compressor",
                    delivered_scfm=95,
                    discharge_psi=175,
                    hours_run=1820.5,
                    service_at_hours=1830,
                    fuel_gal_per_hour=1.6,
                    air_tested_on=date(2025, 11, 20),
                ),
            ),
            banks=(
                Bank(
                    name="Standby bank",
                    role=AirRole.RESERVE,
                    bottles=6,
                    floodable_cuft_each=1.5,
                    pressure_psi=2250,
                    working_pressure_psi=2400,
                ),
            ),
            tanks=(VolumeTank(name="Receiver", volume_cuft=30, pressure_psi=150),),
        ),
    )


def pier_plan(job: Job) -> Plan:
    """Six dives and two surface tasks for `pier_job`; two items stay unfinished."""
    make = PlanMaker(job)
    make.task(RIG, at(7), [("Omar Haddad", "rigger"), ("Jun Park", "crane operator")])
    north_1 = [
        ("Ивана Петрова", "standby diver"),
        ("Ewa Nowak", "standby's tender"),
        ("Ana Reyes", "supervisor"),
        ("Pieter van den Berg-Oosterhuis", "air console"),
        ("Pieter van den Berg-Oosterhuis", "log keeper"),
    ]
    make.dive(
        "N1",
        STRIP,
        NORTH,
        at(7),
        at(7, 30),
        75,
        [("Bruno Aalto", "diver", "H1")],
        [("Rui Matos", "tender"), ("Hana Sato", "tender"), *north_1],
        "H2",
    )
    make.dive(
        "N2",
        STRIP,
        NORTH,
        at(8, 20),
        at(8, 50),
        57,
        [("Chidi Okonkwo", "diver", "H3")],
        [("Omar Haddad", "tender"), ("Sofia Lindqvist", "tender"), *north_1],
        "H2",
    )
    make.dive(
        "S1",
        SURVEY,
        SOUTH,
        at(10),
        at(10, 15),
        41,
        [("Γιώργος Λάμπρου", "diver", "L1")],
        [
            ("Jun Park", "tender"),
            ("Maeve Doyle", "standby diver"),
            ("Ewa Nowak", "standby's tender"),
            ("Ana Reyes", "supervisor"),
            ("Pieter van den Berg-Oosterhuis", "air console"),
            ("Pieter van den Berg-Oosterhuis", "log keeper"),
        ],
        "L2",
    )
    make.dive(
        "N3",
        FIT,
        NORTH,
        at(10, 20),
        at(10, 50),
        100,
        [("Ивана Петрова", "diver", "H2")],
        [
            ("Rui Matos", "tender"),
            ("Hana Sato", "tender"),
            ("Bruno Aalto", "standby diver"),
            ("Omar Haddad", "standby's tender"),
            ("Tomasz Żuk", "supervisor"),
            ("Lucía Ferrer", "air console"),
            ("Sofia Lindqvist", "log keeper"),
        ],
        "H1",
    )
    make.dive(
        "S2",
        SCREEN,
        SOUTH,
        at(12),
        at(12, 15),
        40,
        [("Maeve Doyle", "diver", "L2"), ("李 明", "diver at the entry", "L3")],
        [
            ("Ewa Nowak", "tender"),
            ("Jun Park", "tender"),
            ("Γιώργος Λάμπρου", "standby diver"),
            ("Chidi Okonkwo", "standby's tender"),
            ("Ana Reyes", "supervisor"),
            ("Pieter van den Berg-Oosterhuis", "air console"),
            ("Pieter van den Berg-Oosterhuis", "log keeper"),
        ],
        "L1",
    )
    make.dive(
        "N4",
        FIT,
        NORTH,
        at(13, 10),
        at(13, 40),
        50,
        [("Chidi Okonkwo", "diver", "H3")],
        [
            ("Rui Matos", "tender"),
            ("Hana Sato", "tender"),
            ("李 明", "standby diver"),
            ("Ewa Nowak", "standby's tender"),
            ("Tomasz Żuk", "supervisor"),
            ("Lucía Ferrer", "air console"),
            ("Lucía Ferrer", "log keeper"),
        ],
        "H1",
    )
    make.task(SCRAP, at(13, 20), [("Omar Haddad", "rigger"), ("Jun Park", "crane operator")])
    done = sum(d.work_min for d in make.dives if d.item == FIT)
    return make.plan(
        (
            Stage(
                name="work finished",
                unit="weighted minutes",
                value=4040,
                bound=4100,
                maximise=True,
                proven=False,
            ),
            Stage(name="finish", unit="minute of the job", value=892, bound=892, maximise=False, proven=True),
            Stage(name="overtime", unit="minutes", value=0, bound=0, maximise=False, proven=True),
            Stage(name="fair shares", unit="minutes", value=74, bound=60, maximise=False, proven=False),
        ),
        (
            Leftover(
                item=FIT,
                planned_min=done,
                needed_min=180,
                reasons=(
                    Reason(
                        rule="outfit-one-wearer",
                        sentence="H3 is not dry again for a third dive before the day closes at 19:00.",
                    ),
                ),
            ),
            Leftover(
                item=CHAIN,
                planned_min=0,
                needed_min=60,
                reasons=(
                    Reason(
                        rule="crew-tenders",
                        sentence="Two tenders a diver are asked for in heavy dress; after 14:52 only one is "
                        "free for the whole 110 minutes that this dive needs.",
                    ),
                    Reason(rule=None, sentence="One more tender from 14:00 on would fit it."),
                ),
            ),
        ),
    )


def deep_job() -> Job:
    """A reservoir kept in metres: two days of stops in the water, one of them in the night."""
    return Job(
        site=Site(
            name="Bottom outlet, Lake Orrin dam",
            first_day=date(2026, 6, 8),
            days=2,
            day_start=time(16),
            day_end=time(2),
            time_zone="Europe/Zurich",
            latitude_deg=46.5,
            longitude_deg=9.8,
            daylight_only=False,
            policy=Policy.IN_WATER_STOPS,
            in_water_stop_max_min=60,
            chamber_minutes_away=0,
            units=UnitSystem.METRIC,
        ),
        stations=(Station(name="Barge"),),
        people=(
            _hand("Ingrid Moe", "supervisor"),
            _diver("Paulo Dias", 190),
            _diver("Aino Virtanen", 190),
            _diver(
                "Karim Benali",
                190,
                past_dives=(PastDive(depth_fsw=60, bottom_time_min=40, surfaced_min=-300),),
            ),
            _hand("Lena Fuchs", "tender"),
            _hand("Marek Novák", "tender"),
            _hand("Yusuf Demir", "tender", "air console", "log keeper"),
            _hand("Beatriz Lobo", "air console", "log keeper"),
            _hand("Olaf Berg", "chamber operator"),
        ),
        dive_items=(
            DiveItem(
                name="Free the gate's lower seal", depth_fsw=95, bottom_work_min=80, least_useful_min=20
            ),
        ),
        outfits=(_heavy(1), _heavy(2), _heavy(3)),
        air=AirPlant(
            compressors=(Compressor(name="Barge compressor", delivered_scfm=120, discharge_psi=200),)
        ),
    )


def deep_plan(job: Job) -> Plan:
    """One dive with stops on each of two evenings for `deep_job`."""
    make = PlanMaker(job)
    station = job.stations[0].name
    for number, (day, person, standby) in enumerate(
        ((0, "Paulo Dias", "Aino Virtanen"), (1, "Aino Virtanen", "Paulo Dias")), start=1
    ):
        crew = [
            ("Lena Fuchs", "tender"),
            ("Marek Novák", "tender"),
            (standby, "standby diver"),
            ("Yusuf Demir", "standby's tender"),
            ("Ingrid Moe", "supervisor"),
            ("Beatriz Lobo", "air console"),
            ("Beatriz Lobo", "log keeper"),
            ("Olaf Berg", "chamber operator"),
        ]
        start = at(22, 10, day)
        make.dive(
            f"Dive {number}",
            "Free the gate's lower seal",
            station,
            start,
            start + 30,
            42,
            [(person, "diver", f"H{number}")],
            crew,
            "H3",
        )
    return make.plan(
        (
            Stage(
                name="work finished",
                unit="weighted minutes",
                value=320,
                bound=320,
                maximise=True,
                proven=True,
            ),
        ),
        (),
    )
