"""Ctrl-C, and an end that the system asks for: a search ends with the best it has."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def stopped_by_signals(*, at_once: bool = False) -> Iterator[threading.Event]:
    """The event that the first Ctrl-C or SIGTERM sets. A second one raises `KeyboardInterrupt`; so does the
    first with ``at_once``, where what is done so far needs nobody to wait for it."""
    stop = threading.Event()

    def ask(*_: object) -> None:
        if stop.is_set():
            raise KeyboardInterrupt
        stop.set()
        if at_once:
            raise KeyboardInterrupt
        # not print: the signal may come in the middle of one
        os.write(2, b"\nStopping with the best so far. Once more ends at once.\n")

    before = {asked: signal.signal(asked, ask) for asked in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield stop
    finally:
        for asked, handler in before.items():
            signal.signal(asked, handler)
