"""The forms of a job and of a plan's file as JSON Schema, made of the models that read them."""

from __future__ import annotations

import json
from typing import Any

from planner import CAUTION
from planner.job import Job
from planner.plan.plan_json import FORMAT, VERSION, file_form

#: What pydantic writes its schemas in.
_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def plan_schema() -> dict[str, Any]:
    """The form of a plan's file as JSON Schema, for other programs: made of what reads it.

    What a reader looks at first (`format`, `version`, first day, time zone) is in it; what it passes over is
    allowed.
    """
    form = file_form().model_json_schema()
    first = {
        "format": {"const": FORMAT},
        "version": {"const": VERSION},
        "first_day": {"type": "string", "format": "date"},
        "time_zone": {"type": "string", "description": "IANA name"},
    }
    about = {"$schema": _DIALECT, "title": "Plan of a diving team", "description": CAUTION}
    return {
        **about,
        **{key: value for key, value in form.items() if key not in about},
        "properties": {**first, **form["properties"]},
        "required": [*first, *form["required"]],
    }


def job_schema() -> dict[str, Any]:
    """The form of a job as JSON Schema: its models, with bounds and units in the names."""
    about = {"$schema": _DIALECT, "title": "Job of a diving team", "description": CAUTION}
    return {**about, **{k: v for k, v in Job.model_json_schema().items() if k not in about}}


def schema_page(schema: dict[str, Any]) -> str:
    """A schema as it stands in ``docs/``."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"
