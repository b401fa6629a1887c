"""Values taken out of a JSON text one by one; every fault is kept with the place it stands at.

The plan as JSON, and back. The form is documented in `docs/plan-json.md`."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar

from pydantic import ValidationError

from planner import CAUTION
from planner.errors import Fault, InputFaults
from planner.job.base import Clock
from planner.job.job import Job
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
from planner.plan.unchecked import unchecked
from planner.tables.schedule import Stop, TableSchedule

Part = TypeVar("Part")

#: Past this no number of minutes, feet or seconds of a plan makes sense.
LARGEST = 10_000_000


@dataclass
class Faults:
    """Collects what is wrong while the reading goes on."""

    clock: Clock
    found: list[Fault] = field(default_factory=list)

    def tell(self, where: str, value: object, allowed: str, sentence: str) -> None:
        """Keep one fault; a long value is cut for print."""
        text = "" if value is _MISSING else repr(value)
        self.found.append(Fault(where, text if len(text) <= 60 else text[:57] + "...", allowed, sentence))


class _Missing:
    """Stands for a key that is not there."""


_MISSING = _Missing()


@dataclass(frozen=True)
class Values:
    """One JSON object and where it stands.

    Every question returns a value of the right kind, also after a fault, so that all faults are found in
    one reading; the whole is thrown away when there was any.
    """

    where: str
    content: dict[str, Any]
    faults: Faults

    def place(self, key: str) -> str:
        return f"{self.where}.{key}" if self.where else key

    def _take(self, key: str, allowed: str) -> Any:
        if key not in self.content:
            self.faults.tell(self.place(key), _MISSING, allowed, f"The key {key!r} is missing.")
            return _MISSING
        return self.content[key]

    def text(self, key: str) -> str:
        """A text."""
        value = self._take(key, "a text")
        if _is_text(value):
            return str(value)
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "a text", "This is not a text.")
        return ""

    def text_or_none(self, key: str) -> str | None:
        """A text, or null."""
        if key in self.content and self.content[key] is None:
            return None
        return self.text(key)

    def whole(self, key: str) -> int:
        """A whole number."""
        allowed = "a whole number"
        value = self._take(key, allowed)
        if isinstance(value, int) and not isinstance(value, bool) and abs(value) <= LARGEST:
            return value
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, allowed, "This is not a whole number of a plan.")
        return 0

    def whole_or_none(self, key: str) -> int | None:
        """A whole number, or null."""
        if key in self.content and self.content[key] is None:
            return None
        return self.whole(key)

    def number(self, key: str) -> float:
        """A number."""
        value = self._take(key, "a number")
        if isinstance(value, int | float) and not isinstance(value, bool) and _finite(value):
            return float(value)
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "a number", "This is not a number.")
        return 0.0

    def number_or_none(self, key: str) -> float | None:
        """A number, or null."""
        if key in self.content and self.content[key] is None:
            return None
        return self.number(key)

    def yes_or_no(self, key: str) -> bool:
        """True or false."""
        value = self._take(key, "true or false")
        if isinstance(value, bool):
            return value
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "true or false", "This is neither true nor false.")
        return False

    def moment(self, key: str) -> int:
        """A time, as job minutes."""
        allowed = "a date and time with offset, such as 2026-05-12T07:30:00+01:00"
        value = self._take(key, allowed)
        if value is _MISSING:
            return 0
        try:
            time = datetime.fromisoformat(value) if isinstance(value, str) else None
        except ValueError:
            time = None
        if time is None:
            self.faults.tell(self.place(key), value, allowed, "This is not an ISO 8601 date and time.")
        elif time.tzinfo is None:
            self.faults.tell(self.place(key), value, allowed, "This time has no offset from UTC.")
        elif time.second or time.microsecond:
            self.faults.tell(self.place(key), value, allowed, "Plans hold whole minutes only.")
        else:
            try:
                return self.faults.clock.minute(time)
            except OverflowError:
                self.faults.tell(self.place(key), value, allowed, "This time is outside the calendar.")
        return 0

    def moment_or_none(self, key: str) -> int | None:
        """A time, as job minutes, or null; a key that is missing is null too."""
        return None if self.content.get(key) is None else self.moment(key)

    def part(self, key: str, build: Callable[[Values], Part]) -> Part:
        """An object, built by a function; an empty one stands in after a fault."""
        value = self._take(key, "an object")
        if value is not _MISSING and not isinstance(value, dict):
            self.faults.tell(self.place(key), value, "an object", "This is not an object.")
        if not isinstance(value, dict):
            # the fault is told once: what the stand-in lacks is no news
            return build(Values(self.place(key), {}, Faults(self.faults.clock)))
        return build(Values(self.place(key), value, self.faults))

    def parts(self, key: str, build: Callable[[Values], Part]) -> tuple[Part, ...]:
        """A list of objects, each built by a function."""
        built = []
        for index, value in enumerate(self._list(key)):
            place = f"{self.place(key)}[{index}]"
            if isinstance(value, dict):
                built.append(build(Values(place, value, self.faults)))
            else:
                self.faults.tell(place, value, "an object", "This is not an object.")
        return tuple(built)

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts."""
        found = []
        for index, value in enumerate(self._list(key)):
            if _is_text(value):
                found.append(value)
            else:
                self.faults.tell(f"{self.place(key)}[{index}]", value, "a text", "This is not a text.")
        return tuple(found)

    def _list(self, key: str) -> list[Any]:
        value = self._take(key, "a list")
        if isinstance(value, list):
            return value
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "a list", "This is not a list.")
        return []


