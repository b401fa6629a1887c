"""What the server does beside its pages: it loads parts before they are asked for, the first page's while the
browser is still opening it, the other pages' once that is up; and gives freed memory back.

Only a matter of waiting: a page loads for itself whatever is not there yet. Nothing is solved and no
workbook is read in here.
"""

from __future__ import annotations

import asyncio
import gc
import importlib
import threading
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from streamlit.runtime import Runtime

from planner.cores import release_memory, share_heaps

#: Loaded when the server starts, on a thread beside it. The web library shows a page's icon with numpy and
#: PIL, before anything else of the page.
FIRST = ("numpy", "PIL.Image", "planner.screens.navigation", "planner.screens.pages.job")

#: Loaded when the first page has been drawn, in the order in which an evening needs them.
THEN = (
    "planner.workbook.job_reader",
    "planner.screens.frames",
    "planner.screens.editing.widgets",
    "planner.screens.plan_view",
    "planner.check.verdict",
    "planner.schedule",
    "planner.store",
)

#: Seconds between a page's being drawn here and loading more: the browser needs the cores to show it.
SETTLE_S = 3.0

#: Seconds between two times that freed memory is given back; it takes some hundredths of a second.
GIVE_BACK_S = 15.0

_drawn = threading.Event()
_begun = threading.Lock()


def _load() -> None:
    for name in FIRST:
        importlib.import_module(name)
    _drawn.wait()
    time.sleep(SETTLE_S)
    for name in THEN:
        importlib.import_module(name)


def begin() -> threading.Thread | None:
    """Start the thread and give it back; None when an earlier call has: a process has one."""
    if not _begun.acquire(blocking=False):
        return None
    thread = threading.Thread(target=_load, name="load ahead", daemon=True)
    thread.start()
    return thread


def page_is_up() -> None:
    """Say that a page has been drawn, so that what other pages need may be loaded."""
    _drawn.set()


@asynccontextmanager
async def while_serving(app: object) -> AsyncIterator[None]:
    """What the server does around serving: it begins to load ahead, and gives back memory while it serves."""
    share_heaps()
    begin()
    giving_back = asyncio.create_task(_give_back())
    yield
    giving_back.cancel()


async def _give_back() -> None:
    """Memory of searches that have ended and of tabs that were closed; without it the most stays taken."""
    while True:
        await asyncio.sleep(GIVE_BACK_S)
        forgotten = forget_closed_tabs()
        await asyncio.to_thread(_collect_and_release if forgotten else release_memory)


def forget_closed_tabs() -> int:
    """Let go of the sessions of tabs that were closed longer ago than the server keeps one; how many.

    The web library puts such a session out of reach in time, but holds it until another tab is closed.
    It has no public call for it. To be called on the server's own thread: its store takes no other.
    """
    if not Runtime.exists():
        return 0
    return len(Runtime.instance()._session_mgr._session_storage._cache.expire())  # type: ignore[attr-defined]


def _collect_and_release() -> None:
    # A session and its pages refer to each other: they are freed when cycles are looked for.
    gc.collect()
    release_memory()
