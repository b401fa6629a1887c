"""The plan as JSON: the plan's own models, with times of the wall clock in place of job minutes.

The keys are the fields of `planner.plan.model`; a field that is a moment (`planner.job.base.MOMENTS`) stands
without its ``_min`` and holds an ISO 8601 time with the site's offset. A field added to a model is written
and read without a line here.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import cache, reduce
from operator import or_
from os import PathLike
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Union, cast, get_args, get_origin

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    ValidationInfo,
    WithJsonSchema,
    create_model,
)
from pydantic_core import ErrorDetails, PydanticCustomError
from pydantic_core import from_json as parsed_json

from planner import CAUTION
from planner.errors import Fault, InputFaults
from planner.files import Target, read_words, write_whole
from planner.job import Clock, Job
from planner.job.base import MOMENTS, Part
from planner.plan.finding import Finding
from planner.plan.model import Plan, Stage, Status
from planner.plan.unchecked import unchecked

FORMAT = "diving-team-plan"
VERSION = 3
#: The first version counted nitrogen and fair shares otherwise, the second did not count minutes in hand, so
#: what they tell of the objective is not read: such a plan claims nothing of how good it is.
_FIRST_VERSION = 1

#: Fields that plans written before them lack; every other key must be there.
_MAY_BE_MISSING = frozenset({"out_of_chamber_min", "held_at_fsw", "depth_msw", "ascent_fsw_per_min"})
#: Fields of a plan that stand together under ``run``.
_RUN = ("seconds", "seed", "workers")
_STRICT = ConfigDict(strict=True, extra="ignore", allow_inf_nan=False)
#: Past this no number of minutes, feet or seconds of a plan makes sense.
_LARGEST = 10_000_000

_A_TIME = "a date and time with offset, such as 2026-05-12T07:30:00+01:00"
_A_PLACE = "see docs/plan-json.md"
#: What is allowed, and the sentence, for each kind of fault that pydantic tells.
_TOLD: Mapping[str, tuple[str, str]] = {
    "string_type": ("a text", "This is not a text."),
    "int_type": ("a whole number", "This is not a whole number of a plan."),
    "int_from_float": ("a whole number", "This is not a whole number of a plan."),
    "int_parsing_size": ("a whole number", "This is not a whole number of a plan."),
    "float_type": ("a number", "This is not a number."),
    "finite_number": ("a number", "This is not a number."),
    "bool_type": ("true or false", "This is neither true nor false."),
    "tuple_type": ("a list", "This is not a list."),
    "model_type": ("an object", "This is not an object."),
    "model_attributes_type": ("an object", "This is not an object."),
}


def to_json(plan: Plan, job: Job) -> str:
    """The plan as an indented JSON text; times are ISO 8601 with the offset of the job's site."""
    content = _written(plan, job.clock)
    run = {name: content.pop(name) for name in _RUN}
    written = {
        "format": FORMAT,
        "version": VERSION,
        "caution": CAUTION,
        "job": content.pop("job_name"),
        "first_day": job.site.first_day.isoformat(),
        "time_zone": job.site.time_zone,
        "status": content.pop("status"),
        "run": run,
        **content,
        "cautions": [CAUTION, *unchecked(job, plan)],
    }
    return json.dumps(written, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _written(value: Any, clock: Clock) -> Any:
    """A value of the plan as JSON holds it."""
    if isinstance(value, Part):
        fields = {name: getattr(value, name) for name in type(value).model_fields}
        return {
            _key(name): clock.at(field).isoformat()
            if name in MOMENTS and field is not None
            else _written(field, clock)
            for name, field in fields.items()
        }
    if isinstance(value, tuple):
        return [_written(one, clock) for one in value]
    # JSON has no infinity: null says that nothing is proven
    return None if isinstance(value, float) and math.isinf(value) else value


def _key(name: str) -> str:
    """What a field is called in the file."""
    return name.removesuffix("_min") if name in MOMENTS else name


def from_json(text: str, job: Job) -> Plan:
    """Read a plan that `to_json` (or another program) wrote.

    Only the form is judged here; whether the plan holds is for the check.

    Raises
    ------
    InputFaults
        With every fault found: no JSON, another format or version, keys that are missing, values of the
        wrong kind, times that are none.
    """
    version = _version_of(text, job)
    try:
        found = file_form().model_validate_json(text, context=job.clock)
        content = found.model_dump()
        for stage in content["stages"]:
            if stage["bound"] is None:
                stage["bound"] = math.inf if stage["maximise"] else -math.inf
        plan = Plan.model_validate({**content.pop("run"), **content})
    except ValidationError as invalid:
        raise InputFaults([_fault(error) for error in invalid.errors()]) from invalid
    if version < VERSION:
        first = plan.status is Status.CONSTRUCTIVE
        return plan.replace(stages=(), status=plan.status if first else Status.FEASIBLE)
    return plan


def write_refused(plan: Plan, findings: Sequence[Finding], job: Job, target: Target) -> None:
    """Write a plan that the check refused, with what it found: to look for the fault by, never to dive by.

    Raises
    ------
    OSError
        When the place cannot be written.
    """
    told = [{"rule": f.rule, "sentence": f.sentence, "where": f.where} for f in findings]
    content = {"refused": True, "caution": CAUTION, "findings": told, "plan": json.loads(to_json(plan, job))}
    write_whole(json.dumps(content, indent=2, ensure_ascii=False) + "\n", target)


def read_plan(path: str | PathLike[str], job: Job) -> Plan:
    """Read a plan from a JSON file.

    Raises
    ------
    InputFaults
        When the file cannot be read, and as `from_json`.
    """
    return from_json(read_words(Path(path), "a plan file"), job)


def _version_of(text: str, job: Job) -> int:
    """The version of a plan's JSON.

    Refuses what is no JSON, no plan, a plan of another version or of another job, in one sentence.
    """
    try:
        content = parsed_json(text, allow_inf_nan=False)
    except ValueError as wrong:
        deep = "recursion" in str(wrong)
        sentence = "It is nested too deep for a plan." if deep else f"This is not JSON: {wrong}."
        raise InputFaults([Fault("plan", "", "JSON", sentence)]) from wrong
    if not isinstance(content, dict):
        raise InputFaults([Fault("plan", _cut(content), "an object", "A plan is a JSON object.")])
    form, version = content.get("format"), content.get("version")
    if form != FORMAT:
        raise InputFaults([Fault("format", _cut(form), repr(FORMAT), "This is not the JSON of a plan.")])
    if (
        not isinstance(version, int)
        or isinstance(version, bool)
        or version not in range(_FIRST_VERSION, VERSION + 1)
    ):
        newer = isinstance(version, int) and version > VERSION
        sentence = (
            "This plan was written by a later version of the program, whose form cannot be read here."
            if newer
            else "This version of the form cannot be read."
        )
        raise InputFaults([Fault("version", _cut(version), str(VERSION), sentence)])
    _look_at_job(content, job, version)
    return version


def _look_at_job(content: Mapping[str, object], job: Job, version: int) -> None:
    """Refuse a plan of another job, or one that does not say of which it is.

    The first version might leave out first day and time zone.
    """
    site = job.site
    given = {"job": site.name, "first_day": site.first_day.isoformat(), "time_zone": site.time_zone}
    faults = [
        Fault(key, _cut(content.get(key)), "a text", "It does not say for which job this plan was made.")
        for key in given
        if not isinstance(content.get(key), str)
        and (version > _FIRST_VERSION or content.get(key) is not None)
    ]
    if faults:
        raise InputFaults(faults)
    own = {key: str(content.get(key, value)) for key, value in given.items()}
    if own == given:
        return

    def words(one: Mapping[str, str]) -> str:
        zone = f", time zone {_cut(one['time_zone'])}" if own["time_zone"] != given["time_zone"] else ""
        return f"{_cut(one['job'])}, first day {_cut(one['first_day'])}{zone}"

    sentence = f"This plan was made for the job {words(own)}; the job given is {words(given)}."
    raise InputFaults([Fault("job", words(own), words(given), sentence)])


def _cut(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _fault(error: ErrorDetails) -> Fault:
    """One fault of pydantic's in plain words, with its place written ``dives[0].station``."""
    where = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in error["loc"]).lstrip(".")
    kind, limits = error["type"], error.get("ctx", {})
    if kind == "missing":
        return Fault(where, "", _A_PLACE, f"The key {error['loc'][-1]!r} is missing.")
    if kind == "moment":
        allowed, sentence = _A_TIME, error["msg"]
    elif kind == "enum":
        allowed, sentence = str(limits["expected"]), "This is no status of a plan."
    elif kind in _TOLD:
        allowed, sentence = _TOLD[kind]
    else:
        allowed, sentence = _A_PLACE, f"{error['msg']}."
    return Fault(where or "plan", _cut(error["input"]), allowed, sentence)


def _minute_of(value: object, info: ValidationInfo) -> object:
    """The job minute of a time in a file."""
    if value is None:
        return None
    try:
        time = datetime.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        time = None
    if time is None:
        raise PydanticCustomError("moment", "This is not an ISO 8601 date and time.")
    if time.tzinfo is None:
        raise PydanticCustomError("moment", "This time has no offset from UTC.")
    if time.second or time.microsecond:
        raise PydanticCustomError("moment", "Plans hold whole minutes only.")
    clock = cast(Clock, info.context)
    try:
        return clock.minute(time)
    except OverflowError:
        raise PydanticCustomError("moment", "This time is outside the calendar.") from None


_Moment = Annotated[
    int, BeforeValidator(_minute_of), WithJsonSchema({"type": "string", "format": "date-time"})
]
_Whole = Annotated[int, Field(ge=-_LARGEST, le=_LARGEST)]


@cache
def _form_of(model: type[Part]) -> type[BaseModel]:
    """A part as it stands in a file: times for moments, no key left out, other keys passed over."""
    fields: dict[str, Any] = {}
    for name, info in model.model_fields.items():
        kind = _kind_of(info.annotation, _Moment if name in MOMENTS else _Whole)
        if model is Stage and name == "bound":
            kind = float | None
        default = info.default if name in _MAY_BE_MISSING else ...
        fields[name] = (
            Annotated[(kind, *info.metadata)] if info.metadata else kind,
            Field(default, alias=_key(name)),
        )
    return create_model(model.__name__, __config__=_STRICT, **fields)


def _kind_of(annotation: Any, whole: Any) -> Any:
    """An annotation of a model with forms in place of its parts and bounded numbers in place of ints."""
    if annotation is int:
        return whole
    if isinstance(annotation, type) and issubclass(annotation, Part):
        return _form_of(annotation)
    inner: Any = tuple(_kind_of(one, whole) for one in get_args(annotation))
    if get_origin(annotation) is tuple:
        return tuple[inner]
    return reduce(or_, inner) if get_origin(annotation) in (Union, UnionType) else annotation


@cache
def file_form() -> type[BaseModel]:
    """The outermost object of a file."""
    plan = _form_of(Plan)
    fields: dict[str, Any] = {name: (info.annotation, info) for name, info in plan.model_fields.items()}
    run = create_model("Run", __config__=_STRICT, **{name: fields.pop(name) for name in _RUN})
    fields["job_name"] = (str, Field(..., alias="job"))
    return create_model("PlanFile", __config__=_STRICT, run=(run, ...), **fields)
