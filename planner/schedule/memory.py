"""Memory between two solves."""

from __future__ import annotations

import ctypes
import sys


def give_back() -> None:
    """Give memory that the solve before has freed back to the system: on a large day half a gigabyte."""
    if sys.platform != "linux":
        return
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        # The GNU C library has it; others give memory back by themselves.
        trim(0)