def _is_text(value: object) -> bool:
    """Whether a value is a text that can be printed: JSON may hold halves of a character."""
    if not isinstance(value, str):
        return False
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _finite(value: float) -> bool:
    try:
        return math.isfinite(float(value))
    except OverflowError:
        return False


FORMAT = "diving-team-plan"
VERSION = 1

_DIVE_TIMES = ("dress_start", "leave_surface", "reach_bottom", "leave_bottom", "reach_surface", "undressed")


def to_json(plan: Plan, job: Job) -> str:
    """The plan as an indented JSON text; times are ISO 8601 with the site's offset.

    Parameters
    ----------
    plan
        The plan to write.
    job
        The job it is for: its clock turns minutes into times.
    """

    def at(minute: int) -> str:
        return job.clock.at(minute).isoformat()

    content: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "caution": CAUTION,
        "job": plan.job_name,
        "first_day": job.site.first_day.isoformat(),
        "time_zone": job.site.time_zone,
        "status": plan.status.value,
        "run": {"seconds": plan.seconds, "seed": plan.seed, "workers": plan.workers},
        "stages": [_stage_out(stage) for stage in plan.stages],
        "dives": [
            {
                "id": dive.id,
                "item": dive.item,
                "station": dive.station,
                **{name: at(getattr(dive, f"{name}_min")) for name in _DIVE_TIMES},
                "out_of_chamber": None if dive.out_of_chamber_min is None else at(dive.out_of_chamber_min),
                "depth_fsw": dive.depth_fsw,
                "bottom_time_min": dive.bottom_time_min,
                "work_min": dive.work_min,
                "divers": [diver.model_dump(mode="json") for diver in dive.divers],
            }
            for dive in plan.dives
        ],
        "surface_tasks": [
            {"item": task.item, "start": at(task.start_min), "end": at(task.end_min)}
            for task in plan.surface_tasks
        ],
        "duties": [
            {
                "person": spell.person,
                "duty": spell.duty,
                "start": at(spell.start_min),
                "end": at(spell.end_min),
                "dive": spell.dive,
                "item": spell.item,
                "station": spell.station,
                "outfit": spell.outfit,
            }
            for spell in plan.duties
        ],
        "leftovers": [left.model_dump(mode="json") for left in plan.leftovers],
        "cautions": [CAUTION, *unchecked(job, plan)],
    }
    return json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _stage_out(stage: Stage) -> dict[str, Any]:
    content = stage.model_dump(mode="json")
    # JSON has no infinity: null says that nothing is proven
    content["bound"] = stage.bound if math.isfinite(stage.bound) else None
    return content


def from_json(text: str, job: Job) -> Plan:
    """Read a plan that `to_json` (or another program) wrote.

    Only the form is judged here; whether the plan holds is for `planner.check.verdict`.

    Raises
    ------
    InputFaults
        With every fault found: no JSON, another format or version, keys that are missing, values of the
        wrong kind, times that are none.
    """
    content = _loaded(text)
    faults = Faults(job.clock)
    if content.get("format") != FORMAT:
        faults.tell("format", content.get("format"), repr(FORMAT), "This is not the JSON of a plan.")
    elif content.get("version") != VERSION or isinstance(content["version"], bool):
        faults.tell(
            "version", content.get("version"), str(VERSION), "This version of the form cannot be read."
        )
    if faults.found:
        raise InputFaults(faults.found)
    try:
        plan = _plan_in(Values("", content, faults))
    except ValidationError as invalid:
        faults.found.extend(
            Fault(
                ".".join(str(step) for step in error["loc"]) or "plan",
                repr(error.get("input"))[:60],
                "see docs/plan-json.md",
                f"{error['msg']}.",
            )
            for error in invalid.errors()
        )
        raise InputFaults(faults.found) from invalid
    if faults.found:
        raise InputFaults(faults.found)
    return plan


