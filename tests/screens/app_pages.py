"""Opens one page of the app in Streamlit's own test runner, with a job on the desk."""

from __future__ import annotations

from typing import Any

from streamlit.testing.v1 import AppTest

from planner.job import Job
from planner.screens.backend import Backend
from planner.screens.desk import Desk
from planner.screens.session import shelf

_SCRIPT = """
from planner.screens.navigation import PAGES, frame
from planner.screens.session import desk

spec = next(p for p in PAGES if p.address == {address!r})
frame(desk(), spec.open)
"""


def page_of(address: str, job: Job | None = None, backend: Backend | None = None) -> tuple[AppTest, Desk]:
    """The page, run once, and the desk behind it."""
    here = shelf().new()
    if job is not None:
        here.open(job, "made up")
    test = AppTest.from_string(_SCRIPT.format(address=address), default_timeout=30)
    test.session_state["desk_token"] = here.token
    if backend is not None:
        test.session_state["backend"] = backend
    return test.run(), here


def page_again(address: str, here: Desk, place: str | None = None) -> AppTest:
    """The page in a new session with the same desk, as after a reload; ``place``: its server's store."""
    test = AppTest.from_string(_SCRIPT.format(address=address), default_timeout=30)
    test.session_state["desk_token"] = here.token
    if place is not None:
        test.session_state["store_place"] = place
    return test.run()


def words_of(test: AppTest) -> str:
    """Everything written on the page, in one text."""
    parts: list[str] = []
    for kind in ("title", "header", "markdown", "caption", "html", "info", "error", "warning", "text"):
        element: Any
        for element in getattr(test, kind):
            parts.append(str(getattr(element, "value", "") or getattr(element.proto, "body", "")))
    return "\n".join(parts)
