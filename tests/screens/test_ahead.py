"""What the first page waits for, and what is loaded while nobody waits."""

from __future__ import annotations

import asyncio
import importlib
import inspect
import subprocess
import sys
import weakref
from types import SimpleNamespace

import pytest
from streamlit.runtime import Runtime
from streamlit.runtime.memory_session_storage import MemorySessionStorage
from streamlit.runtime.session_manager import SessionInfo
from streamlit.runtime.websocket_session_manager import WebsocketSessionManager

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


def test_a_closed_tab_is_forgotten_when_its_time_is_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library's store keeps an expired session until it is asked to let go; none is left then."""
    kept = MemorySessionStorage(ttl_seconds=0)
    info = SessionInfo(client=None, session=SimpleNamespace(id="a tab"))  # type: ignore[arg-type]
    tab = weakref.ref(info)
    kept.save(info)
    del info
    assert tab() is not None
    server = SimpleNamespace(_session_mgr=SimpleNamespace(_session_storage=kept))
    monkeypatch.setattr(Runtime, "_instance", server)
    assert ahead.forget_closed_tabs() == 1
    assert tab() is None
    assert ahead.forget_closed_tabs() == 0


def test_the_server_has_such_a_store() -> None:
    """What is asked for it is where the library keeps it, in the version that is installed."""
    assert "self._session_mgr = " in inspect.getsource(Runtime)
    manager = WebsocketSessionManager(MemorySessionStorage(), None, None, None)  # type: ignore[arg-type]
    assert isinstance(manager._session_storage, MemorySessionStorage)


@pytest.mark.skipif(sys.platform != "linux", reason="heaps of the GNU C library")
def test_threads_share_the_heaps_of_a_server() -> None:
    """Sixteen threads that hold memory have no more heaps than cores (malloc_info(3) counts them)."""
    script = """
import ctypes, os, sys, threading
from planner.cores import cores_here, share_heaps
share_heaps()
barrier = threading.Barrier(17)
def hold():
    taken = ctypes.CDLL(None).malloc(100)
    barrier.wait(); barrier.wait()
for _ in range(16): threading.Thread(target=hold).start()
barrier.wait()
libc = ctypes.CDLL(None)
libc.fdopen.restype = ctypes.c_void_p
reading, writing = os.pipe()
out = libc.fdopen(writing, b"w")
libc.malloc_info(0, ctypes.c_void_p(out)); libc.fclose(ctypes.c_void_p(out))
print(os.read(reading, 1 << 16).count(b"<heap nr=") <= cores_here())
barrier.wait()
"""
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "True"
