"""What the days of the tests are made of: people, outfits, dives, spells, a day put together.

Every time of a dive follows from its leave surface: down at 60 fsw a minute, up as its longest schedule says
(whole minutes, rounded up), dressing before and undressing after.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from planner.check.stages import stage_kinds
from planner.job import CrewRules, Gear, Job, Outfit, Person, Span, Station
from planner.job.crew_rules import LONGEST_BOTTOM, LONGEST_IN_DRESS
from planner.job.duties import CHAMBER_OPERATOR, DIVER, STANDBY, STANDBY_TENDER, TENDER
from planner.plan import Dive, DiverExposure, DutySpell, Leftover, Plan, Stage, Status, SurfaceTask
from planner.table_sets import table_set
from planner.tables import options_for, plan_exposure

NAVY = table_set()


#: The crew rules that the days of the tests are built on: none of what the working day takes beside the dives
#: is planned. A test of such a part turns it on.
BLOCKS_OFF: dict[str, Any] = dict.fromkeys(
    (
        "inspection_heavy_min",
        "inspection_light_min",
        "station_set_up_min",
        "warm_up_hands",
        "station_strike_min",
        "cleaning_min",
    ),
    0,
)
PLAIN: dict[str, Any] = {
    "margin_wanted_min": 0,
    "station_turnaround_min": 0,
    "briefing_min": 0,
    "one_briefing": False,
    "meal_break_min": 0,
    "watch_max_min": 0,
    "stage_deeper_than_fsw": 0,
    **dict.fromkeys(
        (field for pair in (*LONGEST_BOTTOM.values(), *LONGEST_IN_DRESS.values()) for field in pair), 0
    ),
    **BLOCKS_OFF,
}
PLAIN_RULES = CrewRules(**PLAIN)

DESCENT_FSW_PER_MIN = 60
CHAMBER_WATCH_MIN = 60

#: Who holds each duty of a dive: one name, or several.
Posts = Mapping[str, str | tuple[str, ...]]


def at(hour: int, minute: int = 0, day: int = 0) -> int:
    """Job minute of a wall time; day 0 is the first."""
    return (day * 24 + hour) * 60 + minute


def told_stages(job: Job, *told: tuple[int, int]) -> tuple[Stage, ...]:
    """The stages of a job's objective in order, each from its value and its bound."""
    return tuple(
        Stage(
            name=kind.name,
            unit=kind.unit,
            value=value,
            bound=bound,
            maximise=kind.maximise,
            proven=value == bound,
        )
        for kind, (value, bound) in zip(stage_kinds(job), told, strict=True)
    )


def span(start: int, end: int) -> Span:
    return Span(start_min=start, end_min=end)


def person(name: str, *duties: str, **facts: Any) -> Person:
    return Person.model_validate({"name": name, "duties": frozenset(duties), **facts})


def heavy(name: str, number: str, **facts: Any) -> Outfit:
    """A heavy outfit whose parts carry one number."""
    parts = dict.fromkeys(("helmet_no", "breastplate_no", "straps_no"), number)
    return Outfit.model_validate({"name": name, "kind": Gear.HEAVY, **parts, **facts})


def equipped(name: str, **facts: Any) -> Station:
    """A station with an in-water stage and a spare hose, as heavy dress asks for deep or with stops."""
    gear = {"in_water_stage": True, "spare_hose_length_ft": 300, "spare_hose_tested_on": date(2027, 1, 1)}
    return Station.model_validate({"name": name, **gear, **facts})


def light(name: str, number: str | None = None, **facts: Any) -> Outfit:
    """A light helmet with a full bailout bottle, numbered as it is named unless told."""
    bottle = {"bailout_no": number or name, "bailout_cuft": 0.4, "bailout_psi": 2800.0}
    given = {"name": name, "kind": Gear.LIGHT, "helmet_no": number or name, **bottle, **facts}
    return Outfit.model_validate(given)


def dive(
    id: str,
    item: str,
    station: str,
    leave: int,
    bottom_time_min: int,
    depth_fsw: int,
    divers: Iterable[DiverExposure],
    *,
    dressing_min: int = 30,
    undressing_min: int = 20,
) -> Dive:
    """A dive that leaves the surface at a job minute."""
    divers = tuple(divers)
    down = math.ceil(depth_fsw / DESCENT_FSW_PER_MIN)
    schedules = [d.schedule for d in divers if d.schedule is not None]
    surface = leave + bottom_time_min + math.ceil(max(s.ascent_s for s in schedules) / 60)
    return Dive(
        id=id,
        item=item,
        station=station,
        dress_start_min=leave - dressing_min,
        leave_surface_min=leave,
        reach_bottom_min=leave + down,
        leave_bottom_min=leave + bottom_time_min,
        reach_surface_min=surface,
        undressed_min=surface + undressing_min,
        depth_fsw=depth_fsw,
        bottom_time_min=bottom_time_min,
        work_min=bottom_time_min - down,
        divers=divers,
    )


