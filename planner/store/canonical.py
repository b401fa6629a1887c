"""A job as text that is the same on every machine, and the hash of what is frozen."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import to_jsonable_python

from planner.job.job import Job
from planner.store.refusal import StoreRefused


def canonical_json(part: BaseModel) -> str:
    """A model as JSON: keys in order, sets sorted, no needless blanks, so that equal jobs give equal text."""
    return _text(_plain(part))


def job_from_json(text: str) -> Job:
    """The job that `canonical_json` wrote.

    Raises
    ------
    StoreRefused
        The text is no job that this version can read.
    """
    try:
        return Job.model_validate_json(text)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        place = ".".join(str(step) for step in first["loc"]) or "job"
        raise StoreRefused(
            f"The stored job cannot be read by this version of the program: {place}: {first['msg']}. It is "
            "kept as it is; open it with the version that wrote it."
        ) from wrong


def sha256_of(**frozen: object) -> str:
    """SHA-256, in hex, of named values: of their JSON with the names in order."""
    return hashlib.sha256(_text(frozen).encode("utf-8")).hexdigest()


def _text(content: object) -> str:
    return json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def _plain(value: Any) -> Any:
    """The value as JSON knows it. A set has no order of its own, so it is sorted."""
    if isinstance(value, BaseModel):
        return {name: _plain(getattr(value, name)) for name in type(value).model_fields}
    if isinstance(value, frozenset | set):
        return sorted(_plain(v) for v in value)
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    return to_jsonable_python(value)
