"""What the first page waits for, and what is loaded while nobody waits."""

from __future__ import annotations

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
