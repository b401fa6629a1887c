"""The JSON Schemas in docs/ are what the models say, and what is written holds by them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from planner.plan import to_json
from tests.schemas import job_schema, plan_schema, schema_page
from tests.world.quay import a_job, a_plan

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize(("page", "schema"), [("job", job_schema), ("plan", plan_schema)])
def test_the_page_is_current(page: str, schema: Callable[[], dict[str, Any]]) -> None:
    """docs/*.schema.json are made of the models; docs/plan-json.md says how to remake them."""
    told = schema()
    Draft202012Validator.check_schema(told)
    assert (DOCS / f"{page}.schema.json").read_text(encoding="utf-8") == schema_page(told)


def test_what_is_written_holds_by_its_schema() -> None:
    """A job as the store keeps it and a plan's file, each whole."""
    job, plan = a_job(), a_plan()
    Draft202012Validator(job_schema()).validate(json.loads(job.model_dump_json()))
    Draft202012Validator(plan_schema()).validate(json.loads(to_json(plan, job)))


def test_what_is_no_plan_does_not() -> None:
    """A moment is a time of the wall clock, not a job minute; nothing that must be there is missing."""
    written = json.loads(to_json(a_plan(), a_job()))
    judge = Draft202012Validator(plan_schema())
    for key in ("format", "dives", "time_zone"):
        assert not judge.is_valid({k: v for k, v in written.items() if k != key})
    assert not judge.is_valid(written | {"dives": [written["dives"][0] | {"leave_surface": 510}]})
    job = json.loads(a_job().model_dump_json())
    assert not Draft202012Validator(job_schema()).is_valid(job | {"people": "Ana"})