def _loaded(text: str) -> dict[str, Any]:
    """The outermost object of a JSON text."""

    def refuse(word: str) -> None:
        raise ValueError(f"{word} is not JSON")

    try:
        content = json.loads(text, parse_constant=refuse)
    except json.JSONDecodeError as wrong:
        place = f"line {wrong.lineno}, column {wrong.colno}"
        raise InputFaults([Fault(place, "", "JSON", f"This is not JSON: {wrong.msg}.")]) from wrong
    except ValueError as wrong:
        raise InputFaults([Fault("plan", "", "JSON", f"This is not JSON: {wrong}.")]) from wrong
    except RecursionError as wrong:
        raise InputFaults([Fault("plan", "", "JSON", "It is nested too deep for a plan.")]) from wrong
    if not isinstance(content, dict):
        raise InputFaults([Fault("plan", repr(content)[:60], "an object", "A plan is a JSON object.")])
    return content


def _plan_in(values: Values) -> Plan:
    status = values.text("status")
    known = [s.value for s in Status]
    if status not in known:
        if isinstance(values.content.get("status"), str):
            values.faults.tell("status", status, ", ".join(known), "This is no status of a plan.")
        status = known[0]
    seconds, seed, workers = values.part(
        "run", lambda run: (run.number("seconds"), run.whole("seed"), run.whole("workers"))
    )
    return Plan(
        job_name=values.text("job"),
        status=Status(status),
        stages=values.parts("stages", _stage_in),
        dives=values.parts("dives", _dive_in),
        surface_tasks=values.parts(
            "surface_tasks",
            lambda v: SurfaceTask(item=v.text("item"), start_min=v.moment("start"), end_min=v.moment("end")),
        ),
        duties=values.parts("duties", _spell_in),
        leftovers=values.parts("leftovers", _leftover_in),
        seconds=seconds,
        seed=seed,
        workers=workers,
    )


def _stage_in(values: Values) -> Stage:
    maximise = values.yes_or_no("maximise")
    bound = values.number_or_none("bound")
    if bound is None:
        bound = math.inf if maximise else -math.inf
    return Stage(
        name=values.text("name"),
        unit=values.text("unit"),
        value=values.number("value"),
        bound=bound,
        maximise=maximise,
        proven=values.yes_or_no("proven"),
    )


def _dive_in(values: Values) -> Dive:
    times = {f"{name}_min": values.moment(name) for name in _DIVE_TIMES}
    return Dive(
        id=values.text("id"),
        item=values.text("item"),
        station=values.text("station"),
        depth_fsw=values.whole("depth_fsw"),
        bottom_time_min=values.whole("bottom_time_min"),
        work_min=values.whole("work_min"),
        out_of_chamber_min=values.moment_or_none("out_of_chamber"),
        divers=values.parts("divers", _diver_in),
        **times,
    )


def _diver_in(values: Values) -> DiverExposure:
    return DiverExposure(
        person=values.text("person"),
        duty=values.text("duty"),
        outfit=values.text("outfit"),
        group_before=values.text_or_none("group_before"),
        surface_interval_min=values.whole_or_none("surface_interval_min"),
        residual_nitrogen_min=values.whole("residual_nitrogen_min"),
        equivalent_min=values.whole("equivalent_min"),
        group_after=values.text_or_none("group_after"),
        schedule=values.part("schedule", _schedule_in),
    )


def _schedule_in(values: Values) -> TableSchedule:
    return TableSchedule(
        table=values.text("table"),
        way_up=values.text("way_up"),
        depth_fsw=values.whole("depth_fsw"),
        time_min=values.whole("time_min"),
        stops=values.parts("stops", _stop_in),
        time_to_first_stop_s=values.whole("time_to_first_stop_s"),
        ascent_s=values.whole("ascent_s"),
        chamber_periods=values.number("chamber_periods"),
        notes=values.texts("notes"),
    )


def _stop_in(values: Values) -> Stop:
    return Stop(depth_fsw=values.whole("depth_fsw"), minutes=values.whole("minutes"), gas=values.text("gas"))


def _spell_in(values: Values) -> DutySpell:
    return DutySpell(
        person=values.text("person"),
        duty=values.text("duty"),
        start_min=values.moment("start"),
        end_min=values.moment("end"),
        dive=values.text_or_none("dive"),
        item=values.text("item"),
        station=values.text_or_none("station"),
        outfit=values.text_or_none("outfit"),
    )


def _leftover_in(values: Values) -> Leftover:
    return Leftover(
        item=values.text("item"),
        planned_min=values.whole("planned_min"),
        needed_min=values.whole("needed_min"),
        reasons=values.parts(
            "reasons", lambda v: Reason(rule=v.text_or_none("rule"), sentence=v.text("sentence"))
        ),
    )
