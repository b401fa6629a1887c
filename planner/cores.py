"""How many searches run beside one another on this machine, and their memory given back to it."""

from __future__ import annotations

import ctypes
import os
import sys

#: More searches than this share too little with one another to be worth their memory (docs/scheduler.md).
MOST_WORKERS = 8

#: ``M_ARENA_MAX`` of the GNU C library's malloc.h.
_M_ARENA_MAX = -8


def cores_here() -> int:
    """Cores that this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


def workers_here() -> int:
    """Threads of a search where nobody says how many; at least two, since one promises to repeat."""
    return max(2, min(MOST_WORKERS, cores_here()))


def _c_library() -> ctypes.CDLL | None:
    """The C library where it can be told how to keep its heaps (the GNU one; others give back alone)."""
    library = ctypes.CDLL(None) if sys.platform == "linux" else None
    return library if hasattr(library, "malloc_trim") and hasattr(library, "mallopt") else None


def share_heaps() -> None:
    """Let threads to come share as many heaps as there are cores; for a server, where each page has a thread.

    The GNU C library gives eight heaps a core (mallopt(3), M_ARENA_MAX), and what each page and search leaves
    lying about in one of its own adds up: 50 MB after ten pages that planned.
    """
    library = _c_library()
    if library is not None:
        library.mallopt(_M_ARENA_MAX, cores_here())


def release_memory() -> None:
    """Give memory that has been freed back to the system: half a gigabyte after a search of a large day."""
    library = _c_library()
    if library is not None:
        library.malloc_trim(0)
