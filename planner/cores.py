"""How many searches run beside one another on this machine, and their memory given back to it."""

from __future__ import annotations

import ctypes
import os
import sys

#: More searches than this share too little with one another to be worth their memory (docs/scheduler.md).
MOST_WORKERS = 8


def cores_here() -> int:
    """Cores that this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


def workers_here() -> int:
    """Threads of a search where nobody says how many; at least two, since one promises to repeat."""
    return max(2, min(MOST_WORKERS, cores_here()))


def release_memory() -> None:
    """Give memory that has been freed back to the system: half a gigabyte after a search of a large day."""
    if sys.platform != "linux":
        return
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        # The GNU C library has it; others give memory back by themselves.
        trim(0)
