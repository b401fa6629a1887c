"""What the first page waits for, and what is loaded while nobody waits."""

from __future__ import annotations

import asyncio
import importlib
import subprocess
import sys

import pytest

from planner.screens import ahead

#: Libraries that take long to load and that no first page needs to be used.
HEAVY = ("pandas", "pyarrow", "openpyxl", "ortools", "sqlalchemy")


def test_the_first_page_waits_for_no_heavy_library() -> None:
    """What the server loads before the first page has none of the libraries that take long to load."""
    names = ", ".join(ahead.FIRST)
    script = f"import sys, streamlit, {names}; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("name", [*ahead.FIRST, *ahead.THEN])
def test_what_is_loaded_ahead_is_there(name: str) -> None:
    """Every name that is loaded ahead is a module of the program."""
    assert importlib.import_module(name).__name__ == name


def test_a_process_loads_ahead_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first call starts the thread, a second one does nothing; more is loaded when a page is up."""
    loaded: list[str] = []
    monkeypatch.setattr(importlib, "import_module", loaded.append)
    monkeypatch.setattr(ahead, "SETTLE_S", 0.0)
    thread = ahead.begin()
    assert thread is not None
    assert ahead.begin() is None
    ahead.page_is_up()
    thread.join(10)
    assert loaded == [*ahead.FIRST, *ahead.THEN]


def test_freed_memory_is_given_back_while_it_serves(monkeypatch: pytest.MonkeyPatch) -> None:
    """Again and again, and not after the end (mallopt(3): a heap grows, and shrinks only when asked)."""
    given = []
    monkeypatch.setattr(ahead, "GIVE_BACK_S", 0.001)
    monkeypatch.setattr(ahead, "release_memory", lambda: given.append(1))
    monkeypatch.setattr(ahead, "begin", lambda: None)

    async def served() -> int:
        async with ahead.while_serving(None):
            while len(given) < 3:
                await asyncio.sleep(0.001)
        # one that had begun may still end
        await asyncio.sleep(0.05)
        before = len(given)
        await asyncio.sleep(0.05)
        return len(given) - before

    assert asyncio.run(served()) == 0