def crew(
    dive: Dive, posts: Posts, standby_outfit: str | None = None, since: int | None = None
) -> list[DutySpell]:
    """Spells of a dive: its divers', tenders' and standby diver's until undressed, the others' (from
    ``since``, if told) to the surface, the chamber operator's from leave surface until an hour after that.

    The first standby's tender stays until the standby diver is undressed; further ones only lend a hand while
    he dresses and undresses.
    """

    def spell(name: str, duty: str, start: int, end: int, outfit: str | None = None) -> DutySpell:
        return DutySpell(
            person=name,
            duty=duty,
            start_min=start,
            end_min=end,
            dive=dive.id,
            item=dive.item,
            station=dive.station,
            outfit=outfit,
        )

    whole = (dive.dress_start_min, dive.undressed_min)
    bench = (dive.dress_start_min if since is None else since, dive.reach_surface_min)
    watch = (dive.leave_surface_min, dive.reach_surface_min + CHAMBER_WATCH_MIN)
    hours = {TENDER: whole, STANDBY: whole, CHAMBER_OPERATOR: watch}
    hours[STANDBY_TENDER] = (bench[0], dive.undressed_min)
    spells = [spell(d.person, d.duty, *whole, d.outfit) for d in dive.divers]
    for duty, names in posts.items():
        worn = standby_outfit if duty == STANDBY else None
        for k, name in enumerate((names,) if isinstance(names, str) else names):
            if k and duty == STANDBY_TENDER:
                spells.append(spell(name, duty, dive.dress_start_min, dive.leave_surface_min))
                spells.append(spell(name, duty, dive.reach_surface_min, dive.undressed_min))
            else:
                spells.append(spell(name, duty, *hours.get(duty, bench), worn))
    return spells


def task(job: Job, item: str, start: int, posts: Posts) -> tuple[SurfaceTask, list[DutySpell]]:
    """A surface item done from a job minute on, with the spells of its people."""
    end = start + next(i.duration_min for i in job.surface_items if i.name == item)
    spells = [
        DutySpell(person=name, duty=duty, start_min=start, end_min=end, item=item)
        for duty, names in posts.items()
        for name in ((names,) if isinstance(names, str) else names)
    ]
    return SurfaceTask(item=item, start_min=start, end_min=end), spells


@dataclass
class Day:
    """A plan put together dive by dive, with the groups and schedules that the tables give."""

    job: Job
    dives: list[Dive] = field(default_factory=list)
    duties: list[DutySpell] = field(default_factory=list)
    tasks: list[SurfaceTask] = field(default_factory=list)

    def exposure(
        self, item: str, leave: int, bottom_time_min: int, name: str, outfit: str, duty: str
    ) -> DiverExposure:
        """A diver's exposure, after the dives that he has made in this day."""
        interval, group = None, None
        before = [(d, e) for d in self.dives for e in d.divers if e.person == name]
        if before:
            last, made = before[-1]
            interval = leave - last.reach_surface_min
            group = NAVY.group_after_interval(str(made.group_after), interval)
        work = self.job.dive_item(item)
        found = plan_exposure(work.depth_fsw, bottom_time_min, group, options_for(self.job, work))
        return DiverExposure(
            person=name,
            duty=duty,
            outfit=outfit,
            group_before=group,
            surface_interval_min=interval,
            residual_nitrogen_min=found.residual_nitrogen_min,
            equivalent_min=found.equivalent_min,
            group_after=found.group_after,
            schedule=found.schedule,
        )

    def dive(
        self,
        id: str,
        item: str,
        station: str,
        leave: int,
        bottom_time_min: int,
        divers: Mapping[str, str] | Mapping[str, tuple[str, str]],
        posts: Posts,
        standby_outfit: str,
    ) -> Dive:
        """One dive: its divers with their outfits (and another duty than diver), and who holds each post.

        Those at the station stay there from the dive before it until this one is up; its standby diver stays
        dressed where he has no time to undress.
        """
        work = self.job.dive_item(item)
        told = {name: (worn, DIVER) if isinstance(worn, str) else worn for name, worn in divers.items()}
        made = dive(
            id,
            item,
            station,
            leave,
            bottom_time_min,
            work.depth_fsw,
            [self.exposure(item, leave, bottom_time_min, name, *worn) for name, worn in told.items()],
            dressing_min=self.job.rules.dressing_min(work.gear),
            undressing_min=self.job.rules.undressing_min(work.gear),
        )
        up = max((d.reach_surface_min for d in self.dives if d.station == station), default=0)
        spells = crew(made, posts, standby_outfit, max(made.dress_start_min, up))
        before = next((d for d in reversed(self.dives) if d.station == station), None)
        if before is not None and before.undressed_min > made.dress_start_min:
            self._stays_dressed(before, spells)
        self.dives.append(made)
        self.duties += spells
        return made

    def _stays_dressed(self, before: Dive, spells: list[DutySpell]) -> None:
        """The standby diver of a dive goes on from the one before: no undressing there, no dressing here."""
        up, both = before.reach_surface_min, (STANDBY, STANDBY_TENDER)
        old = [s for s in self.duties if s.dive == before.id and s.duty in both]
        (last,) = (s for s in old if s.duty == STANDBY)
        (first,) = (s for s in spells if s.duty == STANDBY)
        if (last.person, last.outfit) != (first.person, first.outfit):
            return
        kept = [s.replace(end_min=min(s.end_min, up)) for s in old if s.start_min < up]
        self.duties = [s for s in self.duties if s not in old] + kept
        leave = next(s.start_min for s in spells if s.duty == STANDBY)
        hands = [s for s in spells if s.duty == STANDBY_TENDER and s.start_min == leave < up]
        for spell in hands:
            spells.remove(spell)
        spells[spells.index(first)] = first.replace(start_min=up)

    def task(self, item: str, start: int, posts: Posts) -> None:
        """One surface task."""
        made, spells = task(self.job, item, start, posts)
        self.tasks.append(made)
        self.duties += spells

    def plan(self, stages: tuple[Stage, ...], leftovers: tuple[Leftover, ...] = (), **facts: Any) -> Plan:
        """The day as a plan."""
        return Plan(
            job_name=self.job.site.name,
            status=Status.FEASIBLE,
            stages=stages,
            dives=tuple(self.dives),
            surface_tasks=tuple(self.tasks),
            duties=tuple(self.duties),
            leftovers=leftovers,
            **facts,
        )
